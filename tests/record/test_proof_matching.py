"""Which beads the proofs of a hand sheet serve: by size, scaled by surface on request, by copper.

Method version 1, section 3: 0.5 to 2 times the metal of the proof, the same lead, silver, copper
and run; on request the loss goes with the surface of the bead, m^(2/3). Two proofs of 1.000 mg
found 0.990 and 0.992 mg; what is expected is worked out here from those numbers alone.
"""

import math

import pytest

from assaybench.cli.results import answer
from assaybench.messages import BadInput
from assaybench.record import handsheet
from assaybench.record.live import Live
from assaybench.record.replay import replay
from assaybench.record.results import SampleResult, results
from assaybench.record.run import Run
from assaybench.record.sample_sums import sample_sum
from tests.record.test_beside import HEAD

LOSS_MG = 0.009
FACTOR = 2.000 / (0.990 + 0.992)
CHARGE = 'silver = "20.000 mg"\nlead = "20 g"\n'


def proof(name: str, found: str, more: str = "", taken: str = "1.000") -> str:
    return (
        f'\n[[samples]]\nid = "{name}"\nrole = "proof"\n{CHARGE}'
        f'gold_known = "{taken} ± 0.001 mg"\ngold = "{found} mg"\n{more}'
    )


def bead(gold: str, more: str = "", name: str = "T-1") -> str:
    return f'\n[[samples]]\nid = "{name}"\n{CHARGE}charge = "20.00 g"\ngold = "{gold} mg"\n{more}'


def method(**items: str) -> str:
    return "\n[method]\n" + "".join(f'{name} = "{value}"\n' for name, value in items.items())


def sheet(
    *beads: str, scaling: str = "", form: str = "additive", copper: str = ""
) -> dict[str, SampleResult]:
    items = {"proof": form} | ({"proof_scaling": scaling} if scaling else {})
    proofs = proof("P-1", "0.990", copper) + proof("P-2", "0.992", copper)
    text = HEAD + method(**items) + proofs + "".join(beads)
    entries = handsheet.read(text.encode()).entries
    same = results(replay(entries)).samples
    live = Live()
    for entry in entries:
        live.add(entry)
    assert [s.figures for s in live.results().samples] == [s.figures for s in same]
    return {s.id: s for s in same}


def gold(of: SampleResult) -> float:
    value = of.figures["gold"].value
    assert value is not None
    return value


def codes(of: SampleResult) -> set[str]:
    return {flag.code for flag in of.flags}


@pytest.mark.parametrize("mg", [0.125, 0.300, 2.100, 8.000, 27.000])
def test_on_request_the_loss_goes_with_the_surface(mg: float) -> None:
    """A sphere of m has a surface of m^(2/3): 8 mg lose four times what 1 mg loses."""
    surface = math.exp(2 / 3 * math.log(mg))  # the metal of the proof is 1 mg
    made = sheet(bead(f"{mg:.3f}"), scaling="surface")["T-1"]
    assert gold(made) == pytest.approx(mg + LOSS_MG * surface, rel=1e-12)
    assert "no_matching_proof" not in codes(made)
    said = [text for text in made.assumptions if "by surface" in text]
    assert len(said) == 1
    assert said[0].startswith("Loss of the proof times ")
    assert made.figures["gold"].basis == "corrected for cupel loss"
    by_ratio = sheet(bead(f"{mg:.3f}"), scaling="surface", form="ratio")["T-1"]
    share = (FACTOR - 1) * surface / mg
    assert gold(by_ratio) == pytest.approx(mg * (1 + share), rel=1e-12)


def test_eight_times_the_metal_loses_four_times_as_much() -> None:
    made = sheet(bead("8.000"), scaling="surface")["T-1"]
    assert gold(made) == pytest.approx(8.036, abs=1e-9)
    assert gold(sheet(bead("0.125"), scaling="surface")["T-1"]) == pytest.approx(0.12725, abs=1e-9)


