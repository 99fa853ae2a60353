"""A code that is scanned where none is asked for: the page goes there, nothing is stored."""

import asyncio

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.app import BenchApp
from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.pages.contents import ContentsPage
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.stack import Effect, Stack
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.hands import Hands, sample_rows
from tests.bench.patience import keyed, scanned

READER, PERSON = 0.005, 0.4
"""Seconds between two keys of a reader of codes, and of a person."""


class Reader:
    """Types a code and Enter on the pages of a pair of hands, so fast or so slow."""

    def __init__(self, hands: Hands, pause: float = READER) -> None:
        self.hands, self.pause, self.now = hands, pause, 100.0

    def reads(self, code: str) -> Effect:
        self.now += 5
        for sign in code:
            self.now += self.pause
            self.hands.stack.press(sign, sign, self.now)
        self.now += self.pause
        return self.hands.stack.press("enter", "\r", self.now)


@pytest.fixture
def tray(desk: Desk, clock: Clock) -> Hands:
    return Hands(drawn_run(desk, clock))


@pytest.fixture
def balance(desk: Desk, clock: Clock) -> Hands:
    run = drawn_run(desk, clock)
    return Hands(run, BalancePage(run, "beads", "KV-025"))


def test_a_code_on_the_tray_moves_the_bracket_and_no_step_is_chosen(tray: Hands) -> None:
    n = len(tray.run.entries)
    assert not Reader(tray).reads("KV-033").bell
    assert (tray.page.step, tray.page.sample) == ("beads", "KV-033")
    assert tray.promise == "Enter goes to the balance with D5."
    assert len(tray.run.entries) == n


def test_a_code_at_the_balance_is_no_reading(balance: Hands) -> None:
    n = len(balance.run.entries)
    Reader(balance).reads("KV-033")
    assert (balance.page.sample, balance.page.text) == ("KV-033", "")
    assert balance.promise == "Type the reading of D5 as displayed, then Enter."
    assert len(balance.run.entries) == n


@pytest.mark.parametrize("code", ["KV-033r", "K033r", "R-033R", "BkV-033z", "RR7r7"])
def test_letters_behind_the_digits_of_a_code_store_nothing(
    balance: Hands, tray: Hands, code: str
) -> None:
    tray.press("3")
    for hands in (balance, tray):
        hands.run.append_all(sample_rows((code, "E1")))
        n = len(hands.run.entries)
        Reader(hands).reads(code)
        assert hands.page.sample == code
        assert len(hands.run.entries) == n
        Reader(hands).reads(code.replace("3", "4").replace("7", "8"))
        assert len(hands.run.entries) == n


def test_a_code_takes_a_half_typed_reading_with_it_and_asks_nothing(balance: Hands) -> None:
    balance.type("0.18")
    Reader(balance).reads("KV-033")
    assert (balance.page.sample, balance.page.text) == ("KV-033", "")


def test_a_code_that_nobody_bears_is_said_and_stores_nothing(balance: Hands, tray: Hands) -> None:
    for hands in (balance, tray):
        n = len(hands.run.entries)
        assert Reader(hands).reads("QX-999").bell
        assert hands.margin[0] == 'No sample of this code: "QX-999". Nothing was done.'
        assert len(hands.run.entries) == n
    assert (balance.page.sample, balance.page.text) == ("KV-025", "")
    assert tray.page.step == "beads"


def test_a_code_in_the_fire_marks_nothing(tray: Hands) -> None:
    tray.press("3")
    n = len(tray.run.entries)
    Reader(tray).reads("KV-019")
    Reader(tray).reads("BDF-12")
    assert len(tray.run.entries) == n
    assert (tray.page.step, tray.page.sample) == ("fire", "KV-019")


def test_a_pending_question_stays_when_a_code_comes(balance: Hands) -> None:
    balance.press("up", "up", "up")
    balance.type("30.5")
    balance.press("enter")
    asked = balance.margin
    assert asked[0].startswith("Please look again:")
    Reader(balance).reads("KV-033")
    assert balance.margin == asked
    assert balance.promise == "Type what you see now:"


def test_what_a_fast_hand_types_is_what_it_always_was(balance: Hands) -> None:
    Reader(balance).reads("0.184")
    assert balance.last().values["text"] == "0.184"
    Reader(balance).reads("r0.107")
    assert balance.last().values["text"] == "0.107"
    balance.press("n")
    Reader(balance).reads("KV-025")
    assert balance.last().values["text"] == "KV-025"
    assert balance.last().kind == "note"


SMALL = ("xk12", "lkv-9", "nkv025", "akv-77", "kj12", "rz99", "dbof1", "gkv-9", "d123", "b-12",
         "m45x", "12r4", "pkv1", "s1234", "zkv-0")  # fmt: skip
"""Codes that nobody bears, their letters keys of some page."""


@pytest.mark.parametrize("code", SMALL)
@pytest.mark.parametrize("step", ["1", "2", "3", "4", "5"])
def test_small_letters_of_a_code_that_nobody_bears_are_no_keys(
    tray: Hands, balance: Hands, step: str, code: str
) -> None:
    tray.press(step)
    for hands in (tray, balance):
        n, by, before = len(hands.run.entries), hands.run.desk.by, hands.stack.sheet
        reader = Reader(hands)
        assert reader.reads(code).bell
        assert hands.margin[0] == f'No sample of this code: "{code}". Nothing was done.'
        after = hands.sheet
        assert (after.title, after.promise, after.steps) == (
            before.title, before.promise, before.steps
        )  # fmt: skip
        assert (len(hands.run.entries), hands.run.desk.by) == (n, by)
        assert not list(hands.run.desk.book.reports.glob("*"))
        # and so by a reader that sends no Enter
        reader.now += 5
        for sign in code:
            reader.now += READER
            effect = hands.stack.press(sign, sign, reader.now)
        if effect.held:
            hands.stack.let_go(effect.held)
        assert (len(hands.run.entries), hands.run.desk.by) == (n, by)


