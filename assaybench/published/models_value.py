"""Models of value: what a smelter pays, present values, runs needed, duplicates."""

from assaybench.assay.duplicates import thompson_howarth
from assaybench.assay.replicates import spread_of_duplicates
from assaybench.circuit.value import Terms, annuity, worth
from assaybench.metrology.compare import power, runs_needed

_GRAMS_IN_TONNE = 1_000_000
_EQUAL_PAIRS = 50


def smelter_return(
    *,
    head_percent: float,
    recovery_percent: float,
    concentrate_percent: float,
    deducted_percent: float,
    price_per_t: float,
    treatment_per_t: float,
    freight_per_t: float,
) -> dict[str, float | str]:
    """Concentrate from a tonne of ore, kg, what is paid for it, and what is left after charges."""
    ore_g = _GRAMS_IN_TONNE * head_percent / 100
    fine_g = ore_g * recovery_percent / 100
    concentrate_t = fine_g / (concentrate_percent / 100) / _GRAMS_IN_TONNE
    terms = Terms(
        price_per_g=price_per_t / _GRAMS_IN_TONNE,
        treatment_per_t=treatment_per_t + freight_per_t,
        deduction_g_per_t=deducted_percent / 100 * _GRAMS_IN_TONNE,
    )
    found = worth(fine_g, terms, concentrate_t)
    return {"concentrate": 1000 * concentrate_t, "payment": found.paid, "net": found.net}


def paid_for_ore(*, contained: float, recovery: float, payable: float) -> dict[str, float | str]:
    """Money for a tonne of ore: the value of its metal × recovery × the share that is paid for."""
    return {"paid": worth(contained * recovery, Terms(1.0, payable=payable)).net}


def annuity_factor(*, rate: float, years: int) -> dict[str, float | str]:
    """Present worth of 1 at the end of each of so many years."""
    return {"factor": annuity(rate, years)}


def present_value(*, yearly: float, rate: float, years: int, cost: float) -> dict[str, float | str]:
    """Present value of a yearly gain, less what it cost."""
    return {"value": yearly * annuity(rate, years) - cost}


def growing_series(
    *, first: float, rate: float, growth: float, years: int
) -> dict[str, float | str]:
    """Present worth of yearly payments that grow: a level series at the rate less the growth."""
    level = annuity((1 + rate) / (1 + growth) - 1, years)
    return {"value": first / (1 + growth) * level}


def chance_of_showing(
    *, gain: float, spread: float, runs: int, made: str
) -> dict[str, float | str]:
    """Chance that so many runs show a true gain, two-sided 5 %; made `of each` or `in pairs`."""
    return {"power": power(gain, spread, runs, in_pairs=made == "in pairs")}


def runs_of_each(*, gain: float, spread: float, planned: float) -> dict[str, float | str]:
    """Fewest runs of each of two groups that show a gain with this power, 5 % on both sides."""
    found = runs_needed(gain, spread, in_pairs=False, planned=planned)
    if found is None:
        raise ValueError("more runs than are ever looked for")
    return {"runs": float(found)}


def spread_of_equal_pairs(*, a: float, b: float) -> dict[str, float | str]:
    """Spread of one of two duplicates: by the mean square of d, and by the median of |d|."""
    square = spread_of_duplicates([(a, b)])
    line = thompson_howarth([(a, b)] * _EQUAL_PAIRS)
    if square is None or line is None:
        raise ValueError("there are pairs enough")
    return {"by mean square": square.value, "by median": line.s0}
