"""Slips: what is asked about a reading before it is stored, and the entries that come of it.

A reading is held against the readings of its like in the log: of the same object, of duplicates of
its sample, of what is known to be in it, of the other portions of the run. A question changes
nothing: what was typed, what was asked and what was typed then all stay in the log.

Choices (no rule of the trade says how much is unusual): a power of ten counts from two thirds to
three halves of itself; readings of one object may lie twice their usual range apart; duplicates may
differ as the other duplicates of the log do, at 99 in 100, where four pairs of 10 % stand in for
those that are not there yet; two equal lines are asked about where chance makes them less than once
in 300. Of simulated honest trays of 24 whose duplicates scatter by 2 to 10 %, 2 to 3 in 100 get a
question, 4 of 10,000 readings; with coarse gold that scatters by 30 %, 35 in 100 trays do.
"""

import math
from bisect import bisect_left, insort
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from fractions import Fraction
from itertools import islice
from typing import NamedTuple

from assaybench.assay.replicates import Spread, joined, middle, pooled
from assaybench.messages import say
from assaybench.metrology.special import t_quantile
from assaybench.metrology.weighing import Balance, shows, u0, usual_range_mg
from assaybench.record.entries import Effective, Entry
from assaybench.record.replay import ReadingRecord, State, reading_of
from assaybench.record.slip_limits import beyond_balance, beyond_blank, known_mg
from assaybench.record.slip_words import (
    SLACK,
    Held,
    Question,
    Words,
    digits_of,
    held_by,
)
from assaybench.units import table, write
from assaybench.units.table import GRAM, MILLIGRAM

FAR = 2.0
LEAST_STEPS = 5.0
USUAL = Spread(0.10, 4.0)
SURE = 0.995
"""One tail of 99 in 100."""
CONTRADICTED = 3.0
"""Masses contradict each other beyond 3u of their difference, as in `assay.metal`."""
RARE = 1 / 300
MOST_GROUPS, MOST_LINES = 100, 30
"""Groups of duplicates and earlier lines that are looked at: enough to know a spread."""
FEW_LINES, LEAST_DIGITS = 4, 3

DETERMINED = ("sample", "duplicate", "reference")
"""Roles whose samples may be duplicates of each other."""
ALIKE_BY_NATURE = ("proof", "reference", "blank")
PORTIONS = ("charge", "silver", "lead", "proof_gold", "proof_silver", "cupel", "portion")
"""Weighed out to an aim: equal lines are usual, and all are of one size."""
OF_ONE_SIZE = ("charge", "silver", "lead", "button", "cupel")
_PER_GRAM = float(GRAM.size / MILLIGRAM.size)


class Candidate(NamedTuple):
    """A reading that is about to be stored, by the keys of its entry."""

    what: str
    text: str
    unit: str
    balance: str
    sample: str = ""

    @classmethod
    def of(cls, values: Mapping[str, object]) -> "Candidate":
        """From the keys of a reading that was checked."""
        return cls(*(str(values.get(key, "")) for key in cls._fields))


