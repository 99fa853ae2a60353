"""The tray worked out from the log: who lives where, what waits, where the work was left."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.place_words import tail_of
from assaybench.bench.plan import Place, place_of, row_name
from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import Board, Step, fitted, where, where_left
from assaybench.logbook.logfile import Row
from assaybench.logbook.settings_fields import Tray
from tests.bench.hands import FINE, PULP, read_rows, sample_rows

SIZE = Tray(4, 6)


@pytest.fixture
def run(desk: Desk) -> RunLog:
    run = new_run(desk)
    run.append_all([FINE, PULP])
    return run


def board(run: RunLog, size: Tray = SIZE) -> Board:
    return Board(run.state, size, size)


# --- places --------------------------------------------------------------------------------------


@given(st.integers(0, 701), st.integers(0, 98))
def test_a_place_is_found_again_by_its_name(row: int, column: int) -> None:
    assert place_of(Place(row, column).name) == Place(row, column)


@pytest.mark.parametrize("text", ["", "B", "6", "B0", "B100", "BBB1", "KV-025", "6B", "B-1"])
def test_what_is_no_place_is_none(text: str) -> None:
    assert place_of(text) is None


def test_rows_go_on_after_z() -> None:
    assert [row_name(r) for r in (0, 25, 26, 27, 701)] == ["A", "Z", "AA", "AB", "ZZ"]


def test_a_sample_without_a_noted_place_stands_where_it_came_in_order(run: RunLog) -> None:
    run.append("sample", {"id": "KV-1", "role": "sample"})
    run.append_all(sample_rows(("KV-2", "A1")))
    run.append("sample", {"id": "KV-3", "role": "sample"})
    plan = board(run).muffle
    assert {s: p.name for s, p in plan.of.items()} == {"KV-1": "A2", "KV-2": "A1", "KV-3": "A3"}
    assert plan.first_free() == Place(0, 3)


def test_the_last_place_that_was_noted_counts_and_the_later_of_two_has_it(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    run.append("position", {"sample": "KV-2", "place": "A1"})
    plan = board(run).muffle
    assert plan.at[Place(0, 0)] == "KV-2"
    assert plan.named("KV-1") == "A2"


def test_a_place_outside_the_plan_of_the_settings_widens_it(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-1", "F9")))
    plan = board(run).muffle
    assert (plan.rows, plan.columns) == (6, 9)


def test_a_parting_cup_stands_where_its_cupel_did_until_it_is_noted(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    run.append("position", {"sample": "KV-1", "place": "D6", "plan": "cups"})
    found = board(run)
    assert found.cups.named("KV-1") == "D6"
    assert found.cups.named("KV-2") == "A2"
    assert found.muffle.named("KV-1") == "A1"


def test_more_samples_than_places_stand_in_rows_more(run: RunLog) -> None:
    run.append_all([("sample", {"id": f"S{i}", "role": "sample"}) for i in range(5)])
    plan = board(run, Tray(1, 3)).muffle
    assert (plan.rows, plan.columns, len(plan.of)) == (2, 3, 5)
    assert plan.named("S4") == "B2"
    assert plan.first_free() == Place(1, 2)


# --- words ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ids", "prefix"),
    [
        (("KV-016", "KV-025"), "KV-"),
        (("KV-016", "KV-016"), "KV-"),
        (("KV-1", "KW-1"), ""),
        (("16", "17"), ""),
        (("a/b-1", "a/c-1"), "a/"),
        (("KV-1", "KV-11"), "KV-"),
    ],
)
def test_the_common_beginning_of_ids_ends_at_a_sign(
    run: RunLog, ids: tuple[str, str], prefix: str
) -> None:
    rows: list[Row] = [("sample", {"id": i, "role": "sample"}) for i in dict.fromkeys(ids)]
    if len(rows) == 1:
        rows.append(("sample", {"id": "KV-017", "role": "sample"}))
    run.append_all(rows)
    assert board(run).prefix == prefix


def test_a_place_says_who_lives_there_in_a_word(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-016", "A1"), ("KV-017", "A2")))
    for k, (identity, role, more) in enumerate(
        [
            ("B", "blank", {}),
            ("P", "proof", {}),
            ("R", "reference", {}),
            ("KV-016 d", "duplicate", {"of": "KV-016", "from": "pulp"}),
            ("KV-017 r", "sample", {"of": "KV-017"}),
        ]
    ):
        run.append("sample", {"id": identity, "role": role, **more})
        run.append("position", {"sample": identity, "place": f"B{k + 1}"})
    found = board(run)
    words = [found.word("beads", s) for s in found.muffle.samples()]
    assert words == ["016", "017", "blank", "proof", "known", "as A1", "as A2"]


@pytest.mark.parametrize(
    ("text", "shown"),
    [("0.298", "0.298"), ("123.456", "123.46"), ("0,2981", "0,2981"), ("1234567", "long"),
     ("12345.6", "12346"), ("-0.5000", "-0.500"), ("none", "none")],
)  # fmt: skip
def test_a_figure_fits_its_place(text: str, shown: str) -> None:
    assert fitted(text) == shown


# --- what waits ----------------------------------------------------------------------------------


def test_each_step_waits_for_what_it_needs(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    run.append("sample", {"id": "B", "role": "blank"})
    steps: dict[Step, list[str]] = {
        "weigh-in": ["KV-1", "KV-2"],
        "charge": ["KV-1", "KV-2", "B"],
        "fire": ["KV-1", "KV-2", "B"],
        "beads": ["KV-1", "KV-2", "B"],
        "parting": ["KV-1", "KV-2", "B"],
    }
    assert {step: board(run).due(step) for step in steps} == steps
    run.append_all(read_rows("pulp", "charge", [("KV-1", "30.00")], "g"))
    run.append_all(read_rows("fine", "bead", [("B", "0.005")], "mg"))
    run.append("furnace_mark", {"sample": "KV-2", "mark": "in"})
    found = board(run)
    assert found.due("weigh-in") == ["KV-2"]
    assert found.due("beads") == ["KV-1", "KV-2"]
    assert found.cell("fire", "KV-2").status == "begun"
    assert found.cell("weigh-in", "B").status == "none"


def test_the_next_one_comes_after_the_last_and_then_from_the_start(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "A3")))
    found = board(run)
    assert found.next_due("beads", "KV-2") == "KV-3"
    assert found.next_due("beads", "KV-3") == "KV-1"
    run.append_all(read_rows("fine", "bead", [("KV-1", "0.3"), ("KV-3", "0.3")], "mg"))
    assert board(run).next_due("beads", "KV-3") == "KV-2"
    run.append_all(read_rows("fine", "bead", [("KV-2", "0.3")], "mg"))
    assert board(run).next_due("beads", "KV-2") is None


def test_a_cupel_that_goes_in_again_is_in_the_fire_again(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-1", "A1")))
    for mark in ("in", "frozen", "in"):
        run.append("furnace_mark", {"sample": "KV-1", "mark": mark})
    assert board(run).cell("fire", "KV-1").status == "begun"


# --- where the work was left ---------------------------------------------------------------------


def test_the_contents_are_told_where_the_work_was_left(run: RunLog) -> None:
    def left() -> str:
        assert where(run.state, SIZE, SIZE).text == where_left(run.entries, SIZE, SIZE)
        return where_left(run.entries, SIZE, SIZE)

    assert left() == "no sample yet"
    run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "B6"), ("KV-3", "C1")))
    assert left() == "weigh-in, A1"
    run.append_all(read_rows("pulp", "charge", [(f"KV-{i}", "30.00") for i in (1, 2, 3)], "g"))
    assert left() == "charge, A1"
    entry = run.state.samples["KV-1"].n
    run.append("amendment", {"entry": entry, "silver": "none", "reason": "charge made up"})
    assert left() == "charge, B6"
    run.append("furnace_mark", {"sample": "KV-1", "mark": "in"})
    assert left() == "fire, B6"
    run.append_all(read_rows("fine", "bead", [("KV-1", "0.3")], "mg"))
    assert left() == "cupel B6"
    run.append_all(read_rows("fine", "bead", [("KV-2", "0.3"), ("KV-3", "0.3")], "mg"))
    assert left() == "cup A1"
    run.append_all(read_rows("fine", "gold", [("KV-1", "0.2"), ("KV-2", "0.2")], "mg"))
    assert left() == "cup C1"
    run.append_all(read_rows("fine", "gold", [("KV-3", "0.2")], "mg"))
    assert left() == "results"


def test_a_withdrawn_reading_waits_again(run: RunLog) -> None:
    run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    run.append_all(read_rows("fine", "bead", [("KV-1", "0.3"), ("KV-2", "0.3")], "mg"))
    run.append("withdrawn", {"entry": run.entries[-1].n, "reason": "wrong bead"})
    assert where_left(run.entries, SIZE, SIZE) == "cupel A2"


@pytest.mark.parametrize(
    ("name", "most", "shown"),
    [("025", 6, "025"), ("minus 1", 6, "1"), ("120-1", 5, "120-1"), ("north bank 12", 6, "12"),
     ("GT-C1 b", 6, "C1 b"), ("Kettlegulch", 6, "…gulch"), ("", 6, "")],
)  # fmt: skip
def test_a_name_fits_its_place_without_a_word_cut(name: str, most: int, shown: str) -> None:
    assert tail_of(name, most) == shown


def test_parts_of_a_screened_pulp_and_far_places_keep_what_tells_them_apart(run: RunLog) -> None:
    run.append_all(sample_rows(("PK-120", "A1"), ("PK-121", "A2"), ("PK-122", "B12")))
    for k, (identity, more) in enumerate(
        [
            ("PK-120 plus 1", {"of": "PK-120", "part": "plus"}),
            ("PK-120 minus 1", {"of": "PK-120", "part": "minus"}),
            ("PK-122 r", {"of": "PK-122"}),
        ]
    ):
        run.append("sample", {"id": identity, "role": "sample", **more})
        run.append("position", {"sample": identity, "place": f"C{k + 1}"})
    found = board(run)
    ids = ("PK-120 plus 1", "PK-120 minus 1", "PK-122 r")
    assert [found.word("beads", name, 5) for name in ids] == ["120+1", "120-1", "B12"]
