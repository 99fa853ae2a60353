"""The figures of a seal: every printed one, in lines that fit, and the three outcomes later."""

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.record import handsheet
from assaybench.record.entries import Entry
from assaybench.record.fineness import NAME as NATIVE_FINENESS
from assaybench.record.frame import LONGEST_LINE
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.sealing import (
    Comparison,
    Recorded,
    Row,
    compare,
    digits_of,
    figures_of,
    recomputed,
    recorded,
    values_of,
)
from assaybench.report.results_view import Source, answer_of
from tests.record.frames import OPENED, file_of, read

DEMO = sorted((Path(__file__).parents[2] / "demo").glob("*.toml"))
PROGRAM = "assaybench 0.1.0"
SEALED = {"name": "K. Berg", "role": "assayer", "fingerprint": "SHA256:x", "meaning": "weighed"}
each_sheet = pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)


def found_in(path: Path) -> Recorded:
    return recomputed(handsheet.read(path.read_bytes()).entries, PROGRAM)


def texts_in(tree: Any) -> set[str]:
    """The printed text of every figure in a tree of JSON, but of those that follow from others."""
    if isinstance(tree, dict):
        own = {str(tree["text"])} if {"coverage_probability", "text"} <= set(tree) else set()
        below = (part for name, part in tree.items() if name != NATIVE_FINENESS)
        return own.union(*map(texts_in, below))
    return set().union(*map(texts_in, tree)) if isinstance(tree, list | tuple) else set()


# --- what is recorded ----------------------------------------------------------------------------


@each_sheet
def test_every_figure_that_results_prints_is_recorded_once(path: Path) -> None:
    entries = handsheet.read(path.read_bytes()).entries
    answer = answer_of(Source("x", {}, (), ("log", {"id": "x"})), entries)
    records = answer.records() if callable(answer.records) else answer.records
    printed = texts_in({**records, **{n: f._asdict() for n, f in answer.figures.items()}})
    rows = figures_of(results(replay(entries)))
    assert len(printed) > 20
    assert printed - {row.text for row in rows} == set()
    assert len({(row.id, row.name) for row in rows}) == len(rows)


@each_sheet
def test_the_entries_of_a_seal_fit_their_lines_and_read_back_the_same(path: Path) -> None:
    found = found_in(path)
    values = values_of(found)
    data = file_of([("opened", OPENED), *(("results", v) for v in values), ("sealed", SEALED)])
    assert max(map(len, data.split(b"\n"))) <= LONGEST_LINE
    # as few as the lines allow: of two that follow each other no first figure would have fitted
    assert len(values) <= 1 + len(data) // (LONGEST_LINE - 500)
    entries, verdict = read(data)
    assert (verdict.state, verdict.newer) == ("sound", False)
    assert recorded(entries) == found
    parsed = tomllib.loads(data.decode())["entry"]
    assert sum(len(e.get("figures", [])) for e in parsed) == len(found.rows)


def test_a_log_without_figures_is_recorded_as_such() -> None:
    none = Recorded(1, PROGRAM, ())
    (values,) = values_of(none)
    entries, _ = read(file_of([("opened", OPENED), ("results", values), ("sealed", SEALED)]))
    assert recorded(entries) == none
    assert compare(none, none) == Comparison("recomputes", 1, 0)


def test_only_a_sealed_log_holds_figures() -> None:
    (values,) = values_of(Recorded(1, PROGRAM, (ROW,)))
    rows = [("opened", OPENED), ("results", values)]
    assert recorded([]) is None
    assert recorded(read(file_of(rows))[0]) is None
    assert recorded(read(file_of([rows[0], ("sealed", SEALED)]))[0]) is None


def test_of_a_try_that_a_power_cut_broke_off_the_later_figures_count() -> None:
    first, second = ROW._replace(value="1.00000000000"), ROW
    rows = [("opened", OPENED)]
    rows += [("results", values_of(Recorded(1, PROGRAM, (row,)))[0]) for row in (first, second)]
    found = recorded(read(file_of([*rows, ("sealed", SEALED)]))[0])
    assert found == Recorded(1, PROGRAM, (second,))


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_a_number_keeps_twelve_digits_without_an_exponent(number: float) -> None:
    text = digits_of(number)
    assert "e" not in text.lower()
    assert float(text) == pytest.approx(number, rel=5.1e-12, abs=0)
    digits = text.lstrip("-0.").replace(".", "")
    assert number == 0 or len(digits) == 12 or abs(number) >= 1e11


def test_what_is_no_number_is_empty() -> None:
    assert [digits_of(x) for x in (None, math.nan, math.inf, 0.0)] == ["", "", "", "0.00000000000"]


# --- compared ------------------------------------------------------------------------------------

ROW = Row("T-1", "grade_gold", "66.35 ± 0.23 g/t", "66.3500000000", "0.115000000000", "g/t")
PLAIN = Row("T-1", "mean_of_all", "66.4 g/t", "66.3500000000", "", "g/t")
NONE = Row("T-1", "silver", "not determinable", "", "", "mg")


