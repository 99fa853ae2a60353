"""A circuit test as its pages hold it: what is typed for which product and size, what is missing.

All of it is worked out from the state of the log, so a restart finds the same place again. Sieves
are a choice of the method; what one product has of one size is one `circuit` entry.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assaybench.bench.circuit_sizes import coarse_first
from assaybench.bench.tray import where
from assaybench.circuit.size_names import sizes_of
from assaybench.logbook.logfile import Row
from assaybench.logbook.settings_fields import Tray
from assaybench.messages import BadInput, say
from assaybench.record.entries import Effective, Entry
from assaybench.record.kinds import PRODUCTS
from assaybench.record.method_items import SIEVES
from assaybench.record.replay import State, replay

STAGES = ("concentrate", "rerun")
OTHERS = tuple(name for name in PRODUCTS if name not in ("feed", *STAGES))
"""The products beside the feed and the two catches."""
SHARES = ("rerun_share", "second_stage", "second_stage_least", "fineness_spread")
"""Shares that stand for the whole test; they are kept with the feed."""
SCALE = "scale"
CATCHES = {"concentrate": "first catch", "rerun": "second catch"}
"""The balance and the samples of the guided path; the samples stand for the two catches."""
_WHAT = ("metal", "grade", "sample")


class Spot(NamedTuple):
    """One place of the editor: a product, or one size of it.

    Attributes:
        product: as in the log.
        size: its size; empty for the whole product.
    """

    product: str
    size: str = ""

    @property
    def words(self) -> str:
        """In the words of the page: `re-run, -0.25 mm`."""
        product = say(f"product_{words_key(self.product)}")
        return f"{product}, {self.size}" if self.size else product


def words_key(product: str) -> str:
    """The end of the codes of a product's words: `stage_1_tailings`."""
    return product.replace("-", "_").replace(" ", "_")


