"""All determinations of a sample, in a log and across the logbook.

Charges are 100.00 g, so 0.410 mg of gold are 4.1 g/t: figures below are worked by hand.
"""

import hashlib
from pathlib import Path

import pytest

from assaybench.logbook.determinations import (
    Elsewhere,
    Family,
    determinations,
    families,
    other_logs,
)
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.reading import read_log
from assaybench.record import handsheet
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.logbook.books import FINE, PULP, Bench, Row, sample, weighed


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path / "book")


def assayed(name: str, gold_mg: str, of: str = "", role: str = "") -> list[Row]:
    return [sample(name, of, role), *weighed(name, gold_mg)]


def log(bench: Bench, *assays: list[Row]) -> LogName:
    return bench.log(FINE, PULP, *(row for rows in assays for row in rows))


def found(bench: Bench, name: LogName) -> tuple[dict[str, Family], Elsewhere]:
    files = Files()
    entries, _ = read_log(files, bench.book.log(name))
    state = replay(entries)
    cache = bench.book.root.parent / "cache"
    others = other_logs(bench.book, files, name, families(state), cache=cache)
    made = determinations(bench.book, files, name, results(state), others)
    return {family.id: family for family in made}, others


def held(family: Family) -> dict[str, float | None]:
    """Grades elsewhere by log and id."""
    return {
        f"{h.log.spelled} {h.id}": None if h.figure is None else h.figure.value
        for h in family.elsewhere
    }


def approx(values: dict[str, float | None]) -> object:
    return pytest.approx(values, abs=0.005)


def test_the_same_id_and_repeats_of_it_are_found_in_other_logs_and_benches(bench: Bench) -> None:
    first = log(bench, assayed("T-31", "0.410"), assayed("T-31 b", "0.380", "T-31"))
    log(bench, assayed("T-30", "0.100"), assayed("T-31", "1.960"))
    shed = Bench(bench.book.root, "SHED")
    shed.clock.now = bench.clock.now
    log(shed, assayed("T-31", "0.440"), assayed("T-31 c", "0.390", "T-31"))
    family = found(bench, first)[0]["T-31"]
    assert held(family) == approx(
        {"MAIN-000002 T-31": 19.6, "SHED-000001 T-31": 4.4, "SHED-000001 T-31 c": 3.9}
    )
    assert [h.id for h in family.here] == ["T-31", "T-31 b"]
    assert (len(family.counted), len(family.shown())) == (5, 2)
    (mean,) = family.means
    assert mean.mean == pytest.approx(7.16, abs=0.005)
    assert mean.median == pytest.approx(4.1, abs=0.005)


def test_a_repeat_that_stands_alone_elsewhere_is_found_by_its_own_id(bench: Bench) -> None:
    first = log(bench, assayed("T-31", "0.410"), assayed("T-31 b", "0.380", "T-31"))
    second = log(bench, assayed("T-31 b", "0.500"))
    assert held(found(bench, first)[0]["T-31"]) == approx({"MAIN-000002 T-31 b": 5.0})
    assert held(found(bench, second)[0]["T-31 b"]) == approx({"MAIN-000001 T-31 b": 3.8})


def test_what_is_of_another_sample_is_not_counted(bench: Bench) -> None:
    """`DUP` is every run's duplicate; blanks, proofs and parts are no determinations."""
    first = log(bench, assayed("A", "0.410"), assayed("DUP", "0.400", "A"))
    log(bench, assayed("B", "0.100"), assayed("DUP", "0.110", "B"))
    log(bench, assayed("A", "0.002", role="blank"))
    part = {"id": "A", "role": "sample", "of": "P", "part": "plus", "silver": "none"}
    log(bench, assayed("P", "0.1"), [("sample", part), *weighed("A", "0.300")])
    assert held(found(bench, first)[0]["A"]) == {}


def test_references_alone_are_checks_and_not_followed(bench: Bench) -> None:
    first = log(bench, assayed("RM-1", "0.400", role="reference"), assayed("A", "0.300"))
    log(bench, assayed("RM-1", "0.410", role="reference"))
    log(bench, assayed("A", "0.310", role="reference"))
    assert set(found(bench, first)[0]) == {"A"}
    assert held(found(bench, first)[0]["A"]) == approx({"MAIN-000003 A": 3.1})


