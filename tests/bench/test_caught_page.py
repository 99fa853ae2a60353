"""Page 5: what was caught, as drawn; a size chosen, a catch supposed, words for all of it."""

import re
from itertools import pairwise

import pytest

from assaybench.bench import caught_lines
from assaybench.bench.caught_lines import shown
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from assaybench.logbook.logfile import Row
from assaybench.record.circuit_run import Circuit, circuit_of
from tests.bench.circuit_test_run import FEED, SIEVES, at_the_circuit, begun_test, cells, drawn_test
from tests.bench.drawn import CAUGHT
from tests.bench.hands import FINE, Hands


def on_page_5(run: RunLog) -> Hands:
    return at_the_circuit(run, CaughtPage(run))


def tailings(**values: str) -> Row:
    return ("circuit", {"product": "tailings", **values})


def block(hands: Hands) -> list[str]:
    return [text_of(line).rstrip() for line in hands.sheet.block]


def row(hands: Hands, name: str) -> str:
    return next(line for line in block(hands) if line[2:].startswith(name))


def drawing(hands: Hands, name: str) -> str:
    """What stands on the rule of 0 to 100 %."""
    rules = [one for one in block(hands) if not set(one[13:]) - set(" .├─┤┼+")]
    return next(one[13:] for one in rules if one[2:].startswith(name))


# --- as drawn ------------------------------------------------------------------------------------


def test_the_page_is_the_one_that_was_drawn(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk, doubt="± 0.08 mg"))
    drawn = [text_of(line).rstrip() for line in CAUGHT.block]
    assert block(hands)[: len(drawn)] == drawn
    assert block(hands)[len(drawn) :] == [
        "", "  head built up, dry  . . at least 1.3805 ± 0.0018 g/t"
    ]  # fmt: skip
    drawn = [str(text).replace("\n", " ") for text in CAUGHT.margin]
    assert drawn[-1] == "Weighing adds ± 0.3 points or less."
    assert hands.margin == [*drawn[:-1], "By weighing alone at most ± 0.3 points."]
    assert hands.promise == CAUGHT.promise
    hands.run.close()


@pytest.mark.parametrize("keys", ["", "d", "ddd", "dddd"])
def test_the_margin_of_24_lines_is_eighteen_lines_at_most(desk: Desk, keys: str) -> None:
    for more in ([], [tailings(mass="410.3 kg", grade="<0.333 g/t")]):
        hands = on_page_5(drawn_test(desk, *more))
        hands.press(*("down" for _ in keys))
        lines = [row[58:].strip() for row in hands.text().splitlines()[2:21]]
        assert lines[0]
        assert lines[18] == ""
        hands.run.close()


def test_every_part_of_the_page_is_named_in_the_drawn_order(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk))
    page = hands.text()
    places = [page.index(word) for word in ("WHAT WAS CAUGHT", "486.4 mg", "gold by", "100")]
    assert places == sorted(places)
    assert "Look at -0.25 mm." in page.splitlines()[2]
    hands.run.close()


def test_six_six_by_its_numbers(desk: Desk) -> None:
    """Practice 6.6: 85.5 % at most, 58.5 % if alike, never the 83.0 % of the pooled sums."""
    hands = on_page_5(drawn_test(desk))
    assert row(hands, "all").split() == ["all", "486.4", "82.6", "58.5", "85.5"]
    assert row(hands, "+1.0").split() == ["+1.0", "186.4", "2.1", "98.9", "98.9"]
    assert "83.0" not in hands.text()
    hands.run.close()


# --- a size chosen -------------------------------------------------------------------------------


def test_arrows_choose_a_size_and_the_margin_speaks_of_it(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk))
    assert not any(line.startswith(">") for line in block(hands))
    hands.press("down", "down")
    assert [line[:12] for line in block(hands) if line.startswith(">")] == ["> -1.0 +0.25"] * 2
    assert hands.margin[0].startswith("-1.0 +0.25 mm: stage 1 loses 31.5 to 36.2 mg")
    assert "Recovery of -1.0 +0.25 mm is 88.5 % at most: then stage 2 missed none." in hands.margin
    hands.press("up")
    assert hands.press("up").bell
    hands.press("down", "down", "down")
    assert row(hands, "all").startswith("> all")
    assert hands.press("down").bell
    hands.run.close()


