"""Check weights known by their class alone: the maximum permissible errors of OIML R 111-1.

Such a weight has u_ref = MPE/√3: its error is taken as anything between the two limits. A small
weight of a coarse class is a poor check: 1 mg of class M1 is known to 11.5 % only, where 100 mg of
class E2 is known to 0.009 % (method version 1, section 1).
"""

import math
from dataclasses import dataclass
from fractions import Fraction

CLASSES = ("E1", "E2", "F1", "F2", "M1")

# Nominal mass in mg, then the MPE in mg of E1, E2, F1, F2, M1, each as printed. The table was read
# second-hand; a second copy agrees but for M1 5 mg, where it has an obvious misprint.
_ROWS: dict[int, str] = {
    1: "0.003 0.006 0.020 0.06 0.20",
    2: "0.003 0.006 0.020 0.06 0.20",
    5: "0.003 0.006 0.020 0.06 0.20",
    10: "0.003 0.008 0.025 0.08 0.25",
    20: "0.003 0.010 0.03 0.10 0.3",
    50: "0.004 0.012 0.04 0.12 0.4",
    100: "0.005 0.016 0.05 0.16 0.5",
    200: "0.006 0.020 0.06 0.20 0.6",
    500: "0.008 0.025 0.08 0.25 0.8",
    1_000: "0.010 0.03 0.10 0.3 1.0",
    2_000: "0.012 0.04 0.12 0.4 1.2",
    5_000: "0.016 0.05 0.16 0.5 1.6",
    10_000: "0.020 0.06 0.20 0.6 2.0",
    20_000: "0.025 0.08 0.25 0.8 2.5",
    50_000: "0.03 0.10 0.3 1.0 3.0",
    100_000: "0.05 0.16 0.5 1.6 5.0",
    200_000: "0.10 0.3 1.0 3.0 10",
    500_000: "0.25 0.8 2.5 8.0 25",
}


@dataclass(frozen=True, slots=True)
class Weight:
    """A check weight known by its class.

    Attributes:
        weight_class: E1, E2, F1, F2 or M1.
        nominal_mg: the mass it is named by, mg, exactly.
        mpe_mg: maximum permissible error, mg, exactly: the weight lies within nominal ± MPE.
    """

    weight_class: str
    nominal_mg: Fraction
    mpe_mg: Fraction

    @property
    def u_ref_mg(self) -> float:
        """Standard uncertainty MPE/√3, mg: GUM 4.3.7, a rectangular distribution."""
        return float(self.mpe_mg) / math.sqrt(3)

    @property
    def label(self) -> str:
        """How the weight is called: `10 mg E2`, `2 g F1`."""
        grams = self.nominal_mg >= 1000
        number = self.nominal_mg / 1000 if grams else self.nominal_mg
        return f"{number} {'g' if grams else 'mg'} {self.weight_class}"


def weight(weight_class: str, nominal_mg: float | Fraction) -> Weight:
    """The check weight of a class and a nominal mass.

    Args:
        weight_class: E1, E2, F1, F2 or M1; small letters are taken too.
        nominal_mg: 1, 2 or 5 with zeros behind, from 1 mg to 500 g, in mg.

    Raises:
        ValueError: for another class, or a mass that no weight of the table has; the sentence
            gives the choices.

    Source: OIML R 111-1:2004, Table 1 (read second-hand).
    """
    column = _column(weight_class)
    if not math.isfinite(nominal_mg) or nominal_mg not in _ROWS:
        raise ValueError(
            f"{_in_words(nominal_mg)} is no nominal mass of a check weight: "
            f"accepted is {_nearest(nominal_mg)}"
        )
    row = _ROWS[int(nominal_mg)].split()
    return Weight(CLASSES[column], Fraction(int(nominal_mg)), Fraction(row[column]))


def weights(weight_class: str) -> tuple[Weight, ...]:
    """All weights of a class, lightest first.

    Raises:
        ValueError: for a class that is not in the table.
    """
    return tuple(weight(weight_class, nominal_mg) for nominal_mg in _ROWS)


def _column(weight_class: str) -> int:
    known = weight_class.strip().upper()
    if known not in CLASSES:
        choices = ", ".join(CLASSES[:-1])
        raise ValueError(
            f'"{weight_class}" is no class of a check weight: accepted is {choices} or '
            f"{CLASSES[-1]} of OIML R 111"
        )
    return CLASSES.index(known)


def _nearest(nominal_mg: float | Fraction) -> str:
    """The two nominal masses nearest by ratio, or the range where the mass lies outside it."""
    low, high = min(_ROWS), max(_ROWS)
    if not low <= nominal_mg <= high:
        return f"{_in_words(low)} to {_in_words(high)}, 1, 2 or 5 with zeros behind"
    below = max(known for known in _ROWS if known <= nominal_mg)
    above = min(known for known in _ROWS if known >= nominal_mg)
    return f"{_in_words(below)} or {_in_words(above)}"


def _in_words(mg: float | Fraction) -> str:
    grams = math.isfinite(mg) and mg >= 1000
    return f"{float(mg) / 1000:.10g} g" if grams else f"{float(mg):.10g} mg"
