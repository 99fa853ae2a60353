"""`value`: a lot in three ways, a season's loss, a gain that pays back or not."""

from typing import Any

import pytest

PRICE = ("--price", "80 USD/g", "--price-source", "typed 3 May, KB")


def figures(run: Any, *line: str) -> Any:
    outcome = run("value", *line, "--json")
    assert outcome.status == 0, outcome.err
    return outcome.json["figures"]


def test_parted_gold_with_all_that_is_taken_off(run: Any) -> None:
    line = ("--metal", "28.4 ± 0.5 g", *PRICE, "--payable", "98%", "--refining", "0.5 USD/g")
    found = figures(run, *line, "--charge", "30 USD", "--charge", "20 USD")
    assert found["net"]["value"] == pytest.approx(0.98 * 28.4 * 79.5 - 50)
    assert found["net"]["u"] == pytest.approx(0.98 * 79.5 * 0.25)
    assert found["net"]["unit"] == "USD"
    assert found["charges"]["value"] == pytest.approx(0.98 * 28.4 * 0.5 + 50)


def test_gross_metal_times_its_fineness(run: Any) -> None:
    found = figures(run, "--gross", "31.1g", "--fineness", "912.7 ± 0.3 ‰", *PRICE)
    assert found["fine_metal"]["value"] == pytest.approx(31.1 * 0.9127)
    assert found["net"]["u"] == pytest.approx(31.1 * 0.00015 * 80)
    karat = figures(run, "--gross", "31.1g", "--fineness", "22 karat", *PRICE)
    assert karat["fine_metal"]["value"] == pytest.approx(31.1 * 22 / 24)


def test_a_concentrate_is_valued_dry(run: Any) -> None:
    line = ("--mass", "2.4kg", "--moisture", "8%", "--grade", "310 ± 20 g/t", *PRICE)
    found = figures(run, *line, "--treatment", "120 USD/t", "--deduction", "1g/t")
    dry = 2.4e-3 * 0.92
    assert found["fine_metal"]["value"] == pytest.approx(dry * 310)
    assert found["paid_metal"]["value"] == pytest.approx(dry * 309)
    assert found["net"]["value"] == pytest.approx(dry * 309 * 80 - dry * 120)


def test_a_pile_is_worth_what_the_next_stage_gets_out_of_it(run: Any) -> None:
    found = figures(run, "--metal", "260 ± 60 g", "--second-stage", "60 ± 10 %", *PRICE)
    assert found["fine_metal"]["value"] == pytest.approx(156)
    assert found["fine_metal"]["u"] == pytest.approx(((0.6 * 30) ** 2 + (260 * 0.05) ** 2) ** 0.5)


def test_charges_above_what_it_brings_are_said_first(run: Any) -> None:
    answer = run("value", "--metal", "0.3g", *PRICE, "--charge", "50 USD", "--json").json
    assert answer["verdict"]["code"] == "worth_below_zero"
    assert answer["figures"]["net"]["value"] == pytest.approx(-26)


def test_a_season_s_loss_by_the_tonne_and_in_all(run: Any) -> None:
    line = ("--season", "900t", "--grade", "0.9g/t", *PRICE)
    found = figures(run, *line, "--recovery", "81.5 ± 4 %")
    assert found["loss_per_tonne"]["value"] == pytest.approx(0.9 * 0.185 * 80)
    assert found["loss_per_season"]["value"] == pytest.approx(900 * 0.9 * 0.185 * 80)
    assert found["metal_lost"]["value"] == pytest.approx(900 * 0.9 * 0.185)
    assert found["loss_per_tonne"]["u"] == pytest.approx(0.9 * 0.02 * 80)


def test_a_recovery_at_most_makes_a_least_loss(run: Any) -> None:
    line = ("--season", "900t", "--grade", "0.9g/t", *PRICE, "--recovery", "<85.5%")
    answer = run("value", *line, "--json").json
    lost = answer["figures"]["loss_per_tonne"]
    assert (lost["status"], lost["high"]) == ("at least", None)
    assert lost["low"] == pytest.approx(0.9 * 0.145 * 80)
    assert answer["verdict"]["code"] == "loss_is_least"


GAIN = ("--season", "900t", "--grade", "1g/t", "--gain", "5 ± 4 %", "--price", "2000/ozt",
        "--payable", "95%", "--running-cost", "0.3/t")  # fmt: skip


