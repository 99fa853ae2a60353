"""Two figures typed on the bench: as the command compares them, from the same typed text."""

import json
import re
from collections.abc import Callable
from typing import Any

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.pages.form_page import FormPage
from assaybench.bench.pages.runs import RunsForm
from assaybench.bench.sheet import text_of
from assaybench.bench.stack import Stack
from assaybench.cli.app import main
from tests.bench.books import opened_bench, press, shown
from tests.bench.conftest import Clock


@pytest.fixture
def stack(desk: Desk, clock: Clock) -> Stack:
    """The page, as the contents lead to it."""
    bench = opened_bench(desk)
    bench.tick(clock())
    press(bench, "c")
    return bench


def typed(stack: Stack, *answers: str) -> None:
    """Answers from the mark on, each asked for by Enter."""
    for text in answers:
        press(stack, "enter")
        for sign in text:
            stack.press(sign, sign)
        press(stack, "enter")


def value_of(stack: Stack, label: str) -> str:
    """What the leader of a label leads to."""
    rows = [text_of(one).strip() for one in stack.sheet.block]
    (row,) = [one for one in rows if one.startswith(label)]
    return re.sub(r"^[ .]+(?=[^ .])", "", row.removeprefix(label))


def margin(stack: Stack) -> str:
    return " ".join(" ".join(str(one).split()) for one in stack.sheet.margin)


@pytest.fixture
def by_command(capsys: pytest.CaptureFixture[str]) -> Callable[..., dict[str, Any]]:
    """What `compare` says of the same text."""

    def call(*argv: str) -> dict[str, Any]:
        assert main(["compare", *argv, "--json"]) == 0
        found: dict[str, Any] = json.loads(capsys.readouterr().out)
        return found

    return call


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("3.2 ± 0.4 g/t", "4.1 ± 0.5 g/t"),
        ("3.20(20) g/t", "3.3 +- 0.5 ppm"),
        ("912,68 ± 0,20 ‰", "912.40(10) ‰"),
        ("81.2 ± 3", "84 ± 3"),
    ],
)
def test_a_difference_is_what_the_command_says(
    stack: Stack, by_command: Callable[..., dict[str, Any]], a: str, b: str
) -> None:
    typed(stack, a, b)
    told = by_command(a, b)
    figures = told["figures"]
    assert margin(stack).startswith(" ".join(told["verdict"]["reason"].split()))
    assert float(value_of(stack, "E_n")[-5:].split()[-1]) == pytest.approx(
        figures["en"]["value"], rel=0.05
    )
    low, high = re.findall(r"[+-][0-9.]+", value_of(stack, "the truth, 95 in 100"))
    place = figures["difference"]
    assert float(low) == pytest.approx(place["low"], rel=0.06, abs=abs(place["u"]) / 5)
    assert float(high) == pytest.approx(place["high"], rel=0.06, abs=abs(place["u"]) / 5)
    assert value_of(stack, "coverage").endswith("U: k = 2, about 95 in 100.")


@pytest.mark.parametrize(
    ("a", "cutoff", "grains"),
    [
        ("1.2 ± 0.4 g/t", "1.0 g/t", ""),
        ("3.20(20) g/t", "1 g/t", ""),
        ("1.2 ± 0.4 g/t", "1.0 g/t", "4"),
        ("0.8 ± 0.1 g/t", "1.5 g/t", "200"),
    ],
)
def test_a_cut_off_is_judged_as_the_command_judges_it(
    stack: Stack, by_command: Callable[..., dict[str, Any]], a: str, cutoff: str, grains: str
) -> None:
    typed(stack, a)
    press(stack, "down")
    typed(stack, cutoff)
    typed(stack, grains)
    option = ["--grains", grains] if grains else []
    told = by_command(a, "--cutoff", cutoff, *option)
    assert margin(stack).startswith(" ".join(told["verdict"]["reason"].split()))
    for flag in told["flags"]:
        assert " ".join(flag["text"].split()) in margin(stack)
    assert "chance that it is above" in shown(stack)


def test_what_would_decide_a_cut_off_is_said(stack: Stack) -> None:
    typed(stack, "1.2 ± 0.4 g/t")
    press(stack, "down")
    typed(stack, "1.0 g/t")
    assert "It would show if the ± were 1.6 times smaller." in margin(stack)


@pytest.mark.parametrize(
    ("answers", "fault"),
    [
        (("3.2 g/t",), "± "),
        (("3.2 ± 0.4 g/t", "4 ± 1 mg"), "mass fraction"),
        (("<3.2 g/t",), "<3.2 g/t"),
        (("oz",), "oz"),
    ],
)
def test_what_cannot_be_compared_is_told_and_the_question_stands(
    stack: Stack, answers: tuple[str, ...], fault: str
) -> None:
    typed(stack, *answers)
    assert fault in margin(stack)
    assert stack.sheet.typing is not None
    press(stack, "escape")
    assert stack.sheet.typing is None


def test_enter_alone_takes_a_figure_back(stack: Stack) -> None:
    typed(stack, "3.2 ± 0.4 g/t", "4.1 ± 0.5 g/t")
    press(stack, "up")
    typed(stack, "")
    assert "Type a figure with its ±" in margin(stack)


def test_the_last_line_leads_to_before_and_after(stack: Stack) -> None:
    press(stack, "down", "down", "down", "down")
    assert "Enter opens" in stack.sheet.promise
    press(stack, "enter")
    page = stack.top
    assert isinstance(page, FormPage)
    assert page.name == RunsForm.name
    press(stack, "escape")
    assert stack.sheet.title == "TWO FIGURES"
