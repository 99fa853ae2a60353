"""Streams of a circuit made to agree: weighted least squares with the full covariance.

What goes into a stage comes out of it, mass and metal. Where more was measured than that needs, the
measurements contradict each other a little. The least change that makes them agree, weighed by the
doubts and by all that they share, gives every stream a value beside its measurement, and the size
of the changes says whether the measurements can be right. Method version 1, section 5.

Measured x and unmeasured z under A·x + B·z + c = 0: the z are eliminated, which leaves R·x + d = 0;
then the change of x is -cov(x, r)·cov(r, r)⁻¹·r with r = R·x + d. Source of the linear case: S.
Narasimhan and C. Jordache, Data Reconciliation and Gross Error Detection (2000), chapters 3 and 7
(from memory). Mass times grade: the same, made linear at the last solution until nothing moves.
"""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assaybench.messages import BadInput
from assaybench.metrology import linear
from assaybench.metrology.linear import Dependent, Matrix
from assaybench.metrology.special import chi2_cdf, incomplete_beta
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, product, total

AGREE = 0.05
"""Measurements that agree have a chi-square this improbable 5 times in 100."""
SETTLED = 1e-11
"""The iteration ends when no stream moves by more than this share of the largest of its kind."""
MOST_STEPS = 100
EXACT = 1e-10
"""What is left of a sum of streams without doubt that is still rounding."""
ALIKE = 1e-6
"""Scores this near stand out alike."""
MASS = 0
"""The place of the mass among the quantities of a stream; its grades follow from 1."""


class Stage(NamedTuple):
    """A place where streams meet: what goes in comes out, mass and metal alike.

    Attributes:
        into, out: names of its streams.
    """

    into: tuple[str, ...]
    out: tuple[str, ...]

    def sign(self, stream: str) -> float:
        """+1 for what goes in, -1 for what comes out, 0 for any other stream."""
        return float(self.into.count(stream) - self.out.count(stream))


class Stream(NamedTuple):
    """A stream as it was measured.

    Attributes:
        name: unique in its circuit.
        mass: in one unit for all streams; None where it was not weighed. Without grades it may
            stand for any one thing that is conserved, such as the metal alone.
        grades: one for each metal, in one unit for each; None where it was not assayed.
    """

    name: str
    mass: Uncertain | None = None
    grades: tuple[Uncertain | None, ...] = ()


class Place(NamedTuple):
    """A quantity of a stream: its mass (0), or its grade in a metal (from 1)."""

    stream: str
    which: int


class Agreed(NamedTuple):
    """Streams that agree, beside what was measured.

    Attributes:
        values: the agreed value of every quantity, to first order in the measurements, so that
            whatever is worked out from it has the right doubt.
        changes: of every measured quantity, agreed less measured.
        scores: its change over the standard uncertainty of that change; none where nothing else
            speaks of it.
        chi2: of all changes together.
        dof: constraints to spare.
        p: probability of a larger chi-square when the measurements agree; 1 when none is spare.
    """

    values: Mapping[Place, Uncertain]
    changes: Mapping[Place, Uncertain]
    scores: Mapping[Place, float]
    chi2: float
    dof: int
    p: float

    @property
    def agrees(self) -> bool:
        """Whether the measurements agree within their doubts."""
        return self.p >= AGREE

    @property
    def measure_again(self) -> tuple[Place, ...]:
        """The quantities whose change stands out most: one, or several that cannot be told apart.

        The measurement test of the source, chapter 7. With a single constraint to spare all scores
        are alike: which measurement is off cannot be told from the measurements.
        """
        most = max(map(abs, self.scores.values()), default=0.0)
        return tuple(
            place for place, score in self.scores.items() if abs(score) >= most * (1 - ALIKE)
        )

    @property
    def below_zero(self) -> tuple[Place, ...]:
        """Quantities that would have to be less than nothing."""
        return tuple(place for place, value in self.values.items() if nominal(value) < 0)

    def metal(self, stream: str, which: int = 1) -> Uncertain:
        """Mass × grade of a stream, in the product of their units."""
        return product(self.values[Place(stream, MASS)], self.values[Place(stream, which)])


def agree(
    sources: Sources,
    streams: Sequence[Stream],
    stages: Sequence[Stage],
    *,
    most_steps: int = MOST_STEPS,
    metal_alone: bool = False,
) -> Agreed:
    """Masses and grades of streams made to agree at every stage.

    Args:
        sources: the sources of doubt behind the measurements.
        streams: every stream, measured or not.
        stages: where they meet.
        most_steps: after so many the iteration gives up.
        metal_alone: whether the metal stands where masses stand else; faults then name it.

    Raises:
        BadInput: when a quantity that was not measured cannot be worked out from the others, when
            quantities without doubt contradict each other, or when the iteration does not settle.
        ValueError: for a stage with an unknown stream, or streams with unlike numbers of grades.
    """
    problem = _Problem(streams, stages, metal_alone=metal_alone)
    point = problem.start()
    for _ in range(most_steps):
        fitted = _fit(sources, problem.at(point), problem.measured)
        after = problem.spread(fitted)
        moved = max(abs(after[place] - point[place]) for place in point)
        point = after
        if moved <= SETTLED:
            return problem.agreed(_fit(sources, problem.at(point), problem.measured))
    raise BadInput.of("streams_not_settled", n=most_steps)


