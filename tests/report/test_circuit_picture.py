"""The picture of a circuit: every stream in its place, nothing that was not assayed as nothing."""

import re
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaybench.circuit.products import CircuitTest
from assaybench.circuit.reconcile import Stage, Stream
from assaybench.circuit.recovery import recover
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.circuit.tailings import Tailings, tailings_below
from assaybench.metrology.uncertain import Sources, Uncertain
from assaybench.record.circuit_run import Circuit
from assaybench.report.answer import Answer, page_lines
from assaybench.report.circuit_picture import picture
from assaybench.report.page import to_ascii
from tests.circuit.builders import by_size, one_size

Pair = tuple[float, float]
Named = dict[str, Sequence[Pair | None]]


def lines(test: Circuit | FeedTest) -> list[str]:
    (section,) = picture(test)
    shown = page_lines(Answer("recovery", {}, {}, sections=(section,)), with_sum=False)
    return [row.removeprefix("    ") for row in "\n".join(shown[2:-1]).split("\n")]


def title(test: Circuit | FeedTest) -> str:
    (section,) = picture(test)
    return section.title


def told(test: Circuit | FeedTest) -> list[list[str]]:
    """Each line as its words, the dots taken out."""
    return [[word for word in row.split() if word != "."] for row in lines(test)]


def staged(sources: Sources, test: CircuitTest, **more: dict[str, Uncertain]) -> Circuit:
    return Circuit(test, recover(sources, test), sources, masses=more.get("masses", {}))


def streams(named: Named, *stages: Stage, mass_unit: str = "kg") -> FeedTest:
    """A feed and its products: mass and grades, each a value and its u."""
    sources = Sources()
    made = []
    for name, values in named.items():
        mass, *grades = (
            None if v is None else sources.variable(f"{name} {i}", *v) for i, v in enumerate(values)
        )
        made.append(Stream(name, mass, tuple(grades)))
    units = ("g/t",) * len(made[0].grades)
    return part_feed(
        sources, made[0], made[1:], mass_unit=mass_unit, grade_units=units, stages=stages
    )


# --- two stages ----------------------------------------------------------------------------------


def test_a_sized_test_with_its_feed_and_no_tailings() -> None:
    sources = Sources()
    feed = sources.variable("feed", 412.16, 0.27)
    test = CircuitTest(by_size(sources), dry_feed_kg=feed)
    found = staged(sources, test)
    assert [row.replace(" .", "  ") for row in lines(found)] == [
        "feed, dry                                    412.2 kg  at least 569.0 mg",
        "│ stage 1",
        "├ concentrate                                       ?           486.4 mg",
        "└ tailings of stage 1                               ?  at least 82.60 mg",
        "  │ stage 2",
        "  ├ re-run concentrate                              ?           82.60 mg",
        "  └ final tailings, not assayed                     ?                  ?",
    ]
    assert title(found) == "Where mass and gold went; ? is not known"


def test_a_share_run_again_mats_and_middlings() -> None:
    """40 + 2·(6 + 4) mg, 1 mg in the mats, middlings only weighed: at least 61 mg."""
    sources = Sources()
    test = one_size(
        sources,
        (40, 0.05),
        (6, 0.05),
        Tailings(weighed_mg=sources.variable("tailings", 4, 0.05), mass_kg=50.0),
        mats=sources.variable("mats", 1, 0.05),
        share=0.5,
    )
    masses = {
        "middlings": sources.variable("m", 2.0, 0.01),
        "concentrate": sources.variable("c", 0.12, 0.001),
    }
    found = told(staged(sources, test, masses=masses))
    assert found == [
        ["feed", "?", "at", "least", "61.00", "mg"],
        ["│", "stage", "1"],
        ["├", "concentrate", "120.0", "g", "40.00", "mg"],
        ["├", "left", "in", "the", "mats", "?", "1.00", "mg"],
        ["├", "middlings", "2.000", "kg", "?"],
        ["└", "tailings", "of", "stage", "1", "?", "20.00", "mg"],
        ["│", "stage", "2,", "fed", "with", "50.0", "%", "of", "them"],
        ["├", "re-run", "concentrate", "?", "6.00", "mg"],
        ["└", "final", "tailings", "50", "kg", "4.00", "mg"],
    ]


