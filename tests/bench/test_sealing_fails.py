"""The seal at the bench: whatever fails or stands in the way loses nothing and shows no secret."""

import errno
from pathlib import Path

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.openings import open_run, practice_run
from assaybench.bench.pages.results import ResultsPage
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.reading import read_log
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.signing import signature_path
from tests.bench.hands import Hands, sample_rows
from tests.bench.results_run import finished_run
from tests.bench.sealing_hands import (
    PERSON,
    SECRET,
    block,
    good,
    hands_of,
    key,
    open_key,
    sealed_with_yes,
    small,
    to_the_end,
    verified,
)
from tests.logbook.ssh_tools import made
from tests.reliability.faulty import Faulty, How

__all__ = ["key", "open_key"]


# --- secrets -------------------------------------------------------------------------------------


def test_a_passphrase_is_shown_as_points_and_kept_nowhere(
    desk: Desk, key: Path, tmp_path: Path
) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    for i, sign in enumerate(SECRET, start=1):
        hands.press("space" if sign == " " else sign)
        page = hands.text()
        assert "·" * i in page
        assert SECRET[:i] not in page or i < 3
        assert SECRET[:4] not in repr(hands.page.sheet)
    hands.press("enter")
    assert hands.sheet.title == "SEALED"
    assert SECRET not in repr(vars(hands.page))
    for path in (p for p in tmp_path.rglob("*") if p.is_file()):
        assert SECRET.encode() not in path.read_bytes(), path


def test_a_wrong_passphrase_writes_nothing_and_the_log_is_open_again(desk: Desk, key: Path) -> None:
    run = small(desk, PERSON)
    before = run.file.path.read_bytes()
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    hands.enter("wrong")
    assert hands.sheet.title == "THE SEAL"
    assert "passphrase" in hands.margin[0]
    assert "Nothing was written. Type it again, or Esc to leave it." in hands.margin
    assert hands.promise == "Passphrase of the signing key:"
    assert run.file.path.read_bytes() == before
    hands.press("escape")
    run.append("note", {"text": "still open"})
    hands.page.come_back()
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    hands.enter(SECRET)
    assert hands.sheet.title == "SEALED"
    assert good(desk)


def test_a_wrong_passphrase_is_asked_for_again_at_once(desk: Desk, key: Path) -> None:
    hands = hands_of(small(desk, PERSON))
    to_the_end(hands)
    hands.press("enter")
    hands.enter("reviewed")
    for _ in range(3):
        hands.enter("wrong")
        assert hands.promise == "Passphrase of the signing key:"
        assert hands.sheet.typing is not None
        assert hands.sheet.typing.text == ""
    hands.enter(SECRET)
    assert hands.sheet.title == "SEALED"
    assert "meaning . . . . . . . . . . . . . . . . . . reviewed" in block(hands)
    assert good(desk)


def test_a_key_that_is_gone_in_between_is_told_and_no_second_one_is_made(
    desk: Desk, key: Path
) -> None:
    first = small(desk, PERSON)
    hands = hands_of(first)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("", SECRET)
    assert hands.sheet.title == "SEALED"
    run = small(desk, PERSON)
    before = run.file.path.read_bytes()
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    away = key.rename(key.with_name("on a stick"))
    hands.enter(SECRET)
    assert hands.sheet.title == "THE SEAL"
    assert hands.margin[0] == "signing_key is not there any more. Put its file back."
    hands.press("enter")
    hands.enter("")
    assert "Put its file back, then Enter." in " ".join(hands.margin)
    assert not key.exists()
    assert run.file.path.read_bytes() == before
    away.rename(key)
    hands.press("escape", "enter")
    hands.enter("", SECRET)
    assert hands.sheet.title == "SEALED"
    result = verified(desk)
    assert (result.status, result.counts) == (0, {"sealed": 2})


def test_esc_at_the_passphrase_signs_nothing(desk: Desk, key: Path) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    hands.type("half")
    hands.press("escape")
    assert hands.sheet.typing is None
    hands.press("enter")
    hands.enter("")
    assert hands.promise == "Passphrase of the signing key:"
    assert run.entries[-1].kind != "sealed"


# --- what stands in the way ----------------------------------------------------------------------


def test_a_stop_holds_the_seal_until_a_note_releases_it(desk: Desk, open_key: Path) -> None:
    run = finished_run(desk, known="0.130")
    hands = hands_of(run)
    assert hands.margin[0].startswith("known 1 holds the seal:")
    assert "assaybench" not in " ".join(hands.margin)
    to_the_end(hands)
    assert hands.promise == "A check says stop: release it with a note, or weigh again."
    assert "enter.sign" not in hands.sheet.keys, "the key line promises no more than Enter does"
    n = len(run.entries)
    assert hands.press("enter").bell
    assert len(run.entries) == n
    results = Hands(run, ResultsPage(run, keymap({})))
    results.press("r")
    results.enter("bottle was open; weighed again")
    hands.page.come_back()
    to_the_end(hands)
    hands.press("enter")
    hands.enter("", "yes")
    assert hands.sheet.title == "SEALED"
    assert good(desk)


def test_practice_is_never_sealed(desk: Desk, open_key: Path) -> None:
    run = practice_run(desk)
    run.append_all(sample_rows(("KV-1", "A1")))
    hands = hands_of(run)
    assert hands.margin[0] == "Practice is never sealed."
    hands.press("enter")
    assert hands.page.name == "contents"


