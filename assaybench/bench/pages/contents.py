"""The contents, home of the bench: what is left open, what can be begun, what can be looked up.

Only what there is a page for is listed. The pointer rests on the log that was used last, so Enter
alone leads back to the place where the work was left.
"""

from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from assaybench.bench.asking import ANSWER_KEYS, Asking
from assaybench.bench.characters import leader
from assaybench.bench.desk import Desk
from assaybench.bench.left_open import LeftOpen
from assaybench.bench.one_run import OneRun
from assaybench.bench.open_logs import (
    CIRCUIT_TEST,
    FURNACE_RUN,
    OpenLog,
    OpenLogs,
    balance_names,
    balances_of,
    told_of,
)
from assaybench.bench.page import Bell, Close, Open, Outcome, Page, Room, Stay
from assaybench.bench.page_habits import Asks
from assaybench.bench.pages.beginning import Keep, ask_run, ask_title, signed
from assaybench.bench.pages.index import Find
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import Beside, Line, Sheet, Span, line
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName
from assaybench.messages import BadInput, say

if TYPE_CHECKING:
    from assaybench.bench.run_log import RunLog

KEYS = ("furnace", "test", "sums", "index", "help", "back.close")
_BEGUN = ("furnace", "practice", "test", "guide")
"""What is begun; the other lines open a page."""


Layer = Callable[["RunLog"], Page]
"""Makes a page of the log that is open."""


class Door(NamedTuple):
    """A page that the contents lead to.

    Attributes:
        open: makes it.
        text: what the contents say of it now; left out, its usual words.
    """

    open: Callable[[], Page]
    text: Callable[[], str] | None = None


class _Entry(NamedTuple):
    """A line of the contents that the pointer can rest on."""

    text: str
    end: str
    promise: str
    go: Callable[[], Outcome]
    key: str = "enter.open"


class _Group(NamedTuple):
    heading: str
    entries: list[_Entry]


_BEGIN = (
    ("furnace", "contents_furnace"),
    ("practice", "contents_practice"),
    ("test", "contents_test"),
    ("guide", "contents_guide"),
    ("sums", "contents_sums"),
)
_THINK = (("plan", "contents_plan"), ("compare", "contents_compare"))
_LOOK_UP = (
    ("balances", "contents_balances"),
    ("logbook", "contents_logbook"),
    ("heaps", "contents_heaps"),
    ("settings", "contents_settings"),
)
_GROUPS = (("group_begin", _BEGIN), ("group_think", _THINK), ("group_look_up", _LOOK_UP))


