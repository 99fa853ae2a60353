"""A log that replaces another: one history, one count, corrections that name their entry."""

import tomllib
from collections.abc import Mapping, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.messages import BadInput
from assaybench.record import strict
from assaybench.record.entries import Entry, effective
from assaybench.record.frame import Chain
from assaybench.record.kinds import BY_NAME
from assaybench.record.reissue import Part, as_stored, joined, replaced
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.record.frames import OPENED, file_of, read

DIGEST = "a1" * 64
FINE = {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10, "weighs": ["gold"]}
PULP = {"name": "pulp", "step": "0.01 g", "weighs": ["charge"]}
SAMPLE = {"id": "T-1", "role": "sample", "silver": "none"}
CHARGE = {"what": "charge", "text": "20.00", "unit": "g", "balance": "pulp", "sample": "T-1"}
GOLD = {"what": "gold", "text": "1.372", "unit": "mg", "balance": "fine", "sample": "T-1"}
ZERO = {"what": "zero", "text": "0.000", "unit": "mg", "balance": "fine"}
Rows = Sequence[tuple[str, Mapping[str, object]]]


def part(number: int, *rows: tuple[str, Mapping[str, object]], replaces: int = 0) -> Part:
    """A log by its number, written and read."""
    head: list[tuple[str, Mapping[str, object]]] = [("opened", {**OPENED, "number": number})]
    if replaces:
        head.append(("replaces", {"number": replaces, "sha512": DIGEST, "reason": "digits"}))
    entries, verdict = read(file_of([*head, *rows]))
    assert (verdict.state, verdict.newer) == ("sound", False)
    return Part(number, entries)


OLD = part(12, ("balance", FINE), ("balance", PULP), ("sample", SAMPLE), ("reading", CHARGE),
           ("reading", GOLD))  # fmt: skip


def grade(parts: Sequence[Part]) -> str:
    (sample,) = results(replay(joined(parts))).samples
    return sample.figures["grade_gold"].text


def amendment(n: int, **keys: object) -> tuple[str, dict[str, object]]:
    return "amendment", {"entry": n, "reason": "re-read", **keys}


def test_numbers_run_on_from_the_old_log_to_the_new() -> None:
    new = part(13, ("note", {"text": "weighed again"}), replaces=12)
    found = joined([OLD, new])
    assert [e.n for e in found] == list(range(1, 10))
    assert [e.kind for e in found[6:]] == ["opened", "replaces", "note"]
    assert joined([OLD]) == list(OLD.entries)


def test_a_reissue_says_what_the_old_log_said_until_it_is_corrected() -> None:
    new = part(13, replaces=12)
    assert grade([OLD, new]) == grade([OLD]) == "68.60 ± 0.23 g/t"
    named = {"log": 12, "entry_kind": "reading", "text": "1.327"}
    corrected = part(13, amendment(6, **named), replaces=12)
    assert grade([OLD, corrected]) == "66.35 ± 0.23 g/t"
    assert grade([OLD]) == "68.60 ± 0.23 g/t"


def test_the_same_number_in_both_logs_is_not_mixed_up() -> None:
    """Entry 3 of the new log is a note, entry 3 of the old one a balance."""
    note = ("note", {"text": "damp day"})
    new = part(13, note, amendment(3, text="dry day"), replaces=12)
    entries = effective(joined([OLD, new]))
    assert entries[8].values["text"] == "dry day"
    assert entries[2].amendments == ()
    old = part(13, note, amendment(3, log=12, entry_kind="balance", step="0.02 g"), replaces=12)
    entries = effective(joined([OLD, old]))
    assert entries[2].values["step"] == "0.02 g"
    assert entries[8].amendments == ()
    # of its own file alone, the correction touches nothing
    assert effective(old.entries)[2].amendments == ()


def test_a_chain_of_reissues_reaches_back_to_the_first() -> None:
    second = part(13, amendment(6, log=12, entry_kind="reading", text="1.327"), replaces=12)
    third = part(15, amendment(6, log=12, entry_kind="reading", text="1.400"), replaces=13)
    fourth = part(16, ("withdrawn", {"entry": 3, "log": 15, "entry_kind": "note", "reason": "x"}),
                  replaces=15)  # fmt: skip
    assert grade([OLD, second]) == "66.35 ± 0.23 g/t"
    assert grade([OLD, second, third]) == "70.00 ± 0.23 g/t"
    assert len(joined([OLD, second, third, fourth])) == 6 + 3 + 3 + 3
    (gold,) = [e for e in effective(joined([OLD, second, third, fourth]))
               if e.kind == "reading" and e.text("what") == "gold"]  # fmt: skip
    assert [a.values["text"] for a in gold.amendments] == ["1.327", "1.400"]


@pytest.mark.parametrize(
    "values",
    [
        {"entry": 60, "log": 12, "entry_kind": "reading"},
        {"entry": 0, "log": 12, "entry_kind": "reading"},
        {"entry": 3, "log": 99, "entry_kind": "reading"},
        {"entry": 60},
        {"entry": 8, "log": 12, "entry_kind": "reading"},
    ],
)
def test_a_correction_of_no_entry_touches_none(values: dict[str, object]) -> None:
    one = Entry(3, OLD.entries[0].at, "KB", "amendment", {**values, "reason": "x", "text": "9"})
    new = Part(13, [*part(13, replaces=12).entries, one])
    assert all(e.amendments == () for e in effective(joined([OLD, new])))


