"""Sieves of ASTM E11 and ISO 3310-1: openings, mesh, tolerances, and what these do to a size.

An opening in micrometres decides; a mesh number is only a name, and it means something with the
name of its series beside it: No. 30 of ASTM E11 is Tyler 28, No. 140 is Tyler 150.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from assaybench.units.sieve_table import (
    ASTM_E11_ROWS,
    ISO_3310_1_ROWS,
    OLD_OPENINGS,
    TYLER_FROM_MEMORY,
    TYLER_PUBLISHED,
)

ASTM_E11 = "ASTM E11"
ISO_3310_1 = "ISO 3310-1"
SERIES_NAMES = (ASTM_E11, ISO_3310_1)

_FINEST_UM = 20
_COARSEST_UM = 125_000
_NO_SIEVE_UM = 1_000_000

_INCH = ("in", "in.", "inch", "inches", '"')
_NAME = re.compile(
    r"""(?P<prefix>no\.?|\#|us|tyler)?\s*
    (?P<size>[0-9]{1,6}(?:[.,][0-9]{1,6})?
        | (?:[0-9]{1,3}\s+)?[0-9]{1,3}/[1-9][0-9]{0,2})\s*
    (?P<suffix>mesh|inches|inch|in\.?|"|tyler)?""",
    re.IGNORECASE | re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Sieve:
    """One sieve of a series, as its standard prints it. Lengths are micrometres.

    `tolerance_mean_um` is Y: the average opening of a sieve may lie that far to either side of
    `opening_um`. `tolerance_single_um` is X: the largest single opening may exceed `opening_um`
    by that much. `wire_um` is the nominal wire diameter, None where no trustworthy figure is at
    hand. `designation` is "No. 200" or "1/2 in." in ASTM E11 and None in ISO 3310-1, which names
    a sieve by its opening. `tyler` is the Tyler mesh of the same opening, None where none is
    known; all but eight are from memory, see `tyler_is_published`.
    """

    opening_um: int
    series: str
    designation: str | None
    tolerance_mean_um: float
    tolerance_single_um: int
    wire_um: int | None
    tyler: str | None


@dataclass(frozen=True, slots=True)
class SizeFraction:
    """What passes the sieve `upper` and stays on the sieve `lower`. Lengths are micrometres.

    `width_um` is the difference of the two openings. `width_tolerance_um` is the sum of the two
    tolerances on the average opening, the most by which the width of a pair of sieves within the
    standard can differ from `width_um`; `tolerance_share` is that part of the width. At a share
    of 1 or more the two sieves cannot be told apart. `largest_opening_um` is the largest single
    opening the upper sieve may have: a grain up to that size may be in the fraction.
    """

    lower: Sieve
    upper: Sieve
    width_um: int
    width_tolerance_um: float
    tolerance_share: float
    largest_opening_um: int


_TYLER = TYLER_PUBLISHED | TYLER_FROM_MEMORY

_SERIES: dict[str, tuple[Sieve, ...]] = {
    ASTM_E11: tuple(
        Sieve(opening, ASTM_E11, designation, mean, single, wire, _TYLER.get(opening))
        for opening, designation, mean, single, wire in ASTM_E11_ROWS
    ),
    ISO_3310_1: tuple(
        Sieve(opening, ISO_3310_1, None, mean, single, wire, _TYLER.get(opening))
        for opening, mean, single, wire in ISO_3310_1_ROWS
    ),
}


def series(name: str) -> tuple[Sieve, ...]:
    """Return the sieves of a series, coarse to fine.

    Args:
        name: "ASTM E11" or "ISO 3310-1"; capitals do not matter.

    Raises:
        ValueError: the series is not one of the two.
    """
    for known in SERIES_NAMES:
        if name.strip().casefold() == known.casefold():
            return _SERIES[known]
    raise ValueError(f'unknown sieve series "{name}": accepted are {_either(SERIES_NAMES)}')


# The same function where an argument hides its name.
_sieves_of = series


def by_opening(um: float | Fraction, series: str = ASTM_E11) -> Sieve:
    """Return the sieve of a series that has exactly this opening.

    Args:
        um: opening in micrometres.
        series: "ASTM E11" or "ISO 3310-1".

    Raises:
        ValueError: no sieve of the series has this opening; the sentence names the nearest, or
            the sieve meant when the figure comes from an older chart or is in millimetres.
    """
    sieves = _sieves_of(series)
    wanted = _opening(um)
    found = _at(wanted, sieves)
    if found is not None:
        return found
    raise ValueError(
        f"{_text(wanted)} µm is no {sieves[0].series} opening: {_opening_hint(wanted, sieves)}"
    )


def by_designation(text: str, series: str = ASTM_E11) -> Sieve:
    """Return the sieve that goes by this name: "200", "No. 200", "200 mesh", "1/2 in.".

    A bare number is a mesh number; inches must be written.

    Args:
        text: the name as typed.
        series: "ASTM E11"; "ISO 3310-1" has no such names.

    Raises:
        ValueError: the text is no name of a sieve, names none of the series (the sentence gives
            the two nearest), or is a Tyler mesh (the sentence gives the sieve of that opening).
    """
    scale, typed, size = _read_name(text)
    if scale == "tyler":
        raise ValueError(f'"{text}" is no ASTM E11 number: {_tyler_hint(typed)}')
    named = {_named_size(sieve): sieve for sieve in _SERIES[ASTM_E11] if _scale(sieve) == scale}
    found = named.get(size)
    if _sieves_of(series) is _SERIES[ISO_3310_1]:
        example = _SERIES[ASTM_E11][-1] if found is None else found
        raise ValueError(
            f'ISO 3310-1 names no sieve "{text}": accepted is the opening in µm, '
            f"such as {example.opening_um} for {example.designation} of ASTM E11"
        )
    if found is not None:
        return found
    choices = sorted(named, key=lambda known: _ratio(known, size))[:2]
    hints = [f"nearest are {_either([label(named[known]) for known in choices])}"]
    if scale == "mesh":
        hints += _mesh_hints(typed, size)
    raise ValueError(f'no ASTM E11 sieve is called "{text}": {"; ".join(hints)}')


def nearest(um: float | Fraction, series: str = ASTM_E11, n: int = 2) -> tuple[Sieve, ...]:
    """Return the `n` sieves of a series nearest to an opening, nearest first.

    Nearness is the ratio of the openings, because a series of sieves is a geometric one.

    Args:
        um: opening in micrometres.
        series: "ASTM E11" or "ISO 3310-1".
        n: how many sieves, at least 1.

    Raises:
        ValueError: the opening is not a positive number, or `n` is below 1.
    """
    if n < 1:
        raise ValueError(f"{n} nearest sieves: accepted is 1 or more")
    wanted = _opening(um)
    return tuple(sorted(_sieves_of(series), key=lambda s: _ratio(s.opening_um, wanted))[:n])


def label(sieve: Sieve) -> str:
    """Return a sieve's name with its opening, "No. 200 (75 µm)"; in ISO 3310-1 "75 µm"."""
    opening = f"{sieve.opening_um} µm"
    return opening if sieve.designation is None else f"{sieve.designation} ({opening})"


def tyler_is_published(sieve: Sieve) -> bool:
    """Say whether the Tyler mesh of a sieve has a published source; else it is from memory."""
    return sieve.opening_um in TYLER_PUBLISHED


def relative_mean_tolerance(sieve: Sieve) -> float:
    """Return Y/w, the tolerance on the average opening as a part of the opening."""
    return sieve.tolerance_mean_um / sieve.opening_um


def mean_tolerance_um(w: float | Fraction) -> float:
    """Return Y = w^0.98/27 + 1.6, how far the average opening may lie from w to either side.

    It gives every row of ASTM E11 to the printed figure. The ISO 3310-1 rows are tighter: nine
    tenths of it, to the printed figure. The formula is that of ISO 3310-1, from memory.

    Args:
        w: nominal opening in micrometres, 20 to 125000; the result is in micrometres too.

    Raises:
        ValueError: the opening lies outside the range of the standards.
    """
    return float(_in_range(w) ** 0.98 / 27 + 1.6)


def single_tolerance_um(w: float | Fraction) -> float:
    """Return X = (2/3) w^0.75 + 4 w^0.25, by how much the largest single opening may exceed w.

    Units, range, source, error raised and agreement with the rows as in `mean_tolerance_um`.
    """
    opening = _in_range(w)
    return float(2 / 3 * opening**0.75 + 4 * opening**0.25)


def within_tolerance(um: float | Fraction, series: str = ASTM_E11) -> Sieve | None:
    """Return the sieve whose average opening may be this size, or None.

    A size read off a sieve analysis, a P80 say, that falls within Y of a sieve's opening cannot
    be told from that opening. Where two sieves qualify, the nearest is returned.

    Args:
        um: size in micrometres.
        series: "ASTM E11" or "ISO 3310-1".

    Raises:
        ValueError: the size is not a positive number.
    """
    size = _opening(um)
    possible = [
        sieve
        for sieve in _sieves_of(series)
        if abs(size - sieve.opening_um) <= Fraction(str(sieve.tolerance_mean_um))
    ]
    return min(possible, key=lambda s: _ratio(s.opening_um, size), default=None)


def size_fraction(lower: Sieve, upper: Sieve) -> SizeFraction:
    """Return the size fraction between two sieves, with what their tolerances do to its width.

    Args:
        lower: the finer sieve, on which the fraction stays.
        upper: the coarser sieve, which it passes.

    Raises:
        ValueError: `lower` is not finer than `upper`.
    """
    width_um = upper.opening_um - lower.opening_um
    if width_um <= 0:
        raise ValueError(
            f"size fraction {lower.opening_um} to {upper.opening_um} µm: "
            "accepted is the finer sieve first, then the coarser"
        )
    tolerance_um = lower.tolerance_mean_um + upper.tolerance_mean_um
    return SizeFraction(
        lower=lower,
        upper=upper,
        width_um=width_um,
        width_tolerance_um=tolerance_um,
        tolerance_share=tolerance_um / width_um,
        largest_opening_um=upper.opening_um + upper.tolerance_single_um,
    )


def tolerances_matter(fraction: SizeFraction, limit: float = 0.25) -> bool:
    """Say whether the tolerances of the two sieves are a large part of the fraction's width.

    Args:
        fraction: from `size_fraction`.
        limit: the share of the width from which they matter. A quarter is our own choice, there
            is no source for it.
    """
    return fraction.tolerance_share >= limit


def _opening(um: float | Fraction) -> Fraction:
    """Return an opening exactly as its decimal figures say it, refusing what can be none."""
    if 0 < um < _NO_SIEVE_UM:
        return Fraction(str(um))
    raise ValueError(
        f"opening {um} µm: accepted is a number of micrometres above 0 and below {_NO_SIEVE_UM}"
    )


def _in_range(w: float | Fraction) -> float:
    opening = float(_opening(w))
    if _FINEST_UM <= opening <= _COARSEST_UM:
        return opening
    raise ValueError(f"opening {_text(w)} µm: accepted is {_FINEST_UM} to {_COARSEST_UM} µm")


def _at(um: Fraction, sieves: tuple[Sieve, ...]) -> Sieve | None:
    return next((sieve for sieve in sieves if sieve.opening_um == um), None)


def _ratio(one: int | Fraction, other: Fraction) -> Fraction:
    """Return how many times the smaller of two sizes the larger is."""
    return max(one, other) / Fraction(min(one, other))


def _opening_hint(wanted: Fraction, sieves: tuple[Sieve, ...]) -> str:
    """Say which sieve was meant by an opening that the series lacks, or which are nearest."""
    today = next((new for old, new in OLD_OPENINGS.items() if old == wanted), None)
    replaced = None if today is None else _at(Fraction(today), sieves)
    if replaced is not None:
        return f"older charts print it for {label(replaced)}; give {replaced.opening_um}"
    in_mm = _at(wanted * 1000, sieves)
    if in_mm is not None:
        return f"if millimetres were meant, give {in_mm.opening_um} for {label(in_mm)}"
    choices = nearest(wanted, sieves[0].series)
    hint = f"nearest are {_either([label(sieve) for sieve in choices])}"
    for name, others in _SERIES.items():
        if _at(wanted, others) is not None:
            hint += f"; {name} has it"
    return hint


def _mesh_hints(typed: str, size: Fraction) -> list[str]:
    """Say what else a number that is no mesh of ASTM E11 may have meant."""
    hints = [_tyler_hint(typed)] if typed in _TYLER.values() else []
    opening = _at(size, _SERIES[ASTM_E11])
    if opening is not None:
        hints.append(f"an opening of {opening.opening_um} µm is {opening.designation}")
    hints += [
        f"inches are written {sieve.designation}"
        for sieve in _SERIES[ASTM_E11]
        if _scale(sieve) == "inch" and _named_size(sieve) == size
    ]
    return hints


def _tyler_hint(typed: str) -> str:
    for opening_um, tyler in _TYLER.items():
        if tyler == typed:
            return f"Tyler {tyler} has the opening of {label(by_opening(opening_um))}"
    return "accepted is the opening in µm or the ASTM E11 number"


def _read_name(text: str) -> tuple[str, str, Fraction]:
    """Return the scale (mesh, inch or tyler), the size as typed, and its value."""
    match = _NAME.fullmatch(text.strip())
    if match is not None:
        prefix, typed, suffix = (part or "" for part in match.group("prefix", "size", "suffix"))
        size = _size(typed)
        scale = "inch" if suffix.casefold() in _INCH else "mesh"
        if "tyler" in (prefix.casefold(), suffix.casefold()):
            scale = "tyler"
        if size and not (prefix and scale == "inch"):
            return scale, typed, size
    raise ValueError(
        f'"{text}" is no name of a sieve: accepted are 200, No. 200, 200 mesh, 1/2 in.'
    )


def _size(typed: str) -> Fraction:
    """Read "200", "3 1/2", "1/2", "0.53" or "0,53"."""
    return sum((Fraction(part) for part in typed.replace(",", ".").split()), Fraction(0))


def _scale(sieve: Sieve) -> str:
    return "inch" if str(sieve.designation).endswith(" in.") else "mesh"


def _named_size(sieve: Sieve) -> Fraction:
    """Return the number in an ASTM E11 designation: 200 for "No. 200", 1/2 for "1/2 in."."""
    return _size(str(sieve.designation).removeprefix("No. ").removesuffix(" in."))


def _text(number: float | Fraction) -> str:
    return f"{float(number):.10g}"


def _either(choices: Sequence[str]) -> str:
    return " or ".join(choices)