class Model:
    """The circuit of one log.

    Attributes:
        state: of the log.
        sizes: coarse first; one that is empty where nothing was sieved.
        named: whether sieves or sizes are known.
    """

    def __init__(self, state: State) -> None:
        self.state = state
        self._entries = state.of("circuit")
        sizes = list(dict.fromkeys(e.text("size") for e in self._entries if e.text("size")))
        if self.sieves:
            sizes = [*sizes_of(self.sieves), *sizes]
        self.sizes: list[str] = coarse_first(list(dict.fromkeys(sizes))) or [""]
        self.named = self.sizes != [""]

    @property
    def sieves(self) -> str:
        """The sieves as typed, as far as they can be read; empty when none were."""
        text = self.state.methods.get(SIEVES, "")
        try:
            return text if text and sizes_of(text) else ""
        except BadInput:
            return ""

    @property
    def made_of_sieves(self) -> list[int]:
        """The numbers of the entries that say which sieves were used; none when none were."""
        entries = self.state.entries if self.sieves else []
        said = [e for e in entries if e.kind == "method" and e.text("item") == SIEVES]
        return [e.n for e in said if e.withdrawn is None]

    @property
    def empty(self) -> bool:
        """Whether nothing was typed yet."""
        return not self._entries and not self.sieves

    def entry(self, spot: Spot) -> Effective | None:
        """What stands for a spot; None when nothing does."""
        found = [e for e in self._entries if (e.text("product"), e.text("size")) == spot]
        return found[-1] if found else None

    def grains(self, spot: Spot) -> Effective | None:
        """The grains that were counted in a spot."""
        made = self.state.of("grains")
        found = [e for e in made if (e.text("product"), e.text("size")) == spot]
        return found[-1] if found else None

    @property
    def grains_of_both(self) -> int | None:
        """Grains counted in both catches; None while one of them was not counted."""
        found = [self.grains(spot) for spot in self.spots()]
        counts = [None if entry is None else entry.whole("count") for entry in found]
        known = [count for count in counts if count is not None]
        return sum(known) if len(known) == len(counts) else None

    def typed(self, spot: Spot) -> bool:
        """Whether the gold of a spot is known, or where it will come from."""
        entry = self.entry(spot)
        return entry is not None and any(entry.text(key) for key in _WHAT)

    @property
    def guided(self) -> bool:
        """Whether the guided path was begun, and nothing was typed in another way."""
        others = [s for s in map(self.sample_of, self.spots()) if s not in ("", *CATCHES.values())]
        return SCALE in self.state.balances and not others

    def share(self, key: str) -> str:
        """A share that stands for the whole test, as typed; empty when none does."""
        texts = [e.text(key) for e in self._entries if e.text(key)]
        return texts[-1] if texts else ""

    @property
    def unparted(self) -> bool:
        """Whether the gold was weighed with the silver that is in it."""
        return bool(self.share("fineness_spread"))

    def spots(self) -> list[Spot]:
        """The spots of both stages, size by size."""
        return [Spot(product, size) for size in self.sizes for product in STAGES]

    def spots_of(self, product: str) -> list[Spot]:
        """The spots of a product beside the stages: all of it, and its sizes where one is known."""
        sized = [Spot(product, size) for size in self.sizes if size]
        known = any(self.entry(spot) is not None for spot in sized)
        return [Spot(product), *(sized if known else [])]

    def next_tailings(self) -> Spot:
        """The first size of the final tailings that waits, where others are known; else all."""
        whole, *sized = self.spots_of("tailings")
        return next((spot for spot in sized if not self.typed(spot)), whole)

    def missing(self) -> list[Spot]:
        """The spots of both stages that still wait, stage 1 first."""
        if self.of_streams:
            return []
        return [
            spot
            for product in STAGES
            for spot in (Spot(product, size) for size in self.sizes)
            if not self.typed(spot)
        ]

    @property
    def of_streams(self) -> bool:
        """Whether streams are made to agree, so that the two catches by size are not needed.

        A feed was assayed and nothing was run again; or the tailings were assayed in between.
        """
        from assaybench.record.circuit_typed import BETWEEN  # the contents do without it

        between = self.entry(Spot(BETWEEN))
        if between is not None and len(between.values) > 1:
            return any(e.text("product") == STAGES[0] for e in self._entries)
        feed = self.entry(Spot("feed"))
        assayed = feed is not None and bool(feed.text("grade") or feed.text("sample"))
        return (
            assayed
            and not self.named
            and not any(e.text("product") == "rerun" for e in self._entries)
            and any(e.text("product") != "feed" for e in self._entries)
        )

    def sample_of(self, spot: Spot) -> str:
        """The sample that a spot is tied to; empty when it is not."""
        entry = self.entry(spot)
        return "" if entry is None else entry.text("sample")

    def tied(self, sample: str) -> list[Spot]:
        """The spots that a sample stands for; none for an empty name."""
        found = [e for e in self._entries if sample and e.text("sample") == sample]
        return [Spot(e.text("product"), e.text("size")) for e in found]

    def where(self, muffle: Tray, cups: Tray) -> str:
        """Where the work was left, in a few words for the contents: `re-run, -0.25 mm`."""
        if self.empty and not self.state.samples:
            return say("circuit_left_empty")
        if self.guided:
            return say("circuit_left_guided")
        missing = self.missing()
        if missing:
            return missing[0].words
        return where(self.state, muffle, cups).text if self.state.samples else say("circuit_left")


def where_left(entries: Sequence[Entry], muffle: Tray, cups: Tray) -> str:
    """Where a circuit test was left, in a few words for the contents page."""
    return Model(replay(entries)).where(muffle, cups)


def rows_for(
    entry: Effective | None, kind: str, values: Mapping[str, object], reason: str
) -> list[Row]:
    """The entries that make a thing what was typed; none when it stands so already.

    What only gains or changes keys is amended; where a key goes, the entry is withdrawn and made
    anew. Either way the old one stays in the log.

    Args:
        entry: what stands there; None for nothing.
        kind: of the entry.
        values: all its keys as they are to be.
        reason: why it is typed anew.
    """
    if entry is None:
        return [(kind, values)]
    if dict(entry.values) == dict(values):
        return []
    if any(key not in values for key in entry.values):
        return [("withdrawn", {"entry": entry.n, "reason": reason}), (kind, values)]
    changed = {k: v for k, v in values.items() if entry.values.get(k) != v}
    return [("amendment", {"entry": entry.n, **changed, "reason": reason})]


def changes(entry: Effective | None, values: Mapping[str, object]) -> bool:
    """Whether something that stood is changed or goes; what is only added needs no reason."""
    if entry is None:
        return False
    return any(values.get(key) != value for key, value in entry.values.items())
