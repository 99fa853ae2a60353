"""The circuit of a hand sheet: grains counted, portions weighed in, final tailings by size."""

import math
import re

import pytest
from scipy import stats

from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import nominal
from assaybench.record.circuit_run import Circuit, circuit_of, kept_tailings
from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.report.circuit_view import view
from tests.record.sheet_circuits import TAILS, A, B, circuit, sheet, stages

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
