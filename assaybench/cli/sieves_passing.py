"""`assaybench sieves --fraction …`: what passes each sieve, P80, and two laws fitted to it."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from assaybench.circuit.sizes import (
    Curve,
    Fit,
    Fraction,
    Law,
    Point,
    Rule,
    SizeAt,
    curve_of,
    fitted,
    size_at,
)
from assaybench.cli import inputs
from assaybench.cli.options import Faults
from assaybench.cli.sieves import opening_um, series_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, not_determinable
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, total
from assaybench.record import sums
from assaybench.report.answer import Answer, Section, factors_of, table_section
from assaybench.report.tables import aligned
from assaybench.units import parse, sieves, write
from assaybench.units.table import GRAM

FORM = "--fraction 250um=12.3g"
PAN = "pan"
RULES: dict[str, Rule] = {"log": "log size", "linear": "size", "log-log": "log-log"}
LAWS: dict[Law, tuple[str, str, str]] = {
    "Gaudin-Schuhmann": ("gaudin_schuhmann", "top size k", "slope m"),
    "Rosin-Rammler": ("rosin_rammler", "size that 63.2 % pass", "slope n"),
}
HEADS = ("sieve", "stayed, g", "stayed, %", "passing, %", "±")
LEAST_PCT, MOST_PCT, DEFAULT = 0.1, 99.9, 0.8


class Test(NamedTuple):
    """A sieve test as typed, coarse first.

    Attributes:
        sources: the sources of doubt.
        fractions: what stayed on each sieve, and last in the pan.
        curve: what passes each sieve.
        share: of which the size is wanted.
        rule: what is linear between two sieves.
        series: the sieves whose tolerances hold.
        said: what masses and sieves rest on.
    """

    sources: Sources
    fractions: tuple[Fraction, ...]
    curve: Curve
    share: float
    rule: Rule
    series: str
    said: tuple[str, ...]


def answer(sizes: Sequence[str], typed: dict[str, Any]) -> Answer:
    """The answer of `sieves` with the masses that stayed on the sieves.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    test = _Reader(typed).test(sizes)
    found = _size(test)
    fits = {law: _fit(test.curve, law) for law in LAWS}
    shown = f"P{write.short(100 * test.share, 3)}"
    at = not_determinable("um", found, basis=test.rule) if isinstance(found, str) else found.figure
    everything = total(*((1.0, part.mass) for part in test.fractions))
    figures = {"mass": test.sources.figure(everything, "g", basis="as typed"), "size_passing": at}
    laws: list[tuple[str, str]] = []
    for law, fit in fits.items():
        made = _law_figures(test, law, fit)
        figures |= made
        laws += _law_rows(law, [figure.text for figure in made.values()], fit, shown)
    rows = [("masses together", figures["mass"].text), (shown, at.text)]
    said, flags, budget = [f"{shown}: {found}"], test.curve.flags, {}
    if not isinstance(found, str):
        said, flags = [found.said, say("size_line_carries")], (*flags, *found.flags)
        budget = {"size_passing": test.sources.doubt(found.size_um).budget}
    names = ("series", "passing", "rule", "whole", "readability")
    inputs_said: dict[str, object] = {"sizes": [*sizes]} | {name: typed[name] for name in names}
    return Answer(
        command="sieves",
        inputs=inputs_said | {"fractions": [*typed["fractions"]]},
        figures=figures,
        rows=tuple(rows),
        budget=budget,
        sections=(_table(test), Section("Laws fitted to it", tuple(laws))),
        flags=flags,
        assumptions=(*said, *_laws_said(fits), *test.said),
        coverage=factors_of(figures.values()),
        steps=tuple(_steps(test, found, shown, fits)),
        records={"fractions": _records(test)},
    )


