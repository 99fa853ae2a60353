"""The contents: what is left open leads back to its place, also after a power cut."""

import os

from assaybench.bench.desk import Desk
from assaybench.bench.open_logs import open_logs
from assaybench.bench.openings import new_run, open_run
from assaybench.bench.page import Bell, Open, Room
from assaybench.bench.pages.tray import TrayPage
from assaybench.logbook.folder import LogName
from assaybench.logbook.lock import note_path
from assaybench.logbook.register import Register
from assaybench.logbook.signing import signature_path
from tests.bench.conftest import Clock
from tests.bench.contents_hands import broken_off, contents, margin_of, text_of_page
from tests.bench.furnace_run import drawn_run


def test_an_empty_book_begins_with_what_can_be_begun(desk: Desk) -> None:
    page = contents(desk)
    assert "Left open" not in text_of_page(page)
    assert page.sheet(Room()).promise == "Enter begins a furnace run."
    assert "Nothing is left open." in margin_of(page)
    assert not desk.book.root.exists()


def test_the_pointer_rests_on_the_log_used_last_at_its_place(desk: Desk, clock: Clock) -> None:
    run = drawn_run(desk, clock)
    run.close()
    page = contents(desk)
    assert "  > furnace run 0001  . . . . . . . . . . . . . cupel B6 │" in text_of_page(page)
    assert page.sheet(Room()).promise == "Enter opens furnace run 0001 at cupel B6."


def test_enter_alone_leads_back_to_the_place(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    page = contents(desk)
    found = page.act("enter")
    assert isinstance(found, Open)
    tray = found.page
    assert isinstance(tray, TrayPage)
    assert tray.sample == "KV-025"
    page.close()


def test_after_a_power_cut_the_margin_says_what_is_there(desk: Desk, clock: Clock) -> None:
    tail = b"[[entry]]\nn = "
    path = broken_off(desk, clock, tail)
    clock.go_on(29)
    page = contents(desk)
    work = open_logs(desk).logs[0]
    n = sum(entry.kind not in ("session", "recovered") for entry in work.entries)
    assert margin_of(page).startswith(
        "The work broke off after 14:31. What was half typed for cupel B6 is not stored. "
        f"The {n} entries before it are stored, gap of 29 min. Go on with cupel B6. "
        f"Its unfinished end, {len(tail)} bytes, is kept aside when you open it."
    )
    before = path.read_bytes()
    text_of_page(page)
    assert path.read_bytes() == before, "looking changes nothing"


def test_going_on_after_a_power_cut_keeps_every_entry(desk: Desk, clock: Clock) -> None:
    path = broken_off(desk, clock, b"[[entry]]\nn = ")
    stored = open_logs(desk).logs[0].entries
    page = contents(desk)
    assert isinstance(page.act("enter"), Open)
    page.close()
    log = open_logs(desk).logs[0]
    assert log.entries[: len(stored)] == stored
    assert [e.kind for e in log.entries[len(stored) :]] == ["recovered", "session"]
    assert path.with_name("000001.torn-1").read_bytes() == b"[[entry]]\nn = "
    assert "broke off" not in margin_of(contents(desk))


def test_a_log_that_another_program_has_open_is_told(desk: Desk, clock: Clock) -> None:
    run = drawn_run(desk, clock)
    name = LogName("MAIN", 1)
    note = note_path(desk.book.lock(desk.book.log(name)))
    kept = note.read_text()
    run.close()
    # the first process of a system is always there
    note.write_text(kept.replace(f"pid = {os.getpid()}", "pid = 1"))
    page = contents(desk)
    assert "furnace run 0001 is open elsewhere: KB, since 14:31." in margin_of(page)
    assert "broke off" not in margin_of(page)


def test_a_run_that_is_held_elsewhere_is_not_opened_twice(desk: Desk, clock: Clock) -> None:
    run = drawn_run(desk, clock)
    page = contents(desk)
    assert page.act("enter") == Bell()
    assert "000001.toml" in margin_of(page)
    run.close()
    assert isinstance(page.act("enter"), Open)
    page.close()


def test_going_back_and_forth_keeps_one_session_open(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    page = contents(desk)
    first = page.act("enter")
    page.come_back()
    again = page.act("enter")
    assert isinstance(first, Open)
    assert isinstance(again, Open)
    assert isinstance(first.page, TrayPage)
    assert isinstance(again.page, TrayPage)
    assert first.page.run is again.page.run
    assert "broke off" not in margin_of(page), "what is open here did not break off"
    page.close()
    assert sum(e.kind == "session" for e in open_logs(desk).logs[0].entries) == 1


def test_the_log_written_last_is_the_first(desk: Desk, clock: Clock) -> None:
    for _ in range(3):
        new_run(desk).close()
    run = open_run(desk, LogName("MAIN", 2))
    run.append("note", {"text": "gone on with"})
    run.close()
    assert [log.name.number for log in open_logs(desk).logs] == [2, 3, 1]


def test_sealed_and_void_numbers_are_not_left_open(desk: Desk) -> None:
    for _ in range(3):
        new_run(desk).close()
    with Register(desk.book, "MAIN", desk.keeper()) as register:
        register.void(2, "begun by mistake")
        register.sealed(3, "0" * 128, 100)
    mark = desk.book.mark(LogName("MAIN", 3))
    mark.parent.mkdir(parents=True)
    for part in (mark, signature_path(mark)):
        assert [log.name.number for log in open_logs(desk).logs] == [3, 1], "its mark is not there"
        part.touch()
    assert [log.name.number for log in open_logs(desk).logs] == [1]


def test_a_number_without_its_log_is_gone_on_with(desk: Desk) -> None:
    run = new_run(desk, "cut off")
    run.close()
    desk.book.log(LogName("MAIN", 1)).unlink()
    page = contents(desk)
    assert "furnace run 0001  . . . . . . . . . . . . no log yet" in text_of_page(page)
    assert isinstance(page.act("enter"), Open)
    page.close()
    log = open_logs(desk).logs[0]
    assert log.there
    assert log.entries[0].values["title"] == "cut off"


def test_a_damaged_log_is_named_with_its_line(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    path = desk.book.log(LogName("MAIN", 1))
    path.write_bytes(path.read_bytes().replace(b"0.314", b"0.341"))
    page = contents(desk)
    assert "damaged, line " in text_of_page(page)
    assert margin_of(page).startswith("000001.toml is damaged")
    assert "broke off" not in margin_of(page)