def test_up_from_nothing_chosen_goes_to_the_last_line(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk))
    hands.press("up")
    assert row(hands, "all").startswith("> all")
    hands.run.close()


# --- supposing -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("catch", "recovery"), [("90", "84.1"), ("70", "80.5"), ("50 %", "74.6")])
def test_a_supposed_catch_sets_a_plus_on_each_line(desk: Desk, catch: str, recovery: str) -> None:
    """Practice 6.6: 90, 70, 50 % give 84.1, 80.5, 74.6 %."""
    hands = on_page_5(drawn_test(desk))
    entries = len(hands.run.entries)
    hands.press("s")
    assert hands.promise == "Stage 2 catches, % of what it is fed:"
    hands.enter(catch)
    every = ("+1.0", "-1.0 +0.25", "-0.25", "all")
    assert all("+" in drawing(hands, name) for name in every)
    assert drawing(hands, "all").index("+") == round(float(recovery) / 2.5)
    said = re.search(r"recovery of all is ([0-9.]+) ±", hands.margin[0])
    assert said is not None
    assert round(float(said[1]), 1) == float(recovery)
    assert len(hands.run.entries) == entries, "nothing is stored"
    hands.press("s")
    hands.enter("")
    assert not any("+" in drawing(hands, name) for name in every)
    hands.run.close()


def test_a_catch_that_is_none_is_told_and_the_question_stands(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk))
    hands.press("s")
    hands.enter("0")
    assert "the catch of stage 2" in hands.margin[0]
    hands.press("backspace")
    hands.enter("120")
    assert "the catch of stage 2" in hands.margin[0]
    hands.press("escape")
    assert hands.promise == CAUGHT.promise
    hands.run.close()


def test_a_stated_catch_stands_on_the_lines_from_the_log(desk: Desk) -> None:
    feed: Row = ("circuit", {"product": "feed", "mass": "400 kg", "second_stage": "70 %"})
    hands = on_page_5(begun_test(desk, SIEVES, feed, *cells()))
    assert drawing(hands, "all").index("+") == round(80.5 / 2.5)
    hands.run.close()


# --- tailings assayed, and what is missing -------------------------------------------------------


def test_a_limit_on_the_tailings_gives_a_line_of_all_that_is_left(desk: Desk) -> None:
    """Practice 6.6: < 0.333 g/t on 410.3 kg, 0 to 137 mg: 68.9 to 85.5 %."""
    found = tailings(mass="410.3 kg", grade="<0.333 g/t")
    hands = on_page_5(drawn_test(desk, found))
    assert "└ < 137 mg  final tailings" in "\n".join(block(hands))
    assert row(hands, "all closed").split() == ["all", "closed", "68.9", "to", "85.5"]
    line = drawing(hands, "all closed")
    assert (line.index("├"), line.index("┤")) == (round(68.9 / 2.5), round(85.5 / 2.5))
    assert "To know, assay the final tailings." not in hands.margin
    assert len(hands.sheet.block) <= 19
    hands.run.close()


def test_tailings_that_contradict_alike_stages_are_said_first(desk: Desk) -> None:
    found = tailings(mass="410.3 kg", grade="0.02 ± 0.005 g/t")
    hands = on_page_5(drawn_test(desk, found))
    assert any("These disagree: tailings assay 0.020 g/t" in text for text in hands.margin[:2])
    hands.run.close()


def test_mats_count_as_a_fourth_product(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk, ("circuit", {"product": "mats", "metal": "4.0 ± 0.1 mg"})))
    brace = [line[13:] for line in block(hands)[:6]]
    assert [line[:1] for line in brace if line.strip()][:4] == ["┌", "┤", "│", "└"]
    assert "  4.0 mg  left in mats and middlings" in "\n".join(brace)
    hands.run.close()


def test_what_is_not_typed_yet_is_named_and_enter_goes_back(desk: Desk) -> None:
    hands = on_page_5(begun_test(desk, SIEVES, FEED, *cells()[:4]))
    assert hands.margin == ["Next: re-run, -1.0 +0.25 mm. 2 to type."]
    assert hands.press("s").bell
    assert hands.page.act("enter") == Back()
    hands.run.close()


