"""Registers in the index: read on from where they were left, never otherwise than read anew."""

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path

import pytest

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.index import Index, with_index
from assaybench.logbook.index_registers import RegisterFiller, RegisterRows
from assaybench.logbook.index_tables import TABLES, Page, Wanted, stand_of
from assaybench.logbook.register import Register
from assaybench.logbook.survey import Finding
from assaybench.messages import BadInput
from tests.logbook.books import Bench, sample

LONG = 40
Said = tuple[Page, list[Finding]]


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    bench = Bench(tmp_path / "book")
    for n in range(4):
        bench.log(sample("T-1"), title=f"run {n}")
    bench.sealed(2)
    bench.void(3, "slip")
    return bench


class Reads(Files):
    """The real disk, with how many bytes it gave; `before` is called before each read."""

    def __init__(self, before: Callable[[int], None] = lambda _n: None) -> None:
        self.count, self.bytes, self._before = 0, 0, before

    def read(self, descriptor: int, most: int) -> bytes:
        self.count += 1
        self._before(self.count)
        data = super().read(descriptor, most)
        self.bytes += len(data)
        return data


def said(bench: Bench, cache: Path, files: Files | None = None) -> Said:
    def job(index: Index) -> Said:
        index.update("new")
        return index.page(Wanted(), 99, 1), index.findings()

    return with_index(bench.book, files or Files(), cache, job)


def register(bench: Bench) -> Path:
    return bench.book.register(bench.bench)


class Changed:
    """Watches the rows of an index, and tells which were written."""

    def __init__(self, cache: Path) -> None:
        (self._place,) = cache.glob("*.sqlite3")
        with closing(sqlite3.connect(self._place)) as base:
            for table in ("allotted", "logs"):
                base.execute(f"CREATE TABLE {table}_written (number)")
                for event in ("INSERT", "UPDATE", "DELETE"):
                    row = "old" if event == "DELETE" else "new"
                    kept = f"INSERT INTO {table}_written VALUES ({row}.number)"  # noqa: S608  the names are ours
                    on = f"{table}_{event} AFTER {event} ON {table}"
                    base.execute(f"CREATE TRIGGER {on} BEGIN {kept}; END")
            base.commit()

    def since(self) -> set[int]:
        """Numbers whose row in either table was written since."""
        with closing(sqlite3.connect(self._place)) as base:
            asked = "SELECT number FROM allotted_written UNION SELECT number FROM logs_written"
            return {number for (number,) in base.execute(asked)}


# --- a register that grew ------------------------------------------------------------------------


def test_only_what_follows_is_gone_through_of_a_register_that_grew(
    bench: Bench, tmp_path: Path
) -> None:
    for _ in range(LONG):
        bench.taken("x" * 60)
    cache = tmp_path / "cache"
    said(bench, cache)
    bench.void(9, "slip")
    bench.sealed(4)
    last = bench.taken("the last")
    before = Changed(cache)
    found = said(bench, cache)
    assert before.since() == {4, 9, last}
    assert found == said(bench, tmp_path / "fresh")
    states = {row.number: (row.state, row.title) for row in found[0].rows}
    assert states[9][0] == "void"
    assert states[4] == ("sealed", "run 3")
    assert states[last] == ("missing", "the last")


def test_the_rules_hold_across_a_register_read_in_two_parts(bench: Bench, tmp_path: Path) -> None:
    """A merge by hand: what contradicts the part that was read before changes nothing."""
    cache = tmp_path / "cache"
    said(bench, cache)
    with Register(bench.book, "MAIN", bench.keeper) as opened:
        for kind, values in (
            ("void", {"number": 2, "reason": "sealed before"}),
            ("sealed", {"number": 3, "sha512": "0" * 128, "size": 1}),
            ("opened", {"number": 1, "log": "furnace run", "title": "taken before"}),
        ):
            opened.file.append(kind, values)
    rows, findings = found = said(bench, cache)
    assert found == said(bench, tmp_path / "fresh")
    assert [(r.number, r.state) for r in rows.rows[::-1]] == [
        (1, "open"), (2, "sealed"), (3, "void"), (4, "open"),
    ]  # fmt: skip
    assert [finding.code for finding in findings] == ["register_fault"] * 3


def test_a_log_that_loses_its_head_is_called_what_the_register_calls_it(
    bench: Bench, tmp_path: Path
) -> None:
    cache = tmp_path / "cache"
    said(bench, cache)
    bench.book.log(LogName("MAIN", 1)).write_bytes(b"")
    bench.book.log(LogName("MAIN", 4)).unlink()
    disk = Reads()
    rows = {row.number: row for row in said(bench, cache, disk)[0].rows}
    assert (rows[1].title, rows[1].entries) == ("run 0", 0)
    assert (rows[4].title, rows[4].state) == ("run 3", "missing")
    assert disk.bytes == 0


# --- a register that did something else ----------------------------------------------------------


def spoil(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(data.replace(b"run 1", b"run 9"))


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-30])


def cut_and_longer(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-30] + b"\n" * 900)


