"""Size distributions against `fluids`, hand-worked values and Monte Carlo."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from fluids.particle_size_distribution import (
    ParticleSizeDistribution,
    cdf_Gates_Gaudin_Schuhman,
    cdf_Rosin_Rammler,
)
from hypothesis import given
from hypothesis import strategies as st

from assaybench.circuit.sizes import Curve, Fraction, Rule, curve_of, fitted, size_at
from assaybench.messages import BadInput
from assaybench.metrology.uncertain import Sources, nominal

OPENINGS = (600, 425, 300, 212, 150, 106, 75)
MASSES = (12.0, 31.0, 55.0, 64.0, 52.0, 36.0, 22.0, 28.0)
"""On each sieve, and last through the finest; 300 g together."""


def curve(
    openings: Sequence[float] = OPENINGS,
    masses: Sequence[float] = MASSES,
    u: float = 0.1,
    sources: Sources | None = None,
) -> Curve:
    known = sources or Sources()
    made = [
        Fraction(um, known.variable(f"mass {i}", mass, u))
        for i, (um, mass) in enumerate(zip((*openings, 0), masses, strict=True))
    ]
    return curve_of(known, made)


def passing(of: Curve) -> list[float]:
    return [nominal(point.passing) for point in of.points]


def test_what_passes_is_all_that_is_finer() -> None:
    expected = [288, 257, 202, 138, 86, 50, 28]
    assert passing(curve()) == pytest.approx([mass / 300 for mass in expected])


def test_what_passes_is_that_of_fluids() -> None:
    ds = [d * 1e-6 for d in (10, *reversed(OPENINGS), 1000)]
    oracle = ParticleSizeDistribution(ds=ds, fractions=[*reversed(MASSES)], order=3)
    expected = [float(oracle.cdf(um * 1e-6)) for um in OPENINGS]
    assert passing(curve()) == pytest.approx(expected, abs=1e-12)


def test_doubt_of_what_passes() -> None:
    """P = F/(F + C): u² = ((1 - P)²·u_F² + P²·u_C²)/M², five fractions above and three below."""
    sources = Sources()
    of = curve(sources=sources)
    p = 86 / 300
    expected = math.sqrt(3 * (1 - p) ** 2 + 5 * p**2) * 0.1 / 300
    assert sources.doubt(of.points[4].passing).u == pytest.approx(expected, rel=1e-9)


# --- the size that a share passes ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        # 240/300 passes between 300 (202) and 425 µm (257)
        ("log size", 300 * (425 / 300) ** (38 / 55)),
        ("size", 300 + 125 * 38 / 55),
        ("log-log", 300 * (425 / 300) ** (math.log(240 / 202) / math.log(257 / 202))),
    ],
)
def test_three_rules_give_three_sizes_and_are_named(rule: Rule, expected: float) -> None:
    sources = Sources()
    found = size_at(sources, curve(sources=sources), rule=rule)
    assert nominal(found.size_um) == pytest.approx(expected, rel=1e-12)
    assert found.figure.basis == rule
    assert "linear" in found.said
    assert not found.extrapolated
    assert found.flags == ()


@given(st.floats(0.1, 0.95))
def test_the_rule_linear_in_size_is_that_of_numpy(share: float) -> None:
    sources = Sources()
    of = curve(sources=sources)
    expected = np.interp(share, passing(of)[::-1], OPENINGS[::-1])
    found = size_at(sources, of, share, rule="size").size_um
    assert nominal(found) == pytest.approx(float(expected), rel=1e-9)


def test_doubt_of_a_size_against_monte_carlo() -> None:
    """Masses to 2 g, openings within ± Y (ASTM E11: 425 ± 15.5, 300 ± 11.5 µm)."""
    sources = Sources()
    found = size_at(sources, curve(u=2.0, sources=sources))
    dice = np.random.default_rng(20240615)
    n = 400_000
    masses = np.array(MASSES)[:, None] + 2.0 * dice.standard_normal((8, n))
    share = np.cumsum(masses[::-1], axis=0)[::-1] / masses.sum(axis=0)
    coarse = 425 + dice.uniform(-15.5, 15.5, n)
    fine = 300 + dice.uniform(-11.5, 11.5, n)
    part = (0.8 - share[3]) / (share[2] - share[3])
    drawn = fine * (coarse / fine) ** part
    assert sources.doubt(found.size_um).u == pytest.approx(float(np.std(drawn)), rel=0.01)


def test_beyond_the_coarsest_sieve_it_is_flagged() -> None:
    sources = Sources()
    found = size_at(sources, curve(sources=sources), 0.99)
    assert found.extrapolated
    assert [flag.code for flag in found.flags] == ["size_extrapolated"]
    expected = 425 * (600 / 425) ** ((0.99 * 300 - 257) / 31)
    assert nominal(found.size_um) == pytest.approx(expected, rel=1e-12)


def test_below_the_finest_sieve_it_is_flagged() -> None:
    sources = Sources()
    assert size_at(sources, curve(sources=sources), 0.05).extrapolated


def test_a_size_within_the_tolerance_of_a_sieve_is_flagged() -> None:
    """80 % passes 75 µm almost exactly: Y is 4.1 µm, 5.5 %."""
    sources = Sources()
    of = curve((150, 106, 75, 45), (5.0, 7.0, 8.0, 30.0, 50.0), sources=sources)
    found = size_at(sources, of)
    assert nominal(found.size_um) == pytest.approx(75)
    assert [flag.code for flag in found.flags] == ["size_near_sieve"]
    assert "5.5 % off" in found.flags[0].text


def test_sieves_with_nothing_on_them_do_not_stand_in_the_way() -> None:
    sources = Sources()
    of = curve((600, 425, 300, 212), (0.0, 0.0, 40.0, 0.0, 60.0), sources=sources)
    expected = 300 * (425 / 300) ** 0.5
    assert nominal(size_at(sources, of).size_um) == pytest.approx(expected)


# --- laws ----------------------------------------------------------------------------------------

FINE_SERIES = (1000, 710, 500, 355, 250, 180, 125, 90, 63)


def by_law(shares: Sequence[float]) -> Curve:
    """The curve of sieves that these shares pass."""
    masses = [1 - shares[0], *(a - b for a, b in pairwise(shares)), shares[-1]]
    return curve(FINE_SERIES, masses, u=1e-6)


@given(st.floats(0.4, 1.5), st.floats(1010, 3000))
def test_a_gaudin_schuhmann_curve_of_fluids_gives_its_parameters(m: float, k: float) -> None:
    shares = [cdf_Gates_Gaudin_Schuhman(um * 1e-6, k * 1e-6, m) for um in FINE_SERIES]
    fit = fitted(by_law(shares), "Gaudin-Schuhmann")
    assert nominal(fit.slope) == pytest.approx(m, rel=1e-9)
    assert nominal(fit.size_um) == pytest.approx(k, rel=1e-9)
    assert fit.scatter == pytest.approx(0, abs=1e-9)
    assert nominal(fit.size_at(0.8)) == pytest.approx(k * 0.8 ** (1 / m), rel=1e-9)


@given(st.floats(0.5, 1.5), st.floats(300, 1000))
def test_a_rosin_rammler_curve_of_fluids_gives_its_parameters(n: float, size: float) -> None:
    """fluids writes 1 - exp(-k·d^m), so k = size^-m."""
    shares = [cdf_Rosin_Rammler(um / size, 1.0, n) for um in FINE_SERIES]
    fit = fitted(by_law(shares), "Rosin-Rammler")
    assert nominal(fit.slope) == pytest.approx(n, rel=1e-6)
    assert nominal(fit.size_um) == pytest.approx(size, rel=1e-6)
    assert nominal(fit.size_at(0.8)) == pytest.approx(size * math.log(5) ** (1 / n), rel=1e-6)
    assert nominal(fit.size_at(1 - math.exp(-1))) == pytest.approx(size, rel=1e-6)


@pytest.mark.parametrize("law", ["Gaudin-Schuhmann", "Rosin-Rammler"])
def test_doubt_of_a_fit_against_moved_inputs(law: str) -> None:
    """The u of slope and size from central differences in every mass and opening."""
    sources = Sources()
    fit = fitted(curve(sources=sources), law)  # type: ignore[arg-type]  # one of the two

    def of(openings: Sequence[float], masses: Sequence[float]) -> tuple[float, float]:
        known = Sources()
        moved = [Fraction(um, known.variable(str(i), m, 0.1))
                 for i, (um, m) in enumerate(zip((*openings, 0), masses, strict=True))]  # fmt: skip
        found = fitted(curve_of(known, moved), law)  # type: ignore[arg-type]  # as above
        return nominal(found.slope), nominal(found.size_um)

    doubts = {600: 21.2, 425: 15.5, 300: 11.5, 212: 8.7, 150: 6.6, 106: 5.2, 75: 4.1}
    squares = np.zeros(2)
    for i in range(len(MASSES)):
        up, down = list(MASSES), list(MASSES)
        up[i], down[i] = up[i] + 1e-4, down[i] - 1e-4
        slope = (np.array(of(OPENINGS, up)) - of(OPENINGS, down)) / 2e-4
        squares += (slope * 0.1) ** 2
    for i, um in enumerate(OPENINGS):
        up, down = list(OPENINGS), list(OPENINGS)
        up[i], down[i] = up[i] + 1e-3, down[i] - 1e-3
        slope = (np.array(of(up, MASSES)) - of(down, MASSES)) / 2e-3
        squares += (slope * doubts[um] / math.sqrt(3)) ** 2
    found = [sources.doubt(fit.slope).u, sources.doubt(fit.size_um).u]
    assert found == pytest.approx(np.sqrt(squares), rel=1e-4)


def test_two_sieves_leave_no_scatter() -> None:
    assert fitted(curve((300, 150), (20.0, 30.0, 50.0)), "Rosin-Rammler").scatter is None


# --- what cannot be ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("openings", "masses", "said"),
    [
        ((300, 425), (1.0, 2.0, 3.0), "300 µm is not coarser than 425 µm"),
        ((300, 300), (1.0, 2.0, 3.0), "300 µm is not coarser than 300 µm"),
        ((300, 150), (1.0, -2.0, 3.0), "-2 is below zero"),
        ((300, 150), (0.0, 0.0, 0.0), "no size holds any mass"),
    ],
)
def test_masses_and_sieves_that_cannot_be(
    openings: Sequence[float], masses: Sequence[float], said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        curve(openings, masses)


def test_one_sieve_gives_no_size_and_no_fit() -> None:
    sources = Sources()
    of = curve((300,), (1.0, 2.0), sources=sources)
    with pytest.raises(BadInput, match="two sieves at least"):
        size_at(sources, of)
    with pytest.raises(BadInput, match="two sieves at least"):
        fitted(of, "Rosin-Rammler")


@given(
    st.lists(st.sampled_from((0.0, 1e-6, 0.1, 12.0, 13.0, 1e6)), min_size=8, max_size=8),
    st.floats(0.001, 0.999),
    st.sampled_from(("log size", "size", "log-log")),
)
def test_any_masses_give_a_size_above_zero_or_a_reason(
    masses: list[float], share: float, rule: Rule
) -> None:
    sources = Sources()
    try:
        of = curve(masses=masses, sources=sources)
        found = [nominal(size_at(sources, of, share, rule=rule).size_um)]
        for law in ("Gaudin-Schuhmann", "Rosin-Rammler"):
            fit = fitted(of, law)
            found += [nominal(fit.size_um), nominal(fit.size_at(share))]
    except BadInput as fault:
        assert fault.lines  # noqa: PT017  what is refused is told
    else:
        assert all(0 < um < math.inf for um in found)


def test_a_line_that_leads_beyond_any_size_says_none() -> None:
    """Linear in size, 5 % would lie below nothing; nearly level, 99 % beyond a metre."""
    sources = Sources()
    falling = curve((100, 50), (10.0, 40.0, 50.0), sources=sources)
    with pytest.raises(BadInput, match="says no size there"):
        size_at(sources, falling, 0.05, rule="size")
    level = curve((100, 50), (50.0, 0.001, 50.0), sources=Sources())
    with pytest.raises(BadInput, match="says no size there"):
        size_at(sources, level, 0.99)


def test_two_sieves_that_as_much_passes_give_no_law() -> None:
    level = curve((300, 150), (50.0, 0.0, 50.0))
    with pytest.raises(BadInput, match="two sieves at least must differ"):
        fitted(level, "Gaudin-Schuhmann")


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, 1.2])
def test_a_share_lies_between_nothing_and_all(share: float) -> None:
    sources = Sources()
    of = curve(sources=sources)
    with pytest.raises(ValueError, match="between 0 and 1"):
        size_at(sources, of, share)
    with pytest.raises(ValueError, match="between 0 and 1"):
        fitted(of, "Rosin-Rammler").size_at(share)


@pytest.mark.parametrize(("whole", "codes"), [(301.0, []), (306.0, ["fractions_do_not_close"])])
def test_sizes_are_held_against_the_whole(whole: float, codes: list[str]) -> None:
    sources = Sources()
    made = [Fraction(um, sources.variable(str(um), m, 0.01))
            for um, m in zip((*OPENINGS, 0), MASSES, strict=True)]  # fmt: skip
    of = curve_of(sources, made, whole=sources.variable("whole", whole, 0.01))
    assert [flag.code for flag in of.flags] == codes
