"""Streams made for the tests: by name, as one split of a feed, and a published network."""

from collections.abc import Mapping

from assaybench.circuit.reconcile import MASS, Agreed, Stage, Stream
from assaybench.metrology.uncertain import Sources, nominal

ONE_SPLIT = [Stage(("feed",), ("con", "tails"))]
DOVI = (
    {"1": 11.0, "2": 9.9, "3": 21.25, "4": 11.1, "5": 7.0, "6": 3.8},
    {"1": 0.032, "2": 0.026, "3": 0.12, "4": 0.033, "5": 0.052, "6": 0.015},
    [Stage(("1", "2"), ("3",)), Stage(("3",), ("2", "4")), Stage(("4",), ("5", "6"))],
)
"""V. Dovì and C. Solisio, Chemical Engineering Journal 84 (2001): data and their variances."""


def streams_of(
    sources: Sources, masses: Mapping[str, float | None], u: Mapping[str, float]
) -> list[Stream]:
    return [
        Stream(name, None if value is None else sources.variable(name, value, u[name]))
        for name, value in masses.items()
    ]


def masses_of(agreed: Agreed) -> dict[str, float]:
    return {p.stream: nominal(v) for p, v in agreed.values.items() if p.which == MASS}


def split_of(
    sources: Sources,
    masses: tuple[float, float, float] = (100.0, 4.4, 95.5),
    grades: tuple[float, float, float] = (2.0, 40.0, 0.3),
    u_masses: tuple[float, float, float] = (1.0, 0.1, 1.0),
    u_grades: tuple[float, float, float] = (0.1, 2.0, 0.015),
) -> list[Stream]:
    return [
        Stream(
            name,
            sources.variable(f"mass of {name}", m, u_m),
            (sources.variable(f"grade of {name}", g, u_g),),
        )
        for name, m, u_m, g, u_g in zip(
            ("feed", "con", "tails"), masses, u_masses, grades, u_grades, strict=True
        )
    ]
