"""A circuit test as a log holds it: products by size, each tied to its sample or typed with ±.

Two stages, with what the second caught from the tailings of the first; or, where nothing was run
again and the feed was assayed, or where the stage-1 tailings were assayed before they were run
again, streams that are made to agree (`streams_run.py`).
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from assaybench.assay import sorts
from assaybench.circuit.products import (
    ALL,
    CircuitTest,
    SizeRow,
)
from assaybench.circuit.recovery import CircuitResult, recover
from assaybench.circuit.tailings import Tailings
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.uncertain import Sources, Uncertain, total
from assaybench.record.circuit_cells import Cells
from assaybench.record.circuit_tailings import PRODUCT as TAILINGS
from assaybench.record.circuit_tailings import final_tailings
from assaybench.record.circuit_typed import BETWEEN, FEED, dry_masses, grade_of
from assaybench.record.entries import Effective
from assaybench.record.pools import pooled_of_circuit
from assaybench.record.portions import portion_amiss
from assaybench.record.results import Results

if TYPE_CHECKING:
    from assaybench.circuit.streams import FeedTest

STAGES = ("concentrate", "rerun")


class Circuit(NamedTuple):
    """A circuit test worked out.

    Attributes:
        test: its products by size.
        result: every recovery that is open.
        sources: the sources of doubt.
        feed_basis: what the mass of the feed counts: dry, or as received.
        said: what the reading of it rests on, in words.
        flags: what a reader must know of the reading of it.
        masses: dry masses of its products, kg, as far as they were weighed.
    """

    test: CircuitTest
    result: CircuitResult
    sources: Sources
    feed_basis: str = "dry"
    said: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()
    masses: Mapping[str, Uncertain] = MappingProxyType({})


def mixed_circuit(found: Results) -> list[Flag]:
    """That some gold of a circuit is corrected for cupel loss and some is not, where it is so."""
    beads = {entry.text("sample") for entry in found.run.state.of("circuit")}
    of_beads = [s for s in found.samples if s.id in beads]
    of_circuit = sorts.present(s.sort for s in (*of_beads, *pooled_of_circuit(found).values()))
    if len(of_circuit) < 2:
        return []
    one, other = (sorts.in_short(sort) for sort in (of_circuit[0], of_circuit[-1]))
    return [flag("circuit_mixed", one=one, other=other)]


def circuit_of(found: Results) -> "Circuit | FeedTest | None":
    """The circuit test of a log; None when it holds none.

    Raises:
        BadInput: when a product is missing, or its metal, with what is accepted.
    """
    entries = found.run.state.of("circuit")
    if not any(e.text("product") == "concentrate" for e in entries):
        return None
    try:
        reader = _Reader(found, entries)
        if _is_feed_test(reader):
            from assaybench.record.streams_run import feed_test

            return _with_sizes(feed_test(reader), _Reader(found, entries))
        return reader.circuit()
    except BadInput:
        raise
    except ValueError as fault:
        raise BadInput([f"circuit: {fault}."]) from fault


def _with_sizes(test: "FeedTest", reader: "_Reader") -> "FeedTest":
    """The streams with what the weights by size say of stage 1, where both catches were sieved.

    Tailings of a stage are one stream of all sizes, so they tell nothing of one size.
    """
    sized = reader.by_weights()
    if sized is None:
        return test
    flags = (f for f in sized[1].flags if f.code.startswith("look_at_size"))
    said = (*test.said, say("streams_sizes_by_weight"))
    return test._replace(by_size=sized, said=said, flags=(*test.flags, *flags))


def streams_of(found: Results) -> "FeedTest | None":
    """The streams of a log, made to agree; None when it holds none to make agree.

    Raises:
        BadInput: as `circuit_of`.
    """
    reader = _Reader(found, found.run.state.of("circuit"))
    if not reader.of("concentrate") or not _is_feed_test(reader):
        return None
    circuit = circuit_of(found)
    return None if isinstance(circuit, Circuit) else circuit


class Kept(NamedTuple):
    """Final tailings as they were kept.

    Attributes:
        name: sample that stands for them, empty when none does.
        dry_kg: dry mass; None where it is not known.
        tailings: what was found in them; None when they were not assayed.
        second_stage, second_stage_least: r2 as the log states it, a share of one.
        fineness_spread: doubt of the fineness of beads not parted.
        rerun_share: share of the stage-1 tailings that was run again, and left them.
    """

    name: str
    dry_kg: Uncertain | None
    tailings: Tailings | None
    second_stage: float | None
    second_stage_least: float | None
    fineness_spread: float
    rerun_share: float = 1.0


def kept_tailings(found: Results) -> Kept | None:
    """The final tailings of a log; None when it names none.

    Raises:
        BadInput: when they stand twice, or half assayed, with what is accepted.
    """
    return _Reader(found, found.run.state.of("circuit")).kept()


def _is_feed_test(cells: Cells) -> bool:
    """Whether streams are made to agree: stage-1 tailings, or a feed and nothing run again."""
    entries = cells.entries
    if any(cells.assayed(entry) for entry in cells.of(BETWEEN)):
        return True
    assayed = {
        entry.text("product") for entry in entries if entry.text("grade") or entry.text("sample")
    }
    return FEED in assayed and not any(entry.text("product") == "rerun" for entry in entries)


class _Reader(Cells):
    """Reads the circuit entries of a log as two stages."""

    def circuit(self) -> Circuit:
        rerun_share, rows = self.share("rerun_share"), self._rows()
        final = final_tailings(self, [row.size for row in rows])
        test = CircuitTest(
            rows=tuple(replace(row, tailings=final.by_size.get(row.size)) for row in rows),
            tailings=final.whole,
            mats_mg=self._metals("mats"),
            middlings_mg=self._metals("middlings"),
            rerun_share=1.0 if rerun_share is None else rerun_share,
            dry_feed_kg=self._feed(),
            head_g_t=self._head(),
        )
        result = recover(
            self.sources,
            test,
            second_stage=self.share("second_stage"),
            second_stage_least=self.share("second_stage_least"),
            u_fineness=self.typed_fineness or 0.0,
            layer=self.layer,
            grains=self._grains(test),
        )
        portions = any(entry.text("portion") for entry in self.entries)
        said = (*_if(portions, "portion_grains"), *_if(self.bare(), "typed_without_doubt"))
        said = (*said, *final.said)
        flags = (*self.flags, *self.closures(), *self._portions_amiss())
        masses = dry_masses(self.entries)
        return Circuit(test, result, self.sources, said=said, flags=flags, masses=masses)

    def by_weights(self) -> "tuple[CircuitTest, CircuitResult] | None":
        """Both catches by size without any tailings; None unless each size has both."""
        sizes = [{entry.text("size") for entry in self.of(product)} - {""} for product in STAGES]
        if sizes[0] != sizes[1] or len(sizes[0]) < 2:
            return None
        share = self.share("rerun_share")
        test = CircuitTest(
            rows=self._rows(),
            mats_mg=self._metals("mats"),
            middlings_mg=self._metals("middlings"),
            rerun_share=1.0 if share is None else share,
        )
        u_fineness = self.typed_fineness or 0.0
        return test, recover(self.sources, test, u_fineness=u_fineness, layer=self.layer)

    def _portions_amiss(self) -> Iterator[Flag]:
        """Where a charge, as weighed in, is not the portion that the entry of its product names."""
        for entry in self.entries:
            sample = entry.text("sample")
            weighed = self.found.run.weighing(sample, "charge") if sample else None
            if entry.text("product") in STAGES and weighed is not None:
                charge_g = weighed[0].net_mg / 1000
                amiss = portion_amiss(entry, charge_g, sample)
                if amiss is not None:
                    yield amiss

    def _grains(self, test: CircuitTest) -> dict[str, int]:
        """Grains counted in both catches of a size; of all, where each size or all was counted."""
        counted: dict[tuple[str, str], int] = {}
        for entry in self.found.run.state.of("grains"):
            counted[entry.text("product"), entry.text("size") or ALL] = entry.whole("count") or 0
        both = {
            size: sum(counted[product, size] for product in STAGES)
            for size in (*(row.size for row in test.rows), ALL)
            if all((product, size) in counted for product in STAGES)
        }
        if all(row.size in both for row in test.rows):
            both.setdefault(ALL, sum(both.values()))
        return both

    def _rows(self) -> tuple[SizeRow, ...]:
        faults: list[str] = []
        concentrate, rerun = (self._by_size(name, faults) for name in STAGES)
        rows: list[SizeRow] = []
        for size, entry in concentrate.items():
            partner = rerun.pop(size, None)
            if partner is None:
                faults += BadInput.of("circuit_no_rerun", size=quoted(size)).lines
                continue
            try:
                first = self.cell(size, entry, f"concentrate, {size}")
                rows.append(SizeRow(first, self.cell(size, partner, f"rerun, {size}")))
            except BadInput as fault:
                faults += fault.lines
        faults += [BadInput.of("circuit_no_con", size=quoted(s)).lines[0] for s in rerun]
        if faults:
            raise BadInput(faults)
        return tuple(rows)

    def _by_size(self, product: str, faults: list[str]) -> dict[str, Effective]:
        found: dict[str, Effective] = {}
        for entry in self.of(product):
            size = entry.text("size") or ALL
            if size in found:
                fault = BadInput.of("circuit_twice", product=product, size=quoted(size))
                faults += fault.lines
            found[size] = entry
        return found

    def _feed(self) -> Uncertain | None:
        feed = self.of("feed")
        return self.mass_kg(feed[-1]) if feed else None

    def _head(self) -> Uncertain | None:
        """The assayed head, of the last feed entry that has a grade."""
        graded = [entry for entry in self.of("feed") if entry.text("grade")]
        return grade_of(self.sources, graded[-1], FEED) if graded else None

    def _metals(self, product: str) -> Uncertain:
        """Metal of all entries of a product, mg; one that was only weighed is flagged."""
        metal: Uncertain = 0.0
        for i, entry in enumerate(self.of(product)):
            if any(entry.text(key) for key in ("metal", "grade", "sample")):
                name = f"{product} {i + 1}" if i else product
                metal = metal + self.cell(ALL, entry, name).metal_mg
            else:
                self.flags.append(flag("circuit_not_assayed", name=product.capitalize()))
        return metal

    def kept(self) -> "Kept | None":
        """The final tailings as they were kept; None when the log names none."""
        found = self.of(TAILINGS)
        if not found:
            return None
        sizes = dict.fromkeys(e.text("size") or ALL for e in self.of("concentrate"))
        final, sized = final_tailings(self, sizes), [e for e in found if e.text("size")]
        whole = [e for e in self.entries if e.text("product") == TAILINGS and not e.text("size")]
        return Kept(
            name=next((e.text("sample") for e in whole if e.text("sample")), ""),
            dry_kg=self._weighed([e for e in whole if _weight(e)][-1:] or sized or found),
            tailings=final.all_of_them,
            second_stage=self.share("second_stage"),
            second_stage_least=self.share("second_stage_least"),
            fineness_spread=self.typed_fineness or 0.0,
            rerun_share=self.share("rerun_share") or 1.0,
        )

    def _weighed(self, entries: list[Effective]) -> Uncertain | None:
        """Dry mass of all of these, kg; None where one of them was not weighed."""
        masses = [self.mass_kg(entry) for entry in entries]
        return None if None in masses else total(*((1.0, mass) for mass in masses))


def _weight(entry: Effective) -> str:
    return entry.text("mass") or entry.text("wet_mass")


def _if(holds: bool, code: str) -> tuple[str, ...]:  # noqa: FBT001
    return (say(code),) if holds else ()
