"""The guided path: two catches and a cheap scale, and what such a scale cannot show."""

import pytest

from assaybench.bench.circuit_model import Model
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Instead
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.pages.guided import GuidedPage
from assaybench.bench.sheet import text_of
from assaybench.record.circuit_run import Circuit, circuit_of
from tests.bench.circuit_test_run import at_the_circuit, begun_test, drawn_test
from tests.bench.hands import Hands, reopened

ANSWERS = ("0.01", "", "", "400", "0.00", "0.49", "0.49", "0.08", "0.08")
TRADE = ("assay ", "tailings", "recovery", "concentrate", "cupel", "doré", "fineness", "critical",
         "bead", "moisture", "portion", "mesh", "g/t", "head", "re-run", "metal =")  # fmt: skip
"""Words that the path does without."""


def on_the_path(desk: Desk, *answers: str) -> Hands:
    hands = at_the_circuit(begun_test(desk))
    hands.press("e")
    if answers:
        hands.enter(*answers)
    return hands


def told(hands: Hands) -> str:
    """The block as one paragraph."""
    return " ".join(" ".join(map(text_of, hands.sheet.block)).split())


def test_nine_short_answers_give_a_result(desk: Desk) -> None:
    hands = on_the_path(desk, *ANSWERS)
    assert len(hands.pressed) < 40, "a few dozen keys, well under ten minutes"
    assert "You caught 0.49 g in the first run, and 0.08 g in the second." in told(hands)
    assert "at most 86 parts in 100 of the gold" in told(hands)
    assert "the first caught 84 parts in 100" in told(hands)
    assert "use a finer scale" in told(hands)
    assert "measure the gold in samples of what came out last" in told(hands)
    assert len(hands.sheet.block) <= 19
    hands.run.close()


def test_the_result_is_that_of_the_page_with_figures(desk: Desk) -> None:
    hands = on_the_path(desk, *ANSWERS)
    found = circuit_of(hands.run.results())
    assert isinstance(found, Circuit)
    most = found.result.total.by("at most")
    assert most is not None
    assert most.figure.value == pytest.approx(100 * 0.49 / 0.57)
    hands.press("enter")
    assert hands.page.name == "caught"
    assert "86.0" in hands.text()
    hands.press("escape")
    assert hands.page.name == "circuit"
    hands.run.close()


def test_what_the_scale_cannot_show_is_said_with_its_figures(desk: Desk) -> None:
    hands = on_the_path(desk, *ANSWERS)
    assert hands.margin == [
        "Your scale goes in steps of 0.01 g.",
        "Gold of less than 0.013 g may lie on it unseen.",
        "The first catch is 49 of its steps: 0.482 g to 0.498 g.",
        "The second catch is 8 of its steps: 0.072 g to 0.088 g.",
        "How well it repeats, and which grains a run happens to catch, is not in it.",
    ]
    hands.run.close()


