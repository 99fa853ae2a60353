"""The scatter of determinations: each sample's own, or that of all duplicates of the log."""

import math

import pytest
from scipy import stats

from assaybench.record import handsheet
from assaybench.record.live import Live
from assaybench.record.replay import replay
from assaybench.record.results import Results, results
from tests.record.test_beside import HEAD

PAIRS = {"A": ("1.240", "1.180"), "B": ("1.100", "1.190"), "C": ("1.310", "1.280")}
"""Gold of two charges of 30 g each, mg."""


def one(name: str, gold: str, more: str = "") -> str:
    return (
        f'\n[[samples]]\nid = "{name}"\nsilver = "none"\ncharge = "30.00 g"\n'
        f'bead = "2.000 mg"\ngold = "{gold} mg"\n{more}'
    )


def sheet(scatter: str, *, left_out: str = "") -> str:
    text = HEAD + f'\n[method]\nproof = "none"\nscatter = "{scatter}"\n'
    for name, (first, second) in PAIRS.items():
        why = f'left_out = "{left_out}"\n' if left_out and name == "B" else ""
        text += one(name, first) + one(
            f"{name}2", second, f'role = "duplicate"\nof = "{name}"\n{why}'
        )
    return text


def found(text: str) -> Results:
    return results(replay(handsheet.read(text.encode()).entries))


def grades(of: Results) -> dict[str, tuple[float, float, float]]:
    """Value, u and ν of each grade."""
    rows = {}
    for grade in of.grades:
        assert grade.figure.value is not None
        assert grade.figure.u is not None
        assert grade.figure.dof is not None
        rows[grade.id] = (grade.figure.value, grade.figure.u, grade.figure.dof)
    return rows


def test_all_duplicates_of_the_log_give_one_spread_with_their_degrees_of_freedom() -> None:
    """s_r = √(Σd²/2n), ν = n (ISO 5725-2 for two results per sample, from memory)."""
    differences = [(float(a) - float(b)) / 30 * 1000 for a, b in PAIRS.values()]
    s = math.sqrt(sum(d**2 for d in differences) / (2 * 3))
    of_log = found(sheet("duplicates"))
    for name, (value, u, dof) in grades(of_log).items():
        first, second = map(float, PAIRS[name])
        assert value == pytest.approx((first + second) / 60 * 1000, rel=1e-9)
        # the scatter rules: what it has beyond the weighings is added to them, so the sum is s²/N
        assert u == pytest.approx(s / math.sqrt(2), rel=0.02)
        assert dof == pytest.approx(3, abs=0.2)
    figure = next(grade.figure for grade in of_log.grades if grade.id == "C")
    assert figure.k == pytest.approx(stats.t.ppf(0.975, 3), rel=1e-9)


def test_left_to_themselves_two_determinations_have_one_degree_of_freedom() -> None:
    rows = grades(found(sheet("own")))
    first, second = map(float, PAIRS["B"])
    s = abs(first - second) / 30 * 1000 / math.sqrt(2)
    assert rows["B"][1] == pytest.approx(s / math.sqrt(2), rel=0.02)
    assert rows["B"][2] == pytest.approx(1, abs=0.1)


def test_own_is_what_counts_when_nobody_chose() -> None:
    without = sheet("own").replace('scatter = "own"\n', "")
    assert grades(found(without)) == grades(found(sheet("own")))


def test_a_determination_left_out_says_nothing_of_the_spread() -> None:
    """Without B only A and C are behind it: ν = 2, and B itself has the spread of the others."""
    rows = grades(found(sheet("duplicates", left_out="spat")))
    assert rows["A"][2] == pytest.approx(2, abs=0.2)
    squares = sum(((float(a) - float(b)) / 30 * 1000) ** 2 for a, b in (PAIRS["A"], PAIRS["C"]))
    s = math.sqrt(squares / 4)
    assert rows["A"][1] == pytest.approx(s / math.sqrt(2), rel=0.03)
    assert rows["B"][1] == pytest.approx(s, rel=0.03)


def test_it_is_said_with_what_it_takes_for_granted() -> None:
    said = [line for grade in found(sheet("duplicates")).grades for line in grade.grade.assumptions]
    assert any("determination from the log" in line for line in said)
    assert any("alike in grade" in line for line in said)


def test_figures_that_grow_entry_by_entry_are_those_of_the_whole() -> None:
    entries = handsheet.read(sheet("duplicates").encode()).entries
    live = Live()
    for entry in entries:
        live.add(entry)
        live.results()
    assert grades(live.results()) == grades(results(replay(entries)))
