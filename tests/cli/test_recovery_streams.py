"""`recovery` of a feed and its products: three grades, masses beside them, streams, the head."""

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from scipy.optimize import least_squares

GRADES = (
    *("--feed-grade", "2.0 ± 0.2 g/t"),
    *("--concentrate-grade", "40 ± 4 g/t"),
    *("--tailings-grade", "0.30 ± 0.03 g/t"),
)
MASSES = (
    *("--feed", "100 ± 2 kg"),
    *("--concentrate-mass", "4.4 ± 0.2 kg"),
    *("--tailings-mass", "95.5 ± 2 kg"),
)
THREE_PRODUCTS = (
    *("--stream", "feed=3000t:2.3 %:15 %"),
    *("--stream", "copper con=?:22 %:4.3 %"),
    *("--stream", "zinc con=?:1 %:51.8 %"),
    *("--stream", "tailings=?:0.2 %:1 %"),
)
BETWEEN = (
    *("--stream", "feed=100 ± 1 kg:2.0 ± 0.2 g/t"),
    *("--stream", "concentrate=2.0 ± 0.05 kg:60 ± 4 g/t"),
    *("--stream", "rest=?:0.83 ± 0.06 g/t"),
    *("--stream", "rerun=3.0 ± 0.1 kg:13 ± 1 g/t"),
    *("--stream", "tailings=95 ± 1 kg:0.43 ± 0.05 g/t"),
)
"""Two stages, the tailings of the first assayed before they were run again."""
TWO = ("--stage", "feed=concentrate+rest", "--stage", "rest=rerun+tailings")
STAGES = ("--concentrate", "12.00 ± 0.1 mg", "--rerun", "3 ± 0.1 mg")
FEED = ("--feed", "10 ± 0.1 kg")