def was(*rows: Row, version: int = 1, program: str = PROGRAM) -> Recorded:
    return Recorded(version, program, rows)


@each_sheet
def test_a_run_recomputes(path: Path) -> None:
    found = found_in(path)
    assert compare(found, found_in(path)) == Comparison("recomputes", 1, len(found.rows))


@each_sheet
def test_any_figure_that_is_changed_does_not_recompute(path: Path) -> None:
    found = found_in(path)
    changed = 0
    for i, row in enumerate(found.rows):
        others = [row._replace(text="1 g"), row._replace(unit="kg")]
        if row.value:
            others.append(row._replace(value=digits_of(float(row.value) * 1.001 + 1e-6)))
        if row.u:
            others.append(row._replace(u=digits_of(float(row.u) * 1.001)))
        for other in others:
            rows = (*found.rows[:i], other, *found.rows[i + 1 :])
            compared = compare(found._replace(rows=rows), found)
            assert compared.outcome == "does not recompute", other
            assert [pair.recorded for pair in compared.differing] == [other]
            changed += 1
    assert changed > 100


@pytest.mark.parametrize(
    ("row", "other", "outcome"),
    [
        # one millionth of u is 0.000000115
        (ROW, ROW._replace(value="66.3500001000"), "recomputes"),
        (ROW, ROW._replace(value="66.3499999000"), "recomputes"),
        (ROW, ROW._replace(value="66.3500001200"), "does not recompute"),
        (ROW, ROW._replace(u="0.115000100000"), "recomputes"),
        (ROW, ROW._replace(u="0.115000130000"), "does not recompute"),
        (ROW, ROW._replace(u=""), "does not recompute"),
        # a u so small that the twelfth digit is coarser than a millionth of it
        (ROW._replace(u="0.0000100000000000"), ROW._replace(value="66.3500000001",
                                                             u="0.0000100000000000"), "recomputes"),
        (PLAIN, PLAIN._replace(value="66.3500000001"), "recomputes"),
        (PLAIN, PLAIN._replace(value="66.3500010000"), "does not recompute"),
        (PLAIN, PLAIN._replace(value="66.35"), "recomputes"),
        (PLAIN, PLAIN._replace(text="66.3 g/t"), "does not recompute"),
        (NONE, NONE._replace(text="< 0.01 mg"), "does not recompute"),
        (NONE, NONE._replace(value="0.100000000000"), "does not recompute"),
        (ROW, ROW._replace(value="nan"), "does not recompute"),
        (ROW, ROW._replace(value="66.35e0"), "does not recompute"),
        (ROW, ROW._replace(value=" 66.35"), "does not recompute"),
        (ROW, ROW._replace(u="inf"), "does not recompute"),
        (ROW, ROW._replace(name="dore"), "does not recompute"),
    ],
)  # fmt: skip
def test_value_and_u_lie_within_a_millionth_of_u(row: Row, other: Row, outcome: str) -> None:
    assert compare(was(other), was(row)).outcome == outcome
    assert compare(was(row), was(other)).outcome == outcome


def test_another_version_of_the_method_gives_other_figures_and_is_only_told() -> None:
    now = was(ROW._replace(value="66.4000000000", text="66.40 ± 0.23 g/t"), version=2)
    compared = compare(was(ROW), now)
    assert (compared.outcome, compared.method_version) == ("recomputes differently", 1)
    assert compared.differing[0].recorded == ROW
    assert compare(was(ROW), was(ROW, version=2)).outcome == "recomputes"
    # a recorded version above ours is no excuse
    assert compare(was(ROW, version=3), now).outcome == "does not recompute"


def test_a_figure_that_was_taken_out_or_put_in_does_not_recompute() -> None:
    both, one = was(ROW, PLAIN), was(ROW)
    assert [p.recorded for p in compare(both, one).differing] == [PLAIN]
    assert [p.now for p in compare(one, both).differing] == [PLAIN]


def test_a_figure_that_reads_otherwise_does_not_recompute_whatever_the_program() -> None:
    other = was(ROW._replace(text="88.35 ± 0.23 g/t"), program="assaybench 0.0.9")
    assert compare(other, was(ROW)).outcome == "does not recompute"
    assert compare(was(ROW, program="assaybench 0.0.9"), was(ROW)).outcome == "recomputes"


@pytest.mark.parametrize(
    "spoil",
    [
        lambda e: {**e, "figures": "none"},
        lambda e: {**e, "figures": ["T-1"]},
        lambda e: {**e, "figures": [{"id": "T-1"}]},
        lambda e: {**e, "method_version": "1"},
        lambda _: {},
    ],
)
def test_entries_that_hold_something_else_are_read_without_a_fault(
    spoil: Callable[[Any], Any],
) -> None:
    (values,) = values_of(was(ROW))
    entries, _ = read(file_of([("opened", OPENED), ("results", values), ("sealed", SEALED)]))
    one = entries[1]
    spoilt = Entry(one.n, one.at, one.by, one.kind, spoil(dict(one.values)))
    found = recorded([entries[0], spoilt, entries[2]])
    assert found is None or compare(found, was(ROW)).outcome == "does not recompute"
