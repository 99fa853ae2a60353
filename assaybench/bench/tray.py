"""The tray: a plan of the muffle, who lives where, and what each place still waits for.

All of it is worked out from the state of the log and the size of the plan, so a restart finds the
same place again.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

from assaybench.bench import in_parts
from assaybench.bench.place_words import prefix_of, word_of
from assaybench.bench.plan import Plan, place_of, plan_of
from assaybench.logbook.settings_fields import Tray
from assaybench.messages import say
from assaybench.record.due import WITHOUT_CHARGE
from assaybench.record.entries import Effective, Entry
from assaybench.record.replay import State, replay
from assaybench.units import parse, write

Step = Literal["weigh-in", "charge", "fire", "beads", "parting", "results", "seal"]
STEPS: tuple[Step, ...] = ("weigh-in", "charge", "fire", "beads", "parting", "results", "seal")
WEIGHS: dict[Step, str] = {"weigh-in": "charge", "beads": "bead", "parting": "gold"}
"""What a step weighs."""
ENDS = ("out", "frozen", "lost")
"""Marks after which a cupel is not looked at any more."""
MOST_TEXT = 6


# --- the state of a place at a step --------------------------------------------------------------

Status = Literal["done", "to do", "begun", "lost", "none"]


class Cell(NamedTuple):
    """A sample at one step.

    Attributes:
        status: done; to do; begun, for a cupel in the fire; lost; none, when the step has nothing
            to do with it.
        text: the upper line of its place.
    """

    status: Status
    text: str


class Thing(NamedTuple):
    """One thing that a step puts on the pan: of which sample, and what of it."""

    sample: str
    what: str


class Marks(NamedTuple):
    """The moments of one cupel, as they were marked; the last mark of a kind counts."""

    at: dict[str, Entry]

    def minutes(self, mark: str) -> int | None:
        """Whole minutes from `in` to a mark; None when one of them is missing."""
        first, then = self.at.get("in"), self.at.get(mark)
        if first is None or then is None:
            return None
        return int((then.at - first.at).total_seconds() // 60)

    @property
    def last(self) -> str:
        """The mark that was made last; a frozen cupel that was saved goes on with another."""
        return max(self.at, key=lambda mark: self.at[mark].n)

    @property
    def ended(self) -> bool:
        """Whether it is out of the fire, frozen or lost."""
        return self.last in ENDS


def marks_of(state: State) -> dict[str, Marks]:
    """The marks of every cupel that has any."""
    found: dict[str, Marks] = {}
    for entry in state.of("furnace_mark"):
        marks = found.setdefault(entry.text("sample"), Marks({}))
        marks.at[entry.text("mark")] = entry.entry
    return found


class Board:
    """The tray at one state of the log: plans, and the cell of every sample at every step.

    Attributes:
        state: of the log.
        sizes: of the muffle and of the cups, as the settings have them.
        muffle, cups: the two plans.
        prefix: what all sample ids begin with.
        marks: of every cupel.
    """

    def __init__(self, state: State, muffle: Tray, cups: Tray) -> None:
        self.state = state
        self.sizes = muffle, cups
        self.muffle = plan_of(state, muffle)
        self.cups = plan_of(state, cups, "cups")
        self.prefix = prefix_of(state)
        self.marks = marks_of(state)
        self._wholes = in_parts.wholes(state)
        self._read: dict[tuple[str, str], list[Effective]] = {}
        for record in state.readings:
            self._read.setdefault((record.sample, record.what), []).append(record.entry)

    def plan(self, step: Step) -> Plan:
        """The plan that a step is drawn on: the cups at the parting, else the muffle."""
        return self.cups if step == "parting" else self.muffle

    def word(self, step: Step, sample: str, most: int = MOST_TEXT) -> str:
        """The lower line of the place of a sample; of an id its last signs, so many at most."""
        return word_of(self.state, self.plan(step), sample, self.prefix, most)

    def readings(self, sample: str, what: str) -> list[Effective]:
        """Entries of the readings of a thing, in order."""
        return self._read.get((sample, what), [])

    def lost(self, sample: str) -> str:
        """Why a sample was lost; empty when it was not."""
        return self.state.samples[sample].text("lost")

    def cell(self, step: Step, sample: str) -> Cell:
        """A sample at a step."""
        if step == "weigh-in" and self.no_charge(sample):
            return Cell("none", say("bench_no_charge"))
        done = self._done(step, sample)
        if done is not None and done.status == "done":
            if any(map(self.waits, self._of_whole(step, sample))):
                return Cell("to do", done.text)
            return done
        if self.lost(sample):
            return Cell("lost", say("bench_lost"))
        return done or Cell("to do", ".")

    def _done(self, step: Step, sample: str) -> Cell | None:
        if step in WEIGHS:
            read = self.readings(sample, WEIGHS[step])
            return Cell("done", shown_mean(read)) if read else None
        if step == "charge":
            silver = self.state.samples[sample].text("silver")
            return Cell("done", fitted(silver.split(" ")[0])) if silver else None
        if step == "fire":
            return self._fire(sample)
        return Cell("none", "")

    # --- what is put on the pan, one after another ------------------------------------------------

    def no_charge(self, sample: str) -> bool:
        """Whether nothing is weighed in for a sample: a blank, a proof, slag or a cupel."""
        role = self.state.samples[sample].text("role")
        return role in WITHOUT_CHARGE or in_parts.treated_again(self.state, sample)

    def things(self, step: Step) -> list[Thing]:
        """All that a step weighs, in order: the masses of a whole come with its first part."""
        found = []
        for sample in self.plan(step).samples():
            if self.cell(step, sample).status != "none":
                found += [*self._of_whole(step, sample), Thing(sample, WEIGHS[step])]
        return found

    def waits(self, thing: Thing) -> bool:
        """Whether a thing is still to be weighed."""
        if self.readings(*thing) or self.lost(thing.sample):
            return False
        instead = in_parts.MAY_BE_LEFT.get(thing.what)
        of = self._wholes.get(thing.sample, ())
        return not any(self.readings(one, instead) for one in (thing.sample, *of) if instead)

    def first_thing(self, step: Step, sample: str) -> Thing:
        """What goes on the pan first when the balance is asked for with a sample."""
        own = Thing(sample, WEIGHS[step])
        return next(filter(self.waits, self._of_whole(step, sample)), own)

    def next_thing(self, step: Step, after: Thing) -> Thing | None:
        """The next thing that waits, looking on from one and then from the start; None for none."""
        things = self.things(step)
        at = things.index(after) + 1 if after in things else 0
        rest = (*things[at:], *things[:at])
        return next((thing for thing in rest if thing != after and self.waits(thing)), None)

    def first_part(self, whole: str) -> str:
        """The part of a whole that comes first in the muffle; empty for a sample without parts."""
        parts = [s for s in self._wholes.get(whole, ()) if s in self.muffle.of and not self.lost(s)]
        return min(parts, key=lambda s: self.muffle.of[s], default="")

    def _of_whole(self, step: Step, sample: str) -> list[Thing]:
        """The masses of the whole that are weighed in with its first part, if this is that part."""
        of = self.state.samples[sample].text("of")
        if step != "weigh-in" or sample != self.first_part(of):
            return []
        return [Thing(of, what) for what in in_parts.masses_of(self.state, self._wholes[of])]

    def _fire(self, sample: str) -> Cell | None:
        marks = self.marks.get(sample)
        if marks is None or self.lost(sample):
            return None
        if marks.ended or marks.last == "blick":
            return Cell("done" if marks.ended else "begun", marks.last)
        opened = marks.minutes("drives")
        return Cell("begun", "in" if opened is None else str(opened))

    def due(self, step: Step) -> list[str]:
        """Samples that the step still waits for, in the order of its plan."""
        waits = ("to do", "begun")
        return [s for s in self.plan(step).samples() if self.cell(step, s).status in waits]

    def next_due(self, step: Step, after: str = "") -> str | None:
        """The next sample that waits, looking on from a place and then from the start."""
        due = self.due(step)
        plan = self.plan(step)
        if after in plan.of:
            later = [s for s in due if plan.of[s] > plan.of[after]]
            due = [*later, *(s for s in due if s not in later)]
        return next((s for s in due if s != after), due[0] if due else None)

    def counts(self, step: Step) -> str:
        """`11 weighed, 1 lost, 12 to weigh.`, in the words of the step."""
        cells = [self.cell(step, sample) for sample in self.plan(step).samples()]
        number = {s: sum(c.status == s for c in cells) for s in ("done", "begun", "to do", "lost")}
        code = _COUNTS.get(step)
        if code is None or not cells:
            return ""
        frozen = sum(cell.status == "done" and cell.text == "frozen" for cell in cells)
        said = [say(f"{code}_done", n=number["done"] - frozen)]
        if frozen:
            said.append(say("bench_count_frozen", n=frozen))
        if number["lost"]:
            said.append(say("bench_count_lost", n=number["lost"]))
        if number["begun"]:
            said.append(say("bench_count_fire", n=number["begun"]))
        said.append(say(f"{code}_left", n=number["to do"]))
        return ", ".join(said) + "."

    def find(self, step: Step, typed: str) -> str | None:
        """The sample that is meant by a typed or scanned id, its end, or a place; else None."""
        plan, text = self.plan(step), typed.strip()
        if text in plan.of:
            return text
        place = place_of(text)
        if place is not None and place in plan.at:
            return plan.at[place]
        folded = text.casefold()
        for ends in (
            [s for s in plan.of if s.casefold() == folded],
            [s for s in plan.of if folded and s.casefold().endswith(folded)],
        ):
            if len(ends) == 1:
                return ends[0]
        return None


_COUNTS: dict[Step, str] = {
    "weigh-in": "bench_count_weigh",
    "charge": "bench_count_charge",
    "fire": "bench_count_out",
    "beads": "bench_count_weigh",
    "parting": "bench_count_weigh",
}


def shown_mean(read: Sequence[Effective]) -> str:
    """One reading as displayed, or the mean of several to their last place, fit for a place.

    Weighed again on another balance, a thing counts as weighed there.
    """
    balance = read[-1].text("balance")
    texts = [entry.text("text") for entry in read if entry.text("balance") == balance]
    if len(texts) == 1:
        return fitted(texts[0])
    numbers = [parse.number(parse.clean(text)) for text in texts]
    places = max(max(-int(number.as_tuple().exponent), 0) for number in numbers)
    mean = write.at_place(sum(numbers) / len(numbers), -places)
    return fitted(mean.replace(".", ",") if "," in texts[-1] else mean)


def fitted(text: str, most: int = MOST_TEXT) -> str:
    """A text that fits its place; a figure loses decimals, never a digit before the mark.

    Args:
        text: a figure as displayed, or a word.
        most: signs there is room for.
    """
    if len(text) <= most:
        return text
    if not any(sign.isdigit() for sign in text):
        return text[:most]
    whole = text.replace(",", ".").partition(".")[0]
    if len(whole) > most:
        return say("tray_long")
    room = max(most - len(whole) - 1, 0)
    shown = write.at_place(parse.number(parse.clean(text)), -room)
    return shown.replace(".", ",") if "," in text else shown


# --- where the work was left ---------------------------------------------------------------------


class Left(NamedTuple):
    """Where the work was left: the step, the sample that is next, and both in a few words."""

    step: Step
    sample: str
    text: str


def where(state: State, muffle: Tray, cups: Tray) -> Left:
    """The step that was worked on last, or the next one that waits for something."""
    board = Board(state, muffle, cups)
    begin = STEPS.index(_last_step(state))
    for step in STEPS[begin : STEPS.index("results")]:
        due = board.next_due(step, _last_sample(state, step))
        if due is not None:
            return Left(step, due, say(f"bench_left_{step.replace('-', '_')}",
                                       place=board.plan(step).named(due)))  # fmt: skip
    if not state.samples:
        return Left("weigh-in", "", say("bench_left_empty"))
    return Left("results", "", say("bench_left_results"))


def where_left(entries: Iterable[Entry], muffle: Tray, cups: Tray) -> str:
    """Where a furnace run was left, in a few words for the contents page: `cupel B6`."""
    return where(replay(entries), muffle, cups).text


def _last_step(state: State) -> Step:
    """The step that the last entry of work belongs to."""
    return next((found[0] for found in _work(state)), "weigh-in")


def _last_sample(state: State, step: Step) -> str:
    """The sample that the step was last done with."""
    return next((sample for done, sample in _work(state) if done == step), "")


def _work(state: State) -> Iterator[tuple[Step, str]]:
    """Step and sample of the entries of work, the last one first."""
    made = {entry.n: entry for entry in state.entries}
    for entry in reversed(state.entries):
        step = _step_of(entry)
        if step is None or entry.withdrawn is not None:
            continue
        if entry.kind == "amendment":
            target = made.get(entry.whole("entry") or 0)
            yield step, target.text("id") if target else ""
        else:
            yield step, entry.text("sample") or entry.text("id")


def _step_of(entry: Effective) -> Step | None:
    match entry.kind:
        case "reading":
            if entry.text("what") in in_parts.OF_WHOLE:
                return "weigh-in"
            return next((s for s, what in WEIGHS.items() if entry.text("what") == what), None)
        case "amendment" if entry.text("silver"):
            return "charge"
        case "sample":
            return "weigh-in"
        case "furnace_mark":
            return "fire"
        case "parting":
            return "parting"
    return None
