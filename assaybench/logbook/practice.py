"""Practice logs: outside every logbook, in no register, never sealed.

They stand in a folder of their own, laid out like a logbook, and are called P-1, P-2 and so on. The
number is only a name: it is the next one free, and serves again once its log was thrown away.
"""

from collections.abc import Sequence

from assaybench.logbook.folder import PRACTICE, Logbook, LogName
from assaybench.logbook.lock import Lock
from assaybench.logbook.logfile import Keeper, LogFile, Row
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import WAIT_SECONDS, LogHead
from assaybench.messages import BadInput
from assaybench.record.register_kinds import LARGEST_NUMBER


def new_practice(
    book: Logbook, keeper: Keeper, head: LogHead, then: Sequence[Row] = ()
) -> tuple[LogName, LogFile]:
    """Make the next practice log and open it.

    Args:
        book: the folder of practice logs, `Logbook(practice_folder())`.
        keeper: who writes.
        head: what its first entry says.
        then: entries that are made with it.

    Raises:
        BadInput: for a head that is not allowed; nothing was written.
        NotDone: when it could not be made.
    """
    held = Lock(keeper.files, book.root / "locks" / "practice.lock", "practice")
    held.acquire(keeper.by, keeper.now(), WAIT_SECONDS)
    try:
        # numbers are given one at a time, and the log is there before the next is looked for
        number = max(book.numbers(keeper.files, PRACTICE), default=0) + 1
        if number > LARGEST_NUMBER:
            raise BadInput.of("number_not_whole", x=number, least=1, most=LARGEST_NUMBER)
        name = LogName(PRACTICE, number)
        values: dict[str, object] = {
            "log": head.log,
            "number": number,
            "bench": PRACTICE,
            "method_version": head.method_version,
            "program": keeper.program,
            "practice": True,
        }
        path, title = book.log(name), {"title": head.title} if head.title else {}
        first = ("opened", {**values, **title})
        return name, open_log(path, keeper, lock=book.lock(path), first=first, then=then)
    finally:
        held.release()
