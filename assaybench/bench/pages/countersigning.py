"""A statement about a sealed log, signed with one's own key: who, what was found, the passphrase.

The log stays as it is; the statement stands beside it. Nothing is written before the key signed.
"""

from collections.abc import Callable
from functools import partial

from assaybench.bench import signing_here
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import wrapped
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, Post, Start, in_a_thread
from assaybench.bench.log_work import Log
from assaybench.bench.page import ARROWS, Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still, Works
from assaybench.bench.pages.seal_lines import stated_blocks
from assaybench.bench.passphrase import ask_passphrase
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, line
from assaybench.bench.turning import turned, turned_by
from assaybench.bench.writing import write_new
from assaybench.logbook import keys
from assaybench.logbook.faults import NotDone
from assaybench.logbook.seal import SealHead
from assaybench.logbook.statements import Stated, countersign, unsigned
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check
from assaybench.record.kinds import MEANINGS
from assaybench.record.replay import replay
from assaybench.report import seal_view
from assaybench.report.entry_lines import day_of

_KEYS = ("enter.sign", "help", "back")
_DONE_KEYS = ("enter.back", "file", "help", "back")
_TURNED_KEYS = ("enter.back", "arrows", "file", "help", "back")
_USUAL = "reviewed"


class CountersignPage(Saying, Asks, Works, Still):
    """One statement about one sealed log.

    Attributes:
        desk: where.
        stated: what was signed; None as long as it was not.
    """

    name = "countersign"

    def __init__(self, desk: Desk, log: Log, left: str, start: Start = in_a_thread) -> None:
        """Show what the statement is about.

        Args:
            desk: where.
            log: the sealed log.
            left: the left end of the running head.
            start: how signing is begun.
        """
        self.desk, self._log, self._left, self._start = desk, log, left, start
        self.stated: Stated | None = None
        self._asking: Asking | None = None
        self._job: Job[Stated] | None = None
        self._again: Callable[[], Asking] | None = None
        self._pages: list[list[Line]] = [[]]
        self._turned = 0

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """What the statement is about, or what was signed."""
        name = self._log.read.name.spelled
        promise = say("promise_countersign", name=name)
        if self._job is not None:
            promise = say("promise_working")
        elif self.stated is not None:
            promise = say("promise_back")
        self._pages = turned(self._blocks(), room.block_lines)
        at = self._turned = min(self._turned, len(self._pages) - 1)
        count = say("page_of", n=at + 1, of=len(self._pages))
        return Sheet(
            left=self._left,
            title=say("title_countersign"),
            right=count if len(self._pages) > 1 else self.desk.who_and_when(),
            block=tuple(self._pages[at]),
            margin=tuple(self._margin()),
            promise=promise,
            keys=self._key_line(),
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_countersign"),),
        )

    def _key_line(self) -> tuple[str, ...]:
        if self._asking is not None:
            return ANSWER_KEYS
        if self.stated is None:
            return _KEYS
        return _TURNED_KEYS if len(self._pages) > 1 else _DONE_KEYS

    def _blocks(self) -> list[list[Line]]:
        if self.stated is not None:
            return stated_blocks(self.desk.book, self.stated)
        log = self._log
        rows = [
            say("countersign_about", name=log.read.name.spelled),
            say("log_sealed_by", day=day_of(log.sealed.at) if log.sealed else "",
                **log.signer),
            say("log_holds", n=len(log.read.own), samples=log.samples),
        ]  # fmt: skip
        return [[line(part) for row in rows for part in wrapped(row, BLOCK_WIDTH)]]

    def _margin(self) -> list[str]:
        if self._asking is not None:
            return [*self._said, *self._asking.margin]
        if self._job is not None:
            return [say("countersign_working")]
        said = list(self._said)
        if self.stated is not None:
            said += [" ".join(f.text.split()) for f in seal_view.key_flags(self.stated)]
            return [*said, say("countersign_keep")]
        try:
            left = unsigned(self.desk.book, self._log.read.name, self.desk.files)
        except NotDone as fault:
            return [*said, *fault.lines]
        said += [say("statement_unsigned", name=path.name) for path in left]
        return [*said, say("countersign_own_key", path=self.desk.signing_key()), *self._sealed_it()]

    def _sealed_it(self) -> list[str]:
        """That the key here sealed the log: somebody else needs another one before typing."""
        sealed = self._log.sealed
        try:
            own = keys.public_of(self.desk.files, self.desk.signing_key()).fingerprint
        except NotDone:
            return []
        if sealed is None or own != sealed.values.get("fingerprint"):
            return []
        return [say("countersign_sealing_key", who=self._log.signer["name"])]

    # --- asking ---------------------------------------------------------------------------------

    def _ask(self) -> Asking:
        """Who, as what, meaning what, with which words; then the passphrase.

        Raises:
            BadInput: nobody said who works here, or there is no results-worthy log.
            NotDone: there is no key.
        """
        self.desk.keeper()
        if not signing_here.has_key(self.desk):
            raise NotDone([say("countersign_no_key")])
        known = signing_here.person_of(replay(self._log.read.entries), self.desk)
        given: list[str] = []

        def take(text: str) -> None:
            given.append(check.text(text))

        def ask_role(text: str) -> Asking:
            take(text or known.name)
            return self._question("role", known.role, ask_meaning)

        def ask_meaning(text: str) -> Asking:
            take(text or known.role)
            return self._question("meaning", _USUAL, ask_text)

        def ask_text(text: str) -> Asking:
            meaning = text or _USUAL
            if meaning not in MEANINGS:
                choices = ", ".join(MEANINGS)
                raise BadInput.of(
                    "choice_unknown", x=quoted(text), what="the meaning", choices=choices
                )
            take(meaning)
            return self._question("text", say("countersign_nothing"), ask_key)

        def ask_key(text: str) -> Asking | Outcome:
            found = check.text(text) if text else ""
            head = SealHead(given[-3], given[-2], given[-1])
            sign = partial(self._begin, head, found)
            self._again = lambda: self._ask_key(sign)
            return self._ask_key(sign)

        return self._question("name", known.name, ask_role)

    def _ask_key(self, sign: Callable[[bytes], Asking | Outcome]) -> Asking:
        path = self.desk.signing_key()
        if keys.is_shut(self.desk.files, path):
            return ask_passphrase(path.name, sign)
        return _ask_yes(path.name, sign)

    def _question(self, what: str, usual: str, answer: Callable[[str], Asking | Outcome]) -> Asking:
        offer = f" {say('ask_offered', x=usual)}" if usual else ""
        hint = say(f"countersign_{what}_hint", choices=", ".join(MEANINGS))
        return Asking(say(f"ask_countersign_{what}", offer=offer), answer, "text", (hint,))

    def _begin(self, head: SealHead, text: str, secret: bytes) -> Asking | Outcome:
        desk, name = self.desk, self._log.read.name

        def work(_post: Post) -> Stated:
            signer = keys.open_signer(desk.files, desk.signing_key(), lambda: secret)
            return countersign(desk.book, name, desk.keeper(), signer, head, text)

        self._asking = None
        self._job = Job(work, self._start)
        self._take()
        return self._asking or Stay()

    def _take(self) -> None:
        job = self._job
        if job is None or not job.over:
            return
        self._job = None
        self.stated = job.result()
        self._said = job.faults
        if job.again and self._again is not None:
            # what is typed for it must reach no other place
            self._asking, self._said = self._again(), ()
            self._asking.faults = (*job.faults, say("passphrase_again"))

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Enter asks what is needed, then signs."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        if self._job is not None:
            return Bell()
        if action == "back":
            return Back()
        if action == "file" and self.stated is not None:
            return self._write(self.stated)
        if action in ARROWS:
            return self._turn(turned_by(action))
        if action != "enter":
            return Bell()
        if self.stated is not None:
            return Back()
        try:
            self._asking, self._said = self._ask(), ()
        except (BadInput, NotDone) as fault:
            return self._refuse(*fault.lines)
        return Stay()

    def _turn(self, step: int) -> Outcome:
        if not 0 <= self._turned + step < len(self._pages):
            return Bell()
        self._turned += step
        return Stay()

    def _write(self, stated: Stated) -> Outcome:
        """What was signed, and the command that checks it, into a text file."""
        rows = [f"{label}: {text}" for label, text in seal_view.stated_rows(stated)]
        for section in seal_view.stated_sections(self.desk.book, stated):
            rows += ["", section.title, *(label for label, _ in section.rows)]
        try:
            path = write_new(self.desk, stated.path.stem, ("\n".join(rows) + "\n").encode())
        except NotDone as fault:
            return self._refuse(*fault.lines)
        return self._tell(say("written_to", path=path))


def _ask_yes(name: str, sign: Callable[[bytes], Asking | Outcome]) -> Asking:
    """A key without a passphrase here signs only after a word of consent."""

    def answer(text: str) -> Asking | Outcome:
        if text.casefold() != say("seal_yes"):
            raise BadInput.of("seal_not_said", x=quoted(text))
        return sign(b"")

    return Asking(say("ask_seal_open", name=name), answer, hint=(say("ask_seal_open_hint"),))
