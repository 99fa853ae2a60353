"""How far a grade may lie off: weighing, assay, sample; which decides, and what a cut-off needs."""

import math

import pytest

from assaybench.circuit import grains
from assaybench.messages import BadInput
from assaybench.record.handsheet import read
from assaybench.record.layers import Layers, against_cutoff, layers_of, layers_of_grade
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.record.trays import FINE, PULP, Row, entries_of, place, reading, sample


def layers(*rows: Row, name: str = "KV-019") -> Layers | None:
    found = results(replay(entries_of([FINE, PULP, *rows])))
    return layers_of(found, next(s for s in found.samples if s.id == name))


def known(*rows: Row, name: str = "KV-019") -> Layers:
    found = layers(*rows, name=name)
    assert found is not None
    return found


def weighed(gold: str = "1.200", name: str = "KV-019") -> tuple[Row, ...]:
    return sample(name), reading("charge", "30.00", name), reading("gold", gold, name)


def counted(count: int, **more: str) -> Row:
    return "grains", {"sample": "KV-019", "count": count, **more}


PROOFS = (
    sample("P-1", "proof", gold_known="1.200 mg"),
    sample("P-2", "proof", gold_known="1.200 mg"),
    reading("gold", "1.150", "P-1"),
    reading("gold", "1.190", "P-2"),
)


def test_a_hundred_grains_of_the_drawn_page() -> None:
    """40 g/t of about 100 grains: ± 8.0 with the sample, whatever the weighing and the assay."""
    found = known(*weighed(), counted(100))
    assert found.grains == pytest.approx(100)
    assert found.result.value == pytest.approx(40, rel=1e-6)
    assert found.sampling is not None
    assert found.sampling.expanded == pytest.approx(8.0, abs=0.02)
    assert found.decides == "sampling"
    assert found.widest is found.sampling
    assert found.missing is None
    assert found.advice.text == (
        "Few grains decide KV-019. A finer balance will not help.\n"
        "Take a larger sample, or screen out the coarse gold."
    )


def test_every_layer_takes_in_the_one_before() -> None:
    found = known(*weighed(), *PROOFS, counted(50))
    assert found.sampling is not None
    assert 0 < found.weighing.u < found.assay.u < found.sampling.u
    assert found.assay.u == found.result.u
    of_grains = found.result.value / math.sqrt(50)
    assert found.sampling.u == pytest.approx(math.hypot(found.assay.u, of_grains))


def test_the_weighing_layer_is_that_of_gold_and_charge() -> None:
    """u(gold) 0.002 mg, u(charge) 0.007 g: relative, in squares."""
    found = known(*weighed())
    share = math.hypot(0.002 / 1.2, 0.007 / 30)
    assert found.weighing.u == pytest.approx(40 * share, rel=1e-6)
    assert found.assay.u == pytest.approx(found.weighing.u, rel=1e-6)
    assert found.weighing.expanded is not None


def test_weighing_the_proofs_is_doubt_of_the_assay() -> None:
    """U of gold and charge of this sample alone; what the proofs' own weighing adds comes after."""
    alone, found = known(*weighed()), known(*weighed(), *PROOFS)
    of_gold = 0.002 / 30 * 1000
    of_charge = found.result.value * 0.007 / 30
    assert found.weighing.u == pytest.approx(math.hypot(of_gold, of_charge), rel=1e-6)
    assert found.weighing.u == pytest.approx(alone.weighing.u, rel=0.01)


def test_without_grains_the_sample_is_not_known_and_that_is_said() -> None:
    found = known(*weighed())
    assert (found.sampling, found.grains, found.decides) == (None, None, "weighing")
    assert found.widest is found.assay
    assert found.missing is not None
    assert found.missing.code == "layers_unknown"
    assert found.advice.code == "layers_weighing"


def test_proofs_that_scatter_are_to_be_improved_first() -> None:
    found = known(*weighed(), *PROOFS)
    assert (found.decides, found.advice.code) == ("assay", "layers_assay")
    assert "Run more proofs" in found.advice.text


def test_few_grains_have_two_ends_and_no_even_doubt() -> None:
    found = known(*weighed(), counted(4))
    assert found.sampling is not None
    assert found.sampling.expanded is None
    ends = found.sampling.interval
    assert (ends.low, ends.high) == pytest.approx((10 * 1.0899, 10 * 10.2416), rel=0.01)


def test_the_larger_of_count_and_size_rules() -> None:
    """Unequal grains: one of 1 mm among 1000 makes more doubt than their number."""
    alone = known(*weighed("60.000"), counted(1000))
    with_large = known(*weighed("60.000"), counted(1000, largest="1 mm"))
    assert alone.grains == pytest.approx(1000)
    assert with_large.grains == pytest.approx(60 / grains.largest_grain_mg(1000))
    assert with_large.assumptions != alone.assumptions


def test_sieves_named_in_the_count_give_the_grain() -> None:
    found = known(*weighed(), counted(3000, size="106um:250um", largest="1 mm"))
    assert found.grains == pytest.approx(1.2 / grains.sieved_grain_mg(106, 250))
    free_text = known(*weighed(), counted(30, size="fines : by eye"))
    assert free_text.grains == pytest.approx(30)


