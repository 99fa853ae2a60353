"""Two hands at a bench without a terminal: keys are pressed on a stack of pages, pages are read."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta, timezone
from typing import Any

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.frame import as_text, room, set_page
from assaybench.bench.page import Back, Outcome, Room, Stay
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import Sheet
from assaybench.bench.stack import Effect, Stack
from assaybench.logbook.logfile import Row
from assaybench.record.entries import Entry
from tests.bench.whole import whole

ZONE = timezone(timedelta(hours=2))
SAFETY = ("safety_pulp", "safety_flux", "safety_fire", "safety_beads", "safety_parting")
FINE: Row = ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg",
                         "weighs": ["bead", "gold", "silver"]})  # fmt: skip
PULP: Row = ("balance", {"name": "pulp", "step": "0.01 g", "spread": "0.007 g",
                         "weighs": ["charge"]})  # fmt: skip


def at_once(run: Callable[[], None]) -> None:
    """Do the work here and now, for pages without an app."""
    run()


class Floor:
    """What lies under the first page of a test."""

    name = "contents"

    def sheet(self, _room: Room) -> Sheet:
        return Sheet("", "FLOOR", "", (), (), "", ())

    def act(self, _action: str) -> Outcome:
        return Back()

    def typed(self, _key: str, _character: str) -> Outcome:
        return Stay()

    def tick(self, _now: datetime) -> bool:
        return False

    def come_back(self) -> None:
        return


class Hands:
    """Presses keys on the tray of a run, and reads what is shown."""

    def __init__(self, run: RunLog, page: Any = None) -> None:
        self.run = run
        self.stack = Stack(Floor(), keymap({}))
        self.stack.pages.append(page or TrayPage(run))
        self.pressed: list[str] = []

    def press(self, *keys: str) -> Effect:
        effect = Effect()
        for key in keys:
            self.pressed.append(key)
            effect = self.stack.press(
                key, " " if key == "space" else key if len(key) == 1 else None
            )
        return effect

    def type(self, text: str) -> None:
        self.press(*("space" if sign == " " else sign for sign in text))

    def enter(self, *texts: str) -> Effect:
        """Each text typed, with Enter behind it; an empty one is Enter alone."""
        effect = Effect()
        for text in texts or ("",):
            self.type(text)
            effect = self.press("enter")
        return effect

    def refused(self, text: str, said: str) -> None:
        """An answer that is named in the margin and asked again; nothing of it is stored."""
        asked, before = self.sheet.typing, len(self.run.entries)
        self.enter(text)
        typing = self.sheet.typing
        assert said in " ".join(self.margin)
        assert asked is not None
        assert typing is not None
        assert typing.prompt == asked.prompt
        assert len(self.run.entries) == before

    @property
    def page(self) -> Any:
        return self.stack.top

    @property
    def sheet(self) -> Sheet:
        return self.stack.top.sheet(Room())

    @property
    def margin(self) -> list[str]:
        """The remarks, each on one line."""
        texts = (m if isinstance(m, str) else m.text for m in self.sheet.margin)
        return [text.replace("\n", " ") for text in texts]

    @property
    def promise(self) -> str:
        typing = self.sheet.typing
        return self.sheet.promise if typing is None else f"{typing.prompt} {typing.text}".strip()

    def text(self, width: int = 80, height: int = 24, *, ascii_only: bool = False) -> str:
        """The page as it is set; all of it can be read."""
        sheet = self.stack.top.sheet(room(width, height))
        assert whole(sheet, self.stack.keys, width, height) == []
        return as_text(set_page(sheet, self.stack.keys, width, height, ascii=ascii_only))

    def last(self, kind: str = "") -> Entry:
        """The last entry, or the last of a kind."""
        return next(e for e in reversed(self.run.entries) if kind in ("", e.kind))

    def kinds(self, n: int) -> list[str]:
        return [e.kind for e in self.run.entries[-n:]]


def sample_rows(*samples: tuple[str, str], **more: object) -> list[Row]:
    """A sample and its place, each: ids with their places."""
    rows: list[Row] = []
    for identity, place in samples:
        rows.append(("sample", {"id": identity, "role": "sample", **more}))
        rows.append(("position", {"sample": identity, "place": place, "plan": "muffle"}))
    return rows


def read_rows(balance: str, what: str, readings: Sequence[tuple[str, str]], unit: str) -> list[Row]:
    return [
        ("reading", {"what": what, "text": text, "unit": unit, "balance": balance, "sample": who})
        for who, text in readings
    ]


def safety_rows() -> list[Row]:
    return [("safety_read", {"line": line}) for line in SAFETY]


def reopened(desk: Desk, run: RunLog) -> RunLog:
    """The same run as another process finds it."""
    from assaybench.bench.openings import open_run

    run.close()
    assert run.name is not None
    return open_run(desk, run.name)
