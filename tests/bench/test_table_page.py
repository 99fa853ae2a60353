"""People, keys and trusted fingerprints: changed line by line, checked, stored at once."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.page import Bell, Open, Room, Stay
from assaybench.bench.pages.settings_page import SettingsPage
from assaybench.bench.pages.table_page import TablePage
from assaybench.bench.sheet import text_of
from assaybench.logbook import settings
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.settings_fields import FIELDS

PRINT = "SHA256:" + "a" * 43
OTHER = "SHA256:" + "b" * 43


class Kept:
    """Settings that are stored in a real file."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __call__(self, changes: Mapping[str, object]) -> None:
        settings.save(Files(), self.path, changes)

    def read(self) -> settings.SettingsFile:
        return settings.load(Files(), self.path)


@pytest.fixture
def kept(tmp_path: Path) -> Kept:
    return Kept(tmp_path / "settings.toml")


def table(desk: Desk, kept: object, name: str) -> TablePage:
    page = SettingsPage(desk, kept, "AssayBench")  # type: ignore[arg-type]  # any keeper
    for _ in range([field.name for field in FIELDS].index(name)):
        page.act("down")
    opened = page.act("enter")
    assert isinstance(opened, Open)
    assert isinstance(opened.page, TablePage)
    return opened.page


def give(page: TablePage, action: str, *answers: str) -> None:
    page.act(action)
    for answer in answers:
        for sign in answer:
            page.typed(sign, sign)
        page.act("enter")


def lines(page: TablePage) -> list[str]:
    return [text_of(one) for one in page.sheet(Room()).block[1:]]


def test_people_are_added_changed_and_taken_out(desk: Desk, kept: Kept) -> None:
    page = table(desk, kept, "people")
    assert page.sheet(Room()).margin[0] == "No line yet. Key a adds one."
    give(page, "row", "KB", "K. Berg")
    give(page, "enter", "K. M. Berg")
    give(page, "row", "IM", "I. Marsh")
    assert [one.split()[0] for one in lines(page)] == ["KB", ">"]
    assert kept.read().settings.people == {"KB": "K. M. Berg", "IM": "I. Marsh"}
    assert desk.settings.people == kept.read().settings.people
    assert page.act("drop") == Stay()
    assert kept.read().settings.people == {"KB": "K. M. Berg"}
    assert page.sheet(Room()).margin[0] == "IM is taken out."


def test_a_list_has_lines_of_its_own(desk: Desk, kept: Kept) -> None:
    page = table(desk, kept, "trusted")
    give(page, "row", PRINT)
    give(page, "enter", OTHER)
    assert kept.read().settings.trusted == (PRINT, OTHER)
    assert all(len(one) <= 54 for one in lines(page))
    page.act("up")
    page.act("drop")
    assert kept.read().settings.trusted == (OTHER,)


@pytest.mark.parametrize(
    ("name", "answers", "told"),
    [
        ("people", ("?!",), '"?!"'),
        ("trusted", ("SHA256:short",), '"SHA256:short"'),
        ("keys", ("look", "x"), 'keys: "x" for look is the key of lost already.'),
        ("keys", ("nothing",), 'keys: "nothing" is not an action.'),
    ],
)
def test_what_cannot_be_is_told_and_not_stored(
    desk: Desk, kept: Kept, name: str, answers: tuple[str, ...], told: str
) -> None:
    page = table(desk, kept, name)
    give(page, "row", *answers)
    assert told in str(page.sheet(Room()).margin[0])
    assert not kept.path.exists()
    page.act("back")
    assert page.sheet(Room()).typing is None
    assert page.rows == []


def test_the_table_of_keys_names_every_action_that_can_have_another(desk: Desk, kept: Kept) -> None:
    page = table(desk, kept, "keys")
    shown = " ".join(lines(page)).replace("\N{NO-BREAK SPACE}", " ").split("   ")
    told = {one.strip() for one in shown}
    assert {"x lost", "l look", "s charge"} <= told
    give(page, "row", "lost", "q")
    assert "q lost" in " ".join(lines(page)).replace("\N{NO-BREAK SPACE}", " ")


def test_keys_are_checked_as_the_bench_will_take_them(desk: Desk, kept: Kept) -> None:
    page = table(desk, kept, "keys")
    give(page, "row", "look", "q")
    assert kept.read().settings.keys == {"look": "q"}
    assert "It counts from the next start." in page.sheet(Room()).margin


def test_what_cannot_be_stored_is_told_and_the_old_table_counts(desk: Desk) -> None:
    def refuse(_changes: object) -> None:
        raise NotDone(["the disk is full"])

    page = table(desk, refuse, "people")
    give(page, "row", "KB", "K. Berg")
    assert page.sheet(Room()).margin[0] == "the disk is full"
    page.act("back")
    assert desk.settings.people == {}
    desk.settings = desk.settings._replace(people={"KB": "K. Berg"})
    assert page.act("drop") == Bell()
    assert desk.settings.people == {"KB": "K. Berg"}


def test_nothing_typed_changes_nothing(desk: Desk, kept: Kept) -> None:
    page = table(desk, kept, "people")
    give(page, "row", "")
    give(page, "row", "KB", "")
    assert (page.act("enter"), page.typed("q", "q")) == (Stay(), Stay())
    page.act("back")
    assert page.act("drop") == Bell()
    assert page.typed("q", "q") == Bell()
    assert not kept.path.exists()


@pytest.mark.parametrize(
    ("name", "typed", "said"),
    [("people", "E L", "initials"), ("keys", "flyy", '"flyy"'), ("keys", "enter", "Enter")],
)
def test_a_name_that_cannot_be_is_said_before_anything_else_is_asked(
    desk: Desk, kept: Kept, name: str, typed: str, said: str
) -> None:
    page = table(desk, kept, name)
    give(page, "row", typed)
    sheet = page.sheet(Room())
    assert sheet.typing is not None
    assert sheet.typing.text == typed
    assert said in str(sheet.margin[0])
    assert not kept.path.exists()
