"""The circuit of a hand sheet: two stages, or a feed and its products; what contradicts itself."""

import math
import re

import pytest
from scipy import stats

from assaybench.circuit.streams import FeedTest
from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import nominal
from assaybench.record.circuit_run import Circuit, circuit_of, kept_tailings
from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.sealing import figures_of
from assaybench.report.circuit_view import view

HEAD = """
[sheet]
log = "circuit test"
title = "sluice"
date = 2026-05-04
by = "KB"
"""


def sheet(*rows: str) -> str:
    """A hand sheet of circuit rows, each `product key=value, key=value`."""
    text = HEAD
    for row in rows:
        product, _, key = row.partition("=")[0].rpartition(" ")
        rest = key + row.removeprefix(f"{product} {key}")
        text += f'[[circuit]]\nproduct = "{product}"\n'
        for pair in filter(None, rest.split(", ")):
            key, _, value = pair.partition("=")
            text += f'{key} = "{value}"\n'
    return text


def circuit(*rows: str) -> Circuit | FeedTest:
    found = circuit_of(results(replay(read(sheet(*rows).encode()).entries)))
    assert found is not None
    return found


def stages(*rows: str) -> Circuit:
    found = circuit(*rows)
    assert isinstance(found, Circuit)
    return found


def feed(*rows: str) -> FeedTest:
    found = circuit(*rows)
    assert isinstance(found, FeedTest)
    return found


FEED = "feed mass=100 ± 2 kg, grade=2.0 ± 0.2 g/t"
CON = "concentrate mass=4.4 ± 0.2 kg, grade=40 ± 4 g/t"
TAILS = "tailings mass=95.5 ± 2 kg, grade=0.30 ± 0.03 g/t"
A, B = "concentrate metal=12 ± 0.1 mg", "rerun metal=3 ± 0.1 mg"


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


# --- grains of both catches -----------------------------------------------------------------------

SIZED = (
    "concentrate size=+1 mm, metal=8 ± 0.1 mg",
    "concentrate size=-1 mm, metal=4 ± 0.1 mg",
    "rerun size=+1 mm, metal=1 ± 0.1 mg",
    "rerun size=-1 mm, metal=2 ± 0.1 mg",
)


def counted(*grains: str) -> Circuit:
    rows = "".join(
        f'[[grains]]\ncount = {count}\nproduct = "{product}"\n'
        + (f'size = "{size}"\n' if size else "")
        for product, size, count in (text.split("|") for text in grains)
    )
    found = circuit_of(results(replay(read((sheet(*SIZED) + rows).encode()).entries)))
    assert isinstance(found, Circuit)
    return found


def test_grains_of_both_catches_say_what_the_next_run_may_find() -> None:
    found = counted("concentrate|+1 mm|11", "rerun|+1 mm|2", "concentrate|-1 mm|30")
    assert set(found.result.next_run) == {"+1 mm"}
    figure = found.result.next_run["+1 mm"]
    assert figure.value == pytest.approx(100 * 8 / 9)
    low, high = stats.beta.ppf([0.025, 0.975], [13 * 8 / 9, 13 * 8 / 9 + 1], [13 / 9 + 1, 13 / 9])
    assert (figure.low, figure.high) == pytest.approx((100 * low, 100 * high), abs=1e-6)
    assert "next_run_caught" in [flag.code for flag in found.result.flags]


def test_grains_of_every_size_are_those_of_all() -> None:
    rows = ("concentrate|+1 mm|11", "rerun|+1 mm|2", "concentrate|-1 mm|30", "rerun|-1 mm|17")
    found = counted(*rows)
    assert set(found.result.next_run) == {"+1 mm", "-1 mm", "all"}
    whole = found.result.next_run["all"]
    assert whole.u == pytest.approx(100 * (0.8 * 0.2 / 60) ** 0.5)
    assert view(found).figures["recovery_next_run"] == whole


