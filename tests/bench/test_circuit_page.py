"""The circuit editor: every answer checked as typed, stored as entries, and found again."""

import pytest

from assaybench.bench.circuit_model import Model, Spot, where_left
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back
from assaybench.bench.pages.amend import AmendPage
from assaybench.bench.pages.balances import BalancesPage
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.pages.circuit import CircuitPage
from assaybench.bench.pages.guided import GuidedPage
from assaybench.bench.pages.sealing import SealingPage
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.sheet import text_of
from assaybench.logbook.logfile import Row
from assaybench.logbook.settings_fields import Tray
from assaybench.metrology.uncertain import nominal
from assaybench.record.circuit_run import Circuit, circuit_of
from tests.bench.circuit_test_run import (
    FEED,
    GOLD,
    SIEVES,
    SIZES,
    at_the_circuit,
    begun_test,
    cells,
    drawn_test,
)
from tests.bench.hands import FINE, Hands, read_rows, reopened

TRAY = Tray(4, 6)


def marked(hands: Hands) -> str:
    """The line with the mark."""
    return next(text_of(line) for line in hands.sheet.block if text_of(line).startswith(">"))


def last(hands: Hands, kind: str = "circuit") -> dict[str, object]:
    return dict(hands.last(kind).values)


# --- a whole test by keys ------------------------------------------------------------------------


def test_a_test_is_typed_from_the_feed_to_what_was_caught(desk: Desk) -> None:
    """Practice 6.6 by keys: the mark goes on by itself."""
    hands = at_the_circuit(begun_test(desk))
    assert marked(hands).startswith("> feed")
    hands.enter("", "448", "8.0", "")
    assert last(hands) == {"product": "feed", "wet_mass": "448 kg", "water": "8.0 %"}
    assert marked(hands).startswith("> sieves")
    hands.enter("", "1.0 0.25 mm")
    assert last(hands, "method") == {"item": "sieves", "value": "1.0 0.25 mm"}
    for product, metals in GOLD.items():
        for size, metal in zip(SIZES, metals, strict=True):
            assert Model(hands.run.state).missing()[0] == Spot(product, size)
            hands.enter("", f"{metal} +- 0.1", "")
            assert last(hands) == {"product": product, "size": size, "metal": f"{metal} ± 0.1 mg"}
    assert "All is there. Key r shows what was caught, key s signs it." in hands.margin
    hands.press("r")
    assert isinstance(hands.page, CaughtPage)
    assert "58.5      85.5" in hands.text()
    hands.run.close()


def test_a_test_without_sieves_has_one_line(desk: Desk) -> None:
    hands = at_the_circuit(begun_test(desk))
    hands.press("down", "down")
    hands.enter("", "12 +- 0.1", "")
    hands.enter("", "3 +- 0.1", "")
    found = circuit_of(hands.run.results())
    assert isinstance(found, Circuit)
    assert [row.size for row in found.test.rows] == ["all"]
    hands.run.close()


def test_sieves_by_mesh_are_told_in_micrometres(desk: Desk) -> None:
    hands = at_the_circuit(begun_test(desk, FEED))
    hands.press("up", "down")
    hands.enter("", "18 60 mesh")
    assert marked(hands).startswith("> +18 mesh")
    assert "Stayed on 1000 µm." in hands.margin
    hands.press("down")
    assert "Passed 1000 µm, stayed on 250 µm." in hands.margin
    hands.press("down")
    assert "Passed 250 µm." in hands.margin
    hands.run.close()


def test_sizes_stay_coarse_first_in_whatever_order_they_are_typed(desk: Desk) -> None:
    run = begun_test(desk, *reversed(cells()))
    assert Model(run.state).sizes == list(SIZES)
    run.close()


