"""One log of the logbook: what is known of it, and what can be done with it.

Nothing in it changes here. What can be done, each under its name: its results and its entries are
read, it is verified, reported, bundled for a client, countersigned, replaced, or made void.
"""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import wrapped
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, Post, Start, in_a_thread
from assaybench.bench.log_work import Log, make_bundle, make_report, read_log, reissued, voided
from assaybench.bench.page import Back, Bell, Open, Outcome, Page, Room, Stay
from assaybench.bench.page_habits import Asks, Works
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import BLOCK_WIDTH, Sheet, Span, line
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName
from assaybench.messages import BadInput, say
from assaybench.record import check
from assaybench.report.entry_lines import day_of

_KEYS = ("enter.choose", "arrows", "help", "back")
_INDENT = 2


class Doors(NamedTuple):
    """The pages of one log.

    Attributes:
        results: its results, read only.
        entries: all its entries.
        verify: verifies it.
        countersign: a statement about it.
        seal: goes on with a seal that was broken off.
    """

    results: Callable[[Log], Page]
    entries: Callable[[Log], Page]
    verify: Callable[[], Page]
    countersign: Callable[[Log], Page]
    seal: Callable[[Log], Page]


class _Choice(NamedTuple):
    """A line that the pointer can rest on."""

    text: str
    promise: str
    go: Callable[[], Outcome]