class _Equations(NamedTuple):
    """Rows A·x + B·z + c = 0, each as factors by place and a constant.

    Also what is said of a mass, and of a grade, that they leave open.
    """

    rows: list[dict[Place, float]]
    constants: list[float]
    unmeasured: list[Place]
    open_codes: tuple[str, str] = ("stream_mass_open", "stream_grade_open")


class _Fitted(NamedTuple):
    """What holds the equations, and what judges the changes."""

    values: dict[Place, Uncertain]
    changes: dict[Place, Uncertain]
    scores: dict[Place, float]
    chi2: float
    dof: int
    p: float


class _Problem:
    """Mass and metal at every stage, every quantity in parts of the largest of its kind."""

    def __init__(
        self, streams: Sequence[Stream], stages: Sequence[Stage], *, metal_alone: bool = False
    ) -> None:
        weighed = "stream_metal_open" if metal_alone else "stream_mass_open"
        self.open_codes = (weighed, "stream_grade_open")
        self.names = [stream.name for stream in streams]
        metals = {len(stream.grades) for stream in streams}
        named = {name for stage in stages for name in (*stage.into, *stage.out)}
        if len(metals) != 1 or not named <= set(self.names):
            raise ValueError("streams have one number of grades, and stages only known streams")
        self.kinds = range(metals.pop() + 1)
        self.stages = stages
        self.ones = dict.fromkeys(self.names, 1.0)
        given = {Place(s.name, i): q for s in streams for i, q in enumerate((s.mass, *s.grades))}
        self.scales = [self._largest(given, kind) for kind in self.kinds]
        self.places = list(given)
        self.measured = {
            place: total((1 / self.scales[place.which], value))
            for place, value in given.items()
            if value is not None
        }

    @staticmethod
    def _largest(given: Mapping[Place, Uncertain | None], kind: int) -> float:
        known = [abs(nominal(v)) for p, v in given.items() if p.which == kind and v is not None]
        return max(known, default=0.0) or 1.0

    def start(self) -> dict[Place, float]:
        """A first point: masses that hold the grades as measured, then the grades left."""
        point = {place: nominal(value) for place, value in self.measured.items()}
        rows = [self._row(stage, MASS, self.ones) for stage in self.stages]
        for kind in self.kinds[1:]:
            grades = {n: point[Place(n, kind)] for n in self.names if Place(n, kind) in point}
            known = (s for s in self.stages if {*s.into, *s.out} <= set(grades))
            rows += [self._row(stage, MASS, grades) for stage in known]
        point |= self._filled(MASS, rows, point)
        for kind in self.kinds[1:]:
            masses = {n: point[Place(n, MASS)] for n in self.names}
            rows = [self._row(stage, kind, masses) for stage in self.stages]
            point |= self._filled(kind, rows, point)
        return point

    @staticmethod
    def _row(stage: Stage, kind: int, factors: Mapping[str, float]) -> dict[Place, float]:
        """A stage in one kind of quantity, each stream with a factor."""
        named = dict.fromkeys((*stage.into, *stage.out))
        return {Place(name, kind): stage.sign(name) * factors[name] for name in named}

    def _filled(
        self, kind: int, rows: list[dict[Place, float]], point: Mapping[Place, float]
    ) -> dict[Place, float]:
        """The unmeasured quantities of a kind from rows in that kind alone, all doubts alike."""
        unmeasured = [Place(n, kind) for n in self.names if Place(n, kind) not in point]
        if not unmeasured:
            return {}
        alike = Sources()
        known = {
            place: alike.variable(str(place), value, 1.0)
            for place, value in point.items()
            if place.which == kind
        }
        fitted = _fit(
            alike, _Equations(rows, [0.0] * len(rows), unmeasured, self.open_codes), known
        )
        return {place: nominal(fitted.values[place]) for place in unmeasured}

    def at(self, point: Mapping[Place, float]) -> _Equations:
        """The equations made linear at a point: m·g is g0·m + m0·g - m0·g0 near it."""
        rows: list[dict[Place, float]] = []
        constants: list[float] = []
        masses = {n: point[Place(n, MASS)] for n in self.names}
        for kind in self.kinds:
            grades = self.ones if kind == MASS else {n: point[Place(n, kind)] for n in self.names}
            for stage in self.stages:
                row = self._row(stage, MASS, grades)
                held = math.fsum(f * point[place] for place, f in row.items())
                rows.append(row if kind == MASS else row | self._row(stage, kind, masses))
                constants.append(0.0 if kind == MASS else -held)
        unmeasured = [place for place in self.places if place not in self.measured]
        return _Equations(rows, constants, unmeasured, self.open_codes)

    def spread(self, fitted: _Fitted) -> dict[Place, float]:
        """Fitted values without their doubts, in the order of the streams."""
        return {place: nominal(fitted.values[place]) for place in self.places}

    def agreed(self, fitted: _Fitted) -> Agreed:
        """The result in the units that came in."""
        values = {p: total((self.scales[p.which], fitted.values[p])) for p in self.places}
        changes = {p: total((self.scales[p.which], v)) for p, v in fitted.changes.items()}
        return Agreed(values, changes, fitted.scores, fitted.chi2, fitted.dof, fitted.p)


