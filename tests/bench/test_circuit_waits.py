"""What a circuit test waits for, in the words of the bench; portions held against charges."""

import pytest

from assaybench.bench.circuit_model import OTHERS, STAGES, Model, Spot
from assaybench.bench.circuit_waits import portions, waits
from assaybench.bench.desk import Desk
from assaybench.bench.page import Room
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.pages.circuit import CircuitPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from assaybench.logbook.logfile import Row
from assaybench.record.kinds import PRODUCTS
from tests.bench.circuit_test_run import FEED, at_the_circuit, begun_test, drawn_test
from tests.bench.hands import FINE, PULP, read_rows, sample_rows

TIED: tuple[Row, ...] = (
    ("circuit", {"product": "concentrate", "sample": "C-1", "mass": "120 g"}),
    ("circuit", {"product": "rerun", "sample": "R-1", "mass": "45 g"}),
)


def tied(desk: Desk, *more: Row) -> RunLog:
    places = sample_rows(("C-1", "A1"), ("R-1", "A2"), silver="none")
    return begun_test(desk, FINE, PULP, FEED, *places, *TIED, *more)


def gold(*samples: str) -> list[Row]:
    return read_rows("fine", "gold", [(sample, "1.200") for sample in samples], "mg")


def test_cupels_that_are_not_weighed_are_counted_and_the_first_is_named(desk: Desk) -> None:
    run = tied(desk)
    assert waits(run) == [
        "The gold of 2 cupels is not weighed yet, A1 first.\nKey t goes to the tray."
    ]
    run.append_all(gold("C-1"))
    assert waits(run) == ["The gold of A2 is not weighed yet. Key t goes to the tray."]
    page = CaughtPage(run)
    assert page.faults == tuple(waits(run))
    assert at_the_circuit(run).margin[-1:] != []
    run.append_all(gold("R-1"))
    assert waits(run) == []
    page.come_back()
    assert page.faults == ()
    run.close()


def test_no_sentence_of_the_bench_asks_for_a_line_of_a_sheet(desk: Desk) -> None:
    run = tied(desk)
    for page in (CircuitPage(run), CaughtPage(run)):
        said = " ".join(at_the_circuit(run, page).margin)
        assert "metal =" not in said
        assert "not weighed yet" in said
    run.close()


def test_a_cupel_that_was_lost_asks_for_another(desk: Desk) -> None:
    run = tied(desk, *gold("R-1"))
    n = next(e.n for e in run.entries if e.values.get("id") == "C-1")
    run.append("amendment", {"entry": n, "lost": "spilt", "reason": "spilt"})
    (said,) = waits(run)
    assert said.startswith("A1 was lost: no gold of stage 1 follows from it.")
    run.close()


def test_the_key_of_the_seal_comes_when_nothing_waits(desk: Desk) -> None:
    run = tied(desk)
    assert "seal" not in at_the_circuit(run).sheet.keys
    run.append_all(gold("C-1", "R-1"))
    assert "seal" in at_the_circuit(run).sheet.keys
    run.close()


@pytest.mark.parametrize(
    ("charge", "portion", "said"),
    [
        ("30.00", "", "A1: 30 g was weighed in, of 120 g, and no portion is typed."),
        ("30.00", "25 g", "A1: 30 g was weighed in, and the portion typed is 25 g."),
        ("30.00", "30 g", ""),
        ("120.00", "", ""),
    ],
)
def test_a_portion_is_held_against_the_charge(
    desk: Desk, charge: str, portion: str, said: str
) -> None:
    run = tied(desk, *gold("C-1", "R-1"), *read_rows("pulp", "charge", [("C-1", charge)], "g"))
    if portion:
        n = next(e.n for e in run.entries if e.values.get("product") == "concentrate")
        run.append("amendment", {"entry": n, "portion": portion, "reason": "typed late"})
    found = portions(run)
    assert len(found) == bool(said)
    assert all(one.startswith(said) for one in found)
    assert at_the_circuit(run, CaughtPage(run)).margin[0].startswith(said)
    run.close()


def test_the_charge_that_was_weighed_in_is_offered_as_the_portion(desk: Desk) -> None:
    run = tied(desk, *read_rows("pulp", "charge", [("C-1", "30.02")], "g"))
    hands = at_the_circuit(run)
    hands.press("up", "up")
    hands.enter("", "C-1", "120")
    assert hands.promise == "Portion cupelled of it, g (Enter: 30.02 g, as weighed in):"
    hands.enter("")
    entry = Model(run.state).entry(Spot("concentrate"))
    assert entry is not None
    assert entry.text("portion") == "30.02 g"
    run.close()