def test_a_gain_pays_back_by_quantiles_of_tonnes(run: Any) -> None:
    """n 2.7543 a tonne, 1815.3 t; P(never) 0.0121; 900 t a year at 10 % for 5 years."""
    found = figures(run, *GAIN, "--cost", "5000", "--rate", "10%", "--years", "5")
    tonnes = found["break_even_feed"]
    assert tonnes["value"] == pytest.approx(1815.3, abs=0.05)
    n, reach = 2.754321, 1.959964 * 0.02 * 0.95 * 2000 / 31.1034768
    assert tonnes["low"] == pytest.approx(5000 / (n + reach), rel=1e-5)
    assert tonnes["high"] == pytest.approx(5000 / (n - reach), rel=1e-4)
    assert (tonnes["u"], tonnes["k"]) == (None, None)
    assert found["probability_never"]["value"] == pytest.approx(0.0121, abs=5e-5)
    assert found["present_value"]["value"] == pytest.approx(
        900 * 2.75432 * 3.790787 - 5000, abs=0.1
    )


@pytest.mark.parametrize(
    ("gain", "code"),
    [
        ("5 ± 1 %", "gain_pays_back"),
        ("5 ± 6 %", "gain_pays_back_open"),
        ("0.4 ± 2 %", "gain_never_likely"),
        ("0.4 %", "gain_never"),
        ("-3 ± 1 %", "gain_never"),
    ],
)
def test_never_is_said_as_far_as_it_may_be(run: Any, gain: str, code: str) -> None:
    line = ("value", "--season", "900t", "--grade", "1g/t", "--price", "60/g", "--gain", gain)
    answer = run(*line, "--running-cost", "0.3/t", "--cost", "5000", "--json").json
    assert answer["verdict"]["code"] == code
    tonnes = answer["figures"]["break_even_feed"]
    if code == "gain_pays_back_open":
        assert tonnes["high"] is None
        assert "no upper end" in tonnes["text"]


def test_without_a_cost_the_gain_of_a_tonne_is_said(run: Any) -> None:
    answer = run("value", *GAIN, "--json").json
    assert answer["verdict"]["code"] == "gain_each_tonne"
    assert "break_even_feed" not in answer["figures"]


def test_wet_feed_is_dried(run: Any) -> None:
    line = (
        "--season",
        "1000t",
        "--moisture",
        "10%",
        "--grade",
        "1g/t",
        "--recovery",
        "50%",
        *PRICE,
    )
    assert figures(run, *line)["metal_lost"]["value"] == pytest.approx(450)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ((), "What is to be valued is missing"),
        (("--metal", "3g"), "--price is missing"),
        (("--metal", "3g", "--gross", "3g", *PRICE), "exclude each other"),
        (("--gross", "3g", *PRICE), "--gross needs --fineness."),
        (("--metal", "3g", "--fineness", "900‰", *PRICE), "--fineness needs --gross."),
        (("--gross", "3g", "--fineness", "1100‰", *PRICE), "fineness is above 0"),
        (("--metal", "-3g", *PRICE), "not above zero"),
        (("--metal", "<3g", *PRICE), "is a limit"),
        (("--mass", "3kg", *PRICE), "--mass needs --grade."),
        (("--mass", "3kg", "--grade", "3g", *PRICE), "a mass fraction is asked for"),
        (("--metal", "3g", "--price", "80 USD"), "not an amount of money"),
        (("--metal", "3g", "--price", "80 USD/oz"), "ozt"),
        (("--metal", "3g", *PRICE, "--charge", "3 EUR"), "one currency"),
        (("--metal", "3g", *PRICE, "--payable", "120%"), "a payable share is from 1 % to 100 %"),
        (("--metal", "3g", *PRICE, "--second-stage", "120%"), "out of range"),
        (("--season", "3t", "--grade", "1g/t", *PRICE), "--season needs --recovery or --gain."),
        (("--season", "3t", "--grade", "1g/t", "--recovery", "80", *PRICE), "has no unit"),
        (("--season", "3t", "--grade", "1g/t", "--recovery", "120%", *PRICE), "out of range"),
        (("--season", "3t", "--grade", "1g/t", "--gain", "200%", *PRICE), "out of range"),
        (
            ("--season", "3t", "--grade", "1g/t", "--recovery", "95%", "--gain", "8%", *PRICE),
            "only 5 escape",
        ),
        ((*GAIN, "--cost", "0"), "a cost must be"),
        ((*GAIN, "--cost", "5", "--rate", "10%"), "--rate needs --years."),
        ((*GAIN, "--years", "5", "--cost", "5", "--rate", "x"), "is not a share"),
        (("--metal", "3g", "--years", "5", *PRICE), "--years needs --season."),
        (
            ("--metal", "3g", "--price", "1/g", "--refining", "0/g", "--price", "2/g"),
            "more than once",
        ),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_printed(
    run: Any, line: tuple[str, ...], said: str
) -> None:
    outcome = run("value", *line)
    assert (outcome.status, outcome.out) == (2, "")
    assert said in outcome.err
