"""Samples assayed in parts: screen metallics of a pulp, and the fineness of a bar."""

from typing import Literal, NamedTuple

from assaybench.assay import sorts
from assaybench.assay.bullion import Fineness, Piece, Settlement, fine_mass, fineness, settle
from assaybench.assay.cornets import Amounts
from assaybench.assay.metallics import Plus, metallics
from assaybench.assay.moisture import SampleMass
from assaybench.assay.proofs import Proof
from assaybench.assay.umpire import settled_figure
from assaybench.messages import say
from assaybench.metrology.figure import Budget, Figure, Flag, flag
from assaybench.metrology.uncertain import Uncertain, nominal
from assaybench.record.kinds import TREATED_AGAIN
from assaybench.record.method_items import SPLITTING_LIMIT
from assaybench.record.results import Results, SampleResult
from assaybench.record.run import Run
from assaybench.record.sample_grades import determination
from assaybench.record.sums import Step, dried
from assaybench.record.typed import typed_in
from assaybench.record.whole_sums import of_bar, of_metallics
from assaybench.record.whole_sums import settled as settled_step
from assaybench.units import parse, table
from assaybench.units.table import GRAM, MILLIGRAM

PERMILLE = table.BY_SPELLING["‰"]
_TO_GRAMS = float(MILLIGRAM.size / GRAM.size)
MASSES = ("plus", "minus", "total")
ALL_FUSED = 0.99
"""A plus whose charges come to this share of it was fused whole: the rest is loss in handling."""


class Whole(NamedTuple):
    """What the parts of one sample say together.

    Attributes:
        id: of the sample.
        kind: screen metallics or a bar.
        figures: by name.
        pieces: of a bar: raw and corrected fineness of each piece, and the surcharge.
        budget: shares of the doubt, by name of the figure.
        flags, assumptions: what a reader must know.
        settlement: of a bar with another party's figure and a splitting limit.
        steps: the sum with its numbers.
        sort: how its first figure is corrected for cupel loss.
    """

    id: str
    kind: Literal["metallics", "bar"]
    figures: dict[str, Figure]
    pieces: dict[str, Figure]
    budget: dict[str, Budget]
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]
    settlement: Settlement | None = None
    steps: tuple[Step, ...] = ()
    sort: str = ""

    @property
    def printed(self) -> dict[str, Figure]:
        """Figures as a page has them: a bar without proofs has none that is corrected."""
        if self.kind != "bar" or self.sort == sorts.CORRECTED:
            return self.figures
        return {name: f for name, f in self.figures.items() if f"{name}_raw" not in self.figures}

    @property
    def printed_pieces(self) -> dict[str, Figure]:
        """The same of its pieces."""
        if self.sort == sorts.CORRECTED:
            return self.pieces
        return {name: f for name, f in self.pieces.items() if not name.startswith("corrected, ")}


def wholes(found: Results) -> list[Whole]:
    """Every sample of a log that was assayed in parts, in the order of the log."""
    families: dict[str, list[SampleResult]] = {}
    for sample in found.samples:
        if sample.of and sample.part not in {"", *TREATED_AGAIN} and not sample.lost:
            families.setdefault(sample.of, []).append(sample)
    made = [_whole(found, name, parts) for name, parts in families.items()]
    return [whole for whole in made if whole is not None]


def _whole(found: Results, name: str, parts: list[SampleResult]) -> Whole | None:
    if any(part.part == "piece" for part in parts):
        return _bar(found, name, parts)
    return _screened(found, name, parts)


def _grams(run: Run, sample: str, what: str) -> Uncertain | None:
    pair = run.weighing(sample, what)
    return None if pair is None else pair[0].net * _TO_GRAMS