# --- cells ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("answers", "stored"),
    [
        (("186.4 mg +- 5 %", ""), {"metal": "186.4 mg ± 5 %"}),
        (("0,1864 +- 0,0001 g", ""), {"metal": "0,1864 ± 0,0001 g"}),
        (("12.0(2)", "24.6", "10"), {"metal": "12.0(2) mg", "mass": "24.6 g", "portion": "10 g"}),
        (("12 +- 1", "24.6", ""), {"metal": "12 ± 1 mg", "mass": "24.6 g"}),
        (("40 +- 4 g/t", "4.4 kg"), {"grade": "40 ± 4 g/t", "mass": "4.4 kg"}),
    ],
)
def test_gold_is_a_mass_or_a_grade_with_what_it_was_found_in(
    desk: Desk, answers: tuple[str, ...], stored: dict[str, str]
) -> None:
    hands = at_the_circuit(begun_test(desk, SIEVES, FEED))
    hands.enter("", *answers)
    assert last(hands) == {"product": "concentrate", "size": SIZES[0], **stored}
    hands.run.close()


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        (("",), "In mg, such as 186.4 +- 0.9"),
        (("-3",), "-3"),
        (("1.2.3",), "1.2.3"),
        (("12 kg/h",), "kg/h"),
        (("< 3 mg",), "< 3 mg"),
        (("40 +- 4 g/t", ""), "dry mass"),
        (("12", "heavy"), "heavy"),
        (("12", "0"), "0 g"),
        (("12", "5", "x"), "x"),
        (("é",), "é"),
    ],
)
def test_an_answer_that_will_not_do_is_named_and_stores_nothing(
    desk: Desk, answers: tuple[str, ...], said: str
) -> None:
    hands = at_the_circuit(begun_test(desk, SIEVES, FEED))
    before = len(hands.run.entries)
    hands.enter("", *answers)
    assert said in " ".join(hands.margin)
    assert hands.sheet.typing is not None
    assert len(hands.run.entries) == before
    hands.press("escape")
    assert hands.promise.startswith("Enter asks for"), "the question is given up"
    assert len(hands.run.entries) == before
    hands.run.close()


def test_a_cell_is_tied_to_a_sample_that_is_written_down_for_its_place(desk: Desk) -> None:
    hands = at_the_circuit(begun_test(desk, FINE, SIEVES, FEED))
    hands.enter("", "C-1")
    assert hands.promise == "C-1 is new. Its place on the tray (Enter: A1):"
    hands.enter("", "", "")
    assert hands.kinds(3) == ["sample", "position", "circuit"]
    assert last(hands) == {"product": "concentrate", "size": SIZES[0], "sample": "C-1"}
    hands.enter("", "C-2", "B3", "")
    assert last(hands, "position")["place"] == "B3"
    assert "B3" in "\n".join(map(text_of, hands.sheet.block))
    hands.run.close()


def test_a_place_that_is_taken_is_refused_and_one_of_the_tray_is_found(desk: Desk) -> None:
    hands = at_the_circuit(begun_test(desk, FINE, SIEVES, FEED))
    hands.enter("", "C-1", "", "")
    hands.enter("", "C-2", "A1")
    assert "A1" in hands.margin[0]
    hands.press("escape")
    hands.enter("", "A1", "")
    assert last(hands)["sample"] == "C-1", "a place stands for who lives there"
    hands.run.close()


def test_gold_weighed_on_the_tray_is_the_gold_of_its_cell(desk: Desk) -> None:
    rows = [
        FINE,
        ("sample", {"id": "C-1", "role": "sample", "silver": "none"}),
        ("sample", {"id": "C-2", "role": "sample", "silver": "none"}),
        *read_rows("fine", "gold", [("C-1", "12.000"), ("C-2", "3.000")], "mg"),
    ]
    hands = at_the_circuit(begun_test(desk, *rows))
    hands.press("down", "down")
    hands.enter("", "C-1", "", "", "C-2", "")
    found = circuit_of(hands.run.results())
    assert isinstance(found, Circuit)
    hands.press("r")
    assert "80.0" in hands.text()
    hands.run.close()


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


# --- typed anew ----------------------------------------------------------------------------------