@pytest.mark.parametrize("scaling", ["", "none"])
def test_without_the_request_another_size_stays_uncorrected(scaling: str) -> None:
    made = sheet(bead("8.000"), scaling=scaling)["T-1"]
    assert gold(made) == 8.0
    assert "no_matching_proof" in codes(made)


@pytest.mark.parametrize(
    ("mg", "serves"), [("0.499", False), ("0.500", True), ("2.000", True), ("2.001", False)]
)
def test_a_proof_serves_from_half_to_twice_its_metal(mg: str, *, serves: bool) -> None:
    made = sheet(bead(mg))["T-1"]
    assert gold(made) == pytest.approx(float(mg) + (LOSS_MG if serves else 0.0))
    scaled = sheet(bead("1.000"), scaling="surface")["T-1"]
    assert gold(scaled) == pytest.approx(1.009)  # one that fits is not scaled
    assert not any("by surface" in text for text in scaled.assumptions)


@pytest.mark.parametrize(
    ("of_proofs", "of_bead", "serves"),
    [
        ("", "", True),
        ('copper = "5.00 mg"\n', 'copper = "5.00 mg"\n', True),
        ('copper = "5.00 mg"\n', 'copper = "0.0054 g"\n', True),
        ('copper = "5.00 mg"\n', "", False),
        ("", 'copper = "5.00 mg"\n', False),
        ('copper = "5.00 mg"\n', 'copper = "6.00 mg"\n', False),
    ],
)
def test_copper_of_proof_and_bead_must_be_alike(
    of_proofs: str, of_bead: str, *, serves: bool
) -> None:
    for scaling in ("none", "surface"):  # only size is bridged
        made = sheet(bead("1.000", of_bead), scaling=scaling, copper=of_proofs)["T-1"]
        assert gold(made) == pytest.approx(1.009 if serves else 1.0)
        assert ("no_matching_proof" in codes(made)) == (not serves)


def test_why_copper_keeps_a_proof_from_serving_is_told() -> None:
    made = sheet(bead("1.000"), copper='copper = "5.00 mg"\n')["T-1"]
    (said,) = [f.text for f in made.flags if f.code == "no_matching_proof"]
    assert said == ("Not corrected for cupel loss: the proof had 5 mg of copper, the bead 0 mg.")


def test_proofs_with_unlike_copper_are_not_taken_together() -> None:
    text = HEAD + proof("P-1", "0.990", 'copper = "5 mg"\n') + proof("P-2", "0.980")
    run = Run(replay(handsheet.read(text.encode()).entries))
    assert [[p.name for p in group] for group in run.gold_proofs] == [["P-1"], ["P-2"]]
    text += bead("1.000") + bead("1.000", 'copper = "5 mg"\n', "T-2")
    found = {s.id: s for s in results(replay(handsheet.read(text.encode()).entries)).samples}
    assert (gold(found["T-1"]), gold(found["T-2"])) == pytest.approx((1.020, 1.010))


def test_the_nearest_proof_of_those_that_differ_in_size_alone_is_scaled() -> None:
    """The proof of 10 mg is nearer in size, but had other lead; that of 1 mg is scaled."""
    other = proof("Q", "9.950", taken="10.000").replace('lead = "20 g"', 'lead = "40 g"')
    text = HEAD + method(proof_scaling="surface") + proof("P", "0.991") + other + bead("8.000")
    found = {s.id: s for s in results(replay(handsheet.read(text.encode()).entries)).samples}
    assert gold(found["T-1"]) == pytest.approx(8.036)


def test_every_step_of_a_scaled_sum_is_a_calculators() -> None:
    items = method(proof_scaling="surface")
    text = HEAD + items + proof("P-1", "0.990") + proof("P-2", "0.992") + bead("8.000")
    found = results(replay(handsheet.read(text.encode()).entries))
    lines = [step.line for step in sample_sum(found, found.samples[-1])]
    assert "T-1: gold corrected = 8 + 0.036 = 8.036 mg" in lines
    page = answer("sheet", text.encode())
    assert any("by surface (mass to the power 2/3): declared" in text for text in page.assumptions)


