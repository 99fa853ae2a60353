"""Readings as typed, of loads and zeros, and what a weighing of them is made of."""

from fractions import Fraction

from assaybench.metrology.weighing import (
    Balance,
    Reading,
)

D = 0.01
UNKNOWN = Balance("b", D)
WELL_KNOWN = Balance("b", D, 2 * D)


def reading(name: str, text: str) -> Reading:
    places = len(text.partition(".")[2])
    return Reading(name, Fraction(text), f"{text} mg", Fraction(1, 10**places))


def readings(kind: str, *texts: str) -> list[Reading]:
    return [reading(f"{kind} {i}", text) for i, text in enumerate(texts, start=1)]