class LogPage(Saying, Asks, Works):
    """One log.

    Attributes:
        desk: where.
        which: its name.
    """

    name = "log"

    def __init__(
        self, desk: Desk, which: LogName, left: str, doors: Doors, start: Start = in_a_thread
    ) -> None:
        """Read the log.

        Args:
            desk: where.
            which: its name.
            left: the left end of the running head.
            doors: the pages it leads to.
            start: how longer work is begun.
        """
        self.desk, self.which, self._left = desk, which, left
        self._doors, self._start = doors, start
        self._asking: Asking | None = None
        self._job: Job[str] | None = None
        self._at = 0
        self._log: Log | None = None
        self._faults: tuple[str, ...] = ()
        self.come_back()

    def come_back(self) -> None:
        """Read it again: it may have been changed from another page."""
        try:
            self._log, self._faults = read_log(self.desk, self.which), ()
        except (BadInput, NotDone) as fault:
            self._log, self._faults = None, fault.lines
        self._at = min(self._at, max(len(self._choices()) - 1, 0))

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """What is known, then the choices."""
        choices = self._choices()
        block = [line(text) for text in self._facts()][: room.block_lines - len(choices) - 1]
        if choices:
            block.append(())
        for i, choice in enumerate(choices):
            here = i == self._at
            text = f"{'>' if here else ' '} {choice.text}"
            block.append(line(Span(text, "bold" if here else "plain")))
        promise = choices[self._at].promise if choices else say("promise_no_log")
        return Sheet(
            left=self._left,
            title=self.which.spelled,
            right=self.desk.who_and_when(),
            block=tuple(block),
            margin=tuple(self._margin()),
            promise=say("promise_working") if self._job is not None else promise,
            keys=ANSWER_KEYS if self._asking is not None else _KEYS,
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_log"),),
        )

    def _facts(self) -> list[str]:
        """What is known of it, at the measure of the page."""
        said = [] if self._log is None else _said_of(self._log)
        return [part for text in said for part in wrapped(text, BLOCK_WIDTH)]

    def _margin(self) -> Iterator[str]:
        if self._asking is not None:
            yield from self._asking.margin
            return
        yield from self._faults
        yield from self._said
        if self._job is not None:
            yield say("log_working")
        if self._log is not None:
            # that it is void stands beside its number, with the reason
            told = (flag for flag in self._log.read.flags if flag.code != "number_void")
            yield from (flag.text.replace("\n", " ") for flag in told)
            if self._log.half:
                yield say("log_half_margin")
            elif self._log.sealed is not None:
                yield say("log_sealed_margin")
        if not self._own_bench:
            yield say("log_other_bench", bench=self.which.bench)

    # --- choices --------------------------------------------------------------------------------

    def _choices(self) -> list[_Choice]:
        log = self._log
        found: list[_Choice] = []

        def add(code: str, go: Callable[[], Outcome]) -> None:
            promise = say(f"promise_{code}", name=self.which.spelled)
            found.append(_Choice(say(code), promise, go))

        if log is not None:
            add("log_results", lambda: self._opened(self._doors.results, log))
            add("log_entries", lambda: self._opened(self._doors.entries, log))
            add("log_verify", lambda: Open(self._doors.verify()))
            add("log_report", lambda: self._begin(lambda _post: make_report(self.desk, log)))
        if log is not None and log.is_sealed:
            add("log_bundle", self._ask_bundle)
        if not self._own_bench:
            return found
        if log is not None and log.half and not log.read.damaged:
            add("log_seal_on", lambda: self._opened(self._doors.seal, log))
        if log is not None and log.is_sealed:
            add("log_countersign", lambda: self._opened(self._doors.countersign, log))
            if not log.read.replaced_by:
                add("log_reissue", lambda: self._ask_reason("log_reissue_hint", self._reissue))
        elif log is None or not (log.read.void or log.register_seal or log.half):
            add("log_void", lambda: self._ask_reason("log_void_hint", self._void))
        return found

    @property
    def _own_bench(self) -> bool:
        """Whether it is of this bench: another bench's register is never written here."""
        return self.which.bench == self.desk.bench

    def _opened(self, door: Callable[[Log], Page], log: Log) -> Outcome:
        """Open a page of the log; one that cannot be opened says why."""
        return self._try(lambda: Open(door(log)))

    def _begin(self, work: Callable[[Post], str]) -> Outcome:
        """Work that takes a while; the page says what came of it."""
        self._job = Job(work, self._start)
        self._take()
        return Stay()

    def _take(self) -> None:
        job = self._job
        if job is None or not job.over:
            return
        self._job = None
        said = job.result()
        self._said = job.faults if said is None else (said,)

    def _ask_bundle(self) -> Outcome:
        log = self._log
        if log is None:
            return Bell()
        usual = self.desk.book.reports / f"{self.which.spelled}-bundle"

        def answer(text: str) -> Outcome:
            return self._begin(lambda _post: make_bundle(self.desk, log, text, usual))

        hint = say("ask_bundle_hint", folder=usual)
        self._asking = Asking(say("ask_bundle"), answer, "text", (hint,))
        return Stay()

    def _ask_reason(self, hint: str, then: Callable[[str], str]) -> Outcome:
        """Ask why; an empty answer stores nothing."""

        def answer(text: str) -> Outcome:
            if not text:
                raise BadInput.of("ask_reason_hint")
            said = then(check.text(text))
            self.come_back()
            return self._tell(said)

        try:
            self.desk.keeper()
        except BadInput as fault:
            return self._refuse(*fault.lines)
        hints = (say(hint, name=self.which.spelled),)
        self._asking = Asking(say("ask_reason"), answer, "text", hints)
        return Stay()

    def _void(self, why: str) -> str:
        return voided(self.desk, self.which, why)

    def _reissue(self, why: str) -> str:
        return reissued(self.desk, self.which, why)

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Arrows move over the choices, Enter does the one under the pointer."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        if action == "back":
            return Back()
        choices = self._choices()
        if self._job is not None or not choices:
            return Bell()
        match action:
            case "up" | "down":
                step = 1 if action == "down" else -1
                self._at = (self._at + step) % len(choices)
            case "enter":
                self._said = ()
                return choices[self._at].go()
            case _:
                return Bell()
        return Stay()


def _said_of(log: Log) -> Iterator[str]:
    """What a log is, who opened it, who sealed it, what stands beside it."""
    read = log.read
    title = str(read.opened.get("title", ""))
    yield say("log_is", log=read.opened.get("log", say("logbook_kind")), title=title).rstrip(" ,")
    if read.own:
        first = read.own[0]
        yield say("log_opened", day=day_of(first.at), by=first.by)
    yield say("log_holds", n=len(read.own), samples=log.samples)
    if log.sealed is not None:
        yield say("log_sealed_by", day=day_of(log.sealed.at), **log.signer)
        yield say("log_key", key=log.sealed.values.get("fingerprint", ""))
    if log.statements:
        yield say("log_statements", n=log.statements)
    if read.void:
        yield say("logbook_void", why=read.void)
    if log.torn:
        yield say("log_torn_ends", n=log.torn)