def test_tailings_that_were_not_detected_are_a_range_never_nothing() -> None:
    sources = Sources()
    tailings = tailings_below(sources, 137.0, mass_kg=410.3)
    found = told(staged(sources, one_size(sources, (486.4, 0.1), (82.6, 0.1), tailings)))
    assert found[-1][-4:] == ["0", "to", "137", "mg"]
    assert found[0][-4:] == ["569", "to", "706", "mg"]
    assert found[3][-4:] == ["83", "to", "220", "mg"]


def test_noise_below_zero_is_shown_as_it_was_read_and_bounds_nothing() -> None:
    sources = Sources()
    found = told(staged(sources, one_size(sources, (40, 0.05), (-0.03, 0.05))))
    assert found[-2][-2:] == ["-0.03", "mg"]
    assert found[3][-1] == "?"


def test_nothing_is_summed_up_with_a_mass_far_below_zero() -> None:
    sources = Sources()
    tailings = Tailings(weighed_mg=sources.variable("tailings", 4, 0.05))
    found = told(staged(sources, one_size(sources, (40, 0.05), (-3, 0.05), tailings)))
    assert [row[-1] for row in (found[0], found[3])] == ["?", "?"]
    assert found[-2][-2:] == ["-3.00", "mg"]


@given(st.floats(0.5, 500), st.floats(0.5, 500), st.floats(0.5, 500), st.floats(0.1, 1))
def test_what_is_printed_adds_up(a: float, b: float, t: float, share: float) -> None:
    """Each stage's metal is that of its streams, to the places printed."""
    sources = Sources()
    tailings = Tailings(weighed_mg=sources.variable("tailings", t, 0.01 * t))
    test = one_size(sources, (a, 0.01 * a), (b, 0.01 * b), tailings, share=share)
    found = [row for row in lines(staged(sources, test)) if row.endswith("mg")]
    numbers = [row.split()[-2] for row in found]
    last = [0.5 * 10.0 ** -len(number.partition(".")[2]) for number in numbers]
    fed, caught, rest, again, final = map(float, numbers)
    # printed with two digits of U, which is below 3 % of each
    assert abs(fed - caught - rest) <= sum(last) + 0.5 * (fed < 100) + 0.005 * fed
    assert abs(rest * share - again - final) <= sum(last) + 0.005 * rest


# --- a feed and its products ---------------------------------------------------------------------

FEED: Named = {"feed": [(100, 0.5), (2.0, 0.1)], "con": [(2, 0.02), (60, 2)]}


def test_streams_between_stages_stand_under_the_stage_they_come_out_of() -> None:
    named: Named = FEED | {
        "rest": [None, (0.83, 0.03)],
        "rerun": [(3, 0.05), (13, 0.5)],
        "tailings": [(95, 0.5), (0.43, 0.02)],
    }
    found = streams(
        named, Stage(("feed",), ("con", "rest")), Stage(("rest",), ("rerun", "tailings"))
    )
    rows = told(found)
    assert [row[:2] for row in rows] == [
        ["feed", "100.00"],
        ["│", "stage"],
        ["├", "con"],
        ["└", "rest"],
        ["│", "stage"],
        ["├", "rerun"],
        ["└", "tailings"],
    ]
    metal = {row[-5]: float(row[-2]) for row in (rows[0], *rows[2:4], *rows[5:])}
    assert metal["con"] + metal["rest"] == pytest.approx(metal["feed"], abs=0.1)
    assert metal["rerun"] + metal["tailings"] == pytest.approx(metal["rest"], abs=0.1)
    assert title(found) == "Where mass and metal went, made to agree"


