"""Water of a screened pulp and of repeats: dry over dry, and one water is one source of doubt."""

import pytest

from assaybench.record import handsheet
from assaybench.record.live import Live
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.wholes import Whole, wholes
from tests.record.sheets import SHEET, balance

HEAD = (
    SHEET
    + balance("fine", "0.001 mg", "bead", "gold", spread="0.002 mg, 12")
    + balance("pulp", "0.01 g", "charge", "plus", "minus", "total", spread="0.007 g, 10")
)


def pulp(water: str = "", of_minus: str = "") -> str:
    """A pulp of 10 g plus and 400 g minus, the minus assayed twice."""
    masses = 'total = "410.50 g"\nplus = "10.00 g"\nminus = "400.00 g"\n'
    coarse = 'of = "M"\npart = "plus"\ncharge = "10.00 g"\ngold = "1.300 mg"\n'
    parts = [
        f'\n[[samples]]\nid = "M"\n{water}{masses}',
        f'\n[[samples]]\nid = "M plus"\n{coarse}',
    ]
    parts += [
        f'\n[[samples]]\nid = "M {i}"\nof = "M"\npart = "minus"\n{of_minus}charge = "30.00 g"\n'
        f'gold = "0.1{i}0 mg"\n'
        for i in (5, 7)
    ]
    return HEAD + "".join(parts)


def whole(text: str) -> Whole:
    entries = handsheet.read(text.encode()).entries
    live = Live()
    for entry in entries:
        live.add(entry)
        live.results()
    (found,) = wholes(results(replay(entries)))
    (same,) = wholes(live.results())
    assert found.figures == same.figures
    return found


def test_the_water_of_a_pulp_makes_its_parts_and_their_assays_dry() -> None:
    """(1.300 + 400·(0.150 + 0.170)/60)/0.410 as received; by 0.97 of the masses dry."""
    wet, dry = whole(pulp()), whole(pulp('moisture = "3.0 %"\n'))
    assert wet.figures["grade_gold"].value == pytest.approx((1.3 + 400 * 0.32 / 60) / 0.41)
    assert dry.figures["grade_gold"].value == pytest.approx((1.3 + 400 * 0.32 / 60) / 0.41 / 0.97)
    assert dry.figures["minus_metal"].value == pytest.approx(400 * 0.32 / 60)
    assert (wet.figures["grade_gold"].basis, dry.figures["grade_gold"].basis) == (
        "as received", "dry",
    )  # fmt: skip
    assert dry.figures["closure"].value == pytest.approx(0.5 * 0.97)
    lines = [step.line for step in dry.steps]
    assert "M: dry minus = 400 × 0.97 = 388 g" in lines


def test_water_on_the_dry_basis_serves_likewise() -> None:
    found = whole(pulp('moisture = "3.0 %"\nmoisture_basis = "dry"\n'))
    assert found.figures["grade_gold"].value == pytest.approx((1.3 + 400 * 0.32 / 60) / 0.41 * 1.03)
    assert "M: dry plus = 10 / (1 + 0.03) = 9.70874 g" in [step.line for step in found.steps]


def test_dry_assays_of_a_pulp_as_received_are_refused() -> None:
    found = whole(pulp(of_minus='moisture = "3.0 %"\n'))
    assert found.figures["grade_gold"].status == "not determinable"
    assert [flag.code for flag in found.flags] == ["screened_wet"]
    assert found.steps == ()


REPEATS = HEAD + "".join(
    f'\n[[samples]]\nid = "S{name}"\n{of}moisture = "{water}"\nmoisture_u = "1 %"\n'
    'charge = "30.00 g"\ngold = "3.000 mg"\n'
    for name, of, water in (("", "", "6.0 %"), (" b", 'of = "S"\n', "{other}"))
)


@pytest.mark.parametrize(("other", "shared"), [("6.0 %", True), ("6.1 %", False)])
def test_one_water_noted_at_each_charge_does_not_average_away(other: str, *, shared: bool) -> None:
    """u_rel(dry) = u(w)/(1 - w): one water counts whole in the mean, two waters by √2."""
    entries = handsheet.read(REPEATS.replace("{other}", other).encode()).entries
    (grade,) = results(replay(entries)).grades
    u = grade.figure.u
    value = grade.figure.value
    assert u is not None
    assert value is not None
    assert u / value == pytest.approx(0.01 / 0.94 / (1 if shared else 2**0.5), rel=0.02)
