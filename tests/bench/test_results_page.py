"""The page of results: the table, the sample opened, every kind of row, units."""

import re
from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run, open_run
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.result_parts import grade_of, hundreds, parts_of_grade
from assaybench.bench.run_log import RunLog
from assaybench.logbook.folder import LogName
from assaybench.logbook.importing import Paper, import_sheet
from assaybench.record.results import SampleResult
from tests.bench.books import DUMPS
from tests.bench.conftest import Clock
from tests.bench.hands import Hands, read_rows, sample_rows
from tests.bench.openings import begun
from tests.bench.results_dumps import dumped_results
from tests.bench.results_hands import block, hands, run
from tests.bench.results_run import LOST, UNPARTED, at
from tests.record.frames import file_of, read

__all__ = ["hands", "run"]


DEMO = Path(__file__).parents[2] / "demo"


def sample_of(run: RunLog, identity: str) -> SampleResult:
    return next(s for s in run.results().samples if s.id == identity)


def evaluated(line: str) -> tuple[float, float]:
    """What a sum line comes to on a calculator, and what it says."""
    left, right = line.rsplit(" = ", 1)
    left = re.sub(r"( mg| g dry| g)\b", "", left).replace("×", "*")
    return 1000 * eval(left), float(right.split(" ")[0])  # noqa: S307  digits and signs only


# --- as drawn ------------------------------------------------------------------------------------


def test_the_pages_are_as_dumped(desk: Desk, clock: Clock) -> None:
    pages = dumped_results(desk, clock)
    kept = {name: (DUMPS / f"{name}.txt").read_text(encoding="utf-8") for name in pages}
    assert pages == kept
    assert all(page.isascii() for name, page in pages.items() if name.endswith("ascii"))


def test_columns_stand_where_they_were_drawn(hands: Hands) -> None:
    at(hands, "KV-019")
    drawn = (DUMPS / "drawn-results.txt").read_text(encoding="utf-8").splitlines()
    ours = hands.text().splitlines()
    drawn_row = next(row for row in drawn if row.startswith("  > KV-019"))
    row = next(row for row in ours if row.startswith("  > KV-019"))
    for mark in (".", "±", "within"):
        assert drawn_row.index(mark) == row.index(mark)
    assert [row[:56] for row in drawn[2:3]] == [row[:56] for row in ours[2:3]]
    assert hands.text().splitlines()[-1] == drawn[-1]
    assert hands.promise == "Enter shows every step of the sum for KV-019."


def test_the_sample_under_the_pointer_is_opened_with_three_layers(hands: Hands) -> None:
    at(hands, "KV-019")
    rows = block(hands)
    begin = next(i for i, row in enumerate(rows) if row.startswith("KV-019: 40.0 g/t."))
    assert [row.split(" . ")[0].strip() for row in rows[begin + 1 : begin + 4]] == [
        "by the weighing", "and the assay", "and the sample: about 100 grains"
    ]  # fmt: skip
    ends = [row[row.index("±") :].rstrip() for row in rows[begin + 1 : begin + 4]]
    # weighing: 2 × hypot(1000 × 1.005 × 0.002 / 30, 40 × 0.007 / 30) g/t = 0.135 g/t
    assert ends == ["± 0.14", "± 0.14", "± 8.0"]
    assert hands.margin[0].startswith("Few grains decide KV-019. A finer balance will not help.")


def test_where_the_sample_is_not_known_the_page_says_so(hands: Hands) -> None:
    at(hands, "KV-016")
    row = next(row for row in block(hands) if row.startswith("  and the sample"))
    assert row.endswith("not known")


@pytest.mark.parametrize("identity", ["KV-016", "KV-019", "KV-023", "KV-032", "known 1"])
def test_the_sum_line_gives_its_own_result_on_a_calculator(hands: Hands, identity: str) -> None:
    at(hands, identity)
    line = next(row for row in block(hands) if " = " in row)
    found, said = evaluated(line)
    assert found == pytest.approx(said, rel=2e-4)
    figure = sample_of(hands.run, identity).figures["grade_gold"]
    assert figure.value is not None
    assert said == pytest.approx(figure.value, rel=2e-4)


