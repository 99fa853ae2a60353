"""The review before a seal: n of N, what was changed, and what holds the log."""

from collections.abc import Mapping

from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.seal_review import Counted, Review, review
from tests.record.frames import OPENED, file_of, read

Row = tuple[str, Mapping[str, object]]
BALANCES: tuple[Row, ...] = (
    ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10,
                 "weighs": ["gold"]}),
    ("balance", {"name": "pulp", "step": "0.01 g", "weighs": ["charge"]}),
)  # fmt: skip


def assay(sample: str, gold: str, role: str = "sample", **keys: object) -> list[Row]:
    """A charge of 20.00 g with this gold, mg."""
    read_off = {"text": gold, "unit": "mg", "balance": "fine", "sample": sample}
    charge = {"text": "20.00", "unit": "g", "balance": "pulp", "sample": sample}
    return [
        ("sample", {"id": sample, "role": role, "silver": "none", **keys}),
        ("reading", {"what": "charge", **charge}),
        ("reading", {"what": "gold", **read_off}),
    ]


def reviewed(*rows: Row) -> Review:
    entries, verdict = read(file_of([("opened", OPENED), *BALANCES, *rows]))
    assert verdict.state == "sound"
    state = replay(entries)
    return review(state, results(state))


def test_every_determination_of_a_sample_counts_used_or_not() -> None:
    found = reviewed(
        *assay("T-1", "1.372"),
        *assay("T-1 b", "1.380", of="T-1"),
        *assay("T-1 c", "1.960", of="T-1"),
        *assay("T-1 d", "1.360", of="T-1", lost="spat"),
        *assay("T-2", "0.500"),
        ("sample", {"id": "T-3", "role": "sample"}),
        ("left_out", {"sample": "T-1 c", "reason": "salted cupel"}),
        *assay("B-1", "0.002", role="blank"),
    )
    one, two, three = found.counted
    assert one[:3] == ("T-1", 2, 4)
    assert one.text.startswith("68.8 ±")
    assert two == Counted("T-2", 1, 1, two.text)
    assert three == Counted("T-3", 0, 1, "")
    assert found.left_out == (("T-1 c", "salted cupel"),)
    assert found.lost == (("T-1 d", "spat"),)
    assert found.missing == ("T-3",)
    assert found.open == ()


def test_a_bead_that_was_never_parted_is_no_result_and_holds_nothing() -> None:
    bead = {"what": "bead", "text": "3.140", "unit": "mg", "balance": "fine"}
    found = reviewed(
        *assay("T-1", "1.372"),
        ("sample", {"id": "T-2", "role": "sample", "silver": "none"}),
        ("reading", {**bead, "sample": "T-2"}),
        ("sample", {"id": "P-1", "role": "proof", "silver": "none"}),
        ("reading", {**bead, "sample": "P-1"}),
    )
    assert (found.missing, found.beads, found.open) == (("T-2",), ("T-2",), ())


def test_what_was_changed_is_named() -> None:
    found = reviewed(
        *assay("T-1", "1.372"),
        ("note", {"text": "a slip"}),
        ("amendment", {"entry": 6, "reason": "digits swapped", "text": "1.327"}),
        ("withdrawn", {"entry": 7, "reason": "not here"}),
        ("recovered", {"file": "000012.torn-1", "size": 40}),
    )
    assert [(e.n, e.values["text"]) for e in found.amended] == [(6, "1.327")]
    assert [e.n for e in found.withdrawn] == [7]
    assert found.torn == ("000012.torn-1",)


def test_a_check_that_says_stop_holds_until_a_note_releases_it() -> None:
    far = assay("RM-1", "1.372", role="reference", value="50.0 ± 0.4 g/t")
    held = reviewed(*far)
    (hold,) = held.holds
    assert (hold.id, hold.released) == ("RM-1", "")
    assert held.open[0].startswith("RM-1 holds the seal: ")
    assert all("\n" not in line for line in held.open)
    released = hold._replace(released="wrong bottle, see paper")
    for note in ({"sample": "RM-1"}, {}):
        said = ("note", {"text": "wrong bottle, see paper", "releases": True, **note})
        found = reviewed(*far, said)
        assert found.holds == (released,)
        assert found.open == ()


def test_a_note_that_releases_nothing_or_another_leaves_the_hold() -> None:
    far = assay("RM-1", "1.372", role="reference", value="50.0 ± 0.4 g/t")
    for values in (
        {"text": "looks odd"},
        {"text": "looks odd", "releases": False},
        {"text": "fine", "releases": True, "sample": "T-1"},
    ):
        found = reviewed(*assay("T-1", "1.0"), *far, ("note", values))
        assert len(found.open) == 1
    withdrawn = [("note", {"text": "wrong bottle", "releases": True}),
                 ("withdrawn", {"entry": 7, "reason": "it was the right one"})]  # fmt: skip
    assert len(reviewed(*far, *withdrawn).open) == 1


def test_a_reference_that_agrees_holds_nothing() -> None:
    found = reviewed(*assay("RM-1", "1.372", role="reference", value="68.5 ± 0.4 g/t"))
    assert (found.holds, found.open) == ((), ())


def test_readings_that_disagree_are_named() -> None:
    again = ("reading", {"what": "gold", "text": "1.402", "unit": "mg", "balance": "fine",
                         "sample": "T-1"})  # fmt: skip
    ((name, why),) = reviewed(*assay("T-1", "1.372"), again).apart
    assert name == "T-1"
    assert why.startswith("Readings disagree: 2 readings lie 0.03 mg apart")
