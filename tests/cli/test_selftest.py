"""`selftest`, as from a shell: what it prints, where its record goes, how it ends."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from assaybench.bench.start import make_demo
from assaybench.cli import selftest
from assaybench.cli.app import BAD_INPUT, DONE, NOT_GOOD
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.reading import read_log
from assaybench.logbook.selftest_record import surroundings
from assaybench.published.run import load_cases
from assaybench.published.selftest import check_all
from assaybench.report.answer import Style, text_of
from tests.logbook.sealable import content

BY = ("--by", "KB")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Logbook:
    """A logbook that the environment names; nothing is in it."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Logbook(tmp_path / "book")


def kinds(book: Logbook, n: int) -> list[str]:
    entries, verdict = read_log(Files(), book.log(LogName("MAIN", n)))
    assert verdict.state == "sound"
    return [entry.kind for entry in entries]


def test_it_prints_a_table_by_subject_and_writes_nothing(run: Any, book: Logbook) -> None:
    outcome = run("selftest")
    assert (outcome.status, outcome.err) == (DONE, "")
    assert "  Agrees.\n" in outcome.out
    assert "    subject " in outcome.out
    assert "    gum " in outcome.out
    assert all(len(line) <= 79 for line in outcome.out.splitlines())
    assert not book.root.exists()
    plain = run("selftest", "--plain")
    assert plain.out.isascii()
    assert plain.out.startswith("verdict: agrees\n")


def test_names_of_json_are_the_golden_ones(run: Any, book: Logbook) -> None:
    answer = run("selftest", "--json").json
    assert set(answer["inputs"]) == {"program", "method_version", "python", "platform"}
    golden = {
        "subjects": {"id", "cases", "seen", "sources", "answers", "agree", "worst"},
        "cases": {"id", "subject", "title", "source", "evidence", "agrees", "answers"},
        "libraries": {"id", "version"},
    }
    for name, keys in golden.items():
        assert answer[name], name
        assert all(set(record) == keys for record in answer[name])
    assert answer["subjects"][-1]["id"] == "all"
    assert answer["verdict"]["code"] == "selftest_agree"


def test_a_record_makes_a_log_that_holds_the_table_and_a_note(run: Any, book: Logbook) -> None:
    answer = run("selftest", "--record", "--json", *BY).json
    (place,) = answer["record"]
    assert (place["id"], place["entries"]) == ("MAIN-000001", [2, 3])
    assert kinds(book, 1) == ["opened", "attachment", "note"]
    kept = book.attached(LogName("MAIN", 1)) / place["file"]
    assert tomllib.loads(kept.read_text("utf-8"))["self_test"]["outcome"] == "agrees"
    assert "self-test" in run("show", "1").out


def test_a_record_goes_into_an_open_log_by_number(run: Any, book: Logbook) -> None:
    assert run("open", "self-test", *BY).status == DONE
    assert run("selftest", "--record", "1", *BY).status == DONE
    assert run("selftest", "--record", "1", *BY).status == DONE
    assert kinds(book, 1) == ["opened", "attachment", "note", "attachment", "note"]
    assert len(list(book.attached(LogName("MAIN", 1)).iterdir())) == 2
    assert run("logbook", "--kind", "self-test").out.count("MAIN-000001") == 1


def test_a_record_of_a_practice_log_says_practice_on_every_line(run: Any, book: Logbook) -> None:
    assert run("open", "run", "--practice", *BY).status == DONE
    out = run("selftest", "--record", "P-1", *BY).out
    assert all(line.lower().startswith("practice") for line in out.splitlines() if line)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("--record", "--by", ""), "--by"),
        (("--record",), "--by is missing"),
        (("--record", "7", *BY), "MAIN-000007"),
        (("--record", "seven", *BY), '"seven"'),
        (("--record", "1", "--record", "2", *BY), "--record"),
        (("12",), '"12"'),
        (("--json", "--plain"), "--json"),
    ],
)
def test_bad_input_is_one_line_and_nothing_is_written(
    run: Any, book: Logbook, line: tuple[str, ...], said: str
) -> None:
    outcome = run("selftest", *line)
    assert outcome.status == BAD_INPUT
    assert outcome.out == ""
    (fault,) = outcome.faults
    assert said in fault
    assert not book.root.exists()


def test_what_does_not_agree_is_named_and_ends_with_one() -> None:
    case, other = load_cases()[:2]
    first = replace(case.answers[0], printed="1e9", unrounded=1e9, tolerance=1.0)
    checked = [
        *check_all([replace(case, answers=(first,))]),
        *check_all([replace(other, inputs={})]),
    ]
    assert selftest.status_of(checked) == NOT_GOOD
    page = text_of(selftest.answer(checked, surroundings()), Style())
    assert "  Does not agree.\n  2 of 2 published cases do not agree on this machine" in page
    assert f"    {case.id}, {first.name}: found " in page
    assert f"    {other.id}: not worked out, TypeError" in page
    assert selftest.status_of(check_all([case])) == DONE


def test_a_sealed_log_takes_no_record_and_an_open_one_stays_good(
    run: Any, book: Logbook, tmp_path: Path
) -> None:
    make_demo(book)
    before = content(book)
    outcome = run("selftest", "--record", "4", *BY)
    assert outcome.status != DONE
    assert "the log is sealed and takes no entries" in outcome.err
    assert content(book) == before
    assert run("selftest", "--record", "8", *BY).status == DONE
    assert run("verify").status == DONE