def test_parts_of_100_add_up_and_agree_with_the_budget(run: RunLog) -> None:
    found = run.results()
    for sample in found.samples:
        parts = parts_of_grade(found, sample)
        if grade_of(sample) is None:
            assert parts == ()
            continue
        assert sum(part.share for part in parts) == pytest.approx(1)
        assert sum(hundreds(parts)) == 100
        assert all(part.share > 0 for part in parts)
        budget = {share.source: share.share for share in sample.budget["grade_gold"]}
        blank = next(part.share for part in parts if part.kind == "blank")
        assert blank == pytest.approx(budget["mean blank"])


def test_moisture_and_an_added_loss_have_their_own_parts(desk: Desk) -> None:
    run = demo(desk, "furnace-run.toml")
    found = run.results()
    wet = next(s for s in found.samples if s.id == "PK-101")
    assert {part.kind for part in parts_of_grade(found, wet)} == {
        "gold", "blank", "charge", "moisture"
    }  # fmt: skip
    proved = next(s for s in found.samples if s.id == "PK-106 b")
    labels = {part.kind: part.label for part in parts_of_grade(found, proved)}
    assert labels["proofs"] == "proofs, two, + 0.0005 mg"


# --- every kind of row ---------------------------------------------------------------------------


def test_dore_stands_apart_from_gold_where_a_bead_was_not_parted(hands: Hands) -> None:
    at(hands, UNPARTED)
    row = next(row for row in block(hands) if row.startswith(f"> {UNPARTED}"))
    assert "doré 0.3720 mg" in row
    assert row[13:23].strip() == "-"
    assert f"{UNPARTED}: doré, gold and silver together, not parted." in block(hands)
    assert "Gold not determined" in hands.margin[0]


def test_lost_blank_and_proof_say_so_in_their_place(hands: Hands) -> None:
    at(hands, LOST)
    assert next(row for row in block(hands) if row.startswith(f"> {LOST}")).endswith("lost")
    assert hands.margin[0] == f"{LOST} lost: the cupel cracked."
    at(hands, "blank 1")
    assert "  blank " in next(row for row in block(hands) if row.startswith("> blank 1"))
    assert "blank 1: blank." in block(hands)


def test_metal_like_the_blank_is_not_called_zero(hands: Hands) -> None:
    at(hands, "KV-023")
    assert hands.margin[0] == (
        "KV-023 is like the blank. Not zero: up to 0.31 g/t may be there unseen."
    )
    rows = block(hands)
    assert "KV-023: < 0.31 g/t, like the blank. What may be there?" in rows
    assert [row.rsplit(" ", 2)[1:] for row in rows if row.endswith("g/t") and " . " in row] == [
        ["0.067", "g/t"], ["0.22", "g/t"], ["0.31", "g/t"]
    ]  # fmt: skip


def test_a_sample_assayed_in_parts_stands_with_the_grade_of_the_whole(desk: Desk) -> None:
    run = demo(desk, "metallics-and-bar.toml")
    hands = Hands(run, ResultsPage(run))
    at(hands, "PK-120")
    row = next(row for row in block(hands) if row.startswith("> PK-120"))
    assert "5.79 ± 0.19" in row
    assert row.endswith("metallics")
    assert any(row.startswith("  …-120 minus 1 0.067") for row in block(hands))
    assert any("of it coarse" in row for row in block(hands))
    at(hands, "Bar 3")
    assert any("887.36 ± 0.15 ‰" in row for row in block(hands))


def test_a_circuit_test_lists_its_samples_too(desk: Desk) -> None:
    run = demo(desk, "gravity-test.toml")
    hands = Hands(run, ResultsPage(run))
    assert hands.sheet.left == "Circuit test 0001"
    assert "2795.2 ± 4.8" in block(hands)[1]


def test_few_grains_are_told_by_both_ends(desk: Desk) -> None:
    run = demo(desk, "gravity-test.toml")
    hands = Hands(run, ResultsPage(run))
    row = next(row for row in block(hands) if row.startswith("  and the sample"))
    assert row.endswith("440 to 9200")


