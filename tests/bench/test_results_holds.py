"""The page of results: a stop and its release, notes, and a log that grows beneath."""

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.frame import room
from assaybench.bench.openings import open_run
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.signing_here import sign
from assaybench.logbook.keys import make_key
from assaybench.logbook.seal import SealHead
from assaybench.record.seal_review import review
from tests.bench.hands import Hands, at_once, read_rows, sample_rows
from tests.bench.openings import begun
from tests.bench.results_hands import block, hands, run
from tests.bench.results_run import at, finished_run

__all__ = ["hands", "run"]


# --- holds ---------------------------------------------------------------------------------------


@pytest.fixture
def held(desk: Desk) -> Hands:
    """The reference reads 0.130 mg: 4.2 g/t for 3.2 ± 0.2."""
    run = finished_run(desk, known="0.130")
    return Hands(run, ResultsPage(run))


def test_a_stop_stands_first_and_a_note_with_a_reason_releases_it(held: Hands) -> None:
    assert held.margin[0].startswith("STOP: reference known 1. Found 4.20")
    assert "(r)" in held.margin[1]
    assert held.sheet.keys[3] == "release"
    held.press("r")
    assert held.promise == "Why is known 1 released?"
    n = len(held.run.entries)
    held.press("enter")
    assert len(held.run.entries) == n
    assert held.margin[0].startswith("A reason is needed")
    held.enter("weighed again, same value; the bottle was open")
    note = held.last("note")
    assert note.values == {
        "text": "weighed again, same value; the bottle was open",
        "sample": "known 1",
        "releases": True,
    }
    assert held.margin[0] == "Stored: known 1 is released with your note."
    held.press("down")
    assert not any(text.startswith("STOP") for text in held.margin)
    assert review(held.run.state, held.run.results()).open == ()
    said = held.page.sheet(room(120, 40)).margin
    assert any(text.startswith("known 1 was released: weighed again") for text in said)
    assert held.press("r").bell


def test_another_key_of_the_user_is_what_the_margin_names(desk: Desk) -> None:
    run = finished_run(desk, known="0.130")
    hands = Hands(run, ResultsPage(run, keymap({"release": "v"})))
    assert "(v)" in hands.margin[1]


def test_a_note_is_kept_with_its_sample(hands: Hands) -> None:
    at(hands, "KV-018")
    hands.press("n")
    hands.enter("second charge asked for")
    assert hands.last("note").values == {"text": "second charge asked for", "sample": "KV-018"}
    assert hands.page.row.id == "KV-018"


# --- the log grows beneath -----------------------------------------------------------------------


def test_figures_follow_the_log(hands: Hands) -> None:
    at(hands, "KV-018")
    before = next(row for row in block(hands) if row.startswith("> KV-018"))
    n = next(
        r.entry.n for r in hands.run.state.readings if (r.sample, r.what) == ("KV-018", "gold")
    )
    hands.run.append("amendment", {"entry": n, "text": "0.091", "reason": "read again"})
    after = next(row for row in block(hands) if row.startswith("> KV-018"))
    assert ("0.081" in before, "0.091" in after) == (True, True)
    assert hands.page.row.id == "KV-018"


def test_left_out_and_disagreeing_repeats_are_told(desk: Desk) -> None:
    run = finished_run(desk)
    hands = Hands(run, ResultsPage(run))
    at(hands, "KV-017")
    said = " ".join(hands.page.sheet(room(120, 40)).margin)
    assert "A2 and C4 repeat one sample and disagree." in hands.margin
    assert "KV-017, 2 of 2 determinations: 9.05" in said
    run.append("left_out", {"sample": "KV-017 d", "reason": "button was lost in part"})
    at(hands, "KV-017 d")
    said = " ".join(hands.page.sheet(room(120, 40)).margin)
    assert "KV-017 C4 is left out of the mean: button was lost in part" in said
    assert "KV-017, 1 of 2 determinations: 8.93" in said


def test_determinations_of_other_logs_are_told(desk: Desk, run: RunLog) -> None:
    """The same samples stand in two logs."""
    run.close()
    again = finished_run(desk)
    hands = Hands(again, ResultsPage(again, start=at_once))
    at(hands, "KV-016")
    said = " ".join(hands.page.sheet(room(120, 40)).margin)
    assert "KV-016: 1 of 2 determinations stand here; others in MAIN-000001." in said
    assert "Mean of all 2: 8.57 g/t." in said
    at(hands, "KV-017 d")
    said = " ".join(hands.page.sheet(room(120, 40)).margin)
    assert "KV-017: 2 of 4 determinations stand here" in said


def test_a_contradiction_comes_before_what_to_improve(desk: Desk) -> None:
    run = begun(desk, *sample_rows(("KV-1", "A1"), silver="none"),
                *read_rows("pulp", "charge", [("KV-1", "20.00")], "g"),
                *read_rows("fine", "bead", [("KV-1", "1.204")], "mg"),
                *read_rows("fine", "gold", [("KV-1", "1.372")], "mg"))  # fmt: skip
    hands = Hands(run, ResultsPage(run))
    assert hands.margin[0].startswith("Gold 1.372 mg is heavier than its bead 1.204 mg.")
    assert "KV-1: no grade follows from it." in block(hands)
    hands.press("c")
    assert hands.margin[0] == "KV-1 has no gold grade to compare."


def test_a_sealed_log_shows_its_results_and_takes_no_note(desk: Desk, run: RunLog) -> None:
    key = desk.signing_key()
    make_key(desk.files, key, b"1", "K. Berg", rounds=1)
    run.close()
    assert run.name is not None
    head = SealHead("K. Berg", "assayer")
    sign(desk, run.name, head, b"1", new=False)
    hands = Hands(run, ResultsPage(open_run(desk, run.name), start=at_once))
    at(hands, "KV-018")
    assert "2.57 ± 0.19" in next(row for row in block(hands) if row.startswith("> KV-018"))
    assert {"note", "release"}.isdisjoint(hands.sheet.keys)
    assert hands.press("n").bell
    assert hands.sheet.typing is None
    assert hands.margin[0] == "Sealed: the log takes no entries."
    hands.press("enter")
    assert hands.page.name == "sums"


def test_a_note_is_not_begun_before_somebody_said_who_works(hands: Hands) -> None:
    hands.run.desk.by = ""
    assert hands.press("n").bell
    assert hands.sheet.typing is None
    assert hands.margin[0].startswith("Nobody said who weighs.")


def test_the_key_line_says_that_enter_takes_the_note(hands: Hands) -> None:
    hands.press("n")
    assert hands.sheet.keys == ("enter.take", "back")


def test_the_tray_of_a_sealed_log_promises_nothing_and_refuses_at_once(
    desk: Desk, run: RunLog
) -> None:
    make_key(desk.files, desk.signing_key(), b"1", "K. Berg", rounds=1)
    run.close()
    assert run.name is not None
    sign(desk, run.name, SealHead("K. Berg", "assayer"), b"1", new=False)
    hands = Hands(open_run(desk, run.name))
    for step in "12345":
        hands.press(step)
        assert hands.promise == "Nothing is stored here any more. Key 6: results; key 7: the seal."
        assert set(hands.sheet.keys) <= {"arrows", "find", "print", "help", "back"}
        assert hands.margin[0] == "Sealed: the log takes no entries."
        for key in ("enter", "x", "s", "n", "a"):
            assert hands.press(key).bell
            assert hands.sheet.typing is None
            assert hands.page.name in ("tray", "fire")
