"""Foil and silver of a piece of gold alloy: what is said of too little and too much.

The amounts themselves stand in the published cases (ISO 11426:2014, 7.2.1).
"""

import pytest

from assaybench.assay.bullion import Piece, fineness
from assaybench.assay.cornets import Amounts, amounts_said, least_foil_g
from assaybench.metrology.uncertain import Sources


def codes(piece: float, cornet: float, foil: float | None, silver: float | None) -> list[str]:
    return [said.code for said in amounts_said("piece 1", piece, cornet, Amounts(foil, silver))]


def test_whole_milligrams_are_counted() -> None:
    assert [least_foil_g(mg) for mg in (125.0, 200.4, 200.6, 300.4)] == [4.0, 4.0, 6.0, 6.0]
    assert least_foil_g(301.0) is None


@pytest.mark.parametrize(
    ("piece", "foil", "found"),
    [
        (200.0, 4.0, []),
        (200.0, 3.9, ["foil_little"]),
        (250.0, 4.0, ["foil_little"]),
        (250.0, 6.0, []),
        (500.0, 4.0, []),
        (250.0, None, []),
    ],
)
def test_foil_below_the_least_is_told(piece: float, foil: float | None, found: list[str]) -> None:
    assert codes(piece, 0.75 * piece, foil, None) == found


@pytest.mark.parametrize(
    ("cornet", "silver", "found"),
    [
        (200.0, 460.0, []),  # 2.3 to 1
        (200.0, 600.0, []),  # 3 to 1
        (200.0, 601.0, ["cornet_silver_much"]),
        (200.0, 410.0, []),  # 50 mg of the piece may be silver of its own
        (200.0, 409.0, ["cornet_silver_little"]),
        (200.0, 0.0, ["cornet_silver_little"]),
        (200.0, None, []),
        (0.0, 0.0, []),
    ],
)
def test_silver_outside_its_range_is_told(
    cornet: float, silver: float | None, found: list[str]
) -> None:
    assert codes(250.0, cornet, None, silver) == found


def test_a_bar_says_it_of_each_piece_by_name() -> None:
    pieces = [
        Piece("D-4 a", 250.0, 228.0, Amounts(foil_g=4.0, silver_mg=570.0)),
        Piece("D-4 b", 250.0, 228.1, Amounts(foil_g=6.0, silver_mg=400.0)),
    ]
    texts = [said.text for said in fineness(Sources(), "D-4", pieces, []).flags]
    assert "D-4 a: 4 g of foil; ISO 11426 has 6 g or more for 250 mg." in "\n".join(texts)
    assert "D-4 b: 1.8 of silver to 1 of gold at most; ISO 11426 has 2.3." in "\n".join(texts)
    assert not any("D-4 a: 2" in text for text in texts)
