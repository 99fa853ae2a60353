"""The tray at weigh-in and charge: every role asks for what it needs, charges given by Enter."""

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from tests.bench.hands import Hands, sample_rows
from tests.bench.tray_hands import empty

__all__ = ["empty"]


# --- weigh-in ------------------------------------------------------------------------------------


def test_a_sample_is_written_down_with_its_place_and_weighed_at_once(empty: Hands) -> None:
    assert empty.promise == "Enter writes a sample down for A1."
    empty.press("enter")
    empty.enter("KV-016", "")
    assert empty.page.name == "balance"
    empty.type("30.02")
    assert "One grain of 0.1 mm is 0.34 g/t here." in empty.margin
    assert "One division of fine is 0.033 g/t here." in empty.margin
    empty.press("enter")
    assert empty.page.name == "tray"
    assert empty.kinds(3) == ["sample", "position", "reading"]
    assert empty.last("position").values["place"] == "A1"
    assert empty.promise == "Enter writes a sample down for A2."


def test_every_role_asks_for_what_it_needs(empty: Hands) -> None:
    empty.press("enter")
    empty.enter("KV-1", "s")
    empty.press("escape", "enter")
    empty.enter("B-1", "b")
    assert empty.last("sample").values == {"id": "B-1", "role": "blank"}
    empty.press("enter")
    empty.enter("P-1", "p", "1.000")
    # silver that is added at the charge counts as known only when it is in this figure
    assert any("with what is added at the charge" in one for one in empty.margin)
    empty.enter("")
    assert empty.last("sample").values == {"id": "P-1", "role": "proof", "gold_known": "1.000 mg"}
    empty.press("enter")
    empty.enter("KV-1 d", "d", "A1", "f")
    values = {"id": "KV-1 d", "role": "duplicate", "of": "KV-1", "from": "field"}
    assert empty.last("sample").values == values
    empty.press("escape", "enter")
    empty.enter("KV-1 r", "r", "KV-1")
    assert empty.last("sample").values == {"id": "KV-1 r", "role": "sample", "of": "KV-1"}
    empty.press("escape", "enter")
    empty.enter("K-1", "k", "3.2 ± 0.2 g/t")
    assert empty.last("sample").values["role"] == "reference"


def test_a_bad_answer_is_told_in_the_margin_and_stores_nothing(empty: Hands) -> None:
    n = len(empty.run.entries)
    empty.press("enter")
    empty.enter("KV-1", "q")
    assert empty.margin[0].startswith('"q" is no role')
    empty.press("backspace")
    empty.enter("d", "nobody")
    assert empty.margin[0].startswith('"nobody" is no sample')
    empty.press("escape")
    assert len(empty.run.entries) == n


def test_an_id_is_given_once(empty: Hands) -> None:
    empty.press("enter")
    empty.enter("KV-1", "", "30.00")
    empty.press("enter")
    empty.enter("KV-1")
    assert empty.margin[
        0
    ] == '"KV-1" is in this run already, in A1. Give this one another id.'.replace('"', "")


def test_a_sample_is_moved_and_a_taken_place_is_refused(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    empty.press("1", "m")
    empty.enter("A2")
    assert empty.margin[0] == "A2 is the place of KV-2. Move that one first."
    empty.press("backspace", "backspace")
    empty.enter("d6")
    assert empty.last().values == {"sample": "KV-1", "place": "D6", "plan": "muffle"}
    assert empty.page.bracket == (3, 5)


# --- charge --------------------------------------------------------------------------------------


def test_a_charge_is_typed_once_and_given_to_the_others_by_enter(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "B1")))
    empty.press("2", "enter")
    empty.enter("8.000", "30", "K-31 S-2", "litharge", "silver", "lead foil")
    last = empty.last("amendment")
    assert last.values["silver"] == "8.000 mg"
    assert last.values["lead"] == "30 g"
    assert last.values["lots"] == ["K-31", "S-2"]
    assert [e.values["lot"] for e in empty.run.entries if e.kind == "reagent_lot"] == [
        "K-31",
        "S-2",
    ]
    same = "silver 8.000 mg, lead 30 g, lots K-31 S-2, lead foil"
    assert empty.promise == f"Enter gives A2 the same: {same}."
    empty.press("enter")
    assert empty.run.state.samples["KV-2"].text("silver") == "8.000 mg"
    empty.press("enter")
    assert empty.run.state.samples["KV-3"].texts("lots") == ["K-31", "S-2"]
    assert "3 noted, 0 to note." in empty.margin


def test_the_charge_of_the_whole_tray_is_told_and_then_asked_of_one_place(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "B1")))
    empty.press("2", "enter")
    empty.enter("8.000", "-", "-", "")
    empty.press(*["left"] * 8, *["up"] * 5, "enter")
    assert empty.margin[0] == "The whole tray: silver 8.000 mg. Stored."
    assert "Nothing waits at this step. Key 3: fire." in empty.margin
    assert empty.promise == "Enter asks for the charge of A1: silver, lead, lots."


def test_without_a_balance_the_tray_says_where_to_describe_one(desk: Desk) -> None:
    hands = Hands(new_run(desk))
    said = "No balance here weighs charge. Key b: describe one."
    hands.press("enter")
    assert hands.margin == [said]
    hands.press("b", "enter")
    hands.enter("pulp", "0.01 g", "")
    hands.press("escape")
    assert said not in hands.margin


def test_none_and_unknown_are_answers_and_a_row_is_given_its_charge_at_once(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "A3")))
    empty.press("2", "enter")
    empty.enter("n", "-", "-", "")
    assert empty.run.state.samples["KV-1"].text("silver") == "none"
    empty.press("s")
    empty.enter("u", "", "", "")
    assert empty.run.state.samples["KV-2"].text("silver") == "unknown"
    empty.press("left", "left", "left")
    assert empty.promise == "Enter gives row A the same: silver unknown."
    empty.press("enter")
    assert empty.run.state.samples["KV-3"].text("silver") == "unknown"


def test_silver_without_a_figure_is_refused(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    n = len(empty.run.entries)
    empty.press("2", "enter")
    empty.enter("eight")
    assert empty.page.sheet is not None
    assert empty.promise.startswith("Silver added to A1, mg")
    assert len(empty.run.entries) == n
    assert empty.margin[0].startswith('"eight"')


def test_a_long_offer_leaves_room_to_type(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    lots = " ".join(f"LOT-{i:04}" for i in range(12))
    empty.press("2", "enter")
    empty.enter("8.000", "30", lots, *["lead"] * 12, "")
    empty.press("s")
    empty.enter("", "")
    empty.type("K-31")
    assert empty.text().splitlines()[22].rstrip("_").endswith("K-31")
