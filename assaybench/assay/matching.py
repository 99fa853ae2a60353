"""Which beads a proof may serve, and its loss scaled to another size of bead on request.

Method version 1, section 3. A proof serves beads of 0.5 to 2 times its metal, with the same lead,
silver, copper and run. Only the size may be bridged: cupel loss goes with the surface of the bead,
mass to the power 2/3 (W. J. Sharwood, Trans. AIME 52 (1915); from memory).
"""

from assaybench.assay.proofs import Conditions, Correction, uncorrected
from assaybench.messages import say
from assaybench.units import write

LEAST_TIMES, MOST_TIMES = 0.5, 2.0
SAME = 0.1
"""Lead, silver and copper count as the same within a tenth: common practice, no source."""
_ROOM = 1e-9


def mismatches(found: Correction, metal_mg: float, conditions: Conditions) -> tuple[str, ...]:
    """Codes of what keeps these proofs from serving a bead; none when they fit.

    Args:
        found: the correction from proofs.
        metal_mg: metal of the bead after its blank, mg.
        conditions: run, lead, silver and copper of the bead.
    """
    there = found.conditions
    if there is None:
        return ("proof_none",)
    tests = {
        "proof_other_run": there.run == conditions.run,
        "proof_other_lead": _same(there.lead_g, conditions.lead_g),
        "proof_other_silver": _same(there.silver_mg, conditions.silver_mg),
        "proof_other_copper": _same(there.copper_mg, conditions.copper_mg),
        "proof_other_metal": LEAST_TIMES - _ROOM <= metal_mg / found.metal_mg <= MOST_TIMES + _ROOM,
    }
    return tuple(code for code, fits in tests.items() if not fits)


def other_size_alone(found: Correction, metal_mg: float, conditions: Conditions) -> bool:
    """Whether the size of a bead is all that keeps these proofs from serving it.

    Args:
        found: the correction from proofs.
        metal_mg: metal of the bead after its blank, mg.
        conditions: run, lead, silver and copper of the bead.
    """
    return metal_mg > 0 and mismatches(found, metal_mg, conditions) == ("proof_other_metal",)


def _same(a: float, b: float) -> bool:
    return abs(a - b) <= SAME * max(abs(a), abs(b)) * (1 + _ROOM)


def fitted(
    found: Correction, metal_mg: float, conditions: Conditions, *, scale: bool = False
) -> Correction:
    """The correction for one bead: as it is, scaled on request, or none with the reason.

    Scaling multiplies the loss in milligrams by (metal/metal of the proof)^(2/3), which is the lost
    share by the power -1/3. The two metals enter it as exact numbers: their doubt moves the small
    loss by a part of itself only.

    Args:
        found: the correction from proofs.
        metal_mg: metal of the bead after its blank, mg.
        conditions: run, lead, silver and copper of the bead.
        scale: whether a mismatch of size alone is bridged by the surface law; declared.
    """
    codes = mismatches(found, metal_mg, conditions)
    if not codes:
        return found
    if scale and other_size_alone(found, metal_mg, conditions):
        return _scaled(found, metal_mg / found.metal_mg)
    return uncorrected(conditions.run, _why(codes[0], found, metal_mg, conditions))


def _scaled(found: Correction, times: float) -> Correction:
    by_mass = times ** (2 / 3)
    by_share = times ** (-1 / 3)
    return found._replace(
        shift_mg=found.shift_mg * by_mass,
        factor=1 + (found.factor - 1) * by_share,
        own=found.own * (by_mass if found.form == "additive" else by_share),
        scale=by_mass,
        assumptions=(*found.assumptions, say("proof_scaled", x=write.significant(by_mass, 3))),
    )


def _why(code: str, found: Correction, metal_mg: float, conditions: Conditions) -> str:
    there = found.conditions
    if there is None or code == "proof_none":
        return say("proof_none")
    pairs = {
        "proof_other_lead": (there.lead_g, conditions.lead_g),
        "proof_other_silver": (there.silver_mg, conditions.silver_mg),
        "proof_other_copper": (there.copper_mg, conditions.copper_mg),
    }
    if code in pairs:
        a, b = pairs[code]
        return say(code, there=write.short(a, 3), here=write.short(b, 3))
    if metal_mg <= 0:
        return say("proof_no_metal")
    return say(code, ratio=write.significant(found.metal_mg / metal_mg, 2))