@given(st.lists(st.integers(1, 9), min_size=1, max_size=4), st.data())
def test_what_is_stored_comes_back_to_the_number_it_was_typed_by(
    sizes: list[int], data: st.DataObject
) -> None:
    at = OLD.entries[0].at
    parts = [
        Part(10 + i, [Entry(n, at, "KB", "note", {"text": f"{i} {n}"}) for n in range(1, size + 1)])
        for i, size in enumerate(sizes)
    ]
    n = data.draw(st.integers(1, sum(sizes)))
    stored = as_stored("amendment", {"entry": n, "reason": "x", "text": "new"}, parts)
    last = parts[-1]
    more = Entry(len(last.entries) + 1, at, "KB", "amendment", stored)
    found = effective(joined([*parts[:-1], Part(last.number, [*last.entries, more])]))
    assert [e.n for e in found if e.amendments] == [n]
    # an entry of its own file is named as it always was
    assert ("log" in stored) == (n <= sum(sizes[:-1]))


def test_other_kinds_are_stored_as_they_are() -> None:
    parts = [OLD, part(13, replaces=12)]
    assert as_stored("note", {"text": "x", "entry": 3}, parts) == {"text": "x", "entry": 3}


def test_a_zero_before_a_reissue_does_not_serve_a_reading_behind_it() -> None:
    old = part(12, ("balance", FINE), ("sample", SAMPLE), ("reading", ZERO))
    new = part(13, ("reading", GOLD), replaces=12)
    same = part(12, ("balance", FINE), ("sample", SAMPLE), ("reading", ZERO), ("reading", GOLD))
    assert len(_zeros([same])) == 1
    assert _zeros([old, new]) == ()


def _zeros(parts: Sequence[Part]) -> Sequence[object]:
    from assaybench.record.replay import weighings

    return weighings(replay(joined(parts)))[("T-1", "gold")].zeros


# --- what a log may say of another ---------------------------------------------------------------


def chain(*kinds: str) -> Chain:
    made = Chain(BY_NAME)
    for kind in kinds:
        made.step(kind, "")
    return made


REPLACING = chain("opened", "replaces", "note")
NAMED = {"entry": 6, "log": 12, "entry_kind": "reading", "reason": "x", "text": "1.327"}


def test_a_correction_of_another_log_is_checked_by_the_kind_it_names() -> None:
    assert strict.faults(REPLACING, "KB", "amendment", NAMED) == []
    assert (
        strict.faults(REPLACING, "KB", "withdrawn", {k: NAMED[k] for k in NAMED if k != "text"})
        == []
    )
    bad = {**NAMED, "text": "1.3x7"}
    assert strict.faults(REPLACING, "KB", "amendment", bad)[0].startswith("text: ")
    with pytest.raises(BadInput, match=r"text: "):
        strict.ready(REPLACING, "KB", "amendment", bad)


@pytest.mark.parametrize(
    ("where", "values", "said"),
    [
        (chain("opened", "note"), NAMED, "this one replaces none"),
        (REPLACING, {**NAMED, "entry_kind": "sealed"}, "it is neither changed nor withdrawn"),
        (REPLACING, {**NAMED, "entry_kind": "replaces"}, "it is neither changed nor withdrawn"),
        (REPLACING, {**NAMED, "entry_kind": "beads"}, '"beads" is not a kind of entry here'),
        (REPLACING, {k: NAMED[k] for k in NAMED if k != "entry_kind"}, "is not a kind of entry"),
        (REPLACING, {k: NAMED[k] for k in NAMED if k != "log"}, "is not a kind of entry"),
        (REPLACING, {k: NAMED[k] for k in NAMED if k != "text"}, "nothing is given anew"),
        (REPLACING, {**NAMED, "log": "12"}, "log: "),
        (REPLACING, {**NAMED, "role": "sample"}, '"role" is not known here'),
    ],
)
def test_a_correction_that_names_no_entry_of_a_replaced_log_is_refused(
    where: Chain, values: dict[str, object], said: str
) -> None:
    assert any(said in line for line in strict.faults(where, "KB", "amendment", values))


def test_replaces_is_the_second_entry_or_none_and_it_stays() -> None:
    values = {"number": 12, "sha512": DIGEST, "reason": "digits"}
    assert strict.faults(chain("opened"), "KB", "replaces", values) == []
    assert "only ever the second" in strict.faults(REPLACING, "KB", "replaces", values)[0]
    (line,) = strict.faults(REPLACING, "KB", "withdrawn", {"entry": 2, "reason": "x"})
    assert line == "entry 2 is replaces; it is neither changed nor withdrawn."


def test_a_file_with_such_a_correction_reads_alone_and_by_any_toml_reader() -> None:
    rows: Rows = [("opened", OPENED),
                  ("replaces", {"number": 11, "sha512": DIGEST, "reason": "digits"}),
                  ("amendment", {**NAMED, "log": 11})]  # fmt: skip
    data = file_of(rows)
    entries, verdict = read(data)
    assert (verdict.state, verdict.newer) == ("sound", False)
    assert list(entries[2].values) == ["entry", "log", "entry_kind", "reason", "text"]
    assert tomllib.loads(data.decode())["entry"][2]["log"] == 11


def test_the_log_that_is_replaced_is_told_from_the_second_entry() -> None:
    new = part(13, replaces=12)
    found = replaced(new.entries)
    assert found is not None
    assert (found.number, found.sha512, found.reason, found.by) == (12, DIGEST, "digits", "KB")
    assert replaced(OLD.entries) is None