def by_id(records: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {record["id"]: record for record in records}


def test_three_grades_give_recovery_yield_and_ratios(run: Any) -> None:
    answer = run("recovery", *GRADES, "--json").json
    figures = answer["figures"]
    assert figures["recovery"]["value"] == pytest.approx(85.6423, abs=5e-5)
    assert figures["mass_yield"]["value"] == pytest.approx(4.28212, abs=5e-6)
    assert figures["concentration"]["value"] == pytest.approx(23.3529, abs=5e-5)
    assert figures["enrichment"]["value"] == pytest.approx(20)
    assert answer["verdict"] is None
    assert [flag["code"] for flag in answer["flags"]] == ["streams_none_spare"]
    tails = by_id(answer["products"])["tailings"]["figures"]
    assert tails["recovery"]["value"] == pytest.approx(100 - 85.6423, abs=5e-5)


def test_masses_beside_grades_are_made_to_agree(run: Any) -> None:
    """Solved apart with scipy: 99.967 4.391 95.576 kg, 2.0245 39.570 0.29947 g/t, J 0.122."""
    answer = run("recovery", *GRADES, *MASSES, "--json").json
    assert answer["figures"]["recovery"]["value"] == pytest.approx(85.86, abs=0.005)
    assert answer["figures"]["chi_square"]["value"] == pytest.approx(0.122, abs=5e-4)
    assert answer["figures"]["spare"]["value"] == 2
    assert answer["verdict"]["code"] == "streams_agree"
    found = {(r["id"], r["quantity"]): r for r in answer["streams"]}
    assert len(found) == 6
    assert all(set(r) == {"id", "quantity", "figures", "change", "score"} for r in found.values())
    feed = found["feed", "grade"]
    assert feed["figures"]["measured"]["value"] == pytest.approx(2.0)
    assert feed["figures"]["agreed"]["value"] == pytest.approx(2.0245, abs=5e-5)
    assert feed["change"] == pytest.approx(0.0245, abs=5e-5)
    out = run("recovery", *GRADES, *MASSES).out
    assert "They agree." in out
    assert "That does not prove both right." in out
    assert "grade of feed           2.00 ± 0.20 g/t    2.02 ± 0.14 g/t" in out


def test_three_products_from_two_metals(run: Any) -> None:
    answer = run("recovery", *THREE_PRODUCTS, "--json").json
    assert answer["figures"]["recovery"]["value"] == pytest.approx(82.67, abs=0.005)
    zinc = by_id(answer["products"])["zinc con"]["figures"]
    assert zinc["recovery_2"]["value"] == pytest.approx(93.23, abs=0.005)
    masses = {r["id"]: r["figures"]["agreed"] for r in answer["streams"] if r["quantity"] == "mass"}
    assert masses["copper con"]["value"] == pytest.approx(259.27, abs=0.005)
    assert masses["copper con"]["unit"] == "t"


def test_middlings_are_a_product_of_their_own(run: Any) -> None:
    line = (
        *("--stream", "feed=100 ± 1 kg:1.75 ± 0.1 g/t"),
        *("--stream", "concentrate=4.4 ± 0.1 kg:30 ± 2 g/t"),
        *("--stream", "middlings=10 ± 0.5 kg:2.6 ± 0.4 g/t"),
        *("--stream", "tailings=?:0.20 ± 0.05 g/t"),
    )
    answer = run("recovery", *line, "--json").json
    held = [p["figures"]["recovery"]["value"] for p in answer["products"]]
    assert [p["id"] for p in answer["products"]] == ["concentrate", "middlings", "tailings"]
    assert sum(held) == pytest.approx(100)
    assert answer["verdict"]["code"] == "streams_agree"
    assert "mass of tailings" in run("recovery", *line).out


def test_a_limit_of_the_tailings_is_anything_from_nothing_to_it(run: Any) -> None:
    line = (*GRADES[:4], "--tailings-grade", "<0.33 g/t")
    answer = run("recovery", *line, "--json").json
    assert "Tailings: from 0 to 0.33 g/t, all equally likely." in answer["assumptions"]
    figure = answer["figures"]["recovery"]
    ends = [100 * 40 * (2 - t) / (2 * (40 - t)) for t in (0.33, 0.0)]
    assert figure["low"] == pytest.approx(ends[0] + 0.025 * (ends[1] - ends[0]), abs=0.5)
    assert figure["high"] == pytest.approx(ends[1] - 0.025 * (ends[1] - ends[0]), abs=0.5)


def test_streams_that_disagree_lead_with_it(run: Any) -> None:
    line = (
        *("--feed-grade", "2.00 ± 0.02 g/t", "--feed", "10.0 ± 0.1 kg"),
        *("--concentrate-grade", "15.0 ± 0.2 g/t", "--concentrate-mass", "1.20 ± 0.01 kg"),
        *("--tailings-grade", "3.0 ± 0.1 g/t", "--tailings-mass", "9.0 ± 0.1 kg"),
    )
    out = run("recovery", *line).out
    assert out.splitlines()[1] == "  Do not agree."
    assert "The ± here hold only for streams that agree; these do not." in out


def test_a_concentrate_poorer_than_the_feed_gives_a_sentence_and_no_figure(run: Any) -> None:
    line = ("recovery", "--feed-grade", "2 ± 0.2 g/t", "--concentrate-grade", "1.5 ± 0.2 g/t",
            "--tailings-grade", "0.3 ± 0.1 g/t")  # fmt: skip
    outcome = run(*line)
    assert outcome.status == 0
    assert "Concentrate: 1.5 g/t, no more than the feed with 2 g/t." in outcome.out
    assert run(*line, "--json").json["figures"]["recovery"]["value"] is None


def test_a_product_that_weighs_nothing_has_no_ratio(run: Any) -> None:
    line = (
        *("--stream", "feed=100 ± 1 kg:2.0 ± 0.1 g/t", "--stream", "concentrate=?:40 ± 2 g/t"),
        *("--stream", "tailings=100 ± 1 kg:?"),
    )
    outcome = run("recovery", *line)
    assert (outcome.status, outcome.err) == (0, "")
    assert "The product weighs nothing as measured: no ratio follows from it." in outcome.out
    ratio = run("recovery", *line, "--json").json["figures"]["concentration"]
    assert (ratio["value"], ratio["status"]) == (None, "not determinable")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            ("--feed-grade", "2 g/t", "--concentrate-grade", "150 %"),
            "is more metal than the stream",
        ),
        (("--feed-grade", "2 g/t", "--concentrate-grade", "-3 g/t"), "is below zero"),
        (("--feed-grade", "0 g/t", "--concentrate-grade", "3 g/t"), "the grade of a feed must be"),
        (("--feed-grade", "<2 g/t", "--concentrate-grade", "3 g/t"), "the grade of a feed must be"),
        (("--feed-grade", "2 g/t", "--concentrate-mass", "<3 kg"), "is a limit"),
        (("--feed-grade", "2 g/t", "--concentrate-mass", "0 kg"), "must be"),
        (("--feed-grade", "2 g/t", "--concentrate-grade", "30 g/t"), "cannot be worked out"),
        (("--feed-grade", "2 g/t", "--rerun", "3 mg"), "--rerun and --feed-grade"),
        (("--feed-grade", "2 g/t", "--size", "a=1mg:2mg"), "--size and --feed-grade"),
        (("--stream", "feed=1kg:2 g/t", "--feed", "1kg"), "--feed and --stream exclude"),
        (("--stream", "con=1kg"), "is not a stream"),
        (("--stream", "=1kg:2 g/t"), "is not a stream"),
        (("--stream", "second middlings=1kg:2 g/t"), "at most 14 characters"),
        (("--stream", "a=1kg:2 g/t", "--stream", "a=1kg:2 g/t"), "is there already"),
        (("--stream", "a=1kg:2 g/t", "--stream", "b=1kg:2 g/t"), "feed is missing"),
        (("--stream", "feed=1kg:2 g/t", "--stream", "b=1kg:2 g/t"), "two products at least"),
        (
            ("--stream", "feed=1kg:2 g/t", "--stream", "b=?:2 g/t:3 g/t", "--stream", "c=?:1 g/t"),
            "as many grades as the feed",
        ),
        (TWO, "--stage needs --stream"),
        ((*BETWEEN, "--stage", "feed"), '"feed" is not a stage. Write it like'),
        ((*BETWEEN, "--stage", "feed=+rest"), '"feed=+rest" is not a stage'),
        ((*BETWEEN, "--stage", "feed=concentrate+rset"), '"rset" is no --stream of this line'),
        ((*BETWEEN, *TWO[:2]), '"rerun" is in no stage that the feed reaches'),
        ((*BETWEEN, *TWO[2:]), "the feed goes into a stage and comes out of none"),
        ((*BETWEEN, *TWO, "--stage", "rest=rerun"), '"rest" goes into one stage at most'),
        ((*BETWEEN, "--stage", "feed=concentrate+rest+rerun+feed"), "comes out of none"),
        (
            (
                *BETWEEN,
                "--stage",
                "feed=rest",
                "--stage",
                "rest=rerun",
                "--stage",
                "rerun=tailings",
                "--stage",
                "tailings=concentrate",
            ),
            "two products at least",
        ),
        ((*STAGES, "--head", "3 g/t"), "--head needs --feed"),
        ((*STAGES, *FEED, "--head", "3 kg"), "a mass fraction is asked for"),
        ((*STAGES, "--feed", "10 mg"), "15 mg of metal in the products is heavier than the feed"),
    ],
)
def test_a_bad_line_is_told_in_one_sentence_each(
    run: Any, line: tuple[str, ...], said: str
) -> None:
    outcome = run("recovery", *line)
    assert outcome.status == 2
    assert outcome.out == ""
    assert any(said in fault for fault in outcome.faults), outcome.faults


