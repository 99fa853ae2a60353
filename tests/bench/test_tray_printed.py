"""The tray on paper: the plan, the blank sheet of each step, plans larger than the page."""

from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run, practice_run
from assaybench.bench.printing import file_of
from assaybench.bench.tray import Step
from assaybench.logbook.settings_fields import Settings, Tray
from tests.bench.hands import FINE, PULP, Hands, safety_rows, sample_rows
from tests.bench.tray_hands import empty, hands

__all__ = ["empty", "hands"]


def test_the_print_holds_the_plan_and_a_blank_sheet_with_the_same_places(hands: Hands) -> None:
    hands.press("4", "p")
    path = Path(hands.margin[0].removeprefix("Printed to "))
    text = path.read_text(encoding="utf-8")
    assert path.parent == hands.run.desk.book.reports
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 79
    assert "A   0.298   0.314" in text
    assert [one[:2] for one in text.splitlines() if ". . ." not in one and "......" in one] == [
        f"{row}{column}" for row in "ABCD" for column in range(1, 7) if (row, column) != ("D", 1)
    ], "a line for each but the lost one"
    assert any(one.startswith("D1") and one.endswith("lost") for one in text.splitlines())


def test_practice_says_so_on_the_page_and_on_every_printed_line(desk: Desk) -> None:
    run = practice_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1")), *safety_rows()])
    hands = Hands(run)
    hands.press("4")
    assert hands.sheet.left == "PRACTICE run"
    assert hands.promise.startswith("PRACTICE: ")
    hands.press("p")
    path = Path(hands.margin[0].removeprefix("Printed to "))
    assert all(one.startswith("PRACTICE ") for one in path.read_text("utf-8").splitlines())
    assert path.parent == desk.practice
    hands.press("enter")
    hands.type("0.3")
    assert hands.promise.startswith("PRACTICE: Enter stores 0.3 mg for A1")


def test_the_blank_sheet_names_what_is_weighed_and_who_is_lost(empty: Hands) -> None:
    long = "Plover-Kettle-Gulch-04"
    empty.run.append_all(sample_rows(("KV-1", "A1"), (long, "A2")))
    empty.press("4", "g")
    empty.enter("A1")
    empty.press("x")
    empty.enter("boiled over", "")
    empty.press("p")
    text = file_of(empty.run, "beads").read_text()
    assert "Weighing sheet of Furnace run 0001, step beads: bead, mg" in text
    rows = {row.split()[1]: row for row in text.splitlines() if row[:2] in ("A1", "A2")}
    assert "lost" in rows["KV-1"]
    assert "...." not in rows["KV-1"]
    assert rows[long].count("...........") == 3
    assert max(map(len, text.splitlines())) <= 79


@pytest.mark.parametrize(
    ("step", "heads"),
    [
        ("charge", ["silver,", "mg", "lead,", "g", "lots"]),
        ("fire", ["in", "opens", "blick/flash", "out"]),
    ],
)
def test_a_step_that_weighs_nothing_has_a_sheet_of_its_own(
    empty: Hands, step: Step, heads: list[str]
) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press({"charge": "2", "fire": "3"}[step], "p")
    text = file_of(empty.run, step).read_text()
    sheet = text[text.index("Sheet of") :]
    assert f"Sheet of Furnace run 0001, step {step}\n" in sheet
    assert "Check weight" not in sheet
    assert sheet.splitlines()[3].split()[3:] == heads
    row = next(row for row in sheet.splitlines() if row.startswith("A1"))
    assert row.count("...........") == (3 if step == "charge" else 4)
    assert max(map(len, text.splitlines())) <= 79


def test_who_has_no_charge_has_nothing_to_fill_in_at_weigh_in(empty: Hands) -> None:
    empty.run.append_all(
        [
            (k, {**v, "role": "blank"} if k == "sample" else v)
            for k, v in sample_rows(("blank 1", "A1"))
        ]
    )
    empty.press("1", "p")
    sheet = file_of(empty.run, "weigh-in").read_text().partition("Weighing sheet")[2]
    assert next(r for r in sheet.splitlines() if r.startswith("A1")).endswith("no charge")


def test_a_plan_wider_than_the_page_says_so_and_is_printed_whole(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", tray=Tray(5, 10))
    run = new_run(desk)
    ids = [(f"KV-{i:03}", f"{'ABCDE'[i // 10]}{i % 10 + 1}") for i in range(50)]
    run.append_all([FINE, PULP, *safety_rows(), *sample_rows(*ids)])
    hands = Hands(run)
    hands.press("4")
    assert "In sight: places 1 to 6 of 10." in hands.margin
    assert "  007" not in hands.text()
    assert hands.text().splitlines()[4][:56].endswith("6     >")
    hands.press("g")
    hands.enter("C10")
    assert hands.text().splitlines()[4].startswith("     <   5")
    assert "In sight: places 5 to 10 of 10." in hands.margin
    hands.press("p")
    page = file_of(run, "beads").read_text().split("Weighing sheet")[0]
    words = page.replace("[", " ").replace("]", " ").split()
    assert [word for word in words if word.isdigit() and len(word) == 3] == [
        f"{i:03}" for first, last in ((0, 6), (6, 10)) for row in range(5)
        for i in range(10 * row + first, 10 * row + last)
    ]  # fmt: skip
    assert "In sight" not in page
    assert page.count("[next]") + page.count("[.]") == 1, "one bracket, in its own place"
    assert max(map(len, page.splitlines())) <= 79


def test_a_plan_deeper_than_the_page_says_which_rows_are_in_sight(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", tray=Tray(10, 4))
    run = new_run(desk)
    run.append_all([FINE, PULP, *safety_rows(), *sample_rows(("KV-1", "A1"))])
    hands = Hands(run)
    hands.press("4")
    assert "In sight: rows A to G of J." in hands.margin
