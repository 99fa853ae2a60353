"""Stage-1 tailings assayed between two stages: a hand sheet or log gives two stages that agree."""

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares

from assaybench.circuit.reconcile import MASS, Place
from assaybench.circuit.streams import FeedTest, figures_of_feed
from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import nominal
from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.saved import saved_tailings
from assaybench.record.sealing import figures_of
from assaybench.report.circuit_view import view
from tests.record.sheet_circuits import circuit, feed, sheet, stages

BETWEEN = "stage-1 tailings"
FEED = "feed mass=100 ± 1 kg"
A, B = "concentrate metal=120 ± 4 mg", "rerun metal=39 ± 3 mg"
S = f"{BETWEEN} mass=98 ± 1 kg, grade=0.83 ± 0.06 g/t"
T = "tailings mass=95 ± 1 kg, grade=0.43 ± 0.05 g/t"
GRADED = (
    "feed mass=100 ± 1 kg, grade=2.0 ± 0.2 g/t",
    "concentrate mass=2.0 ± 0.05 kg, grade=60 ± 4 g/t",
    f"{BETWEEN} grade=0.83 ± 0.06 g/t",
    "rerun mass=3.0 ± 0.1 kg, grade=13 ± 1 g/t",
    "tailings mass=95 ± 1 kg, grade=0.43 ± 0.05 g/t",
)


def value(test: FeedTest, stream: str, which: int = MASS) -> float:
    assert test.agreed is not None
    return nominal(test.agreed.values[Place(stream, which)])


def closed_form(share: float = 1.0) -> tuple[NDArray[np.float64], float]:
    """S, B/φ and T/φ made to agree by S = B/φ + T/φ, and their chi-square; products of ±, k = 2."""
    x = np.array([98 * 0.83, 39 / share, 95 * 0.43 / share])
    u = np.array(
        [
            np.hypot(0.5 * 0.83, 98 * 0.03),
            1.5 / share,
            np.hypot(0.5 * 0.43, 95 * 0.025) / share,
        ]
    )
    row = np.array([1.0, -1.0, -1.0])
    gap, variance = row @ x, row @ np.diag(u**2) @ row
    return x - u**2 * row * gap / variance, gap**2 / variance


@pytest.mark.parametrize("share", [1.0, 0.5])
def test_the_metal_alone_agrees_as_the_normal_equations_have_it(share: float) -> None:
    scaled = A, B, S, T
    first = FEED if share == 1 else f"{FEED}, rerun_share={100 * share:g} %"
    test = feed(first, *scaled)
    wanted, chi2 = closed_form(share)
    found = [value(test, name) for name in (BETWEEN, "rerun", "tailings")]
    assert found == pytest.approx(list(wanted), rel=1e-9)
    assert test.agreed is not None
    assert test.agreed.chi2 == pytest.approx(chi2, rel=1e-9)
    assert test.agreed.dof == 1
    assert test.alone
    assert test.mass_unit == "mg"
    assert value(test, "feed") == pytest.approx(120 + wanted[0])
    assert test.head is not None
    assert test.head.value == pytest.approx((120 + wanted[0]) / 100)
    assert test.products[0].recoveries[0].value == pytest.approx(12000 / (120 + wanted[0]))
    caught = [catch.caught[0].value for catch in test.catches]
    assert caught == pytest.approx([12000 / (120 + wanted[0]), 100 * wanted[1] / wanted[0]])
    assert all(catch.mass_yield is None for catch in test.catches)


