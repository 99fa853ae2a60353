"""What a few words on line 23 ask the list of logs for."""

from contextlib import suppress

import pytest
from hypothesis import given

from assaybench.bench.log_filter import wanted_of
from assaybench.logbook.index_tables import STATES, Wanted
from assaybench.messages import BadInput
from tests.strategies import any_text


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", Wanted()),
        ("sealed", Wanted(state="sealed")),
        ("not read", Wanted(state="not read")),
        ("Run OPEN", Wanted(log="furnace run", state="open")),
        ("2026-06-09", Wanted(since="2026-06-09", until="2026-06-09")),
        ("since 2026-06-01 until 2026-06-30", Wanted(since="2026-06-01", until="2026-06-30")),
        ("sample KV-017 d", Wanted(sample="KV-017 d")),
        ("sample KV-017 d sealed", Wanted(sample="KV-017 d", state="sealed")),
        ("heap north", Wanted(title="heap north")),
        ("title run 5 of May", Wanted(title="run 5 of May")),
        ("bench hill circuit", Wanted(bench="HILL", log="circuit test")),
        ("state void heap", Wanted(state="void", title="heap")),
    ],
)
def test_words_ask_for_what_they_say(text: str, wanted: Wanted) -> None:
    assert wanted_of(text) == wanted


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("sealed open", "state is asked for twice. Write it once."),
        ("sample", "sample needs a word behind it."),
        ("since yesterday", '"yesterday" is not a date.'),
        ("2026-02-31", '"2026-02-31" is not a date.'),
        ("state shut", '"shut" is not a choice for state.'),
        ("bench 7", '"7"'),
        ("since 2026-06-01 since 2026-06-02", "since is asked for twice. Write it once."),
    ],
)
def test_what_cannot_be_asked_is_told_in_one_line(text: str, told: str) -> None:
    with pytest.raises(BadInput) as fault:
        wanted_of(text)
    assert len(fault.value.lines) == 1
    assert fault.value.lines[0].startswith(told)


def test_every_state_can_be_asked_for() -> None:
    assert [wanted_of(state).state for state in STATES] == list(STATES)


@given(any_text)
def test_whatever_is_typed_is_read_or_told(text: str) -> None:
    found = None
    with suppress(BadInput):
        found = wanted_of(text)
    assert found is None or isinstance(found, Wanted)
