"""The README is enough to write a checker: one that was written so finds what `verify` finds."""

import hashlib
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.cli.outside_checker import LINK, faults_of

ROOT = Path(__file__).parents[2]
BOOKS = (ROOT / "demo" / "logbook", ROOT / "tests" / "golden" / "format-1" / "logbook")


def log(root: Path, number: int) -> Path:
    return root / "logs" / "MAIN" / f"{number:06}.toml"


def register(root: Path) -> Path:
    return root / "registers" / "MAIN.toml"


def changed(path: Path, old: bytes, new: bytes) -> None:
    data = path.read_bytes()
    assert old in data
    path.write_bytes(data.replace(old, new, 1))


def linked(path: Path) -> None:
    """Work out every link of a file anew, as one who knows the format would."""
    data, before, begin, found = path.read_bytes(), b"", 0, b""
    for match in LINK.finditer(data):
        body = data[begin : match.start()]
        line = f'link = "{hashlib.sha256(before + body).hexdigest()}"\n'.encode()
        found, before, begin = found + body + line, line, match.end()
    path.write_bytes(found + data[begin:])


def a_digit(root: Path) -> None:
    changed(log(root, 5), b'"30.02"', b'"30.20"')


def a_digit_with_its_links(root: Path) -> None:
    a_digit(root)
    linked(log(root, 5))


def a_digit_its_links_and_the_register(root: Path) -> None:
    old = hashlib.sha512(log(root, 5).read_bytes()).hexdigest().encode()
    a_digit_with_its_links(root)
    changed(register(root), old, hashlib.sha512(log(root, 5).read_bytes()).hexdigest().encode())
    linked(register(root))


def an_open_log_taken_away(root: Path) -> None:
    log(root, 8).unlink()


def two_logs_exchanged(root: Path) -> None:
    for suffix in ("", ".sig"):
        a, b = (Path(f"{log(root, n)}{suffix}") for n in (2, 5))
        first, second = a.read_bytes(), b.read_bytes()
        a.write_bytes(second)
        b.write_bytes(first)


def an_entry_of_the_register_taken_out(root: Path) -> None:
    parts = register(root).read_bytes().split(b"[[entry]]\n")[1:]
    del parts[7]
    parts = [re.sub(rb"^n = \d+", b"n = %d" % n, part) for n, part in enumerate(parts, start=1)]
    register(root).write_bytes(b"".join(b"[[entry]]\n" + part for part in parts))
    linked(register(root))


def a_signature_taken_away(root: Path) -> None:
    log(root, 4).with_name("000004.toml.sig").unlink()


def a_signature_of_the_mark(root: Path) -> None:
    shutil.copy(root / "marks" / "MAIN" / "000005.toml.sig", f"{log(root, 5)}.sig")


def a_mark_that_counts_otherwise(root: Path) -> None:
    mark = root / "marks" / "MAIN" / "000004.toml"
    changed(mark, b"count = 10", b"count = 9")
    linked(mark)


def a_mark_taken_away(root: Path) -> None:
    (root / "marks" / "MAIN" / "000004.toml").unlink()


def a_statement_reworded(root: Path) -> None:
    statement = log(root, 4).with_name("000004.statement-1.toml")
    changed(statement, b"23 beads", b"24 beads")
    linked(statement)


def a_statement_taken_away(root: Path) -> None:
    log(root, 4).with_name("000004.statement-1.toml").unlink()


def an_attached_file_changed(root: Path) -> None:
    changed(log(root, 6).with_suffix(".attached") / "slip-of-the-bag.txt", b"e", b"a")


def other_line_ends(root: Path) -> None:
    log(root, 2).write_bytes(log(root, 2).read_bytes().replace(b"\n", b"\r\n"))


def a_stranger(root: Path) -> None:
    shutil.copy(log(root, 2), log(root, 9))


def a_key_that_nobody_added(root: Path) -> None:
    allowed = root / "allowed_signers"
    text = allowed.read_text("utf-8")
    allowed.write_text(f"{text}{text.rstrip()[text.rindex('DEMO-KEY') :][:-1]}A\n", "utf-8")


TAMPERINGS: tuple[Callable[[Path], None], ...] = (
    a_digit, a_digit_with_its_links, a_digit_its_links_and_the_register, an_open_log_taken_away,
    two_logs_exchanged, an_entry_of_the_register_taken_out, a_signature_taken_away,
    a_signature_of_the_mark, a_mark_that_counts_otherwise, a_mark_taken_away, a_statement_reworded,
    a_statement_taken_away, an_attached_file_changed, other_line_ends, a_stranger,
    a_key_that_nobody_added,
)  # fmt: skip


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return Path(shutil.copytree(BOOKS[0], tmp_path / "book"))


@pytest.mark.parametrize("root", BOOKS)
def test_nothing_is_amiss_in_a_logbook_as_it_was_written(root: Path) -> None:
    assert faults_of(root) == []


@pytest.mark.parametrize("tamper", TAMPERINGS)
def test_both_find_what_was_tampered_with(
    run: Run, book: Path, tamper: Callable[[Path], None]
) -> None:
    tamper(book)
    assert faults_of(book) != []
    assert run("verify", str(book), "--no-recompute").status == 1


def test_what_no_check_can_show_neither_shows(run: Run, book: Path) -> None:
    """The README says so: the end of an open log, cut off at an entry."""
    data = log(book, 8).read_bytes()
    log(book, 8).write_bytes(data[: data.rindex(b"[[entry]]")])
    assert faults_of(book) == []
    assert run("verify", str(book), "--no-recompute").status == 0
