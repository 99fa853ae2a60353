"""What `sampling` was told: grains counted, weighed or of a size, the sample, the target."""

from typing import Any, NamedTuple

from assaybench.circuit import counts, grains
from assaybench.circuit.grain_law import Result
from assaybench.circuit.grains import Shape
from assaybench.cli import inputs
from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import COVERAGE, Figure
from assaybench.record.typed import typed_doubt
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import GRAM, MASS, MILLIGRAM

TYPED_K = 2
MOST_WEIGHED = 500
OUTPUTS = ("as_json", "as_plain", "as_sum")


def said(typed: dict[str, Any]) -> dict[str, object]:
    """What was typed, by name."""
    return {
        name: [*value] if isinstance(value, tuple) else value
        for name, value in typed.items()
        if name not in OUTPUTS
    }


def grams(mass: Typed) -> float:
    """A typed mass in grams."""
    return float(mass.exact(GRAM))


def mass_text(mass_g: float) -> str:
    """A mass as it reads best: grams, from a kilogram on kilograms."""
    if mass_g >= 1000:
        return f"{write.short(mass_g / 1000, 3)} kg"
    return f"{write.short(mass_g, 3)} g"


def counted(count: int) -> Figure:
    """A count as a figure: what may be expected is its interval."""
    ends = counts.expected(count)
    return Figure(
        value=count,
        unit="1",
        low=ends.low,
        high=ends.high,
        coverage_probability=COVERAGE,
        layer="sampling",
        text=f"{count}",
        basis="grains, as counted",
    )


def number(
    faults: Faults, name: str, typed: dict[str, Any], what: str, most: float
) -> float | None:
    """A bare number above zero that an option gives; a density may be followed by g/cm3."""
    text = typed[name]
    if text is None:
        return None
    place = inputs.option_of(name)
    cleaned = parse.clean(text).replace("cm³", "cm3").removesuffix("g/cm3")
    found = faults.take(place, parse.number, cleaned)
    if found is not None and not 0 < found <= most:
        fault = BadInput.of("factor_range", x=quoted(text), what=what, most=write.short(most))
        faults.add(place, fault)
        return None
    return None if found is None else float(found)


def shape_of(faults: Faults, text: str | None) -> Shape:
    """The shape of the grains; a sphere where nothing is said, which makes them heaviest."""
    if text is None or text.strip() == "sphere":
        return "sphere"
    if text.strip() != "flake":
        faults.add("--shape", BadInput.of("shape_unknown", x=quoted(text)))
    return "flake"


def wanted(faults: Faults, typed: dict[str, Any], name: str) -> float | None:
    """A relative ± that an option gives, as standard uncertainty, a share of one."""
    found = inputs.share(faults, name, typed, f"a {name}", 0.01, 200)
    return None if found is None else found / (1 if typed["standard"] else TYPED_K)


class Known(NamedTuple):
    """What is known of the grains.

    Attributes:
        number: N, equal grains.
        grain_mg: m_w; None where only a count is known.
        metal_mg: the metal they make; None where only a count is known.
        u_mg: standard uncertainty of weighing and assay, as typed; 0 where not.
        u_weighing_mg: of the weighing alone, as typed; 0 where not.
        sample_g: mass of the sample.
        target: u_rel aimed at, as typed; None where not.
        assumptions: in words.
    """

    number: float
    grain_mg: float | None
    metal_mg: float | None
    u_mg: float
    u_weighing_mg: float
    sample_g: float | None
    target: float | None
    assumptions: tuple[str, ...]

    @property
    def result(self) -> Result:
        """The metal, or the bare count, with its doubt and the weight of one grain."""
        if self.metal_mg is None or self.grain_mg is None:
            return Result(self.number, 0.0, grain=1.0)
        return Result(self.metal_mg, self.u_mg, grain=self.grain_mg)

    @property
    def unit(self) -> str:
        """Unit of `result`: the bare count has none."""
        return "1" if self.metal_mg is None else "mg"


