"""How a suspected slip is put into words: the reading, what it is held against, what to do.

A sample is called by its place in the muffle where it has one, else by its id.
"""

import math
from fractions import Fraction
from typing import NamedTuple

from assaybench.messages import say
from assaybench.record.entries import Effective
from assaybench.record.replay import ReadingRecord, State
from assaybench.units import write

SLACK = math.log10(1.5)
"""A power of ten counts from two thirds to three halves of itself; a choice."""
POWERS = (3, 2, 1, -1, -2, -3)
_ABOUT = 0.002
"""From half a per cent off, a power of ten is only about one; a choice."""


class Question(NamedTuple):
    """One thing that is asked.

    Attributes:
        code: what kind of slip is suspected; it stands in the `asked` entry.
        sample: the sample that the reading is held against, empty for none.
        entry: the entry that it is held against, 0 for none.
        old: the value there, with its unit.
        sentence: two lines: what is seen, and what to do.
        grades: both grades in words, where both charges are known.
    """

    code: str
    sample: str
    entry: int
    old: str
    sentence: str
    grades: str = ""

    @property
    def seen(self) -> str:
        """What is seen, on one line, without what to do."""
        return " ".join(part for part in (self.sentence.split("\n")[0], self.grades) if part)

    @property
    def lines(self) -> tuple[str, ...]:
        """All lines, what to do last."""
        first, then = self.sentence.split("\n")
        return tuple(line for line in (first, self.grades, then) if line)


class Held(NamedTuple):
    """What a reading is held against: how it is called, its value, where it stands."""

    ref: str
    old: str
    sample: str = ""
    entry: int = 0
    mg: Fraction = Fraction(0)


class Words:
    """Makes the questions of a log."""

    def __init__(self, state: State) -> None:
        self.state = state

    def power(
        self, new: ReadingRecord, held: Held, ratio: float | None = None, old: str = ""
    ) -> Question | None:
        """A question when the reading is 10, 100 or 1000 times what it is held against, or a part.

        Args:
            new: the reading.
            held: what it is held against.
            ratio: decimal logarithm of their ratio; left out, that of the masses.
            old: what to show of it; left out, the mass.
        """
        if ratio is None:
            if new.reading.mg <= 0 or held.mg <= 0:
                return None
            ratio = math.log10(new.reading.mg / held.mg)
        power = next((k for k in POWERS if abs(ratio - k) <= SLACK), None)
        if power is None:
            return None
        tens = 10 ** abs(power)
        what = say("slip_times" if power > 0 else "slip_part", x=tens)
        if abs(ratio - power) > _ABOUT:
            what = say("slip_about", x=what)
        code = f"times_{tens}" if power > 0 else f"part_{tens}"
        return self._asked(new, what, code, held._replace(old=old or held.old))

    def digits(self, new: ReadingRecord, held: Held, ref: str) -> Question | None:
        """A question when two neighbouring digits of what it is held against were changed over."""
        if not changed_over(text_of(new), held.old):
            return None
        fields = {"pos": self.named(new), "new": text_of(new), "ref": ref, "old": held.old}
        sentence = say("please_look_again_digits", **fields)
        return Question("digits_changed_over", held.sample, held.entry, held.old, sentence)

    def step(self, new: ReadingRecord) -> Question:
        """The question about a last digit that the balance cannot show."""
        d = f"{write.short(new.balance.step_mg)} mg"
        sentence = say("please_look_again_step", pos=self.named(new), new=text_of(new), d=d)
        return Question("digit_not_shown", "", 0, d, sentence)

    def divisions(self, new: ReadingRecord, most: int) -> Question:
        """The question about more divisions than a balance shows."""
        d = f"{write.short(new.balance.step_mg)} mg"
        fields = {"pos": self.named(new), "new": text_of(new), "d": d, "most": most // 10**6}
        sentence = say("please_look_again_divisions", **fields)
        return Question("divisions_too_many", "", 0, d, sentence)

    def look(self, new: ReadingRecord, what: str, code: str, held: Held) -> Question:
        """A question in the words `slip_WHAT`."""
        return self._asked(new, say(f"slip_{what}"), code, held)

    def _asked(self, new: ReadingRecord, what: str, code: str, held: Held) -> Question:
        fields = {"pos": self.named(new), "new": text_of(new), "ref": held.ref, "old": held.old}
        sentence = say("please_look_again", what=what, **fields)
        return Question(code, held.sample, held.entry, held.old, sentence)

    def shown_by(self, old: ReadingRecord, by: tuple[float, float]) -> str:
        """The grade to show of a duplicate when the charges are not alike, else empty."""
        if abs(math.log(by[0] / by[1])) < 0.05:
            return ""
        return f"{write.significant(float(old.reading.mg) * 1000 / by[1], 3)} g/t"

    def grades(self, new: ReadingRecord, old: ReadingRecord, by: tuple[float, float]) -> str:
        """The line with both grades; `by` holds both charges, g."""
        grades = (float(r.reading.mg) * 1000 / g for r, g in zip((new, old), by, strict=True))
        here, there = (write.significant(grade, 3) for grade in grades)
        ref = self.duplicate(old.sample)
        return say("slip_grades", pos=self.named(new), new=here, old=there, ref=ref)

    def duplicate(self, sample: str) -> str:
        """How a duplicate is called."""
        return say("slip_duplicate", x=self.place(sample))

    def named(self, record: ReadingRecord) -> str:
        """What a reading is called: its sample, or what it is of."""
        return self.place(record.sample) if record.sample else record.what

    def place(self, sample: str) -> str:
        """Where a sample stands in the muffle, or in its cup; else its id."""
        places = [e for e in self.state.of("position") if e.text("sample") == sample]
        muffle = [e for e in places if e.text("plan") != "cups"]
        return (muffle or places)[-1].text("place") if places else sample


def held_by(ref: str, old: ReadingRecord) -> Held:
    """A reading as something to hold another against."""
    return Held(ref, text_of(old), old.sample, old.entry.n, old.reading.mg)


def text_of(record: ReadingRecord) -> str:
    """A reading as displayed, with its unit."""
    return record.reading.text


def digits_of(entry: Effective) -> int:
    """How many digits a reading has from its first one that is not 0."""
    digits = [sign for sign in entry.text("text") if sign.isdigit()]
    return len("".join(digits).lstrip("0"))


def changed_over(new: str, old: str) -> bool:
    """Whether one text becomes the other by changing two neighbouring digits over."""
    a, b = new.replace(",", "."), old.replace(",", ".")
    apart = [i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y]
    if len(a) != len(b) or len(apart) != 2 or "." in (a[apart[0]], a[apart[1]]):
        return False
    first, second = apart
    near = second - first == 1 or (second - first == 2 and a[first + 1] == ".")
    return near and (a[first], a[second]) == (b[second], b[first])