class ContentsPage(Saying, Asks):
    """The contents.

    Attributes:
        desk: what the bench works with.
        notes: what the margin says first, such as a bad setting.
        at_hand: the log that is open, one at a time.
    """

    name = "contents"

    def __init__(
        self,
        desk: Desk,
        tray: Layer,
        doors: Mapping[str, Door] | None = None,
        *,
        balances: Layer | None = None,
        guided: Layer | None = None,
        seal: Layer | None = None,
        keep: Keep = lambda _changes: None,
        key_of: Callable[[str], str] = lambda action: action[0],
        title: str = "AssayBench",
        notes: tuple[str, ...] = (),
        later: bool = False,
    ) -> None:
        """Lay the contents out.

        Args:
            desk: what the bench works with.
            tray: makes the page of a furnace run.
            doors: other pages, by the action that opens them.
            balances: makes the page of the balances of a furnace run.
            guided: makes the page that leads through a first circuit test.
            seal: makes the page of a seal, where one that broke off is gone on with.
            keep: stores settings that were typed here.
            key_of: the key of an action, as printed.
            title: the left end of the running head.
            notes: what the margin says first.
            later: whether the logs are only named at first, and read at the first tick or key.
        """
        self.desk, self.notes = desk, notes
        self._tray, self._balances, self._guided, self._seal = tray, balances, guided, seal
        self._doors, self._keep = dict(doors or {}), keep
        self._key_of, self._title = key_of, title
        self.at_hand = OneRun(desk)
        self._asking: Asking | None = None
        self._pointer = 0
        self._lines = Room().block_lines
        self._left_open = LeftOpen(desk, later=later)
        if not later:
            self.come_back()

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The contents as they stand."""
        self._lines = room.block_lines
        groups = self._groups()
        block: list[Line] = []
        pointed = min(self._pointer, sum(len(group.entries) for group in groups) - 1)
        place, balance_row, promise, enter = 0, 0, "", "enter.open"
        for group in groups:
            block += [(), line(Span(group.heading, "bold"))]
            if group.heading == say(_GROUPS[-1][0]):
                balance_row = len(block)
            for entry in group.entries:
                here = place == pointed
                mark = "> " if here else "  "
                block.append(line(leader(mark + entry.text, entry.end, room.block_width)))
                promise, enter = (entry.promise, entry.key) if here else (promise, enter)
                place += 1
        now = self.desk.clock()
        by = f" · {self.desk.by}" if self.desk.by else ""
        return Sheet(
            left=self._title,
            title=say("title_contents"),
            right=f"{now:%A} {now.day} {now:%B}{by}",
            block=tuple(block),
            margin=self._margin(now, balance_row),
            promise=promise,
            keys=ANSWER_KEYS if self._asking else (enter, *filter(self._has, KEYS)),
            typing=self._asking.typing if self._asking else None,
            about=(say("about_contents"),),
        )

    def _has(self, key: str) -> bool:
        return key not in {a for _, group in _GROUPS for a, _ in group} or self.goes(key)

    def goes(self, action: str) -> bool:
        """Whether an action of the contents leads anywhere."""
        if action == "balances":
            return self._balances is not None and bool(self.logs.of(FURNACE_RUN))
        begun = action in _BEGUN and (action != "guide" or self._guided is not None)
        return begun or action in self._doors

    def _groups(self) -> list[_Group]:
        left = [self._left(log) for log in self.logs.work[: self._shown_left()]]
        groups = [_Group(say("group_left_open"), left), *self._others()]
        return [group for group in groups if group.entries]

    def _others(self) -> list[_Group]:
        groups = [_Group(say(h), [e for e in map(self._line, rows) if e]) for h, rows in _GROUPS]
        return [group for group in groups if group.entries]

    def _most_left(self) -> int:
        """How many logs left open there is room for."""
        others = sum(len(group.entries) + 2 for group in self._others())
        return max(self._lines - others - 2, 1)

    def _left(self, log: OpenLog) -> _Entry:
        where = log.where if log.there else say("bench_left_missing")
        at = "" if log.where in ("", say("bench_left_empty")) else f" at {log.where}"
        promise = say("promise_open", log=log.spelled, where=at)
        return _Entry(log.spelled, where, promise, lambda: self._open(log))

    def _line(self, row: tuple[str, str]) -> _Entry | None:
        action, code = row
        if not self.goes(action):
            return None
        door = self._doors.get(action)
        text = door.text() if door and door.text else say(code)
        if action == "balances" and (names := balance_names(self.logs.of(FURNACE_RUN)[0])):
            text = say("contents_balances_of", names=", ".join(names))
        begins = action in _BEGUN
        promise = say("promise_begin" if begins else "promise_page", what=text)
        key = "enter.begin" if begins else "enter.open"
        return _Entry(text, self._key_of(action), promise, lambda: self._go(action), key)

    def _margin(self, now: datetime, balance_row: int) -> tuple[str | Beside, ...]:
        if self._asking is not None:
            return self._asking.margin
        logs = self.logs.work
        said: list[str | Beside] = [*self._said, *self.notes]
        if self.logs.fault:
            said.append(self.logs.fault)
        waits = self._left_open.waits
        said += [waits] if waits else []
        said += told_of(logs, now)
        if not logs and not waits:
            said.append(Beside(1, say("bench_no_open")))
        hidden = len(self.logs.all_work) + self.logs.more - self._shown_left()
        if hidden > 0:
            said.append(say("bench_more_open", n=hidden))
        if self._left_open.unread:
            return tuple(said)
        if logs and (told := balances_of(logs[0], now)):
            said.append(Beside(max(balance_row - 1, 0), "\n".join(told)))
        return tuple(said)

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """An action of the contents."""
        self.tick(self.desk.clock())
        self._said = ()
        if self._asking is not None:
            return self._asked(action)
        entries = [entry for group in self._groups() for entry in group.entries]
        match action:
            case "enter":
                return entries[min(self._pointer, len(entries) - 1)].go()
            case "up" | "down":
                step = 1 if action == "down" else -1
                self._pointer = max(0, min(self._pointer + step, len(entries) - 1))
                return Stay()
            case "back":
                return Close()
        return self._go(action) if self.goes(action) else Bell()

    @property
    def working(self) -> bool:
        """Whether a long register is being read."""
        return self._left_open.working

    def tick(self, now: datetime) -> bool:
        """Read the logs when they were only named so far."""
        if self._left_open.unread:
            self.come_back()
            return True
        working, before = self.working, self._shown_left()
        if self._left_open.take() and self._pointer:
            # it stays on its line
            self._pointer = max(self._pointer + self._shown_left() - before, 0)
        return working

    def come_back(self) -> None:
        """Look again what is left open."""
        self._left_open.look(self.run.name if self.run else None)
        self._pointer = 0

    @property
    def logs(self) -> OpenLogs:
        """What is left open, and what the register counts."""
        return self._left_open.logs

    def _shown_left(self) -> int:
        return min(len(self.logs.work), self._most_left())

    def close(self) -> None:
        """Close the run that is open; everything in it is stored."""
        self.at_hand.close()

    @property
    def run(self) -> "RunLog | None":
        """The log that is open, None when none is."""
        return self.at_hand.run

    def finds(self) -> list[Find]:
        """The logs left open, for the index."""
        self.tick(self.desk.clock())
        return [
            Find(f"{log.spelled} {log.title}".rstrip(), log.where, partial(self._open, log))
            for log in self.logs.all_work
        ]

    def _asked(self, action: str) -> Outcome:
        asking = self._asking
        if asking is None or action not in ("enter", "back"):
            return Bell()
        if action == "back":
            self._asking = None
            return Stay()
        return self._next(asking.enter())

    def _next(self, answer: Asking | Outcome) -> Outcome:
        if isinstance(answer, Asking):
            self._asking = answer
            return Stay()
        self._asking = None
        return answer

    # --- ways -----------------------------------------------------------------------------------

    def _go(self, action: str) -> Outcome:
        if action == "furnace":
            begin = partial(self._begin, log=FURNACE_RUN)
            return self._signed(lambda: ask_run(self.desk, self._kept, begin))
        if action == "test":
            begin = partial(self._begin, log=CIRCUIT_TEST)
            return self._signed(lambda: ask_title(self.desk, begin))
        if action == "guide":
            return self._signed(lambda: self._begin("", CIRCUIT_TEST, self._guided))
        if action == "balances":
            log = self.logs.of(FURNACE_RUN)[0]
            return self._signed(lambda: self._laid_out(lambda: self.at_hand.gone_on(log),
                                                       self._balances))  # fmt: skip
        if action == "practice":
            return self._signed(lambda: self._laid_out(self.at_hand.practised))
        return Open(self._doors[action].open())

    def _open(self, log: OpenLog) -> Outcome:
        page = self._seal if log.seal_begun else None
        return self._signed(lambda: self._laid_out(lambda: self.at_hand.gone_on(log), page))

    def _begin(self, title: str, log: str, page: Layer | None = None) -> Outcome:
        return self._laid_out(lambda: self.at_hand.begun(title, log), page)

    def _laid_out(self, opened: Callable[[], "RunLog"], page: Layer | None = None) -> Outcome:
        """A page of a run that is opened now: its tray, or another one."""
        return self._try(lambda: Open((page or self._tray)(opened())))

    def tray_of(self, name: LogName) -> Page:
        """The first page of a log that was left open, for another page.

        Raises:
            BadInput: nobody said who weighs.
            NotDone: it is busy or cannot be read.
        """
        self.desk.keeper()
        return self._tray(self.at_hand.gone_on(OpenLog(name, FURNACE_RUN, "")))

    def _signed(self, go: Callable[[], Asking | Outcome]) -> Outcome:
        """Go on when it is known who works here; else ask first."""
        return self._next(signed(self.desk, go))

    def _kept(self, changes: Mapping[str, object]) -> None:
        """Store settings; what cannot be stored is told and keeps nobody from weighing."""
        try:
            self._keep(changes)
        except (BadInput, NotDone) as fault:
            self.notes = (*self.notes, *fault.lines)
