"""Two samples compared and cut-offs: shared doubts cancel, the widest layer is named."""

import math

import pytest

from assaybench.bench.comparing import apart
from assaybench.bench.desk import Desk
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.result_rows import Row, rows_of
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from assaybench.messages import BadInput
from assaybench.metrology.compare import probability_above
from assaybench.record.layers import layers_of
from tests.bench.hands import Hands, read_rows, sample_rows
from tests.bench.openings import begun
from tests.bench.results_run import LOST, UNPARTED, ZERO, at, finished_run


@pytest.fixture
def run(desk: Desk) -> RunLog:
    return finished_run(desk)


@pytest.fixture
def hands(run: RunLog) -> Hands:
    return Hands(run, ResultsPage(run))


def rows(run: RunLog) -> dict[str, Row]:
    return {row.id: row for row in rows_of(run.results(), run.board())}


def block(hands: Hands) -> str:
    return "\n".join(text_of(row) for row in hands.sheet.block)


def test_what_two_samples_share_cancels_in_their_difference(run: RunLog) -> None:
    """KV-016 and KV-018: 30.00 g each, one blank, no proof fits: only the readings remain."""
    found, by_id = run.results(), rows(run)
    d = apart(found, by_id["KV-016"], by_id["KV-018"])
    u_gold = math.hypot(0.002 / math.sqrt(2), 0)  # one load each; zero and blank are shared
    expected = 1000 * math.hypot(u_gold, u_gold) / 30
    assert d.difference.u == pytest.approx(expected, rel=2e-3)
    assert d.difference.value == pytest.approx(1000 * 0.180 / 30)
    assert d.alone > 1.9 * d.difference.u * d.difference.k
    other = apart(found, by_id["KV-018"], by_id["KV-016"])
    assert other.difference.value == pytest.approx(-d.difference.value)
    assert other.difference.en == pytest.approx(-(d.difference.en or 0))


def test_a_difference_is_shown_with_both_ends(hands: Hands) -> None:
    at(hands, "KV-016")
    hands.press("c", "down", "down", "enter")
    assert hands.page.name == "compare"
    assert "KV-016 less KV-018" in block(hands)
    assert "+6.00 ± 0.13 g/t" in block(hands)
    assert hands.margin[0] == (
        "Difference shown: +6.00 g/t; the truth lies between +5.87 and +6.13 g/t."
    )
    assert hands.margin[1].startswith("What both share (blank, proofs, scale) cancels")
    hands.press("u")
    assert "+0.1750 ± 0.0039 ozt/short_ton" in block(hands)
    hands.press("enter")
    assert hands.page.name == "results"


def test_not_shown_says_what_would_decide_it(desk: Desk) -> None:
    charges = read_rows("pulp", "charge", [("KV-1", "20.00"), ("KV-2", "20.00")], "g")
    golds = read_rows("fine", "gold", [("KV-1", "0.200"), ("KV-2", "0.202")], "mg")
    samples = sample_rows(("KV-1", "A1"), ("KV-2", "A2"), silver="none")
    run = begun(desk, *samples, *charges, ZERO, *golds)
    hands = Hands(run, ResultsPage(run))
    hands.press("c", "down", "c")
    assert hands.margin[0].startswith("Difference not shown: -0.10 g/t; the truth may be")
    assert "It would show if both ± were" in hands.margin[0]
    assert hands.margin[1] == "To decide it, make this smaller first: gold: readings of the load."


def test_shared_sources_of_opposite_sign_are_said_to_add(hands: Hands) -> None:
    """KV-019 is corrected by the proofs, KV-020 is not: the blank moves them apart."""
    at(hands, "KV-019")
    hands.press("c")
    at(hands, "KV-020")
    hands.press("enter")
    assert "What both share moves them apart here, so it adds to the ±." in hands.margin


@pytest.mark.parametrize("identity", ["blank 1", "proof 1", LOST, UNPARTED])
def test_what_has_no_grade_cannot_be_marked(hands: Hands, identity: str) -> None:
    """A blank, a proof, a lost sample, doré."""
    at(hands, identity)
    assert hands.press("c").bell
    assert hands.margin[0].endswith("has no gold grade to compare.")
    assert hands.page.name == "results"


def test_a_marked_row_is_given_up_by_esc_and_not_held_to_itself(hands: Hands) -> None:
    at(hands, "KV-016")
    hands.press("c")
    assert hands.margin[0].startswith("KV-016 is marked.")
    assert hands.press("enter").bell
    assert hands.margin[0] == "Choose another sample first, or type a cut-off."
    at(hands, "blank 1")
    assert hands.press("enter").bell
    assert hands.margin[0] == "blank 1 has no gold grade to compare."
    hands.press("escape")
    assert not any("is marked" in text for text in hands.margin)
    assert hands.page.name == "results"
    hands.press("5")
    assert hands.sheet.typing is None


