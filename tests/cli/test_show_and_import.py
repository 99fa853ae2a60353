"""Logs shown, their results, and sheets that are imported, as from a shell."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE, NOT_GOOD
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from tests.cli.entered import BY, DEMO, book, entered, entries_of, run_with_gold

__all__ = ["book"]


def test_show_has_every_entry_in_order_with_the_struck_and_the_withdrawn(
    run: Any, book: Logbook
) -> None:
    run_with_gold(run)
    run("correct", "1", "6", "text=1.337", "--reason", "first", *BY)
    run("correct", "1", "6", "text=1.327", "raw=+1.327", "--reason", "second", *BY)
    entered(run, ("note", "text=by mistake"), ("withdrawn", "entry=9", "reason=no need"))
    shown = run("show", "1")
    assert shown.status == DONE
    numbers = re.findall(r"^ {4} *(\d+)  \d\d:\d\d  KB  ", shown.out, re.MULTILINE)
    assert [int(n) for n in numbers] == [*range(1, 11)]
    assert re.search(r"text: struck 1\.372  1\.337 KB \d\d:\d\d: first", shown.out)
    assert re.search(r"text: struck 1\.337  1\.327 KB \d\d:\d\d: second", shown.out)
    assert re.search(r"raw: \+1\.327 KB \d\d:\d\d: second", shown.out)
    assert re.search(r"withdrawn KB \d\d:\d\d: no need", shown.out)
    assert max(len(line) for line in shown.out.splitlines()) <= 76
    answer = run("show", "1", "--json").json
    entry = answer["entries"][5]
    assert (entry["values"]["text"], entry["now"]["text"]) == ("1.372", "1.327")
    assert [a["values"]["reason"] for a in entry["amendments"]] == ["first", "second"]
    assert answer["entries"][8]["withdrawn"]["values"]["reason"] == "no need"
    assert answer["log"][0]["state"] == "sound"
    plain = run("show", "1", "--plain").out
    assert plain.isascii()
    # an entry is one line there, however long
    assert len(re.findall(r"^[0-9]+ \w+ [0-9]{4}: +[0-9]+  ", plain, re.MULTILINE)) == len(
        answer["entries"]
    )
    assert not re.search(r"^[0-9]+ \w+ [0-9]{4}:  +\w+=", plain, re.MULTILINE)


def test_results_of_a_number_are_those_of_its_entries(run: Any, book: Logbook) -> None:
    run_with_gold(run)
    answer = run("results", "1", "--json").json
    assert answer["inputs"] == {"log": "MAIN-000001", "samples": []}
    (sample,) = answer["samples"]
    # 1.372 mg of 20.00 g: 1000 × 1.372 / 20.00
    assert sample["figures"]["grade_gold"]["value"] == pytest.approx(68.60)
    assert run("results", "000001", "--json").json == answer
    one = run("results", "1", "--sample", "T-1", "--sum")
    assert (one.status, "68.60" in one.out) == (DONE, True)
    assert '"T-2" is not a sample' in run("results", "1", "--sample", "T-2").err


@pytest.mark.parametrize("sheet", ["furnace-run", "gravity-test", "metallics-and-bar"])
def test_an_imported_sheet_has_the_answer_of_the_sheet(run: Any, book: Logbook, sheet: str) -> None:
    file = str(DEMO / f"{sheet}.toml")
    outcome = run("import", file, "--by", "OF")
    assert outcome.status == DONE
    assert "entered from paper, dated" in outcome.out
    paper, log = run("results", file, "--json").json, run("results", "1", "--json").json
    (on_paper,), (in_log,) = paper.pop("sheet"), log.pop("log")
    assert (in_log["title"], in_log["date"]) == (on_paper["title"], on_paper["date"])
    assert in_log["from_paper"] is True
    del paper["inputs"], log["inputs"]
    assert json.dumps(log) == json.dumps(paper)
    opened, *_, note = entries_of(book)
    assert opened.values["paper_date"] == on_paper["date"]
    assert "entered from paper" in note.values["text"]
    assert f"{sheet}.toml" in note.values["text"]
    assert {entry.by for entry in entries_of(book)} == {"OF"}


def test_a_sheet_that_is_in_a_log_already_is_told(run: Any, book: Logbook, tmp_path: Path) -> None:
    file = str(DEMO / "gravity-test.toml")
    other = tmp_path / "other.toml"
    other.write_bytes(Path(file).read_bytes() + b"# looked over\n")
    for sheet in (file, str(other)):
        assert "This very sheet" not in run("import", sheet, *BY).out
    again = run("import", file, *BY)
    assert again.status == DONE
    assert "This very sheet is in MAIN-000001 already; now both count." in again.out
    assert "assaybench void MAIN-000003 --reason TEXT" in again.out
    assert run("void", "1", "--reason", "twice", *BY).status == DONE
    assert run("void", "3", "--reason", "twice", *BY).status == DONE
    assert "This very sheet" not in run("import", file, *BY).out
    assert book.numbers(Files(), "MAIN") == [1, 2, 3, 4]


def test_a_sheet_with_faults_takes_no_number(run: Any, book: Logbook, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.toml"
    text = (DEMO / "furnace-run.toml").read_text("utf-8").replace('step = "0.001 mg"', "step = 1")
    sheet.write_text(text, "utf-8")
    outcome = run("import", str(sheet), *BY)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    assert "balances[1].step: " in outcome.err
    assert not book.root.exists()


def test_a_log_damaged_from_its_first_line_is_not_said_to_be_empty(run: Any, book: Logbook) -> None:
    """As an editor leaves it that changes the line ends."""
    run("open", "run", *BY)
    path = book.log(LogName("MAIN", 1))
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    before = path.read_bytes()
    for words in (("results", "1"), ("report", "1", "--text")):
        outcome = run(*words)
        assert (outcome.status, outcome.out) == (NOT_GOOD, "")
        assert "000001.toml is damaged and only read: line 1, byte 9: the line ends in CR" in (
            outcome.err
        )
    assert run("show", "1").status == NOT_GOOD
    assert run("enter", "1", "note", "text=x", *BY).status == NOT_DONE
    assert path.read_bytes() == before


def test_a_damaged_log_is_shown_up_to_its_first_bad_line_and_takes_nothing(
    run: Any, book: Logbook
) -> None:
    run_with_gold(run)
    path = book.log(LogName("MAIN", 1))
    changed = path.read_bytes().replace(b'text = "1.372"', b'text = "1.872"')
    path.write_bytes(changed)
    shown = run("show", "1", "--json")
    assert shown.status == NOT_GOOD
    assert [entry["id"] for entry in shown.json["entries"]] == [1, 2, 3, 4, 5]
    assert [flag["code"] for flag in shown.json["flags"]] == ["log_damaged"]
    found = run("results", "1")
    assert (found.status, "is damaged and only read" in found.out) == (NOT_GOOD, True)
    entered_into = run("enter", "1", "note", "text=x", *BY)
    assert (entered_into.status, entered_into.out) == (NOT_DONE, "")
    assert "is damaged and only read" in entered_into.err
    assert path.read_bytes() == changed


def test_a_copy_under_another_number_is_told(run: Any, book: Logbook) -> None:
    run_with_gold(run)
    copy = book.log(LogName("MAIN", 2))
    copy.write_bytes(book.log(LogName("MAIN", 1)).read_bytes())
    flags = {f["code"]: f["text"] for f in run("show", "2", "--json").json["flags"]}
    assert flags == {
        "log_other": "MAIN-000002 holds the log MAIN-1: a copy under another name?",
    }
    refused = run("enter", "2", "note", "text=x", *BY)
    assert "number 2 was never allotted." in refused.err


def test_import_takes_samples_in_columns(run: Any, book: Logbook, tmp_path: Path) -> None:
    head, table = tmp_path / "head.toml", tmp_path / "samples.csv"
    head.write_bytes(
        b'[sheet]\nlog = "furnace run"\ntitle = "Monday"\ndate = 2026-06-09\nby = "KB"\n'
        b'[[balances]]\nname = "fine"\nstep = "0.001 mg"\nweighs = ["gold"]\n'
    )
    table.write_bytes(b"id;silver;gold mg\nT-1;none;0,261\nT-2;none;heavy\n")
    refused = run("import", str(table), "--head", str(head), *BY)
    assert refused.status == BAD_INPUT
    assert 'line 3, gold: "heavy' in refused.err
    assert not book.root.exists()
    alone = run("import", str(table), *BY)
    assert (alone.status, "--head HEAD.toml" in alone.err) == (BAD_INPUT, True)
    table.write_bytes(b"id;silver;gold mg\nT-1;none;0,261\nT-2;none;0,262\n")
    assert run("import", str(table), "--head", str(head), *BY).status == DONE
    entries = entries_of(book)
    assert [e.values["text"] for e in entries if e.kind == "reading"] == ["0,261", "0,262"]
    assert entries[0].values["paper_date"] == "2026-06-09"
    assert "samples.csv" in entries[-1].values["text"]
