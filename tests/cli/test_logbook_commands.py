"""Entries as from a shell: what is stored, printed, refused, corrected, left out, made void."""

import re
import subprocess
import sys
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE
from assaybench.cli.enter import BY_THE_PROGRAM, ENTERED
from assaybench.logbook.folder import Logbook, LogName
from assaybench.record.kinds import BY_NAME
from tests.cli.entered import BY, DEMO, FINE, book, entered, entries_of, reading, run_with_gold
from tests.house.test_floors import modules_after

__all__ = ["book"]


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
