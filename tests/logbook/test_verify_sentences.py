"""Sentences of verify fit the page when filled with what usually stands in them."""

from string import Formatter

import pytest

from assaybench.messages import say
from assaybench.messages_verify import VERIFY

EXAMPLES: dict[str, object] = {
    "name": "MAIN/000012.toml", "other": "MAIN/000007.toml", "log": "MAIN-000012",
    "bench": "MAIN", "key": "SHA256:" + "a" * 43, "said": "SHA256:" + "a" * 12,
    "own": "SHA256:" + "b" * 12, "line": 120, "size": 48_310, "was": "12.34 ± 0.15 g/t",
    "now": "12.35 ± 0.15 g/t", "figure": "KV-001 grade_gold", "version": 1, "n": 12, "of": 48,
    "bad": 2, "logs": "logs", "day": "2026-06-09", "since": "2026-06-09", "old": 7, "there": 640,
    "x": "640:0123456789abcdef", "who": "K. Berg",
}  # fmt: skip
OF_ONE_CODE: dict[str, dict[str, object]] = {
    "verify_cut": {"was": 48_355}, "verify_changed": {"was": 48_355},
    "verify_torn_gone": {"x": "000012.torn-1"}, "verify_torn_unnamed": {"x": "000012.torn-1"},
    "mark_unreadable": {"x": '"640:ab"'}, "mark_holds": {"name": "MAIN.toml"},
    "verify_register_cut": {"name": "MAIN.toml"}, "verify_register_other": {"name": "MAIN.toml"},
}  # fmt: skip
OPEN = {"why"}
"""Fields that hold another sentence; these are broken where they leave the page."""


@pytest.mark.parametrize("code", VERIFY)
def test_a_sentence_is_at_most_two_lines_that_fit(code: str) -> None:
    fields = {name for _, name, _, _ in Formatter().parse(VERIFY[code]) if name}
    assert fields <= set(EXAMPLES) | OPEN
    examples = {**EXAMPLES, **OF_ONE_CODE.get(code, {})}
    filled = say(code, **{name: examples.get(name, "") for name in fields})
    lines = filled.split("\n")
    assert len(lines) <= 2
    assert {line: len(line) for line in lines if len(line) > 76} == {}
    assert all(line.strip() == line or OPEN & fields for line in lines)
