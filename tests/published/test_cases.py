"""Every published case agrees with its source, and stops agreeing when an input moves by 1 %."""

import copy
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest

from assaybench.published import run
from assaybench.published.models import MODELS
from assaybench.published.run import Case

CASES = run.load_cases()
Place = tuple[str, int | None]


def name_of(case: Case) -> str:
    return case.id


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_case_agrees_with_its_source(case: Case) -> None:
    for outcome in run.run_case(case):
        said = f"{outcome.answer.name}: found {outcome.found}"
        assert outcome.agrees_unrounded, f"{said}, unrounded {outcome.answer.unrounded}"
        assert outcome.agrees_printed, f"{said}, printed {outcome.answer.printed}"


def places(case: Case) -> Iterator[Place]:
    """Every number among the inputs: its name, and its place in a list."""
    for name, value in case.inputs.items():
        if isinstance(value, list):
            yield from ((name, i) for i, member in enumerate(value) if is_number(member))
        elif is_number(value):
            yield name, None


def is_number(value: object) -> bool:
    return isinstance(value, int | float)


def moved(value: float, others: list[Any]) -> float:
    """A count one more, anything else 1 % more; a zero by 1 % of the largest of its list."""
    if isinstance(value, int):
        return value + 1
    return value * 1.01 if value else 0.01 * max(abs(other) for other in others)


def inputs_moved(case: Case, place: Place) -> dict[str, Any]:
    inputs = copy.deepcopy(dict(case.inputs))
    name, i = place
    if i is None:
        inputs[name] = moved(inputs[name], [])
    else:
        inputs[name][i] = moved(inputs[name][i], inputs[name])
    return inputs


def still_agrees(case: Case, inputs: dict[str, Any]) -> bool:
    """Whether all answers agree; inputs that the program refuses, as a look-up does, do not."""
    try:
        return all(outcome.agrees_unrounded for outcome in run.run_case(case, inputs))
    except ValueError:
        return False


SENSITIVE = [(c, p) for c in CASES for p in places(c) if p[0] not in c.insensitive]


@pytest.mark.parametrize(
    ("case", "place"), SENSITIVE, ids=[f"{c.id}-{n}-{i}" for c, (n, i) in SENSITIVE]
)
def test_case_fails_when_an_input_moves_by_one_per_cent(case: Case, place: Place) -> None:
    assert not still_agrees(case, inputs_moved(case, place))


@pytest.mark.parametrize("case", [c for c in CASES if c.insensitive], ids=name_of)
def test_an_input_called_insensitive_is_so(case: Case) -> None:
    """Otherwise the list would hide inputs that the case could check."""
    listed = [place for place in places(case) if place[0] in case.insensitive]
    assert {name for name, _ in listed} == set(case.insensitive)
    assert all(still_agrees(case, inputs_moved(case, place)) for place in listed)


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_every_case_has_an_input_that_matters(case: Case) -> None:
    assert any(place[0] not in case.insensitive for place in places(case))


def test_no_case_and_no_independent_source_gets_lost() -> None:
    """The counts as they stand; raise them with every case that comes in."""
    assert run.counted(CASES) >= 130
    assert len(run.independent_sources(CASES)) >= 63


def test_cases_that_were_seen_in_print_are_enough_alone() -> None:
    seen = [case for case in CASES if case.evidence == "seen"]
    assert run.counted(seen) >= 65
    assert len(run.independent_sources(seen)) >= 36


def copies(n: int, **changes: object) -> list[Case]:
    plain = next(case for case in CASES if not case.conversion)
    values = {name: getattr(plain, name) for name in Case.__slots__} | changes
    return [Case(**values) for _ in range(n)]


def test_no_more_than_five_of_one_source_count() -> None:
    assert run.counted(copies(4)) == 4
    assert run.counted(copies(9)) == run.MOST_OF_ONE_SOURCE
    assert run.counted(copies(9) + copies(2, source_key="another")) == 7


def test_conversions_count_once_whatever_their_sources() -> None:
    conversions = [case for key in "abc" for case in copies(2, source_key=key, conversion=True)]
    assert run.counted(conversions) == 1
    assert run.independent_sources(conversions) == {run.CONVERSIONS}
    assert run.counted([]) == 0
    units = [case for case in CASES if case.model in {"converted", "grade_of_bead"}]
    assert units
    assert all(case.conversion for case in units)


def test_no_source_is_blank_and_one_key_is_one_body_of_text() -> None:
    for case in CASES:
        assert case.source.strip()
        assert len(case.source) > 10
        assert case.source_key == case.source_key.strip().lower()


NAMELESS = re.compile(r"^probably |\b(author|maker|publisher|school|title)\b[^)]*not (noted|shown)")


def test_a_source_that_nobody_can_find_is_not_called_seen() -> None:
    """What was read without its title counts as from memory; the source says what is missing."""
    nameless = [case for case in CASES if NAMELESS.search(case.source)]
    assert len(nameless) == 11
    assert {case.evidence for case in nameless} == {"from memory"}
    assert all(case.note for case in nameless)


