"""Hands at the circuit editor: the field under the mark, and what was stored last."""

from assaybench.bench.sheet import text_of
from tests.bench.hands import Hands


def marked(hands: Hands) -> str:
    """The line with the mark."""
    return next(text_of(line) for line in hands.sheet.block if text_of(line).startswith(">"))


def last(hands: Hands, kind: str = "circuit") -> dict[str, object]:
    return dict(hands.last(kind).values)
