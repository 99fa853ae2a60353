"""The native fineness: gold in the gold and silver of a sample, without the silver added."""

import math

import pytest

from assaybench.record.fineness import NAME, figures_with_fineness, fineness_of
from assaybench.record.sample_sums import sample_sum
from assaybench.record.sealing import figures_of
from tests.record.test_beside import HEAD, SAMPLE, found, proof, sample

LOSS = proof("P-1") + proof("P-2", bead="8.915 mg")
NONE = SAMPLE.replace('silver = "8.000 mg"', 'silver = "none"').replace("9.398", "1.612")


def test_it_is_gold_in_gold_and_silver_of_the_sample() -> None:
    of = found(HEAD + SAMPLE + LOSS)
    figures = sample(of).figures
    gold, silver = figures["gold"].value or math.nan, figures["silver"].value or math.nan
    figure = fineness_of(of, sample(of))
    assert figure is not None
    assert figure.unit == "‰"
    assert figure.value == pytest.approx(1000 * gold / (gold + silver), rel=1e-12)
    assert figures_with_fineness(of, sample(of))[NAME] == figure


def test_its_doubt_is_that_of_the_ratio() -> None:
    """f = G/(G + S) with S = B - G: by central differences over bead and gold."""
    of = found(HEAD + NONE)
    figure = fineness_of(of, sample(of))
    assert figure is not None
    parts = sample(of).parts
    assert parts is not None
    assert parts.silver is not None
    loss = parts.silver.loss

    def fineness(bead: float, gold: float, lost: float) -> float:
        silver = (bead - gold) / (1 - lost)
        return 1000 * gold / (gold + silver)

    u_mass = 0.002  # the spread of one net weighing, which holds the rounding
    u_loss = 0.02 / math.sqrt(3)  # 0 to 4 %, nobody measured it
    squares = 0.0
    point = [1.612, 1.204, loss]
    for i, u in enumerate((u_mass, u_mass, u_loss)):
        up, down = [*point], [*point]
        up[i] += u / 100
        down[i] -= u / 100
        squares += ((fineness(*up) - fineness(*down)) / 2 * 100) ** 2
    assert figure.value == pytest.approx(fineness(*point), rel=1e-9)
    assert figure.u == pytest.approx(math.sqrt(squares), rel=0.01)


@pytest.mark.parametrize(
    "text",
    [
        SAMPLE.replace('silver = "8.000 mg"', 'silver = "unknown"'),
        SAMPLE.replace('gold = "1.204 mg"\n', ""),
        SAMPLE.replace("9.398", "9.200"),
        NONE.replace("1.204", "0.001"),
    ],
    ids=["silver added unknown", "not parted", "no silver determinable", "gold not detected"],
)
def test_it_is_left_out_where_a_metal_was_not_measured(text: str) -> None:
    of = found(HEAD + text)
    assert fineness_of(of, sample(of)) is None
    assert NAME not in figures_with_fineness(of, sample(of))


def test_a_proof_or_a_blank_has_none() -> None:
    of = found(HEAD + SAMPLE + LOSS)
    assert fineness_of(of, sample(of, "P-1")) is None


def test_it_stands_in_the_sum_and_in_no_seal() -> None:
    of = found(HEAD + SAMPLE + LOSS)
    assert any(step.name == "T-1: native fineness" for step in sample_sum(of, sample(of)))
    assert NAME not in {row.name.replace(" ", "_") for row in figures_of(of)}
