"""The contents: what is left open leads back to its place, also after a power cut."""

import os
from pathlib import Path

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.frame import as_text, room, set_page
from assaybench.bench.open_logs import open_logs
from assaybench.bench.openings import new_run, open_run
from assaybench.bench.page import Bell, Close, Open, Room, Stay
from assaybench.bench.pages.contents import ContentsPage, Door
from assaybench.bench.pages.help import HelpPage
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.run_log import RunLog
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName
from assaybench.logbook.lock import note_path
from assaybench.logbook.register import LogHead, Register, new_log
from assaybench.logbook.settings_keys import shown
from assaybench.logbook.signing import signature_path
from assaybench.record.handsheet import METHOD_VERSION
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


def type_in(page: ContentsPage, text: str) -> None:
    for sign in text:
        page.typed(sign, sign)


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


def test_a_run_is_begun_by_a_title_and_a_tray(desk: Desk) -> None:
    kept: list[dict[str, object]] = []
    page = contents(desk, keep=lambda changes: kept.append(dict(changes)))
    assert page.act("furnace") == Stay()
    type_in(page, "heap 3, north")
    page.act("enter")
    type_in(page, "5 by 8")
    page.act("enter")
    assert '"5 by 8"' in margin_of(page)
    assert not desk.book.root.exists(), "nothing is numbered before the last answer"
    for _ in "5 by 8":
        page.typed("backspace", "")
    type_in(page, "5 x 8")
    found = page.act("enter")
    assert isinstance(found, Open)
    page.close()
    log = open_logs(desk).logs[0]
    assert log.title == "heap 3, north"
    assert kept == [{"tray": "5 x 8"}]
    assert str(desk.settings.tray) == "5 x 8"


def test_a_tray_that_cannot_be_kept_keeps_nobody_from_weighing(desk: Desk) -> None:
    def refuse(_changes: object) -> None:
        raise NotDone(["settings.toml was not changed: the disk is full."])

    page = contents(desk, keep=refuse)
    page.act("furnace")
    page.act("enter")
    type_in(page, "5 x 8")
    assert isinstance(page.act("enter"), Open)
    assert str(desk.settings.tray) == "5 x 8"
    page.come_back()
    assert margin_of(page).startswith("settings.toml was not changed: the disk is full.")
    page.close()


def test_esc_gives_a_beginning_up_and_numbers_nothing(desk: Desk) -> None:
    page = contents(desk)
    page.act("furnace")
    type_in(page, "no")
    assert page.act("back") == Stay()
    assert page.sheet(Room()).typing is None
    assert not desk.book.root.exists()
    assert page.act("back") == Close()