@pytest.mark.parametrize("step", ["1", "2", "3", "4", "5"])
@pytest.mark.parametrize("code", ["4003", "20251126", "1111"])
def test_digits_in_one_go_choose_no_step_and_no_look(tray: Hands, step: str, code: str) -> None:
    tray.press(step)
    n, before = len(tray.run.entries), tray.sheet
    assert Reader(tray).reads(code).bell
    assert tray.margin[0] == f'No sample of this code: "{code}". Nothing was done.'
    assert (tray.promise, tray.sheet.steps) == (before.promise, before.steps)
    if step in "45":
        tray.press("l")
        chosen = tray.promise
        assert Reader(tray).reads(code).bell
        assert tray.promise == chosen
    assert len(tray.run.entries) == n


def test_a_letter_that_marks_at_once_waits_until_no_code_follows(tray: Hands) -> None:
    run = tray.run
    run.append_all(sample_rows(("KV-040", "E1")))
    tray.press("3")
    Reader(tray).reads("KV-040")
    tray.press("enter")
    n = len(run.entries)
    effect = tray.stack.press("d", "d", 500.0)
    assert (effect.held, len(run.entries)) == (1, n)
    tray.stack.let_go(effect.held)
    assert tray.last().values["mark"] == "drives"
    # the next key of a fast hand does not overtake it
    tray.stack.press("b", "b", 600.0)
    tray.stack.press("right", None, 600.05)
    assert tray.last().values["mark"] == "blick"


@pytest.mark.parametrize(("step", "key"), [("1", "4"), ("4", "left")])
def test_an_enter_in_one_go_with_another_key_has_read_no_line_of_safety(
    desk: Desk, step: str, key: str
) -> None:
    run = new_run(desk)
    run.append_all(sample_rows(("12", "A1")))
    hands = Hands(run)
    hands.press(step)
    hands.stack.press(key, key if key.isdigit() else None, 500.0)
    assert hands.stack.press("enter", "\r", 500.05).bell
    told = "Read the line of safety above first: Enter says that you have."
    assert hands.stack.sheet.margin[0] == told
    assert not run.state.of("safety_read")
    hands.stack.press("enter", "\r", 501.0)
    assert [entry.text("line") for entry in run.state.of("safety_read")] == ["safety_beads"]


def test_a_code_at_a_question_for_a_figure_leaves_what_stood_there(tray: Hands) -> None:
    tray.press("3")
    tray.press("m")
    tray.type("4")
    n = len(tray.run.entries)
    assert Reader(tray).reads("QX-025").bell
    assert tray.promise.endswith(": 4")
    assert len(tray.run.entries) == n


def test_a_code_on_a_page_without_samples_does_nothing(desk: Desk) -> None:
    contents = ContentsPage(desk, TrayPage)
    hands = Hands.__new__(Hands)
    hands.stack = Stack(contents, keymap({}))
    for code in ("t1234", "y12-7", "e0099", "f-77k", "k1234"):
        assert Reader(hands).reads(code).bell
        said = hands.stack.sheet.margin
        assert said[0] == "No code is asked for here. What came did nothing."
        assert code not in str(said), "it might be a passphrase that came too late"
        assert hands.stack.top is contents
        assert hands.stack.sheet.typing is None
    assert not desk.book.root.exists()


def test_a_code_stores_no_look(balance: Hands) -> None:
    n = len(balance.run.entries)
    balance.press("l")
    assert Reader(balance).reads("KV-033").bell
    assert balance.margin[0].startswith('"KV-033" chooses no word.')
    assert balance.promise == "Enter stores round for B6."
    assert len(balance.run.entries) == n


def test_what_is_typed_slowly_is_no_code(balance: Hands) -> None:
    Reader(balance, PERSON).reads("V-025")
    assert balance.last().values["text"] == "-025"


def test_a_pasted_code_goes_there_too(tray: Hands, balance: Hands) -> None:
    for hands in (tray, balance):
        hands.stack.paste("KV-033\n")
        assert hands.page.sample == "KV-033"


@pytest.mark.parametrize("code", ["4", "1016"])
def test_a_sample_with_a_number_for_an_id_takes_no_reading_away(
    desk: Desk, clock: Clock, code: str
) -> None:
    run = drawn_run(desk, clock)
    run.append_all(sample_rows((code, "E1")))
    balance = Hands(run, BalancePage(run, "beads", "KV-025"))
    Reader(balance).reads(code)
    if balance.margin[0].startswith("Please look again"):
        Reader(balance).reads(code)
    assert balance.last().values["text"] == code
    tray = Hands(run)
    Reader(tray).reads(code)
    assert (tray.page.sample == code) is (code == "1016")


def test_a_reader_at_a_terminal(tray: Hands, clock: Clock) -> None:
    async def story() -> None:
        app = BenchApp(tray.stack, clock)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await scanned(pilot, *"KV-033", "enter")
            assert tray.page.sample == "KV-033"
            await keyed(pilot, "enter")
            await scanned(pilot, *"KV-034", "enter")
            assert isinstance(tray.page, BalancePage)
            assert (tray.page.sample, tray.page.text) == ("KV-034", "")

    n = len(tray.run.entries)
    asyncio.run(story())
    assert len(tray.run.entries) == n
