"""Initials in one key: the next person known here goes on, wherever the work is."""

import asyncio

from assaybench.bench.actions import keymap
from assaybench.bench.app import BenchApp
from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.page import Room
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.pages.contents import ContentsPage
from assaybench.bench.people import following, known, named, switched
from assaybench.bench.run_log import RunLog
from assaybench.bench.stack import Stack
from assaybench.logbook.settings_fields import Settings
from tests.bench.books import bench_with_run, closed, press, shown
from tests.bench.conftest import Clock
from tests.bench.hands import FINE, safety_rows, sample_rows
from tests.bench.patience import keyed

PERSON = ("person", {"initials": "OF", "name": "O. Fell"})


def opened(stack: Stack) -> RunLog:
    """Go into the run that was left, at the balance."""
    press(stack, "enter", "enter")
    assert isinstance(stack.top, BalancePage)
    return stack.top.run


def margin_of(stack: Stack) -> str:
    stack.resized(Room())
    first = stack.sheet.margin[0]
    return first if isinstance(first, str) else first.text


def test_people_are_known_from_the_log_in_order_then_from_the_settings(desk: Desk) -> None:
    desk.settings = Settings(initials="ZZ", people={"IM": "I. Marsh", "KB": "K. Berg"})
    run = new_run(desk)
    run.append_all([PERSON, FINE])
    desk.switch("TT")
    run.append("note", {"text": "it rains"})
    assert known(desk, run.entries) == ["KB", "OF", "TT", "IM", "ZZ"]
    assert known(desk) == ["KB", "TT", "IM", "ZZ"]
    assert named(desk, "OF", run.entries) == "OF, O. Fell"
    assert named(desk, "IM") == "IM, I. Marsh"
    assert named(desk, "TT", run.entries) == "TT"
    run.close()


def test_one_goes_on_after_the_other_and_round_again(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh", "OF": "O. Fell"})
    went = []
    for _ in range(4):
        told = switched(desk, keymap({}))
        went.append(desk.by)
        assert told.startswith(desk.by)
    assert went == ["IM", "OF", "KB", "IM"]
    assert following(desk) == "OF"


def test_a_single_person_has_nobody_to_go_on_with(desk: Desk) -> None:
    assert switched(desk, keymap({})) == ""
    assert desk.by == "KB"
    desk.by = ""
    desk.settings = Settings(people={"IM": "I. Marsh"})
    assert switched(desk, keymap({})) == "", "nobody works here: initials are asked for"


def test_one_key_at_the_balance_and_the_reading_carries_the_other_initials(
    desk: Desk, clock: Clock
) -> None:
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh"})
    stack = bench_with_run(desk, clock)
    run = opened(stack)
    press(stack, "0", ".", "1", "k")
    assert isinstance(stack.top, BalancePage)
    assert margin_of(stack) == (
        "IM, I. Marsh weighs now. Entries from here on carry IM.\nk again: KB. j: somebody new."
    )
    page = shown(stack)
    assert "IM, I. Marsh weighs" in page
    assert page.splitlines()[0].endswith("IM · 14:31")
    assert "Enter stores 0.1 mg for B6" in page
    press(stack, "8", "4")
    assert not margin_of(stack).startswith("IM, I. Marsh"), "said until the next key"
    press(stack, "enter")
    last = run.entries[-1]
    assert (last.kind, last.by, last.values["text"]) == ("reading", "IM", "0.184")
    press(stack, "k")
    assert desk.by == "KB"
    closed(stack)


def test_with_one_person_the_key_asks_and_then_it_switches(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    opened(stack)
    press(stack, "k")
    assert stack.top.name == "initials"
    press(stack, "I", "M", "enter")
    assert stack.top.name == "balance"
    assert desk.by == "IM"
    press(stack, "k")
    assert desk.by == "KB"
    press(stack, "j")
    assert stack.top.name == "initials"
    press(stack, "O", "F", "enter", "k")
    assert desk.by == "KB", "round again: KB, IM, OF"
    press(stack, "k", "k")
    assert desk.by == "OF"
    closed(stack)


def test_the_index_and_another_key_lead_there_too(desk: Desk, clock: Clock) -> None:
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh"}, keys={"initials": "q"})
    stack = bench_with_run(desk, clock)
    opened(stack)
    press(stack, "i", *"next person", "enter")
    assert desk.by == "IM"
    assert "q again: KB. j: somebody new." in margin_of(stack)
    press(stack, "q")
    assert desk.by == "KB"
    press(stack, "k")
    assert desk.by == "KB", "it is no key any more"
    assert isinstance(stack.pages[0], ContentsPage)
    closed(stack)


def test_a_code_that_is_scanned_where_none_is_asked_for_changes_nobody(
    desk: Desk, clock: Clock
) -> None:
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh"})
    stack = bench_with_run(desk, clock)
    opened(stack)
    assert stack.press("K", "K").bell
    assert desk.by == "KB"
    closed(stack)


def test_while_letters_are_typed_the_key_is_a_letter(desk: Desk, clock: Clock) -> None:
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh"})
    stack = bench_with_run(desk, clock)
    run = opened(stack)
    press(stack, "n", "k", "j", "enter")
    assert desk.by == "KB"
    assert run.entries[-1].values["text"] == "kj"
    closed(stack)


def test_one_key_in_the_app(desk: Desk, clock: Clock) -> None:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"), ("KV-2", "A2")), *safety_rows()])
    desk.switch("IM")
    run.append("note", {"text": "it rains"})
    page = BalancePage(run, "beads", "KV-1")

    async def story() -> None:
        stack = bench_with_run(desk, clock)
        contents = stack.pages[0]
        assert isinstance(contents, ContentsPage)
        contents.at_hand.run = run
        stack.pages.append(page)
        app = BenchApp(stack, clock)
        async with app.run_test(size=(80, 23)) as pilot:
            await keyed(pilot, "0", "full_stop", "3", "k", "enter", "k", "0", "full_stop", "2")
            await keyed(pilot, "enter")

    asyncio.run(story())
    weighed = [(e.values["text"], e.by) for e in run.entries if e.kind == "reading"]
    assert weighed == [("0.3", "KB"), ("0.2", "IM")]
    run.close()
