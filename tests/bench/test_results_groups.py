"""On the page of results corrected and uncorrected gold stand apart, each under its own head."""

import re

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.frame import room
from assaybench.bench.page import Room
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.result_parts import sum_line
from assaybench.bench.result_rows import rows_of, window
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import BLOCK_WIDTH, text_of
from tests.bench.hands import Hands, read_rows, sample_rows
from tests.bench.openings import begun
from tests.bench.results_run import LOST, UNPARTED, ZERO, at, finished_run

HEADS = [
    "Gold corrected for cupel loss",
    "Gold not corrected for cupel loss",
    "Blanks, proofs, and samples without gold",
]


@pytest.fixture
def run(desk: Desk) -> RunLog:
    return finished_run(desk)


def block(hands: Hands, lines: int = 60) -> list[str]:
    return [text_of(row) for row in hands.page.sheet(Room(lines)).block]


def table(hands: Hands) -> list[list[str]]:
    """The ids of each group, as they stand below its head."""
    found: list[list[str]] = []
    for text in block(hands)[1:]:
        if not text:
            break
        if text in HEADS:
            found.append([])
        else:
            found[-1].append(text[2:].split("  ")[0])
    return found


def test_each_sort_has_its_head_and_keeps_the_order_of_the_log(run: RunLog) -> None:
    """The proofs of 1.000 mg fit KV-019, 1.198 mg, and KV-032, 0.524 mg, and no other bead."""
    hands = Hands(run, ResultsPage(run))
    assert [text for text in block(hands) if text in HEADS] == HEADS
    corrected, others, rest = table(hands)
    assert corrected == ["KV-019", "KV-032"]
    assert others[:4] == ["KV-016", "KV-017 A2", "KV-018", "KV-020"]
    assert rest == ["blank 1", "proof 1", LOST, "proof 2", UNPARTED]
    assert len(corrected) + len(others) + len(rest) == 24


@pytest.mark.parametrize("lines", [19, 24, 35])
def test_every_row_in_sight_stands_below_the_head_of_its_sort(run: RunLog, lines: int) -> None:
    hands = Hands(run, ResultsPage(run))
    sorts = {row.label: row.sort for row in rows_of(run.results(), run.board())}
    of_head = dict(zip(HEADS, ("sort_corrected", "sort_uncorrected", ""), strict=True))
    for _ in range(24):
        made = block(hands, lines)
        assert len(made) <= lines
        head, seen = "", 0
        for text in made[1 : made.index("")]:
            if text in HEADS:
                head = text
            else:
                seen += 1
                assert sorts[text[2:].split("  ")[0]] == of_head[head]
        assert any(text.startswith(">") for text in made)
        assert f"{seen} of 24 shown here." in hands.page.sheet(Room(lines)).margin[-1]
        hands.press("down")


def test_a_window_with_heads_always_holds_the_row_of_the_pointer(run: RunLog) -> None:
    rows = rows_of(run.results(), run.board())
    for lines in range(1, 30):
        for place in range(len(rows)):
            shown = window(rows, place, lines)
            assert place in shown
            assert len(shown) + len({rows[i].sort for i in shown}) <= max(lines, 2)


def test_a_run_of_one_sort_has_no_heads(desk: Desk) -> None:
    charges = read_rows("pulp", "charge", [("KV-1", "20.00"), ("KV-2", "20.00")], "g")
    golds = read_rows("fine", "gold", [("KV-1", "0.200"), ("KV-2", "0.202")], "mg")
    samples = sample_rows(("KV-1", "A1"), ("KV-2", "A2"), silver="none")
    run = begun(desk, *samples, *charges, ZERO, *golds)
    made = block(Hands(run, ResultsPage(run)))
    assert not set(made) & set(HEADS)
    assert [text[2:6] for text in made[1:3]] == ["KV-1", "KV-2"]


def test_two_sorts_compared_are_told_apart(run: RunLog) -> None:
    hands = Hands(run, ResultsPage(run))
    at(hands, "KV-019")
    hands.press("c")
    at(hands, "KV-020")
    hands.press("enter")
    assert (
        "KV-019 is corrected for cupel loss, KV-020 is not corrected for cupel loss."
        " Part of the difference may be that."
    ) in hands.page.sheet(room(120, 40)).margin
    hands.press("escape")
    at(hands, "KV-016")
    hands.press("c", "down", "enter")
    assert not any("Part of the difference" in text for text in hands.margin)


def test_a_mean_names_its_sort_where_the_sample_has_both(desk: Desk) -> None:
    """KV-019 again with other lead: no proof fits it, so each determination stands alone."""
    run = finished_run(desk)
    lot = {"lots": ["K-31"], "lead": "45 g", "silver": "none"}
    twice = {"id": "KV-019 d", "role": "duplicate", "of": "KV-019", "from": "pulp", **lot}
    run.append("sample", twice)
    for kind, values in (
        *read_rows("pulp", "charge", [("KV-019 d", "30.00")], "g"),
        *read_rows("fine", "gold", [("KV-019 d", "1.190")], "mg"),
    ):
        run.append(kind, values)
    hands = Hands(run, ResultsPage(run))
    at(hands, "KV-019")
    said = " ".join(hands.page.sheet(room(120, 60)).margin)
    assert "KV-019, 1 of 2 determinations, corrected for cupel loss: 40.04" in said
    assert "KV-019, 1 of 2 determinations, not corrected for cupel loss: 39." in said


@pytest.mark.parametrize("form", ["additive", "ratio"])
@pytest.mark.parametrize("lead", ["31 g", "45 g"])
def test_slag_treated_again_stands_in_the_sum_line(desk: Desk, form: str, lead: str) -> None:
    """KV-019 with its slag; with other lead no proof fits it."""
    run = finished_run(desk)
    run.append("method", {"item": "proof", "value": form})
    n = run.state.samples["KV-019"].n
    run.append("amendment", {"entry": n, "lead": lead, "reason": "weighed"})
    run.append("sample", {"id": "S", "role": "sample", "of": "KV-019", "part": "slag"})
    for kind, values in read_rows("fine", "gold", [("S", "0.024")], "mg"):
        run.append(kind, values)
    found = run.results()
    sample = next(s for s in found.samples if s.id == "KV-019")
    for width in (BLOCK_WIDTH, 100):
        text = sum_line(found, sample, width)
        assert len(text) <= width
        assert ("+ 0.024" in text) == (width == 100 or lead == "45 g")  # else there is no room
        left, right = text.rsplit(" = ", 1)
        plain = re.sub(r"( mg| g)\b", "", left).replace("×", "*")
        said = float(right.removesuffix(" g/t"))
        assert 1000 * eval(plain) == pytest.approx(said, rel=2e-4)  # noqa: S307  digits and signs only
        assert sample.figures["grade_gold"].value == pytest.approx(said, rel=2e-4)
    assert sum_line(found, sample, 5) == ""
