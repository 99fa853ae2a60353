"""The blank of a charge that holds several lots, and of lots that were blanked in earlier runs."""

from fractions import Fraction

import pytest

from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import Balance, Reading, weigh
from assaybench.record import handsheet
from assaybench.record.live import Live
from assaybench.record.lot_blanks import _u0_of
from assaybench.record.replay import replay
from assaybench.record.results import SampleResult, results
from tests.record.sheets import SHEET, balance

LOTS = """
[[lots]]
lot = "L1"
material = "litharge"

[[lots]]
lot = "L2"
material = "litharge"
gold_per_gram = "0.10 g/t"
gold_spread = "0.03 g/t"
blank_count = 9

[[lots]]
lot = "AG"
material = "silver"
gold_per_gram = "500 g/t"
gold_spread = "60 g/t"
blank_count = 9

[[lots]]
lot = "FX"
material = "flux"
"""
HEAD = (
    SHEET
    + balance("fine", "0.001 mg", "bead", "gold", spread="0.002 mg, 12")
    + balance("pulp", "0.01 g", "charge", spread="0.007 g, 10")
    + LOTS
)
READ = 0.431


def blank(*lots: str, name: str = "B1", gold: str = "0.004 mg") -> str:
    named = ", ".join(f'"{lot}"' for lot in lots)
    return (
        f'\n[[samples]]\nid = "{name}"\nrole = "blank"\nsilver = "none"\nlead = "30 g"\n'
        f'lots = [{named}]\nbead = "0.030 mg"\ngold = "{gold}"\n'
    )


def charge(*lots: str, lead: str = "30 g", silver: str = "5.000 ± 0.006 mg") -> str:
    named = ", ".join(f'"{lot}"' for lot in lots)
    amount = f'lead = "{lead}"\n' if lead else ""
    return (
        f'\n[[samples]]\nid = "S1"\nsilver = "{silver}"\n{amount}lots = [{named}]\n'
        'charge = "29.87 g"\nbead = "5.531 mg"\ngold = "0.431 mg"\n'
    )


def found(*parts: str) -> SampleResult:
    entries = handsheet.read((HEAD + "".join(parts)).encode()).entries
    live = Live()
    for entry in entries:
        live.add(entry)
        live.results()
    done = next(s for s in results(replay(entries)).samples if s.id == "S1")
    same = next(s for s in live.results().samples if s.id == "S1")
    assert (done.figures, done.flags) == (same.figures, same.flags)
    return done


def taken_off(done: SampleResult) -> float:
    value = done.figures["gold"].value
    assert value is not None
    return READ - value


def codes(done: SampleResult) -> set[str]:
    return {flag.code for flag in done.flags}


def test_a_lot_of_silver_brings_gold_per_gram_of_the_silver_added() -> None:
    """0.004 mg by 30 g of litharge, and 5.000 mg of silver at 500 g/t: 0.0025 mg."""
    done = found(blank("L1"), charge("L1", "AG"))
    assert taken_off(done) == pytest.approx(0.0065)
    assert "lot_blank_not_run" not in codes(done)
    # u of the mean of the silver's blank, and its scatter in this charge, 60 g/t of 5 mg
    alone = found(blank("L1"), charge("L1")).figures["gold"].u
    both = done.figures["gold"].u
    assert alone is not None
    assert both is not None
    assert both**2 - alone**2 == pytest.approx(0.0003**2 * (1 + 1 / 9))


def test_a_charge_without_silver_takes_nothing_of_a_lot_of_silver() -> None:
    done = found(blank("L1"), charge("L1", "AG", silver="none"))
    assert taken_off(done) == pytest.approx(0.004)


def test_lots_that_were_blanked_apart_are_taken_off_each() -> None:
    done = found(blank("L1"), blank("FX", name="B2", gold="0.010 mg"), charge("L1", "FX"))
    assert taken_off(done) == pytest.approx(0.014)


def test_a_blank_of_all_its_lots_together_comes_before_the_blank_of_each() -> None:
    done = found(blank("L1"), blank("FX", "L1", name="B2", gold="0.010 mg"), charge("L1", "FX"))
    assert taken_off(done) == pytest.approx(0.010)


