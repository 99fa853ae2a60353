"""The logbook's folder: names to paths and back."""

from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.folder import (
    Logbook,
    LogName,
    bench_name,
    log_name,
    practice_folder,
    user_folder,
    where,
)
from assaybench.logbook.signing import signature_path
from assaybench.messages import BadInput

BOOK = Logbook(Path("/book"))
NAME = LogName("MAIN", 12)


def test_every_file_has_its_place() -> None:
    log = BOOK.log(NAME)
    places = {
        "registers/MAIN.toml": BOOK.register("MAIN"),
        "logs/MAIN/000012.toml": log,
        "logs/MAIN/000012.toml.sig": signature_path(log),
        "logs/MAIN/000012.statement-2.toml": BOOK.statement(NAME, 2),
        "logs/MAIN/000012.statement-2.toml.sig": signature_path(BOOK.statement(NAME, 2)),
        "logs/MAIN/000012.attached": BOOK.attached(NAME),
        "marks/MAIN/000012.toml": BOOK.mark(NAME),
        "locks/logs/MAIN/000012.lock": BOOK.lock(log),
        "locks/registers/MAIN.lock": BOOK.lock(BOOK.register("MAIN")),
        "reports": BOOK.reports,
        "allowed_signers": BOOK.allowed_signers,
        "HOW-TO-CHECK.txt": BOOK.how_to_check,
    }
    assert {name: path.as_posix() for name, path in places.items()} == {
        name: f"/book/{name}" for name in places
    }
    assert BOOK.name_of(log) == NAME
    for other in ("logs/MAIN/000012.toml.sig", "logs/main/000012.toml", "MAIN/000012.toml",
                  "logs/MAIN/12.toml", "registers/MAIN.toml"):  # fmt: skip
        assert BOOK.name_of(BOOK.root / other) is None


@pytest.mark.parametrize("text", ["MAIN", "main", " A ", "A1-B2", "LAB-2", "A" * 12])
def test_bench_names_that_are_accepted(text: str) -> None:
    assert bench_name(text) == text.strip().upper()


@pytest.mark.parametrize(
    "text",
    ["", "1A", "-A", "A-", "A_B", "A B", "A/B", "..", "A.B", "ÄST", "A" * 13, "CON", "nul", "COM1",
     "LPT9", "A\n"],
)  # fmt: skip
def test_bench_names_that_are_refused(text: str) -> None:
    if text == "A\n":
        assert bench_name(text) == "A"
        return
    with pytest.raises(BadInput, match="is not a name for a bench: 1 to 12 capital letters"):
        bench_name(text)


@pytest.mark.parametrize(
    ("text", "name"),
    [("12", NAME), ("000012", NAME), ("MAIN-12", NAME), (" main-000012 ", NAME),
     ("LAB-2-7", LogName("LAB-2", 7)), ("999999", LogName("MAIN", 999_999))],
)  # fmt: skip
def test_logs_are_named_by_number_with_or_without_bench(text: str, name: LogName) -> None:
    assert log_name(text, "MAIN") == name
    assert log_name(name.spelled, "OTHER") == name


@pytest.mark.parametrize(
    "text", ["", "0", "1000000", "-3", "12.toml", "MAIN", "MAIN-", "../1", "１２"]
)
def test_what_is_no_log_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"is not a (log|name for a bench)"):
        log_name(text, "MAIN")


def test_numbers_and_benches_are_found_and_strangers_are_not(tmp_path: Path) -> None:
    book = Logbook(tmp_path)
    assert book.benches(Files()) == []
    book.make(Files())
    for path in (
        "logs/MAIN/000002.toml", "logs/MAIN/000001.toml", "logs/MAIN/000001.toml.sig",
        "logs/MAIN/.000003.toml.tmp", "logs/MAIN/000001.torn-1", "logs/MAIN/7.toml",
        "logs/old stuff/000001.toml", "registers/WEST.toml", "registers/WEST.torn-1",
    ):  # fmt: skip
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).touch()
    assert book.benches(Files()) == ["MAIN", "WEST"]
    assert book.numbers(Files(), "MAIN") == [1, 2]
    assert book.numbers(Files(), "WEST") == []


def test_a_logbook_tells_git_to_leave_its_bytes_alone(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "a" / "b")
    book.make(Files())
    book.make(Files())
    assert "* -text\n" in (book.root / ".gitattributes").read_text()


def test_the_folder_is_the_one_given_then_the_variable_then_the_settings(tmp_path: Path) -> None:
    variable = {"ASSAYBENCH_LOGBOOK": str(tmp_path / "variable")}
    given = str(tmp_path / "given")
    default = tmp_path / "default"
    assert where(given, variable, "/settings", lambda: default) == tmp_path / "given"
    assert where(None, variable, "/settings", lambda: default) == tmp_path / "variable"
    assert where(None, {}, "/settings", lambda: default) == Path("/settings")
    assert where(None, {}, "", lambda: default) == default
    assert where("~/book", {}, "", lambda: default) == Path.home() / "book"
    assert where("book", {}, "", lambda: default) == Path.cwd() / "book"


def test_practice_stands_outside_the_logbook() -> None:
    assert not practice_folder().is_relative_to(user_folder())
    assert not user_folder().is_relative_to(practice_folder())
