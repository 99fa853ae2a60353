"""Setting a page: the five drawings column by column, and every size and sign beside them."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.bench.actions import keymap
from assaybench.bench.characters import cells
from assaybench.bench.frame import LEAST_HEIGHT, as_text, room, set_page, typing_place
from assaybench.bench.sheet import BLOCK_WIDTH, Beside, Sheet, Span, line, text_of
from assaybench.bench.typing import Typing
from tests.bench.drawn import BALANCE, CONTENTS, DRAWN, RESULTS

DUMPS = Path(__file__).parent / "dumps"
KEYS = keymap({})
SIZES = [(80, 23), (80, 24), (81, 24), (100, 30), (120, 40), (200, 60)]


def bare(**changes: Any) -> Sheet:
    empty = Sheet("left", "TITLE", "right", (), (), "Enter does it.", ("help", "back"))
    return empty._replace(**changes)


@pytest.mark.parametrize("name", DRAWN)
def test_a_drawn_page_is_set_column_by_column(name: str) -> None:
    drawn = (DUMPS / f"drawn-{name}.txt").read_text(encoding="utf-8")
    assert as_text(set_page(DRAWN[name], KEYS, 80, 24)) == drawn


@pytest.mark.parametrize("name", DRAWN)
def test_a_drawn_page_is_set_with_plain_signs_column_by_column(name: str) -> None:
    drawn = (DUMPS / f"drawn-{name}-ascii.txt").read_text(encoding="utf-8")
    page = as_text(set_page(DRAWN[name], KEYS, 80, 24, ascii=True))
    assert page == drawn
    assert page.isascii()


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DRAWN)
def test_a_page_fills_its_terminal_exactly(
    name: str, size: tuple[int, int], *, ascii_only: bool
) -> None:
    width, height = size
    lines = set_page(DRAWN[name], KEYS, width, height, ascii=ascii_only)
    assert len(lines) == height
    assert {cells(text_of(one)) for one in lines} == {width}


@pytest.mark.parametrize("name", DRAWN)
def test_the_text_block_is_the_same_at_every_size(name: str) -> None:
    sheet = DRAWN[name]
    for width, height in SIZES:
        left = (width - 60 - room(width, height).margin_width) // 2
        lines = set_page(sheet, KEYS, width, height)
        top = 1 + bool(sheet.steps) + (height > LEAST_HEIGHT)
        block = [text_of(one)[left + 2 : left + 56].rstrip() for one in lines[top : height - 3]]
        assert block[: len(sheet.block)] == [text_of(one).rstrip() for one in sheet.block]


def test_extra_columns_go_to_the_margin_then_to_white_space() -> None:
    assert [room(width, 24).margin_width for width in (80, 90, 100, 101, 200)] == [
        20, 30, 40, 40, 40,
    ]  # fmt: skip
    page = set_page(CONTENTS, KEYS, 140, 24)
    assert text_of(page[0]).startswith(" " * 22 + "AssayBench")


def test_extra_lines_go_to_the_text_block() -> None:
    assert room(80, 24).block_lines == 19
    assert room(80, 40).block_lines == 35
    page = as_text(set_page(CONTENTS, KEYS, 80, 40)).splitlines()
    assert page[38] == "  Enter opens furnace run 0147 at cupel B6."


@pytest.mark.parametrize("name", DRAWN)
def test_a_drawn_page_with_a_line_less_gives_up_its_upper_rule_alone(name: str) -> None:
    """A multiplexer takes a line of 24 for its status."""
    drawn = (DUMPS / f"drawn-{name}.txt").read_text(encoding="utf-8").splitlines()
    upper = next(i for i, one in enumerate(drawn) if "┬" in one)
    assert as_text(set_page(DRAWN[name], KEYS, 80, 23)).splitlines() == [
        *drawn[:upper], *drawn[upper + 1 :],
    ]  # fmt: skip
    assert room(80, 23) == room(80, 24)


def test_with_22_lines_no_page_is_set_and_with_23_the_cursor_stands_on_the_promise() -> None:
    small = as_text(set_page(CONTENTS, KEYS, 80, 22))
    assert small.startswith("The bench needs 80 columns and 23 lines; this is 80 x 22.")
    assert typing_place(CONTENTS, 80, 23) == (2, 21)
    assert text_of(set_page(CONTENTS, KEYS, 80, 23)[21]).strip() == CONTENTS.promise


@given(st.integers(1, 90), st.integers(1, 40))
def test_a_terminal_that_is_too_small_is_told_in_one_sentence(width: int, height: int) -> None:
    lines = set_page(CONTENTS, KEYS, width, height)
    assert len(lines) == height
    assert {cells(text_of(one)) for one in lines} == {width}
    if width < 80 and width > 40 and height > 4:
        said = " ".join(as_text(lines).split())
        assert said == (
            f"The bench needs 80 columns and 23 lines; this is {width} x {height}. "
            "Everything stored is stored. Keys wait until there is room."
        )


def test_a_remark_stands_beside_its_line_or_below_the_one_before() -> None:
    margin = ("first", Beside(4, "beside"), Beside(1, "pushed"))
    page = as_text(set_page(bare(margin=margin), KEYS, 80, 24)).splitlines()
    remarks = [one[59:] for one in page[2:21]]
    assert remarks[:7] == ["first", "", "", "", "beside", "", "pushed"]


def test_a_margin_that_is_too_long_closes_its_gaps_and_is_cut_between_lines() -> None:
    margin = ("one", Beside(10, "two"), *(f"remark {i}" for i in range(20)))
    page = as_text(set_page(bare(margin=margin), KEYS, 80, 24)).splitlines()
    assert [one[59:] for one in page[2:7]] == ["one", "", "two", "", "remark 0"]
    assert page[20][59:] == "remark 7"
    assert page[21].startswith("  ─")


def margin_of(*remarks: str) -> list[str]:
    page = as_text(set_page(bare(margin=remarks), KEYS, 80, 24)).splitlines()
    return [one[59:] for one in page[2:21]]


def test_a_margin_ends_behind_a_whole_sentence() -> None:
    short = [f"remark {i}" for i in range(9)]
    assert margin_of(*short, "One line. Then two lines of more words.")[16:] == [
        "remark 8", "", "One line.",
    ]  # fmt: skip
    assert margin_of(*short, "This does not fit on one line.")[16:] == ["remark 8", "", ""]


def test_a_margin_is_cut_between_sentences_and_never_behind_an_initial() -> None:
    many = " ".join(["Signed by K. Berg alone, with a key that nobody else holds."] * 6)
    shown = " ".join(margin_of("x", many)).split()
    assert shown[-1] == "holds."
    assert 1 < shown.count("Berg") < 6


def test_a_sentence_longer_than_the_margin_is_shown_as_far_as_it_goes() -> None:
    shown = margin_of("word " * 200)
    assert all(one == "word word word word" for one in shown)


def test_while_letters_are_typed_the_key_line_names_no_letter() -> None:
    keys = ("enter.take", "arrows", "look", "help", "back")
    asked = bare(typing=Typing("Why:"))._replace(keys=keys)
    page = as_text(set_page(asked, KEYS, 80, 24)).splitlines()
    assert page[23] == "  Enter take   arrows move   F1 help   Esc back"
    reading = bare(typing=Typing("Reading:", "", "reading"))._replace(keys=keys)
    page = as_text(set_page(reading, KEYS, 80, 24)).splitlines()
    assert page[23] == "  Enter take   arrows move   l look   ? help   Esc back"


def test_what_is_typed_takes_the_place_of_the_promise() -> None:
    asked = bare(typing=Typing("Type what you see now:"))
    page = as_text(set_page(asked, KEYS, 80, 24)).splitlines()
    assert page[22] == "  Type what you see now: ____"
    typed = bare(typing=Typing("Type what you see now:", "0.31", "reading"))
    page = as_text(set_page(typed, KEYS, 80, 24)).splitlines()
    assert page[22] == "  Type what you see now: 0.31_"
    assert typing_place(typed, 80, 24) == (len("  Type what you see now: 0.31"), 22)


def test_the_end_of_a_long_text_stays_in_sight() -> None:
    long = bare(typing=Typing("Why:", " ".join(f"word{i}" for i in range(40))))
    page = set_page(long, KEYS, 80, 24)
    assert text_of(page[22]).rstrip().endswith("word39_")
    assert cells(text_of(page[22])) == 80


def test_the_cursor_stands_on_the_promise_line() -> None:
    assert typing_place(CONTENTS, 80, 24) == (2, 22)
    assert typing_place(CONTENTS, 120, 40) == (12, 38)
    assert typing_place(CONTENTS, 40, 10) == (0, 0)


@pytest.mark.parametrize("part", ["left", "title", "right", "promise"])
def test_a_text_that_is_too_long_is_cut_and_moves_no_column(part: str) -> None:
    for text in ("long " * 40, "金銀" * 60, "é" * 200):
        changed: dict[str, Any] = {part: text}
        sheet = BALANCE._replace(**changed)
        for row in set_page(sheet, KEYS, 80, 24):
            assert cells(text_of(row)) == 80
        rule = text_of(set_page(sheet, KEYS, 80, 24)[1])
        assert rule[57] == "┬"


def test_a_block_line_that_is_too_long_never_reaches_the_margin() -> None:
    page = set_page(bare(block=(line("x" * 90), line("金" * 90))), KEYS, 80, 24)
    assert text_of(page[2])[2:60] == "x" * BLOCK_WIDTH + " │ "[:3] + " "
    assert cells(text_of(page[3]).partition("│")[0]) == 57


def test_styles_stay_with_their_text_in_both_sets_of_signs() -> None:
    block = (line("a ", Span("± 0.3", "struck"), Span(" ▼", "waits")),)
    for ascii_only, struck in ((False, "± 0.3"), (True, "+-0.3")):
        page = set_page(bare(block=block), KEYS, 80, 24, ascii=ascii_only)
        styles = {span.style: span.text for span in page[2] if span.style != "plain"}
        assert styles == {"struck": struck, "waits": " v" if ascii_only else " ▼"}


def test_every_remark_of_the_drawn_pages_is_set_in_full() -> None:
    for sheet in DRAWN.values():
        for width in (80, 100):
            shown = as_text(set_page(sheet, KEYS, width, 24))
            for remark in sheet.margin:
                words = (remark.text if isinstance(remark, Beside) else remark).split()
                assert all(word in shown for word in words)
    assert len(RESULTS.block) == 19