def test_the_editor_has_a_line_for_every_product_of_the_record(desk: Desk) -> None:
    run = drawn_test(desk)
    assert {"feed", *STAGES, *OTHERS} == set(PRODUCTS)
    hands = at_the_circuit(run)
    block = [text_of(one) for one in hands.sheet.block]
    words = [Spot(name).words for name in OTHERS]
    assert len(set(words)) == len(words)
    for label in ("stage-1 tails", "final tailings", "middlings", "mats"):
        assert any(one[2:].startswith(label) for one in block)
    assert block[0].startswith("  feed"), "three sizes fit on one page"
    run.close()


def test_stage_1_tailings_take_a_mass_and_an_assay(desk: Desk) -> None:
    run = drawn_test(desk)
    hands = at_the_circuit(run)
    hands.press("up")
    hands.press("enter")
    assert hands.promise == "Mass of the stage-1 tailings, kg (Enter: not weighed):"
    hands.enter("411", "", "0.9 +- 0.1")
    values = {"product": "stage-1 tailings", "mass": "411 kg", "grade": "0.9 ± 0.1 g/t"}
    assert dict(hands.last("circuit").values) == values
    run.close()


def test_what_the_next_run_may_give_follows_from_the_grains_that_were_counted(desk: Desk) -> None:
    rows: list[Row] = [
        ("circuit", {"product": "concentrate", "metal": "8.0 ± 0.1 mg"}),
        ("circuit", {"product": "rerun", "metal": "2.0 ± 0.1 mg"}),
    ]
    run = begun_test(desk, *rows)
    high = Room(block_lines=35, margin_width=40)
    assert any("Count them (key g" in str(said) for said in CaughtPage(run).sheet(high).margin)
    counted = zip(STAGES, (80, 20), strict=True)
    run.append_all([("grains", {"product": product, "count": n}) for product, n in counted])
    margin = [" ".join(str(one).split()) for one in CaughtPage(run).sheet(high).margin]
    said = next(one for one in margin if "grains" in one)
    # Clopper and Pearson's limits for 80 of 100: 70.82 to 87.33 %
    assert said == (
        "100 grains were counted in both catches. The next run draws other grains: "
        "its figure at most may be 71 to 87 %."
    )
    run.close()


def test_the_margin_says_which_layer_the_doubt_is_of(desk: Desk) -> None:
    typed = at_the_circuit(drawn_test(desk))
    typed.press("r")
    assert any(said.startswith("By weighing alone at most ±") for said in typed.margin)
    typed.run.close()
    run = tied(desk, *read_rows("fine", "gold", [("C-1", "12.000"), ("R-1", "3.000")], "mg"))
    assayed = at_the_circuit(run, CaughtPage(run))
    assert any(said.startswith("The assay alone adds ±") for said in assayed.margin)
    run.close()


# --- cuts of the tailings -------------------------------------------------------------------------


def test_several_cuts_count_with_their_mean_and_scatter_and_each_stays_in_the_log(
    desk: Desk,
) -> None:
    """0.42, 0.38, 0.55: mean 0.45, s 0.0889, t 4.303, so U is 4.303 × 0.0889/√3 = 0.22 g/t."""
    run = drawn_test(desk)
    hands = at_the_circuit(run)
    hands.enter("", "410.3", "", "0.42 0.38 0.55")
    values = {"product": "tailings", "mass": "410.3 kg", "grade": "0.45 ± 0.22 g/t"}
    assert dict(hands.last("circuit").values) == values
    note = str(hands.last("note").values["text"])
    assert note.startswith("3 cuts of the final tailings were assayed: 0.42 0.38 0.55.")
    assert "equal in mass" in note
    run.close()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("0.42 0.42", "no ± follows from their scatter"),
        ("0.42 0.x", '"x" is not a unit here'),
        ("0.42 0.38 kg", "kg"),
    ],
)
def test_cuts_that_will_not_do_are_named_and_store_nothing(
    desk: Desk, typed: str, said: str
) -> None:
    run = drawn_test(desk)
    hands, before = at_the_circuit(run), len(run.entries)
    hands.enter("", "410.3", "", typed)
    assert said in " ".join(hands.margin)
    assert hands.sheet.typing is not None
    assert len(run.entries) == before
    hands.press(*["backspace"] * 20)
    hands.enter("0.4 +- 0.1")
    assert dict(hands.last("circuit").values)["grade"] == "0.4 ± 0.1 g/t"
    assert not run.state.of("note"), "an answer that was refused leaves nothing behind"
    run.close()


def test_cuts_may_carry_their_unit(desk: Desk) -> None:
    run = drawn_test(desk)
    hands = at_the_circuit(run)
    hands.enter("", "410.3", "", "0.42 g/t 0.38 g/t")
    assert dict(hands.last("circuit").values)["grade"] == "0.40 ± 0.25 g/t"
    run.close()