def test_a_void_log_is_told_and_not_counted(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    second = log(bench, assayed("A", "1.960"))
    bench.void(second.number, "imported twice")
    family = found(bench, first)[0]["A"]
    (told,) = family.elsewhere
    assert told.remark == "void, not counted: imported twice"
    assert told.figure is not None
    assert told.figure.value == pytest.approx(19.6, abs=0.01)
    assert [h.log for h in family.counted] == [first]


def test_what_has_no_grade_is_told_with_the_reason(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    lost = ("sample", {"id": "A", "role": "sample", "lost": "cracked cupel"})
    log(bench, [lost])
    log(bench, [sample("A"), weighed("A", "0.1")[0]])
    log(bench, [sample("A"), weighed("A", "0.1")[1]])
    log(bench, [sample("A"), *weighed("A", "0.400"),
                ("reading", {"what": "bead", "text": "0.300", "unit": "mg", "balance": "fine",
                             "sample": "A"})])  # fmt: skip
    family = found(bench, first)[0]["A"]
    assert [h.remark for h in family.elsewhere] == [
        "lost: cracked cupel",
        "gold not weighed.",
        "no charge was weighed",
        "Gold 0.400 mg is heavier than its bead 0.300 mg. Both are stored as read.",
    ]
    assert len(family.counted) == 1


def test_one_left_out_elsewhere_counts_all_the_same(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    second = log(bench, assayed("A", "0.400"), assayed("A b", "1.960", "A"))
    bench.add(second, ("left_out", {"sample": "A b", "reason": "nugget"}))
    family = found(bench, first)[0]["A"]
    assert [h.left_out for h in family.elsewhere] == ["", "nugget, KB"]
    assert len(family.counted) == 3


def test_a_damaged_log_counts_up_to_its_first_bad_line_and_says_so(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    second = log(bench, assayed("A", "0.400"), assayed("B", "0.100"))
    path = bench.book.log(second)
    path.write_bytes(path.read_bytes().replace(b'id = "B"', b'id = "C"'))
    (told,) = found(bench, first)[0]["A"].elsewhere
    assert (told.counted, told.remark) == (True, "its log is damaged")


def test_a_log_that_cannot_be_understood_is_told(bench: Bench) -> None:
    """A newer kind of choice, or a balance nobody described: the log has no results here."""
    first = log(bench, assayed("A", "0.410"))
    bench.log(sample("A"), *weighed("A", "0.400"))
    (told,) = found(bench, first)[0]["A"].elsewhere
    assert (told.counted, told.figure) == (False, None)
    assert '"pulp" is not a balance of this log' in told.remark


def reissue(bench: Bench, old: LogName, *rows: Row) -> LogName:
    """A log that replaces another, with more entries."""
    digest = hashlib.sha512(bench.book.log(old).read_bytes()).hexdigest()
    head = ("replaces", {"number": old.number, "sha512": digest, "reason": "wrong charge"})
    return bench.log(head, *rows)


def test_a_replaced_log_is_counted_once_as_the_one_that_replaces_it(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    old = log(bench, assayed("A", "0.500"))
    new = reissue(bench, old, *assayed("A b", "0.300", "A"))
    last = reissue(bench, new)
    assert held(found(bench, first)[0]["A"]) == approx(
        {"MAIN-000004 A": 5.0, "MAIN-000004 A b": 3.0}
    )
    family, others = found(bench, old)
    assert others.newer == last
    # what the newer log repeats is its own; what it adds is told
    assert held(family["A"]) == approx({"MAIN-000001 A": 4.1, "MAIN-000004 A b": 3.0})


def test_a_void_log_replaces_nothing(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    old = log(bench, assayed("A", "0.500"))
    bench.void(reissue(bench, old).number, "slip")
    family = found(bench, first)[0]["A"]
    assert [h.log for h in family.counted] == [first, old]


def test_missing_logs_are_counted_as_unseen(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    bench.taken()
    bench.book.log(log(bench, assayed("A", "0.400"))).unlink()
    bench.void(2, "slip")
    others = found(bench, first)[1]
    assert (others.rows, others.unseen) == ((), 1)


def test_ids_are_amended_before_they_are_compared(bench: Bench) -> None:
    first = log(bench, assayed("A", "0.410"))
    second = bench.log(FINE, PULP, sample("Q"))
    bench.add(second, ("amendment", {"entry": 4, "reason": "slip", "id": "A"}),
              *weighed("A", "0.400"))  # fmt: skip
    assert held(found(bench, first)[0]["A"]) == approx({"MAIN-000002 A": 4.0})


def test_a_sample_assayed_in_parts_counts_as_a_whole(bench: Bench, tmp_path: Path) -> None:
    """Screen metallics of the demo, and the fineness of its bar, each in two logs."""
    demo = Path(__file__).parents[2] / "demo" / "metallics-and-bar.toml"
    rows = [(e.kind, e.values) for e in handsheet.read(demo.read_bytes()).entries]
    first = bench.log(*[row for row in rows if row[0] != "opened"])
    bench.log(*[row for row in rows if row[0] != "opened"])
    both = found(bench, first)[0]
    for name, unit in (("PK-120", "g/t"), ("Bar 3", "‰")):
        family = both[name]
        assert (len(family.counted), len(family.shown()), family.unit) == (2, 1, unit)
        assert [h.log.number for h in family.elsewhere] == [2]
        own, other = family.counted
        assert own.figure == other.figure
