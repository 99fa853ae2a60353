"""The page of an answer: blank lines between its parts, and its signs in ASCII."""

import pytest

from assaybench.metrology.figure import Verdict
from assaybench.report.answer import Answer, Section, page_lines
from assaybench.report.page import to_ascii

ROWS = (("mass", "0.31 mg"),)
SECTIONS = (Section("Next", (("a line", ""),)),)


@pytest.mark.parametrize("rows", [(), ROWS])
@pytest.mark.parametrize("sections", [(), SECTIONS])
@pytest.mark.parametrize("verdict", [None, Verdict("agree", "they agree", "What goes in adds up.")])
def test_one_blank_line_stands_between_the_parts_of_a_page(
    rows: tuple[tuple[str, str], ...], sections: tuple[Section, ...], verdict: Verdict | None
) -> None:
    answer = Answer("recovery", {}, {}, rows=rows, verdict=verdict, sections=sections)
    text = "\n".join(page_lines(answer, with_sum=False))
    assert "\n\n\n" not in text
    assert not (rows and verdict) or "adds up.\n\n  mass" in text
    assert not sections or "Next\n    a line" in text


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("0.31 ± 0.02 mg", "0.31 +-0.02 mg"),
        ("Käthe Öberg, Łódź", "Kathe Oberg, ?odz"),
        ("doré of µm²", "dore of um^2"),
        ("≈", "?"),
    ],
)
def test_signs_beyond_ascii_are_spelled_out_and_letters_lose_their_marks(
    text: str, plain: str
) -> None:
    assert to_ascii(text) == plain
