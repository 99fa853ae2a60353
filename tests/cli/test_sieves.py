"""`sieves` with masses on the sieves, against the published laws and hand-worked figures."""

from typing import Any

import pytest

OPENINGS = (600, 425, 300, 212, 150, 106, 75)
MASSES = ("12.0", "31.0", "55.0", "64.0", "52.0", "36.0", "22.0", "28.0")


def fractions(names: tuple[str, ...] = ()) -> list[str]:
    """The options of the test that `tests/circuit/test_sizes.py` works out by hand."""
    sizes = names or (*(f"{um}um" for um in OPENINGS), "pan")
    return [
        part
        for size, mass in zip(sizes, MASSES, strict=True)
        for part in ("--fraction", f"{size}={mass}g")
    ]


def test_what_passes_and_the_size_that_80_percent_pass(run: Any) -> None:
    """240 of 300 g passes at 300·(425/300)^(38/55) µm: worked by hand."""
    answer = run("sieves", *fractions(), "--json").json
    found = [record["passing_percent"] for record in answer["fractions"]]
    passed = (288, 257, 202, 138, 86, 50, 28)
    assert found == [*(pytest.approx(g / 3) for g in passed), None]
    figure = answer["figures"]["size_passing"]
    assert figure["value"] == pytest.approx(300 * (425 / 300) ** (38 / 55))
    assert figure["basis"] == "log size"
    assert answer["figures"]["mass"]["value"] == pytest.approx(300)
    # the openings of a new sieve may be that far off, which no balance mends
    assert answer["budget"]["size_passing"][0]["source"] == "sieves"


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("log", "linear in the logarithm of size"),
        ("linear", "linear in size"),
        ("log-log", "both as logarithms"),
    ],
)
def test_the_rule_between_two_sieves_is_named(run: Any, rule: str, said: str) -> None:
    out = run("sieves", *fractions(), "--rule", rule).out
    assert said in out
    assert "How far the truth leaves the line between two sieves is not in the ±." in out


def test_order_and_names_of_sieves_do_not_matter(run: Any) -> None:
    by_opening = run("sieves", *fractions(), "--json").json["figures"]
    names = ("No. 30", "No. 40", "No. 50", "No. 70", "No. 100", "140 mesh", "0.075mm", "PAN")
    typed = fractions(names)
    pairs = [typed[i : i + 2] for i in range(0, len(typed), 2)]
    shuffled = [part for pair in (*pairs[3:], *pairs[:3]) for part in pair]
    assert (
        run("sieves", *shuffled, "--json").json["figures"]["size_passing"]
        == (by_opening["size_passing"])
    )


def test_beyond_the_sieves_and_at_a_sieve_it_is_flagged(run: Any) -> None:
    beyond = run("sieves", *fractions(), "--passing", "99%", "--json").json
    assert [flag["code"] for flag in beyond["flags"]] == ["size_extrapolated"]
    at = run("sieves", *fractions(), "--passing", "46%", "--json").json
    assert [flag["code"] for flag in at["flags"]] == ["size_near_sieve"]


def test_missing_mass_is_told_and_not_spread(run: Any) -> None:
    answer = run("sieves", *fractions(), "--whole", "320.0g", "--json").json
    assert [flag["code"] for flag in answer["flags"]] == ["fractions_do_not_close"]
    assert answer["figures"]["mass"]["value"] == pytest.approx(300)


def test_a_sieve_of_no_series_counts_without_a_tolerance_and_that_is_said(run: Any) -> None:
    names = ("600um", "425um", "300um", "212um", "150um", "106um", "74um", "pan")
    out = run("sieves", *fractions(names)).out
    assert "74 µm is no opening of ASTM E11" in out


def test_the_step_of_the_balance_counts_where_no_doubt_was_typed(run: Any) -> None:
    fine = run("sieves", *fractions(), "--json").json["figures"]["mass"]["u"]
    coarse = run("sieves", *fractions(), "--readability", "1g", "--json").json["figures"]["mass"]
    assert coarse["u"] == pytest.approx((8 / 6) ** 0.5)
    assert fine == pytest.approx(0.1 * (8 / 12) ** 0.5)


def test_one_sieve_gives_its_passing_and_why_no_size(run: Any) -> None:
    answer = run("sieves", "--fraction", "106um=3.0g", "--fraction", "pan=1.0g", "--json").json
    assert answer["fractions"][0]["passing_percent"] == pytest.approx(25)
    assert answer["figures"]["size_passing"]["status"] == "not determinable"
    assert "two sieves at least must differ" in answer["assumptions"][0]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("106um 106um", "No. 140 (106 µm) stands twice."),
        ("--fraction 106um=3g --fraction pan=1g --fraction pan=1g", "pan stands twice."),
        ("--fraction 106um=3g", "what passed the finest sieve is missing"),
        ("--fraction 106um=0g --fraction pan=0g", "no size holds any mass"),
        ("--fraction 106um=-3g --fraction pan=1g", "--fraction 1, mass: "),
        ("--fraction 106um --fraction pan=1g", "--fraction 1: "),
        ("--fraction 3g=3g --fraction pan=1g", "--fraction 1: "),
        ("106um --fraction 106um=3g --fraction pan=1g", "SIZE and --fraction exclude each other."),
        ("--passing 80%", "--passing needs --fraction."),
    ],
)
def test_what_cannot_be_is_one_line_that_names_it(run: Any, line: str, said: str) -> None:
    outcome = run("sieves", *line.split())
    assert (outcome.status, outcome.out, len(outcome.faults)) == (2, "", 1)
    assert said in outcome.err
