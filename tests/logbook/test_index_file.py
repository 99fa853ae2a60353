"""The file of the index: whatever state it is in, the record is what counts."""

import random
import sqlite3
from pathlib import Path

from assaybench.logbook.index import file_of
from assaybench.logbook.index_tables import FORMAT, Wanted
from tests.logbook.books import Bench, sample
from tests.logbook.index_rows import bench, cache, page, settle

__all__ = ["bench", "cache"]


def test_it_is_made_anew_when_deleted_corrupt_or_of_another_format(
    bench: Bench, cache: Path
) -> None:
    bench.log(sample("T-1"))
    wanted = page(bench, cache)
    path = file_of(bench.book, cache)
    path.unlink()
    assert page(bench, cache) == wanted
    whole = path.read_bytes()
    for spoilt in (b"", b"no database at all", whole[:5000], whole[:100] + b"\xff" * 8000,
                   whole.replace(b"logs", b"LOST")):  # fmt: skip
        path.write_bytes(spoilt)
        assert page(bench, cache) == wanted
    base = sqlite3.connect(path)
    base.execute(f"PRAGMA user_version = {FORMAT + 1}")
    base.close()
    assert page(bench, cache) == wanted
    base = sqlite3.connect(path)
    base.execute("DROP TABLE samples")
    base.close()
    assert page(bench, cache, Wanted(sample="T-1")) == wanted


def test_random_damage_is_never_fatal(bench: Bench, cache: Path) -> None:
    for i in range(4):
        bench.log(sample(f"T-{i}"), title="x" * 200)
    wanted = page(bench, cache)
    path, dice = file_of(bench.book, cache), random.Random(3)
    whole = path.read_bytes()
    for _ in range(60):
        data = bytearray(whole)
        for _ in range(dice.choice((1, 30, 3000))):
            data[dice.randrange(len(data))] = dice.randrange(256)
        path.write_bytes(bytes(data))
        assert page(bench, cache).total >= 0
    path.unlink()
    assert page(bench, cache) == wanted


def test_it_is_done_without_when_it_cannot_be_written_or_is_locked(
    bench: Bench, cache: Path, tmp_path: Path
) -> None:
    bench.log(sample("T-1"))
    wanted = page(bench, cache)
    blocked = tmp_path / "file"
    blocked.write_text("no folder", "utf-8")
    assert page(bench, blocked / "cache") == wanted
    folder = tmp_path / "dark"
    file_of(bench.book, folder).mkdir(parents=True)
    assert page(bench, folder) == wanted
    holder = sqlite3.connect(file_of(bench.book, cache), isolation_level=None)
    holder.execute("PRAGMA locking_mode = EXCLUSIVE")
    holder.execute("BEGIN EXCLUSIVE")
    try:
        assert page(bench, cache) == wanted
    finally:
        holder.close()
    # the file that was locked was left alone
    assert page(bench, cache) == wanted


def test_each_logbook_has_a_file_of_its_own(bench: Bench, cache: Path, tmp_path: Path) -> None:
    bench.log(title="one")
    other = Bench(tmp_path / "other")
    other.log(title="two")
    assert [page(b, cache).rows[0].title for b in (bench, other)] == ["one", "two"]
    assert len(list(cache.iterdir())) == 2


def test_a_logbook_that_was_put_in_the_place_of_another_is_read_anew(
    bench: Bench, cache: Path, tmp_path: Path
) -> None:
    bench.log(title="one")
    settle(bench)
    page(bench, cache)
    root = bench.book.root
    root.rename(tmp_path / "away")
    Bench(root).log(title="two")
    assert [row.title for row in page(bench, cache).rows] == ["two"]