def test_a_lot_without_a_blank_is_named_and_the_others_are_taken_off() -> None:
    done = found(charge("L2", "FX"))
    assert taken_off(done) == pytest.approx(0.003)
    said = next(flag.text for flag in done.flags if flag.code == "lot_blank_not_run")
    assert "lot FX" in said
    assert "blank_not_run" not in codes(done)
    nothing = found(charge("FX", "L1"))
    assert taken_off(nothing) == pytest.approx(0.0)
    assert "blank_not_run" in codes(nothing)


def test_per_gram_of_an_amount_that_nobody_noted_is_told_and_not_guessed() -> None:
    done = found(charge("L2", lead=""))
    assert taken_off(done) == pytest.approx(0.0)
    assert "blank_amount_unknown" in codes(done)
    unknown = found(blank("L1"), charge("L1", "AG", silver="unknown"))
    assert taken_off(unknown) == pytest.approx(0.004)
    assert "blank_amount_unknown" in codes(unknown)


def test_a_blank_whose_lead_nobody_noted_is_that_of_a_charge_alike() -> None:
    """It was taken as one gram, and thirty times its gold was taken off."""
    bare = blank("L1").replace('lead = "30 g"\n', "")
    assert taken_off(found(bare, charge("L1"))) == pytest.approx(0.004)
    # beside one that was noted it counts as that: the mean of 4 and 8 µg by 30 g, in 15 g
    both = blank("L1", name="B2", gold="0.008 mg")
    assert taken_off(found(bare, both, charge("L1", lead="15 g"))) == pytest.approx(0.003)


def test_a_blank_that_was_not_yet_parted_leaves_its_lot_to_earlier_runs() -> None:
    waits = blank("L2").replace('lead = "30 g"\n', "").replace('gold = "0.004 mg"\n', "")
    assert taken_off(found(waits, charge("L2"))) == pytest.approx(0.003)


def two(bead: list[str], gold: list[str], spread: float | None) -> tuple[float, float]:
    """u of bead less gold of a blank as worked out for it, and as the sources have it."""
    on, sources = Balance("x", 0.001, spread), Sources()
    zero = {name: Reading(name, Fraction(0), "0.000") for name in (*bead, *gold)}
    one, other = (
        weigh(sources, on, [Reading(what, Fraction(n, 1000), f"0.0{n}")], [zero[z] for z in zeros])
        for what, n, zeros in (("bead", 30, bead), ("gold", 14, gold))
    )
    return _u0_of((one, on), (other, on))[0], sources.doubt(one.net - other.net).u


@pytest.mark.parametrize("spread", [None, 0.0003, 0.0009, 0.002])
@pytest.mark.parametrize("gold", [["a", "b"], ["b", "c"], ["c", "d"], ["a"], []])
def test_the_doubt_of_a_blank_s_silver_is_that_of_the_difference(
    spread: float | None, gold: list[str]
) -> None:
    ours, sources = two(["a", "b"], gold, spread)
    assert ours == pytest.approx(sources)


@pytest.mark.parametrize(
    ("between", "halves"), [("", 1.5 + 1.5 - 2 / 4), ('{ what = "zero", text = "0.001 mg" }, ', 3)]
)
def test_a_zero_between_bead_and_gold_of_a_blank_falls_out_of_its_silver(
    between: str, halves: float
) -> None:
    """u² of B - G in halves of s²: 1 + 1/2 each, less 2·(1/2)·(1/2) for the zero of both."""
    zero = '{ what = "zero", text = "0.000 mg" }'
    readings = (
        f'readings = [{zero}, {{ what = "bead", text = "0.030 mg" }}, {zero}, {between}'
        f'{{ what = "gold", text = "0.004 mg" }}, {zero}]\n'
    )
    shared = blank("L1").replace('bead = "0.030 mg"\ngold = "0.004 mg"\n', readings)
    entries = handsheet.read((HEAD + shared + charge("L1")).encode()).entries
    run = results(replay(entries)).run
    (use,) = run.uses(run.state.samples["S1"], "silver")
    assert use.blank.u_mean_mg == pytest.approx(0.002 * (halves / 2) ** 0.5)
