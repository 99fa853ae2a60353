"""The index of logs: what it holds, and how it stays what the record says."""

import os
import random
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Never

import pytest

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files, Status
from assaybench.logbook.folder import LogName
from assaybench.logbook.index import Index, with_index
from assaybench.logbook.index_fill import MANY
from assaybench.logbook.index_tables import Page, Wanted
from assaybench.messages import BadInput
from tests.logbook.books import Bench, sample
from tests.logbook.index_rows import ALL, bench, cache, page, settle
from tests.record.frames import NOON

__all__ = ["bench", "cache"]


class Counting(Files):
    """The real disk, with the files that were opened and the folders that were listed."""

    def __init__(self) -> None:
        self.opened: list[str] = []
        self.listed: list[str] = []

    def open(self, path: Path, flags: int) -> int:
        self.opened.append(path.name)
        return super().open(path, flags)

    def scan(self, path: Path) -> Iterator[tuple[str, Status]]:
        self.listed.append(path.name)
        return super().scan(path)


def numbers(found: Page) -> list[int]:
    return [row.number for row in found.rows]


def states(bench: Bench, cache: Path) -> dict[int, str]:
    return {row.number: row.state for row in page(bench, cache).rows}


# --- what it holds -------------------------------------------------------------------------------


def test_a_row_says_what_its_log_and_the_register_say(bench: Bench, cache: Path) -> None:
    bench.log(sample("T-1"), sample("T-1 b", "T-1"), title="Grey Heron")
    bench.log(kind="circuit test")
    bench.sealed(2)
    circuit, run = page(bench, cache).rows
    assert (run.name, run.log, run.title, run.by) == (
        LogName("MAIN", 1), "furnace run", "Grey Heron", "KB",
    )  # fmt: skip
    assert (run.state, run.entries, run.samples) == ("open", 3, 2)
    assert (circuit.log, circuit.state) == ("circuit test", "sealed")
    assert (run.day, circuit.day) == ("2026-06-10", "2026-06-11")
    assert NOON.date().isoformat() == "2026-06-09"


def test_states_of_numbers(bench: Bench, cache: Path) -> None:
    for _ in range(4):
        bench.log(sample("T-1"))
    bench.taken("never made")
    bench.taken()
    bench.void(2, "imported twice")
    bench.void(6, "slip")
    path = bench.book.log(LogName("MAIN", 3))
    path.write_bytes(path.read_bytes().replace(b"T-1", b"T-2"))
    with bench.book.log(LogName("MAIN", 4)).open("ab") as file:
        file.write(b"[[entry]]\nn = 3\n")
    assert states(bench, cache) == {
        1: "open", 2: "void", 3: "damaged", 4: "torn", 5: "missing", 6: "void",
    }  # fmt: skip
    found = {row.number: row for row in page(bench, cache).rows}
    assert found[2].void == "imported twice"
    assert found[5].title == "never made"


def test_newest_first_in_pages_that_leave_none_out(bench: Bench, cache: Path) -> None:
    for _ in range(7):
        bench.log()
    pages = [page(bench, cache, lines=3, number=n) for n in (1, 2, 3, 4)]
    assert [numbers(p) for p in pages] == [[7, 6, 5], [4, 3, 2], [1], []]
    assert {p.total for p in pages} == {7}


def test_filters(bench: Bench, cache: Path) -> None:
    bench.log(sample("T-31"), title="Grey Heron, 10 June")
    bench.log(sample("T-32"), sample("T-31 b", "T-32"), title="GREY owl")
    bench.log(kind="circuit test")
    bench.sealed(1)
    shed = Bench(bench.book.root, "SHED")
    shed.log(sample("T-31 c", "T-31", role="duplicate"), sample("T-31"))

    def found(**wanted: str) -> list[str]:
        return [row.name.spelled for row in page(bench, cache, Wanted(**wanted)).rows]

    assert found(sample="T-31") == ["SHED-000001", "MAIN-000001"]
    assert found(sample="T-31", bench="MAIN") == ["MAIN-000001"]
    assert found(sample="T-3") == []
    assert found(title="grey") == ["MAIN-000002", "MAIN-000001"]
    assert found(title="grey", since="2026-06-11") == ["MAIN-000002"]
    assert found(until="2026-06-10", bench="MAIN") == ["MAIN-000001"]
    assert found(state="sealed") == ["MAIN-000001"]
    assert found(log="circuit test") == ["MAIN-000003"]
    assert found(title="%") == []
    assert found(sample="' OR 1 --") == []