def test_a_second_catch_that_the_scale_does_not_feel_is_no_proof(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01", "", "", "", "0.00", "0.49", "", "0.00", "")
    assert "The scale cannot feel the second catch." in told(hands)
    assert "no proof that little was lost" in told(hands)
    assert "The second catch: your scale cannot tell it from nothing." in hands.margin
    hands.run.close()


def test_a_second_catch_like_the_first_gives_no_figure_for_the_loss(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01", "", "", "", "0.00", "0.10", "", "0.11", "")
    assert "how much cannot be said from two catches" in told(hands)
    hands.run.close()


def test_parted_gold_needs_no_guess_of_its_purity(desk: Desk) -> None:
    hands = on_the_path(desk, "0.001 g", "p", "", "", "0.490", "", "0.080", "")
    kinds = [(e.kind, e.values.get("what")) for e in hands.run.entries if e.kind == "reading"]
    assert kinds == [("reading", "gold")] * 2
    assert not any("fineness_spread" in e.values for e in hands.run.entries)
    assert "You caught 0.49 g" in told(hands)
    hands.run.close()


def test_a_fine_scale_is_asked_for_in_its_own_unit(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01 mg", "p", "", "")
    assert hands.promise == "Gold of the first run on the scale, mg:"
    hands.enter("486.40 mg", "", "82.60", "")
    assert "You caught 486.4 mg in the first run, and 82.6 mg in the second." in told(hands)
    assert "Your scale goes in steps of 0.01 mg." in hands.margin
    hands.run.close()


def test_no_word_of_the_trade_stands_alone(desk: Desk) -> None:
    hands = on_the_path(desk)
    seen = ""
    for answer in (*ANSWERS, None):
        seen += hands.promise + " ".join(hands.margin) + told(hands)
        if answer is not None:
            hands.enter(answer)
    assert [word for word in TRADE if word in seen] == []
    assert "an assay)" in seen, "the one word is explained where it stands"
    hands.run.close()


def test_safety_words_stand_at_the_first_questions(desk: Desk) -> None:
    hands = on_the_path(desk)
    assert any("mercury: never heat it" in text for text in hands.margin)
    hands.enter("0.01")
    assert any("Your local rules decide." in text for text in hands.margin)
    hands.run.close()


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        (("fine",), "fine"),
        (("0",), '"0" is no step of a scale.'),
        (("",), "If it goes 0.01"),
        (("0.01", "perhaps"), '"perhaps" is no answer here: type p'),
        (("0.01", "", "much"), "much"),
        (("0.01", "", "", "-4"), '"-4" is no mass above zero. Type kilograms'),
        (("0.01", "", "", "", "nil"), "nil"),
        (("0.01", "", "", "", "0.00", ""), "Type all that the scale shows"),
        (("0.01", "", "", "", "0.00", "0.4.9"), '"0.4.9" is not what a scale shows.'),
        (("0.01", "", "", "", "0.00", "490 mg"), "Type the number alone, in g."),
    ],
)
def test_an_answer_that_will_not_do_is_named_and_asked_again(
    desk: Desk, answers: tuple[str, ...], said: str
) -> None:
    hands = on_the_path(desk, *answers[:-1])
    hands.refused(answers[-1], said)
    hands.run.close()


def test_a_slip_is_asked_about_before_it_is_stored(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01", "", "", "", "0.00", "0.49", "0.94")
    assert hands.promise == "Please look again. Type what you see now:"
    hands.enter("0.49")
    assert hands.last("asked").values["typed"] == "0.94"
    assert hands.last("reading").values["text"] == "0.49"
    hands.run.close()


def test_every_answer_is_on_the_disk_and_the_path_goes_on_where_it_was_left(desk: Desk) -> None:
    hands = on_the_path(desk, *ANSWERS[:7])
    prompt = hands.promise
    assert hands.page.act("back") == Back()
    run = reopened(desk, hands.run)
    page = GuidedPage(run)
    again = at_the_circuit(run, page)
    assert again.promise.startswith("Scale empty."), "a new session has a zero of its own"
    again.enter("0.00")
    assert again.promise == prompt
    again.enter("0.08", "")
    outcome = page.act("enter")
    assert isinstance(outcome, Instead)
    assert isinstance(outcome.page, CaughtPage)
    run.close()


def test_gold_that_was_typed_in_the_editor_is_not_asked_for(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press("e")
    assert hands.sheet.typing is None
    assert hands.margin == ["The gold was typed on the page before; this page asks no more."]
    assert "at most 85 parts in 100" in told(hands)
    hands.run.close()


def test_an_answer_before_is_typed_anew_with_arrow_up(desk: Desk) -> None:
    hands = on_the_path(desk, *ANSWERS[:6])
    hands.press("up")
    assert hands.promise == "first catch, now 0.49 g. Right is (Enter: as it is):"
    hands.enter("0,94")
    assert hands.last("amendment").values["text"] == "0,94"
    assert hands.promise.startswith("Off and on again, first catch."), "the question goes on"
    hands.press("up", "up", "up")
    assert hands.promise == "material you ran, now 400 kg. Right is (Enter: as it is):"
    hands.enter("nothing")
    assert '"nothing" is no mass above zero.' in hands.margin[0]
    hands.press(*["backspace"] * 7)
    hands.enter("300")
    hands.enter("0.94", "0.08", "0.08")
    assert "You caught 0.94 g in the first run, and 0.08 g in the second." in told(hands)
    hands.press("up")
    hands.enter("")
    assert "0.08 g in the second" in told(hands), "Enter alone leaves it as it is"
    assert hands.sheet.typing is None
    hands.run.close()


def test_there_is_nothing_before_the_first_answer(desk: Desk) -> None:
    hands = on_the_path(desk)
    hands.press("up")
    assert "No answer stands before this one." in hands.margin
    assert hands.promise.startswith("Smallest step")
    hands.run.close()


def test_a_scale_that_is_too_coarse_is_said_first(desk: Desk) -> None:
    few = ("0.01", "", "", "400", "0.00", "0.03", "0.03", "0.02", "0.02")
    hands = on_the_path(desk, *few)
    said = "This scale cannot show it: from 5 to 70 parts in 100 are possible"
    assert said in told(hands)
    assert told(hands).index(said) < told(hands).index("at most 60 parts")
    assert len(hands.sheet.block) <= 19, "nothing is cut off at 24 lines"
    assert "mixed well (an assay)." in " ".join(hands.text().split())
    hands.run.close()


def test_more_steps_than_a_hundred_keep_their_last_digit(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01", "p", "400", "0.00", "12.34", "12.34", "3.21", "3.21")
    assert "You caught 12.34 g in the first run, and 3.21 g in the second." in told(hands)
    assert "The first catch is 1234 of its steps: 12.332 g to 12.348 g." in hands.margin
    hands.run.close()


def test_an_empty_scale_that_shows_much_is_asked_about(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01", "p", "400", "5")
    assert hands.promise == "Please look again. Type what you see now:"
    assert hands.margin[0].startswith("Empty, it shows 5 g: take everything off")
    hands.enter("0.00")
    assert hands.last("reading").values["text"] == "0.00"
    assert hands.promise.startswith("Gold of the first run")
    hands.run.close()


def test_what_no_scale_felt_is_no_amount(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01", "p", "400", "0.00", "1.23", "1.23", "0.00", "0.00")
    assert "and less than the scale can feel in the second." in told(hands)
    assert "That is no proof that little was lost." in told(hands)
    hands.run.close()


def test_the_contents_call_it_by_its_name(desk: Desk) -> None:
    hands = on_the_path(desk, *ANSWERS)
    muffle, cups = desk.settings.tray, desk.settings.cups
    assert Model(hands.run.state).where(muffle, cups) == "step by step"
    hands.press("escape")
    assert "Key e has what follows in plain words." in hands.margin
    hands.run.close()


def test_a_scale_that_does_not_say_the_same_again_is_told_in_plain_words(desk: Desk) -> None:
    hands = on_the_path(desk, "0.01", "", "", "400", "0.00", "0.49", "0.51")
    assert hands.margin[0].startswith(
        "The scale showed two things for the first catch: 0.49 g, 0.51 g."
    )
    hands.enter("0.08", "0.08")
    assert "showed two things for the first catch: 0.49 g, 0.51 g." in told(hands)
    assert not any(word in hands.text().lower() for word in TRADE)
    assert not any("of its steps" in said for said in hands.margin if "first" in said)
    hands.press("up", "up", "up")
    hands.enter("0.49")
    assert "You caught 0.49 g in the first run, and 0.08 g in the second." in told(hands)
    hands.run.close()