@pytest.mark.parametrize("share", [1.0, 0.5])
def test_the_recoveries_against_monte_carlo(share: float) -> None:
    """Both stages drawn 200 000 times from the agreed law: 95 in 100 lie inside."""
    first = FEED if share == 1 else f"{FEED}, rerun_share={100 * share:g} %"
    test = feed(first, A, B, S, T)
    dice = np.random.default_rng(20260504).standard_normal((6, 200_000))
    a = 120 + 2 * dice[0]
    s = (98 + 0.5 * dice[1]) * (0.83 + 0.03 * dice[2])
    b = (39 + 1.5 * dice[3]) / share
    t = (95 + 0.5 * dice[4]) * (0.43 + 0.025 * dice[5]) / share
    u2 = [np.var(x) for x in (s, b, t)]
    gap = (s - b - t) / sum(u2)
    s, b = s - u2[0] * gap, b + u2[1] * gap
    for figure, drawn in (
        (test.products[0].recoveries[0], a / (a + s)),
        (test.catches[1].caught[0], b / s),
    ):
        assert figure.low is not None
        assert figure.high is not None
        beyond = np.mean(100 * drawn < figure.low), np.mean(100 * drawn > figure.high)
        assert beyond == pytest.approx((0.025, 0.025), abs=0.004)


def test_masses_and_grades_agree_as_least_squares_has_it() -> None:
    """Ten measured but one, under two stages of mass and of metal: scipy on what is left free."""
    test = feed(*GRADED)
    measured = np.array([100, 2, 3, 95, 2.0, 60, 0.83, 13, 0.43])
    u = np.array([0.5, 0.025, 0.05, 0.5, 0.1, 2, 0.03, 0.5, 0.025])

    def streams(free: NDArray[np.float64]) -> NDArray[np.float64]:
        con, rerun, tails, c, b, t = free
        rest = rerun + tails
        s = (rerun * b + tails * t) / rest
        f = (con * c + rest * s) / (con + rest)
        return np.array([con + rest, con, rerun, tails, f, c, s, b, t])

    found = least_squares(
        lambda free: (streams(free) - measured) / u, [2, 3, 95, 60, 13, 0.43],
        xtol=1e-15, ftol=1e-15, gtol=1e-15,
    )  # fmt: skip
    names = ("feed", "concentrate", "rerun", "tailings")
    ours = [value(test, name) for name in names]
    ours += [value(test, name, 1) for name in ("feed", "concentrate", BETWEEN, "rerun", "tailings")]
    assert ours == pytest.approx(list(streams(found.x)), rel=1e-6)
    assert test.agreed is not None
    assert test.agreed.chi2 == pytest.approx(2 * found.cost, rel=1e-6)
    assert test.agreed.dof == 3
    assert value(test, BETWEEN) == pytest.approx(value(test, "rerun") + value(test, "tailings"))


def test_sizes_of_both_catches_are_added_up_and_that_is_said() -> None:
    sized = (
        "concentrate size=+1 mm, metal=80 ± 3 mg",
        "concentrate size=-1 mm, metal=40 ± 2 mg",
        "rerun size=+1 mm, metal=9 ± 1 mg",
        "rerun size=-1 mm, metal=30 ± 2 mg",
    )
    test, whole = feed(FEED, *sized, S, T), feed(FEED, A, B, S, T)
    assert value(test, "concentrate") == pytest.approx(120)
    assert value(test, "tailings") == pytest.approx(value(whole, "tailings"), rel=0.01)
    assert say("streams_added_up", name="Concentrate") in test.said
    assert say("streams_added_up", name="Rerun") in test.said


def test_sizes_that_do_not_add_up_to_their_whole_are_told() -> None:
    test = feed(
        FEED,
        "concentrate mass=30 ± 0.1 g",
        "concentrate size=+1 mm, mass=10 ± 0.1 g, metal=80 ± 3 mg",
        "concentrate size=-1 mm, mass=12 ± 0.1 g, metal=40 ± 2 mg",
        B, S, T,
    )  # fmt: skip
    assert "fractions_do_not_close" in [flag.code for flag in test.flags]


def test_mats_and_middlings_leave_stage_1_too() -> None:
    test = feed(FEED, A, "mats metal=3 ± 1 mg", "middlings metal=2 ± 1 mg", B, S, T)
    assert test.stages[0].out == ("concentrate", "middlings", "mats", BETWEEN)
    assert value(test, "feed") == pytest.approx(125 + value(test, BETWEEN))