def test_amended_and_withdrawn_samples_count_as_they_stand_now(bench: Bench, cache: Path) -> None:
    name = bench.log(sample("T-1"), sample("T-2"))
    bench.add(name, ("amendment", {"entry": 2, "reason": "slip", "id": "T-9"}),
              ("withdrawn", {"entry": 3, "reason": "slip"}))  # fmt: skip
    assert [numbers(page(bench, cache, Wanted(sample=s))) for s in ("T-1", "T-2", "T-9")] == [
        [], [], [1],
    ]  # fmt: skip


# --- how it stays current ------------------------------------------------------------------------


def test_when_nothing_changed_no_log_is_opened_and_no_folder_of_logs_listed(
    bench: Bench, cache: Path
) -> None:
    for _ in range(5):
        bench.log(sample("T-1"))
    settle(bench)
    before = page(bench, cache)
    disk = Counting()
    assert page(bench, cache, files=disk) == before
    assert disk.opened == []
    assert disk.listed == ["registers"]


def test_only_what_changed_is_read_again(bench: Bench, cache: Path) -> None:
    for _ in range(5):
        bench.log(sample("T-1"))
    page(bench, cache)
    bench.add(LogName("MAIN", 2), sample("T-2"))
    disk = Counting()
    assert numbers(page(bench, cache, Wanted(sample="T-2"), files=disk)) == [2]
    assert disk.opened == ["000002.toml"]


def test_a_row_of_the_page_is_looked_at_before_it_is_shown(bench: Bench, cache: Path) -> None:
    bench.log(sample("T-1"))
    settle(bench)
    page(bench, cache)
    stamp = bench.book.logs("MAIN").stat().st_mtime_ns
    bench.add(LogName("MAIN", 1), sample("T-2"))
    assert bench.book.logs("MAIN").stat().st_mtime_ns == stamp
    (row,) = page(bench, cache, look="new").rows
    assert (row.entries, row.samples) == (4, 2)  # a session was begun


def test_new_gone_and_replaced_files_and_benches_are_seen(bench: Bench, cache: Path) -> None:
    for _ in range(3):
        bench.log(sample("T-1"))
    shed = Bench(bench.book.root, "SHED")
    shed.log()
    settle(bench)
    assert len(page(bench, cache).rows) == 4
    bench.book.log(LogName("MAIN", 2)).unlink()
    first, third = (bench.book.log(LogName("MAIN", n)) for n in (1, 3))
    other = first.read_bytes().replace(b"T-1", b"T-8")
    passing = third.with_name(".new")
    passing.write_bytes(other)
    passing.replace(third)
    bench.log()
    found = {row.number: row.state for row in page(bench, cache, Wanted(bench="MAIN")).rows}
    assert found == {1: "open", 2: "missing", 3: "damaged", 4: "open"}
    shed.book.log(LogName("SHED", 1)).unlink()
    shed.book.logs("SHED").rmdir()
    shed.book.register("SHED").unlink()
    assert page(bench, cache, Wanted(bench="SHED")).rows == ()


def test_a_change_right_after_the_listing_is_seen_though_the_folder_keeps_its_time(
    bench: Bench, cache: Path
) -> None:
    """Two changes may get one time from the disk; a listing so soon is not relied on."""
    bench.log()
    page(bench, cache)
    folder = bench.book.logs("MAIN")
    stamp = folder.stat().st_mtime_ns
    copy = bench.book.log(LogName("MAIN", 9))
    copy.write_bytes(bench.book.log(LogName("MAIN", 1)).read_bytes())
    os.utime(folder, ns=(stamp, stamp))
    assert numbers(page(bench, cache)) == [9, 1]