class _Reader:
    """Reads the options, collecting faults."""

    def __init__(self, typed: dict[str, Any]) -> None:
        self.typed, self.faults, self.sources = typed, Faults(), Sources()
        self.said: list[str] = []
        self.series = series_of(self.faults, typed["series"])
        self.step = inputs.positive_mass(
            self.faults, "readability", typed, "readability of a balance"
        )

    def test(self, sizes: Sequence[str]) -> Test:
        if sizes:
            self.faults.add("", BadInput.of("option_excludes", option="SIZE", other="--fraction"))
        rule = self._rule()
        what = "a share that passes"
        share = inputs.share(self.faults, "passing", self.typed, what, LEAST_PCT, MOST_PCT)
        whole = self.typed["whole"]
        weighed = None if whole is None else self._mass("--whole", whole)
        found = [self._part(i, text) for i, text in enumerate(self.typed["fractions"], start=1)]
        parts = sorted((p for p in found if p is not None), key=lambda part: -part.opening_um)
        for one, other in pairwise(parts):
            if one.opening_um == other.opening_um:
                twice = BadInput.of("sieve_twice", a=_named(one.opening_um, self.series))
                self.faults.add("--fraction", twice)
        self.faults.done()
        if parts[-1].opening_um:
            raise BadInput.of("size_no_pan")
        for part in parts[:-1]:
            if _listed(part.opening_um, self.series) is None:
                name = _named(part.opening_um, self.series)
                self.said.append(say("size_unlisted", a=name, series=self.series))
        curve = curve_of(self.sources, parts, whole=weighed, name="the sample", series=self.series)
        aim = DEFAULT if share is None else share
        return Test(self.sources, tuple(parts), curve, aim, rule, self.series, tuple(self.said))

    def _rule(self) -> Rule:
        typed = "log" if self.typed["rule"] is None else self.typed["rule"]
        rule = RULES.get(typed.strip())
        if rule is None:
            choices = ", ".join(RULES)
            fault = BadInput.of("choice_unknown", x=quoted(typed), what="a rule", choices=choices)
            self.faults.add("--rule", fault)
        return rule or "log size"

    def _part(self, i: int, text: str) -> Fraction | None:
        """`SIZE=MASS`."""
        size, sign, mass = text.partition("=")
        place = f"--fraction {i}"
        if not sign:
            self.faults.add(place, BadInput.of("size_unreadable", x=quoted(text), form=FORM))
            return None
        um = self.faults.take(place, _opening, size, self.series)
        held = self._mass(f"{place}, mass", mass)
        return None if um is None or held is None else Fraction(um, held)

    def _mass(self, place: str, text: str) -> Uncertain | None:
        found = inputs.doubted_mass(
            self.faults, place, text, GRAM, self.step, self.said, example="12.3 g"
        )
        if found is None:
            return None
        if found[0] < 0:
            fault = BadInput.of("number_negative", x=quoted(text), what="the mass of a size")
            self.faults.add(place, fault)
            return None
        return self.sources.variable(place, *found, row="masses")


def _opening(text: str, series: str) -> float:
    """The opening of a sieve, µm, listed or not; 0 for the pan.

    Raises:
        BadInput: when it is neither an opening nor the name of a sieve.
    """
    if text.strip().lower() == PAN:
        return 0.0
    um = opening_um(text)
    try:
        if um is None:
            name = quoted(parse.clean(text))[1:-1]
            return float(sieves.by_designation(name, series).opening_um)
        sieves.nearest(um, series)
    except ValueError as fault:
        raise BadInput([str(fault)]) from fault
    return float(um)


def _listed(um: float, series: str) -> sieves.Sieve | None:
    return next((sieve for sieve in sieves.series(series) if sieve.opening_um == um), None)


def _named(um: float, series: str) -> str:
    if um == 0:
        return PAN
    sieve = _listed(um, series)
    return f"{write.short(um)} µm" if sieve is None else sieves.label(sieve)


def _size(test: Test) -> SizeAt | str:
    """The size that so much passes, or why there is none."""
    try:
        return size_at(test.sources, test.curve, test.share, rule=test.rule, series=test.series)
    except BadInput as fault:
        return fault.lines[0]


def _fit(curve: Curve, law: Law) -> Fit | str:
    """A law, or why there is none."""
    try:
        return fitted(curve, law)
    except BadInput as fault:
        return fault.lines[0]


def _law_figures(test: Test, law: Law, fit: Fit | str) -> dict[str, Figure]:
    """Size, slope, and the size that so much passes by the law."""
    name = LAWS[law][0]
    names = (f"{name}_size", f"{name}_slope", f"{name}_size_passing")
    units = ("um", "1", "um")
    if isinstance(fit, str):
        return {n: not_determinable(u, fit, basis=law) for n, u in zip(names, units, strict=True)}
    found = [
        test.sources.figure(n, u, basis=law) for n, u in ((fit.size_um, "um"), (fit.slope, "1"))
    ]
    try:
        found.append(test.sources.figure(fit.size_at(test.share), "um", basis=law))
    except BadInput as fault:
        found.append(not_determinable("um", fault.lines[0], basis=law))
    return dict(zip(names, found, strict=True))


def _laws_said(fits: dict[Law, Fit | str]) -> tuple[str, ...]:
    return (say("size_law_scatter"),) if any(isinstance(fit, Fit) for fit in fits.values()) else ()


def _law_rows(law: Law, texts: Sequence[str], fit: Fit | str, shown: str) -> list[tuple[str, str]]:
    if isinstance(fit, str):
        return [(law, "not determinable")]
    labels = (f"{law}, {LAWS[law][1]}", LAWS[law][2], f"{shown} by it")
    rows = list(zip(labels, texts, strict=True))
    if fit.scatter is not None:
        rows.append(("scatter of its points, as logarithms", write.short(fit.scatter, 2)))
    return rows


