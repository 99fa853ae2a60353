"""Balances, and weighings on them, for tests of what a balance can see."""

from fractions import Fraction

from assaybench.metrology.uncertain import Doubt, Sources
from assaybench.metrology.weighing import Balance, Reading, Weighing, weigh

FINE = Balance("fine", 0.001, 0.002)
AIM = 0.01


def weighed(balance: Balance, *loads: str, zeros: tuple[str, ...] = ()) -> tuple[Weighing, Doubt]:
    sources = Sources()

    def reading(kind: str, i: int, text: str) -> Reading:
        place = Fraction(1, 10 ** len(text.partition(".")[2]))
        return Reading(f"{kind} {i}", Fraction(text), f"{text} mg", place)

    weighing = weigh(
        sources,
        balance,
        [reading("load", i, text) for i, text in enumerate(loads)],
        [reading("zero", i, text) for i, text in enumerate(zeros)],
    )
    return weighing, sources.doubt(weighing.net)
