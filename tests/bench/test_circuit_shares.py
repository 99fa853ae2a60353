"""The circuit editor: feed, tailings, shares, grains, and beads that were weighed together."""

import pytest

from assaybench.bench.circuit_model import Model, Spot
from assaybench.bench.desk import Desk
from assaybench.logbook.logfile import Row
from assaybench.metrology.uncertain import nominal
from assaybench.record.circuit_run import Circuit, circuit_of
from tests.bench.circuit_hands import last, marked
from tests.bench.circuit_test_run import (
    FEED,
    GOLD,
    SIEVES,
    SIZES,
    at_the_circuit,
    begun_test,
    drawn_test,
)

# --- feed, tailings, shares, grains --------------------------------------------------------------


@pytest.mark.parametrize(
    ("answers", "stored"),
    [
        (("448 +- 1", "8.0", ""), {"wet_mass": "448 ± 1 kg", "water": "8.0 %"}),
        (("412.2", "", "1.4 +- 0.2"), {"mass": "412.2 kg", "grade": "1.4 ± 0.2 g/t"}),
        (("0.448 t", "8 %", ""), {"wet_mass": "0.448 t", "water": "8 %"}),
        (("", "1.4 +- 0.2"), {"grade": "1.4 ± 0.2 g/t"}),
    ],
)
def test_the_feed_is_wet_with_its_water_or_dry(
    desk: Desk, answers: tuple[str, ...], stored: dict[str, str]
) -> None:
    hands = at_the_circuit(begun_test(desk))
    hands.enter("", *answers)
    assert last(hands) == {"product": "feed", **stored}
    hands.run.close()


