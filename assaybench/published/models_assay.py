"""Models of assay work: metallics, cupel losses, bullion, replicates, a mass freed of buoyancy."""

from collections.abc import Sequence

from assaybench.assay.bullion import Piece, fine_mass, fineness
from assaybench.assay.cornets import least_foil_g, silver_range_mg
from assaybench.assay.grade import Determination, grade, in_unit, pooled_grade
from assaybench.assay.losses import silver_loss
from assaybench.assay.metallics import Plus, metallics
from assaybench.assay.parting import least_ratio, retained_silver_mg
from assaybench.assay.proofs import Conditions, Proof
from assaybench.assay.replicates import average, pooled, spread_of_duplicates
from assaybench.circuit.products import portion_share
from assaybench.metrology.calibration import buoyancy_factor
from assaybench.metrology.special import phi_inv
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write
from assaybench.units.table import BY_SPELLING, PER_CENT

OUNCES = BY_SPELLING["ozt/long_ton"]
PENNYWEIGHTS = BY_SPELLING["dwt/long_ton"]
GRAINS = BY_SPELLING["grain/long_ton"]
PENNYWEIGHTS_OF_AN_OUNCE = 20
ANY_SAMPLE_G = 1000.0
"""A sample mass where the source gives grades only."""
ANY_SHARE = 0.01
"""A relative doubt where the source gives none: a determination always has one."""


def metallics_of_sample(
    *, plus_g: float, plus_mg: float, minus_g: float, charge_g: float, bead_mg: float
) -> dict[str, float | str]:
    """Grade by screen metallics: all of plus assayed, one charge of minus."""
    minus = [Determination("minus", bead_mg, charge_g)]
    found = metallics(Sources(), "sample", Plus(plus_g, (plus_mg,)), minus_g, minus)
    return _in_print(found.g_per_t)


def metallics_pro_rata(
    *, total_g: float, plus_mg: float, charge_g: float, bead_mg: float
) -> dict[str, float | str]:
    """The quick way: the metal of plus that falls to one charge is added to its bead, mg."""
    metal_mg = bead_mg + plus_mg * portion_share(charge_g, total_g)
    return {"metal_g": nominal(metal_mg) / 1000, **_in_print(grade(metal_mg, charge_g))}


def _in_print(g_per_t: Uncertain) -> dict[str, float | str]:
    return {
        "percent": nominal(in_unit(g_per_t, PER_CENT)),
        "ozt_per_long_ton": nominal(in_unit(g_per_t, OUNCES)),
    }


def cupel_losses(*, taken_mg: Sequence[float], found_mg: Sequence[float]) -> dict[str, float | str]:
    """Silver lost in cupelling by proofs of one run each: in per cent and in mg, numbered."""
    found: dict[str, float | str] = {}
    for i, (taken, left) in enumerate(zip(taken_mg, found_mg, strict=True), 1):
        run = f"run {i}"
        proof = Proof(f"proof {i}", taken, left, Conditions(run, lead_g=0.0))
        share = nominal(silver_loss(Sources(), [proof]).share)
        found[f"percent {i}"] = 100 * share
        found[f"loss_mg {i}"] = share * taken
    return found


def error_of_grade(*, error_mg: float, sample_g: float) -> dict[str, float | str]:
    """What an error of a bead does to the grade: parts per 100,000, and dwt per long ton."""
    sources = Sources()
    g_per_t = grade(sources.variable("bead", 0.0, error_mg), sample_g)
    return {
        "parts_per_100000": 1000 * sources.doubt(in_unit(g_per_t, PER_CENT)).u,
        "dwt_per_long_ton": sources.doubt(in_unit(g_per_t, PENNYWEIGHTS)).u,
    }


def reported_to_pennyweight(
    *, bead_mg: float, unit_mg: float, sample_g: float
) -> dict[str, float | str]:
    """An assay per long ton reported to the pennyweight, and half the balance's unit in grains."""
    pennyweights = nominal(in_unit(grade(bead_mg, sample_g), PENNYWEIGHTS))
    ounces, rest = divmod(int(write.at_place(pennyweights, 0)), PENNYWEIGHTS_OF_AN_OUNCE)
    return {
        "oz": float(ounces),
        "dwt": float(rest),
        "half_unit_grains": nominal(in_unit(grade(unit_mg / 2, sample_g), GRAINS)),
    }