class Tray:
    """The readings of a log so far, in the order that questions are asked of them."""

    def __init__(self, state: State, readings: Sequence[ReadingRecord] | None = None) -> None:
        """Know the names of a log and its readings.

        Args:
            state: the log.
            readings: those that count as made; left out, all of the log.
        """
        self.state = state
        self._say = Words(state)
        self._last: dict[tuple[str, str], ReadingRecord] = {}
        self._before: ReadingRecord | None = None
        self._lines: dict[str, list[float]] = {}
        self._sizes: dict[tuple[str, str, str], list[float]] = {}
        self._families: dict[tuple[str, str], list[str]] = {}
        for name, entry in state.samples.items():
            if entry.text("role") in DETERMINED:
                self._families.setdefault(_family(entry), []).append(name)
        for record in state.readings if readings is None else readings:
            self.add(record)

    def add(self, record: ReadingRecord) -> None:
        """A reading was made."""
        if record.what == "zero":
            return
        mg = float(record.reading.mg)
        self._last[record.sample, record.what] = record
        self._before = record
        self._lines.setdefault(record.what, []).append(mg)
        if record.what in OF_ONE_SIZE and mg > 0:
            insort(self._sizes.setdefault(self._size_of(record), []), mg)

    def questions(self, new: Candidate) -> list[Question]:
        """What to ask about the next reading; nothing where nothing is suspicious.

        Args:
            new: the reading, as its keys are accepted, on a balance that the log describes.
        """
        return self.about(self._record(new))

    def about(self, new: ReadingRecord) -> list[Question]:
        """What to ask about a reading that is not among those known here."""
        return list(self._questions(new))

    def _questions(self, new: ReadingRecord) -> Iterator[Question]:
        if not shows(new.balance, new.reading.mg):
            yield self._say.step(new)
        yield from beyond_balance(self._say, new)
        if new.what == "zero":
            return
        earlier = self._last.get((new.sample, new.what))
        if earlier is not None:
            # the same object: what it said before answers everything else
            yield from self._against_earlier(new, earlier)
            return
        found = [*self._against_masses(new), *(self._against_like(new) or self._against_size(new))]
        if not found:
            found = [*beyond_blank(self._say, new, self.state.samples, self._last.values())]
        yield from found or self._against_line(new)

    # --- the same object -------------------------------------------------------------------------

    def _against_earlier(self, new: ReadingRecord, old: ReadingRecord) -> Iterator[Question]:
        usual = max(_apart_mg(new.balance), _apart_mg(old.balance))
        if abs(new.reading.mg - old.reading.mg) <= usual * (1 + 1e-12):
            return
        held = held_by(say("slip_earlier"), old)
        yield (
            self._say.power(new, held)
            or self._say.digits(new, held, say("slip_before"))
            or self._say.look(new, "far", "far_from_before", held)
        )

    # --- masses of one sample that contradict each other ------------------------------------------

    def _against_masses(self, new: ReadingRecord) -> Iterator[Question]:
        upper = {"gold": ("bead", "slip_bead"), "bead": ("charge", "slip_charge")}
        if new.what in upper:
            other, ref = upper[new.what]
            old = self._last.get((new.sample, other))
            if old is not None and _far_above(new, old):
                yield self._say.look(
                    new, "heavier", f"{new.what}_above_{other}", held_by(say(ref), old)
                )
        gold = self._last.get((new.sample, "gold")) if new.what == "bead" else None
        if gold is not None and _far_above(gold, new):
            yield self._say.look(new, "lighter", "gold_above_bead", held_by(say("slip_gold"), gold))

    # --- duplicates, and what is known -----------------------------------------------------------

    def _against_like(self, new: ReadingRecord) -> list[Question]:
        if new.reading.mg <= 0:
            return []
        if new.what == "gold":
            asked = self._against_duplicate(new)
        else:
            asked = self._against_bead(new) if new.what == "bead" else None
        return [asked] if asked else self._against_known(new)

    def _against_duplicate(self, new: ReadingRecord) -> Question | None:
        """Gold against the nearest of its duplicates, as grade where both charges are known."""
        charge = self._charge_g(new.sample)
        nearest = None
        for old in self._siblings(new):
            other = self._charge_g(old.sample)
            by = (charge, other) if charge and other else (1.0, 1.0)
            ratio = math.log(float(new.reading.mg / old.reading.mg) * by[1] / by[0])
            if nearest is None or abs(ratio) < abs(nearest[0]):
                nearest = (ratio, old, by)
        if nearest is None:
            return None
        ratio, old, by = nearest
        held = held_by(self._say.duplicate(old.sample), old)
        asked: Question | None = None
        if abs(ratio) > self._usual(new, old):
            asked = (
                self._say.power(new, held, ratio / math.log(10), self._say.shown_by(old, by))
                or self._say.digits(new, held, self._say.place(old.sample))
                or self._say.look(new, "far", "far_from_duplicate", held)
            )
        elif digits_of(new.entry) >= LEAST_DIGITS:
            asked = self._say.digits(new, held, self._say.place(old.sample))
        if asked is None or by == (1.0, 1.0):
            return asked
        return asked._replace(grades=self._say.grades(new, old, by))

    def _siblings(self, new: ReadingRecord) -> Iterator[ReadingRecord]:
        entry = self.state.samples.get(new.sample)
        for name in () if entry is None else self._families.get(_family(entry), ()):
            old = self._last.get((name, new.what)) if name != new.sample else None
            if old is not None and old.reading.mg > 0:
                yield old

    def _usual(self, new: ReadingRecord, old: ReadingRecord) -> float:
        """How far the logarithms of two duplicates usually lie apart at most."""
        groups = (
            [value for value in map(self._log_grade, names) if value is not None]
            for key, names in self._families.items()
            if len(names) > 1 and new.sample not in names
        )
        some = list(islice((group for group in groups if len(group) > 1), MOST_GROUPS))
        spread = joined(pooled(some), USUAL) or USUAL
        scatter = t_quantile(SURE, spread.dof) * math.sqrt(2) * spread.value
        weighing = CONTRADICTED * math.hypot(_share(new), _share(old))
        return math.hypot(scatter, weighing)

    def _log_grade(self, sample: str) -> float | None:
        gold, charge = self._last.get((sample, "gold")), self._charge_g(sample)
        if gold is None or gold.reading.mg <= 0 or not charge:
            return None
        return math.log(float(gold.reading.mg) / charge)

    def _against_bead(self, new: ReadingRecord) -> Question | None:
        """A bead against those of its duplicates with the same silver: decimal marks only."""
        silver = self._silver(new.sample)
        old = next((o for o in self._siblings(new) if self._silver(o.sample) == silver), None)
        return self._say.power(new, held_by(self._say.duplicate(old.sample), old)) if old else None

    def _against_known(self, new: ReadingRecord) -> list[Question]:
        """Against what the entry of the sample says is in it: decimal marks, a bead too light."""
        entry = self.state.samples.get(new.sample)
        known = known_mg(entry, new.what, self._charge_g(new.sample)) if entry else None
        if not known:
            return []
        ref = say("slip_silver" if new.what == "bead" else "slip_known")
        held = Held(ref, f"{write.short(known, 4)} mg", new.sample, mg=Fraction(known))
        asked = self._say.power(new, held)
        if asked is None and new.what == "bead" and new.reading.mg < held.mg / 2:
            asked = self._say.look(new, "lighter", "bead_below_silver", held)
        return [asked] if asked else []

    # --- the other portions of the run -----------------------------------------------------------

    def _against_size(self, new: ReadingRecord) -> list[Question]:
        """A portion that is a power of ten off the others, and like none of them."""
        sizes = self._sizes.get(self._size_of(new), [])
        mg = float(new.reading.mg)
        if mg <= 0 or len(sizes) < 2:
            return []
        at = bisect_left(sizes, mg)
        if any(abs(math.log10(mg / near)) <= SLACK for near in sizes[max(at - 1, 0) : at + 1]):
            return []
        usual = middle(sizes)
        unit = table.BY_SPELLING[new.entry.text("unit")]
        per_unit = float(unit.size / MILLIGRAM.size)
        old = f"{write.short(usual / per_unit, 4)} {unit.symbol}"
        asked = self._say.power(new, Held(say("slip_others"), old, mg=Fraction(usual)))
        return [asked] if asked else []

    def _size_of(self, record: ReadingRecord) -> tuple[str, str, str]:
        entry = self.state.samples.get(record.sample)
        return record.what, record.balance.name, entry.text("part") if entry else ""

    # --- the line before ---------------------------------------------------------------------

    def _against_line(self, new: ReadingRecord) -> Iterator[Question]:
        old = self._before
        if (
            old is not None
            and new.what not in PORTIONS
            and (old.what, old.reading.text) == (new.what, new.reading.text)
            and digits_of(new.entry) >= LEAST_DIGITS
            and not self._alike(new.sample, old.sample)
            and self._chance_of_equal(new) < RARE
        ):
            yield self._say.look(new, "same", "same_as_before", held_by(self._say.named(old), old))

    def _alike(self, one: str, other: str) -> bool:
        """Whether equal readings are no wonder: duplicates, or two of a role that is made alike."""
        a, b = self.state.samples.get(one), self.state.samples.get(other)
        if a is None or b is None:
            return True
        role = a.text("role")
        same_role = role == b.text("role") and role in ALIKE_BY_NATURE
        return _family(a) == _family(b) or same_role

    def _chance_of_equal(self, new: ReadingRecord) -> float:
        """Chance that the next honest reading is this one: its last place over 2√π of the spread.

        That is the chance for two draws of a normal distribution; the spread is taken from the
        middle half of the lines before.
        """
        lines = sorted(self._lines.get(new.what, [])[-MOST_LINES:])
        if len(lines) < FEW_LINES:
            # nothing to judge by yet; beads of like silver are alike
            return 1.0 if self._silver(new.sample) not in ("", "none") else 0.0
        quarter = len(lines) // 4
        spread = (lines[-1 - quarter] - lines[quarter]) / 1.35
        place = float(new.reading.last_place_mg or 0)
        return place / (2 * math.sqrt(math.pi) * spread) if spread > 0 else 1.0

    def _charge_g(self, sample: str) -> float | None:
        record = self._last.get((sample, "charge"))
        return float(record.reading.mg) / _PER_GRAM if record and record.reading.mg > 0 else None

    def _silver(self, sample: str) -> str:
        entry = self.state.samples.get(sample)
        return entry.text("silver") if entry else ""

    def _record(self, new: Candidate) -> ReadingRecord:
        entry = Effective(_entry(new), dict(new._asdict()))
        balance = self.state.balances[new.balance]
        return ReadingRecord(reading_of(entry), new.what, new.sample, balance, 0, entry)


