"""The table of actions: one key, one action on a page; the keys of a user are taken or told."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.bench.actions import MOST_KEYS, keymap
from assaybench.logbook.settings_keys import ACTIONS, EVERYWHERE, shown
from tests.bench.drawn import DRAWN
from tests.strategies import any_text

PAGES = sorted({page for action in ACTIONS for page in action.pages if page != "*"})
KEYS = keymap({})


@pytest.mark.parametrize("page", PAGES)
def test_no_two_actions_of_a_page_have_one_key(page: str) -> None:
    for one, other in combinations(KEYS.of_page(page), 2):
        if one.does != other.does:
            keys = {KEYS.keys[one.does], one.twin} & {KEYS.keys[other.does], other.twin} - {""}
            assert keys == set(), (one.id, other.id)


def test_letters_that_pages_share_keep_one_meaning() -> None:
    for letter in "lnxc":
        assert len({action.does for action in ACTIONS if action.key == letter}) == 1


def test_every_id_is_there_once_and_its_word_is_one_word() -> None:
    ids = [action.id for action in ACTIONS]
    assert len(ids) == len(set(ids))
    for action in ACTIONS:
        assert " " not in action.word
        assert action.help.endswith(".")
        assert len(action.help) <= 43


def test_no_key_needs_a_chord_or_is_part_of_a_reading() -> None:
    for action in ACTIONS:
        assert len(action.key) > 1 or not (action.key.isdigit() or action.key in ".,- ")
        assert "+" not in action.key
        assert not action.key.isupper()


def test_key_lines_are_as_drawn() -> None:
    lines = {name: KEYS.line(sheet.keys) for name, sheet in DRAWN.items()}
    assert lines["tray"] == (
        "Enter weigh   arrows move   l look   x lost   p print   ? help   Esc back"
    )
    assert all(len(sheet.keys) <= MOST_KEYS for sheet in DRAWN.values())


def test_a_key_does_what_its_page_says() -> None:
    assert KEYS.action("tray", "p") == "print"
    assert KEYS.action("contents", "p") == "plan"
    assert KEYS.action("fire", "b") == "blick"
    assert KEYS.action("contents", "b") == "balances"
    assert KEYS.action("balance", "f1") == "help"
    assert KEYS.action("balance", "q") is None
    assert KEYS.action("results", "enter") == "enter"


def test_a_key_of_the_user_is_taken_and_shown() -> None:
    keys = keymap({"lost": "w", "help": "h"})
    assert keys.faults == ('keys: "h" for help is the key of heaps already. help keeps its own.',)
    assert keys.action("tray", "w") == "lost"
    assert keys.action("tray", "x") is None
    assert keys.line(("lost", "help")) == "w lost   ? help"


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        ({"seal_it": "s"},
         'keys: "seal_it" is not an action. The table of keys in the settings lists them.'),
        ({"enter": "e"}, "keys: enter keeps Enter; only letters and signs can be changed."),
        ({"lost": "5"}, 'keys: "5" cannot be a key for lost: one letter or sign, no digit.'),
        ({"look": "f2"}, 'keys: "f2" cannot be a key for look: one letter or sign, no digit.'),
        ({"lost": "l"}, 'keys: "l" for lost is the key of look already. lost keeps its own.'),
    ],
)  # fmt: skip
def test_a_key_that_cannot_be_is_told_and_the_old_one_stays(
    wanted: dict[str, str], told: str
) -> None:
    keys = keymap(wanted)
    assert keys.faults == (told,)
    assert keys.keys == KEYS.keys


@given(st.dictionaries(st.sampled_from([a.does for a in ACTIONS]) | any_text, any_text))
def test_whatever_a_user_wants_no_action_is_lost(wanted: dict[str, str]) -> None:
    keys = keymap(wanted)
    for page in PAGES:
        for action in keys.of_page(page):
            assert keys.action(page, keys.keys[action.does]) == action.does


def test_two_actions_can_change_places_one_after_the_other() -> None:
    keys = keymap({"lost": "w", "look": "x"})
    assert keys.faults == ()
    assert (keys.action("tray", "w"), keys.action("tray", "x")) == ("lost", "look")


def test_keys_are_printed_as_people_know_them() -> None:
    assert [shown(key) for key in ("enter", "escape", "f1", "x", "?")] == [
        "Enter", "Esc", "F1", "x", "?",
    ]  # fmt: skip
    assert EVERYWHERE == ("*",)