def test_grains_of_one_catch_alone_say_nothing() -> None:
    assert not counted("concentrate||41").result.next_run
    assert set(counted("concentrate||41", "rerun||19").result.next_run) == {"all"}
    assert not counted("concentrate||0", "rerun||0").result.next_run


# --- what was weighed in, and the portion named ---------------------------------------------------

CUPELLED = """
[[balances]]
name = "fine"
step = "0.001 mg"
weighs = ["gold"]

[[balances]]
name = "pulp"
step = "0.01 g"
weighs = ["charge"]

[[samples]]
id = "C-1"
silver = "none"
charge = "30.00 g"
gold = "4.000 mg"

[[samples]]
id = "R-1"
silver = "none"
charge = "30.00 g"
gold = "1.000 mg"
"""


@pytest.mark.parametrize(
    ("con", "said"),
    [
        ("mass=120 g, portion=30 g", None),
        ("mass=30 g", None),
        ("mass=120 g", "C-1: 30 g was weighed in, of 120 g, and no portion is typed."),
        ("mass=120 g, portion=25 g", "C-1: 30 g was weighed in, and the portion typed is 25 g."),
    ],
)
def test_a_charge_is_held_against_the_portion_named(con: str, said: str | None) -> None:
    rows = sheet(f"concentrate sample=C-1, {con}", "rerun sample=R-1, mass=30 g") + CUPELLED
    found = circuit_of(results(replay(read(rows.encode()).entries)))
    assert isinstance(found, Circuit)
    told = [flag.text for flag in found.flags if flag.code.endswith("_weighed")]
    assert [text.splitlines()[0] for text in told] == ([said] if said else [])


# --- grains of the final tailings ----------------------------------------------------------------

FUSED = """
[[balances]]
name = "fine"
step = "0.01 mg"
weighs = ["gold"]

[[balances]]
name = "pulp"
step = "0.01 g"
weighs = ["charge"]

[[samples]]
id = "T-1"
silver = "none"
charge = "30.00 g"
gold = "GOLD mg"
"""


def with_tailings(gold: str, grains: str) -> Circuit:
    rows = sheet(
        "concentrate metal=486.4 ± 0.1 mg", "rerun metal=82.6 ± 0.1 mg",
        "tailings sample=T-1, mass=410.3 kg",
    ) + FUSED.replace("GOLD", gold) + grains  # fmt: skip
    found = circuit_of(results(replay(read(rows.encode()).entries)))
    assert isinstance(found, Circuit)
    return found


SIZE = '[method]\ngrain_size = "100um"\n'


@pytest.mark.parametrize(
    ("grains", "most_g_t"),
    # 3.3 times the spread of the pan in 30 g; 3.0 grains of 0.1 mm (0.0101 mg each) in 30 g
    [("", 0.45), (SIZE, 1.0)],
)
def test_of_pan_and_grains_the_larger_doubt_rules_unseen_tailings(
    grains: str, most_g_t: float
) -> None:
    found = with_tailings("0.00", grains).test.tailings
    assert found is not None
    assert found.up_to_mg / 410.3 == pytest.approx(most_g_t, rel=0.015)


def test_grains_of_fused_tailings_are_in_their_doubt() -> None:
    plain, grained = (with_tailings("0.50", grains) for grains in ("", SIZE))
    grain_mg = math.pi / 6 * 0.1**3 * 19.3
    scale = 410.3e3 / 30.0
    u = [
        found.sources.doubt(found.test.tailings.weighed_mg).u
        for found in (plain, grained)
        if found.test.tailings is not None
    ]
    assert math.sqrt(u[1] ** 2 - u[0] ** 2) == pytest.approx(scale * math.sqrt(0.5 * grain_mg))
    assert say("tailings_grains") in grained.said
    assert say("tailings_grains") not in plain.said


# --- final tailings by size ----------------------------------------------------------------------

