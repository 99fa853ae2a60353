"""Replay: entries in, the state of the log out; there is no second truth.

`replay` applies amendments and withdrawals, then hands every entry in order to the builder. What
can change a figure or a name is an entry, so the same entries give the same state for ever.
"""

from bisect import bisect
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from assaybench.messages import BadInput, quoted
from assaybench.metrology.calibration import spread_from_zeros
from assaybench.metrology.weighing import Balance, Reading
from assaybench.record.entries import Effective, Entry, effective
from assaybench.units import parse, table
from assaybench.units.table import MILLIGRAM

if TYPE_CHECKING:
    from assaybench.record.scales import CheckedScale


class ReadingRecord(NamedTuple):
    """One displayed value with its surroundings.

    Attributes:
        reading: the value.
        what: what was on the pan.
        sample: whose, empty for a zero.
        balance: the balance, as it was described when the reading was made.
        session: number of the balance session; zeros are found within one.
        entry: the entry it comes from.
    """

    reading: Reading
    what: str
    sample: str
    balance: Balance
    session: int
    entry: Effective


@dataclass(slots=True)
class State:
    """What a log says, after all its entries.

    Attributes:
        opened: the first entry, None in a hand sheet's bare replay.
        methods: choices of the method by item, the last one counts.
        balances: by name, as last described.
        weighs: the balance that weighs a thing when none is named.
        samples: by id, in the order of the log.
        readings: all that count, in order.
        left_out: reason by sample.
        others: every other kind, in order.
        last: the last of these entries of a kind about a sample, by both.
        entries: all, with what became of them.
        scales: what checks say of the scale of a balance, by its name; it counts for every reading
            on it, as long as no calibration was declared.
    """

    opened: Effective | None = None
    methods: dict[str, str] = field(default_factory=dict)
    balances: dict[str, Balance] = field(default_factory=dict)
    weighs: dict[str, str] = field(default_factory=dict)
    samples: dict[str, Effective] = field(default_factory=dict)
    readings: list[ReadingRecord] = field(default_factory=list)
    left_out: dict[str, str] = field(default_factory=dict)
    others: dict[str, list[Effective]] = field(default_factory=dict)
    last: dict[tuple[str, str], Effective] = field(default_factory=dict)
    entries: list[Effective] = field(default_factory=list)
    scales: dict[str, "CheckedScale"] = field(default_factory=dict)

    def of(self, kind: str) -> list[Effective]:
        """Entries of a kind without a home of its own."""
        return self.others.get(kind, [])

    def of_sample(self, kind: str, sample: str) -> Effective | None:
        """The last entry of a kind about a sample."""
        return self.last.get((kind, sample))


