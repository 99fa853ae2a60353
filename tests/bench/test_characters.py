"""Signs and columns: the plain map keeps every column, leaders stand on even ones."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.bench.characters import (
    cells,
    cut,
    cut_line,
    filled,
    leader,
    plain,
    plain_line,
    wrapped,
)
from assaybench.bench.sheet import Span, text_of
from tests.strategies import any_text

PRINTED = st.text(
    st.sampled_from("abc XYZ019.,±·─│┬┴┼├┤┌└█▼×−é金か√‰σ\N{COMBINING ACUTE ACCENT}ß“”…°"),
    max_size=60,
)


@given(st.one_of(any_text, PRINTED))
def test_plain_signs_keep_every_column_and_are_ascii(text: str) -> None:
    assert plain(text).isascii()
    if not any(sign in "ßﬁ" for sign in text):
        assert cells(plain(text)) == cells(text)


def test_the_signs_of_a_page_have_their_plain_twins() -> None:
    assert plain("± 0.004 mg · × 1.005") == "+-0.004 mg . x 1.005"
    assert plain("├──┼──┤ ┌┤└ █ ▼ ┬┴│") == "|--+--| /|\\ # v ++|"
    assert plain("Doré") == "Dore"
    assert plain("912.68 ‰, u = d/√6") == "912.68%o, u = d/V6"


def test_a_doubt_that_is_a_word_keeps_its_blank() -> None:
    assert plain("a figure without ± has its last place") == "a figure without ~ has its last place"
    assert plain("type its ± (U)") == "type its ~ (U)"
    assert plain("g/t, assay ±  weighing says") == "g/t, assay +- weighing says"
    assert text_of(plain_line((Span("± "), Span("is U", "bold")))) == "~ is U"


@given(st.lists(st.tuples(PRINTED, st.sampled_from(["plain", "bold", "struck"])), max_size=5))
def test_plain_lines_keep_the_columns_of_their_spans(parts: list[tuple[str, str]]) -> None:
    spans = tuple(Span(text, style) for text, style in parts)  # type: ignore[arg-type]
    made = plain_line(spans)
    assert [cells(span.text) for span in made] == [cells(span.text) for span in spans]
    assert [span.style for span in made] == [span.style for span in spans]


def test_a_plus_minus_parted_by_a_change_of_style_is_still_one_sign() -> None:
    spans = (Span("±"), Span(" 0.3", "struck"))
    assert text_of(plain_line(spans)) == "+-0.3"


@given(PRINTED, st.integers(0, 40))
def test_a_cut_text_fits_and_is_the_front_of_it(text: str, width: int) -> None:
    short = cut(text, width)
    assert text.startswith(short)
    assert cells(short) <= width
    spans = (Span(text[:5], "bold"), Span(text[5:]))
    assert text_of(cut_line(spans, width)) == short
    assert cells(text_of(filled(spans, width))) == width


@given(PRINTED, PRINTED, st.integers(10, 60))
def test_a_leader_is_as_wide_as_its_line_and_keeps_the_number(
    left: str, right: str, width: int
) -> None:
    if cells(right) > width:
        return
    set_line = leader(left, right, width)
    assert cells(set_line) == width
    assert set_line.endswith(right)


def test_dots_of_a_leader_stand_on_even_columns_free_of_both_ends() -> None:
    for word in ("sum", "sums", "a longer word"):
        for number in ("f", "12", "re-run, -0.25 mm"):
            set_line = leader(word, number, 54)
            dots = set_line[len(word) : 54 - len(number)]
            assert {i + len(word) for i, sign in enumerate(dots) if sign == "."} <= set(
                range(0, 54, 2)
            )
            assert dots.startswith(" ")
            assert dots.endswith(" ")


@given(PRINTED, st.integers(2, 40))
def test_wrapped_lines_fit_and_lose_no_sign(text: str, width: int) -> None:
    lines = wrapped(text, width)
    assert all(cells(one) <= width for one in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_word_is_never_cut_where_a_line_has_room_for_it() -> None:
    assert wrapped("Few grains decide KV-019.", 20) == ["Few grains decide", "KV-019."]
    assert wrapped("first\nsecond line", 20) == ["first", "second line"]


def test_plus_minus_stays_with_its_number() -> None:
    assert wrapped("this reading is ± 0.3 %", 17) == ["this reading is", "± 0.3 %"]


@pytest.mark.parametrize(("text", "width"), [("", 0), ("金", 2), ("e\u0301", 1), ("·", 1)])
def test_columns_are_those_a_terminal_takes(text: str, width: int) -> None:
    assert cells(text) == width
