"""A run open at the bench: nothing is stored unchecked, everything stored is on the disk."""

from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run, open_run, practice_run
from assaybench.logbook.faults import LogBusy
from assaybench.logbook.reading import read_log
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.seal import seal
from assaybench.messages import BadInput
from assaybench.record.replay import replay
from tests.bench.conftest import Clock
from tests.bench.hands import FINE, PULP, read_rows, reopened, sample_rows
from tests.logbook.sealable import HEAD, signer_in


def test_an_entry_is_on_the_disk_when_append_returns(desk: Desk) -> None:
    run = new_run(desk)
    run.append("note", {"text": "cold morning"})
    entries, verdict = read_log(desk.files, run.file.path)
    assert entries == run.entries
    assert verdict.state == "sound"


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        ("reading", {"what": "bead", "text": "0.3", "unit": "mg", "balance": "none such"}),
        ("reading", {"what": "bead", "text": "three", "unit": "mg", "balance": "fine"}),
        ("sample", {"id": "KV-1", "role": "sample"}),
        ("note", {"text": "x", "sample": "nobody"}),
    ],
)
def test_an_entry_with_a_fault_changes_nothing(
    desk: Desk, kind: str, values: dict[str, object]
) -> None:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"))])
    before = run.file.path.read_bytes(), list(run.entries), run.state
    with pytest.raises(BadInput):
        run.append(kind, values)
    with pytest.raises(BadInput):
        run.append_all([("note", {"text": "good"}), (kind, values)])
    assert (run.file.path.read_bytes(), run.entries, run.state) == before


def test_the_state_is_always_a_replay_of_the_disk(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1"), ("KV-2", "A2"))])
    run.append_all(read_rows("fine", "bead", [("KV-1", "0.314"), ("KV-2", "0.298")], "mg"))
    run.append("amendment", {"entry": run.entries[-1].n, "text": "0.289", "reason": "re-read"})
    entries, _ = read_log(desk.files, run.file.path)
    assert replay(entries) == run.state


def test_every_entry_carries_the_initials_of_who_works_then(desk: Desk) -> None:
    run = new_run(desk)
    run.append("note", {"text": "one"})
    desk.switch("IM")
    run.append("note", {"text": "two"})
    desk.switch("KB")
    run.append("note", {"text": "three"})
    assert [e.by for e in run.entries] == ["KB", "KB", "IM", "KB"]
    assert [e.by for e in reopened(desk, run).entries[:4]] == ["KB", "KB", "IM", "KB"]


@pytest.mark.parametrize("initials", ["", "K B", "K1", "TOOLONGX"])
def test_what_cannot_be_initials_changes_nobody(desk: Desk, initials: str) -> None:
    with pytest.raises(BadInput):
        desk.switch(initials)
    assert desk.by == "KB"


def test_without_initials_nothing_is_opened(desk: Desk) -> None:
    desk.by = ""
    with pytest.raises(BadInput, match="Nobody said who weighs"):
        new_run(desk)
    assert desk.book.numbers(desk.files, "MAIN") == []


def test_a_run_is_open_once(desk: Desk) -> None:
    run = new_run(desk)
    assert run.name is not None
    with pytest.raises(LogBusy):
        open_run(desk, run.name)
    run.close()
    open_run(desk, run.name).close()


def test_going_on_after_a_while_tells_the_gap(desk: Desk, clock: Clock) -> None:
    run = new_run(desk)
    run.append("note", {"text": "x"})
    assert run.resumed() is None
    clock.go_on(29)
    run = reopened(desk, run)
    broke = run.resumed()
    assert broke is not None
    assert "29 min" in broke.sentence
    assert run.entries[-1].kind == "session"


def test_an_aim_of_the_settings_is_an_entry_so_results_use_it(desk: Desk) -> None:
    assert new_run(desk).aim == 0.01
    desk.settings = desk.settings._replace(aim="2 %")
    run = new_run(desk)
    assert run.aim == 0.02
    assert run.state.methods["aim"] == "2 %"
    desk.settings = desk.settings._replace(aim="5 %")
    assert reopened(desk, run).aim == 0.02


def test_practice_stands_outside_the_logbook_without_a_number(desk: Desk) -> None:
    run = practice_run(desk)
    assert run.practice
    assert run.name is None
    assert desk.practice in run.file.path.parents
    assert not desk.book.registers.exists()
    assert [e.kind for e in run.entries] == ["opened"]
    assert run.entries[0].values["practice"] is True


def test_a_candidate_is_weighed_as_it_would_be_once_it_is_stored(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"))])
    zero = {"what": "zero", "text": "0.002", "unit": "mg", "balance": "fine"}
    run.append("reading", zero)
    for text in ("0.184", "0.186"):
        trial = run.seen("KV-1", "bead", text, "fine")
        run.append_all(read_rows("fine", "bead", [("KV-1", text)], "mg"))
        stored = run.seen("KV-1", "bead")
        assert trial is not None
        assert stored is not None
        assert trial.weighing.net_mg == stored.weighing.net_mg
        assert trial.doubt.u == stored.doubt.u
        assert trial.verdict.code == stored.verdict.code
        assert trial.verdict.reason == stored.verdict.reason
    assert run.state.readings[-1].entry.text("text") == "0.186"


def test_a_balance_check_begins_a_new_session_for_a_candidate_too(desk: Desk) -> None:
    run = new_run(desk)
    weight = ("weight", {"name": "10 mg", "mass": "10.000 mg"})
    check = ("balance_check", {"balance": "fine", "weight": "10 mg", "texts": ["10.001"],
                               "unit": "mg"})  # fmt: skip
    run.append_all([FINE, weight, *sample_rows(("KV-1", "A1"))])
    run.append_all(read_rows("fine", "bead", [("KV-1", "0.184")], "mg"))
    run.append_all([check])
    trial = run.seen("KV-1", "bead", "0.200", "fine")
    assert trial is not None
    assert len(trial.weighing.loads) == 1
    assert run.session_of("fine") == run.state.readings[-1].session + 1


def test_a_whole_weighing_is_found_again_without_new_arithmetic(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"), ("KV-2", "A2"))])
    run.append_all(read_rows("fine", "bead", [("KV-1", "0.184")], "mg"))
    one = run.seen("KV-1", "bead")
    run.append_all(read_rows("fine", "bead", [("KV-2", "0.186")], "mg"))
    assert run.seen("KV-1", "bead") is one


def test_a_reissued_run_goes_on_with_the_entries_it_replaces(desk: Desk, tmp_path: Path) -> None:
    run = new_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1"))])
    run.append_all(read_rows("fine", "gold", [("KV-1", "1.372")], "mg"))
    gold = run.entries[-1].n
    assert run.name is not None
    run.close()
    seal(desk.book, run.name, desk.keeper(), signer_in(tmp_path), HEAD)
    name, log = reissue(desk.book, run.name, desk.keeper(), "digits swapped")
    log.close()
    again = open_run(desk, name)
    assert again.entries[gold - 1].values["text"] == "1.372"
    again.append("amendment", {"entry": gold, "text": "1.327", "reason": "re-read"})
    assert again.entries[-1].n == len(again.entries)
    seen = again.seen("KV-1", "gold")
    assert seen is not None
    assert seen.weighing.net_mg == pytest.approx(1.327)
    again.close()
    own, verdict = read_log(desk.files, desk.book.log(name))
    assert verdict.state == "sound"
    stored = own[-1].values
    assert (stored["entry"], stored["log"]) == (gold, run.name.number)
    old, _ = read_log(desk.files, desk.book.log(run.name))
    assert len(again.entries) == len(old) + len(own)
