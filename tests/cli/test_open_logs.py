"""Practice logs, going on with a number whose log is missing, and files beside a log."""

import errno
import hashlib
import multiprocessing
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.practice import new_practice
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, new_log
from tests.acceptance.page import value_of
from tests.cli.entered import (
    BY,
    FINE,
    PULP,
    book,
    entered,
    entries_of,
    reading,
    run_with_gold,
)
from tests.reliability.faulty import Faulty, keeper

__all__ = ["book"]
SAMPLE = ("sample", "id=T-1", "role=sample", "silver=none")
HEAD = LogHead("furnace run", 1, "Grey Heron")


@pytest.fixture
def practice(book: Logbook) -> Logbook:
    """The folder of practice logs; the logbook is another."""
    return Logbook(book.root.parent / "home" / "assaybench" / "practice")


# --- folders of any name -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    ["a b", "new\nline", "-dash", "\x1b[31mred", "$(touch x)", "%s {x}", "ä\u202e", "\udcff"],
)
def test_a_logbook_may_have_any_name_and_no_sign_of_it_reaches_the_terminal(
    run: Any, tmp_path: Path, book: Logbook, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / name))
    opened = run("open", "run", *BY)
    assert run("enter", "1", "note", "text=x", *BY).status == DONE
    shown = [opened, *(run(*line) for line in (["show", "1"], ["logbook"], ["verify"]))]
    assert [one.status for one in shown] == [DONE] * 4
    for one in shown:
        assert all(line.isprintable() for line in one.out.split("\n"))
    (tmp_path / "file").write_text("")
    refused = run("open", "run", *BY, "--logbook", str(tmp_path / "file" / name))
    assert refused.status == NOT_DONE
    assert all(line.isprintable() for line in refused.faults)


# --- practice ------------------------------------------------------------------------------------


def test_a_practice_log_is_outside_the_logbook_and_its_register(
    run: Any, book: Logbook, practice: Logbook
) -> None:
    first = run("open", "run", "--practice", *BY, "--json").json
    assert [row["id"] for row in first["log"]] == ["P-1"]
    assert "P-2" in run("open", "circuit", "--practice", "--title", "try", *BY).out
    assert not book.root.exists()
    entries, verdict = read_log(Files(), practice.log(LogName("P", 2)))
    assert verdict.state == "sound"
    assert entries[0].values["practice"] is True
    assert entries[0].values["title"] == "try"
    assert not practice.registers.exists()
    # the numbers of the register go on as if it had never been
    assert "MAIN-000001" in run("open", "run", *BY).out


def test_every_printed_line_of_practice_says_so(run: Any, book: Logbook, practice: Logbook) -> None:
    pages = [run("open", "run", "--practice", *BY)]
    rows = (FINE, PULP, SAMPLE, reading("charge", "20.00", "T-1"), reading("gold", "1.372", "T-1"))
    pages += [run("enter", "P-1", *row, *BY) for row in rows]
    pages.append(run("correct", "p-1", "6", "text=1.327", "--reason", "swapped", *BY))
    pages += [run("show", "P-1"), run("results", "P-1"), run("show", "P-000001", "--plain")]
    pages.append(run("leave-out", "P-1", "T-1", "--reason", "only practice", *BY))
    for page in pages:
        assert (page.status, page.err) == (DONE, "")
        lines = page.out.splitlines()
        assert all(line.startswith("PRACTICE") for line in lines), page.out
        assert "P-1" in page.out
    assert pages[0].out.splitlines()[0] == "PRACTICE"
    answer = run("results", "P-1", "--json").json
    assert "practice_log" in [flag["code"] for flag in answer["flags"]]
    assert answer["samples"][0]["figures"]["grade_gold"]["value"] == pytest.approx(66.35)
    assert practice.numbers(Files(), "P") == [1]
    assert not book.root.exists()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("open", "run", "--practice", "--number", "3"), "a practice log stands in no register"),
        (("open", "run", "--number", "P-1"), "a practice log stands in no register"),
        (("void", "P-1", "--reason", "x"), "a practice log stands in no register"),
        (("open", "run", "--bench", "p"), '"P" is kept for practice logs'),
        (("show", "P-7"), "there is no log P-7 in the logbook"),
        (("enter", "P-7", "note", "text=x"), "there is no log P-7"),
    ],
)
def test_what_practice_has_not_is_refused(
    run: Any, book: Logbook, line: tuple[str, ...], said: str
) -> None:
    by = () if line[0] == "show" else BY
    outcome = run(*line, *by)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert said in outcome.err
    assert not book.root.exists()


