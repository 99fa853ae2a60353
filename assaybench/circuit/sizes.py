"""Size distributions: passing from masses, the size that so much passes, two laws fitted to them.

Masses of sieve fractions in one unit, openings in micrometres. The doubt of the masses and that of
the openings (their tolerance Y, rectangular) are carried; that of the rule between two sieves is
not, so the rule is named. Laws: R. Schuhmann, AIME Technical Publication 1189 (1940), and P. Rosin,
J. Inst. Fuel 7 (1933) 29 (both cited after the `fluids` library's documentation).
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal, NamedTuple

from assaybench.circuit.contradiction import fractions_of
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import Figure, Flag, flag, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, ratio, total
from assaybench.units import sieves, write
from assaybench.units.table import MICROMETRE

Rule = Literal["log size", "size", "log-log"]
"""What is taken as linear between two sieves: passing over the logarithm of size, over size, or the
logarithm of passing over that of size."""

Law = Literal["Gaudin-Schuhmann", "Rosin-Rammler"]

_LARGEST_UM = 1_000_000
"""A metre: no sieve is that wide, so a line that leads there says nothing."""


class Fraction(NamedTuple):
    """What stayed on a sieve.

    Attributes:
        opening_um: of the sieve; 0 for what passed the finest.
        mass: dry mass.
    """

    opening_um: float
    mass: Uncertain


class Point(NamedTuple):
    """What passes a sieve.

    Attributes:
        opening_um: of the sieve, with the doubt of its tolerance where it is one of the series.
        passing: a share of one.
    """

    opening_um: Uncertain
    passing: Uncertain


class Curve(NamedTuple):
    """What passes each sieve, coarse first, and what a reader must know of it."""

    points: tuple[Point, ...]
    flags: tuple[Flag, ...] = ()


class SizeAt(NamedTuple):
    """The size that a share passes.

    Attributes:
        size_um: with its doubt.
        figure: the same as it is printed, with the name of the rule as its basis.
        extrapolated: whether it lies beyond the sieves used.
        flags: beyond the sieves, or within the tolerance of one.
        said: the rule, in words.
        between: the two sieves whose line it lies on, coarse first.
    """

    size_um: Uncertain
    figure: Figure
    extrapolated: bool
    flags: tuple[Flag, ...]
    said: str
    between: tuple[Point, Point]


class Fit(NamedTuple):
    """A law fitted to a curve: y = slope·(ln x - ln size), by least squares over ln x.

    Attributes:
        law: y is ln P (Gaudin-Schuhmann) or ln(-ln(1 - P)) (Rosin-Rammler).
        size_um: where y is 0: the top size k, or the size that 63.2 % pass.
        slope: m, or n.
        scatter: standard deviation of y about the line; None for two points, which leave none.
        points: the sieves it was fitted to.
    """

    law: Law
    size_um: Uncertain
    slope: Uncertain
    scatter: float | None
    points: tuple[Point, ...] = ()

    def size_at(self, share: float) -> Uncertain:
        """The size that a share of one passes by this law, µm.

        Raises:
            BadInput: when the law leads beyond any size.
            ValueError: unless the share lies between 0 and 1.
        """
        return _exp(total((1.0, _ln(self.size_um)), (1.0, _curved(share, self.law) / self.slope)))


def curve_of(
    sources: Sources,
    fractions: Sequence[Fraction],
    *,
    whole: Uncertain = None,
    name: str = "product",
    series: str = sieves.ASTM_E11,
) -> Curve:
    """What passes each sieve, from the masses that stayed on them.

    Args:
        sources: the sources of doubt.
        fractions: coarse first, last what passed the finest sieve (opening 0).
        whole: mass of all of it, when it was weighed too, g; a gap beyond max(1 %, 3u) is flagged
            and not spread.
        name: of the product, for that flag.
        series: the sieves whose tolerances hold.

    Raises:
        BadInput: when sieves are out of order, a mass is below zero, or all are zero.
    """
    openings = [part.opening_um for part in fractions]
    for coarse, fine in pairwise(openings):
        if not coarse > fine >= 0:
            shown = {"a": f"{write.short(coarse)} µm", "b": f"{write.short(fine)} µm"}
            raise BadInput.of("sieve_order", **shown)
    for part in fractions:
        if nominal(part.mass) < 0:
            shown_mass = write.short(nominal(part.mass))
            raise BadInput.of("number_negative", x=shown_mass, what="the mass of a size")
    masses = [part.mass for part in fractions]
    everything = total(*((1.0, mass) for mass in masses))
    if nominal(everything) <= 0:
        raise BadInput.of("sizes_all_zero")
    points = tuple(
        Point(
            _opening(sources, part.opening_um, series),
            ratio([(1.0, mass) for mass in masses[i + 1 :]], everything),
        )
        for i, part in enumerate(fractions)
        if part.opening_um > 0
    )
    flags = () if whole is None else fractions_of(sources, name, whole, masses)
    return Curve(points, flags)


def _opening(sources: Sources, um: float, series: str) -> Uncertain:
    """An opening with u = Y/√3, one variable for each sieve; exact when the series has none."""
    sieve = sieves.within_tolerance(um, series)
    if sieve is None or sieve.opening_um != um:
        return float(um)
    u = sieve.tolerance_mean_um / math.sqrt(3)
    return sources.variable(
        f"opening of the {write.short(um)} µm sieve", float(um), u, row="sieves"
    )


def size_at(
    sources: Sources,
    curve: Curve,
    share: float = 0.8,
    *,
    rule: Rule = "log size",
    series: str = sieves.ASTM_E11,
) -> SizeAt:
    """The size that a share passes, such as P80, between the two sieves around it.

    Beyond the coarsest or finest sieve the line of the two nearest is carried on, and flagged.

    Args:
        sources: the sources of doubt.
        curve: what passes each sieve.
        share: of one.
        rule: what is linear between two sieves.
        series: the sieves whose tolerances are looked at.

    Raises:
        BadInput: when fewer than two sieves lead to it, or their line leads beyond any size.
        ValueError: unless the share lies between 0 and 1.
    """
    if not 0 < share < 1:
        raise ValueError(f"a share that passes lies between 0 and 1, not {share!r}")
    between, extrapolated = _around(curve, share, rule)
    aim = math.log(share) if rule == "log-log" else share
    over, under = (_plotted(point, rule) for point in between)
    part = (aim - under[1]) / (over[1] - under[1])
    found = under[0] + part * (over[0] - under[0])
    size = found if rule == "size" else _exp(found)
    um = nominal(size)
    if not 0 < um < _LARGEST_UM:
        raise BadInput.of("size_beyond")
    name = write.short(100 * share, 3)
    flags = []
    if extrapolated:
        flags.append(flag("size_extrapolated", name=name))
    near = sieves.within_tolerance(um, series)
    if near is not None:
        pct = write.percent(sieves.relative_mean_tolerance(near))
        flags.append(flag("size_near_sieve", name=name, sieve=sieves.label(near), pct=pct))
    said = say(_SAID[rule])
    return SizeAt(size, _figure(sources, size, rule), extrapolated, tuple(flags), said, between)


_SAID: dict[Rule, str] = {
    "log size": "size_rule_log",
    "size": "size_rule_plain",
    "log-log": "size_rule_both",
}


def _figure(sources: Sources, size: Uncertain, rule: Rule) -> Figure:
    unit = MICROMETRE.symbol
    if sources.doubt(size).u == 0:
        return plain(nominal(size), unit, basis=rule)
    return sources.figure(size, unit, basis=rule)


def _around(curve: Curve, share: float, rule: Rule) -> tuple[tuple[Point, Point], bool]:
    """The sieves around a share, coarse first, or the two nearest; whether it lies beyond."""
    points = [p for p in curve.points if nominal(p.passing) > 0 or rule != "log-log"]
    pairs = [(a, b) for a, b in pairwise(points) if nominal(a.passing) > nominal(b.passing)]
    if not pairs:
        raise BadInput.of("sizes_too_few")
    for a, b in pairs:
        if nominal(b.passing) <= share <= nominal(a.passing):
            return (a, b), False
    return (pairs[0] if share > nominal(pairs[0][0].passing) else pairs[-1]), True


def _plotted(point: Point, rule: Rule) -> tuple[Uncertain, Uncertain]:
    """Size and passing as the rule plots them."""
    x = point.opening_um if rule == "size" else _ln(point.opening_um)
    return x, _ln(point.passing) if rule == "log-log" else point.passing


def fitted(curve: Curve, law: Law) -> Fit:
    """A law fitted to the sieves that something passes and something stays on.

    All sieves weigh alike; the doubt of masses and openings is carried, the scatter shows how far
    the law is from them.

    Raises:
        BadInput: when fewer than two such sieves are left, as much passes all of them, or the law
            leads beyond any size.
    """
    points = [p for p in curve.points if 0 < nominal(p.passing) < 1]
    if len(points) < 2:
        raise BadInput.of("sizes_too_few")
    x = [_ln(p.opening_um) for p in points]
    y = [_plotted_by(p.passing, law) for p in points]
    middle = math.fsum(map(nominal, x)) / len(x)
    off = [nominal(value) - middle for value in x]
    square = math.fsum(d * d for d in off)
    slope = math.fsum(d * nominal(value) for d, value in zip(off, y, strict=True)) / square
    if slope <= 0:
        raise BadInput.of("sizes_too_few")
    height = math.fsum(map(nominal, y)) / len(y)
    gaps = [nominal(b) - height - slope * d for b, d in zip(y, off, strict=True)]
    # to first order in the openings too: one that is off moves its point along the line
    left = [
        total((1.0, b), (-slope, a), (1.0, slope * nominal(a))) for a, b in zip(x, y, strict=True)
    ]
    found = total(
        *((d / square, value) for d, value in zip(off, left, strict=True)),
        *((gap / square, a - nominal(a)) for gap, a in zip(gaps, x, strict=True)),
    )
    mean = total(*((1 / len(y), value) for value in left))
    size = _exp(total((1.0, middle), (-1.0, mean / found)))
    spare = len(points) - 2
    scatter = math.sqrt(math.fsum(gap * gap for gap in gaps) / spare) if spare else None
    return Fit(law, size, found, scatter, tuple(points))


def _curved(share: float, law: Law) -> float:
    """y of a share that passes."""
    if not 0 < share < 1:
        raise ValueError(f"a share that passes lies between 0 and 1, not {share!r}")
    return math.log(share) if law == "Gaudin-Schuhmann" else math.log(-math.log1p(-share))


def _plotted_by(passing: Uncertain, law: Law) -> Uncertain:
    if law == "Gaudin-Schuhmann":
        return _ln(passing)
    share = nominal(passing)
    slope = -1 / ((1 - share) * math.log1p(-share))
    return total((slope, passing), (1.0, _curved(share, law) - slope * share))


def _ln(number: Uncertain) -> Uncertain:
    """Natural logarithm, to first order in the doubt."""
    value = nominal(number)
    return total((1 / value, number), (1.0, math.log(value) - 1))


def _exp(number: Uncertain) -> Uncertain:
    """Exponential, to first order in the doubt: of the logarithm of a size, µm."""
    x = nominal(number)
    if not abs(x) < math.log(_LARGEST_UM):
        raise BadInput.of("size_beyond")
    value = math.exp(x)
    return total((value, number), (1.0, value * (1 - x)))
