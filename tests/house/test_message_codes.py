"""Codes of sentences and their uses: none unused, none missing, none said in place."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

import assaybench
from tests.house.message_table import WHOLE, fields_of

PACKAGE = Path(str(files(assaybench)))


@cache
def trees() -> tuple[tuple[Path, ast.Module], ...]:
    """Each file of the package, read and parsed once for all tests here."""
    paths = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "messages.py")
    return tuple((path, ast.parse(path.read_text("utf-8"))) for path in paths)


def texts_of(node: ast.expr) -> Iterator[ast.Constant | ast.JoinedStr]:
    """Texts that an expression may be: a literal, a choice of two, a text with parts put in."""
    if isinstance(node, ast.IfExp):
        yield from texts_of(node.body)
        yield from texts_of(node.orelse)
    elif isinstance(node, ast.JoinedStr) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    ):
        yield node


def pattern_of(text: ast.JoinedStr) -> str:
    parts = (re.escape(str(p.value)) if isinstance(p, ast.Constant) else ".+" for p in text.values)
    return "".join(parts)


@cache
def spoken() -> tuple[tuple[str, ast.Call, ast.Constant | ast.JoinedStr], ...]:
    """Each call of `say`, `flag` or `BadInput.of` with the code it names."""
    return tuple(_spoken())


def _spoken() -> Iterator[tuple[str, ast.Call, ast.Constant | ast.JoinedStr]]:
    for path, tree in trees():
        for call in (node for node in ast.walk(tree) if isinstance(node, ast.Call)):
            called = call.func
            name = called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")
            of_fault = (
                isinstance(called, ast.Attribute)
                and name == "of"
                and isinstance(called.value, ast.Name)
                and called.value.id == "BadInput"
            )
            if call.args and (name in {"say", "flag"} or of_fault):
                for text in texts_of(call.args[0]):
                    yield f"{path.relative_to(PACKAGE)}:{call.lineno}", call, text


def test_every_code_that_is_spoken_stands_in_the_table() -> None:
    missing = []
    for place, _, text in spoken():
        if isinstance(text, ast.Constant):
            known = text.value in WHOLE
        else:
            known = any(re.fullmatch(pattern_of(text), code) for code in WHOLE)
        if not known:
            missing.append(f"{place} {ast.unparse(text)}")
    assert missing == []


def test_every_call_fills_every_field_of_its_sentence() -> None:
    empty = []
    for place, call, text in spoken():
        given_fields = {keyword.arg for keyword in call.keywords}
        if isinstance(text, ast.Constant) and text.value in WHOLE and None not in given_fields:
            left = fields_of(WHOLE[str(text.value)]) - given_fields
            if left:
                empty.append(f"{place} {text.value}: {sorted(left)}")
    assert empty == []


def test_every_code_of_the_table_is_used() -> None:
    """A use is the code itself as a text somewhere, or a text with parts put in that makes it."""
    literals: set[str] = set()
    patterns: set[str] = set()
    for _, tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                literals.add(node.value)
    for _, _, text in spoken():
        if isinstance(text, ast.JoinedStr):
            patterns.add(pattern_of(text))
    unused = [
        code
        for code in WHOLE
        if code not in literals and not any(re.fullmatch(p, code) for p in patterns)
    ]
    assert unused == []


HELP_OF_ENTER = "Store one entry in the log NUMBER"
"""The one help that is put together, from the table of kinds."""


def of_help(node: ast.AST) -> bool:
    """Whether a part of the code is a docstring, or the help of a command or an option."""
    match node:
        case ast.Expr(value=ast.Constant()):
            return True
        case ast.keyword(arg="help" | "metavar" | "short_help"):
            return True
        case ast.Tuple(elts=[ast.Constant(value=str(first)), *_]):
            return first.startswith("--")
        case ast.Call(func=ast.Name(id="Entry")):
            return True
    return False


def said_in_place(tree: ast.Module) -> Iterator[ast.Constant]:
    """Sentences that stand in the code itself: no docstring, and no help of an option."""
    apart = {id(part) for one in ast.walk(tree) if of_help(one) for part in ast.walk(one)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in apart:
            text = node.value.strip()
            if text.count(" ") >= 3 and text.endswith(".") and not text.startswith(HELP_OF_ENTER):
                yield node


@pytest.mark.parametrize("floor", ["report", "cli", "bench"])
def test_no_sentence_stands_where_it_is_said(floor: str) -> None:
    found = [
        f"{path.relative_to(PACKAGE)}:{node.lineno} {node.value!r}"
        for path, tree in trees()
        if path.is_relative_to(PACKAGE / floor)
        for node in said_in_place(tree)
    ]
    assert found == []


def test_a_sentence_in_the_code_would_be_found() -> None:
    tree = ast.parse(
        '"""A docstring of some words."""\nsaid.append("Run a proof once more, please.")'
    )
    assert [node.value for node in said_in_place(tree)] == ["Run a proof once more, please."]
