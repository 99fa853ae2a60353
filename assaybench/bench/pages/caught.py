"""The page of a circuit test: what both stages caught of each size, and each recovery as a line.

Nothing here changes the log. `s` supposes a catch of stage 2, and a `+` stands on each line where
recovery would be then; the whole page can be had in plain words as a file.
"""

from datetime import datetime

from assaybench.bench import caught_lines, caught_remarks, streams_lines
from assaybench.bench.amounts import in_percent
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.caught_lines import Row, Shown
from assaybench.bench.circuit_checks import overlapping
from assaybench.bench.circuit_model import Model
from assaybench.bench.circuit_waits import portions, unfelt, waits
from assaybench.bench.minutes import Minute
from assaybench.bench.page import UP_DOWN, Back, Bell, Open, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks
from assaybench.bench.pages import losing
from assaybench.bench.pages.caught_sum import CaughtSumPage
from assaybench.bench.pages.form_page import FormPage
from assaybench.bench.pages.runs import RunsForm
from assaybench.bench.pages.value_page import ValueForm
from assaybench.bench.result_remarks import fits, fitting
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import Line, Sheet, line
from assaybench.bench.words_file import write_words
from assaybench.circuit.recovery import CircuitResult, recover
from assaybench.circuit.streams import FeedTest
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput, say
from assaybench.record.circuit_run import Circuit, circuit_of, mixed_circuit
from assaybench.units import parse

_MARGIN_LINES = 18
"""The most that a page of 24 lines says beside its figures; a higher one has room for all."""
_KEYS = ("enter.sum", "arrows", "suppose", "value", "compare", "help", "back")
_FEED_KEYS = ("enter.sum", "arrows", "words", "compare", "help", "back")
_NO_KEYS = ("enter.back", "help", "back")


