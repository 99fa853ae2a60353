"""The commands of the logbook, as from a shell: what they store, print and refuse."""

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE, NOT_GOOD
from assaybench.cli.enter import BY_THE_PROGRAM, ENTERED
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.record.kinds import BY_NAME
from tests.house.test_floors import modules_after
from tests.reliability.faulty import keeper

DEMO = Path(__file__).parents[2] / "demo"
BY = ("--by", "KB")
FINE = ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10", "weighs=bead",
        "weighs=gold")  # fmt: skip
PULP = ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10", "weighs=charge")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Logbook:
    """An empty logbook that the environment names; no settings of this machine count."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Logbook(tmp_path / "book")


def entries_of(book: Logbook, number: int = 1, bench: str = "MAIN") -> Any:
    return read_log(Files(), book.log(LogName(bench, number)))[0]


def entered(run: Any, *rows: tuple[str, ...], number: str = "1") -> None:
    for row in rows:
        outcome = run("enter", number, *row, *BY)
        assert (outcome.status, outcome.err) == (DONE, "")


def reading(what: str, text: str, sample: str) -> tuple[str, ...]:
    unit, balance = ("g", "pulp") if what == "charge" else ("mg", "fine")
    return (
        "reading", f"what={what}", f"text={text}", f"unit={unit}", f"balance={balance}",
        f"sample={sample}",
    )  # fmt: skip


def run_with_gold(run: Any) -> None:
    """A log with one sample, its charge and its gold: entries 1 to 6."""
    assert run("open", "run", *BY).status == DONE
    sample = ("sample", "id=T-1", "role=sample", "silver=none")
    entered(run, FINE, PULP, sample, reading("charge", "20.00", "T-1"))
    entered(run, reading("gold", "1.372", "T-1"))


# --- open ----------------------------------------------------------------------------------------


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


# --- enter ---------------------------------------------------------------------------------------


def test_every_kind_can_be_entered_but_those_the_program_writes(run: Any, book: Logbook) -> None:
    assert {*ENTERED} == {*BY_NAME} - {*BY_THE_PROGRAM}
    assert {*BY_THE_PROGRAM} == {
        "opened", "session", "recovered", "results", "replaces", "sealed",
    }  # fmt: skip
    run("open", "run", *BY)
    for kind in BY_THE_PROGRAM:
        outcome = run("enter", "1", kind, *BY)
        assert outcome.status == BAD_INPUT
        assert f'"{kind}" is not a kind of entry here.' in outcome.err
    page = run("enter", "--help").out
    assert all(re.search(rf"^  {kind}:", page, re.MULTILINE) for kind in ENTERED)
    assert len(entries_of(book)) == 1


def test_values_are_stored_as_their_keys_are(run: Any, book: Logbook) -> None:
    run("open", "run", *BY)
    entered(run, FINE, ("note", "text= a remark ", "releases=yes"))
    _, balance, note = entries_of(book)
    assert balance.values == {
        "name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10,
        "weighs": ["bead", "gold"],
    }  # fmt: skip
    assert note.values == {"text": "a remark", "releases": True}
    assert (note.n, note.by) == (3, "KB")


def test_what_was_stored_is_printed_with_its_number(run: Any, book: Logbook) -> None:
    run("open", "run", *BY)
    outcome = run("enter", "1", *FINE, *BY, "--json")
    (stored,) = outcome.json["entries"]
    assert (stored["id"], stored["kind"], stored["by"]) == (2, "balance", "KB")
    assert stored["values"]["weighs"] == ["bead", "gold"]
    page = run("enter", "1", "sample", "id=T-1", "role=sample", *BY).out
    assert "entry 3 of MAIN-000001" in page
    assert "sample   id=T-1 role=sample" in page


def test_every_fault_is_one_line_and_nothing_is_written(run: Any, book: Logbook) -> None:
    run("open", "run", *BY)
    before = book.log(LogName("MAIN", 1)).read_bytes()
    bad = ("what=gld", "text=1,x", "unit=mgg", "sample=T-1", "sample=T-2", "stray", "colour=red")
    outcome = run("enter", "1", "reading", *bad, "--by", "K2")
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    named = ("--by: ", "sample: ", '"stray" is not key=value', '"colour" is not known here',
             "what: ", "text: ", "unit: ", "balance is missing")  # fmt: skip
    assert len(outcome.faults) == len(named)
    for part in named:
        assert sum(f"assaybench enter: {part}" in fault for fault in outcome.faults) == 1
    assert book.log(LogName("MAIN", 1)).read_bytes() == before


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (reading("gold", "1.2", "T-9"), 'entry 7, sample: "T-9" is not among the samples'),
        (("reading", "what=gold", "text=1", "unit=mg", "balance=x", "sample=T-1"), '"x"'),
        (("sample", "id=T-1", "role=blank"), 'entry 7, id: "T-1" is there already'),
        (("sample", "id=T-2", "role=duplicate", "of=T-9"), 'entry 7, of: "T-9" is not among'),
        (("sample", "id=T-2", "role=sample", "lots=K-1"), 'entry 7, lots: "K-1" is not among'),
        (("withdrawn", "entry=4", "reason=x"), 'entry 5, sample: "T-1" is not among'),
        (("withdrawn", "entry=2", "reason=x"), 'entry 6, balance: "fine" is not among'),
        (("amendment", "entry=4", "id=T-2", "reason=x"), 'entry 5, sample: "T-1" is not among'),
        (("withdrawn", "entry=1", "reason=x"), "entry 1 is opened"),
        (("withdrawn", "entry=70", "reason=x"), '"70" is not an entry before this one'),
    ],
)
def test_a_name_that_would_stand_for_nothing_is_refused_before_it_is_stored(
    run: Any, book: Logbook, row: tuple[str, ...], said: str
) -> None:
    run_with_gold(run)
    outcome = run("enter", "1", *row, *BY)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    assert said in outcome.err
    assert len(entries_of(book)) == 6
    assert run("results", "1").status == DONE


# --- correct, leave-out, void --------------------------------------------------------------------


def test_a_correction_names_the_entry_and_gives_only_what_changes(run: Any, book: Logbook) -> None:
    run_with_gold(run)
    outcome = run("correct", "1", "6", "text=1.327", "--reason", "digits swapped", "--by", "MQ")
    assert outcome.status == DONE
    assert re.search(r"text: struck 1\.372  1\.327 MQ \d\d:\d\d: digits swapped", outcome.out)
    assert "68.60 ± 0.23 g/t, now 66.35 ± 0.23 g/t" in outcome.out
    last = entries_of(book)[-1]
    assert (last.kind, last.by) == ("amendment", "MQ")
    assert last.values == {"entry": 6, "reason": "digits swapped", "text": "1.327"}


def test_a_correction_of_a_circuit_shows_what_follows_from_it(run: Any, book: Logbook) -> None:
    assert run("open", "circuit", *BY).status == DONE
    for line in (
        ("product=feed", "mass=400 kg"),
        ("product=concentrate", "metal=12.0 ± 0.1 mg"),
        ("product=rerun", "metal=3.0 ± 0.1 mg"),
    ):
        assert run("enter", "1", "circuit", *line, *BY).status == DONE
    outcome = run("correct", "1", "2", "mass=200 kg", "--reason", "slip", *BY)
    assert (outcome.status, outcome.err) == (DONE, "")
    assert "circuit, head" in outcome.out.split("Figures that changed")[1]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("6", "text=1.3"), "--reason is missing"),
        (("6", "--reason", "x"), "nothing is given anew. Give one of what, text, unit"),
        (("6", "txt=1.3", "--reason", "x"), '"txt" is not known here'),
        (("6", "text=1.3 mg", "--reason", "x"), "text: "),
        (("6", "entry=5", "--reason", "x"), "nothing is given anew"),
        (("1", "number=7", "--reason", "x"), "entry 1 is opened; it is neither changed"),
        (("1", "text=7", "--reason", "x"), "entry 1 is opened; it is neither changed"),
        (("70", "text=1", "--reason", "x"), '"70" is not an entry before this one; there are 6.'),
    ],
)
def test_a_correction_that_says_nothing_is_refused(
    run: Any, book: Logbook, line: tuple[str, ...], said: str
) -> None:
    run_with_gold(run)
    outcome = run("correct", "1", *line, *BY)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    assert said in outcome.err
    assert len(outcome.faults) == 1
    assert len(entries_of(book)) == 6


def test_a_sample_is_left_out_once_and_only_when_it_is_there(run: Any, book: Logbook) -> None:
    run_with_gold(run)
    missing = run("leave-out", "1", "T-7", "--reason", "spilt", *BY)
    assert '"T-7" is not a sample of this log. Its samples are T-1.' in missing.err
    done = run("leave-out", "1", "T-1", "--reason", "spilt", *BY)
    assert (done.status, entries_of(book)[-1].kind) == (DONE, "left_out")
    again = run("leave-out", "1", "T-1", "--reason", "burnt", *BY)
    assert (again.status, '"T-1" is left out already: spilt' in again.err) == (BAD_INPUT, True)
    assert len(entries_of(book)) == 7


def test_a_sample_may_be_called_like_a_unit_or_a_number(run: Any, book: Logbook) -> None:
    run("open", "run", *BY)
    for name in ("1", "g", "oz"):
        entered(run, ("sample", f"id={name}", "role=sample"))
        assert run("leave-out", "1", name, "--reason", "spilt", *BY).status == DONE
    assert [e.values["sample"] for e in entries_of(book) if e.kind == "left_out"] == [
        "1",
        "g",
        "oz",
    ]


def test_a_void_number_stays_taken_takes_no_entries_and_can_be_read(
    run: Any, book: Logbook
) -> None:
    run_with_gold(run)
    assert run("void", "1", "--reason", "opened twice", *BY).status == DONE
    refused = run("enter", "1", "note", "text=x", *BY)
    assert (refused.status, "number 1 is void: opened twice" in refused.err) == (BAD_INPUT, True)
    assert run("void", "1", "--reason", "again", *BY).status == BAD_INPUT
    assert "number 1 is void: opened twice" in run("show", "1").out
    assert "number 1 is void: opened twice" in run("results", "1").out
    assert "MAIN-000002" in run("open", "run", *BY).out


# --- show, results, import -----------------------------------------------------------------------


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


def test_the_quick_sum_loads_none_of_it() -> None:
    code = (
        "import sys; sys.modules['numpy'] = None\n"
        "from assaybench.cli.app import main\n"
        "main(['weigh', '0.31mg', '--readability', '0.01mg'])"
    )
    loaded = modules_after(code)
    own = {name for name in loaded if name.startswith("assaybench.logbook")}
    assert own == {"assaybench.logbook", "assaybench.logbook.faults"}
    names = ("logbooks", "storing", "enter", "show", "entry_lines", "trial", "log_results")
    assert not loaded & {f"assaybench.cli.{name}" for name in names}


def test_commands_at_the_same_time_wait_for_each_other(book: Logbook, run: Any) -> None:
    run("open", "run", *BY)
    line = (sys.executable, "-m", "assaybench", "enter", "1", "note")
    started = [
        subprocess.Popen([*line, f"text=note {i}", *BY], stdout=subprocess.PIPE, cwd=DEMO.parent)
        for i in range(4)
    ]
    printed = [process.communicate(timeout=60)[0].decode() for process in started]
    assert [process.returncode for process in started] == [DONE] * 4
    stored = entries_of(book)[1:]
    assert {e.values["text"] for e in stored} == {f"note {i}" for i in range(4)}
    # each printed the number it was stored under
    for i, page in enumerate(printed):
        (own,) = [e for e in stored if e.values["text"] == f"note {i}"]
        assert f"entry {own.n} of MAIN-000001" in page


LIMITED = (
    "import resource, sys\n"
    "most = int(sys.argv[1])\n"
    "resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))\n"
    "from assaybench.cli.app import main\n"
    "sys.exit(main(sys.argv[2:]))\n"
)


def test_nothing_is_said_to_be_stored_when_the_disk_took_half_of_it(
    book: Logbook, run: Any
) -> None:
    run_with_gold(run)
    path = book.log(LogName("MAIN", 1))
    before = path.read_bytes()
    size = str(len(before) + 60)
    line = ("enter", "1", "note", "text=one more", *BY)
    refused = subprocess.run(
        [sys.executable, "-B", "-c", LIMITED, size, *line],
        capture_output=True,
        check=False,
        cwd=DEMO.parent,
        timeout=60,
    )
    assert (refused.returncode, refused.stdout) == (NOT_DONE, b"")
    assert b"assaybench enter: Not stored: " in refused.stderr
    assert path.read_bytes() == before
    assert "entry 7 of MAIN-000001" in run(*line).out


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
