"""Weighings around a check that was not good; and the checks of a sheet in their own order."""

from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.seal_review import review
from assaybench.record.suspect import suspects

HEAD = """\
[sheet]
log = "furnace run"
title = "Checked"
date = 2026-06-09
by = "KB"

[[balances]]
name = "fine"
step = "0.001 mg"

[[weights]]
name = "W10"
mass = "10.000 mg"

"""


def check(reads: str, after: str = "") -> str:
    place = f'after = "{after}"\n' if after else ""
    return (
        f'[[checks]]\n{place}balance = "fine"\nweight = "W10"\ntexts = ["{reads}"]\nunit = "mg"\n'
        f'tolerance = "0.010 mg"\n\n'
    )


def samples(first: int, last: int) -> str:
    return "".join(
        f'[[samples]]\nid = "S{i}"\nsilver = "none"\nbead = "1.{i:03d} mg"\n\n'
        for i in range(first, last + 1)
    )


def test_fourteen_weighings_between_a_good_and_a_bad_check_are_suspect() -> None:
    """Check weight 10.000 mg reads 10.002, later 9.981, tolerance ± 0.010 mg."""
    sheet = HEAD + check("10.002") + check("9.981", after="S14") + samples(1, 14)
    (found,) = suspects(replay(read(sheet.encode()).entries))
    assert (found.readings, found.samples[0], found.samples[-1]) == (14, "S1", "S14")
    assert found.flag.text.startswith(
        "Check weight 10 mg reads 9.981 mg on fine, outside ± 0.01 mg.\n14 readings since"
    )


def test_weighings_before_the_last_good_check_and_after_the_next_are_not() -> None:
    marks = check("10.002") + check("10.000", "S3") + check("9.981", "S5") + check("10.001", "S7")
    (found,) = suspects(replay(read((HEAD + marks + samples(1, 9)).encode()).entries))
    assert found.samples == ("S4", "S5", "S6", "S7")


def test_before_a_first_check_that_is_bad_all_are_suspect() -> None:
    sheet = HEAD + check("9.981", "S3") + samples(1, 4)
    (found,) = suspects(replay(read(sheet.encode()).entries))
    assert found.samples == ("S1", "S2", "S3", "S4")


def test_good_checks_suspect_nothing() -> None:
    sheet = HEAD + check("10.002") + check("9.991", "S4") + samples(1, 4)
    assert suspects(replay(read(sheet.encode()).entries)) == []


def test_a_mean_reading_is_told_a_place_finer_than_the_tolerance() -> None:
    """9.994667 mg on the pocket calculator; 9.98996 must not be told as a good 9.990."""
    for readings, told in (
        ('"9.994", "9.995", "9.995"', "9.9947"),
        ('"9.98996"', "9.98996"),
    ):
        bad = check("9.981", after="S2").replace('"9.981"', readings)
        bad = bad.replace("0.010 mg", "0.004 mg") if told == "9.9947" else bad
        (found,) = suspects(replay(read((HEAD + bad + samples(1, 2)).encode()).entries))
        assert f"reads {told} mg" in found.flag.text


def test_who_seals_is_shown_what_is_suspect() -> None:
    sheet = HEAD + check("10.002") + check("9.981", after="S14") + samples(1, 14)
    state = replay(read(sheet.encode()).entries)
    (shown,) = review(state, results(state)).suspect
    assert shown.startswith("Check weight 10 mg reads 9.981 mg on fine")