# --- streams between stages ----------------------------------------------------------------------


def test_stages_with_streams_between_them_are_made_to_agree(run: Any) -> None:
    """Solved apart with numpy: the sums of squares least under mass and metal at both stages."""
    answer = run("recovery", *BETWEEN, *TWO, "--json").json
    assert answer["figures"]["spare"]["value"] == 3
    assert answer["verdict"]["code"] == "streams_agree"
    assert [p["id"] for p in answer["products"]] == ["concentrate", "rerun", "tailings"]
    held = [p["figures"]["recovery"]["value"] for p in answer["products"]]
    assert sum(held) == pytest.approx(100)
    first, second = answer["stages"]
    assert (first["id"], first["into"], first["out"]) == (
        "stage 1",
        ["feed"],
        TWO[1][5:].split("+"),
    )
    caught = [stage["figures"]["caught"]["value"] for stage in (first, second)]
    assert caught[0] == pytest.approx(held[0])
    # stage 2 is fed with what stage 1 lost
    assert caught[1] == pytest.approx(100 * held[1] / (100 - held[0]))
    expected = _agreed_apart()
    for name, (mass, grade) in expected.items():
        found = {
            r["quantity"]: r["figures"]["agreed"] for r in answer["streams"] if r["id"] == name
        }
        assert found["mass"]["value"] == pytest.approx(mass, rel=1e-6)
        assert found["grade"]["value"] == pytest.approx(grade, rel=1e-6)


