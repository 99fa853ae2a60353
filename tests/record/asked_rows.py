"""Rows of a log, and what is asked of a new one."""

from assaybench.record import slips
from assaybench.record.replay import replay
from assaybench.record.slip_words import Question
from assaybench.record.slips import Candidate
from tests.record.trays import FINE, PULP, Row, entries_of, place, reading, sample

PAIR = (
    FINE, PULP, sample("KV-003"), place("KV-003", "A2"),
    sample("KV-017", "duplicate", of="KV-003"), place("KV-017", "C4"),
    reading("charge", "15.00", "KV-003"), reading("charge", "15.00", "KV-017"),
)  # fmt: skip


def asked(rows: list[Row] | tuple[Row, ...], new: Row) -> list[Question]:
    return slips.questions(replay(entries_of(rows)), Candidate.of(new[1]))


def only(rows: list[Row] | tuple[Row, ...], new: Row) -> Question:
    (question,) = asked(rows, new)
    return question


def pair(gold: str) -> tuple[Row, ...]:
    return (*PAIR, reading("gold", gold, "KV-003"))
