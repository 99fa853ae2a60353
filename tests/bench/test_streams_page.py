"""Page 5 of a feed and its products: measured beside adjusted, and which stream to measure again.

What is adjusted is worked out a second time here, by Lagrange multipliers in numpy.
"""

import numpy as np
import pytest

from assaybench.bench import streams_lines
from assaybench.bench.characters import cells
from assaybench.bench.desk import Desk
from assaybench.bench.page import Room
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.pages.caught_sum import CaughtSumPage
from assaybench.bench.sheet import BLOCK_WIDTH, text_of
from assaybench.circuit.streams import FeedTest
from assaybench.logbook.logfile import Row
from assaybench.record.circuit_run import circuit_of
from tests.bench.circuit_test_run import at_the_circuit, begun_test
from tests.bench.hands import Hands

MEASURED = {
    "feed": ("100 ± 2 kg", "2.0 ± 0.2 g/t"),
    "concentrate": ("4.4 ± 0.2 kg", "40 ± 4 g/t"),
    "tailings": ("95.5 ± 2 kg", "0.30 ± 0.03 g/t"),
}


def on_the_page(desk: Desk, **other: tuple[str, str]) -> Hands:
    rows: list[Row] = [
        ("circuit", {"product": name.replace("_", " "), "mass": mass, "grade": grade})
        for name, (mass, grade) in (MEASURED | other).items()
    ]
    run = begun_test(desk, *rows)
    return at_the_circuit(run, CaughtPage(run))


def row(hands: Hands, name: str, group: str) -> list[str]:
    """Measured, adjusted, change of a stream, each a figure with what ± follows it."""
    block = [text_of(one) for one in hands.sheet.block]
    at = next(i for i, one in enumerate(block) if one[2:].startswith(group))
    found = next(one for one in block[at:] if one.strip(" >").startswith(name))
    return found.strip(" >").removeprefix(name).replace(" ± ", "±").split()


def ends_in(text: str) -> tuple[float, float]:
    """The ends of the last figure of a line: `61.4 ± 3.6` or `57.8 to 65.0`."""
    first, word, last = text.split()[-3:]
    one, other = float(first), float(last)
    return (one, other) if word == "to" else (one - other, one + other)


def adjusted_by_lagrange(masses: list[float], grades: list[float], u: list[float]) -> list[float]:
    """Feed, concentrate, tailings: masses and grades of least change under both balances."""
    x0 = np.array(masses + grades)
    cov, x = np.diag(np.square(u)), np.array(masses + grades)
    for _ in range(50):
        m, g = x[:3], x[3:]
        jacobian = np.array([[1, -1, -1, 0, 0, 0], [g[0], -g[1], -g[2], m[0], -m[1], -m[2]]])
        left = np.array([m[0] - m[1] - m[2], m[0] * g[0] - m[1] * g[1] - m[2] * g[2]])
        offset = left + jacobian @ (x0 - x)
        multipliers = np.linalg.solve(jacobian @ cov @ jacobian.T, offset)
        x = x0 - cov @ jacobian.T @ multipliers
    return [float(value) for value in x]


def test_measured_stands_beside_adjusted_with_its_change(desk: Desk) -> None:
    hands = on_the_page(desk)
    wanted = adjusted_by_lagrange(
        [100, 4.4, 95.5], [2.0, 40, 0.30], [1, 0.1, 1, 0.1, 2, 0.015]
    )  # fmt: skip
    rows = [(name, group) for group in ("mass, kg", "grade, g/t") for name in MEASURED]
    for (name, group), value in zip(rows, wanted, strict=True):
        measured, adjusted, change = row(hands, name, group)
        place = len(adjusted.partition("±")[0].partition(".")[2])
        assert float(adjusted.partition("±")[0]) == pytest.approx(value, abs=0.51 * 10**-place)
        moved = value - float(measured.partition("±")[0])
        assert float(change) == pytest.approx(moved, abs=0.51 * 10**-place)
    assert any("By chance alone it is larger 94 times in 100." in text for text in hands.margin)
    assert hands.margin[0].startswith("What goes in and what comes out add up within their ±.")
    hands.run.close()


def test_the_stream_to_measure_again_is_marked_and_named(desk: Desk) -> None:
    hands = on_the_page(desk, tailings=("80 ± 2 kg", "0.30 ± 0.03 g/t"))
    marked = [text_of(one) for one in hands.sheet.block if text_of(one).startswith("  > ")]
    assert [one.split()[1] for one in marked] == ["tailings"]
    assert "Measure again first: the mass of tailings." in hands.margin[0]
    assert "By chance alone it is hardly ever larger." in hands.margin[1]
    assert any("The ± here hold only for streams that agree" in text for text in hands.margin)
    hands.run.close()


