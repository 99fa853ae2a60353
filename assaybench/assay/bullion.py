"""Bullion: fineness from pieces and proofs, the fine mass of a bar, and the splitting limit.

Method version 1, section 4. W = 1000·(m2 + D)/m1 in parts per thousand. Raw and corrected stand
side by side. On one balance the scale cancels, since it is one variable.
"""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.assay.cornets import Amounts, amounts_said
from assaybench.assay.grade import disagreement
from assaybench.assay.proofs import Correction, Proof, corrected, correction
from assaybench.assay.replicates import Spread, with_scatter
from assaybench.messages import say
from assaybench.metrology.figure import Flag, Verdict, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

PERMILLE = 1000


class Piece(NamedTuple):
    """One assay piece of a bar.

    Attributes:
        name: names it.
        taken_mg: m1, mass of the piece, mg.
        found_mg: m2, mass of its cornet, mg.
        amounts: foil and silver that went with it, as far as they were noted.
    """

    name: str
    taken_mg: Uncertain
    found_mg: Uncertain
    amounts: Amounts = Amounts()


class PieceFineness(NamedTuple):
    """Fineness of one piece, parts per thousand.

    Attributes:
        name: names the piece.
        raw: 1000·m2/m1.
        corrected: 1000·(m2 + D)/m1, or the ratio form.
    """

    name: str
    raw: Uncertain
    corrected: Uncertain


class Surcharge(NamedTuple):
    """What proofs came out with more than went in; below zero where they lost more than they kept.

    Attributes:
        mg: mean of found minus taken, mg.
        permille: the same per 1000 of the gold taken.
    """

    mg: Uncertain
    permille: Uncertain


class Fineness(NamedTuple):
    """Fineness of a bar, parts per thousand.

    Attributes:
        corrected: mean of the corrected pieces.
        raw: mean of the raw pieces.
        pieces: each of them.
        surcharge: of the proofs; None without.
        correction: what the proofs gave; None without.
        spread: of one piece, held against the model.
        agrees: whether the pieces lie as close together as their doubt lets expect.
        flags, assumptions: what a reader must know.
    """

    corrected: Uncertain
    raw: Uncertain
    pieces: tuple[PieceFineness, ...]
    surcharge: Surcharge | None
    correction: Correction | None
    spread: Spread | None
    agrees: bool
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]


def fineness(
    sources: Sources,
    bar: str,
    pieces: Sequence[Piece],
    proofs: Sequence[Proof],
    *,
    ratio: bool = False,
    history: Sequence[Sequence[Proof]] = (),
    spread: Spread | None = None,
) -> Fineness:
    """W = 1000·(m2 + D)/m1 of a bar, mean over its pieces; D = mean(taken - found) of the proofs.

    Args:
        sources: the sources of doubt of the calculation.
        bar: names the bar.
        pieces: two or more; one is flagged.
        proofs: of like composition and the same tray; two or more, one is flagged; none means raw.
        ratio: W = 1000·(m2/m1)·Σm3/Σm4 instead.
        history: proofs of earlier trays of like composition, for their scatter alone.
        spread: of one piece, pooled from the log, parts per thousand.

    Raises:
        ValueError: without a piece.

    Source: ISO 11426:2014 (two pieces and two proofs at least, 7.2.1; the formula from memory).
    """
    if not pieces:
        raise ValueError("a bar needs one piece at least")
    found = None
    if proofs:
        found = correction(
            sources,
            proofs,
            "ratio" if ratio else "additive",
            history=history,
            unknown="surcharge_scatter_unknown",
        )
    replicated = len(pieces) > 1 or spread is not None
    each = [_piece(sources, bar, piece, found, replicated=replicated) for piece in pieces]
    raw = [piece.raw for piece in each]
    values = [piece.corrected for piece in each]
    mean = with_scatter(sources, f"pieces of {bar}", sum(values) / len(values), values, spread)
    plain = with_scatter(sources, f"raw pieces of {bar}", sum(raw) / len(raw), raw, spread)
    # pieces differ by the loss of each too, whether its doubt comes from them or from the proofs
    own = [_piece(sources, bar, piece, found, replicated=False).corrected for piece in pieces]
    apart = disagreement(sources, own, spread, "‰")
    alone = (flag("one_piece"),) if len(pieces) == 1 else ()
    off = [
        said
        for name, taken, cornet, amounts in pieces
        for said in amounts_said(name, nominal(taken), nominal(cornet), amounts)
    ]
    reasons = found.flags if found else (flag("no_matching_proof", why=say("proof_none")),)
    return Fineness(
        corrected=mean.result,
        raw=plain.result,
        pieces=tuple(each),
        surcharge=None if found is None else surcharge_of(proofs, found),
        correction=found,
        spread=mean.spread,
        agrees=not apart,
        flags=(*apart, *alone, *reasons, *off),
        assumptions=found.assumptions if found else (),
    )


