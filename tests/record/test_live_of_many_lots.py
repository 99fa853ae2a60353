"""Entry by entry as in one go: several lots, twin silver, spread from zeros, pools, moist pulps."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.record.test_live import CALIBRATED, holds
from tests.record.trays import Row, reading, sample

NAMES = ("A", "B", "C", "D", "N", "P")
UNSTATED: Row = ("balance", {"name": "fine", "step": "0.001 mg", "calibration": "0.03 %"})
LOTS: tuple[Row, ...] = (
    ("reagent_lot", {"lot": "L", "material": "litharge"}),
    (
        "reagent_lot",
        {
            "lot": "M",
            "material": "litharge",
            "gold_per_gram": "0.10 g/t",
            "gold_spread": "0.03 g/t",
            "silver_per_gram": "0.6 g/t",
            "silver_spread": "0.2 g/t",
            "blank_count": 5,
        },
    ),
    (
        "reagent_lot",
        {
            "lot": "S",
            "material": "silver",
            "gold_per_gram": "500 g/t",
            "gold_spread": "60 g/t",
            "blank_count": 9,
        },
    ),
)
CHOICES: tuple[Row, ...] = tuple(
    ("method", {"item": item, "value": value})
    for item, value in (
        ("silver", "twin"),
        ("silver", "difference"),
        ("scatter", "duplicates"),
        ("scatter", "own"),
        ("proof", "ratio"),
        ("proof_scaling", "surface"),
    )
)

names = st.sampled_from(NAMES)
zeros = st.integers(-3, 3).map(lambda n: reading("zero", f"{n / 1000:.3f}"))
lots = st.lists(st.sampled_from(("L", "M", "S")), max_size=3)


@st.composite
def charges(draw: st.DrawFn, name: str, *, screened: bool) -> Row:
    """A sample, blank or proof with some lots; parts and duplicates are of the first two."""
    more: dict[str, object] = {"lots": draw(lots)}
    if draw(st.integers(0, 3)):
        more["lead"] = draw(st.sampled_from(("30 g", "30 g", "32 g", "15 g")))
    role = {"N": "blank", "P": "proof"}.get(name, "sample")
    if role == "proof":
        more |= {"gold_known": "1.000 mg", "silver_known": "2.000 mg"}
    if name in {"C", "D"}:
        own = {"C": "plus", "D": "minus"}[name]
        more["of"] = "A" if screened else draw(st.sampled_from(("A", "B")))
        part = own if screened else draw(st.sampled_from(("", "", own, "slag", "cupel")))
        more |= {"part": part} if part else {}
        role = role if part else "duplicate"
    silver = draw(st.sampled_from(("2.000 mg", "2.000 mg", "3.000 mg", "none", "unknown")))
    return sample(name, role, silver=silver, **more)


def read(balance: str, what: str, low: int, high: int, *who: str) -> st.SearchStrategy[Row]:
    """Readings of a thing between two figures, in steps of a thousandth."""
    shown = st.integers(low, high).map(lambda n: f"{n / 1000:.3f}")
    own = {"unit": "g", "balance": "pulp"} if balance == "pulp" else {}
    return st.builds(
        lambda text, name: reading(what, text, name, **own), shown, st.sampled_from(who)
    )


WEIGHED = (*NAMES, "T")
readings = st.one_of(
    read("fine", "bead", 2500, 3200, *WEIGHED),
    read("fine", "gold", 0, 900, *WEIGHED),
    read("fine", "gold", 800, 1000, "P"),
    read("pulp", "charge", 29_000, 31_000, *WEIGHED),
    read("pulp", "plus", 9_000, 12_000, "A"),
    read("pulp", "minus", 400_000, 420_000, "A"),
    read("pulp", "total", 410_000, 432_000, "A"),
)
others = st.one_of(
    st.sampled_from((*LOTS, *CHOICES, UNSTATED, CALIBRATED)),
    st.just(("pool", {"id": "T", "samples": ["A", "B"]})),
    st.builds(lambda name: ("left_out", {"sample": name, "reason": "spilt"}), names),
    st.builds(
        lambda name, water, basis: (
            "moisture",
            {"sample": name, "water": f"{water} %", "basis": basis},
        ),
        names,
        st.integers(1, 40),
        st.sampled_from(("wet", "dry")),
    ),
    st.builds(lambda n: ("withdrawn", {"entry": n, "reason": "slip"}), st.integers(3, 30)),
)
later = st.one_of(readings, readings, readings, zeros, zeros, others)


@st.composite
def logs(draw: st.DrawFn) -> list[Row]:
    """Balance, choices and lots, every name, most of what is weighed, and then anything."""
    rows: list[Row] = [UNSTATED] if draw(st.booleans()) else []
    rows += draw(st.lists(st.sampled_from((*LOTS, *CHOICES, CHOICES[0])), max_size=6))
    screened = draw(st.booleans())
    rows += [draw(charges(name, screened=screened)) for name in NAMES]
    for name in NAMES:
        weighed = [read("fine", "bead", 2500, 3200, name), read("fine", "gold", 0, 900, name)]
        if name not in {"N", "P"}:
            weighed.append(read("pulp", "charge", 29_000, 31_000, name))
        for one in weighed:
            if draw(st.integers(0, 5)):
                rows += [draw(zeros), draw(one)]
    if screened:
        masses = (("plus", 9_000, 12_000), ("minus", 400_000, 420_000), ("total", 410_000, 432_000))
        rows += [draw(read("pulp", what, low, high, "A")) for what, low, high in masses]
    return rows + draw(st.lists(later, max_size=14))


@settings(max_examples=30, deadline=None)
@given(logs())
def test_it_says_what_a_replay_says_of_lots_twins_zeros_and_pulps(more: list[Row]) -> None:
    holds(more)


@pytest.mark.long
@settings(max_examples=1500, deadline=None)
@given(logs())
def test_it_says_so_in_many_orders(more: list[Row]) -> None:
    holds(more)