def test_where_nothing_is_measured_twice_nothing_has_moved(desk: Desk) -> None:
    rows: list[Row] = [
        ("circuit", {"product": "feed", "mass": "100 ± 2 kg", "grade": "2.0 ± 0.2 g/t"}),
        ("circuit", {"product": "concentrate", "grade": "40 ± 4 g/t"}),
        ("circuit", {"product": "tailings", "grade": "0.30 ± 0.03 g/t"}),
    ]
    run = begun_test(desk, *rows)
    hands = at_the_circuit(run, CaughtPage(run))
    text = hands.text()
    assert ("worked out" in text, "change" in text) == (True, False)
    assert row(hands, "concentrate", "mass, kg")[0] == "-", "it was not weighed"
    assert hands.margin[0].startswith("Nothing here is measured twice over")
    run.close()


def test_no_split_leaves_what_was_measured_and_says_why(desk: Desk) -> None:
    rows: list[Row] = [
        ("circuit", {"product": "feed", "grade": "2.0 ± 0.2 g/t"}),
        ("circuit", {"product": "concentrate", "grade": "1 ± 0.2 g/t"}),
        ("circuit", {"product": "tailings", "grade": "0.30 ± 0.03 g/t"}),
    ]
    run = begun_test(desk, *rows)
    hands = at_the_circuit(run, CaughtPage(run))
    assert "no more than the feed" in hands.margin[0]
    assert "adjusted" not in hands.text()
    run.close()


def test_what_is_drawn_has_its_numbers_in_the_table_above_it(desk: Desk) -> None:
    hands = on_the_page(desk)
    block = [text_of(one) for one in hands.sheet.block]
    assert next(one for one in block if one.strip().startswith("concentrate")).split()[4:7] == [
        "84.2", "to", "87.4"
    ]  # fmt: skip
    line = next(one for one in block if one.startswith(" concentrate"))
    assert [line[13:].index(sign) for sign in "├┤"] == [round(84.2 / 2.5), round(87.4 / 2.5)]
    hands.run.close()


def test_the_page_is_written_in_words_and_the_keys_are_those_it_has(desk: Desk) -> None:
    hands = on_the_page(desk)
    assert hands.text().splitlines()[-1].split("   ")[2] == "p words"
    assert hands.press("s").bell
    assert hands.press("v").bell
    hands.press("p")
    text = (desk.book.reports / "MAIN-000001-caught.txt").read_text("utf-8")
    words = " ".join(text.split())
    for sentence in (
        "concentrate: 4.39 ± 0.20 % of the mass, 84.2 to 87.4 % of the gold, 19.5 x as rich",
        "concentrate: from 84.2 to 87.4 %.",
        "mass, kg, tailings: measured 95.5 ± 2.0, adjusted 95.6 ± 1.4, change +0.1.",
        "By chance alone it is larger 94 times in 100.",
    ):
        assert sentence in words
    assert not set("├┤┼─│") & set(text)
    assert all(sentence in hands.sheet.about for sentence in ("concentrate: from 84.2 to 87.4 %.",))
    hands.run.close()


def test_the_sum_says_how_far_each_moved_in_its_own_doubt(desk: Desk) -> None:
    hands = on_the_page(desk, tailings=("80 ± 2 kg", "0.30 ± 0.03 g/t"))
    found = circuit_of(hands.run.results())
    assert isinstance(found, FeedTest)
    assert found.agreed is not None
    hands.press("enter")
    assert isinstance(hands.page, CaughtSumPage)
    pages = []
    for _ in range(int(hands.sheet.right.split()[-1])):
        pages += [text_of(one) for one in hands.page.sheet(Room()).block]
        hands.press("enter")
    led = [one for one in pages if one.startswith("  mass of tailings ")]
    (score,) = (s for place, s in found.agreed.scores.items()
                if place == ("tailings", 0))  # fmt: skip
    assert [float(one.split()[-1]) for one in led] == [pytest.approx(score, abs=0.006)]
    hands.run.close()


