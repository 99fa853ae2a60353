"""The self-test sums up what the cases say, and tells what does not agree instead of stopping."""

from dataclasses import replace

import pytest

from assaybench.published import run
from assaybench.published.run import Case
from assaybench.published.selftest import by_subject, check_all, difference, summed_up

CASES = {case.id: case for case in run.load_cases()}
PLAIN = CASES["binomial-nist"]
ZERO = CASES["garwood-0-3-20"]


def off(case: Case, share: float) -> Case:
    """The case with its first answer moved by a share."""
    first, *rest = case.answers
    assert first.unrounded is not None
    return replace(case, answers=(replace(first, unrounded=first.unrounded * (1 + share)), *rest))


def test_every_case_is_in_one_subject_and_agrees() -> None:
    checked = check_all()
    rows = by_subject(checked)
    assert sum(row.cases for row in rows) == len(CASES)
    assert sum(row.answers for row in rows) == sum(len(c.answers) for c in CASES.values())
    assert [row.agree for row in rows] == [row.cases for row in rows]
    every = summed_up("all", checked)
    assert every.sources == len(run.independent_sources(CASES.values()))
    assert every.seen == sum(case.evidence == "seen" for case in CASES.values())
    assert every.worst == max(row.worst for row in rows if row.worst is not None)
    assert every.worst < 1e-9


def test_subjects_are_the_files_of_the_cases() -> None:
    assert {"assay", "balances", "gum", "sieves"} <= {row.name for row in by_subject(check_all())}


def test_an_answer_that_is_off_shows_with_its_relative_difference() -> None:
    (one,) = check_all([off(PLAIN, 1e-3)])
    assert not one.agrees
    assert difference(one.outcomes[0]) == pytest.approx(1e-3, rel=2e-3)
    row = summed_up("x", [one])
    assert (row.cases, row.agree) == (1, 0)
    assert row.worst == pytest.approx(1e-3, rel=2e-3)


def test_a_case_that_cannot_be_worked_out_is_a_finding() -> None:
    broken = replace(PLAIN, inputs={**PLAIN.inputs, "unheard of": 1})
    one, other = check_all([broken, PLAIN])
    assert (one.agrees, other.agrees) == (False, True)
    assert one.fault.startswith("TypeError: ")
    row = summed_up("x", [one, other])
    assert (row.cases, row.agree, row.answers) == (2, 1, 2 * len(PLAIN.answers))


def test_of_an_answer_zero_the_difference_itself_counts() -> None:
    (one,) = check_all([ZERO])
    zero = [o for o in one.outcomes if o.answer.unrounded == 0]
    assert [difference(o) for o in zero] == [0.0]


def test_texts_have_no_difference() -> None:
    texts = [o for one in check_all() for o in one.outcomes if isinstance(o.found, str)]
    assert texts
    assert {difference(o) for o in texts} == {None}
    assert summed_up("none", []).worst is None