def test_a_stream_led_back_is_drawn_once() -> None:
    """Feed with what comes back goes into stage 1; stage 2 sends its middlings back."""
    named: Named = FEED | {
        "back": [(1, 0.02), (5, 0.2)],
        "rest": [None, None],
        "tailings": [None, (0.82, 0.03)],
    }
    found = streams(
        named, Stage(("feed", "back"), ("con", "rest")), Stage(("rest",), ("back", "tailings"))
    )
    rows = told(found)
    assert [row[1] for row in rows if "back," in row] == ["back,"]
    assert any(row[:5] == ["├", "back,", "into", "stage", "1"] for row in rows)
    assert len(rows) == 7


def test_without_any_mass_it_is_parts_of_the_feed() -> None:
    named: Named = {
        "feed": [None, (2.0, 0.1)],
        "con": [None, (40, 2)],
        "tailings": [None, (0.3, 0.02)],
    }
    found = streams(named)
    assert told(found)[0] == ["feed", "100", "%", "100", "%"]
    assert told(found)[2] == ["├", "con", "4.28", "%", "85.6", "%"]
    assert title(found).endswith("in parts of the feed")


def test_streams_that_give_no_split_are_shown_as_measured() -> None:
    named: Named = FEED | {"tailings": [(98.5, 0.1), (0.8, 0.01)], "mids": [None, (2.0, 0.1)]}
    found = streams(named)
    assert found.agreed is None
    assert title(found) == "Mass and metal as measured; ? is not known"
    assert told(found)[-1] == ["└", "mids", "?", "?"]
    assert told(found)[2][-4:] == ["2.000", "kg", "120.0", "mg"]


def test_grades_alone_that_give_no_split_have_no_picture() -> None:
    named: Named = {
        "feed": [None, (2.0, 0.1)],
        "con": [None, (1.5, 0.1)],
        "tailings": [None, (0.3, 0.02)],
    }
    assert picture(streams(named)) == ()


def test_the_unit_of_the_metal_is_that_of_its_size() -> None:
    named: Named = {
        "feed": [(900.0, 5), (2.0, 0.1), (90.0, 4)],
        "con": [(9.0, 0.1), (160, 8), (300.0, 10)],
        "tailings": [None, (0.4, 0.03), (88.0, 4)],
    }
    found = told(streams(named, mass_unit="t"))
    assert found[0][0] == "feed"
    assert [word for word in found[0] if word.isalpha()][1:] == ["t", "kg", "kg"]


# --- the page ------------------------------------------------------------------------------------


@settings(max_examples=50)
@given(st.floats(1e-3, 1e12), st.floats(1e-3, 1e12))
def test_lines_keep_to_the_page_and_are_signs_of_one_column(a: float, mass: float) -> None:
    sources = Sources()
    feed = sources.variable("feed", mass * 1e6, mass * 1e4)
    test = CircuitTest(
        one_size(sources, (a, a / 9), (a / 3, a / 9)).rows,
        dry_feed_kg=max(a, mass) * feed,
    )
    found = lines(staged(sources, test))
    assert max(map(len, found)) <= 72
    plain = [to_ascii(row) for row in found]
    assert [len(row) for row in plain] == [len(row) for row in found]
    assert not any(re.search(r"[^\x20-\x7e]", row) for row in plain)


def test_a_size_far_below_zero_is_in_no_sum_of_the_picture() -> None:
    """-1 mg of one size in a re-run of 33 mg: no noise explains it, so no sum takes it in."""
    sources = Sources()
    masses = {"+1 mm": (186.4, 34.0), "-1 mm": (241.7, -1.0)}
    test = CircuitTest(
        by_size(sources, masses, u=0.1), tailings=Tailings(sources.variable("T", 50.0, 1.0))
    )
    cells = {row[0]: row[-1] for row in told(staged(sources, test))}
    assert cells["feed"] == "?"
    assert any(row[-1] == "?" for row in told(staged(sources, test)) if "tailings" in row)