@pytest.mark.parametrize(
    ("typed", "word", "chance"),
    [
        ("8.0", "Above the cut-off, 8 g/t:", "99.9 or more"),
        ("8,6", "Not shown:", None),
        ("9.2", "Below the cut-off, 9.2 g/t:", "0.1 or less"),
    ],
)
def test_a_cut_off_is_typed_with_point_or_comma(
    hands: Hands, typed: str, word: str, chance: str | None
) -> None:
    at(hands, "KV-016")
    hands.press("c")
    hands.type(typed)
    assert hands.promise == f"Cut-off, g/t: {typed}"
    hands.press("enter")
    assert hands.margin[0].startswith(word)
    if chance is None:
        sample = rows(hands.run)["KV-016"].sample
        assert sample is not None
        layers = layers_of(hands.run.results(), sample)
        assert layers is not None
        p = probability_above(layers.result.value, layers.result.u, 8.6, layers.result.dof)
        chance = f"{100 * p:.2g}"
        assert any(text.startswith("It would show if the ± were") for text in hands.margin)
    assert f"{chance}" in block(hands)
    assert "by the assay, this charge only" in block(hands)
    assert any(text.startswith("Says what is in this charge") for text in hands.margin)


def test_a_cut_off_is_judged_with_the_sample_where_its_grains_are_known(hands: Hands) -> None:
    """KV-019: 40.04 ± 0.14 g/t by the assay is above 38; about 100 grains do not show it."""
    at(hands, "KV-019")
    hands.press("c")
    hands.type("38")
    hands.press("enter")
    assert "with the sample" in block(hands)
    assert "40.0 ± 8.0 g/t" in block(hands)
    assert hands.margin[0].startswith("Not shown: 40.0 ± 8.0 g/t may be above or below")
    assert not any(text.startswith("Says what is in this charge") for text in hands.margin)


def test_few_grains_are_judged_by_both_ends(desk: Desk) -> None:
    run = begun(desk, *sample_rows(("KV-1", "A1"), silver="none"),
                ("grains", {"sample": "KV-1", "count": 4}),
                *read_rows("pulp", "charge", [("KV-1", "30.00")], "g"),
                *read_rows("fine", "gold", [("KV-1", "1.200")], "mg"))  # fmt: skip
    hands = Hands(run, ResultsPage(run))
    hands.press("c")
    hands.type("30")
    hands.press("enter")
    assert hands.margin[0].startswith("Not shown: it may be above or below the cut-off, 30 g/t.")
    assert " to " in next(line for line in block(hands).split("\n") if "chance that it is" in line)
    assert "Below 20 grains the interval is lopsided: read both ends, not a ±." in hands.margin


def test_a_cut_off_in_another_unit_is_the_same_question(hands: Hands) -> None:
    at(hands, "KV-016")
    hands.press("u", "c")
    hands.type("0.25")
    assert hands.promise == "Cut-off, ozt/short_ton: 0.25"
    hands.press("enter")
    in_ounces = hands.margin[0].rsplit("above it is ", 1)[1]
    hands.press("escape", *["u"] * 3, "c")
    hands.type("8.5714286")
    hands.press("enter")
    assert hands.margin[0].rsplit("above it is ", 1)[1] == in_ounces


def test_a_figure_that_is_none_is_refused_and_the_mark_stays(hands: Hands) -> None:
    hands.press("c", "-")
    assert hands.press("enter").bell
    assert hands.page.name == "results"
    hands.press("backspace", "down", "enter")
    assert hands.page.name == "compare"


def test_rows_without_grades_are_refused_below_the_page_too(run: RunLog) -> None:
    by_id = rows(run)
    with pytest.raises(BadInput, match="blank 1 has no gold grade"):
        apart(run.results(), by_id["KV-016"], by_id["blank 1"])


@pytest.mark.parametrize("other", ["down", "cut-off"])
def test_no_word_is_cut_in_the_longest_unit(hands: Hands, other: str) -> None:
    at(hands, "KV-017")
    hands.press("u", "c")
    if other == "down":
        hands.press("down", "enter")
        whole = [" less KV-0", "the truth, 95 in 100"]
    else:
        hands.type("0.5")
        hands.press("enter")
        whole = ["by the assay, this charge only"]
    for _ in range(4):
        shown = block(hands)
        assert all(words in shown for words in whole), shown
        hands.press("u")
