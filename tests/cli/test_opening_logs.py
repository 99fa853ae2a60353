"""Opening a log as from a shell: its number, its head, whose options win, what is refused."""

import re
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.opening import open_log
from tests.cli.entered import BY, book, entered, entries_of
from tests.reliability.faulty import keeper

__all__ = ["book"]


def test_open_takes_the_next_number_and_prints_it_with_the_path(run: Any, book: Logbook) -> None:
    first = run("open", "run", *BY, "--title", "Grey Heron, 9 June")
    assert first.status == DONE
    assert "MAIN-000001" in first.out
    assert str(book.log(LogName("MAIN", 1))) in first.out
    second = run("open", "circuit", *BY, "--json").json
    assert second["log"] == [
        {
            "id": "MAIN-000002",
            "bench": "MAIN",
            "number": 2,
            "path": str(book.log(LogName("MAIN", 2))),
        }
    ]
    assert [e.kind for e in entries_of(book)] == ["opened"]
    assert entries_of(book)[0].values["title"] == "Grey Heron, 9 June"
    assert entries_of(book, 2)[0].values["log"] == "circuit test"


def test_what_open_says_of_the_laboratory_stands_in_the_head_of_the_report(
    run: Any, book: Logbook
) -> None:
    said = {"laboratory": "Shed, Invented Road 1", "place": "the shed", "client": "O. Farrow",
            "received": "8 June 2026", "sampling": "channel of 2 m"}  # fmt: skip
    options = [part for item, text in said.items() for part in (f"--{item}", text)]
    assert run("open", "run", *BY, *options).status == DONE
    kept = {e.values["item"]: e.values["value"] for e in entries_of(book)[1:]}
    assert kept == said
    text = run("report", "1", "--text").out
    assert all(re.search(rf"{item}[^\n]*[ .]+ {value}\n", text) for item, value in said.items())
    bad = run("open", "run", *BY, "--client", "a\u202eb", "--place", " ")
    assert (bad.status, len(bad.faults)) == (BAD_INPUT, 2)
    assert book.numbers(Files(), "MAIN") == [1]


def test_each_bench_has_its_own_numbers(run: Any, book: Logbook) -> None:
    run("open", "run", *BY)
    assert "number: SHED-000001" in run("open", "run", *BY, "--bench", "shed", "--plain").out
    entered(run, ("note", "text=hot day"), number="SHED-1")
    assert [e.kind for e in entries_of(book, bench="SHED")] == ["opened", "note"]
    assert [e.kind for e in entries_of(book)] == ["opened"]
    assert "hot day" in run("show", "1", "--bench", "SHED").out


def test_the_option_wins_over_the_environment_and_the_settings(
    run: Any, book: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = tmp_path / "home" / "assaybench"
    home.mkdir(parents=True)
    settings = f'logbook = "{tmp_path / "third"}"\ninitials = "MQ"\nbench = "SHED"\n'
    (home / "settings.toml").write_text(settings, "utf-8")
    other = tmp_path / "other"
    assert run("open", "run", "--logbook", str(other)).status == DONE
    assert Logbook(other).numbers(Files(), "SHED") == [1]
    assert entries_of(Logbook(other), bench="SHED")[0].by == "MQ"
    assert run("open", "run").status == DONE
    assert book.numbers(Files(), "SHED") == [1]
    monkeypatch.delenv("ASSAYBENCH_LOGBOOK")
    assert run("open", "run").status == DONE
    assert Logbook(tmp_path / "third").numbers(Files(), "SHED") == [1]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("open",), "run|circuit|self-test is missing. Write run|circuit|self-test."),
        (("open", "bar", *BY), '"bar" is not a choice for open. Write run, circuit, self-test.'),
        (("open", "run"), "--by is missing. Write your initials: --by KB."),
        (("open", "run", "--by", "K2"), '--by: "K2" is not initials: 1 to 6 letters.'),
        (("open", "run", *BY, "--bench", "a b"), '"a b" is not a name for a bench'),
        (("open", "run", *BY, "--bench", ""), '"" is not a name for a bench'),
        (("open", "run", *BY, "--logbook", ""), '"" cannot be read: not a folder name'),
        (("logbook", "--logbook", " "), '"" cannot be read: not a folder name'),
        (("open", "run", *BY, "--title", "\x07"), "--title: "),
        (("open", "run", "circuit", *BY), '"circuit" is more than this command takes.'),
        (("void", "1", *BY), "--reason is missing. Write why"),
        (("void", "1", *BY, "--reason", "x"), "number 1 was never allotted."),
        (("show",), "NUMBER is missing. Write NUMBER."),
        (("show", "x"), '"x" is not a log. Write its number, 12, or with its bench, MAIN-12.'),
        (("show", "7"), "there is no log MAIN-000007 in the logbook"),
        (("results", "7"), "there is no log MAIN-000007 in the logbook"),
        (("enter", "7", "note", "text=x", *BY), "there is no log MAIN-000007 in the logbook"),
        (("correct", "1", "x", "a=b", *BY), 'ENTRY: "x" is not a whole number'),
        (("leave-out", "1", *BY), "SAMPLE is missing."),
        (("import", "nowhere.toml", *BY), '"nowhere.toml" cannot be read'),
    ],
)
def test_bad_input_is_one_line_and_makes_nothing(
    run: Any, book: Logbook, line: tuple[str, ...], said: str
) -> None:
    outcome = run(*line)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    (fault,) = outcome.faults
    assert fault.startswith(f"assaybench {line[0]}: ")
    assert said in fault
    assert not book.root.exists()


def test_initials_that_a_script_left_empty_are_not_those_of_the_settings(
    run: Any, book: Logbook, tmp_path: Path
) -> None:
    home = tmp_path / "home" / "assaybench"
    home.mkdir(parents=True)
    (home / "settings.toml").write_text('initials = "MQ"\n', "utf-8")
    outcome = run("open", "run", "--by", "")
    assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert '--by: "" is not ' in outcome.err
    assert not book.root.exists()


def test_what_the_disk_refuses_is_told_and_ends_with_three(
    run: Any, book: Logbook, tmp_path: Path
) -> None:
    file = tmp_path / "file"
    file.write_text("no folder", "utf-8")
    outcome = run("open", "run", *BY, "--logbook", str(file))
    assert (outcome.status, outcome.out) == (NOT_DONE, "")
    (fault,) = outcome.faults
    assert fault.startswith("assaybench open: ")
    assert "was not made" in fault


def test_a_folder_that_cannot_be_is_told_in_one_line(run: Any, book: Logbook) -> None:
    for command in ("show", "results"):
        long = run(command, "1", "--logbook", "n" * 300)
        assert (long.status, long.out) == (NOT_DONE, "")
        assert "cannot be read: the name is too long." in long.err
        nul = run(command, "1", "--logbook", "a\0b")
        assert (nul.status, nul.out, len(nul.faults)) == (BAD_INPUT, "", 1)


def test_a_log_that_another_writes_is_told_with_who_and_ends_with_three(
    run: Any, book: Logbook
) -> None:
    run("open", "run", *BY)
    path = book.log(LogName("MAIN", 1))
    before = path.read_bytes()
    with open_log(path, keeper(by="MQ"), lock=book.lock(path), session=False):
        outcome = run("enter", "1", "note", "text=x", *BY)
    assert (outcome.status, outcome.out) == (NOT_DONE, "")
    assert "is being written by MQ" in outcome.err
    assert path.read_bytes() == before
