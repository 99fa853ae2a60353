"""The open pages: keys go to the page in sight, letters to what is typed, Esc leads down."""

from datetime import datetime

from assaybench.bench.actions import keymap
from assaybench.bench.page import (
    Back,
    Bell,
    Close,
    Do,
    Instead,
    Open,
    Outcome,
    Page,
    Room,
    Stay,
)  # fmt: skip
from assaybench.bench.pages.help import HelpPage
from assaybench.bench.sheet import Sheet
from assaybench.bench.stack import Stack
from assaybench.bench.typing import Typing


class Recorder:
    """A page that keeps what it is given and answers as it is told."""

    def __init__(self, name: str, typing: Typing | None = None) -> None:
        self.name, self.typing = name, typing
        self.got: list[str] = []
        self.answer: Outcome = Stay()

    def sheet(self, room: Room) -> Sheet:
        return Sheet("", self.name, "", (), (), "", (), typing=self.typing)

    def act(self, action: str) -> Outcome:
        self.got.append(action)
        return self.answer

    def typed(self, key: str, character: str) -> Outcome:
        self.got.append(f"typed {key}")
        return self.answer

    def tick(self, now: datetime) -> bool:
        return False

    def come_back(self) -> None:
        self.got.append("come back")


def stacked(*pages: Recorder) -> Stack:
    stack = Stack(pages[0], keymap({}), {"help": help_of})
    stack.pages += pages[1:]
    return stack


def help_of(stack: Stack) -> Page:
    return HelpPage(stack.sheet, stack.top.name, stack.keys)


def press(stack: Stack, keys: str) -> None:
    for key in keys:
        stack.press(key, key)


def test_letters_are_actions_and_digits_are_typed_while_a_reading_is_typed() -> None:
    page = Recorder("balance", Typing("", "0.3", "reading"))
    press(stacked(page), "1.r,z")
    assert page.got == ["typed 1", "typed .", "repeat", "typed ,", "zero"]


def test_every_sign_is_typed_while_a_text_is_typed() -> None:
    page = Recorder("balance", Typing("Why:", accepts="text"))
    stack = stacked(page)
    press(stack, "rz?")
    stack.press("escape", None)
    stack.press("enter", "\r")
    assert page.got == ["typed r", "typed z", "typed ?", "back", "enter"]


def test_help_is_there_by_its_twin_key_while_a_text_is_typed() -> None:
    page = Recorder("balance", Typing("Why:", "cra", "text"))
    stack = stacked(Recorder("contents"), page)
    stack.press("f1", None)
    assert stack.sheet.title == "HELP: balance"
    stack.press("escape", None)
    assert page.got == ["come back"]


def test_a_capital_letter_does_what_its_small_one_does() -> None:
    page = Recorder("balance")
    press(stacked(page), "Z")
    assert page.got == ["zero"]


def test_what_marks_or_stores_at_once_wants_its_small_letter() -> None:
    page = Recorder("balance")
    press(stacked(page), "RX")
    assert page.got == ["typed R", "typed X"]


def test_pages_open_on_top_and_esc_leads_down_to_the_contents() -> None:
    contents, tray, balance = Recorder("contents"), Recorder("tray"), Recorder("balance")
    stack = stacked(contents)
    contents.answer = Open(tray)
    stack.press("enter", "\r")
    tray.answer = Open(balance)
    stack.press("enter", "\r")
    assert stack.top is balance
    for page in (balance, tray):
        page.answer = Back()
        assert not stack.press("escape", None).closed
    assert stack.top is contents
    assert contents.got == ["enter", "come back"]
    contents.answer = Back()
    assert stack.press("escape", None).closed


def test_a_page_can_take_the_place_of_another() -> None:
    contents, one, other = Recorder("contents"), Recorder("tray"), Recorder("balance")
    stack = stacked(contents, one)
    one.answer = Instead(other)
    stack.press("enter", "\r")
    assert stack.pages == [contents, other]


def test_an_action_from_the_index_goes_to_the_page_beneath_or_to_the_contents() -> None:
    contents, tray, index = Recorder("contents"), Recorder("tray"), Recorder("index")
    stack = stacked(contents, tray, index)
    index.answer = Do("lost")
    stack.press("enter", "\r")
    assert stack.top is tray
    assert tray.got == ["come back", "lost"]
    stack.pages.append(index)
    index.answer = Do("settings")
    stack.press("enter", "\r")
    assert stack.top is contents
    assert contents.got[-1] == "settings"


def test_help_opens_from_every_page_and_any_key_leads_back() -> None:
    for keys in (("?", "?"), ("f1", None)):
        page = Recorder("balance")
        stack = stacked(Recorder("contents"), page)
        stack.press(*keys)
        assert stack.sheet.title == "HELP: balance"
        stack.press("q", "q")
        assert stack.pages[-1] is page
        assert stack.sheet.title == "balance"


def test_the_bell_and_the_close_reach_the_terminal() -> None:
    page = Recorder("contents")
    stack = stacked(page)
    page.answer = Bell("no")
    assert stack.press("enter", "\r").bell
    page.answer = Close()
    assert stack.press("enter", "\r").closed


def test_a_pasted_line_is_typed_sign_by_sign_and_its_end_stores_nothing() -> None:
    page = Recorder("balance", Typing("", "", "reading"))
    stacked(page).paste("0.3\nrm -rf\n")
    assert page.got == ["typed 0", "typed .", "typed 3"]
    silent = Recorder("tray")
    stacked(silent).paste("xxx")
    assert silent.got == []


def test_a_sheet_is_made_once_between_two_keys() -> None:
    page = Recorder("tray")
    stack = stacked(page)
    assert stack.sheet is stack.sheet
    first = stack.sheet
    stack.resized(Room(35, 40))
    assert stack.sheet is not first