class GrainReader:
    """Reads the options, collecting faults."""

    def __init__(self, typed: dict[str, Any], way: str) -> None:
        self.typed, self.way, self.faults = typed, way, Faults()
        self.said: list[str] = []
        self.masses: list[float] = []

    def known(self) -> Known:
        """What is known of the grains.

        Raises:
            BadInput: every fault of the line, one sentence each.
        """
        grain = self._grain()
        sample = inputs.positive_mass(self.faults, "sample", self.typed, "a sample")
        target = wanted(self.faults, self.typed, "target")
        assay = wanted(self.faults, self.typed, "assay")
        count, metal, u_weighing = None, None, 0.0
        if self.way == "count":
            typed, most = self.typed["count"], grains.MOST_GRAINS
            count = self.faults.take("--count", parse.whole, typed, 0, most)
            self.said.append(say("grains_as_counted"))
        elif self.way == "metal":
            metal, u_weighing = self._metal()
        else:
            self.masses = self._weighed()
        self.faults.done()
        if self.masses:
            metal, grain = sum(self.masses), grains.weighed_grain_mg(self.masses)
        if count is not None and grain is not None:
            metal = count * grain
        if metal is not None and grain is not None:
            amount = grains.expected_grains(metal, grain)
        else:
            amount = float(count or 0)
        self.said.append(say("grains_by_chance"))
        u = u_weighing if assay is None or metal is None else assay * abs(metal)
        return Known(
            number=amount,
            grain_mg=grain,
            metal_mg=metal,
            u_mg=max(u, u_weighing),
            u_weighing_mg=u_weighing,
            sample_g=None if sample is None else grams(sample),
            target=target,
            assumptions=tuple(self.said),
        )

    def _grain(self) -> float | None:
        """The weight of one grain by sieve or largest width."""
        shape = shape_of(self.faults, self.typed["shape"])
        density = number(self.faults, "density", self.typed, "a density", 25)
        rho = density or grains.GOLD_DENSITY
        sieve, largest = self.typed["sieve"], self.typed["largest"]
        if sieve is not None and largest is not None:
            fault = BadInput.of("option_excludes", option="--sieve", other="--largest")
            self.faults.add("", fault)
            return None
        if sieve is None and largest is None:
            if self.way == "metal":
                fault = BadInput.of("option_needs", option="--metal", other="--sieve or --largest")
                self.faults.add("", fault)
            return None
        found = self._of_size(sieve, largest, shape, rho)
        self.said.append(say("grains_shape", shape=shape, rho=write.short(rho, 4)))
        return found

    def _of_size(
        self, sieve: str | None, largest: str | None, shape: Shape, rho: float
    ) -> float | None:
        if sieve is None:
            width = self.faults.take("--largest", grains.read_um, largest or "")
            self.said.append(say("grains_of_largest"))
            return None if width is None else grains.largest_grain_mg(width, shape, rho)
        span = self.faults.take("--sieve", grains.read_span, sieve)
        if span is None:
            return None
        if span.fine_um is None:
            self.said.append(say("grains_of_one_size", d=write.short(span.coarse_um / 1000, 3)))
        else:
            self.said.append(say("grains_of_size"))
        return span.grain_mg(shape, rho)

    def _metal(self) -> tuple[float | None, float]:
        text = self.typed["metal"]
        typed = self.faults.take("--metal", parse.figure, text, MASS, example="0.31 mg")
        if typed is None:
            return None, 0.0
        if typed.below:
            self.faults.add("--metal", BadInput.of("uncertainty_below", x=quoted(text)))
            return None, 0.0
        stated = typed.u is not None or typed.expanded is not None
        u = typed_doubt(typed, MILLIGRAM) if stated else 0.0
        return float(typed.exact(MILLIGRAM)), u

    def _weighed(self) -> list[float]:
        parts = weighed_parts(self.typed["grains"])
        if not parts:
            self.faults.add("--grains", BadInput.of("number_empty", example="5 3 0.4 mg"))
        if len(parts) > MOST_WEIGHED:
            fault = BadInput.of("too_many_runs", n=len(parts), most=MOST_WEIGHED)
            self.faults.add("--grains", fault)
            return []
        found = []
        for i, text in enumerate(parts, start=1):
            place = f"--grains {i}"
            typed = self.faults.take(place, parse.plain_figure, text, MASS)
            if typed is not None and typed.value <= 0:
                fault = BadInput.of("number_not_positive", x=quoted(text), what="a grain")
                self.faults.add(place, fault)
            elif typed is not None:
                found.append(float(typed.exact(MILLIGRAM)))
        return found


def weighed_parts(text: str) -> list[str]:
    """The parts of a list of masses; one unit behind the last serves all that have none."""
    parts = parse.words(text)
    unit = parts[-1].lstrip("+-0123456789.,").strip() if parts else ""
    return [part if part[-1:].isalpha() or not unit else f"{part} {unit}" for part in parts]
