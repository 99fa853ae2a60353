"""The contents as a page: how work is begun, what is listed, and the walk over it."""

import os

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.open_logs import open_logs
from assaybench.bench.openings import new_run, open_run
from assaybench.bench.page import Bell, Close, Open, Room, Stay
from assaybench.bench.pages.contents import ContentsPage, Door
from assaybench.bench.pages.help import HelpPage
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.run_log import RunLog
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName
from assaybench.logbook.register import LogHead, new_log
from assaybench.record.handsheet import METHOD_VERSION
from tests.bench.conftest import Clock
from tests.bench.contents_hands import KEYS, broken_off, contents, margin_of, text_of_page
from tests.bench.furnace_run import drawn_run


def type_in(page: ContentsPage, text: str) -> None:
    for sign in text:
        page.typed(sign, sign)


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
