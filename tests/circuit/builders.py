"""Circuit tests made for the tests: masses of metal in mg with standard uncertainties."""

from collections.abc import Mapping, Sequence

from assaybench.circuit.products import ALL, Cell, CircuitTest, SizeRow
from assaybench.circuit.recovery import CircuitResult, Part
from assaybench.circuit.tailings import Tailings
from assaybench.circuit.ways import Recovery, Way
from assaybench.metrology.figure import Figure
from assaybench.metrology.uncertain import Sources, Uncertain

R_09 = {"+1.0 mm": (186.4, 2.1), "-1.0+0.25 mm": (241.7, 31.5), "-0.25 mm": (58.3, 49.0)}
"""The check case of the method: gold in concentrate and re-run concentrate by size, mg."""
FINE = "-0.25 mm"


def row(
    sources: Sources,
    size: str,
    caught: tuple[float, float],
    rerun: tuple[float, float],
    tailings: Tailings | None = None,
) -> SizeRow:
    """One size: mass and u of both products, independent of each other."""
    a = sources.variable(f"concentrate {size}", *caught)
    b = sources.variable(f"re-run {size}", *rerun)
    return SizeRow(Cell(size, a), Cell(size, b), tailings)


def one_size(
    sources: Sources,
    caught: tuple[float, float],
    rerun: tuple[float, float],
    tailings: Tailings | None = None,
    mats: Uncertain = 0.0,
    share: Uncertain = 1.0,
) -> CircuitTest:
    """A test in which nothing was sieved."""
    made = row(sources, ALL, caught, rerun)
    return CircuitTest((made,), tailings=tailings, mats_mg=mats, rerun_share=share)


def by_size(
    sources: Sources,
    masses: Mapping[str, tuple[float, float]] | None = None,
    u: float = 0.004,
    u_rel: Mapping[str, float] | None = None,
) -> tuple[SizeRow, ...]:
    """Rows of a test: an absolute u for every bead, or a relative one for the sizes named."""
    return tuple(
        row(
            sources,
            size,
            (a, (u_rel or {}).get(size, 0.0) * a or u),
            (b, (u_rel or {}).get(size, 0.0) * b or u),
        )
        for size, (a, b) in (masses or R_09).items()
    )


def way(part: Part, name: Way) -> Recovery:
    """The recovery of a way that must be open."""
    found = part.by(name)
    assert found is not None
    return found


def value(recovery: Recovery) -> float:
    """Its value as a share of one."""
    assert recovery.figure.value is not None
    return recovery.figure.value / 100


def ends(figure: Figure) -> tuple[float, float]:
    """Both ends of an interval that must be there, in its unit."""
    assert figure.low is not None
    assert figure.high is not None
    return figure.low, figure.high


def figures(result: CircuitResult) -> Sequence[Figure]:
    """Every recovery of a result."""
    return [found.figure for part in (*result.sizes, result.total) for found in part.recoveries]


def codes(result: CircuitResult) -> list[str]:
    """The codes of its flags."""
    return [flag.code for flag in result.flags]