def test_tailings_assayed_between_two_stages_say_what_each_stage_catches(desk: Desk) -> None:
    between: Row = ("circuit", {"product": "stage-1 tailings", "mass": "95 ± 2 kg",
                                "grade": "0.5 ± 0.05 g/t"})  # fmt: skip
    rows: list[Row] = [
        ("circuit", {"product": "feed", "mass": "100 ± 2 kg", "grade": "2.0 ± 0.2 g/t"}),
        ("circuit", {"product": "concentrate", "mass": "4.4 ± 0.2 kg", "grade": "36 ± 4 g/t"}),
        between,
        ("circuit", {"product": "rerun", "mass": "1.5 ± 0.1 kg", "grade": "20 ± 2 g/t"}),
        ("circuit", {"product": "tailings", "mass": "93 ± 2 kg", "grade": "0.2 ± 0.02 g/t"}),
    ]
    run = begun_test(desk, *rows)
    hands = at_the_circuit(run, CaughtPage(run))
    page = hands.text(120, 40)
    assert "of what it is fed, each stage catches" in page
    assert "stage-1 tails" in page
    assert "re-run" in page
    found = circuit_of(run.results())
    assert isinstance(found, FeedTest)
    lines = [text_of(one) for one in streams_lines.lines(found)]
    for number, catch in enumerate(found.catches, 1):
        said = next(one for one in lines if one.startswith(f"  stage {number}"))
        ends = catch.caught[0].low, catch.caught[0].high
        assert ends == pytest.approx(ends_in(said), abs=0.11)
        assert sum(one.startswith(f" stage {number}") for one in lines) == 1, "and drawn"
    assert max(cells(one) for one in lines) <= BLOCK_WIDTH
    first = text_of(hands.sheet.block[0])
    hands.press("down", "down")
    assert text_of(hands.sheet.block[0]) != first, "longer than the page: it is moved"
    hands.press("up", "up", "up")
    assert text_of(hands.sheet.block[0]) == first
    run.close()


# --- the catches by size -------------------------------------------------------------------------

BY_SIZE: list[Row] = [
    ("circuit", {"product": product, "size": size, "metal": f"{metal} ± 1 mg"})
    for product, metals in (("concentrate", (80, 40)), ("rerun", (9, 30)))
    for size, metal in zip(("+1 mm", "-1 mm"), metals, strict=True)
]
BETWEEN: list[Row] = [
    ("circuit", {"product": "feed", "mass": "100 ± 1 kg", "grade": "2.0 ± 0.2 g/t"}),
    ("circuit", {"product": "stage-1 tailings", "mass": "98 ± 1 kg", "grade": "0.83 ± 0.06 g/t"}),
    ("circuit", {"product": "tailings", "mass": "95 ± 1 kg", "grade": "0.43 ± 0.05 g/t"}),
]


def test_catches_by_size_stand_below_the_streams_that_agree(desk: Desk) -> None:
    """By weight as without any tailings: 80/89, 40/70, 1 - 9/80, 1 - 30/40."""
    run = begun_test(desk, *BETWEEN, *BY_SIZE)
    hands = at_the_circuit(run, CaughtPage(run))
    sheet = hands.page.sheet(Room(block_lines=60))
    block = [text_of(one).rstrip() for one in sheet.block]
    at = block.index("  by size, from the two catches alone")
    assert [line.split() for line in block[at + 3 : at + 5]] == [
        ["+1", "80", "9", "88.8", "89.9"],
        ["-1", "40", "30", "25.0", "57.1"],
    ]
    assert block[at + 5].split()[0] == "all"
    assert [line.split()[0] for line in block[at + 8 : at + 11]] == ["+1", "-1", "all"]
    said = sheet.about[sheet.about.index("By size, from the two catches alone:") :]
    assert "+1 mm: stage 1 caught 80 mg, stage 2 caught 9 mg." in said
    assert "-1 mm: from 25.0 to 57.1 %." in said
    hands.run.close()


def test_arrows_reach_the_last_size_at_80_by_24(desk: Desk) -> None:
    run = begun_test(desk, *BETWEEN, *BY_SIZE)
    hands = at_the_circuit(run, CaughtPage(run))
    assert "Arrows show the other lines." in hands.margin
    for _ in range(40):
        hands.press("down")
    assert text_of(hands.sheet.block[-1]).split()[0] == "all"
    hands.run.close()


def test_streams_without_sizes_have_no_such_table(desk: Desk) -> None:
    hands = on_the_page(desk)
    assert "by size" not in hands.page.sheet(Room(block_lines=60)).about
    assert not any("by size" in text_of(one) for one in hands.sheet.block)
    hands.run.close()