class CaughtPage(Asks):
    """What was caught in one circuit test.

    Attributes:
        run: the log.
        supposed: the catch of stage 2 that is supposed, a share of one; None when none is.
        faults: why nothing can be worked out; empty when it can.
    """

    name = "caught"

    def __init__(self, run: RunLog) -> None:
        """Work it out.

        Args:
            run: the log.
        """
        self.run = run
        self.supposed: float | None = None
        self.faults: tuple[str, ...] = ()
        self._at: int | None = None
        self._top = 0
        self._asking: Asking | None = None
        self._said: tuple[str, ...] = ()
        self._entries = -1
        self._minute = Minute()
        self._circuit: Circuit | FeedTest | None = None
        self._mixed: list[str] = []
        self._shown: Shown | None = None
        self._look()

    def _look(self) -> None:
        """Work everything out anew, when the log has grown."""
        if self._entries == len(self.run.entries):
            return
        self._entries = len(self.run.entries)
        self._circuit, self._shown, self.faults, self._mixed = None, None, (), []
        try:
            found = self.run.results()
            self._circuit = circuit_of(found)
            self._mixed = [" ".join(flag.text.split()) for flag in mixed_circuit(found)]
        except BadInput as fault:
            # the sentence of the record asks for a line of a sheet; here is none
            self.faults = tuple(unfelt(self.run)) or fault.lines
        if self._circuit is None:
            self.faults = tuple(waits(self.run)) or self.faults
        self._show()

    def _show(self) -> None:
        if isinstance(self._circuit, Circuit):
            self._shown = caught_lines.shown(self._circuit, self._result(self._circuit))

    def _result(self, circuit: Circuit) -> CircuitResult | None:
        """The result with the supposed catch; its weighing is that of the log."""
        if self.supposed is None:
            return None
        most = circuit.result.total.by("at most")
        fineness = Model(self.run.state).share("fineness_spread")
        return recover(
            circuit.sources,
            circuit.test,
            second_stage=self.supposed,
            u_fineness=float(parse.share(fineness, "fineness_spread", 0, 100)) if fineness else 0.0,
            layer="weighing" if most is None else most.figure.layer,
        )

    @property
    def row(self) -> Row | None:
        """The size that was chosen, else all of them; None while there is nothing."""
        if self._shown is None:
            return None
        rows = self._shown.rows
        if self._at is None:
            return caught_lines.of_all(self._shown)
        return rows[min(self._at, len(rows) - 1)]

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """Products, table and lines; remarks in the margin."""
        self._look()
        return Sheet(
            left=self.run.title,
            title=say("title_caught"),
            right=self.run.desk.who_and_when(),
            block=tuple(self._block(room.block_lines)),
            margin=tuple(self._margin(room)),
            promise=self.run.promise(self._promise),
            keys=self._keys,
            typing=self._asking.typing if self._asking is not None else None,
            about=(*self._about, *self._words()),
        )

    @property
    def _feed(self) -> FeedTest | None:
        """A feed and its products, where nothing was run again."""
        return self._circuit if isinstance(self._circuit, FeedTest) else None

    @property
    def _about(self) -> tuple[str, ...]:
        if self._feed is not None:
            return (say("about_streams"),)
        words = ("about_caught", "about_circuit_words", "about_caught_words", "about_caught_more")
        return tuple(map(say, words))

    @property
    def _promise(self) -> str:
        if self._circuit is None:
            return "promise_caught_none"
        return "promise_caught_sum" if self._feed is None else "promise_caught_feed"

    @property
    def _keys(self) -> tuple[str, ...]:
        if self._asking is not None:
            return ANSWER_KEYS
        if self._circuit is None:
            return _NO_KEYS
        return _KEYS if self._feed is None else _FEED_KEYS

    def _block(self, lines: int) -> list[Line]:
        if self._shown is not None:
            return caught_lines.lines(self._shown, lines, self._at)
        if self._feed is None:
            return [(), line(f"  {say('caught_none')}")]
        found = streams_lines.lines(self._feed)
        self._top = max(0, min(self._top, len(found) - lines))
        return found[self._top : self._top + lines]

    def _margin(self, room: Room) -> list[str]:
        if self._asking is not None:
            return [*self._asking.margin]
        page, row = self._shown, self.row
        if page is None or row is None:
            told = [" ".join(text.split()) for text in self._told()]
            longer = self._feed and len(streams_lines.lines(self._feed)) > room.block_lines
            more = say("streams_more") if longer else ""
            first = [*self._said, *self._mixed, *told[:1]]
            return fitting(first, told[1:], more, room.margin_width, _said_lines(room))
        first = [*self._said, *self._mixed, *overlapping(page.sizes), *portions(self.run)[:1]]
        first += caught_remarks.first(page, row, chosen=self._at is not None)
        grains, size = Model(self.run.state).grains_of_both, (room.margin_width, _said_lines(room))
        others = [*caught_remarks.middle(page, row), *caught_remarks.last(page, grains)]
        first, more = [*dict.fromkeys(first)], say("caught_more")
        while len(first) > 1 and not fits([*first, more], *size):
            others.insert(0, first.pop())
        others = [text for text in others if text not in first]
        long = [*others, *caught_remarks.of_sample(page, grains)]
        found = fitting(first, long, "", *size)
        return found if set(others) <= set(found) else fitting(first, long, more, *size)

    def _told(self) -> list[str]:
        """Why there is nothing; or what a feed and its products say of themselves."""
        return [*self.faults] if self._feed is None else streams_lines.remarks(self._feed)

    def _words(self) -> tuple[str, ...]:
        """The numbers of the page in words, for the help page and for the file."""
        if self._feed is not None:
            return tuple(streams_lines.in_plain_words(self._feed))
        return () if self._shown is None else tuple(caught_lines.in_plain_words(self._shown))

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """What an action does."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        if action == "back":
            return Back()
        if self._circuit is None:
            return Back() if action == "enter" else Bell()
        try:
            return self._do(action, self._circuit)
        except (BadInput, NotDone) as fault:
            self._said = fault.lines
            return Bell()

    def _do(self, action: str, circuit: Circuit | FeedTest) -> Outcome:
        if action in UP_DOWN:
            return self._walk(UP_DOWN[action])
        match action:
            case "enter":
                return Open(CaughtSumPage(self.run, circuit))
            case "suppose" if self._shown is not None:
                self._asking = Asking(
                    say("ask_suppose"), self._suppose, "share", (say("hint_suppose"),)
                )
            case "words":
                return self._write()
            case "compare":
                return Open(FormPage(self.run.desk, self.run.title, RunsForm()))
            case "value" if isinstance(circuit, Circuit):
                return Open(FormPage(self.run.desk, self.run.title, ValueForm(self.run, circuit)))
            case "note":
                self.run.must_be_open()
                self._asking = losing.note(self.run, "", self.run.title, self._stay)
            case _:
                return Bell()
        return Stay()

    def _walk(self, step: int) -> Outcome:
        if self._shown is None:
            self._top += step
            return Stay()
        count = len(self._shown.rows)
        at = (-1 if step > 0 else count) + step if self._at is None else self._at + step
        if not 0 <= at < count:
            return Bell()
        self._at = at
        return Stay()

    def _suppose(self, text: str) -> Outcome:
        if not text:
            self.supposed = None
        else:
            self.supposed = float(parse.share(in_percent(text), say("ask_suppose_what"), 0.1, 100))
        self._show()
        return Stay()

    def _write(self) -> Outcome:
        """The whole page in plain words, into a new file."""
        head = say("words_head", run=self.run.title, title=say("title_caught").lower())
        page, told = self._shown, self._told()
        if page is not None:
            every = caught_lines.of_all(page)
            first = caught_remarks.first(page, every, chosen=False)
            grains = Model(self.run.state).grains_of_both
            end = [*caught_remarks.last(page, grains), *caught_remarks.of_sample(page, grains)]
            told = [*self._mixed, *overlapping(page.sizes), *first]
            told += [*caught_remarks.middle(page, every), *end]
        stem = self.run.file.path.stem if self.run.name is None else self.run.name.spelled
        written = write_words(self.run.desk, f"{stem}-caught", head, self._words(), told)
        return self._stay(written)

    def _stay(self, said: str) -> Outcome:
        self._said = (said,)
        return Stay()

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock."""
        return self._minute.passed(now)

    def come_back(self) -> None:
        """The page on top was left: the log may have grown."""
        self._look()


def _said_lines(room: Room) -> int:
    """Lines of the margin: on the page as drawn one is left free."""
    drawn = Room().block_lines
    return _MARGIN_LINES if room.block_lines <= drawn else room.block_lines
