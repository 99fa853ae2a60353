"""The circuit of a hand sheet: two stages, or a feed and its products; what contradicts itself."""

import re

import pytest

from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import nominal
from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.sealing import figures_of
from tests.record.sheet_circuits import TAILS, A, B, circuit, feed, sheet, stages

FEED = "feed mass=100 ± 2 kg, grade=2.0 ± 0.2 g/t"
CON = "concentrate mass=4.4 ± 0.2 kg, grade=40 ± 4 g/t"


# --- a feed and its products ---------------------------------------------------------------------


def test_a_feed_that_was_assayed_and_not_run_again_is_made_to_agree() -> None:
    test = feed(FEED, CON, TAILS)
    assert test.products[0].recoveries[0].value == pytest.approx(85.86, abs=0.005)
    assert test.agreed is not None
    assert test.agreed.chi2 == pytest.approx(0.122, abs=5e-4)
    assert test.verdict is not None
    assert test.verdict.code == "streams_agree"


def test_tailings_that_were_not_weighed_or_assayed_are_worked_out() -> None:
    test = feed(FEED, CON)
    assert [product.name for product in test.products] == ["concentrate", "tailings"]
    assert test.products[0].recoveries[0].value == pytest.approx(100 * 4.4 * 40 / (100 * 2))


def test_middlings_are_a_product_between() -> None:
    test = feed(FEED, CON, "middlings mass=3 ± 0.1 kg, grade=2 ± 0.2 g/t", TAILS)
    assert [product.name for product in test.products] == ["concentrate", "middlings", "tailings"]


def test_wet_feed_is_dried() -> None:
    wet = "feed wet_mass=125 ± 2 kg, water=20 %, grade=2.0 ± 0.2 g/t"
    test = feed(wet, CON, TAILS)
    assert nominal(test.feed.mass) == pytest.approx(100)


def test_a_limit_of_the_tailings_is_said() -> None:
    test = feed(FEED, CON, "tailings mass=95.5 ± 2 kg, grade=<0.33 g/t")
    assert "Tailings: from 0 to 0.33 g/t, all equally likely." in test.said


def test_a_seal_keeps_every_figure_of_a_feed() -> None:
    found = results(replay(read(sheet(FEED, CON, TAILS).encode()).entries))
    rows = {(row.id, row.name) for row in figures_of(found)}
    assert {("concentrate", "recovery"), ("tailings", "recovery"), ("feed", "agreed grade")} <= rows


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ((FEED, CON, CON), "circuit: concentrate stands once"),
        ((FEED, f"{CON}, size=-1 mm"), "circuit: concentrate stands once, and not in sizes"),
        ((FEED, "concentrate mass=4.4 ± 0.2 kg"), "the grade of concentrate cannot be worked out"),
        ((FEED, "concentrate mass=4.4 kg, grade=150 %"), "more metal than the stream"),
        (("feed mass=1 kg, grade=0 g/t", CON), "the grade of a feed must be"),
    ],
)
def test_a_feed_that_says_too_little_or_too_much(rows: tuple[str, ...], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        circuit(*rows)


# --- two stages ----------------------------------------------------------------------------------


def test_the_assayed_head_stands_beside_the_one_built_up() -> None:
    rows = ("feed mass=10 ± 0.1 kg, grade=1.5 ± 0.2 g/t", A, B, "tailings metal=2 ± 0.6 mg")
    found = stages(*rows)
    gap = found.result.head_gap
    assert gap is not None
    assert gap.gap.value == pytest.approx(0.2)
    assert not gap.shown
    found_again = results(replay(read(sheet(*rows).encode()).entries))
    assert {"head", "head assayed", "head gap"} <= {row.name for row in figures_of(found_again)}


def test_middlings_and_mats_are_feed_but_not_caught() -> None:
    found = stages(A, B, "middlings metal=4 ± 0.1 mg", "middlings metal=1 ± 0.1 mg",
                   "mats metal=5 ± 0.1 mg")  # fmt: skip
    bound = found.result.total.by("at most")
    assert bound is not None
    assert bound.figure.value == pytest.approx(100 * 12 / 25)


def test_middlings_may_be_mass_times_grade() -> None:
    found = stages(A, B, "middlings mass=2 ± 0.1 kg, grade=2.5 ± 0.2 g/t")
    assert nominal(found.test.middlings_mg) == pytest.approx(5)


def test_middlings_that_were_only_weighed_are_told() -> None:
    found = stages(A, B, "middlings mass=2 ± 0.1 kg")
    assert [flag.code for flag in found.flags] == ["circuit_not_assayed"]
    assert found.flags[0].text.startswith("Middlings not assayed")


def test_metal_is_mass_times_grade_where_both_were_typed() -> None:
    found = stages("concentrate mass=0.2 ± 0.002 kg, grade=60 ± 1 g/t", B)
    assert nominal(found.test.rows[0].concentrate.metal_mg) == pytest.approx(12)


@pytest.mark.parametrize(("whole", "closes"), [("1000 ± 2 g", True), ("1030 ± 2 g", False)])
def test_sizes_are_held_against_the_whole_product(whole: str, closes: bool) -> None:  # noqa: FBT001  the two cases
    found = stages(
        "concentrate size=+1 mm, mass=400 ± 1 g, metal=6 ± 0.1 mg",
        "concentrate size=-1 mm, mass=600 ± 1 g, metal=6 ± 0.1 mg",
        f"concentrate mass={whole}",
        "rerun size=+1 mm, metal=1 ± 0.1 mg",
        "rerun size=-1 mm, metal=2 ± 0.1 mg",
    )
    assert [flag.code for flag in found.flags] == ([] if closes else ["fractions_do_not_close"])
    if not closes:
        assert found.flags[0].text.startswith("Concentrate: sizes add up to 1000 g")


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ((A,), 'circuit: size "all" has a concentrate and no rerun'),
        (("concentrate mass=10 g, portion=12 g, metal=3 ± 0.1 mg", B),
         "concentrate: the portion, 12 g, is heavier than the whole, 10 g"),
        ((A, A, B), 'circuit: concentrate, size "all", stands twice'),
        (("concentrate grade=3 g/t", B), 'circuit: "concentrate, all" has a grade and no mass'),
        ((A, B, B), 'circuit: rerun, size "all", stands twice'),
        ((A, B, "tailings metal=1 ± 0.1 mg", "tailings metal=2 ± 0.1 mg"),
         'circuit: tailings, size "all", stands twice'),
        ((f"{A}, size=a", A, f"{B}, size=a", B), "circuit: 'all' stands for all sizes"),
        ((A, B, "feed mass=10 mg"), "15 mg of metal in the products is heavier than the feed"),
    ],
)  # fmt: skip
def test_a_circuit_that_contradicts_itself(rows: tuple[str, ...], said: str) -> None:
    with pytest.raises(BadInput) as fault:
        circuit(*rows)
    assert any(re.search(said, line) for line in fault.value.lines), fault.value.lines


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (("concentrate metal=12 g, mass=10 g", B), "concentrate, all: its metal, 12000 mg, is"),
        ((A, "rerun metal=3 g, mass=1 kg, portion=2 g"), "rerun, all: its metal, 3000 mg, is"),
        ((A, B, "tailings metal=12 g, mass=10 g"), "tailings: its metal, 12000 mg, is heavier"),
        ((A, B, "tailings grade=2000000 g/t, mass=10 kg"), "more metal than the stream weighs"),
        (("feed mass=10 mg", A, B), "15 mg of metal in the products is heavier than the feed"),
        ((A, B, "feed mass=1 kg", "middlings metal=12 g, mass=10 g"), "middlings: its metal"),
    ],
)
def test_more_metal_than_there_is_of_a_product_is_refused(rows: tuple[str, ...], said: str) -> None:
    with pytest.raises(BadInput, match=re.escape(said)):
        circuit(*rows)