def _agreed_apart() -> dict[str, tuple[float, float]]:
    """The same streams by scipy: five unknowns, and every measurement weighed by its u."""
    names = ("feed", "concentrate", "rest", "rerun", "tailings")
    masses = np.array([100, 2.0, np.nan, 3.0, 95])
    grades = np.array([2.0, 60, 0.83, 13, 0.43])
    u_mass, u_grade = np.array([1, 0.05, 1, 0.1, 1]) / 2, np.array([0.2, 4, 0.06, 1, 0.05]) / 2

    def streams(x: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        con, rerun, tailings = x[:3]
        mass = np.array([con + rerun + tailings, con, rerun + tailings, rerun, tailings])
        metal = mass[[1, 3, 4]] * x[3:]
        sums = np.array([metal.sum(), metal[0], metal[1] + metal[2], metal[1], metal[2]])
        return mass, sums / mass

    def off(x: NDArray[np.float64]) -> NDArray[np.float64]:
        mass, grade = streams(x)
        known = ~np.isnan(masses)
        return np.concatenate([((mass - masses) / u_mass)[known], (grade - grades) / u_grade])

    start = [2.0, 3.0, 95.0, 60.0, 13.0, 0.43]
    best = least_squares(off, start, x_scale=start, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return dict(zip(names, zip(*streams(best.x), strict=True), strict=True))


def test_the_page_says_what_each_stage_catches_and_draws_them(run: Any) -> None:
    out = run("recovery", *BETWEEN, *TWO, "--sum").out
    assert "What each stage catches of what it is fed" in out
    assert "    2      rerun          3.06 ± 0.10  48.7 ± 3.5" in out
    assert "    └ rest . " in out
    assert "      ├ rerun  . " in out
    assert "caught by stage 2 = 100 × " in out
    assert "| stage 2" in run("recovery", *BETWEEN, *TWO, "--plain").out


# --- two stages: the assayed head, middlings -----------------------------------------------------


def test_the_assayed_head_stands_beside_the_one_built_up(run: Any) -> None:
    """12 + 3 + 2 mg on 10 kg is 1.7 g/t; assayed 1.5 ± 0.2: +0.2, u √(0.0327² + 0.1²)."""
    line = ("recovery", *STAGES, "--tailings", "2 ± 0.6 mg", *FEED)
    answer = run(*line, "--head", "1.5 ± 0.2 g/t", "--json").json
    assert answer["figures"]["head"]["value"] == pytest.approx(1.7)
    assert answer["figures"]["head_assayed"]["value"] == pytest.approx(1.5)
    assert answer["figures"]["head_gap"]["value"] == pytest.approx(0.2)
    u_built = ((0.05**2 + 0.05**2 + 0.3**2) / 100 + (1.7 * 0.05 / 10) ** 2) ** 0.5
    expected = (u_built**2 + 0.1**2) ** 0.5
    assert answer["figures"]["head_gap"]["u"] == pytest.approx(expected, rel=1e-9)
    assert "They agree. That does not prove both right." in run(*line, "--head", "1.5 ± 0.2g/t").out
    apart = run(*line, "--head", "1.0 ± 0.1 g/t").out
    assert "They do not agree. Nuggets in the head sample, or metal lost on the way?" in apart


def test_a_head_that_is_a_lower_bound_gives_no_gap_unless_it_is_above(run: Any) -> None:
    line = ("recovery", *STAGES, *FEED)
    below = run(*line, "--head", "2.5 ± 0.2 g/t", "--json").json["figures"]["head_gap"]
    assert below["value"] is None
    assert "lower bound" in below["why"]
    above = run(*line, "--head", "1.0 ± 0.1 g/t", "--json").json["figures"]["head_gap"]
    assert above["value"] == pytest.approx(0.5)


def test_middlings_are_feed_but_not_caught(run: Any) -> None:
    line = ("recovery", *STAGES, "--middlings", "5 ± 0.1 mg")
    answer = run(*line, *FEED, "--json", "--sum").json
    assert answer["figures"]["recovery_at_most"]["value"] == pytest.approx(100 * 12 / 20)
    assert answer["figures"]["head"]["value"] == pytest.approx(2.0)
    assert "Middlings count as feed, not as caught." in answer["assumptions"]
    assert answer["sum"][0].endswith("= 60 %")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            ("--size", "a=100mg:20mg", "--size", "b=50g:5mg", "--feed", "40g"),
            "50125 mg of metal in the products is heavier than the feed, 40000 mg.",
        ),
        (
            (
                *("--concentrate", "3mg", "--rerun", "1mg"),
                *("--tailings-mass", "3kg", "--tailings-grade", "2000000 g/t"),
            ),
            "--tailings-grade: ",
        ),
    ],
)
def test_more_metal_than_there_is_of_feed_or_product_is_refused(
    run: Any, line: tuple[str, ...], said: str
) -> None:
    outcome = run("recovery", *line)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (2, "", 1)
    assert said in outcome.err


