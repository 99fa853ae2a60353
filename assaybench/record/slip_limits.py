"""Readings that nothing explains: beyond what a balance shows, and of beads what is in them.

Choices (no rule of the trade says how much is too much): the finest balances show some 50 million
divisions, so twice that is asked about; a blank leaves its silver and next to nothing, so twice its
silver is asked about, and three times the heaviest bead of the run where its silver is not known.
"""

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from assaybench.messages import say
from assaybench.record.entries import Effective
from assaybench.record.kinds import SILVER_WORDS
from assaybench.record.replay import ReadingRecord
from assaybench.record.slip_words import Held, Question, Words, held_by
from assaybench.units import parse, table
from assaybench.units.table import MILLIGRAM

MOST_DIVISIONS = 10**8
MUCH_SILVER, MUCH_METAL = 2, 3


def beyond_balance(words: Words, new: ReadingRecord) -> Iterator[Question]:
    """A reading of more divisions than any balance shows."""
    if abs(float(new.reading.mg)) > MOST_DIVISIONS * new.balance.step_mg:
        yield words.divisions(new, MOST_DIVISIONS)


def beyond_blank(
    words: Words,
    new: ReadingRecord,
    samples: Mapping[str, Effective],
    last: Iterable[ReadingRecord],
) -> Iterator[Question]:
    """A bead heavier than its lead, or of a blank far heavier than what can be in it.

    Args:
        words: of the log.
        new: the reading.
        samples: of the log.
        last: the last reading of every object.
    """
    entry = samples.get(new.sample)
    if new.what != "bead" or entry is None:
        return
    lead, silver = (Fraction(typed_mg(entry.text(key))) for key in ("lead", "silver"))
    if lead and new.reading.mg > lead:
        held = Held(say("slip_lead"), entry.text("lead"), new.sample, mg=lead)
        yield words.look(new, "heavier", "bead_above_lead", held)
    elif entry.text("role") == "blank" and silver:
        if new.reading.mg > MUCH_SILVER * silver:
            held = Held(say("slip_silver"), entry.text("silver"), new.sample, mg=silver)
            yield words.look(new, "heavier", "bead_above_silver", held)
    elif entry.text("role") == "blank":
        yield from _beyond_others(words, new, list(last))


def _beyond_others(
    words: Words, new: ReadingRecord, last: list[ReadingRecord]
) -> Iterator[Question]:
    """A blank of unknown silver, against the beads of the run, or its charges before those."""
    beads = [r for r in last if r.what == "bead" and r.sample != new.sample and r.reading.mg > 0]
    charges = [r for r in last if r.what == "charge" and r.reading.mg > 0]
    if beads:
        old, times = max(beads, key=lambda record: record.reading.mg), MUCH_METAL
        ref = words.named(old)
    elif charges:
        old, times = min(charges, key=lambda record: record.reading.mg), 1
        ref = say("slip_charge_of", x=words.named(old))
    else:
        return
    if new.reading.mg > times * old.reading.mg:
        yield words.look(new, "heavier", "blank_above_others", held_by(ref, old))


def known_mg(sample: Effective, what: str, charge_g: float | None) -> float:
    """What the entry of a sample says of its gold or bead, mg; 0 when it says nothing."""
    if what == "bead":
        keys = ("silver_known", "gold_known") if sample.text("silver_known") else ("silver",)
        return sum(typed_mg(sample.text(key)) for key in keys)
    if what == "gold" and sample.text("role") == "proof":
        return typed_mg(sample.text("gold_known"))
    value = sample.text("value")
    if what == "gold" and sample.text("role") == "reference" and value and charge_g:
        grade = parse.figure(value, table.FRACTION).exact(table.GRAM_PER_TONNE)
        return float(grade) * charge_g / 1000
    return 0.0


def typed_mg(text: str) -> float:
    """A mass that was typed, mg; 0 for none and for a word."""
    if text in ("", *SILVER_WORDS):
        return 0.0
    return float(parse.figure(text, table.MASS).exact(MILLIGRAM))
