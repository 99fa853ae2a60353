"""The seal at the bench: all is shown before it is signed, and whatever fails loses nothing."""

import errno
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import in_a_thread
from assaybench.bench.openings import open_run, practice_run
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.pages.sealing import SealingPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from assaybench.bench.signing_here import commands_of
from assaybench.bench.stack import Stack
from assaybench.cli.app import main
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.keys import make_key
from assaybench.logbook.logfile import Row
from assaybench.logbook.reading import read_log
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.settings_fields import Settings
from assaybench.logbook.signing import signature_path
from assaybench.logbook.verify import Ask, Verified, verify_book
from tests.bench.books import closed, opened_bench
from tests.bench.conftest import Clock
from tests.bench.hands import Hands, at_once, read_rows, sample_rows
from tests.bench.openings import begun
from tests.bench.patience import MOST_KEYS
from tests.bench.results_run import finished_run
from tests.logbook.ssh_tools import made
from tests.reliability.faulty import Faulty, How

SECRET = "mole rat 9 ünder"  # noqa: S105  invented
ROOT = Path(__file__).parents[2]
PERSON: Row = ("person", {"initials": "KB", "name": "K. Berg", "role": "assayer"})


def small(desk: Desk, *more: Row) -> RunLog:
    """One sample of 20.00 g with 1.372 mg of gold."""
    return begun(desk, *sample_rows(("KV-1", "A1"), silver="none"),
                 *read_rows("pulp", "charge", [("KV-1", "20.00")], "g"),
                 *read_rows("fine", "gold", [("KV-1", "1.372")], "mg"), *more)  # fmt: skip


@pytest.fixture
def key(desk: Desk) -> Path:
    """A key with a passphrase, of few rounds, where the desk looks for it."""
    path = desk.signing_key()
    make_key(desk.files, path, SECRET.encode(), "K. Berg", rounds=1)
    return path


@pytest.fixture
def open_key(tmp_path: Path, desk: Desk) -> Path:
    """A key without a passphrase, named by the settings."""
    path = made(tmp_path, "mine")
    desk.settings = desk.settings._replace(signing_key=str(path))
    return path


def hands_of(run: RunLog) -> Hands:
    return Hands(run, SealingPage(run, at_once))


def block(hands: Hands) -> str:
    return "\n".join(text_of(row) for row in hands.sheet.block)


def to_the_end(hands: Hands) -> None:
    """Turn the review to its last page."""
    for _ in range(20):
        if hands.sheet.keys[0] != "enter.more":
            return
        hands.press("enter")
    raise AssertionError("no last page")


def verified(desk: Desk) -> Verified:
    result = Verified()
    verify_book(Files(), desk.book, Ask(processes=1), result=result)
    return result


def good(desk: Desk) -> bool:
    result = verified(desk)
    return (result.status, result.counts, result.recomputed) == (
        0, {"sealed": 1}, {"recomputes": 1}
    )  # fmt: skip


# --- the review ----------------------------------------------------------------------------------


def test_everything_that_will_be_signed_is_in_sight_before_enter_signs(desk: Desk) -> None:
    run = finished_run(desk)
    n = next(r.entry.n for r in run.state.readings if (r.sample, r.what) == ("KV-016", "gold"))
    run.append("amendment", {"entry": n, "text": "0.262", "reason": "read again"})
    run.append("left_out", {"sample": "KV-017 d", "reason": "button was lost in part"})
    hands = hands_of(run)
    seen = ""
    count = int(hands.sheet.right.split(" of ")[1])
    for i in range(count):
        seen += block(hands)
        assert hands.sheet.keys[0] == ("enter.more" if i < count - 1 else "enter.sign")
        if i < count - 1:
            assert hands.promise.startswith("Enter shows more of what will be signed")
            hands.press("enter")
    assert hands.promise.startswith("Enter goes on to sign MAIN-000001")
    for text in (
        "KV-017, 1 of 2 used",
        "KV-031, 0 of 1 used",
        "struck",
        "read again",
        "button was lost in part",
        "the cupel cracked",
        "reference known 1: in order",
    ):
        assert text in seen, text
    hands.press("up", "up")
    assert hands.sheet.keys[0] == "enter.sign", "what was seen stays seen"


def test_a_taller_terminal_shows_more_and_a_lower_one_asks_to_see_the_rest(desk: Desk) -> None:
    hands = hands_of(finished_run(desk))
    hands.text(120, 40)
    hands.press("down")
    hands.text(120, 40)
    hands.text(80, 24)
    assert hands.sheet.keys[0] == "enter.more"