def merge(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(data + data[data.rindex(b"[[entry]]") :])


def take_away(path: Path) -> None:
    path.unlink()


def empty(path: Path) -> None:
    path.write_bytes(b"")


def put_another_in_its_place(path: Path) -> None:
    """In the very same file, of this bench, and longer."""
    other = Bench(path.parents[1] / "other")
    for n in range(LONG):
        other.taken(f"other {n}")
    path.write_bytes(register(other).read_bytes())


def put_one_of_another_bench_in_its_place(path: Path) -> None:
    other = Bench(path.parents[1] / "other", "SHED")
    for n in range(LONG):
        other.taken(f"other {n}")
    path.write_bytes(register(other).read_bytes())


CHANGES = (spoil, cut, cut_and_longer, merge, take_away, empty, put_another_in_its_place,
           put_one_of_another_bench_in_its_place)  # fmt: skip


@pytest.mark.parametrize("change", CHANGES)
def test_a_register_that_did_not_only_grow_is_read_anew(
    bench: Bench, tmp_path: Path, change: Callable[[Path], None]
) -> None:
    cache = tmp_path / "cache"
    before = said(bench, cache)
    whole = register(bench).read_bytes()
    change(register(bench))
    changed = said(bench, cache)
    assert changed == said(bench, tmp_path / "fresh")
    assert changed != before
    register(bench).write_bytes(whole)
    assert said(bench, cache) == before


def test_a_register_whose_torn_end_was_moved_aside_is_quiet_again(
    bench: Bench, tmp_path: Path
) -> None:
    cache = tmp_path / "cache"
    with register(bench).open("ab") as file:
        file.write(b"[[entry]]\nn = ")
    assert [f.code for f in said(bench, cache)[1]] == ["register_torn"]
    bench.taken("after")
    found = said(bench, cache)
    assert found == said(bench, tmp_path / "fresh")
    assert [f.code for f in found[1]] == ["number_without_log"]


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 20))]
)
def test_after_any_changes_it_says_what_reading_it_anew_says(
    bench: Bench, tmp_path: Path, seed: int
) -> None:
    dice, cache = random.Random(seed), tmp_path / "cache"
    acts: tuple[Callable[[], object], ...] = (
        bench.taken,
        lambda: bench.taken(f"t {dice.randrange(9)}"),
        lambda: bench.void(dice.randrange(1, 20), "slip"),
        lambda: bench.sealed(dice.randrange(1, 20)),
        lambda: dice.choice((spoil, cut, empty))(register(bench)),
    )
    whole = register(bench).read_bytes()
    for step in range(40):
        with suppress(NotDone, BadInput):
            dice.choice(acts)()
        if dice.random() < 0.5:
            assert said(bench, cache) == said(bench, tmp_path / f"fresh-{step}")
        if dice.random() < 0.2:
            register(bench).write_bytes(whole)


# --- stretch by stretch --------------------------------------------------------------------------


def tables(place: Path) -> sqlite3.Connection:
    base = sqlite3.connect(place, isolation_level=None)
    base.executescript(TABLES)
    return base


def read(bench: Bench, base: sqlite3.Connection, files: Files, stretch: int) -> bool:
    status = files.stat(register(bench))
    assert status is not None
    return RegisterFiller(base, bench.book, files, stretch).read("MAIN", stand_of(status))


def rows_of(base: sqlite3.Connection) -> list[object]:
    found: list[object] = []
    for table in ("allotted", "logs", "read_to"):
        found += base.execute(f"SELECT * FROM {table} ORDER BY bench").fetchall()  # noqa: S608  the names are ours
    return found


@pytest.fixture
def wanted(bench: Bench) -> list[object]:
    """The rows of a register read in one stretch."""
    for n in range(LONG):
        bench.taken(f"title {n}")
    with closing(tables(Path(":memory:"))) as base:
        assert read(bench, base, Files(), 1 << 20)
        return rows_of(base)


@pytest.mark.parametrize("stretch", [1, 700, 4096])
def test_the_stretches_make_no_difference(bench: Bench, wanted: list[object], stretch: int) -> None:
    with closing(tables(Path(":memory:"))) as base:
        assert read(bench, base, Files(), stretch)
        assert rows_of(base) == wanted


def test_what_was_broken_off_is_gone_on_with(bench: Bench, wanted: list[object]) -> None:
    def dark(count: int) -> None:
        if count == 6:
            raise OSError(5, "dark")

    size = register(bench).stat().st_size
    with closing(tables(Path(":memory:"))) as base:
        with pytest.raises(NotDone, match="cannot be read"):
            read(bench, base, Reads(dark), 1000)
        assert 0 < base.execute("SELECT count(*) FROM allotted").fetchone()[0] < LONG
        disk = Reads()
        assert read(bench, base, disk, 1000)
        assert rows_of(base) == wanted
        assert disk.bytes == size


@pytest.mark.parametrize("at", [1, 2, 5])
def test_two_programs_at_once_leave_the_rows_of_one(
    bench: Bench, wanted: list[object], tmp_path: Path, at: int
) -> None:
    with closing(tables(tmp_path / "base")) as mine:
        other = sqlite3.connect(tmp_path / "base", isolation_level=None)

        def meanwhile(count: int) -> None:
            if count == at:
                assert read(bench, other, Files(), 3000)

        with closing(other):
            assert read(bench, mine, Reads(meanwhile), 1000)
        assert rows_of(mine) == wanted


def test_numbers_as_rows_are_a_mapping_that_gives_none_back(
    bench: Bench, wanted: list[object]
) -> None:
    assert wanted
    with closing(tables(Path(":memory:"))) as base:
        read(bench, base, Files(), 1000)
        rows = RegisterRows(base, "MAIN")
        assert list(rows) == list(range(1, LONG + 5))
        assert len(rows) == LONG + 4
        assert (rows[3].void, rows[2].seal is not None, rows.get(99)) == ("slip", True, None)
        with pytest.raises(TypeError, match="stays taken"):
            del rows[1]
