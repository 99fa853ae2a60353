"""The part of `sampling` that is increments of two masses: what mixing and segregation bring."""

import math
from typing import Any, NamedTuple

from assaybench.circuit import sampling
from assaybench.cli import inputs
from assaybench.cli.options import Faults
from assaybench.cli.sampling_inputs import TYPED_K, grams, mass_text, said, wanted
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, Flag, flag, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record import sums
from assaybench.report.answer import Answer, factors_of
from assaybench.units import parse, write
from assaybench.units.table import MASS

FORM = "--increments '1 kg:45 %:15'"
FEWEST, MOST = 2, 10_000


class Taken(NamedTuple):
    """A set of increments: the mass of each, their relative SD, and how many there were."""

    grams: float
    spread: float
    number: int


class _Found(NamedTuple):
    """What two sets of increments say.

    Attributes:
        small, large: the sets.
        a: A of s² = A/m + B, g.
        b: B, the segregation.
        planned_g: mass of an increment that is planned.
        needed: increments for the target; None without one, or where nothing is left for it.
    """

    small: Taken
    large: Taken
    a: Uncertain
    b: Uncertain
    planned_g: float
    needed: int | None

    @property
    def variance(self) -> float:
        """Relative variance of one planned increment; what is below zero counts as nothing."""
        return max(nominal(self.a), 0.0) / self.planned_g + max(nominal(self.b), 0.0)

    @property
    def segregated(self) -> float:
        """Share of the segregation in that variance."""
        return max(nominal(self.b), 0.0) / self.variance if self.variance else 0.0


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `sampling --increments`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    faults = Faults()
    texts = typed["increments"]
    taken = [one for text in texts if (one := _read(faults, text)) is not None]
    planned = inputs.positive_mass(faults, "sample", typed, "an increment")
    target, assay = wanted(faults, typed, "target"), wanted(faults, typed, "assay")
    if len(texts) != 2:
        faults.add("--increments", BadInput.of("increments_two", form=FORM))
    elif len(taken) == 2 and taken[0].grams == taken[1].grams:
        faults.add("--increments", BadInput.of("increments_alike"))
    faults.done()
    small, large = sorted(taken)
    sources = Sources()
    a, b = sampling.visman(
        small.grams, _variance(sources, small), large.grams, _variance(sources, large)
    )
    found = _Found(small, large, a, b, large.grams if planned is None else grams(planned), None)
    left = None if target is None else sampling.left_for_sampling(target, assay or 0.0)
    if left is not None and found.variance:
        found = found._replace(needed=max(1, math.ceil(found.variance / left**2)))
    figures = _figures(sources, found)
    return Answer(
        command="sampling",
        inputs=said(typed),
        figures=figures,
        rows=_rows(found, figures, target),
        flags=_flags(sources, found, beyond=target is not None and left is None),
        assumptions=(say("increments_spread"), say("increments_apart")),
        coverage=factors_of(figures.values()),
        steps=_steps(found),
    )


def _read(faults: Faults, text: str) -> Taken | None:
    """`MASS:SPREAD:N`."""
    parts = parse.clean(text).split(":")
    if len(parts) != 3:
        fault = BadInput.of("increments_unreadable", x=quoted(text), form=FORM)
        faults.add("--increments", fault)
        return None
    place = "--increments"
    mass = faults.take(place, parse.plain_figure, parts[0], MASS)
    spread = faults.take(place, parse.share, parts[1], "a spread", 0.01, 1000)
    number = faults.take(place, parse.whole, parts[2].strip(), FEWEST, MOST)
    if mass is not None and mass.value <= 0:
        what = "the mass of an increment"
        faults.add(place, BadInput.of("number_not_positive", x=quoted(parts[0]), what=what))
        return None
    if mass is None or spread is None or number is None:
        return None
    return Taken(grams(mass), float(spread), number)


def _variance(sources: Sources, taken: Taken) -> Uncertain:
    """Relative variance of increments; its u is s²·√(2/ν), ν = n - 1."""
    dof = taken.number - 1
    u = taken.spread**2 * math.sqrt(2 / dof)
    name = f"spread of increments of {write.short(taken.grams)} g"
    return sources.variable(name, taken.spread**2, u, dof=dof)


def _figures(sources: Sources, found: _Found) -> dict[str, Figure]:
    figures = {
        "mixing": sources.figure(found.a, "g", layer="sampling", basis="A of s² = A/m + B"),
        "segregation": sources.figure(found.b, "1", layer="sampling", basis="B of s² = A/m + B"),
    }
    u = 100 * math.sqrt(found.variance)
    figures["u_increment"] = plain(u, "%", digits=3, layer="sampling", basis="u, relative")
    if found.needed is not None:
        mass = found.needed * found.planned_g
        figures["increments_needed"] = plain(float(found.needed), "1", digits=4, layer="sampling")
        figures["sample_needed"] = plain(mass, "g", digits=3, layer="sampling")
    return figures


def _rows(
    found: _Found, figures: dict[str, Figure], target: float | None
) -> tuple[tuple[str, str], ...]:
    one = f"one increment of {mass_text(found.planned_g)}"
    rows = [
        ("A, from grain to grain", figures["mixing"].text),
        ("B, from place to place", figures["segregation"].text),
        (f"u of {one}, relative", figures["u_increment"].text),
        ("share of B in its variance, in 100", f"{100 * found.segregated:.0f}"),
    ]
    if found.needed is not None:
        aim = f"± {write.short(100 * TYPED_K * (target or 0.0), 3)} %"
        rows.append((f"increments for {aim} (k = 2)", f"{found.needed}"))
        rows.append(("all of them weigh", mass_text(found.needed * found.planned_g)))
    return tuple(rows)


def _flags(sources: Sources, found: _Found, *, beyond: bool) -> tuple[Flag, ...]:
    flags, doubt = [], sources.doubt(found.b)
    if nominal(found.a) <= 0:
        flags.append(flag("increments_wrong_way"))
    elif nominal(found.b) <= doubt.k * doubt.u:
        flags.append(flag("increments_no_segregation"))
    elif found.segregated > 1 / 2:
        flags.append(flag("increments_segregated"))
    if beyond:
        flags.append(flag("increments_assay"))
    return tuple(flags)


def _steps(found: _Found) -> tuple[sums.Step, ...]:
    (m1, s1, _), (m2, s2, _) = found.small, found.large
    a, b = nominal(found.a), nominal(found.b)
    top = f"({sums.n(s1)}^2 - {sums.n(s2)}^2)"
    return (
        sums.step("A", f"{top} / (1 / {sums.n(m1)} - 1 / {sums.n(m2)})", a, "g"),
        sums.step("B", f"{sums.n(s2)}^2 - {sums.n(a)} / {sums.n(m2)}", b),
    )
