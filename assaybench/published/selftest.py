"""The self-test: the published cases worked out on this machine, summed up by subject."""

from collections.abc import Iterable
from typing import NamedTuple

from assaybench.published.run import Case, Outcome, independent_sources, load_cases, run_case


class Checked(NamedTuple):
    """One case that was put to the program.

    Attributes:
        case: the case.
        outcomes: what was found for each of its answers; none where it could not be worked out.
        fault: why it could not be, empty when it could.
    """

    case: Case
    outcomes: tuple[Outcome, ...]
    fault: str = ""

    @property
    def agrees(self) -> bool:
        """Whether every answer agrees with its source."""
        return not self.fault and all(outcome.agrees for outcome in self.outcomes)


class Subject(NamedTuple):
    """The cases of one subject, summed up.

    Attributes:
        name: the subject.
        cases: how many there are.
        seen: of these, how many have answers that were seen in a copy of their source.
        sources: how many independent sources they have.
        answers: how many answers they have.
        agree: how many cases agree with their source.
        worst: the largest relative difference from an unrounded answer; of an answer 0 the
            difference itself; None where there is no figure.
    """

    name: str
    cases: int
    seen: int
    sources: int
    answers: int
    agree: int
    worst: float | None


def check_all(cases: Iterable[Case] | None = None) -> tuple[Checked, ...]:
    """Put every published case to the program; a fault of the program is a finding, not an end.

    Args:
        cases: these cases instead of all.
    """
    return tuple(_checked(case) for case in (load_cases() if cases is None else cases))


def _checked(case: Case) -> Checked:
    try:
        return Checked(case, run_case(case))
    except Exception as fault:  # noqa: BLE001  a self-test tells whatever is wrong with a library
        return Checked(case, (), f"{type(fault).__name__}: {fault}")


def difference(outcome: Outcome) -> float | None:
    """How far a figure lies from the unrounded answer, relative to it; None for a text.

    Of an answer 0 it is the difference itself.
    """
    wanted, found = outcome.answer.unrounded, outcome.found
    if wanted is None or isinstance(found, str):
        return None
    return abs(found - wanted) / (abs(wanted) or 1.0)


def summed_up(name: str, checked: Iterable[Checked]) -> Subject:
    """These cases in one line."""
    every = [*checked]
    found = (difference(outcome) for one in every for outcome in one.outcomes)
    return Subject(
        name=name,
        cases=len(every),
        seen=sum(one.case.evidence == "seen" for one in every),
        sources=len(independent_sources(one.case for one in every)),
        answers=sum(len(one.case.answers) for one in every),
        agree=sum(one.agrees for one in every),
        worst=max((d for d in found if d is not None), default=None),
    )


def by_subject(checked: Iterable[Checked]) -> list[Subject]:
    """The subjects in the order of their cases."""
    groups: dict[str, list[Checked]] = {}
    for one in checked:
        groups.setdefault(one.case.subject, []).append(one)
    return [summed_up(name, group) for name, group in groups.items()]