def test_findings_follow_the_record(bench: Bench, cache: Path) -> None:
    def findings() -> list[str]:
        def job(index: Index) -> list[str]:
            index.update("new")
            return [finding.sentence for finding in index.findings()]

        return with_index(bench.book, Files(), cache, job)

    bench.log()
    assert findings() == []
    bench.taken()
    copy = bench.book.log(LogName("MAIN", 7))
    copy.write_bytes(bench.book.log(LogName("MAIN", 1)).read_bytes())
    gap = "MAIN: number 2 was allotted and its log is not there."
    stranger = "MAIN: there is a log 7 that the register does not know."
    assert findings() == [gap, stranger]
    register = bench.book.register("MAIN")
    old = register.with_name("MAIN (copy).toml")
    old.write_bytes(register.read_bytes())
    assert len(findings()) == 4
    copy.unlink()
    old.unlink()
    bench.void(2, "slip")
    assert findings() == []


def test_an_empty_or_missing_logbook_has_no_rows(bench: Bench, cache: Path, tmp_path: Path) -> None:
    assert page(bench, cache) == Page((), 0)
    nowhere = Bench(tmp_path / "nowhere")
    nowhere.book.registers.rmdir()
    assert page(nowhere, cache) == Page((), 0)


def test_a_record_that_cannot_be_read_is_told_not_hidden(bench: Bench, cache: Path) -> None:
    bench.log()
    bench.book.log(LogName("MAIN", 2)).mkdir()
    found = {row.number: row.state for row in page(bench, cache).rows}
    assert found == {1: "open", 2: "not read"}

    class Dark(Files):
        def scan(self, path: Path) -> Never:
            raise PermissionError(13, "dark")

    with pytest.raises(NotDone, match="cannot be read: you have no right"):
        page(bench, cache, files=Dark())


def test_many_logs_to_read_are_told(bench: Bench, cache: Path) -> None:
    first = bench.book.log(bench.log())
    for n in range(2, MANY + 1):
        os.link(first, bench.book.log(LogName("MAIN", n)))
    told: list[int] = []

    def job(index: Index) -> None:
        index.update("new")

    for _ in range(2):
        with_index(bench.book, Files(), cache, job, tell=told.append)
    assert told == [MANY]


class Changes:
    """Random changes of a record."""

    def __init__(self, bench: Bench, passing: Path, seed: int) -> None:
        self.bench, self.passing, self.dice = bench, passing, random.Random(seed)
        self.acts = (self.make, self.make, self.grow, self.grow, self.damage, self.cut,
                     self.put_in_place, self.take_away, self.make_void, bench.taken)  # fmt: skip

    def log(self) -> Path:
        return self.dice.choice(sorted(self.bench.book.logs("MAIN").glob("??????.toml")))

    def make(self) -> None:
        title = f"run {self.dice.randrange(5)}"
        self.bench.log(sample(f"T-{self.dice.randrange(5)}"), title=title)

    def grow(self) -> None:
        with suppress(NotDone, BadInput):
            name = LogName("MAIN", int(self.log().stem))
            self.bench.add(name, sample(f"T-{self.dice.randrange(999)}"))

    def damage(self) -> None:
        path = self.log()
        path.write_bytes(path.read_bytes().replace(b"T-", b"U-", 1))

    def cut(self) -> None:
        path = self.log()
        path.write_bytes(path.read_bytes()[: self.dice.choice((0, 30, 300))])

    def put_in_place(self) -> None:
        self.passing.write_bytes(self.log().read_bytes())
        self.passing.replace(self.log())

    def take_away(self) -> None:
        if len(list(self.bench.book.logs("MAIN").glob("??????.toml"))) > 2:
            self.log().unlink()

    def make_void(self) -> None:
        with suppress(BadInput):
            self.bench.void(self.dice.randrange(1, 9), "slip")


ASKED = (ALL, Wanted(sample="T-1"), Wanted(state="damaged"), Wanted(title="run 3"),
         Wanted(state="void"))  # fmt: skip


@pytest.mark.parametrize(
    "seed", [0, 1, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 30))]
)
def test_after_any_changes_it_says_what_reading_everything_says(
    bench: Bench, cache: Path, tmp_path: Path, seed: int
) -> None:
    """Random changes of the record, looked at now and then; a fresh index is the measure."""
    bench.log(sample("T-0"))
    changes = Changes(bench, tmp_path / "passing", seed)
    for step in range(40):
        changes.dice.choice(changes.acts)()
        if changes.dice.random() < 0.3:
            settle(bench)
        if changes.dice.random() < 0.5:
            wanted = changes.dice.choice(ASKED)
            fresh = page(bench, tmp_path / f"fresh-{step}", wanted)
            assert page(bench, cache, wanted) == fresh