def test_without_a_second_stage_they_are_what_stage_1_lost() -> None:
    test = feed(FEED, A, S)
    assert test.catches == ()
    assert test.products[0].recoveries[0].value == pytest.approx(12000 / (120 + 98 * 0.83))
    assert "streams_none_spare" in [flag.code for flag in test.flags]


def test_final_tailings_that_were_not_assayed_are_worked_out() -> None:
    test = feed(FEED, A, B, S, "tailings mass=95 ± 1 kg")
    assert value(test, "tailings") == pytest.approx(98 * 0.83 - 39)


def test_an_assayed_feed_checks_a_single_stage_whose_beads_were_weighed() -> None:
    test = feed("feed mass=100 ± 1 kg, grade=2.0 ± 0.1 g/t", A, "tailings mass=98 ± 1 kg, "
                "grade=0.83 ± 0.06 g/t")  # fmt: skip
    assert test.alone
    assert test.agreed is not None
    assert test.agreed.dof == 1


def test_stage_1_tailings_that_were_only_weighed_stand_in_the_picture() -> None:
    found = stages(FEED, A, B, f"{BETWEEN} mass=98 ± 1 kg", T)
    (drawn,) = view(found).picture
    (row,) = [value for label, value in drawn.rows if label.endswith("tailings of stage 1")]
    assert row.lstrip().startswith("98.0 kg")


def test_fineness_that_nobody_knows_widens_every_bead() -> None:
    plain, doubtful = feed(FEED, A, B, S), feed(f"{FEED}, fineness_spread=3 %", A, B, S)
    u = [test.products[0].recoveries[0].u or 0.0 for test in (plain, doubtful)]
    share = (plain.products[0].recoveries[0].value or 0.0) / 100
    assert u[1] ** 2 - u[0] ** 2 == pytest.approx((100 * share * (1 - share) * 0.03) ** 2, rel=1e-6)


def test_a_mass_typed_without_its_doubt_is_called_a_lower_bound() -> None:
    said = say("typed_without_doubt")
    assert said not in feed(FEED, A, B, S, T).said
    assert said in feed("feed mass=100 kg", A, B, S, T).said
    assert said in feed(FEED, A, B, f"{BETWEEN} mass=98 ± 1 kg, grade=0.83 g/t", T).said
    assert said not in feed(FEED, A, B, S, "tailings mass=95 ± 1 kg, grade=<0.5 g/t").said
    single = "feed mass=100 ± 2 kg, grade=2.0 ± 0.2 g/t", "concentrate mass=4.4 ± 0.2 kg, "
    assert said not in feed(single[0], single[1] + "grade=40 ± 4 g/t").said
    assert said in feed(single[0], single[1] + "grade=40 g/t").said
    assert (
        said in feed("feed mass=100 kg, grade=2.0 ± 0.2 g/t", single[1] + "grade=40 ± 4 g/t").said
    )
    assert said in stages("feed mass=100 kg", A, B).said


def test_a_seal_keeps_both_stages() -> None:
    found = results(replay(read(sheet(FEED, A, B, S, T).encode()).entries))
    rows = {(row.id, row.name): row for row in figures_of(found)}
    assert rows["stage 2", "caught"].text == "48.7 ± 3.3 %"
    assert rows["feed", "head"].unit == "g/t"
    assert {("rerun", "agreed metal"), ("concentrate", "recovery")} <= set(rows)