def test_what_is_typed_anew_asks_why_and_the_old_one_stays(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press(*["up"] * 5)
    assert marked(hands).startswith("> +1.0 mm")
    hands.enter("", "184.6 +- 0.1", "", "digits swapped")
    assert hands.last().kind == "amendment"
    assert last(hands, "amendment")["reason"] == "digits swapped"
    entry = Model(hands.run.state).entry(Spot("concentrate", SIZES[0]))
    assert entry is not None
    assert entry.text("metal") == "184.6 ± 0.1 mg"
    assert entry.entry.values["metal"] == "186.4 ± 0.1 mg"
    hands.run.close()


def test_a_figure_that_becomes_a_sample_withdraws_the_figure(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press(*["up"] * 5)
    hands.enter("", "C-1", "", "", "weighed again")
    assert hands.kinds(4) == ["sample", "position", "withdrawn", "circuit"]
    entry = Model(hands.run.state).entry(Spot("concentrate", SIZES[0]))
    assert entry is not None
    assert dict(entry.values) == {"product": "concentrate", "size": SIZES[0], "sample": "C-1"}
    hands.run.close()


def test_typing_the_same_again_stores_nothing(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    before = len(hands.run.entries)
    hands.press(*["up"] * 5)
    hands.enter("", "186.4 +- 0.1", "")
    assert len(hands.run.entries) == before
    hands.run.close()


# --- around it -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "page"),
    [
        ("t", TrayPage),
        ("r", CaughtPage),
        ("e", GuidedPage),
        ("s", SealingPage),
        ("b", BalancesPage),
        ("a", AmendPage),
    ],
)
def test_every_letter_leads_to_its_page_and_esc_comes_back(
    desk: Desk, key: str, page: type[object]
) -> None:
    hands = at_the_circuit(drawn_test(desk, FINE))
    hands.press("up", "up", "up", key)
    assert isinstance(hands.page, page)
    hands.press("escape")
    assert isinstance(hands.page, CircuitPage)
    hands.run.close()


def test_a_note_is_kept_and_esc_leaves(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press("n")
    hands.enter("slope 1:8, new mat")
    assert last(hands, "note") == {"text": "slope 1:8, new mat"}
    assert hands.page.act("back") == Back()
    hands.run.close()


def test_a_log_that_takes_no_entries_says_so_and_keeps_the_answer(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.run.close()
    before = len(hands.run.entries)
    hands.enter("", "410.3", "", "<0.333")
    assert "000001.toml is closed." in hands.margin
    assert hands.promise.endswith("<0.333")
    assert len(hands.run.entries) == before


def test_where_the_work_was_left_is_found_again(desk: Desk) -> None:
    run = begun_test(desk)
    assert where_left(run.entries, TRAY, TRAY) == "nothing typed yet"
    run.append_all([SIEVES, FEED, *cells()[:5]])
    assert where_left(run.entries, TRAY, TRAY) == "re-run, -0.25 mm"
    again = reopened(desk, run)
    hands = at_the_circuit(again)
    assert hands.margin[-2].startswith("Next: re-run, -0.25 mm. 1 to type.")
    assert hands.promise == "Enter asks for re-run, -0.25 mm."
    again.append_all(cells()[5:])
    assert where_left(again.entries, TRAY, TRAY) == "products"
    again.close()


def test_every_walk_of_the_mark_stays_on_the_fields(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    for key in ["up"] * 20 + ["right", "left", "left"] + ["down"] * 30 + ["right", "left"]:
        hands.press(key)
        assert marked(hands)
        assert len(hands.sheet.block) <= 19
    hands.run.close()


def test_more_sizes_than_lines_keep_the_mark_in_sight(desk: Desk) -> None:
    sieves = ("method", {"item": "sieves", "value": "8 4 2 1 0.5 0.25 0.125 0.063 mm"})
    hands = at_the_circuit(begun_test(desk, FEED, sieves))
    for _ in range(24):
        assert marked(hands)
        assert len(hands.sheet.block) <= 19
        hands.press("down")
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
