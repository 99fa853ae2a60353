"""Tests that DEVELOPERS.md names as proof of a rule: each is there, and every rule has one."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HEAD = "## What rules ask of a record, and where it is kept"
_NAMED = re.compile(r"`([\w/]+\.py)::(\w+)`")


def section() -> str:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    return text.partition(HEAD)[2].partition("\n## ")[0]


def rows() -> list[str]:
    lines = [line for line in section().splitlines() if line.startswith("| ")]
    return [line for line in lines[1:] if not set(line) <= set("| -")]


@cache
def names_in(file: str) -> frozenset[str]:
    tree = ast.parse((ROOT / "tests" / file).read_text("utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef))


NAMED = _NAMED.findall(section())


@pytest.mark.parametrize(("file", "test"), NAMED)
def test_a_test_that_is_named_is_there(file: str, test: str) -> None:
    assert test.startswith("test_")
    assert test in names_in(file)


def test_every_rule_names_a_test_and_whether_its_clause_was_read() -> None:
    assert len(rows()) >= 20
    for row in rows():
        clause, _, _, tests = (cell.strip() for cell in row.strip("|").split(" | "))
        assert re.search(r"\((?:partly )?(?:seen|memory)", clause), clause
        assert _NAMED.search(tests), clause


def test_the_three_families_of_rules_are_there() -> None:
    clauses = " ".join(row.partition("|")[2].partition("|")[0] for row in rows())
    for wanted in (
        "7.5.1",
        "7.5.2",
        "7.8.2.1",
        "7.8.8",
        "7.11.2",
        "8.4",
        "11.10",
        "11.50",
        "11.70",
    ):
        assert wanted in clauses


def test_every_letter_of_the_content_of_a_report_is_there() -> None:
    lines = [row for row in rows() if row.startswith("| 7.8.2.1 ")]
    letters = {test[5] for row in lines for _, test in _NAMED.findall(row)}
    assert letters == set("abcdefghijklmnop")