def test_the_dry_mass_of_a_wet_feed_is_told(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press(*["up"] * 8)
    assert marked(hands).startswith("> feed")
    assert "Dry: 412.2 kg." in hands.margin
    hands.run.close()


@pytest.mark.parametrize(
    ("answers", "stored"),
    [
        (("410.3", "", "<0.333"), {"mass": "410.3 kg", "grade": "<0.333 g/t"}),
        (("410.3", "", "0.4 +- 0.1"), {"mass": "410.3 kg", "grade": "0.4 ± 0.1 g/t"}),
        (("446", "8", ""), {"wet_mass": "446 kg", "water": "8 %"}),
        (("", "137 +- 20 mg"), {"metal": "137 ± 20 mg"}),
    ],
)
def test_tailings_are_weighed_assayed_or_both(
    desk: Desk, answers: tuple[str, ...], stored: dict[str, str]
) -> None:
    hands = at_the_circuit(drawn_test(desk))
    assert marked(hands).startswith("> final tailings")
    hands.enter("", *answers)
    assert last(hands) == {"product": "tailings", **stored}
    assert isinstance(circuit_of(hands.run.results()), Circuit)
    hands.run.close()


def test_an_assay_of_the_tailings_needs_their_mass(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    before = len(hands.run.entries)
    hands.enter("", "", "<0.333")
    assert "mass" in hands.margin[0]
    hands.press(*["backspace"] * 6)
    hands.enter("")
    assert "Type their mass, their assay, or both." in hands.margin[0]
    assert len(hands.run.entries) == before
    hands.run.close()


def test_shares_of_the_whole_test_are_kept_with_the_feed_and_added_without_a_reason(
    desk: Desk,
) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press("down", "down", "down")
    assert marked(hands).startswith("> run again")
    hands.enter("", "50")
    model = Model(hands.run.state)
    assert model.share("rerun_share") == "50 %"
    feed = model.entry(Spot("feed"))
    assert feed is not None
    assert feed.text("wet_mass") == "448 kg"
    found = circuit_of(hands.run.results())
    assert isinstance(found, Circuit)
    assert found.test.rerun_share == 0.5
    hands.run.close()


def test_mats_and_middlings_take_a_mass_of_gold(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press("down", "down")
    hands.enter("", "4 +- 0.1")
    assert last(hands) == {"product": "mats", "metal": "4 ± 0.1 mg"}
    hands.press("down")
    hands.enter("", "")
    assert "its gold" in hands.margin[0]
    hands.run.close()


def test_a_heap_is_named_and_run_again_by_its_name(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.enter("", "410.3", "", "<0.333")
    hands.press(*["down"] * 7)
    assert marked(hands).startswith("> kept as heap")
    hands.enter("", "heap A")
    assert hands.kinds(2) == ["sample", "amendment"]
    assert Model(hands.run.state).sample_of(Spot("tailings")) == "heap A"
    assert isinstance(circuit_of(hands.run.results()), Circuit)
    hands.press("up", *["down"] * 9)
    assert marked(hands).startswith("> feed from heap")
    hands.enter("", "heap D")
    hands.press(*["up"] * 20)
    hands.enter("", "450", "8.0", "", "weighed again")
    feed = Model(hands.run.state).entry(Spot("feed"))
    assert feed is not None
    assert (feed.text("sample"), feed.text("wet_mass")) == ("heap D", "450 kg")
    assert marked(hands).startswith("> final tailings")
    hands.enter("", "400", "", "0.3 +- 0.1", "assayed again")
    assert Model(hands.run.state).sample_of(Spot("tailings")) == "heap A"
    hands.run.close()


def test_grains_are_counted_for_a_size_with_the_largest(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press("up", "up", "up")
    hands.press("g")
    hands.enter("22", "0.6")
    values = {"product": "concentrate", "size": "-0.25 mm", "count": 22, "largest": "0.6 mm"}
    assert last(hands, "grains") == values
    assert marked(hands).startswith("> -0.25 mm"), "the mark stays"
    assert "Grains counted by eye: 22, 0.6 mm." in hands.margin
    hands.press("g")
    hands.enter("-1")
    assert "-1" in hands.margin[0]
    hands.run.close()


def test_sizes_that_do_not_add_up_to_their_product_are_told(desk: Desk) -> None:
    masses = [
        ("circuit", {"product": p, "size": s, "metal": "9 ± 0.1 mg" if p == "concentrate"
                     else "2 ± 0.1 mg", "mass": "100 g"})
        for p in GOLD for s in SIZES
    ]  # fmt: skip
    hands = at_the_circuit(begun_test(desk, SIEVES, FEED, *masses))
    hands.press("up", "up")
    assert marked(hands).startswith("> all, weighed")
    hands.enter("", "400")
    assert last(hands) == {"product": "concentrate", "mass": "400 g"}
    assert any("sizes add up to 300 g" in text for text in hands.margin)
    hands.run.close()


# --- final tailings by size ----------------------------------------------------------------------


def test_tailings_are_assayed_size_by_size_where_that_is_asked_for(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    assert not any(line.startswith("     +1.0 mm") for line in hands.text().splitlines())
    hands.press("enter")
    assert any("Assayed by size? Type: sizes" in said for said in hands.margin)
    hands.enter("sizes", "120", "", "<0.01")
    values = {"product": "tailings", "size": "+1.0 mm", "mass": "120 kg", "grade": "<0.01 g/t"}
    assert last(hands) == values
    assert marked(hands).startswith(">  -1.0 +0.25 mm")
    hands.enter("", "150", "", "0.12 +- 0.04")
    assert any(
        said.startswith("The final tailings, -0.25 mm, have no assay, other sizes have.")
        for said in hands.margin
    ), "one size still waits"
    assert marked(hands).startswith(">  -0.25 mm")
    hands.enter("", "140", "", "0.80 +- 0.10")
    found = circuit_of(hands.run.results())
    assert isinstance(found, Circuit)
    assert all(part.by("closed") is not None for part in found.result.sizes)
    hands.run.close()


def test_tailings_are_not_assayed_whole_and_by_size(desk: Desk) -> None:
    whole = ("circuit", {"product": "tailings", "mass": "410 kg", "grade": "0.4 ± 0.1 g/t"})
    hands = at_the_circuit(drawn_test(desk, whole))
    hands.enter("", "sizes", "120", "")
    hands.refused("0.1 +- 0.1", "The final tailings were assayed already")
    hands.press("escape")
    hands.run.close()


# --- beads weighed together ----------------------------------------------------------------------


def test_beads_that_were_weighed_together_stand_for_the_final_tailings(desk: Desk) -> None:
    """0.300 mg gold of three charges of 30 g: 3.33 g/t, and 1367.7 mg in 410.3 kg."""
    balances = [
        ("balance", {"name": "pulp", "step": "0.01 g", "spread": "0.01 g", "weighs": ["charge"]}),
        ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.001 mg",
                     "weighs": ["gold"]}),
    ]  # fmt: skip
    charges = [f"T{i}" for i in (1, 2, 3)]
    rows: list[Row] = [*balances]
    rows += [("sample", {"id": name, "role": "sample"}) for name in charges]
    rows.append(("pool", {"id": "T-all", "samples": charges, "what": "gold"}))
    rows += [
        ("reading", {"sample": name, "what": "charge", "text": "30.00", "unit": "g",
                     "balance": "pulp"})
        for name in charges
    ]  # fmt: skip
    rows += [
        ("reading", {"what": "zero", "text": "0.000", "unit": "mg", "balance": "fine"}),
        ("reading", {"sample": "T-all", "what": "gold", "text": "0.300", "unit": "mg",
                     "balance": "fine"}),
    ]  # fmt: skip
    hands = at_the_circuit(drawn_test(desk, *rows))
    hands.enter("", "410.3", "", "T-all")
    assert last(hands) == {"product": "tailings", "mass": "410.3 kg", "sample": "T-all"}
    found = circuit_of(hands.run.results())
    assert isinstance(found, Circuit)
    assert found.test.tailings is not None
    held = nominal(found.test.tailings.weighed_mg)
    assert held == pytest.approx(0.3 / 90 * 410.3e3)
    hands.run.close()