class Builder:
    """Builds a state entry by entry."""

    def __init__(self) -> None:
        self.state = State()
        self._sessions: dict[str, int] = {}
        self._all_sessions = 0
        self._undeclared: set[str] = set()
        self._homes = {
            "opened": self._opened,
            "method": self._method,
            "balance": self._balance,
            "balance_check": self._balance_check,
            "weight": self._weight,
            "session": self._session,
            # weighed anew after a reissue: no zero before it serves a reading behind it
            "replaces": self._session,
            "sample": self._sample,
            "reading": self._reading,
            "left_out": self._left_out,
        }

    def add(self, entry: Effective) -> None:
        """Apply one entry; a withdrawn one is kept for show and counts no more."""
        self.state.entries.append(entry)
        if entry.withdrawn is not None:
            return
        self._homes.get(entry.kind, self._other)(entry)

    def _other(self, entry: Effective) -> None:
        self.state.others.setdefault(entry.kind, []).append(entry)
        self.state.last[entry.kind, entry.text("sample")] = entry

    def _opened(self, entry: Effective) -> None:
        self.state.opened = entry

    def _method(self, entry: Effective) -> None:
        self.state.methods[entry.text("item")] = entry.text("value")

    def _session(self, entry: Effective) -> None:
        self._all_sessions += 1
        self._other(entry)

    def _balance(self, entry: Effective) -> None:
        name = entry.text("name")
        self._sessions[name] = self._sessions.get(name, 0) + 1
        found = balance_of(entry)
        self.state.balances[name] = found
        if found.calibration is None:
            self._undeclared.add(name)
        self._checked(name)
        for what in entry.texts("weighs"):
            self.state.weighs[what] = name

    def _balance_check(self, entry: Effective) -> None:
        name = entry.text("balance")
        self._sessions[name] = self._sessions.get(name, 0) + 1
        self._other(entry)
        self._checked(name)

    def _weight(self, entry: Effective) -> None:
        """A weight that is described after a check with it is the weight of that check."""
        self._other(entry)
        for name in dict.fromkeys(e.text("balance") for e in self.state.of("balance_check")):
            self._checked(name)

    def _checked(self, name: str) -> None:
        """Give a balance and its readings the scale that its checks show, declared ones aside."""
        if name not in self._undeclared:
            return
        state = self.state
        checks = [e for e in state.of("balance_check") if e.text("balance") == name]
        described = state.balances.get(name)
        if not checks or described is None:
            return
        from assaybench.record.scales import checked_scale

        paper = state.opened is not None and bool(state.opened.text("paper_date"))
        found = checked_scale(described, checks, state.of("weight"), paper=paper)
        if found is None:
            return
        state.scales[name] = found
        state.balances[name] = found.on(described)
        made: dict[Balance, Balance] = {}
        for i, record in enumerate(state.readings):
            if record.balance.name == name:
                if record.balance not in made:
                    made[record.balance] = found.on(record.balance)
                state.readings[i] = record._replace(balance=made[record.balance])

    def _sample(self, entry: Effective) -> None:
        self.state.samples[entry.text("id")] = entry

    def _left_out(self, entry: Effective) -> None:
        self.state.left_out[entry.text("sample")] = entry.text("reason")
        self._other(entry)

    def _reading(self, entry: Effective) -> None:
        name = entry.text("balance")
        balance = self.state.balances.get(name)
        if balance is None:
            raise BadInput.of("balance_unknown", x=quoted(name)).named(f"entry {entry.n}")
        session = self._sessions.get(name, 0) + self._all_sessions
        reading = reading_of(entry)
        self.state.readings.append(
            ReadingRecord(
                reading, entry.text("what"), entry.text("sample"), balance, session, entry
            )
        )


def replay(entries: Iterable[Entry]) -> State:
    """The state after these entries.

    Raises:
        BadInput: for a reading on a balance that no entry before it describes.
    """
    return built(entries).state


def built(entries: Iterable[Entry]) -> Builder:
    """The builder after these entries, to go on with.

    Raises:
        BadInput: as `replay`.
    """
    builder = Builder()
    for entry in effective(entries):
        builder.add(entry)
    return builder


def reading_of(entry: Effective) -> Reading:
    """The displayed value of a reading entry, exactly, in milligrams."""
    shown = f"{entry.text('text')} {entry.text('unit')}"
    return Reading(f"entry {entry.n}", *_displayed(shown))


@lru_cache(maxsize=1024)
def _displayed(shown: str) -> tuple[Fraction, str, Fraction]:
    """Value, mg, text and last place, mg, of what a balance displayed."""
    typed = parse.plain_figure(shown, table.MASS)
    return typed.exact(MILLIGRAM), shown, typed.last_place(MILLIGRAM)


def balance_of(entry: Effective) -> Balance:
    """The balance that an entry describes."""
    spread, repeats = entry.text("spread"), entry.whole("repeats")
    readings = entry.whole("linearity_readings")
    calibration = entry.text("calibration")
    return Balance(
        name=entry.text("name"),
        step_mg=_milligrams(entry.text("step")),
        spread_mg=_milligrams(spread) if spread else None,
        spread_dof=repeats - 1 if repeats else float("inf"),
        linearity_mg=_milligrams(entry.text("linearity")),
        linearity_readings=1 if readings is None else readings,
        zero_residue_mg=_milligrams(entry.text("zero_residue")),
        calibration=float(parse.share(calibration, "a calibration", 0, 100))
        if calibration
        else None,
    )


def _milligrams(text: str) -> float:
    if not text:
        return 0.0
    return float(parse.figure(text, table.MASS).exact(MILLIGRAM))


class RawWeighing(NamedTuple):
    """The readings that make one weighing, before any arithmetic.

    Attributes:
        sample: whose.
        what: what was weighed.
        balance: the balance, as described then.
        loads: readings of the object, in order.
        zeros: the last zero before them and the first after, as far as there are.
        entries: numbers of all its entries.
    """

    sample: str
    what: str
    balance: Balance
    loads: tuple[Reading, ...]
    zeros: tuple[Reading, ...]
    entries: tuple[int, ...]