def test_what_was_weighed_is_known_by_product() -> None:
    found = stages(
        "feed wet_mass=448 kg, water=8.0 %",
        "concentrate size=+1 mm, mass=400 ± 1 g, metal=6 ± 0.1 mg",
        "concentrate size=-1 mm, mass=600 ± 1 g, metal=6 ± 0.1 mg",
        "rerun size=+1 mm, mass=300 g, metal=1 ± 0.1 mg",
        "rerun size=-1 mm, metal=2 ± 0.1 mg",
        "middlings mass=2 ± 0.1 kg",
        "tailings wet_mass=430 kg, water=100 %",
    )
    masses = {name: nominal(mass) for name, mass in found.masses.items()}
    # a size of the re-run was not weighed; tailings that are all water have no dry mass
    assert masses == pytest.approx({"feed": 412.16, "concentrate": 1.0, "middlings": 2.0})


def test_a_whole_that_was_weighed_stands_before_its_sizes() -> None:
    found = stages(
        "concentrate size=+1 mm, mass=400 ± 1 g, metal=6 ± 0.1 mg",
        "concentrate size=-1 mm, mass=600 ± 1 g, metal=6 ± 0.1 mg",
        "concentrate mass=1002 ± 2 g",
        "rerun size=+1 mm, metal=1 ± 0.1 mg",
        "rerun size=-1 mm, metal=2 ± 0.1 mg",
    )
    assert {name: nominal(mass) for name, mass in found.masses.items()} == {"concentrate": 1.002}


def test_metal_without_a_doubt_is_said_to_be_a_lower_bound() -> None:
    bare = say("typed_without_doubt")
    assert bare in stages("concentrate metal=12.00 mg", B).said
    assert bare not in stages(A, B).said


def test_one_size_that_was_given_is_not_said_to_be_missing() -> None:
    sized = [row.replace(" ", " size=-1 mm, ", 1) for row in (A, B)]
    given, none = (
        [said for found in test.result.total.recoveries for said in found.assumptions]
        for test in (stages(*sized), stages(A, B))
    )
    assert say("sizes_not_given") not in given
    assert say("one_size_mixes") in given
    assert say("sizes_not_given") in none