def questions(state: State, new: Candidate) -> list[Question]:
    """What to ask about the next reading of a log; see `Tray.questions`."""
    return Tray(state).questions(new)


def questions_of(state: State) -> list[tuple[int, Question]]:
    """What would have been asked about the readings of a log as they came, by entry number."""
    tray = Tray(state, ())
    found: list[tuple[int, Question]] = []
    for record in state.readings:
        found += [(record.entry.n, asked) for asked in tray.about(record)]
        tray.add(record)
    return found


def rows(
    values: Mapping[str, object], asked: Sequence[Question], seen: str
) -> list[tuple[str, Mapping[str, object]]]:
    """The entries that come of an answer: what was typed and asked, and the reading as confirmed.

    Args:
        values: keys of the reading as it was typed first.
        asked: the questions; none gives the reading alone.
        seen: what was typed then.
    """
    reading = ("reading", {**values, "text": seen})
    if not asked:
        return [reading]
    answer = {
        "typed": values["text"],
        "question": " ".join(dict.fromkeys(question.code for question in asked)),
        "confirmed": seen,
        **{key: values[key] for key in ("unit", "sample", "what") if key in values},
    }
    return [("asked", answer), reading]


def _family(sample: Effective) -> tuple[str, str]:
    """What duplicates share: the sample they are of, and the part of it."""
    return sample.text("of") or sample.text("id"), sample.text("part")


def _share(record: ReadingRecord) -> float:
    """Standard uncertainty of one reading from spread and rounding, as a share of it."""
    return u0(record.balance, 1, 1) / abs(float(record.reading.mg))


def _apart_mg(balance: Balance) -> float:
    """How far two readings of one object may lie apart without a question, mg."""
    least = LEAST_STEPS * balance.step_mg if balance.spread_mg is None else 0.0
    return max(FAR * usual_range_mg(balance, 2), least)


def _far_above(upper: ReadingRecord, lower: ReadingRecord) -> bool:
    u = math.hypot(u0(upper.balance, 1, 1), u0(lower.balance, 1, 1))
    return float(upper.reading.mg - lower.reading.mg) > CONTRADICTED * u


def _entry(new: Candidate) -> Entry:
    return Entry(0, datetime.min.replace(tzinfo=UTC), "", "reading", new._asdict())
