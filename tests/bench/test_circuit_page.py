"""The circuit editor: a whole test by keys, cells, what is typed anew, and the walk over it."""

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
from assaybench.logbook.settings_fields import Tray
from assaybench.record.circuit_run import Circuit, circuit_of
from tests.bench.circuit_hands import last, marked
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
from tests.bench.hands import FINE, read_rows, reopened

TRAY = Tray(4, 6)


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
