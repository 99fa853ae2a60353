"""A log that is being written: its state and figures after every entry, without starting again.

An ordinary reading touches one sample, and only that sample is worked out anew. What is shared by
the run (blanks, proofs, balances, lots, choices of the method) and corrections touch all samples;
these are worked out again one by one, as they are asked for. Nothing here is a second truth:
what it says is always what `results(replay(entries))` says.
"""

from collections.abc import Iterable, Sequence

from assaybench.messages import BadInput
from assaybench.record.entries import Effective, Entry
from assaybench.record.kinds import SCREENED, TREATED_AGAIN
from assaybench.record.replay import State, built, weighings
from assaybench.record.results import Results, SampleResult, sample_result
from assaybench.record.run import Run
from assaybench.record.sample_grades import grades_of
from assaybench.record.strict import CORRECTIONS

_SCALES = frozenset({"balance", "balance_check", "weight"})
"""Kinds that may give readings that were made before them another scale."""
SHARED_KINDS = frozenset({*CORRECTIONS, *_SCALES, "opened", "method", "reagent_lot"})
"""Kinds of entries that may change the figures of every sample."""
SHARED_ROLES = frozenset({"blank", "proof"})
"""Samples whose masses the figures of all others rest on."""


class Live:
    """The entries of a log, its state, and its figures as they are asked for.

    Args:
        entries: those there are, in order.

    Raises:
        BadInput: for a reading on a balance that no entry before it describes.
    """

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self._entries = list(entries)
        self._start()

    def _start(self) -> None:
        self._builder = built(self._entries)
        self._raw = weighings(self._builder.state)
        self._forget()

    def _forget(self) -> None:
        self._run: Run | None = None
        self._known: dict[str, SampleResult] = {}

    @property
    def entries(self) -> Sequence[Entry]:
        """All entries, in order."""
        return self._entries

    @property
    def state(self) -> State:
        """What the log says now; the next entry changes it."""
        return self._builder.state

    def add(self, entry: Entry) -> tuple[str, ...]:
        """Apply the next entry.

        Returns:
            The samples whose figures may be others now, in the order of the log.

        Raises:
            BadInput: for a reading on a balance that no entry before it describes; then nothing
                was applied.
        """
        touched = self._reach(entry)
        self._entries.append(entry)
        try:
            if entry.kind in CORRECTIONS:
                self._start()
            else:
                self._builder.add(Effective(entry, entry.values))
        except BadInput:
            self._entries.pop()
            self._start()
            raise
        if entry.kind == "reading":
            touched = self._weighed_anew()
        elif entry.kind in _SCALES:
            self._raw = weighings(self.state)
        if touched is None:
            self._forget()
            return tuple(self.state.samples)
        for name in touched:
            self._known.pop(name, None)
        return tuple(name for name in self.state.samples if name in touched)

    def _reach(self, entry: Entry) -> set[str] | None:
        """The samples that an entry touches that is not yet applied; None for all of them."""
        said, state = Effective(entry, entry.values), self.state
        name = said.text("id" if entry.kind == "sample" else "sample")
        match entry.kind:
            case "sample" if said.text("part") in TREATED_AGAIN:
                return None
            case "sample" if name in state.samples or said.text("role") in SHARED_ROLES:
                return None
            case "moisture" if state.of_sample("moisture", name) is not None:
                return None  # its doubt is one source of the run, which cannot take another value
            case "moisture":
                return {name, *self._screened(name)}
            case "left_out" if self._is_shared(name):
                return None
            case "sample" | "left_out":
                return {name, self._is_added_to(name)} - {""}
            case kind:
                return None if kind in SHARED_KINDS else set()

    def _is_shared(self, sample: str) -> bool:
        entry = self.state.samples.get(sample)
        return entry is not None and entry.text("role") in SHARED_ROLES

    def _screened(self, pulp: str) -> list[str]:
        """The assays of plus and minus of a pulp: its moisture is theirs."""
        return [
            name
            for name, entry in self.state.samples.items()
            if entry.text("of") == pulp and entry.text("part") in SCREENED
        ]

    def _is_added_to(self, name: str) -> str:
        """The sample that the gold of this one's slag or cupel is added to; else empty."""
        entry = self.state.samples.get(name)
        part = "" if entry is None else entry.text("part")
        return entry.text("of") if entry is not None and part in TREATED_AGAIN else ""

    def _weighed_anew(self) -> set[str] | None:
        """The samples that a reading touches: its own, and those weighed just before a zero."""
        raw = weighings(self.state)
        changed = [
            key
            for key, found in raw.items()
            if key not in self._raw or self._raw[key].entries != found.entries
        ]
        # a zero may show the spread of its balance, which is behind all weighings on it
        respread = any(
            old.balance is not raw[key].balance and old.balance != raw[key].balance
            for key, old in self._raw.items()
            if key in raw and old.entries == raw[key].entries
        )
        self._raw = raw
        if self._run is not None:
            self._run.renew(raw, changed)
        names = {sample for sample, _ in changed}
        names |= {own for name in names if (own := self._is_added_to(name))}
        return None if respread or any(map(self._is_shared, names)) else names

    def sample(self, name: str) -> SampleResult:
        """Figures, verdicts and flags of one sample.

        Raises:
            BadInput: when the log's own choices contradict each other.
            KeyError: for a name that is no sample.
        """
        if name not in self._known:
            self._known[name] = sample_result(self._shared(), name)
        return self._known[name]

    def _shared(self) -> Run:
        """The shared parts of the run."""
        if self._run is None:
            self._run = Run(self.state, self._raw)
        return self._run

    def results(self) -> Results:
        """Everything the log's samples say, as they are now.

        Raises:
            BadInput: when the log's own choices contradict each other.
        """
        samples = tuple([self.sample(name) for name in self.state.samples])
        # grades and wholes name sources that the next reading gives another value
        run = self._shared().fork()
        return Results(run.sources, samples, tuple(grades_of(run, samples)), run)
