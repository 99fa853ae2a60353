"""The seal at the bench: all is shown before it is signed, by whom and what it means."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from assaybench.bench.desk import Desk
from assaybench.bench.jobs import in_a_thread
from assaybench.bench.pages.sealing import SealingPage
from assaybench.bench.signing_here import commands_of
from assaybench.bench.stack import Stack
from assaybench.cli.app import main
from assaybench.logbook.settings_fields import Settings
from tests.bench.books import closed, opened_bench
from tests.bench.conftest import Clock
from tests.bench.hands import Hands, read_rows, sample_rows
from tests.bench.openings import begun
from tests.bench.patience import MOST_KEYS
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
)
from tests.logbook.ssh_tools import made

__all__ = ["key", "open_key"]

ROOT = Path(__file__).parents[2]


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
    for step in ("enter", "6"):
        stack.press(step, step if len(step) == 1 else None)
    assert stack.top.name == "results"
    for step in ("escape", "7"):
        stack.press(step, step if len(step) == 1 else None)
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
