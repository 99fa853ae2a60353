"""A balance whose spread nobody stated takes it from the zeros of the log: six pairs or more."""

import math
from collections.abc import Sequence

import pytest

from assaybench.record import handsheet
from assaybench.record.entries import Entry
from assaybench.record.live import Live
from assaybench.record.replay import replay
from assaybench.record.results import Results, results
from tests.record.sheets import SHEET, balance

CALIBRATION = 'calibration = "0.03 %"\n'
STEPS = (1, -1, 2, 0, -2, 0)
"""Second less first zero of each pair, divisions: s² = Σ(Δ - Δ̄)²/(N - 1) = 10/5 divisions²."""


def sheet(pairs: int, spread: str = "") -> Sequence[Entry]:
    samples = [
        f'\n[[samples]]\nid = "S{i}"\nreadings = [\n{{ what = "zero", text = "0.002 mg" }},\n'
        f'{{ what = "gold", text = "0.400 mg" }},\n'
        f'{{ what = "zero", text = "0.00{2 + step} mg" }} ]\n'
        for i, step in enumerate(STEPS[:pairs])
    ]
    fine = balance("fine", "0.001 mg", "bead", "gold", spread=spread, more=CALIBRATION)
    return handsheet.read("".join([SHEET, fine, *samples]).encode()).entries


def found(entries: Sequence[Entry]) -> Results:
    """From the whole log, and the same after every entry of it as it is written."""
    live = Live()
    for n, entry in enumerate(entries, start=1):
        live.add(entry)
        done = results(replay(entries[:n]))
        assert [s.figures for s in live.results().samples] == [s.figures for s in done.samples]
        assert [s.taken for s in live.results().samples] == [s.taken for s in done.samples]
    return results(replay(entries))


def test_six_pairs_give_the_spread_of_every_weighing_and_say_so() -> None:
    done = found(sheet(6))
    weighed = done.samples[0]
    s = 0.001 * math.sqrt(2)
    # one load and two zeros; the mean of 2 and 3 divisions taken off; calibration beside it
    figure = weighed.figures["gold_read"]
    assert figure.value == pytest.approx(0.3975)
    assert figure.u == pytest.approx(math.hypot(s * math.sqrt(0.75), 0.0003 * 0.3975))
    assert figure.dof == pytest.approx(5, rel=0.05)
    said = "Spread of fine from the zeros of this log: 0.0014 mg, 6 pairs."
    assert said in weighed.taken
    assert not weighed.verdicts["gold"].prefix


def test_five_pairs_say_nothing() -> None:
    weighed = found(sheet(5)).samples[3]  # its zero did not move
    assert not any(said.startswith("Spread of fine") for said in weighed.taken)
    assert weighed.figures["gold_read"].u == pytest.approx(
        math.hypot(0.001 / math.sqrt(6), 0.0003 * 0.398)
    )


def test_a_stated_spread_stands() -> None:
    weighed = found(sheet(6, "0.005 mg, 10")).samples[0]
    assert not any(said.startswith("Spread of fine") for said in weighed.taken)
    assert weighed.figures["gold_read"].u == pytest.approx(
        math.hypot(0.005 * math.sqrt(0.75), 0.0003 * 0.3975)
    )
