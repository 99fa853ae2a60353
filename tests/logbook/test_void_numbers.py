"""That a number was made void is seen in its register, whoever wrote it there and whenever."""

import tracemalloc
from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.register import LogHead, Register, new_log
from assaybench.logbook.void_numbers import VoidLook
from tests.bench.conftest import Clock

HEAD = LogHead("furnace run", 1)


class Counted(Files):
    """The real disk, counting how much is read of it."""

    def __init__(self) -> None:
        self.read_bytes = 0

    def read(self, descriptor: int, most: int) -> bytes:
        data = super().read(descriptor, most)
        self.read_bytes += len(data)
        return data


@pytest.fixture
def keeper() -> Keeper:
    return Keeper("KB", Clock(), Files(), "assaybench test")


@pytest.fixture
def book(tmp_path: Path, keeper: Keeper) -> Logbook:
    made = Logbook(tmp_path)
    made.make(keeper.files)
    for _ in range(12):
        new_log(made, "MAIN", keeper, HEAD)[1].close()
    return made


def made_void(book: Logbook, keeper: Keeper, number: int, reason: str) -> None:
    with Register(book, "MAIN", keeper) as register:
        register.void(number, reason)


def test_it_is_seen_at_the_next_look_with_its_reason(book: Logbook, keeper: Keeper) -> None:
    look = VoidLook(Files(), book.register("MAIN"), 1)
    assert look.why() == ""
    made_void(book, keeper, 12, "another one")
    assert look.why() == ""
    made_void(book, keeper, 1, 'the "µ" of \\ the charge was spilt')
    assert look.why() == 'the "µ" of \\ the charge was spilt'
    assert VoidLook(Files(), book.register("MAIN"), 1).why() == look.why()
    assert VoidLook(Files(), book.register("MAIN"), 2).why() == ""


def test_a_reason_that_looks_like_an_entry_makes_nothing_void(
    book: Logbook, keeper: Keeper
) -> None:
    made_void(book, keeper, 12, 'kind = "void" number = 3 reason = "x" link = ')
    assert VoidLook(Files(), book.register("MAIN"), 3).why() == ""


def test_a_register_that_did_not_grow_is_not_read_again(book: Logbook, keeper: Keeper) -> None:
    files = Counted()
    look = VoidLook(files, book.register("MAIN"), 1)
    look.why()
    whole = files.read_bytes
    assert whole == book.register("MAIN").stat().st_size
    look.why()
    assert files.read_bytes == whole
    made_void(book, keeper, 5, "x")
    look.why()
    assert files.read_bytes - whole < whole / 4


@pytest.mark.parametrize("cut", range(1, 150, 7))
def test_an_entry_that_is_half_written_counts_once_it_is_whole(
    book: Logbook, keeper: Keeper, cut: int
) -> None:
    path = book.register("MAIN")
    made_void(book, keeper, 1, "spilt")
    whole = path.read_bytes()
    path.write_bytes(whole[:-cut])
    look = VoidLook(Files(), path, 1)
    look.why()
    with path.open("ab") as file:
        file.write(whole[-cut:])
    assert look.why() == "spilt"


def test_another_register_under_its_name_is_read_anew(book: Logbook, keeper: Keeper) -> None:
    path = book.register("MAIN")
    before = path.read_bytes()
    made_void(book, keeper, 1, "spilt")
    look = VoidLook(Files(), path, 1)
    assert look.why() == "spilt"
    path.write_bytes(before)
    assert look.why() == ""


def test_a_register_that_is_not_there_says_nothing(tmp_path: Path) -> None:
    assert VoidLook(Files(), tmp_path / "MAIN.toml", 1).why() == ""
    assert VoidLook(Files(), tmp_path, 1).why() == ""


def test_a_damaged_register_says_nothing_and_stops_nobody(book: Logbook, keeper: Keeper) -> None:
    made_void(book, keeper, 1, "spilt")
    path = book.register("MAIN")
    whole = path.read_bytes()
    for bad in (b"sp\xfflt", b"sp\\qlt"):
        path.write_bytes(whole.replace(b"spilt", bad))
        look = VoidLook(Files(), path, 1)
        assert look.why() == ""
        path.write_bytes(whole)
        assert look.why() == "spilt"


def test_a_register_without_entries_is_searched_in_little_memory(tmp_path: Path) -> None:
    path = tmp_path / "MAIN.toml"
    path.write_bytes(b"x" * 20_000_000)
    tracemalloc.start()
    assert VoidLook(Files(), path, 1).why() == ""
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 6_000_000