def raw_fineness(*, taken_mg: float, found_mg: Sequence[float]) -> dict[str, float | str]:
    """Raw fineness of cornets from pieces of one mass, parts per thousand, numbered."""
    found: dict[str, float | str] = {}
    for i, cornet in enumerate(found_mg, 1):
        bar = fineness(Sources(), "bar", [Piece("piece", taken_mg, cornet)], [])
        found[f"permille {i}"] = nominal(bar.raw)
    return found


def fine_masses(*, gross: Sequence[float], permille: Sequence[float]) -> dict[str, float | str]:
    """Fine metal in masses of a fineness, in the unit of the gross masses, numbered."""
    pairs = enumerate(zip(gross, permille, strict=True), 1)
    return {f"fine {i}": nominal(fine_mass(mass, share)) for i, (mass, share) in pairs}


def least_silver(*, gold_mg: Sequence[float]) -> dict[str, float | str]:
    """Least silver to gold that parts beads with so much gold, numbered."""
    return {f"ratio {i}": least_ratio(gold) for i, gold in enumerate(gold_mg, 1)}


def silver_kept(*, gold_mg: float) -> dict[str, float | str]:
    """Silver that parted gold may still hold, at most, in mg."""
    return {"most_mg": retained_silver_mg(gold_mg)[1]}


def foil_of_pieces(*, piece_mg: Sequence[float]) -> dict[str, float | str]:
    """Least lead foil for pieces of gold alloy, g, numbered."""
    found: dict[str, float | str] = {}
    for i, piece in enumerate(piece_mg, 1):
        foil = least_foil_g(piece)
        if foil is None:
            raise ValueError("no foil is named for so heavy a piece")
        found[f"foil_g {i}"] = foil
    return found


def silver_of_cornet(*, gold_mg: float) -> dict[str, float | str]:
    """Least and most silver to so much fine gold in a cornet, mg."""
    least, most = silver_range_mg(gold_mg)
    return {"least_mg": least, "most_mg": most}


def mean_without_highest(*, grades: Sequence[float]) -> dict[str, float | str]:
    """Mean of all grades, and of all but the highest, which is left out with its reason."""
    sources = Sources()
    every = [
        Determination(f"assay {i}", sources.variable(f"assay {i}", x, ANY_SHARE * x), ANY_SAMPLE_G)
        for i, x in enumerate(grades, 1)
    ]
    highest = max(every, key=lambda one: nominal(one.metal_mg))
    found = pooled_grade(sources, "ore", every, left_out={highest.name: "erratic"})
    return {"mean_of_all": found.mean_of_all, "mean_without_highest": nominal(found.g_per_t)}


def spread_of_groups(*, values: Sequence[float], sizes: Sequence[int]) -> dict[str, float | str]:
    """Mean of all values, and their standard deviation pooled over groups of these sizes."""
    if sum(sizes) != len(values):
        raise ValueError("the sizes of the groups do not add to the number of values")
    left = list(values)
    groups = [[left.pop(0) for _ in range(size)] for size in sizes]
    spread = pooled(groups)
    return {"mean": average(values), "s": 0.0 if spread is None else spread.value}


def spread_of_pair(*, pair: Sequence[float]) -> dict[str, float | str]:
    """Standard deviation of one determination from one pair of duplicates."""
    first, second = pair
    spread = spread_of_duplicates([(first, second)])
    return {"s": 0.0 if spread is None else spread.value}


def spread_of_median(*, probability: float) -> dict[str, float | str]:
    """From the median |d| of duplicates to their root mean square, and to s of one of them.

    Args:
        probability: the normal quantile that half of all |d| lie below: 0.75.
    """
    root_mean_square = 1 / phi_inv(probability)
    spread = spread_of_duplicates([(0.0, root_mean_square)])
    return {"rms": root_mean_square, "s": 0.0 if spread is None else spread.value}


def true_mass(*, indicated_mg: float, density: float) -> dict[str, float | str]:
    """Mass of an object of this density, kg/m³, from its conventional mass, mg."""
    return {"true_mg": indicated_mg * buoyancy_factor(density)}