def _practise(root: str, times: int) -> None:
    for _ in range(times):
        new_practice(Logbook(Path(root)), keeper(), HEAD)[1].close()


def test_practice_logs_opened_at_the_same_time_have_a_number_each(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    both = [context.Process(target=_practise, args=(str(tmp_path), 4)) for _ in range(2)]
    for process in both:
        process.start()
    for process in both:
        process.join(60)
        assert process.exitcode == 0
    there = Logbook(tmp_path)
    assert there.numbers(Files(), "P") == list(range(1, 9))
    for number in range(1, 9):
        entries, _ = read_log(Files(), there.log(LogName("P", number)))
        assert [entry.kind for entry in entries] == ["opened"]


# --- a number whose log is missing ---------------------------------------------------------------


def without_log(book: Logbook) -> str:
    """Take a number and fail to make its log; what was told last."""
    book.make(Files())
    probe = Faulty()
    new_log(Logbook(book.root.parent / "probe"), "MAIN", keeper(probe), HEAD)[1].close()
    # the log is the last file that is linked to its name
    at = max(i for i, call in enumerate(probe.calls, start=1) if call == "link")
    with pytest.raises(NotDone) as caught:
        new_log(book, "MAIN", keeper(Faulty(at, "refuse", errno.ENOSPC)), HEAD)
    assert book.numbers(Files(), "MAIN") == []
    return caught.value.lines[-1]


def test_the_command_that_goes_on_is_named_and_does(run: Any, book: Logbook) -> None:
    told = without_log(book)
    assert told == (
        "Number MAIN-000001 is taken. No log? Go on: open run --number MAIN-000001; or void it."
    )
    gone_on = run(*told.partition("Go on: ")[2].partition(";")[0].split(), *BY)
    assert (gone_on.status, gone_on.err) == (DONE, "")
    assert str(book.log(LogName("MAIN", 1))) in gone_on.out
    (first,) = entries_of(book)
    assert (first.kind, first.values["title"]) == ("opened", "Grey Heron")
    entered(run, ("note", "text=at last"))
    assert "MAIN-000002" in run("open", "run", *BY).out


NEEDS_REGISTER = (
    ("enter", "2", "note", "text=x", *BY),
    ("void", "2", "--reason", "x", *BY),
    ("open", "run", "--number", "2", *BY),
    ("seal", "2", "--name", "K. Berg", "--role", "assayer", *BY),
    ("reissue", "2", "--reason", "x", *BY),
    ("countersign", "2", "--name", "K. Berg", "--role", "assayer", "--text", "x", *BY),
)


@pytest.mark.parametrize("words", NEEDS_REGISTER, ids=lambda words: words[0])
def test_a_number_of_a_register_that_cannot_be_read_is_not_denied(
    run: Any, book: Logbook, words: tuple[str, ...]
) -> None:
    for title in ("one", "two"):
        run("open", "run", "--title", title, *BY)
    register = book.register("MAIN")
    whole = register.read_bytes()
    register.write_bytes(whole.replace(b"two", b"owt"))
    damaged = run(*words)
    register.unlink()
    gone = run(*words)
    assert not register.exists()
    register.write_bytes(whole[: whole.index(b"[[entry]]", whole.index(b"one"))])
    behind = run(*words)
    assert [one.status for one in (damaged, gone, behind)] == [NOT_DONE, NOT_DONE, BAD_INPUT]
    assert "MAIN.toml: line 28, byte" in damaged.err
    assert "MAIN has logs and no register MAIN.toml" in gone.err
    assert "number 2 was never allotted." in behind.err


def test_a_file_without_one_whole_entry_is_gone_on_with(run: Any, book: Logbook) -> None:
    run("open", "run", *BY)
    path = book.log(LogName("MAIN", 1))
    torn = path.read_bytes()[:60]
    path.write_bytes(torn)
    refused = run("enter", "1", "note", "text=x", *BY)
    assert refused.status == NOT_DONE
    assert "MAIN-000001 holds no whole entry" in refused.err
    assert "open run --number MAIN-000001" in refused.err
    assert run("open", "run", "--number", "1", "--title", "anew", *BY).status == DONE
    assert [e.kind for e in entries_of(book)] == ["opened", "recovered"]
    assert entries_of(book)[0].values["title"] == "anew"
    assert path.with_name("000001.torn-1").read_bytes() == torn
    path.write_bytes(b"")
    assert run("open", "run", "--number", "1", *BY).status == DONE
    assert entries_of(book)[0].kind == "opened"


def test_only_a_number_without_its_log_is_gone_on_with(run: Any, book: Logbook) -> None:
    run("open", "run", *BY)
    run("open", "circuit", *BY)
    run("void", "2", "--reason", "rain", *BY)
    book.log(LogName("MAIN", 2)).unlink()

    def said(*line: str) -> str:
        outcome = run("open", *line, *BY)
        assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
        return str(outcome.err)

    assert "MAIN-000001 has its log, with 1 entries" in said("run", "--number", "1")
    assert "number 2 is void: rain" in said("circuit", "--number", "2")
    assert "is of a circuit test. Write open circuit --number" in said("run", "--number", "2")
    assert "number 3 was never allotted" in said("run", "--number", "3")
    assert "is not a log" in said("run", "--number", "x")
    assert entries_of(book)[0].kind == "opened"


# --- files beside a log --------------------------------------------------------------------------


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "tray 12.jpg"
    path.write_bytes(b"a tray")
    return path


def attachment(path: Path, *more: str) -> tuple[str, ...]:
    return ("attachment", f"file={path}", *more)


def test_a_file_is_copied_beside_the_log_with_its_digest(
    run: Any, book: Logbook, photo: Path
) -> None:
    run_with_gold(run)
    entered(run, attachment(photo, "sample=T-1"))
    entry = entries_of(book)[-1]
    assert entry.values == {
        "file": "tray 12.jpg",
        "size": 6,
        "sha256": hashlib.sha256(b"a tray").hexdigest(),
        "sample": "T-1",
    }
    copy = book.attached(LogName("MAIN", 1)) / "tray 12.jpg"
    assert copy.read_bytes() == photo.read_bytes() == b"a tray"
    assert run("show", "1", "--json").json["flags"] == []
    assert value_of(run("results", "1").out, "tray 12.jpg") == "T-1 6 bytes"
    copy.write_bytes(b"a tree")
    told = run("show", "1", "--json").json["flags"]
    assert [flag["code"] for flag in told] == ["attachment_changed"]
    copy.unlink()
    assert "is not beside the log" in " ".join(run("show", "1").out.split())
    copy.with_name("left.jpg").write_bytes(b"x")
    told = run("show", "1", "--json").json["flags"]
    assert [flag["code"] for flag in told] == ["attachment_gone", "attachment_unnamed"]


@pytest.mark.parametrize(
    ("keys", "lines"),
    [
        ((), ["file is missing: its name."]),
        (("file=",), ["file: "]),
        (("file=none.jpg",), ['file: "none.jpg" cannot be read: there is no such file or folder.']),
        (("file=.",), ['file: "." is a folder. Give one file.']),
        (("file=/dev/null",), ["is no ordinary file."]),
        (("file=none.jpg", "size=3", "sha256=ab"),
         ["size is worked out", "sha256 is worked out", "no such file"]),
        (("file=none.jpg", "when=now"), ["no such file", '"when" is not known here']),
        (("file=none.jpg", "sample=T 9?"), ["no such file", 'sample: "T 9?" is not an id']),
    ],
)  # fmt: skip
def test_what_cannot_be_attached_is_told_and_nothing_is_made(
    run: Any, book: Logbook, keys: tuple[str, ...], lines: list[str]
) -> None:
    run("open", "run", *BY)
    outcome = run("enter", "1", "attachment", *keys, *BY)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    assert len(outcome.faults) == len(lines)
    assert all(any(said in line for line in outcome.faults) for said in lines), outcome.err
    assert not book.attached(LogName("MAIN", 1)).exists()
    assert len(entries_of(book)) == 1


def test_a_name_of_a_sample_that_is_not_there_copies_nothing(
    run: Any, book: Logbook, photo: Path
) -> None:
    run("open", "run", *BY)
    outcome = run("enter", "1", *attachment(photo, "sample=T-9"), *BY)
    assert (outcome.status, len(outcome.faults)) == (BAD_INPUT, 1)
    assert not book.attached(LogName("MAIN", 1)).exists()


def test_a_file_is_kept_beside_a_practice_log_too(run: Any, practice: Logbook, photo: Path) -> None:
    run("open", "run", "--practice", *BY)
    entered(run, attachment(photo), number="P-1")
    assert (practice.attached(LogName("P", 1)) / "tray 12.jpg").read_bytes() == b"a tray"
    assert len(run("show", "P-1", "--json").json["flags"]) == 1
