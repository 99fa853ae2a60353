"""The page of contents, its text, and runs that broke off."""

from pathlib import Path

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.frame import as_text, room, set_page
from assaybench.bench.pages.contents import ContentsPage
from assaybench.bench.pages.tray import TrayPage
from assaybench.logbook.folder import LogName
from assaybench.logbook.lock import note_path
from assaybench.logbook.settings_keys import shown
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run

KEYS = keymap({})
GONE = 4_000_000
"""Put before the number of a process, it makes one that no system gives out."""


def contents(desk: Desk, **more: object) -> ContentsPage:
    return ContentsPage(
        desk,
        TrayPage,
        key_of=lambda action: shown(KEYS.keys[action]),
        **more,  # type: ignore[arg-type]  # the tests give the right ones
    )


def text_of_page(page: ContentsPage, width: int = 80, height: int = 24) -> str:
    return as_text(set_page(page.sheet(room(width, height)), KEYS, width, height))


def margin_of(page: ContentsPage) -> str:
    rows = text_of_page(page).splitlines()[2:21]
    return " ".join(" ".join(row[59:] for row in rows).split())


def broken_off(desk: Desk, clock: Clock, tail: bytes = b"") -> Path:
    """The drawn run, its program gone without closing it, and a torn end; the path of the log."""
    run = drawn_run(desk, clock)
    name = LogName("MAIN", 1)
    path = desk.book.log(name)
    note = note_path(desk.book.lock(path))
    left = note.read_text().replace("pid = ", f"pid = {GONE}")
    run.close()
    note.write_text(left)
    with path.open("ab") as file:
        file.write(tail)
    return path