def test_a_sealed_log_is_not_sealed_again(desk: Desk, open_key: Path) -> None:
    run = small(desk, PERSON)
    sealed_with_yes(hands_of(run))
    again = hands_of(run)
    assert "sealed" in again.margin[0]
    assert again.sheet.keys[0] == "enter.back"


def test_a_key_that_went_away_is_named(desk: Desk, open_key: Path) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    open_key.unlink()
    hands.enter("yes")
    assert "mine" in hands.margin[0]
    assert run.entries[-1].kind != "sealed"
    run.append("note", {"text": "still open"})


def test_a_key_that_an_agent_does_not_hold_signs_nothing(desk: Desk, open_key: Path) -> None:
    desk.settings = desk.settings._replace(signing_key=f"{open_key}.pub")
    open_key.unlink()
    run = small(desk, PERSON)
    before = run.file.path.read_bytes()
    hands = hands_of(run)
    sealed_with_yes(hands)
    assert hands.sheet.title == "THE SEAL"
    assert hands.margin[0]
    assert run.file.path.read_bytes() == before


# --- a disk that fails ---------------------------------------------------------------------------


def calls_of_a_seal(desk: Desk) -> int:
    """How many calls of the disk a seal makes."""
    run = small(desk, PERSON)
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    desk.files = Faulty()
    hands.enter("yes")
    assert hands.sheet.title == "SEALED"
    return len(desk.files.calls)


def survives(desk: Desk, folder: Path, at: int, how: How) -> None:
    """A seal whose call number `at` goes wrong loses nothing, says so, and can be finished."""
    desk.files, desk.book = Files(), Logbook(folder / f"book-{at}-{how}")
    run = small(desk, PERSON)
    kept = [*run.entries]
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    desk.files = Faulty(at, how, errno.ENOSPC)
    hands.enter("yes")
    told = hands.margin
    desk.files = Files()
    assert hands.page.sealed is not None or told[0]
    run.close()
    assert run.name is not None
    entries, verdict = read_log(desk.files, desk.book.log(run.name))
    assert entries[: len(kept)] == kept
    assert verdict.state in ("sound", "torn")
    if not good(desk):
        again_sealed(hands_of(open_run(desk, run.name)))
    assert good(desk)


def test_a_full_disk_loses_nothing_and_the_seal_goes_on(
    desk: Desk, open_key: Path, tmp_path: Path
) -> None:
    calls = calls_of_a_seal(desk)
    assert calls > 40
    for at in range(1, calls, 13):
        survives(desk, tmp_path, at, "half")


@pytest.mark.long
@pytest.mark.parametrize("how", ["refuse", "half", "after"])
def test_no_call_of_the_disk_may_fail_so_that_something_is_lost(
    desk: Desk, open_key: Path, tmp_path: Path, how: How
) -> None:
    for at in range(1, calls_of_a_seal(desk)):
        survives(desk, tmp_path, at, how)


def again_sealed(hands: Hands) -> None:
    """Seal, or go on with a seal that was begun."""
    to_the_end(hands)
    hands.press("enter")
    if hands.promise.startswith("Meaning"):
        hands.enter("")
    hands.enter("yes")
    assert hands.sheet.title == "SEALED", hands.margin


def test_a_seal_that_was_begun_goes_on_at_the_missing_step_with_the_same_key(
    desk: Desk, open_key: Path, tmp_path: Path
) -> None:
    run = small(desk, PERSON)
    sealed_with_yes(hands_of(run))
    assert run.name is not None
    mark = desk.book.mark(run.name)
    for path in (mark, signature_path(mark)):
        path.chmod(0o644)
        path.unlink()
    hands = hands_of(run)
    assert hands.margin[0] == "The seal was begun and broke off. Left to do: mark, read-only."
    assert hands.promise == "Enter goes on with the seal of MAIN-000001: passphrase."
    other = made(tmp_path, "other")
    desk.settings = desk.settings._replace(signing_key=str(other))
    hands.press("enter")
    hands.enter("yes")
    assert "was begun with key" in hands.margin[0]
    desk.settings = desk.settings._replace(signing_key=str(open_key))
    hands.press("enter")
    hands.enter("yes")
    assert hands.sheet.title == "SEALED"
    assert "mark" in block(hands)
    assert good(desk)


def test_read_only_again_after_a_copy_asks_for_no_key(desk: Desk, open_key: Path) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    sealed_with_yes(hands)
    assert run.name is not None
    path = desk.book.log(run.name)
    path.chmod(0o644)
    open_key.unlink()
    again = hands_of(run)
    to_the_end(again)
    assert again.promise == "Enter makes the files of MAIN-000001 read-only again."
    again.press("enter")
    assert again.sheet.title == "SEALED", again.margin
    assert not desk.files.writable(path)


def test_a_log_that_replaces_another_is_sealed_with_the_history_it_stands_on(
    desk: Desk, open_key: Path
) -> None:
    run = small(desk, PERSON)
    sealed_with_yes(hands_of(run))
    assert run.name is not None
    name, file = reissue(desk.book, run.name, desk.keeper(), "the wrong charge was read")
    file.close()
    again = open_run(desk, name)
    n = next(r.entry.n for r in again.state.readings if r.what == "charge")
    again.append("amendment", {"entry": n, "text": "20.50", "reason": "the wrong charge was read"})
    hands = hands_of(again)
    sealed_with_yes(hands)
    assert hands.sheet.title == "SEALED"
    assert again.entries[-1].kind == "sealed"
    assert [e.n for e in again.entries] == [*range(1, len(again.entries) + 1)]
    result = verified(desk)
    assert (result.status, result.counts) == (0, {"sealed": 2})
    assert result.recomputed == {"recomputes": 2}
