"""The sum of a sample that was assayed in parts, line by line: screen metallics, and a bar."""

from collections.abc import Sequence

from assaybench.assay.bullion import Fineness, Piece
from assaybench.assay.metallics import CLOSURE, Closure, Metallics
from assaybench.assay.net import BEYOND_NOISE
from assaybench.assay.proofs import Proof
from assaybench.metrology.uncertain import Uncertain, nominal
from assaybench.record.sums import Step, n, step

GRAM_PLACES = 9
"""Decimals that a difference of masses in grams is rounded to: beyond them floats have noise."""


def of_metallics(found: Metallics, name: str = "") -> tuple[Step, ...]:
    """Grade of what passed, its metal, the grade, the coarse share, and whether the parts add up.

    Args:
        found: the screen metallics; nothing is worked out of those that are refused.
        name: leads each line; empty where there is one sample alone.
    """
    if found.refusal is not None:
        return ()
    led = f"{name}: " if name else ""
    minus, plus = found.minus, nominal(found.plus_mg)
    grams = " + ".join(n(nominal(one.sample_g)) for one in minus.used)
    metal = " + ".join(n(nominal(one.metal_mg)) for one in minus.used)
    mean, passed = nominal(minus.g_per_t), nominal(found.minus_mg)
    total, grade = f"({n(found.plus_g)} + {n(found.minus_g)})", nominal(found.g_per_t)
    lines = [
        step(f"{led}minus grade", f"1000 × ({metal}) / ({grams})", mean, "g/t"),
        step(f"{led}minus metal", f"{n(found.minus_g)} × {n(mean)} / 1000", passed, "mg"),
        step(f"{led}grade", f"1000 × ({n(plus)} + {n(passed)}) / {total}", grade, "g/t"),
    ]
    if found.coarse_share is not None:
        expression = f"100 × {n(plus)} / ({n(plus)} + {n(passed)})"
        lines.append(step(f"{led}coarse", expression, 100 * nominal(found.coarse_share), "%"))
    if found.closure is not None:
        lines += _closure(found.closure, found.plus_g, found.minus_g, led)
    return tuple(lines)


def _closure(closure: Closure, plus_g: float, minus_g: float, led: str) -> tuple[Step, ...]:
    """Total less its parts, and how much that may be."""
    gap = round(nominal(closure.gap_g), GRAM_PLACES)
    total, limit = gap + plus_g + minus_g, closure.limit_g
    of_total = CLOSURE * total >= limit * (1 - 1e-9)
    allowed = f"{CLOSURE} × {n(total)}" if of_total else f"3 × {n(limit / BEYOND_NOISE)}"
    return (
        step(f"{led}total less parts", f"{n(total)} - {n(plus_g)} - {n(minus_g)}", gap, "g"),
        step(f"{led}which may be at most", allowed, limit, "g"),
    )


def of_bar(
    name: str, pieces: Sequence[Piece], proofs: Sequence[Proof], found: Fineness
) -> tuple[Step, ...]:
    """Surcharge of the proofs, raw and corrected fineness of each piece, then their mean."""
    steps = [*_surcharge(name, proofs, found)]
    shift = factor = None
    if found.correction is not None and found.correction.form == "additive":
        shift = nominal(found.correction.shift_mg)
    elif found.correction is not None:
        factor = nominal(found.correction.factor)
    for piece, own in zip(pieces, found.pieces, strict=True):
        taken, cornet = nominal(piece.taken_mg), nominal(piece.found_mg)
        raw = f"1000 × {n(cornet)} / {n(taken)}"
        steps.append(step(f"{piece.name}: raw", raw, nominal(own.raw), "‰"))
        if shift is not None:
            expression = f"1000 × ({n(cornet)} + {n(shift)}) / {n(taken)}"
        elif factor is not None:
            expression = f"1000 × {n(cornet)} × {n(factor)} / {n(taken)}"
        else:
            continue
        steps.append(step(f"{piece.name}: corrected", expression, nominal(own.corrected), "‰"))
    mean = " + ".join(n(nominal(own.corrected)) for own in found.pieces)
    expression = f"({mean}) / {len(pieces)}"
    return (*steps, step(f"{name}: fineness", expression, nominal(found.corrected), "‰"))


def _surcharge(name: str, proofs: Sequence[Proof], found: Fineness) -> tuple[Step, ...]:
    """Found less taken, the mean of the proofs, and the same of the gold taken."""
    if found.surcharge is None:
        return ()
    pairs = [(n(nominal(p.found_mg)), n(nominal(p.taken_mg))) for p in proofs]
    count, mg = len(pairs), nominal(found.surcharge.mg)
    differences = " + ".join(f"({came} - {went})" for came, went in pairs)
    taken = " + ".join(went for _, went in pairs)
    permille = f"1000 × {n(mg)} / (({taken}) / {count})"
    return (
        step(f"{name}: surcharge", f"({differences}) / {count}", mg, "mg"),
        step(f"{name}: of the gold taken", permille, nominal(found.surcharge.permille), "‰"),
    )


def settled(name: str, ours: Uncertain, other: Uncertain, mean: Uncertain) -> Step:
    """The mean of two parties' figures within their splitting limit, parts per thousand."""
    expression = f"({n(nominal(ours))} + {n(nominal(other))}) / 2"
    return step(f"{name}: settled at", expression, nominal(mean), "‰")