def test_a_second_catch_that_is_not_seen_leaves_a_line_up_to_all(desk: Desk) -> None:
    rows: list[Row] = [
        ("circuit", {"product": "concentrate", "metal": "12 ± 0.1 mg"}),
        ("circuit", {"product": "rerun", "metal": "0.01 ± 0.1 mg"}),
    ]
    hands = on_page_5(begun_test(desk, *rows))
    assert row(hands, "all").split()[-2] == "from"
    assert drawing(hands, "all").rstrip().endswith(("┼", "┤"))
    assert any("Stage 2 caught nothing to be seen" in text for text in hands.margin)
    hands.run.close()


def test_a_second_catch_like_the_first_has_no_lower_end(desk: Desk) -> None:
    rows: list[Row] = [
        ("circuit", {"product": "concentrate", "metal": "3.0 ± 0.1 mg"}),
        ("circuit", {"product": "rerun", "metal": "3.0 ± 0.1 mg"}),
    ]
    hands = on_page_5(begun_test(desk, *rows))
    assert row(hands, "all").split() == ["all", "3.0", "3.0", "-", "50.0"]
    assert drawing(hands, "all").startswith("├")
    assert "No lower end: stage 2 may have caught as much as stage 1." in hands.margin
    hands.run.close()


# --- more sizes than lines -----------------------------------------------------------------------


def many(desk: Desk, count: int) -> RunLog:
    openings = [f"{8 / 2**i:g}" for i in range(count - 1)]
    sieves: Row = ("method", {"item": "sieves", "value": " ".join(openings) + " mm"})
    names = [f"+{openings[0]} mm"]
    names += [f"-{a} +{b} mm" for a, b in pairwise(openings)]
    names.append(f"-{openings[-1]} mm")
    rows: list[Row] = [
        ("circuit", {"product": product, "size": name, "metal": f"{metal + i} ± 0.1 mg"})
        for product, metal in (("concentrate", 50), ("rerun", 5))
        for i, name in enumerate(names)
    ]
    return begun_test(desk, sieves, *rows)


@pytest.mark.parametrize("count", [2, 4, 5, 7, 9])
@pytest.mark.parametrize("height", [24, 40])
def test_the_block_never_has_more_lines_than_there_are(desk: Desk, count: int, height: int) -> None:
    run = many(desk, count)
    found = circuit_of(run.results())
    assert isinstance(found, Circuit)
    room = height - 5
    for chosen in (None, 0, count - 1, count):
        lines = [text_of(one) for one in caught_lines.lines(shown(found), room, chosen)]
        assert len(lines) <= room
        assert {len(one.rstrip()) <= 54 for one in lines} == {True}
        if chosen is not None:
            assert sum(one.startswith(">") for one in lines) == 2, "in the table and as a line"
    run.close()


# --- words ---------------------------------------------------------------------------------------


def test_the_whole_page_is_written_in_plain_words(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk))
    hands.press("p")
    path = desk.book.reports / "MAIN-000001-caught.txt"
    assert str(path) in hands.margin[0]
    text = path.read_text("utf-8")
    words = " ".join(text.split())
    for sentence in (
        "Feed: 412.2 kg, dry feed.",
        "Final tailings, not assayed.",
        "-0.25 mm: stage 1 caught 58.3 mg, stage 2 caught 49.0 mg.",
        "Recovery if both stages are alike, %: 16.0. At most, %: 54.3.",
        "all: from 58.5 to 85.5 %.",
        "To know, assay the final tailings.",
    ):
        assert sentence in words
    assert max(map(len, text.splitlines())) <= 76
    assert not set("┌┤└├┼│─") & set(text)
    hands.press("p")
    assert "MAIN-000001-caught-2.txt" in hands.margin[0], "nothing is overwritten"
    hands.run.close()


def test_a_full_disk_leaves_the_page_and_says_so(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk))
    desk.book.reports.rmdir() if desk.book.reports.is_dir() else None
    desk.book.reports.write_text("in the way")
    assert hands.press("p").bell
    assert "reports" in hands.margin[0]
    assert hands.promise == CAUGHT.promise
    hands.run.close()


# --- the sum -------------------------------------------------------------------------------------


