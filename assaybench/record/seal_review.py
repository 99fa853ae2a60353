"""What a person is shown before a log is sealed, and what keeps it from being sealed.

A seal says: this is all of it. So the review counts every determination, used or not, and names
what was changed, left out, lost or never finished. A check that says stop holds the log until a
note of a person releases it, or the log is made void.
"""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.messages import say
from assaybench.record.checks import checks
from assaybench.record.entries import Effective
from assaybench.record.replay import State
from assaybench.record.results import Results, SampleResult
from assaybench.record.suspect import suspects


class Counted(NamedTuple):
    """Determinations of one sample: how many are used, of how many, and its grade as printed.

    Of a sample with determinations corrected for cupel loss and others that are not, each sort.
    """

    id: str
    used: int
    every: int
    text: str


class Hold(NamedTuple):
    """A check that says stop.

    Attributes:
        id: the sample it is about.
        text: what was found.
        released: the note that releases it, empty while it holds.
        release: the command that stores such a note.
    """

    id: str
    text: str
    released: str
    release: str = ""


class Review(NamedTuple):
    """What would be signed.

    Attributes:
        counted: n of N of every sample, in order.
        amended, withdrawn: the entries that were, as they count now.
        left_out: sample and reason.
        lost: sample and reason.
        missing: samples without a result.
        beads: of those, the samples whose bead was weighed and no gold follows.
        apart: samples with readings that disagree, and how.
        suspect: what each balance check that was not good makes suspect.
        torn: files of unfinished entries that were moved aside.
        holds: checks that say stop.
        open: why the log cannot be sealed now, one line each.
    """

    counted: tuple[Counted, ...]
    amended: tuple[Effective, ...]
    withdrawn: tuple[Effective, ...]
    left_out: tuple[tuple[str, str], ...]
    lost: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    beads: tuple[str, ...]
    apart: tuple[tuple[str, str], ...]
    suspect: tuple[str, ...]
    torn: tuple[str, ...]
    holds: tuple[Hold, ...]

    @property
    def open(self) -> tuple[str, ...]:
        """Why the log cannot be sealed now, one line each; empty when it can."""
        return tuple(
            say("seal_held", id=hold.id, why=" ".join(hold.text.split()), how=hold.release)
            for hold in self.holds
            if not hold.released
        )


def review(state: State, found: Results) -> Review:
    """The review of a log.

    Args:
        state: after all its entries; of a log that replaces another, the joined ones.
        found: its results.
    """
    samples = [s for s in found.samples if s.role not in {"blank", "proof"} and not s.part]
    entries = state.entries
    return Review(
        counted=tuple(_counted(found, samples)),
        amended=tuple(e for e in entries if e.corrections),
        withdrawn=tuple(e for e in entries if e.withdrawn is not None),
        left_out=tuple(state.left_out.items()),
        lost=tuple((s.id, s.lost) for s in found.samples if s.lost),
        missing=tuple(s.id for s in found.samples if _missing(s)),
        beads=tuple(s.id for s in found.samples if _missing(s) and "dore" in s.figures),
        apart=tuple(
            (s.id, f.text) for s in found.samples for f in s.flags if f.code == "readings_disagree"
        ),
        suspect=tuple(one.flag.text for one in suspects(state)),
        torn=tuple(e.text("file") for e in state.of("recovered")),
        holds=tuple(_holds(state, found)),
    )


def _counted(found: Results, samples: Sequence[SampleResult]) -> list[Counted]:
    """n of N by sample: every charge that was made of it counts, also the lost and left out."""
    families: dict[str, list[SampleResult]] = {}
    for sample in samples:
        families.setdefault(sample.of or sample.id, []).append(sample)
    counted = []
    for name, members in families.items():
        used = [m for m in members if not m.lost and not m.left_out and _grade(m)]
        means = [grade for grade in found.grades if grade.id == name]
        for grade in means:
            own = sum(m.sort == grade.sort for m in used)
            label = f"{name}, {grade.words}" if grade.mixed else name
            counted.append(Counted(label, own, len(members), grade.figure.text))
        if not means:
            text = next((_grade(m) for m in used), "")
            counted.append(Counted(name, len(used), len(members), text))
    return counted


def _grade(sample: SampleResult) -> str:
    """The grade as printed; empty where it is not determinable."""
    figure = sample.figures.get("grade_gold")
    return figure.text if figure is not None and figure.value is not None else ""


def _missing(sample: SampleResult) -> bool:
    """Whether something was weighed in for a sample and nothing came of it, without a reason."""
    if sample.lost or sample.left_out:
        return False
    # of a blank or a proof a bead may be all that is asked for
    bead_is_enough = sample.role in {"blank", "proof"} and "dore" in sample.figures
    return "gold" not in sample.figures and not bead_is_enough


def _holds(state: State, found: Results) -> list[Hold]:
    notes = [note for note in state.of("note") if note.values.get("releases") is True]
    holds = []
    for check in checks(found):
        if check.state == "stop":
            # a note without a sample speaks of the whole run
            said = (n.text("text") for n in notes if n.text("sample") in ("", check.id))
            release = _release(state, check.id)
            holds.append(Hold(check.id, check.text, next(said, ""), release))
    return holds


def _release(state: State, name: str) -> str:
    """The command that stores the note which releases a hold: of one sample, or of the run."""
    opened = state.opened
    log = f"{opened.text('bench')}-{opened.whole('number')}" if opened is not None else "NUMBER"
    about = f"sample={name}"
    of = f" {about if ' ' not in name else repr(about)}" if name in state.samples else ""
    return f"enter {log} note{of} releases=yes text='why it may be sealed'"