def test_who_signs_and_with_which_key_is_told(desk: Desk, key: Path) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    assert "Signs: K. Berg, assayer." in hands.margin
    fingerprint = subprocess.run(
        ["ssh-keygen", "-lf", str(key)], capture_output=True, check=True, text=True, timeout=60
    ).stdout.split()[1]
    assert f"Key: {key.name}." in hands.margin
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    assert f"Key {key.name}: {fingerprint}" in hands.margin


# --- signing -------------------------------------------------------------------------------------


def test_a_seal_is_made_and_the_tool_accepts_it(desk: Desk, key: Path) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    hands.enter("reviewed")
    assert hands.promise == "Passphrase of the signing key:"
    hands.type(SECRET)
    hands.press("enter")
    assert hands.sheet.title == "SEALED"
    assert "meaning . . . . . . . . . . . . . . . . . . reviewed" in block(hands)
    sealed = hands.page.sealed
    command = commands_of(desk, sealed)[0][1]
    checked = subprocess.run(
        ["sh", "-c", command], capture_output=True, check=False, text=True, timeout=60,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert checked.returncode == 0, checked.stderr
    assert 'Good "assaybench-log" signature for K.Berg' in checked.stdout
    assert good(desk)
    written = (desk.book.reports / "MAIN-000001-seal.txt").read_text("utf-8")
    assert all(command in written for _, command in commands_of(desk, sealed))
    assert sealed.mark in written
    assert run.file.read_only is not None
    assert run.entries[-1].kind == "sealed"
    hands.press("enter")
    assert hands.page.name == "contents"


def test_the_commands_that_are_shown_are_good_commands(desk: Desk, open_key: Path) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    sealed_with_yes(hands)
    for _, command in commands_of(desk, hands.page.sealed)[1:]:
        words = command.split(" ")
        assert words[0] == "assaybench"
        assert main(words[1:]) == 0


def sealed_with_yes(hands: Hands) -> None:
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    hands.enter("yes")


def test_a_key_without_passphrase_signs_after_a_yes_only(desk: Desk, open_key: Path) -> None:
    hands = hands_of(small(desk, PERSON))
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    assert hands.promise == f"Type yes to sign with {open_key.name}:"
    hands.enter("")
    assert hands.margin[0] == 'Nothing was signed: "" is not yes.'
    hands.enter("Yes")
    assert hands.sheet.title == "SEALED"
    assert good(desk)


def test_a_new_key_is_made_with_two_times_the_same_passphrase(desk: Desk) -> None:
    run = small(desk, PERSON)
    hands = hands_of(run)
    assert "No signing key yet: it is made here, with a passphrase." in hands.margin
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    assert hands.promise == "New passphrase:"
    hands.enter("one", "other")
    assert "differ" in hands.margin[0]
    assert not desk.signing_key().exists()
    hands.enter(SECRET, SECRET)
    assert hands.sheet.title == "SEALED"
    assert any(text.startswith("New to this logbook, now named as K.Berg") for text in hands.margin)
    assert good(desk)


def test_name_and_role_are_asked_for_where_nobody_said_and_signed_with_the_log(
    desk: Desk, open_key: Path
) -> None:
    run = small(desk)
    hands = hands_of(run)
    to_the_end(hands)
    hands.press("enter")
    assert hands.promise == "Printed name of KB:"
    hands.enter("")
    assert hands.promise == "Printed name of KB:"
    hands.enter("K. Berg", "assayer")
    assert hands.last("person").values == PERSON[1]
    hands.enter("", "yes")
    assert run.entries[-1].values["name"] == "K. Berg"
    assert good(desk)


def test_a_name_in_the_settings_leaves_the_role_to_be_asked(desk: Desk, open_key: Path) -> None:
    desk.settings = desk.settings._replace(people={"KB": "K. Berg"})
    hands = hands_of(small(desk))
    to_the_end(hands)
    hands.press("enter")
    assert hands.promise == "What K. Berg does here:"


def test_only_a_meaning_of_the_record_is_taken(desk: Desk, open_key: Path) -> None:
    hands = hands_of(small(desk, PERSON))
    to_the_end(hands)
    hands.press("enter")
    hands.enter("approved")
    assert hands.margin[0].startswith('"approved" is not a choice for the meaning.')
    assert hands.promise.startswith("Meaning, or Enter for weighed:")


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


# --- the whole logbook ---------------------------------------------------------------------------


def test_determinations_of_other_logs_are_shown_before_the_seal(desk: Desk, open_key: Path) -> None:
    """KV-1 was assayed in log 1 with 68.6 g/t, now with 68.6 again: 1 of 2 stands here."""
    small(desk).close()
    hands = hands_of(small(desk, PERSON))
    seen = block(hands)
    for _ in range(MOST_KEYS):
        if hands.sheet.keys[0] == "enter.sign":
            break
        hands.press("enter")
        seen += block(hands)
    assert hands.sheet.keys[0] == "enter.sign", hands.text()
    assert "Determinations of KV-1 across the logbook" in seen
    assert "KV-1, 1 of 2 determinations shown" in seen
    assert "MAIN-000001 KV-1" in seen
    assert "1 of 2 determinations" in hands.margin[0]


def test_who_signs_is_not_pushed_out_by_determinations_of_other_logs(
    desk: Desk, open_key: Path
) -> None:
    three = sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "A3"))
    rows = [*three, *read_rows("pulp", "charge", [(f"KV-{n}", "30.00") for n in (1, 2, 3)], "g")]
    rows += read_rows("fine", "gold", [(f"KV-{n}", "1.500") for n in (1, 2, 3)], "mg")
    for _ in range(2):
        run = begun(desk)
        run.append_all([*rows, PERSON])
        run.close()
    hands = hands_of(run)
    to_the_end(hands)
    assert sum("determinations" in text for text in hands.margin) == 3
    assert "Signs: K. Berg, assayer." in hands.margin[:4]
    assert "Signs: K. Berg," in hands.text()


