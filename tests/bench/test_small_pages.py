"""Help, index, initials and settings: small pages that open from everywhere."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.frame import as_text, room, set_page
from assaybench.bench.laid_out import Book, laid_out
from assaybench.bench.page import Back, Bell, Do, Open, Page, Room, Stay
from assaybench.bench.pages.help import HelpPage
from assaybench.bench.pages.index import Find, IndexPage, actions_of
from assaybench.bench.pages.initials import InitialsPage
from assaybench.bench.pages.settings_page import SettingsPage
from assaybench.bench.pages.table_page import TablePage
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.sheet import Sheet, text_of
from assaybench.logbook import settings
from assaybench.logbook.files import Files
from assaybench.logbook.settings import SettingsFile
from assaybench.logbook.settings_fields import FIELDS, Settings
from assaybench.logbook.settings_keys import ACTIONS
from assaybench.messages import BadInput
from tests.bench.books import closed
from tests.bench.conftest import Clock
from tests.bench.drawn import BALANCE, DRAWN
from tests.bench.furnace_run import drawn_run

KEYS = keymap({})


def page_text(page: Page, width: int = 80, height: int = 24) -> str:
    return as_text(set_page(page.sheet(room(width, height)), KEYS, width, height))


def type_in(page: Page, text: str) -> None:
    for sign in text:
        page.typed(sign, sign)


def everything(page: HelpPage) -> str:
    """The text blocks of all pages of a help page."""
    parts = []
    for _ in range(12):
        part = "\n".join(text_of(one) for one in page.sheet(Room()).block)
        if part in parts:
            break
        parts.append(part)
        page.act("enter")
    return "\n".join(parts)


# --- help ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DRAWN)
def test_help_has_every_action_of_its_page_with_its_key(name: str) -> None:
    told = everything(HelpPage(DRAWN[name], name, KEYS))
    for action in ACTIONS:
        if name in action.pages and "." not in action.id:
            assert f"  {KEYS.keys[action.does]}        {action.help}" in told


def test_help_says_first_what_the_page_is_then_the_safety_of_the_step() -> None:
    about = ("What this page is.", "Acid into water. Local rules decide.")
    page = HelpPage(BALANCE._replace(about=about), "balance", KEYS)
    rows = page_text(page).splitlines()
    assert rows[0].startswith("  Furnace run 0147")
    assert "HELP: AT THE BALANCE" in rows[0]
    assert rows[2].startswith("  What this page is.")
    assert rows[4].startswith("  Acid into water.")


def test_help_that_is_long_has_pages_and_loses_no_line() -> None:
    about = tuple(f"Paragraph {i}. " + "zinc " * 40 for i in range(12))
    page = HelpPage(BALANCE._replace(about=about), "balance", KEYS)
    told = everything(page)
    assert all(f"Paragraph {i}." in told for i in range(12))
    assert told.count("zinc") == 12 * 40
    assert "of" in page.sheet(Room()).right


def test_the_keys_of_the_user_stand_in_the_help() -> None:
    page = HelpPage(BALANCE, "balance", keymap({"lost": "w"}))
    assert "  w        Lost, with a word why." in everything(page)


def test_help_turns_back_and_forth_and_any_other_key_leaves_it() -> None:
    page = HelpPage(BALANCE._replace(about=("long " * 400,)), "balance", KEYS)
    first = page.sheet(Room())
    assert page.act("down") == Stay()
    assert page.sheet(Room()) != first
    page.act("up")
    assert page.sheet(Room()) == first
    assert page.typed("q", "q") == Back()
    assert page.act("back") == Back()


# --- index ---------------------------------------------------------------------------------------


def finds() -> list[Find]:
    logs = [Find(f"furnace run 00{i} heap {i % 3}", "cupel B6", lambda: Do("x")) for i in range(40)]
    return [*logs, *actions_of(KEYS, ["balance"], lambda _action: True)]


def test_the_index_finds_by_the_first_letters_of_any_word() -> None:
    page = IndexPage(finds(), "AssayBench")
    type_in(page, "zer")
    assert [find.label for find in page.found] == ["zero: A reading of zero."]
    assert page.act("enter") == Do("zero")
    for _ in "zer":
        page.typed("backspace", "")
    type_in(page, "HEAP 2")
    assert {find.label[-6:] for find in page.found} == {"heap 2"}


def test_a_pointer_walks_through_more_finds_than_lines() -> None:
    page = IndexPage(finds(), "AssayBench")
    for _ in range(30):
        page.act("down")
    text = page_text(page)
    assert "> furnace run 0030" in text
    assert f"{len(finds()) - 19} more. Type more letters." in page.sheet(Room()).margin
    for _ in range(100):
        page.act("down")
    assert page.act("down") == Stay()
    for _ in range(200):
        page.act("up")
    assert "> furnace run 000 " in page_text(page)


def test_letters_that_begin_nothing_are_told_and_lead_nowhere() -> None:
    page = IndexPage(finds(), "AssayBench")
    type_in(page, "qqq")
    assert "Nothing begins with" in page_text(page)
    assert page.act("enter") == Bell()
    assert page.act("back") == Back()


def test_the_index_of_the_bench_lists_logs_and_what_there_is(desk: Desk, clock: Clock) -> None:
    drawn_run(desk, clock).close()
    stack = laid_out(desk, Book(desk.book.root), SettingsFile(Settings(), (), {}), Path("none"))
    stack.press("i", "i")
    labels = page_text(stack.top)
    assert "> furnace run 0001" in labels
    assert "settings: " in labels
    assert "plan: " not in labels, "no page for it yet"
    for sign in "sett":
        stack.press(sign, sign)
    stack.press("enter", "\r")
    assert isinstance(stack.top, SettingsPage)


def test_the_index_on_a_page_leads_to_its_actions_and_to_other_logs(
    desk: Desk, clock: Clock
) -> None:
    drawn_run(desk, clock).close()
    stack = laid_out(desk, Book(desk.book.root), SettingsFile(Settings(), (), {}), Path("none"))
    stack.press("enter", "\r")
    tray = stack.top
    assert isinstance(tray, TrayPage)
    stack.press("i", "i")
    for sign in "settings":
        stack.press(sign, sign)
    stack.press("enter", "\r")
    assert isinstance(stack.top, SettingsPage)
    stack.press("escape", None)
    assert len(stack.pages) == 1
    closed(stack)


# --- initials ------------------------------------------------------------------------------------


def test_another_person_goes_on_by_initials(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh"})
    page = InitialsPage(desk, "Furnace run 0147")
    assert "Known: IM I. Marsh." in page_text(page)
    type_in(page, "IM")
    assert page.act("enter") == Back()
    assert desk.by == "IM"
    assert desk.keeper().by == "IM"


def test_what_cannot_be_initials_is_told_and_nobody_changes(desk: Desk) -> None:
    page = InitialsPage(desk, "")
    type_in(page, "?!")
    assert page.act("enter") == Stay()
    assert page.sheet(Room()).margin[0] != "KB works here now."
    assert page.act("back") == Back()
    assert desk.by == "KB"


# --- settings ------------------------------------------------------------------------------------


def test_every_setting_has_its_line_and_its_meaning(desk: Desk) -> None:
    page = SettingsPage(desk, lambda _changes: None, "AssayBench")
    for field in FIELDS:
        sheet = page.sheet(Room())
        assert sheet.promise in (
            f"Enter changes {field.name}.",
            f"Enter opens {field.name}, line by line.",
        )
        assert field.help in str(sheet.margin[0])
        page.act("down")
    assert len(page.sheet(Room()).block) <= Room().block_lines


def test_a_changed_setting_is_stored_and_counts_at_once(desk: Desk, tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    files = Files()

    def keep(changes: dict[str, object]) -> None:
        settings.save(files, path, changes)

    page = SettingsPage(desk, keep, "AssayBench")  # type: ignore[arg-type]  # a narrower dict
    for name, typed in (("tray", "5 x 8"), ("ascii", "yes"), ("initials", "IM")):
        choose(page, name)
        page.act("enter")
        type_in(page, typed)
        assert page.act("enter") == Stay()
    assert settings.load(files, path).settings == desk.settings
    assert (str(desk.settings.tray), desk.settings.ascii, desk.by) == ("5 x 8", True, "IM")


def choose(page: SettingsPage, name: str) -> None:
    for _ in FIELDS:
        page.act("up")
    for _ in range([field.name for field in FIELDS].index(name)):
        page.act("down")


@pytest.mark.parametrize(
    ("name", "typed"), [("tray", "big"), ("palette", "red"), ("ascii", "maybe"), ("aim", "none")]
)
def test_a_bad_setting_is_told_and_the_old_one_stays(desk: Desk, name: str, typed: str) -> None:
    def refuse(_changes: object) -> None:
        raise AssertionError("stored")

    page = SettingsPage(desk, refuse, "AssayBench")
    before = desk.settings
    choose(page, name)
    page.act("enter")
    type_in(page, typed)
    page.act("enter")
    asked = page.sheet(Room())
    assert asked.typing is not None
    assert asked.margin[0]
    assert desk.settings == before
    page.act("back")
    assert page.sheet(Room()).typing is None


def test_a_setting_that_cannot_be_stored_is_told(desk: Desk) -> None:
    def refuse(_changes: object) -> None:
        raise BadInput(["settings.toml cannot be read."])

    page = SettingsPage(desk, refuse, "AssayBench")
    choose(page, "tray")
    page.act("enter")
    type_in(page, "5 x 8")
    page.act("enter")
    assert page.sheet(Room()).margin[0] == "settings.toml cannot be read."
    assert str(desk.settings.tray) == "4 x 6"


def test_what_a_command_stored_meanwhile_stays(desk: Desk) -> None:
    path = desk.book.root.with_name("settings.toml")
    stack = laid_out(desk, Book(desk.book.root), SettingsFile(Settings(), (), {}), path)
    settings.save(Files(), path, {"people": {"AM": "A. Moor"}, "aim": "2 %"})
    stack.press("o", "o")
    page = stack.top
    assert isinstance(page, SettingsPage)
    assert desk.settings.aim == "2 %"
    choose(page, "people")
    stack.press("enter", "\r")
    for text in ("a", "KB", "K. Berg"):
        for sign in text:
            stack.press(sign, sign)
        if text != "a":
            stack.press("enter", "\r")
    assert settings.load(Files(), path).settings.people == {"AM": "A. Moor", "KB": "K. Berg"}
    # and so it does while the table lies open: a line is added, another is taken out
    told = {"AM": "A. Moor", "KB": "K. Berg", "LO": "L. Orr"}
    settings.save(Files(), path, {"people": told})
    page = stack.top
    assert isinstance(page, TablePage)
    assert page.act("up") == Stay()
    page.act("drop")
    assert settings.load(Files(), path).settings.people == {"KB": "K. Berg", "LO": "L. Orr"}
    # and while the settings lie open
    stack.press("escape", None)
    settings.save(Files(), path, {"people": told})
    stack.press("enter", "\r")
    assert isinstance(stack.top, TablePage)
    assert dict(stack.top.rows) == told
    path.write_text("aim = ")
    stack.press("escape", None)
    stack.press("escape", None)
    stack.press("o", "o")
    assert desk.settings.aim == "2 %", "a file that cannot be read changes nothing here"


def test_tables_open_as_pages_of_their_own(desk: Desk) -> None:
    page = SettingsPage(desk, lambda _changes: None, "AssayBench")
    for name in ("people", "keys", "trusted"):
        choose(page, name)
        assert page.sheet(Room()).promise == f"Enter opens {name}, line by line."
        opened = page.act("enter")
        assert isinstance(opened, Open)
        assert isinstance(opened.page, TablePage)
        assert opened.page.field.name == name


def test_below_the_fields_stand_signing_keys_and_practice(desk: Desk) -> None:
    made: list[Page] = []

    def signing() -> Page:
        made.append(HelpPage(BALANCE, "balance", KEYS))
        return made[-1]

    page = SettingsPage(desk, lambda _changes: None, "AssayBench", signing)
    for _ in range(40):
        page.act("down")
    assert page.act("enter") == Do("practice")
    page.act("up")
    assert page.sheet(Room()).promise == "Enter opens the signing keys."
    assert page.act("enter") == Open(made[0])
    assert "> signing keys" in page_text(page)


def test_minutes_are_whole_and_none_is_never(desk: Desk) -> None:
    page = SettingsPage(desk, lambda _changes: None, "AssayBench")
    choose(page, "idle_minutes")
    for typed, minutes in (("25", 25), ("0", 0), ("241", 0), ("soon", 0), ("2.5", 0)):
        page.act("enter")
        type_in(page, typed)
        page.act("enter")
        page.act("back")
        assert desk.settings.idle_minutes == minutes


def test_help_of_a_page_without_own_words_still_has_its_keys() -> None:
    empty = Sheet("", "X", "", (), (), "", ())
    assert "Esc" in everything(HelpPage(empty, "tray", KEYS))
    assert not isinstance(HelpPage(empty, "tray", KEYS).act("enter"), Open)


@pytest.mark.parametrize(
    ("name", "good"), [("initials", "MH"), ("logbook", "/a/book"), ("signing_key", "/a/key")]
)
def test_a_hyphen_leaves_a_setting_to_the_program_again(desk: Desk, name: str, good: str) -> None:
    kept: list[Mapping[str, object]] = []
    page = SettingsPage(desk, kept.append, "AssayBench")
    choose(page, name)
    for text in (good, "-"):
        page.act("enter")
        type_in(page, text)
        page.act("enter")
    assert kept == [{name: good}, {name: None}]
    assert getattr(desk.settings, name) == ""


def test_a_signing_key_that_is_not_there_is_told_at_once(desk: Desk) -> None:
    page = SettingsPage(desk, lambda _changes: None, "AssayBench")
    choose(page, "signing_key")
    page.act("enter")
    type_in(page, "here/key")
    page.act("enter")
    assert "depends on where you stand" in str(page.sheet(Room()).margin[0])
    page.act("back")
    page.act("enter")
    type_in(page, "/nowhere/key")
    page.act("enter")
    assert any("there is no key file key" in str(one) for one in page.sheet(Room()).margin)