@pytest.mark.parametrize(
    ("copper", "line"),
    [
        ('"5"', '"5" has no unit'),
        ('"-1 mg"', '"-1 mg" is below zero; copper cannot be.'),
        ('"none"', '"none" is not a figure'),
        ("5", '"5" is not text'),
    ],
)
def test_copper_is_a_mass_with_its_unit(copper: str, line: str) -> None:
    with pytest.raises(BadInput) as caught:
        handsheet.read((HEAD + bead("1.000", f"copper = {copper}\n")).encode())
    (found,) = caught.value.lines
    assert found.startswith(f"samples[1] (T-1).copper: {line}")


def test_a_proof_is_not_told_that_it_has_no_twin() -> None:
    """It is the twin itself; a sample without one is told."""
    silver = 'bead = "20.500 mg"\n'
    text = HEAD + method(silver="twin") + proof("P-1", "0.990", 'bead = "20.800 mg"\n')
    text += bead("1.000", silver).replace("20.000 mg", "10.000 mg")
    text += f'\n[[samples]]\nid = "B"\nrole = "blank"\n{CHARGE}bead = "19.9 mg"\n'
    text += 'gold = "0.001 mg"\n'
    found = {s.id: s for s in results(replay(handsheet.read(text.encode()).entries)).samples}
    assert {name for name, s in found.items() if "no_twin" in codes(s)} == {"T-1"}
    assert {s.figures["silver"].basis for s in found.values()} == {"by difference"}


def test_a_proof_fits_by_the_gold_that_is_left_after_the_blank() -> None:
    """2.004 mg less 0.010 of the blank is 1.994: within twice 1 mg, and below half of 4 mg."""
    lots = '\n[[lots]]\nlot = "L"\nmaterial = "litharge"\n'
    of_lot = 'lots = ["L"]\n'
    blank = (
        '\n[[samples]]\nid = "BL"\nrole = "blank"\nsilver = "none"\nlead = "20 g"\n'
        f'{of_lot}bead = "0.010 mg"\ngold = "0.010 mg"\n'
    )
    proofs = proof("P-1", "0.990") + proof("P-2", "0.992") + proof("P-3", "3.900", taken="4.000")
    text = HEAD + lots + proofs + blank + bead("2.004", of_lot)
    found = results(replay(handsheet.read(text.encode()).entries))
    assert gold(found.samples[-1]) == pytest.approx(1.994 + LOSS_MG)


def test_a_proof_whose_gold_is_not_yet_parted_tells_nothing_of_silver() -> None:
    """5 mg gold and 15 mg silver left a bead of 19.7 mg: silver found is 19.7 less its gold."""
    one = (
        '\n[[samples]]\nid = "P-1"\nrole = "proof"\nlead = "20 g"\n'
        'gold_known = "5.000 mg"\nsilver_known = "15.000 mg"\nbead = "19.700 mg"\n'
    )
    own = bead("4.900", 'bead = "19.500 mg"\n')
    before = Run(replay(handsheet.read((HEAD + one + own).encode()).entries))
    assert not before.loss.known
    parted = one + 'gold = "4.980 mg"\n'
    after = Run(replay(handsheet.read((HEAD + parted + own).encode()).entries))
    assert after.loss.known
    assert after.loss.share.nominal_value == pytest.approx(1 - 14.72 / 15)
    alone = one.replace('gold_known = "5.000 mg"\n', "").replace("19.700", "14.720")
    silver = Run(replay(handsheet.read((HEAD + alone + own).encode()).entries))
    assert silver.loss.share.nominal_value == pytest.approx(1 - 14.72 / 15)
