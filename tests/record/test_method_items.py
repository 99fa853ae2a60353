"""The table of method items: what is taken, what is refused, what an old log may say."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest

from assaybench.messages import BadInput
from assaybench.record import handsheet, kinds, method_items, strict
from assaybench.record.entries import Entry
from assaybench.record.frame import Chain
from assaybench.record.method_items import BY_NAME, ITEMS
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.trial import must_fit
from assaybench.report import entry_lines, text_parts
from assaybench.report.results_view import Source, answer_of
from tests.record.test_beside import HEAD, SAMPLE

GOOD = {
    "aim": "2 %",
    "proof": "ratio",
    "proof_scaling": "surface",
    "silver": "twin",
    "grain_size": "106um:250um",
    "splitting_limit": "0.5 ‰",
    "scatter": "duplicates",
    "screen": "106 um",
    "sieves": "1.0 0.25 mm",
    "fire_minutes": "25 min",
    "laboratory": "Plover Kettle shed, Invented Road 1",
    "place": "the shed",
    "client": "Odda Farrow, Invented Road 2",
    "received": "8 June 2026",
    "sampling": "channel of 2 m, by the client",
}
BAD = {
    "aim": ("much", '"much" is not a share'),
    "proof": ("ratoi", '"ratoi" is not a choice for proof. Write additive, ratio, none'),
    "proof_scaling": ("mass", '"mass" is not a choice for proof_scaling. Write none, surface'),
    "silver": ("triplet", '"triplet" is not a choice for silver. Write difference, twin'),
    "grain_size": ("fine", '"fine"'),
    "splitting_limit": ("0.5", '"0.5" has no unit'),
    "scatter": ("all", '"all" is not a choice for scatter. Write own, duplicates'),
    "screen": ("106", '"106"'),
    "sieves": ("1.0 0.25", '"1.0 0.25"'),
    "fire_minutes": ("soon", '"soon"'),
}
AT = datetime(2026, 6, 9, tzinfo=UTC)


def sheet(item: str, value: str) -> bytes:
    return (HEAD + f'\n[method]\n{item} = "{value}"\n' + SAMPLE).encode()


def faults(item: str, value: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        handsheet.read(sheet(item, value))
    return list(caught.value.lines)


def log(*methods: dict[str, object]) -> list[Entry]:
    """A log as an older program may have stored it: nothing is checked here."""
    rows = [("opened", handsheet.read((HEAD + SAMPLE).encode()).entries[0].values)]
    rows += [("method", values) for values in methods]
    found = [Entry(n, AT, "KB", kind, values) for n, (kind, values) in enumerate(rows, 1)]
    rest = handsheet.read((HEAD + SAMPLE).encode()).entries[1:]
    return [*found, *(e._replace(n=n) for n, e in enumerate(rest, len(found) + 1))]


def test_every_item_is_tried_here() -> None:
    assert GOOD.keys() == BY_NAME.keys()
    assert BAD.keys() == {item.name for item in ITEMS if item.reader is not None}


@pytest.mark.parametrize("item", [*GOOD])
def test_an_item_with_its_value_is_taken(item: str) -> None:
    entries = handsheet.read(sheet(item, GOOD[item])).entries
    assert replay(entries).methods == {item: GOOD[item]}
    assert method_items.unused({"item": item, "value": GOOD[item]}) == ""


@pytest.mark.parametrize("item", [*BAD])
def test_a_value_that_is_not_accepted_is_one_line(item: str) -> None:
    value, begin = BAD[item]
    (line,) = faults(item, value)
    assert line.startswith(f"method.{item}.value: {begin}")
    trial = Entry(99, AT, "KB", "method", {"item": item, "value": value})
    with pytest.raises(BadInput) as caught:
        must_fit(log(), trial)
    assert [one.startswith(f"value: {begin}") for one in caught.value.lines] == [True]


@pytest.mark.parametrize(
    ("item", "near"),
    [("prof", "proof"), ("Aim", "aim"), ("proofscaling", "proof_scaling"), ("clients", "client")],
)
def test_an_unknown_item_is_one_line_with_what_was_perhaps_meant(item: str, near: str) -> None:
    (line,) = faults(item, "ratio")
    said = f'"{item}" is not an item of the method. Write {near}'
    assert line.startswith(f"method.{item}.item: {said}")
    for name in BY_NAME:
        assert name in line
    assert line.isprintable()


def test_an_item_like_none_names_them_all() -> None:
    (line,) = faults("zzz", "1")
    assert line == (
        'method.zzz.item: "zzz" is not an item of the method. Items are ' + ", ".join(BY_NAME) + "."
    )


def test_an_old_log_with_an_unknown_item_is_replayed_and_says_so() -> None:
    plain, old = log(), log({"item": "prof", "value": "ratio"}, {"item": "proof", "value": "ratoi"})
    same = [[s.figures for s in results(replay(entries)).samples] for entries in (plain, old)]
    assert same[0] == same[1]
    source = Source("log", {}, (), ("log", {}))
    flags = [f.text for f in answer_of(source, old).flags if f.code == "method_unused"]
    assert flags == [
        "Entry 2, method prof: item not known: not used.",
        "Entry 3, method proof: value not accepted: not used.",
    ]
    assert not [f for f in answer_of(source, plain).flags if f.code == "method_unused"]
    state = replay(old)
    told = [text for text, _ in text_parts.choices(state).rows]
    assert told[0] == "prof: ratio, KB; item not known: not used"
    lines = entry_lines.lines(state.entries[1])
    assert lines[-1].strip() == "item not known: not used"
    must_fit(old, Entry(99, AT, "KB", "note", {"text": "goes on"}))  # it takes entries


def amended(**values: object) -> Entry:
    return Entry(99, AT, "KB", "amendment", {"entry": 2, "reason": "slip", **values})


def refused(entries: list[Entry], trial: Entry) -> Iterator[str]:
    with pytest.raises(BadInput) as caught:
        must_fit(entries, trial)
    yield from caught.value.lines


def test_an_amendment_of_a_choice_is_checked_as_it_would_stand() -> None:
    entries = log({"item": "proof", "value": "ratio"})
    must_fit(entries, amended(value="none"))
    assert [line[:16] for line in refused(entries, amended(value="ratoi"))] == ['value: "ratoi" i']
    assert [line[:12] for line in refused(entries, amended(item="prof"))] == ['item: "prof"']
    assert [line[:13] for line in refused(entries, amended(item="silver"))] == ['value: "ratio']
    must_fit(entries, amended(item="silver", value="twin"))
    old = log({"item": "prof", "value": "ratio"})
    must_fit(old, amended(item="proof"))
    must_fit(old, amended(value="additive"))  # the unknown item stood before


def test_the_minutes_of_the_timer_are_read_as_they_are_stored() -> None:
    assert method_items.minutes_of("25") == 25
    for text in ("0", "1.5", "1441"):
        with pytest.raises(BadInput):
            method_items.minutes_of(text)


@pytest.mark.parametrize("values", [{"item": "foo", "value": "1"}, {"item": "aim", "value": "x"}])
def test_a_log_itself_refuses_what_is_no_item_or_no_value_of_one(values: dict[str, object]) -> None:
    chain = Chain(kinds.BY_NAME)
    chain.step("opened", "0" * 64)
    with pytest.raises(BadInput) as told:
        strict.ready(chain, "KB", "method", values)
    assert list(told.value.lines) == strict.faults(chain, "KB", "method", values)
    assert strict.ready(chain, "KB", "method", {"item": "aim", "value": "1 %"})["item"] == "aim"