def test_enter_opens_the_sum_with_the_entry_of_each_figure(desk: Desk) -> None:
    hands = on_page_5(drawn_test(desk))
    hands.press("enter")
    pages = []
    for _ in range(int(hands.sheet.right.split()[-1])):
        pages.append(" ".join(" ".join(block(hands)).split()))
        hands.press("enter")
    whole = " ".join(pages)
    first = next(e for e in hands.run.entries if e.values.get("size") == "+1.0 mm")
    assert f"entry {first.n}: concentrate: size +1.0 mm, metal 186.4 ± 0.1 mg" in whole
    assert "all, at most = 100 × (186.4 + 241.7 + 58.3) / (186.4 + 241.7 + 58.3 + 2.1" in whole
    assert "= 85.4833 %" in whole
    assert len(pages) > 1
    hands.press("up", "escape")
    assert isinstance(hands.page, CaughtPage)
    hands.run.close()


def test_the_page_follows_the_log(desk: Desk) -> None:
    run = drawn_test(desk)
    page = CaughtPage(run)
    assert "final tailings, not assayed" in at_the_circuit(run, page).text()
    run.append("circuit", tailings(mass="410.3 kg", grade="<0.333 g/t")[1])
    page.come_back()
    assert "all closed" in at_the_circuit(run, page).text()
    assert page.typed("7", "7") == Bell()
    run.close()


def test_gold_corrected_and_not_corrected_in_one_circuit_is_told_first(desk: Desk) -> None:
    """The proof of 180 mg fits the bead of the concentrate; that of the re-run is too small."""
    run = begun_test(
        desk,
        FINE,
        *(
            ("sample", {"id": name, "role": "sample", "silver": "none"})
            for name in ("con", "again")
        ),
        ("sample", {"id": "P-1", "role": "proof", "gold_known": "180.000 mg", "silver": "none"}),
        *(
            ("reading", {"what": "gold", "text": text, "unit": "mg", "balance": "fine",
                         "sample": name})
            for name, text in (("con", "186.400"), ("again", "2.100"), ("P-1", "179.000"))
        ),
        ("circuit", {"product": "concentrate", "sample": "con"}),
        ("circuit", {"product": "rerun", "sample": "again"}),
    )  # fmt: skip
    hands = on_page_5(run)
    assert str(hands.margin[0]).startswith("Circuit gold is mixed: corrected and not corrected.")
    run.append("method", {"item": "proof", "value": "none"})
    assert "mixed" not in " ".join(map(str, hands.margin))


# --- final tailings by size ----------------------------------------------------------------------


def sized(desk: Desk) -> Hands:
    grades = {"+1.0 mm": "<0.01", "-1.0 +0.25 mm": "0.12 ± 0.04", "-0.25 mm": "0.80 ± 0.10"}
    rows = (tailings(size=n, mass="140 kg", grade=f"{g} g/t") for n, g in grades.items())
    return on_page_5(drawn_test(desk, *rows))


def test_tailings_by_size_have_a_column_of_their_own(desk: Desk) -> None:
    """241.7 of 241.7 + 31.5 + 140 × 0.12, and 58.3 of 58.3 + 49.0 + 140 × 0.80."""
    hands = sized(desk)
    assert row(hands, "size, mm").split()[-1] == "closed"
    assert [row(hands, n).split()[-1] for n in ("-1.0 +0.25", "-0.25")] == ["83.3", "26.6"]
    assert row(hands, "+1.0").endswith(" 98 to 99")
    assert row(hands, "all closed").split()[-3:] == ["68.1", "to", "71.1"]
    assert "With the final tailings in it, %: 26.6." in hands.sheet.about
    hands.press("s")
    hands.enter("70")
    assert row(hands, "size, mm").split()[-1] == "suppose"
    hands.run.close()


def test_a_chosen_size_speaks_of_its_own_contradiction_and_its_loss_rises(desk: Desk) -> None:
    hands = sized(desk)
    hands.press("down", "down")
    assert hands.margin[0] == "-1.0 +0.25 mm: stage 1 loses 36.2 to 48.3 mg gold."
    assert hands.margin[1].startswith("-1.0 +0.25 mm: tailings assay 0.12 g/t, over the ")
    assert not any("-0.25 mm: tailings" in said for said in hands.margin)
    hands.run.close()