@pytest.mark.parametrize("share", [1.0, 0.5])
def test_the_heap_is_what_the_test_leaves_for_the_tailings(share: float) -> None:
    first = FEED if share == 1 else f"{FEED}, rerun_share={100 * share:g} %"
    rows = (first, A, B, S, "tailings mass=95 ± 1 kg")
    saved = saved_tailings(results(replay(read(sheet(*rows).encode()).entries)))
    assert saved is not None
    assert saved.left.way == "worked out"
    assert saved.left.metal_g is not None
    assert saved.left.metal_g.value == pytest.approx((98 * 0.83 * share - 39) / 1000)
    assert nominal(saved.dry_t) == pytest.approx(0.095)
    assert saved.not_rerun == pytest.approx(1 - share)


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ((A, B, S, S, T), f"circuit: {BETWEEN} stands once, for all of it"),
        ((A, B, f"{S}, size=-1 mm", T), f"circuit: {BETWEEN} stands once, for all of it"),
        ((A, B, S, T, T), "circuit: tailings stands once, for all of it"),
        ((A, A, B, S, T), 'circuit: concentrate, size "all", stands twice'),
        ((A, B, f"{BETWEEN} grade=0.83 ± 0.06 g/t", T), "has a grade and no mass"),
        ((A, B, f"{BETWEEN} mass=98 ± 1 kg, grade=101 %", T), "more metal than the stream"),
        ((A, f"{BETWEEN} metal=80 ± 2 mg", "rerun mass=3 ± 0.1 kg"), "metal of rerun cannot be"),
        (("concentrate mass=20 mg, metal=120 ± 4 mg", B, S), "is heavier than all of it"),
    ],
)
def test_what_does_not_tell_enough_is_one_sentence(rows: tuple[str, ...], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        circuit(FEED, *rows)


def test_a_contradiction_says_what_to_measure_again() -> None:
    test = feed(FEED, A, "rerun metal=70 ± 1 mg", S, T)
    assert test.verdict is not None
    assert test.verdict.code == "streams_disagree"
    assert "These figures do not tell which of them is off." in test.verdict.reason


def test_more_than_there_was_is_refused_in_words() -> None:
    test = feed(FEED, A, "rerun metal=90 ± 1 mg", S)
    assert test.products == ()
    assert test.flags[0].text.startswith("To add up, the metal of tailings would have to be below")


def test_every_order_of_the_rows_gives_the_same() -> None:
    found = {
        round(value(feed(*rows), "tailings"), 9)
        for rows in itertools.islice(itertools.permutations((FEED, A, B, S, T)), 0, 120, 17)
    }
    assert len(found) == 1


SIZED = (
    "concentrate size=+1 mm, metal=80 ± 3 mg",
    "concentrate size=-1 mm, metal=40 ± 2 mg",
    "rerun size=+1 mm, metal=9 ± 1 mg",
    "rerun size=-1 mm, metal=30 ± 2 mg",
)


def test_catches_by_size_keep_their_bounds_beside_the_streams_that_agree() -> None:
    """The same by weight as without any tailings: 80/89, 40/70, 1 - 9/80, 1 - 30/40."""
    shown, alone = view(feed(FEED, *SIZED, S, T)), view(stages(*SIZED))
    assert shown.records["sizes"] == alone.records["sizes"]
    tables = [s for s in alone.sections if s.title.startswith(("Gold by size", "95 in 100"))]
    assert len(tables) == 2
    assert all(table in shown.sections for table in tables)
    assert say("streams_sizes_by_weight") in shown.assumptions
    assert "look_at_size" in [flag.code for flag in shown.flags]
    rows = [" ".join(line[0].split()) for line in tables[0].rows]
    assert {"+1 mm 80 9 89.9 88.8", "-1 mm 40 30 57.1 25.0"} <= {*rows}
    # what is sealed of the streams is what it was
    assert [*figures_of_streams(SIZED)] == [*figures_of_streams((A, B))]


def figures_of_streams(catches: tuple[str, ...]) -> list[tuple[str, str]]:
    found = figures_of_feed(feed(FEED, *catches, S, T))
    return [(stream, name) for stream, name, _ in found]


@pytest.mark.parametrize("sizes", [SIZED[:3], SIZED[1:3], (A, *SIZED[2:])])
def test_sizes_that_only_one_catch_has_give_no_bounds(sizes: tuple[str, ...]) -> None:
    shown = view(feed(FEED, *sizes, S, T))
    assert "sizes" not in shown.records
    assert say("streams_sizes_by_weight") not in shown.assumptions