def _fit(sources: Sources, equations: _Equations, measured: Mapping[Place, Uncertain]) -> _Fitted:
    """The least change of the measured quantities that lets the equations hold."""
    unmeasured, places = equations.unmeasured, list(measured)
    columns = [*unmeasured, *places]
    table = [
        [*(row.get(place, 0.0) for place in columns), constant]
        for row, constant in zip(equations.rows, equations.constants, strict=True)
    ]
    found = linear.eliminated(table, len(unmeasured))
    open_ = [place for j, place in enumerate(unmeasured) if j not in found.solved]
    if open_:
        codes = equations.open_codes
        faults = [BadInput.of(codes[min(place.which, 1)], name=place.stream) for place in open_]
        raise BadInput([line for fault in faults for line in fault.lines])
    n = len(unmeasured)
    kept, lower = _independent(sources, [row[n:] for row in found.rest], [*measured.values()])
    left = [nominal(r) for r in kept]
    pull = linear.solve(lower, left)
    changes = {}
    for place, value in measured.items():
        gain = [sources.covariance(value, r) for r in kept]
        weights = linear.solve(lower, gain)
        changes[place] = total(*((-w, r) for w, r in zip(weights, kept, strict=True)))
    values = {place: total((1.0, measured[place]), (1.0, changes[place])) for place in places}
    for j, place in enumerate(unmeasured):
        row = found.solved[j][n:]
        terms = [(-f, values[p]) for f, p in zip(row, places, strict=False) if f]
        values[place] = total(*terms, (-1.0, row[-1]))
    chi2 = max(math.fsum(a * b for a, b in zip(pull, left, strict=True)), 0.0)
    scores = _scores(sources, measured, changes)
    dof = min((sources.doubt(r).dof for r in kept), default=math.inf)
    return _Fitted(values, changes, scores, chi2, len(kept), _larger(chi2, len(kept), dof))


def _independent(
    sources: Sources, rows: Matrix, values: Sequence[Uncertain]
) -> tuple[list[Uncertain], Matrix]:
    """What is left of each row, r = R·x + d, as far as they are independent; L of their covariance.

    Raises:
        BadInput: when a row that leaves no doubt is not fulfilled.
    """
    sums = [
        total(*((f, v) for f, v in zip(row, values, strict=False) if f), (1.0, row[-1]))
        for row in rows
    ]
    sizes = [
        math.fsum((f * nominal(v)) ** 2 + f * f * sources.covariance(v, v)
                  for f, v in zip(row, values, strict=False))
        for row in rows
    ]  # fmt: skip
    kept: list[Uncertain] = []
    lower: Matrix = []
    for r, size in zip(sums, sizes, strict=True):
        across = [sources.covariance(r, other) for other in kept]
        own = sources.covariance(r, r)
        known = linear.solve(lower, across) if kept else []
        rest = total((1.0, r), *((-w, other) for w, other in zip(known, kept, strict=True)))
        if own <= (linear.DEPENDENT**2) * size:
            if abs(nominal(rest)) > EXACT * max(math.sqrt(size), EXACT):
                raise BadInput.of("streams_exact")
            continue
        try:
            grown = linear.factor([*_symmetric(sources, kept), [*across, own]])
        except Dependent:
            if abs(nominal(rest)) > EXACT * max(math.sqrt(size), EXACT):
                raise BadInput.of("streams_exact") from None
            continue
        kept, lower = [*kept, r], grown
    return kept, lower


def _symmetric(sources: Sources, numbers: Sequence[Uncertain]) -> Matrix:
    """The lower triangle of their covariance."""
    return [[sources.covariance(a, b) for b in numbers[: i + 1]] for i, a in enumerate(numbers)]


def _scores(
    sources: Sources, measured: Mapping[Place, Uncertain], changes: Mapping[Place, Uncertain]
) -> dict[Place, float]:
    """Each change over its own doubt, where it has one beyond rounding."""
    scores = {}
    for place, change in changes.items():
        own = sources.covariance(measured[place], measured[place])
        variance = sources.covariance(change, change)
        if variance > linear.DEPENDENT * own:
            scores[place] = nominal(change) / math.sqrt(variance)
    return scores


def _larger(chi2: float, constraints: int, dof: float) -> float:
    """Probability of a larger chi-square; of n·F where the doubts have few degrees of freedom."""
    if constraints == 0:
        return 1.0
    if math.isinf(dof):
        return 1 - chi2_cdf(chi2, constraints)
    return 1 - incomplete_beta(constraints / 2, dof / 2, chi2 / (chi2 + dof))