def test_nobody_works_without_initials(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    desk.by = ""
    page = contents(desk)
    assert page.act("enter") == Stay()
    type_in(page, "1!")
    page.act("enter")
    assert page.sheet(Room()).typing is not None
    page.act("back")
    page.act("enter")
    type_in(page, "IM")
    assert isinstance(page.act("enter"), Open)
    assert desk.by == "IM"
    page.close()


def test_a_practice_run_takes_no_number(desk: Desk) -> None:
    page = contents(desk)
    found = page.act("practice")
    assert isinstance(found, Open)
    assert isinstance(found.page, TrayPage)
    assert found.page.run.practice
    page.close()
    assert open_logs(desk).logs == ()


def test_only_what_there_is_a_page_for_is_listed(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    page = contents(desk)
    listed = text_of_page(page)
    for word in ("plan a charge", "heaps", "settings", "compare", "balances"):
        assert word not in listed
    assert page.act("plan") == Bell()
    help_page = HelpPage(page.sheet(Room()), "contents", KEYS)
    door = Door(lambda: help_page, lambda: "plan a charge for a grade")
    with_door = contents(desk, doors={"plan": door})
    assert "plan a charge for a grade . . . . . . . . . . . .  p" in text_of_page(with_door)
    assert with_door.act("plan") == Open(help_page)


def test_balances_of_the_log_used_last_are_told_beside_their_line(desk: Desk, clock: Clock) -> None:
    def balances(run: RunLog) -> HelpPage:
        return HelpPage(page.sheet(Room()), "contents", KEYS)

    drawn_run(desk, clock).close()
    page = contents(desk, balances=balances)
    assert "balances: fine, pulp  . . . . . . . . . . . . . .  b" in text_of_page(page)
    assert "Not checked today: fine, pulp. Check them before you weigh." in margin_of(page)
    run = open_run(desk, LogName("MAIN", 1))
    check = {"balance": "fine", "weight": "W10", "texts": ["10.001"], "unit": "mg"}
    run.append_all(
        [
            ("weight", {"name": "W10", "mass": "10.000 mg"}),
            ("balance_check", {**check, "tolerance": "0.010 mg"}),
        ]
    )
    run.close()
    page = contents(desk)
    assert "Fine: good at 14:31. Pulp: not checked today." in margin_of(page)
    run = open_run(desk, LogName("MAIN", 1))
    run.append("balance_check", {**check, "texts": ["10.021"], "tolerance": "0.010 mg"})
    run.close()
    assert "Fine: not good at 14:31. Clean, level, check it again." in margin_of(contents(desk))
    clock.go_on(24 * 60)
    assert "Not checked today: fine, pulp." in margin_of(contents(desk))


def test_circuit_tests_left_open_are_listed_and_open_at_their_products(desk: Desk) -> None:
    desk.book.make(desk.files)
    new_log(desk.book, "MAIN", desk.keeper(), LogHead("circuit test", METHOD_VERSION))[1].close()
    page = contents(desk)
    assert "> circuit test 0001 . . . . . . . .  nothing typed yet" in text_of_page(page)
    assert page.finds()[0].label == "circuit test 0001"


def test_more_logs_than_lines_are_counted_and_found_by_the_index(desk: Desk) -> None:
    for i in range(16):
        new_run(desk, f"lot {i}").close()
    page = contents(desk)
    rows = text_of_page(page).splitlines()
    assert rows[21].startswith("  ──")
    listed = sum("furnace run 00" in row for row in rows[:21])
    assert f"And {16 - listed} more; i finds them." in margin_of(page)
    assert page.finds()[0].label == "furnace run 0016 lot 15"
    assert len(page.finds()) == 16
    assert isinstance(page.finds()[-1].go(), Open)
    page.close()


def test_up_and_down_walk_over_entries_and_stop_at_the_ends(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    page = contents(desk)
    seen = []
    for _ in range(5):
        seen.append(page.sheet(Room()).promise)
        page.act("down")
    assert seen == [
        "Enter opens furnace run 0001 at cupel B6.",
        "Enter begins a furnace run.",
        "Enter begins a practice run, never sealed.",
        "Enter begins a circuit test.",
        "Enter begins a circuit test.",
    ]
    for _ in range(5):
        page.act("up")
    assert page.sheet(Room()).promise == seen[0]


def test_the_first_sight_only_names_the_logs_and_the_next_moment_reads_them(
    desk: Desk, clock: Clock
) -> None:
    drawn_run(desk, clock).close()
    page = contents(desk, later=True)
    assert "> furnace run 0001" in text_of_page(page)
    assert "cupel B6" not in text_of_page(page)
    assert page.tick(clock())
    assert "cupel B6" in text_of_page(page)
    assert not page.tick(clock())


def test_a_key_before_that_moment_reads_them_first(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    page = contents(desk, later=True)
    assert isinstance(page.act("enter"), Open)
    page.close()


def test_a_register_that_cannot_be_read_is_told(desk: Desk) -> None:
    desk.book.register("MAIN").mkdir(parents=True)
    page = contents(desk)
    assert "MAIN.toml" in margin_of(page)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_notes_of_the_settings_are_the_first_remark(desk: Desk, size: tuple[int, int]) -> None:
    page = contents(desk, notes=("palette: one of day, lamp.",))
    assert "palette:" in text_of_page(page, *size).splitlines()[2]


def test_of_several_logs_the_one_that_broke_off_is_named_beside_its_line(
    desk: Desk, clock: Clock
) -> None:
    path = broken_off(desk, clock, b"")
    clock.go_on(0.5)
    run = new_run(desk)
    run.append("note", {"text": "another"})
    run.close()
    os.utime(path, ns=(1, 1))
    page = contents(desk)
    rows = text_of_page(page).splitlines()
    at = next(i for i, row in enumerate(rows) if "furnace run 0001" in row)
    assert "furnace run 0002" in rows[at - 1]
    said = [row.partition(" │ ")[2] for row in rows]
    assert said[at].startswith("Furnace run 0001:")
    whole = " ".join(" ".join(said).split())
    assert "Furnace run 0001: The work broke off after 14:31." in whole
    assert "gap of less than a minute" in whole


def test_a_run_without_a_sample_is_promised_without_a_place(desk: Desk) -> None:
    new_run(desk).close()
    page = contents(desk)
    assert page.sheet(Room()).promise == "Enter opens furnace run 0001."