def test_a_size_stated_for_the_log_serves_every_sample() -> None:
    stated: Row = ("method", {"item": "grain_size", "value": "106um:250um"})
    found = known(stated, *weighed())
    assert found.grains == pytest.approx(1.2 / 0.056666, rel=1e-4)
    assert found.decides == "sampling"


def test_no_grain_counted_and_no_size_leaves_the_sample_unknown() -> None:
    assert known(*weighed(), counted(0)).sampling is None


def test_gold_not_seen_is_up_to_three_grains() -> None:
    stated: Row = ("method", {"item": "grain_size", "value": "500um"})
    found = known(stated, *weighed("0.000"))
    assert found.sampling is not None
    assert found.decides == "sampling"
    grade_of_one = grains.grain_mass_mg(500) * 1000 / 30
    assert found.sampling.interval.low == 0
    assert found.sampling.interval.high == pytest.approx(3.0 * grade_of_one, rel=0.02)


def test_a_duplicate_has_the_grains_of_its_sample() -> None:
    twin = sample("KV-019b", "duplicate", of="KV-019")
    rows = (*weighed(), twin, *weighed("1.210", "KV-019b")[1:], counted(100))
    found = known(*rows, name="KV-019b")
    assert found.grains == pytest.approx(1.21 / (1.21 / 100))


def test_a_sample_without_gold_has_no_layers() -> None:
    rows = (sample("KV-019"), reading("charge", "30.00", "KV-019"), place("KV-019", "A1"))
    assert layers(*rows) is None
    assert layers(*rows, reading("bead", "1.204", "KV-019")) is None


def test_gold_heavier_than_its_bead_has_no_layers() -> None:
    assert layers(*weighed("1.372"), reading("bead", "1.204", "KV-019")) is None


# --- a cut-off, and the hand sheet ---------------------------------------------------------------


def test_a_cutoff_is_judged_with_the_widest_layer_known() -> None:
    alone = against_cutoff(known(*weighed()), 38.0)
    assert (alone.code, alone.layer) == ("cutoff_above", "assay")
    wide = against_cutoff(known(*weighed(), counted(100)), 38.0)
    assert (wide.code, wide.layer) == ("cutoff_not_shown", "sampling")
    few = against_cutoff(known(*weighed(), counted(5)), 12.0)
    assert few.few_grains
    assert few.low < few.high


SHEET = """\
[sheet]
log = "furnace run"
title = "Grains"
date = 2026-06-09
by = "KB"
[method]
grain_size = "SIZE"
[[balances]]
name = "fine"
step = "0.001 mg"
spread = "0.002 mg"
weighs = ["gold"]
[[balances]]
name = "pulp"
step = "0.01 g"
weighs = ["charge"]
[[samples]]
id = "T-1"
silver = "none"
charge = "30.00 g"
gold = "1.200 mg"
grains = COUNT
"""


def sheet(size: str = "106um:250um", count: str = "9") -> str:
    return SHEET.replace("SIZE", size).replace("COUNT", count)


def test_a_hand_sheet_holds_grains_of_a_sample_and_a_size() -> None:
    found = results(replay(read(sheet().encode()).entries))
    (own,) = found.samples
    known_layers = layers_of(found, own)
    assert known_layers is not None
    assert known_layers.grains == pytest.approx(9)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (sheet(size="250um:106um"), "method.grain_size.value: "),
        (sheet(size="fine"), "method.grain_size.value: "),
        (sheet(count="-1"), 'samples[1] (T-1).grains.count: "-1" is not a whole number'),
        (sheet(count='"few"'), 'samples[1] (T-1).grains.count: "few" is not a whole number'),
    ],
)
def test_grains_of_a_hand_sheet_that_cannot_be_read_are_named(text: str, line: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(text.encode())
    assert [fault for fault in caught.value.lines if fault.startswith(line)]


# --- several determinations ----------------------------------------------------------------------


def twice(*rows: Row, gold: tuple[str, str]) -> Layers:
    """A sample assayed twice."""
    twin = sample("KV-019b", "duplicate", of="KV-019")
    both = (*weighed(gold[0]), twin, *weighed(gold[1], "KV-019b")[1:])
    found = results(replay(entries_of([FINE, PULP, *rows, *both])))
    (pooled,) = found.grades
    known_layers = layers_of_grade(found, pooled)
    assert known_layers is not None
    return known_layers


STATED: Row = ("method", {"item": "grain_size", "value": "250um"})


def test_two_charges_hold_twice_the_grains() -> None:
    one = known(STATED, *weighed())
    both = twice(STATED, gold=("1.200", "1.201"))
    assert one.grains is not None
    assert both.grains == pytest.approx(2 * one.grains, rel=0.001)
    assert both.result.u_sampling == pytest.approx(one.result.u_sampling / math.sqrt(2), rel=0.01)


def test_scatter_of_charges_holds_the_grains_already() -> None:
    """1.0 and 1.6 mg of 0.056 mg grains of 0.2 mm: the larger of scatter and grains, not both."""
    size: Row = ("method", {"item": "grain_size", "value": "200um"})
    found = twice(size, gold=("1.000", "1.600"))
    of_grains = found.result.value * found.result.grain
    assert found.result.replicated > of_grains
    assert found.sampling is not None
    assert found.sampling.u == found.assay.u
    assert found.decides == "assay"
    assert "Run more charges of it." in found.advice.text
