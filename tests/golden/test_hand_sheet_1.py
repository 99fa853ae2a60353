"""Hand sheets that people may have kept: every later program reads them and finds their figures.

They stand beside format-1/ and are never made again, as that is not. When a test here fails, the
program is wrong.
"""

import hashlib
from pathlib import Path

import pytest

from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import SampleResult, results

HERE = Path(__file__).parent / "hand-sheet-1"
MOISTURE = HERE / "moisture-basis.toml"
DIGESTS = {
    "moisture-basis.toml": "dec6ef4c150a7003f44aae684bf4208ad1dbe39ad496aac25eb03ddb7109f6a9",
}


def test_the_sheets_are_as_they_were_made() -> None:
    found = {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in HERE.iterdir()}
    assert found == DIGESTS


def samples() -> dict[str, SampleResult]:
    return {s.id: s for s in results(replay(read(MOISTURE.read_bytes()).entries)).samples}


def test_the_entries_say_of_which_mass_the_water_is() -> None:
    entries = [e.values for e in read(MOISTURE.read_bytes()).entries if e.kind == "moisture"]
    assert entries == [
        {"sample": "W-1", "water": "20.00 %", "basis": "wet"},
        {"sample": "W-2", "water": "20.00 %", "basis": "wet"},
        {"sample": "D-1", "water": "25.00 %", "basis": "dry"},
    ]


@pytest.mark.parametrize("name", ["W-1", "W-2", "D-1"])
def test_a_fifth_of_the_wet_mass_is_a_quarter_of_the_dry(name: str) -> None:
    """30 g hold 24 g dry: 30·(1 - 0.20) = 30/(1 + 0.25), and 0.240 mg in 24 g are 10 g/t."""
    figure = samples()[name].figures["grade_gold"]
    assert figure.value == pytest.approx(10.0, rel=1e-12)
    assert figure.basis == "dry, not corrected for cupel loss"


def test_the_doubt_of_the_water_enters_by_its_own_slope() -> None:
    """u(dry)/dry is u(w)/(1 - w) of the wet mass, u(w')/(1 + w') of the dry: 0.8 and 1.25."""
    u_water = 0.00005 / 3**0.5
    for name, slope in (("W-1", 1 / 0.8), ("D-1", 1 / 1.25)):
        rows = {share.source: share.share for share in samples()[name].budget["grade_gold"]}
        relative = (samples()[name].figures["grade_gold"].u or 0.0) / 10.0
        assert rows["moisture"] * relative**2 == pytest.approx((slope * u_water) ** 2, rel=1e-6)