def _table(test: Test) -> Section:
    whole = sum(nominal(part.mass) for part in test.fractions)
    rows = []
    for part, point in _with_points(test):
        mass = nominal(part.mass)
        passing = ("", "")
        if point is not None:
            doubt = test.sources.doubt(point.passing)
            passing = write.value_and_expanded(
                100 * nominal(point.passing), 100 * doubt.k * doubt.u
            )
        name = _named(part.opening_um, test.series).replace("µm", "um")
        rows.append((name, write.short(mass), write.at_place(100 * mass / whole, -1), *passing))
    return table_section("What passes each sieve", aligned(HEADS, rows))


def _with_points(test: Test) -> list[tuple[Fraction, Point | None]]:
    """What stayed on each sieve beside what passes it; nothing passes the pan."""
    return list(zip(test.fractions, (*test.curve.points, None), strict=True))


def _records(test: Test) -> list[dict[str, object]]:
    records: list[dict[str, object]] = []
    for part, point in _with_points(test):
        known = None if point is None else test.sources.doubt(point.passing)
        records.append(
            {
                "id": _named(part.opening_um, test.series),
                "opening_um": part.opening_um,
                "mass_g": nominal(part.mass),
                "passing_percent": None if point is None else 100 * nominal(point.passing),
                "passing_u_percent": None if known is None else 100 * known.u,
            }
        )
    return records


def _steps(
    test: Test, found: SizeAt | str, shown: str, fits: dict[Law, Fit | str]
) -> list[sums.Step]:
    """What passes each sieve, the size between two of them, and the slope and size of each law."""
    n, step = sums.n, sums.step
    masses = [nominal(part.mass) for part in test.fractions]
    whole = " + ".join(n(mass) for mass in masses)
    lines = []
    for i, point in enumerate(test.curve.points):
        finer = " + ".join(n(mass) for mass in masses[i + 1 :])
        name = f"passing {write.short(nominal(point.opening_um))} um"
        lines.append(step(name, f"100 × ({finer}) / ({whole})", 100 * nominal(point.passing), "%"))
    if not isinstance(found, str):
        um = nominal(found.size_um)
        lines.append(step(shown, _between(found, test.share, test.rule), um, "um"))
    for law, fit in fits.items():
        if not isinstance(fit, str):
            lines += _law_steps(law, fit)
    return lines


def _between(found: SizeAt, share: float, rule: Rule) -> str:
    """The line between two sieves, as an expression."""
    n = sums.n
    (a, high), (b, low) = (
        (nominal(point.opening_um), nominal(point.passing)) for point in found.between
    )
    part = f"({n(share)} - {n(low)}) / ({n(high)} - {n(low)})"
    if rule == "log-log":
        part = f"ln({n(share)} / {n(low)}) / ln({n(high)} / {n(low)})"
    if rule == "size":
        return f"{n(b)} + ({n(a)} - {n(b)}) × {part}"
    return f"{n(b)} × ({n(a)} / {n(b)})^({part})"


def _law_steps(law: Law, fit: Fit) -> list[sums.Step]:
    """Least squares over ln(size): the slope, and the size at which y is 0."""
    n = sums.n
    x = [math.log(nominal(point.opening_um)) for point in fit.points]
    shares = [nominal(point.passing) for point in fit.points]
    rosin = law == "Rosin-Rammler"
    y = [math.log(-math.log1p(-p)) if rosin else math.log(p) for p in shares]
    written = [f"ln(-ln(1 - {n(p)}))" if rosin else f"ln({n(p)})" for p in shares]
    middle, height = math.fsum(x) / len(x), math.fsum(y) / len(y)
    tops = " + ".join(
        f"({n(a)} - {n(middle)}) × ({n(b)} - {n(height)})" for a, b in zip(x, y, strict=True)
    )
    squares = " + ".join(f"({n(a)} - {n(middle)})^2" for a in x)
    slope, size = nominal(fit.slope), nominal(fit.size_um)
    logs = [f"ln({n(nominal(point.opening_um))})" for point in fit.points]
    return [
        sums.step(f"{law}, mean of ln(size)", f"({' + '.join(logs)}) / {len(x)}", middle),
        sums.step(f"{law}, mean of y", f"({' + '.join(written)}) / {len(y)}", height),
        sums.step(LAWS[law][2], f"({tops}) / ({squares})", slope),
        sums.step(LAWS[law][1], f"exp({n(middle)} - {n(height)} / {n(slope)})", size, "um"),
    ]
