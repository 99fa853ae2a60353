"""The settings' file written by hand: a change touches its own lines, comments stay."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.logbook.settings_text import rewritten

HAND = """\
# written by hand
aim = "1,5 %"   # for # gold
trusted = [
  "a",  # Berg
  "b",
]  # end
later.thing = 3

# who works here
[people]  # names
KB = "K. Berg" # first
# second
IM = "I. Marsh"

[other]
x = 1
"""


def changed(text: str, **changes: object) -> str:
    """The text after changes; None takes out, as in the settings."""
    before = tomllib.loads(text)
    after = {k: v for k, v in {**before, **changes}.items() if v is not None}
    found = rewritten(text, before, after)
    assert tomllib.loads(found) == after
    return found


def differences(old: str, new: str) -> tuple[list[str], list[str]]:
    lines = old.splitlines(), new.splitlines()
    return (
        [line for line in lines[0] if line not in lines[1]],
        [line for line in lines[1] if line not in lines[0]],
    )


@pytest.mark.parametrize(
    ("changes", "gone", "new"),
    [
        ({"aim": "2 %"}, ['aim = "1,5 %"   # for # gold'], ['aim = "2 %"  # for # gold']),
        ({"aim": None}, ['aim = "1,5 %"   # for # gold'], []),
        ({"ascii": True}, [], ["ascii = true"]),
        ({"trusted": ["a"]}, ['  "a",  # Berg', '  "b",'], ['    "a",']),
        ({"people": {"KB": "K. M. Berg", "IM": "I. Marsh"}},
         ['KB = "K. Berg" # first'], ['KB = "K. M. Berg"  # first']),
        ({"people": {"IM": "I. Marsh"}}, ['KB = "K. Berg" # first'], []),
        ({"people": {"KB": "K. Berg", "IM": "I. Marsh", "Ä": "Ä"}}, [], ['"Ä" = "Ä"']),
        ({"keys": {"look": "q"}}, [], ["[keys]", 'look = "q"']),
    ],
)  # fmt: skip
def test_only_the_lines_of_a_change_change(
    changes: dict[str, object], gone: list[str], new: list[str]
) -> None:
    assert differences(HAND, changed(HAND, **changes)) == (gone, new)


def test_a_new_value_stands_before_the_tables_and_apart_from_them() -> None:
    found = changed(HAND, ascii=True)
    assert "later.thing = 3\nascii = true\n\n# who works here\n[people]" in found
    assert changed("[people]\nKB = 'B'\n", aim="2 %") == "aim = \"2 %\"\n\n[people]\nKB = 'B'\n"


def test_a_table_within_a_line_gets_lines_of_its_own() -> None:
    text = 'keys = { lost = "w" }\naim = "2 %"  # fine\n'
    wanted = 'aim = "2 %"  # fine\n\n[keys]\nlost = "w"\nlook = "q"\n'
    assert changed(text, keys={"lost": "w", "look": "q"}) == wanted


@pytest.mark.parametrize(
    "text",
    [
        'keys.lost = "w"\naim = "2 %"\n',
        'a = [\n[1, 2],\n]\nkeys = { lost = "w" }\n',
        'aim = """\n[people]\n"""\n',
        '"\\u0061im" = "2 %"\n',
    ],
)
def test_where_lines_cannot_be_told_apart_all_is_written_anew(text: str) -> None:
    found = changed(text, keys={"look": "q"}, aim="3 %", ascii=True)
    assert tomllib.loads(found)["aim"] == "3 %"


def test_a_table_that_is_taken_out_leaves_the_others_as_they_were() -> None:
    found = changed(HAND, people=None)
    assert "[people]" not in found
    assert found.endswith("\n\n[other]\nx = 1\n")


NAMES = st.sampled_from(["aim", "ascii", "people", "keys", "a-b", "Ä"])
VALUES = st.one_of(
    st.booleans(),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
    st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=3), max_size=3),
    st.dictionaries(NAMES, st.text("ab\"'#[]\n=", max_size=5), max_size=3),
)
TREES = st.dictionaries(NAMES, VALUES, max_size=4)


@given(TREES, TREES)
def test_whatever_is_changed_the_file_says_it(
    first: dict[str, object], then: dict[str, object]
) -> None:
    text = rewritten("# head\n", {}, first)
    assert tomllib.loads(text) == first
    assert tomllib.loads(rewritten(text, first, then)) == then


def test_an_empty_line_stands_before_the_first_table() -> None:
    text = changed('aim = "1 %"\n', people={"KB": "K. Berg"})
    assert text == 'aim = "1 %"\n\n[people]\nKB = "K. Berg"\n'
    text = changed(text, keys={"lost": "w"})
    assert changed(text, people=None) == 'aim = "1 %"\n\n[keys]\nlost = "w"\n'
    assert changed(text, aim=None).startswith("[people]\n")