# --- beside the page -----------------------------------------------------------------------------


def test_signing_runs_beside_the_page_and_is_taken_up_at_a_tick(
    desk: Desk, key: Path, clock: Clock
) -> None:
    started: list[Callable[[], None]] = []

    def later(job: Callable[[], None]) -> None:
        started.append(job)

    run = small(desk, PERSON)
    hands = Hands(run, SealingPage(run, later))
    to_the_end(hands)
    assert hands.promise == "Wait a moment: other logs are being looked at."
    assert "enter.sign" not in hands.sheet.keys
    assert hands.press("enter").bell
    started.pop()()
    assert hands.page.tick(clock())
    to_the_end(hands)
    hands.press("enter")
    hands.enter("", SECRET)
    assert hands.promise == "Signing: wait a moment."
    assert hands.press("escape").bell
    assert hands.press("enter").bell
    assert not hands.page.tick(clock())
    in_a_thread(started.pop())
    for _ in range(600):
        if hands.page.tick(clock()):
            break
        in_a_thread(lambda: None)
    assert hands.sheet.title == "SEALED"
    assert good(desk)


def test_the_step_line_leads_to_results_and_to_the_seal(desk: Desk, open_key: Path) -> None:
    small(desk, PERSON).close()
    desk.settings = Settings(initials="KB", signing_key=str(open_key))
    stack: Stack = opened_bench(desk)
    for key in ("enter", "6"):
        stack.press(key, key if len(key) == 1 else None)
    assert stack.top.name == "results"
    for key in ("escape", "7"):
        stack.press(key, key if len(key) == 1 else None)
    assert stack.top.name == "sealing"
    closed(stack)


LOOKS = """
import sys
from pathlib import Path
from tests.bench.conftest import Clock, desk_in
from tests.bench.hands import at_once
from tests.bench.results_run import finished_run
from assaybench.bench.page import Room
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.pages.sealing import SealingPage
desk = desk_in(Path(sys.argv[1]), Clock())
desk.settings = desk.settings._replace(signing_key=sys.argv[2])
run = finished_run(desk)
for page in (ResultsPage(run, start=at_once), SealingPage(run, at_once)):
    page.sheet(Room())
print(sorted({"cryptography", "bcrypt", "textual", "pint"} & set(sys.modules)))
"""


def test_the_libraries_of_signing_are_loaded_only_to_sign(tmp_path: Path) -> None:
    key = made(tmp_path, "mine", passphrase=SECRET)
    words = [sys.executable, "-c", LOOKS, str(tmp_path), str(key)]
    done = subprocess.run(words, capture_output=True, check=False, text=True, cwd=ROOT, timeout=120)
    assert done.stdout == "[]\n", done.stderr