def _screened(found: Results, name: str, parts: list[SampleResult]) -> Whole | None:
    """Screen metallics; None while a mass or an assay is missing."""
    run = found.run
    masses = {what: m for what in MASSES if (m := run.sample_mass(name, what)) is not None}
    coarse = [p for p in parts if p.part == "plus" and _gold(p) is not None]
    minus = [(p, d) for p in parts if p.part == "minus" and (d := determination(p)) is not None]
    # determinations of two sorts are never pooled: those of one are taken, the corrected first
    taken = sorts.present(p.sort for p, _ in minus)[:1]
    fine = [d for p, d in minus if p.sort in taken]
    if not masses.keys() >= {"plus", "minus"} or not coarse or not fine:
        return None
    plus = _plus(run, masses["plus"].g, coarse)
    total = masses["total"].g if "total" in masses else None
    result = metallics(run.sources, name, plus, masses["minus"].g, fine, total_g=total)
    basis = masses["plus"].basis
    if basis != "dry" and any(run.water_of(p.id) for p in parts):
        why = flag("screened_wet", id=name)
        result = result._replace(refusal=why, flags=(why,))
    values = {
        "grade_gold": (result.g_per_t, "g/t"),
        "minus_grade": (result.minus.g_per_t, "g/t"),
        "plus_metal": (result.plus_mg, "mg"),
        "minus_metal": (result.minus_mg, "mg"),
    }
    figures = {
        key: result.figure(run.sources, value, unit, basis=basis)
        for key, (value, unit) in values.items()
    }
    figures["coarse_share"] = result.coarse_figure(run.sources, basis=basis)
    if result.closure is not None:
        figures |= result.closure.figures(run.sources)
    told = result.refusal is None
    budget = {"grade_gold": run.sources.doubt(result.g_per_t).budget} if told else {}
    sort = sorts.joined([*(p.sort for p in coarse), *taken])
    flags = result.flags
    if len(fine) < len(minus):
        said = {"n": len(fine), "N": len(minus), "sort": sorts.words(*taken)}
        flags = (*flags, flag("minus_mixed", **said))
    if sort == sorts.IN_PART:
        flags = (*flags, flag("whole_mixed"))
    return Whole(
        id=name,
        kind="metallics",
        figures=figures,
        pieces={},
        budget=budget,
        flags=flags,
        assumptions=result.assumptions,
        steps=(*_dried(run, name, masses), *of_metallics(result, name)) if told else (),
        sort=sort,
    )


def _plus(run: Run, plus_g: Uncertain, coarse: list[SampleResult]) -> Plus:
    """What stayed on the screen; all of it fused where the charges come to its mass."""
    charges = [run.sample_mass(p.id) for p in coarse]
    weighed = [charge.g for charge in charges if charge is not None]
    fused = sum(weighed) if len(weighed) == len(coarse) else None
    all_of_it = fused is None or nominal(fused) >= ALL_FUSED * nominal(plus_g)
    return Plus(plus_g, tuple(_gold(p) for p in coarse), None if all_of_it else fused)


def _dried(run: Run, name: str, masses: dict[str, SampleMass]) -> list[Step]:
    """The dry masses of a pulp whose moisture is known; none where it is as received."""
    water = run.water_of(name)
    if water is None:
        return []
    found = []
    for what, mass in masses.items():
        wet_g = nominal(_grams(run, name, what) or 0.0)
        on_dry = water.text("basis") == "dry"
        found.append(dried(f"{name}: dry {what}", wet_g, nominal(mass.g), on_dry=on_dry))
    return found


def _gold(sample: SampleResult) -> Uncertain | None:
    parts = sample.parts
    return None if parts is None or parts.gold is None else parts.gold.mg