TWO_SIZES = (
    "concentrate size=coarse, metal=100 ± 0.2 mg",
    "concentrate size=fine, metal=50 ± 0.2 mg",
    "rerun size=coarse, metal=5 ± 0.2 mg",
    "rerun size=fine, metal=20 ± 0.2 mg",
)
COARSE = "tailings size=coarse, mass=40 kg, grade=<0.05 g/t"
FINE = "tailings size=fine, mass=60 kg, grade=0.50 ± 0.10 g/t"


def test_tailings_by_size_close_each_size_and_all_of_them() -> None:
    found = stages(*TWO_SIZES, COARSE, FINE)
    closed = [part.by("closed") for part in (*found.result.sizes, found.result.total)]
    values = [one.figure.value for one in closed if one is not None]
    assert values == pytest.approx([100 * 100 / 106, 100 * 50 / 100, 100 * 150 / 206])
    tables = {section.title: section.rows for section in view(found).page}
    lines = [" ".join(line.split()) for line, _ in tables["The same, final tailings in it"]]
    assert lines[1].startswith("coarse < 2 94.3 ")
    assert lines[2].startswith("fine 30 50.0 ")
    assert lines[3].startswith("all 30 to 32 72.8 ")


def test_tailings_by_size_are_sources_of_their_own() -> None:
    """Two sizes of one grade and doubt: what is known of all of them is surer than of each."""
    sized = [
        f"tailings size={n}, mass=50 ± 0.001 kg, grade=0.50 ± 0.10 g/t" for n in ("coarse", "fine")
    ]
    found = stages(*TWO_SIZES, *sized)
    assert found.test.all_tailings is not None
    u = found.sources.doubt(found.test.all_tailings.weighed_mg).u
    assert u == pytest.approx(math.hypot(2.5, 2.5), rel=1e-6)


def test_tailings_in_sizes_beside_catches_that_were_not_sieved_are_one_amount() -> None:
    found = stages(A, B, COARSE, FINE)
    assert found.test.tailings is not None
    assert found.test.tailings.up_to_mg == pytest.approx(2)
    assert nominal(found.test.tailings.weighed_mg) == pytest.approx(30)


def test_sizes_of_tailings_that_were_only_weighed_are_not_assayed() -> None:
    weighed = [f"tailings size={n}, mass=50 kg" for n in ("coarse", "fine")]
    found = stages(*TWO_SIZES, *weighed, "tailings mass=120 kg")
    assert found.test.all_tailings is None
    assert [flag.code for flag in found.flags] == ["fractions_do_not_close"]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([COARSE], 'circuit: size "fine" has no assayed tailings, others have.'),
        (
            [COARSE, FINE, "tailings size=dust, metal=1 ± 0.1 mg"],
            'circuit: size "dust" has tailings and no concentrate.',
        ),
        ([COARSE, FINE, FINE], 'circuit: tailings, size "fine", stands twice'),
        ([COARSE, FINE, TAILS], 'circuit: tailings, size "all", stands twice'),
    ],
)
def test_tailings_for_some_sizes_or_twice_are_told(rows: list[str], said: str) -> None:
    with pytest.raises(BadInput, match=re.escape(said)):
        circuit(*TWO_SIZES, *rows)


def test_a_heap_of_tailings_by_size_is_all_of_its_sizes() -> None:
    for whole, dry in (("", 100), ("mass=104 kg, ", 104)):
        text = sheet(*TWO_SIZES, f"tailings {whole}sample=heap 7", COARSE, FINE)
        text += '[[samples]]\nid = "heap 7"\n'
        kept = kept_tailings(results(replay(read(text.encode()).entries)))
        assert kept is not None
        assert kept.name == "heap 7"
        assert nominal(kept.dry_kg) == pytest.approx(dry)
        assert kept.tailings is not None
        assert nominal(kept.tailings.weighed_mg) == pytest.approx(30)