@pytest.mark.parametrize(
    ("spread", "said"),
    [
        ({}, "T-1: the aim of ± 1 % is not shown"),
        ({"spread": "0.002 mg"}, "T-1 is within your aim"),
    ],
)
def test_a_balance_without_a_spread_leaves_the_aim_open_in_table_and_margin(
    desk: Desk, spread: dict[str, object], said: str
) -> None:
    micro = {"name": "micro", "step": "0.001 mg", "weighs": ["charge", "bead", "gold"], **spread}
    rows = [("balance", micro), *sample_rows(("T-1", "A1"))]
    for what, text in (("charge", "500.000"), ("bead", "5.000"), ("gold", "4.000")):
        rows += read_rows("micro", what, [("T-1", text)], "mg")
    run = new_run(desk)
    run.append_all(rows)
    hands = Hands(run, ResultsPage(run))
    assert any(one.startswith(said) for one in hands.margin)
    assert ("aim not shown" in block(hands)[1]) is not bool(spread)


def test_a_run_without_samples_says_so(desk: Desk) -> None:
    run = begun(desk)
    hands = Hands(run, ResultsPage(run))
    assert block(hands) == ["No sample is written down yet."]
    assert hands.sheet.keys == ("help", "back"), "no other key does anything here"
    for key in ("enter", "c", "u", "n", "r", "down", "5", "escape"):
        hands.press(key)
    assert hands.page.name == "contents"


def test_what_stands_in_the_way_of_results_is_told(desk: Desk) -> None:
    """No log takes such a value now; one that was written before may hold it."""
    begun(desk, *sample_rows(("KV-1", "A1"))).close()
    path = desk.book.log(LogName("MAIN", 1))
    entries, _ = read(path.read_bytes())
    amiss = ("method", {"item": "aim", "value": "much"})
    path.write_bytes(file_of([*((entry.kind, entry.values) for entry in entries), amiss]))
    run = open_run(desk, LogName("MAIN", 1))
    hands = Hands(run, ResultsPage(run))
    assert hands.margin[0].startswith("No results: ")
    assert not hands.press("escape").closed


# --- moving and units ----------------------------------------------------------------------------


def test_the_table_scrolls_and_says_how_many_are_shown(hands: Hands) -> None:
    assert "4 of 24 shown here." in hands.margin[-1]
    hands.press(*["down"] * 23)
    assert hands.page.row.id == UNPARTED
    assert hands.press("down").bell
    assert "> KV-034" in hands.text()
    assert len(hands.text().splitlines()) == 24
    assert "20 of 24 shown here." in hands.text(120, 40)
    assert hands.margin[-1].endswith("U: k = 2, about 95 in 100.")


def test_units_are_walked_through_and_come_round(hands: Hands) -> None:
    at(hands, "KV-019")
    seen = [block(hands)[0][23:].split("  ")[0]]
    grades = []
    for _ in range(4):
        grades.append(next(r for r in block(hands) if r.startswith("> KV-019"))[23:40].strip())
        hands.press("u")
        seen.append(hands.page.unit.symbol)
    assert seen[1:] == ["ozt/short_ton", "ozt/long_ton", "dwt/short_ton", "g/t"]
    # 40.04 g/t by 240/7, 30.6122 and 12/7 g/t
    assert grades == ["40.04 ± 0.14", "1.1678 ± 0.0041", "1.3080 ± 0.0046", "23.357 ± 0.083"]


def test_a_limit_is_rounded_once_in_its_unit(hands: Hands) -> None:
    at(hands, "KV-023")
    sample = sample_of(hands.run, "KV-023")
    assert sample.parts is not None
    assert sample.parts.gold is not None
    exact = sample.parts.gold.net.levels.detection * 1000 / 30 * 7 / 240
    hands.press("u")
    assert f"< {exact:.2g}" in next(r for r in block(hands) if r.startswith("> KV-023"))


def demo(desk: Desk, file: str) -> RunLog:
    made = import_sheet(
        desk.book, desk.bench, desk.keeper(), Paper(file, (DEMO / file).read_bytes())
    )
    return open_run(desk, made.name)