def _bar(found: Results, name: str, parts: list[SampleResult]) -> Whole | None:
    """Fineness of a bar; None while no piece has both masses."""
    run = found.run
    pieces = [piece for piece in (_piece(run, p.id) for p in parts) if piece is not None]
    if not pieces:
        return None
    proofs = [p for p in (_proof(run, s) for s in found.samples if s.of == name) if p is not None]
    result = fineness(run.sources, name, pieces, proofs, ratio=run.proof_form == "ratio")
    corrected, raw = result.corrected, result.raw
    basis = "corrected" if result.correction is not None else "not corrected"
    figures = {
        "fineness": run.sources.figure(corrected, "‰", layer="assay", basis=basis),
        "fineness_raw": run.sources.figure(raw, "‰", layer="assay", basis="not corrected"),
    }
    each = {
        f"{kind}, {piece.name}": run.sources.figure(value, "‰", layer="assay", basis=said)
        for piece in result.pieces
        for kind, said, value in (("raw", "raw", piece.raw), ("corrected", basis, piece.corrected))
    }
    if result.surcharge is not None:
        each |= {
            key: run.sources.figure(value, unit, layer="assay", basis="found minus taken")
            for key, value, unit in (
                ("surcharge", result.surcharge.mg, "mg"),
                ("surcharge_permille", result.surcharge.permille, "‰"),
            )
        }
    bar = _grams(run, name, "product")
    if bar is not None:
        fine, raw_mass = fine_mass(bar, corrected), fine_mass(bar, raw)
        figures["fine_gold"] = run.sources.figure(fine, "g", layer="assay", basis=basis)
        figures["fine_gold_raw"] = run.sources.figure(raw_mass, "g", layer="assay", basis="raw")
    budget = {"fineness": run.sources.doubt(corrected).budget}
    settled = _settled(run, name, result)
    return Whole(
        id=name,
        kind="bar",
        figures=figures | settled.figures,
        pieces=each,
        budget=budget,
        flags=(*result.flags, *settled.flags),
        assumptions=(*result.assumptions, *settled.assumptions),
        settlement=settled.settlement,
        steps=(*of_bar(name, pieces, proofs, result), *settled.steps),
        sort=sorts.sort_of(by_proofs=result.correction is not None),
    )


def _piece(run: Run, name: str) -> Piece | None:
    taken, found = run.weighing(name, "charge"), run.weighing(name, "gold")
    if taken is None or found is None or taken[0].net_mg <= 0:
        return None
    entry = run.state.samples[name]
    added = run.added(entry)
    silver = None if added.kind == "unknown" else nominal(added.mg)
    amounts = Amounts(run.lead_g(entry) or None, silver)
    return Piece(name, taken[0].net, found[0].net, amounts)


def _proof(run: Run, sample: SampleResult) -> Proof | None:
    if sample.role != "proof":
        return None
    entry = run.state.samples[sample.id]
    taken, found = run.gold_taken(entry), run.weighing(sample.id, "gold")
    if taken is None or found is None or nominal(taken) <= 0:
        return None
    if run.proof_form == "ratio" and found[0].net_mg <= 0:
        return None  # pieces would be multiplied by taken over nothing found
    return Proof(sample.id, taken, found[0].net, run.conditions(entry))


class _Settled(NamedTuple):
    """Where two parties stand, and what they settle at: nothing beyond the limit."""

    settlement: Settlement | None = None
    figures: dict[str, Figure] = {}  # noqa: RUF012  never written to
    flags: tuple[Flag, ...] = ()
    assumptions: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()


def _settled(run: Run, name: str, result: Fineness) -> _Settled:
    """The other party's figure against the splitting limit, where both are given."""
    entry, limit = run.state.samples.get(name), run.state.methods.get(SPLITTING_LIMIT)
    if entry is None or not entry.text("value") or limit is None:
        return _Settled()
    typed = typed_in(entry.text("value"), PERMILLE.symbol)
    who, u = f"other party's figure of {name}", typed.u if typed.stated else 0.0
    other = run.sources.variable(who, typed.value, u)
    allowed = parse.plain_figure(limit, table.FRACTION)
    found = settle(result.corrected, other, float(allowed.exact(PERMILLE)))
    if found.mean is None:
        return _Settled(found)
    of = {"our figure": result.corrected, "the other party's figure": other}
    figure, bare = settled_figure(run.sources, found.mean, of, PERMILLE.symbol)
    said = (say("settled_as_exchanged"), *((say("settled_apart"),) if typed.stated else ()))
    steps = (settled_step(name, result.corrected, other, found.mean),)
    return _Settled(found, {"settled": figure}, bare, said, steps)