# --- grains of both catches -----------------------------------------------------------------------


def test_grains_of_both_catches_say_what_the_next_run_may_find(run: Any) -> None:
    """12 of 15 mg, 40 grains: 32 and 8, exact limits 64.35 to 90.95 % (Clopper and Pearson)."""
    answer = run("recovery", *STAGES, "--grains", "40", "--json").json
    figure = answer["figures"]["recovery_next_run"]
    low, high = stats.beta.ppf([0.025, 0.975], [32, 33], [9, 8])
    assert (figure["low"], figure["high"]) == pytest.approx((100 * low, 100 * high), abs=1e-6)
    assert figure["value"] == pytest.approx(80)
    assert figure["u"] == pytest.approx(100 * (0.8 * 0.2 / 40) ** 0.5)
    assert figure["basis"] == "of what both stages caught"
    assert "next_run_caught" in [flag["code"] for flag in answer["flags"]]
    assert "recovery_next_run" not in run("recovery", *STAGES, "--json").json["figures"]


@pytest.mark.parametrize("text", ["0", "-3", "2.5", "x", ""])
def test_grains_that_cannot_be_counted(run: Any, text: str) -> None:
    outcome = run("recovery", *STAGES, "--grains", text)
    assert (outcome.status, outcome.out) == (2, "")
    assert any("--grains" in fault for fault in outcome.faults)


def test_grains_say_nothing_of_streams(run: Any) -> None:
    outcome = run("recovery", *GRADES, "--grains", "3")
    assert outcome.status == 2
    assert any("--grains and --feed-grade" in fault for fault in outcome.faults)


def test_a_feed_or_head_typed_without_doubt_is_a_lower_bound(run: Any) -> None:
    said = "A figure without ± has u = 1/√12 of its last typed place: a lower bound."
    line = ("recovery", *STAGES, "--feed", "10 ± 0.1 kg")
    assert said not in run(*line, "--json").json["assumptions"]
    for more in (
        ("--head", "1.5 g/t"),
        ("--tailings-grade", "0.2 g/t", "--tailings-mass", "9 ± 1 kg"),
    ):
        assert said in run(*line, *more, "--json").json["assumptions"]


def test_what_stage_1_loses_has_its_doubt(run: Any) -> None:
    out = run("recovery", *STAGES).out
    assert "3.00 ± 0.10        4.00 ± 0.18" in out
    noise = run(
        "recovery", "--concentrate", "12 ± 0.5 mg", "--rerun", "-0.1 ± 0.2 mg", "--json"
    ).json
    (row,) = noise["sizes"]
    lost = row["figures"]["lost_if_alike"]
    assert lost["status"] == "at most"
    assert 0 == lost["low"] < lost["value"] == lost["high"]