def weighings(state: State) -> dict[tuple[str, str], RawWeighing]:
    """The weighing of each sample and thing, by (sample, what).

    A weighing is made of the readings of one object on one balance in one balance session with the
    zeros around it (method version 1, section 1). An object weighed again in a later session or on
    another balance counts as last weighed; the earlier readings stay in the log. A balance whose
    spread nobody stated takes it from its zeros, from six pairs of them on.
    """
    zeros = _zeros(state.readings)
    groups = _last_groups(state.readings)
    found = {key: _raw(state.readings, places, zeros) for key, places in groups.items()}
    spreads = _zero_spreads(state.readings, zeros)
    if not spreads:
        return found  # as almost always
    return {
        key: raw._replace(balance=_spread_known(raw.balance, spreads)) for key, raw in found.items()
    }


def _zero_spreads(
    records: list[ReadingRecord], zeros: dict[tuple[str, int], list[int]]
) -> dict[str, tuple[float, int]]:
    """Spread, mg, and ν of the balances for which none was stated, from their pairs of zeros."""
    steps: dict[str, list[float]] = {}
    for (name, _session), places in zeros.items():
        if records[places[0]].balance.spread_mg is None:
            shown = [records[i].reading.mg for i in places]
            # each zero in one pair alone: neighbouring differences are not independent
            pairs = zip(shown[::2], shown[1::2], strict=False)
            steps.setdefault(name, []).extend(float(after - before) for before, after in pairs)
    found = {name: spread_from_zeros(differences) for name, differences in steps.items()}
    return {name: spread for name, spread in found.items() if spread is not None}


def _spread_known(balance: Balance, spreads: dict[str, tuple[float, int]]) -> Balance:
    """The balance with the spread that its zeros show, where none was stated."""
    if balance.spread_mg is not None or balance.name not in spreads:
        return balance
    spread_mg, dof = spreads[balance.name]
    return replace(balance, spread_mg=spread_mg, spread_dof=dof, zero_pairs=dof + 1)


def weighed_before(state: State) -> list[tuple[ReadingRecord, ...]]:
    """The weighings that a later one of the same object took the place of, each by its readings.

    They count no more, and are shown: weighing again until it suits must not pass unseen.
    """
    records = state.readings
    last = {i for places in _last_groups(records).values() for i in places}
    found: dict[tuple[str, str, str, int], list[ReadingRecord]] = {}
    for i, record in enumerate(records):
        if record.what != "zero" and i not in last:
            key = (record.sample, record.what, record.balance.name, record.session)
            found.setdefault(key, []).append(record)
    return [tuple(group) for group in found.values()]


def _last_groups(records: list[ReadingRecord]) -> dict[tuple[str, str], list[int]]:
    """Places of the readings of the last weighing of each sample and thing."""
    groups: dict[tuple[str, str], list[int]] = {}
    for i, record in enumerate(records):
        if record.what == "zero":
            continue
        key = (record.sample, record.what)
        same = groups.get(key)
        if same and _together(records[same[0]], record):
            same.append(i)
        else:
            groups[key] = [i]
    return groups


def _zeros(records: list[ReadingRecord]) -> dict[tuple[str, int], list[int]]:
    """Places of the zero readings, rising, by balance and session."""
    found: dict[tuple[str, int], list[int]] = {}
    for i, record in enumerate(records):
        if record.what == "zero":
            found.setdefault((record.balance.name, record.session), []).append(i)
    return found


def _together(one: ReadingRecord, other: ReadingRecord) -> bool:
    return (one.balance.name, one.session) == (other.balance.name, other.session)


def _raw(
    records: list[ReadingRecord], places: list[int], all_zeros: dict[tuple[str, int], list[int]]
) -> RawWeighing:
    own = records[places[0]]
    loads = [records[i] for i in places]
    around = all_zeros.get((own.balance.name, own.session), [])
    if around:
        before, after = bisect(around, places[0]), bisect(around, places[-1])
        around = [*around[max(before - 1, 0) : before], *around[after : after + 1]]
    zeros = [records[i] for i in around]
    return RawWeighing(
        own.sample,
        own.what,
        own.balance,
        tuple([record.reading for record in loads]),
        tuple([record.reading for record in zeros]),
        tuple([record.entry.n for record in (*loads, *zeros)]),
    )