def test_every_model_has_a_case() -> None:
    assert set(MODELS) == {case.model for case in CASES}


def test_tolerances_are_far_below_the_printed_digits() -> None:
    for case in CASES:
        for answer in case.answers:
            if answer.tolerance is not None and answer.unrounded is not None:
                assert 0 < answer.tolerance <= 1e-8 * max(abs(answer.unrounded), 1e-3)


def test_a_text_that_differs_does_not_agree() -> None:
    case = next(case for case in CASES if case.id == "iso-80000-even")
    wrong = run.run_case(case, {"numbers": [12.25, 12.25], "place": -1})
    assert [outcome.agrees for outcome in wrong] == [True, False]


@pytest.mark.parametrize(
    ("printed", "half"),
    [("0.66", 0.005), ("93", 0.5), ("1.76e-6", 5e-9), ("32,666.6", 0.05), ("-0.930", 0.0005)],
)
def test_half_unit_of_the_last_printed_digit(printed: str, half: float) -> None:
    assert run.half_unit(printed) == pytest.approx(half, rel=1e-15)


GOOD = """
[[case]]
id = "a"
title = "t"
model = "sum_of_terms"
source = "s"
source_key = "k"
evidence = "seen"
inputs = { u = [3.0, 4.0] }
answers = [{ name = "u_c", printed = "5", unrounded = 5.0, tolerance = 1e-9 }]
"""


def test_a_case_in_the_right_form_is_read() -> None:
    (case,) = run.parse_cases(GOOD, "sheet")
    assert run.run_case(case)[0].agrees
    assert (case.note, dict(case.insensitive), case.conversion) == ("", {}, False)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('title = "t"', 'title = "t"\nurl = "u"', "unknown key url"),
        ('title = "t"\n', "", "key title is missing"),
        ('source = "s"', 'source = " "', "source must be a text that is not blank"),
        ('model = "sum_of_terms"', 'model = "other"', "no model other"),
        ('evidence = "seen"', 'evidence = "heard"', "evidence is one of seen, from memory"),
        ("tolerance = 1e-9", "tolerance = 1e-9, unit = 'mg'", "unknown key unit"),
        (", tolerance = 1e-9", "", "key tolerance is missing"),
        ("tolerance = 1e-9", "tolerance = 1e-9, printed_tolerance = 1.0", "a note why"),
        ('printed = "5"', 'printed = "5", kind = "text"', "unknown key tolerance"),
        ('printed = "5"', 'printed = "inf"', "inf is not a finite number"),
        ("inputs =", 'insensitive = { v = "r" }\ninputs =', "insensitive: unknown key v"),
        ("inputs =", 'insensitive = { u = "" }\ninputs =', "insensitive: u must be a text"),
        ("answers = [{", "answers = []\nold = [{", "unknown key old"),
        ("[[case]]", "format = 1\n[[case]]", "unknown key format"),
    ],
)
def test_a_case_in_the_wrong_form_is_refused(old: str, new: str, fault: str) -> None:
    text = GOOD.replace(old, new)
    assert text != GOOD
    with pytest.raises(ValueError, match=fault):
        run.parse_cases(text, "sheet")


def test_a_model_refuses_inputs_that_are_not_its_own() -> None:
    (case,) = run.parse_cases(GOOD, "sheet")
    with pytest.raises(TypeError):
        run.run_case(case, {"u": [1.0], "weather": 1.0})


def test_the_sheets_of_cases_lie_in_the_package() -> None:
    folder = files("assaybench.published") / "cases"
    names = {sheet.name for sheet in folder.iterdir()}
    written = sum(len(tomllib.loads((folder / n).read_text("utf-8"))["case"]) for n in names)
    assert written == len(CASES)


def in_a_fresh_interpreter(code: str) -> str:
    """What the code prints where no library of the tests can be imported."""
    hidden = "import sys; sys.modules.update({name: None for name in ('numpy', 'scipy', 'GTC')})"
    done = subprocess.run(
        [sys.executable, "-I", "-c", f"{hidden}\n{code}"],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    return done.stdout


def test_all_cases_agree_without_the_libraries_of_the_tests() -> None:
    code = (
        "from assaybench.published import run\n"
        "found = [o for case in run.load_cases() for o in run.run_case(case)]\n"
        "print(len(found), sum(o.agrees for o in found))"
    )
    answers = sum(len(case.answers) for case in CASES)
    assert in_a_fresh_interpreter(code).split() == [str(answers), str(answers)]


def test_an_ordinary_command_loads_no_published_case() -> None:
    code = (
        "from assaybench.cli.app import main\n"
        "main(['weigh', '0.31mg', '--readability', '0.01mg'])\n"
        "print('\\n' + ' '.join(name for name in sys.modules if 'published' in name))"
    )
    assert in_a_fresh_interpreter(code).splitlines()[-1] == ""