def surcharge_of(proofs: Sequence[Proof], found: Correction) -> Surcharge:
    """The surcharge of proofs: -D, or what the factor leaves of the gold taken.

    Its doubt is that of the correction it goes with: weighings of the proofs, and their scatter
    over the number of proofs.

    Args:
        proofs: one or more.
        found: the correction they gave.
    """
    taken = sum(proof.taken_mg for proof in proofs) / len(proofs)
    mg = -found.shift_mg if found.form == "additive" else taken * (1 / found.factor - 1)
    return Surcharge(mg, PERMILLE * mg / taken)


def _piece(
    sources: Sources, bar: str, piece: Piece, found: Correction | None, *, replicated: bool
) -> PieceFineness:
    gold = piece.found_mg
    if found is not None:
        name = f"piece {piece.name} of {bar}"
        gold = corrected(sources, found, gold, name, replicated=replicated)
    return PieceFineness(
        piece.name,
        PERMILLE * piece.found_mg / piece.taken_mg,
        PERMILLE * gold / piece.taken_mg,
    )


def fine_mass(gross: Uncertain, fineness_permille: Uncertain) -> Uncertain:
    """Fine metal of a bar, in the unit of its gross mass."""
    return gross * fineness_permille / PERMILLE


class Settlement(NamedTuple):
    """Two parties' figures against a splitting limit.

    Attributes:
        difference: first less second, with its doubt where both were exchanged with theirs.
        limit: the splitting limit, in the same unit.
        mean: what it settles at, likewise; None beyond the limit.
        verdict: within or beyond the splitting limit.
    """

    difference: Uncertain
    limit: float
    mean: Uncertain | None
    verdict: Verdict


WORDS = {"within_splitting_limit": "within limit", "beyond_splitting_limit": "beyond limit"}


def settle(first: Uncertain, second: Uncertain, limit: float, unit: str = "‰") -> Settlement:
    """Within the splitting limit the mean, beyond it the umpire, whose rule is the contract's.

    The figures are compared as they were exchanged, whatever their doubt; a difference equal to the
    limit is within.

    Args:
        first, second: the figures exchanged, in one unit; without doubt where none was stated.
        limit: the contract's splitting limit, in that unit.
        unit: symbol of it.

    Raises:
        ValueError: for a limit below zero.

    Source: published terms of refiners (mean within, umpire beyond).
    """
    if limit < 0:
        raise ValueError("a splitting limit is zero or more")
    difference, mean = first - second, (first + second) / 2
    apart = abs(nominal(difference))
    within = apart <= limit + 1e-9 * max(abs(nominal(first)), abs(nominal(second)))
    code = "within_splitting_limit" if within else "beyond_splitting_limit"
    reason = say(
        code,
        d=write.short(apart, 3),
        limit=write.short(limit),
        mean=write.short(nominal(mean)),
        unit=unit,
    )
    return Settlement(
        difference, limit, mean if within else None, Verdict(code, WORDS[code], reason)
    )
