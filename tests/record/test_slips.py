"""Slips: what is asked about a reading, what is not, and what is stored of the answer."""

import pytest

from assaybench.record import slips
from assaybench.record.check import faults
from assaybench.record.kinds import BY_NAME
from tests.record.asked_rows import asked, only, pair
from tests.record.trays import FINE, PULP, Row, place, reading, sample


def test_a_mixed_up_decimal_is_asked_with_places_and_both_grades() -> None:
    question = only(pair("0.314"), reading("gold", "3.14", "KV-017"))
    assert question.lines == (
        "Please look again: C4 3.14 mg is 10 times its duplicate A2 (0.314 mg).",
        "C4 would be 209 g/t, against 20.9 g/t for its duplicate A2.",
        "Type what you see now. Nothing is changed for you; both entries stay.",
    )
    assert question[:4] == ("times_10", "KV-003", 9, "0.314 mg")


@pytest.mark.parametrize(
    ("old", "new", "code", "said"),
    [
        ("0.314", "31.4", "times_100", " is 100 times its duplicate A2 (0.314 mg)."),
        ("0.314", "314", "times_1000", " is 1000 times its duplicate A2 (0.314 mg)."),
        ("3.140", "0.314", "part_10", " is 1/10 of its duplicate A2 (3.140 mg)."),
        ("3.140", "0.031", "part_100", " is about 1/100 of its duplicate A2 (3.140 mg)."),
        ("31.400", "0.031", "part_1000", " is about 1/1000 of its duplicate A2 (31.400 mg)."),
        ("0.314", "3.27", "times_10", " is about 10 times its duplicate A2 (0.314 mg)."),
        ("1.372", "1.327", "digits_changed_over", ", A2 1.372 mg: two digits changed over?"),
        ("13.72", "31.72", "digits_changed_over", ", A2 13.72 mg: two digits changed over?"),
        ("1.372", "3.172", "digits_changed_over", ", A2 1.372 mg: two digits changed over?"),
        ("1.372", "4.100", "far_from_duplicate", " is far from its duplicate A2 (1.372 mg)."),
    ],
)
def test_a_reading_that_is_unlike_its_duplicate_is_asked(
    old: str, new: str, code: str, said: str
) -> None:
    question = only(pair(old), reading("gold", new, "KV-017"))
    assert question.code == code
    assert question.seen.startswith(f"Please look again: C4 {new} mg{said}")
    assert "g/t for its duplicate A2." in question.grades


@pytest.mark.parametrize(
    ("old", "new"),
    [("1.372", "1.372"), ("1.372", "1.291"), ("0.314", "0.402"), ("0.003", "0.009"),
     ("0.001", "0.010"), ("0.12", "0.14"), ("2.000", "0.000")],
)  # fmt: skip
def test_duplicates_that_differ_as_duplicates_do_are_not_asked(old: str, new: str) -> None:
    assert asked(pair(old), reading("gold", new, "KV-017")) == []


def test_duplicates_of_unlike_charges_are_held_against_each_other_as_grades() -> None:
    rows = [
        FINE, PULP, sample("A"), sample("B", "duplicate", of="A"),
        reading("charge", "30.00", "A"), reading("charge", "15.00", "B"),
        reading("gold", "0.628", "A"),
    ]  # fmt: skip
    assert asked(rows, reading("gold", "0.314", "B")) == []
    question = only(rows, reading("gold", "3.140", "B"))
    assert question.seen == (
        "Please look again: B 3.140 mg is 10 times its duplicate A (20.9 g/t)."
        " B would be 209 g/t, against 20.9 g/t for its duplicate A."
    )
    # five times in the same mass, as the other would be ten times
    assert only(rows, reading("gold", "0.628", "B")).code == "far_from_duplicate"


def test_without_a_charge_masses_are_compared_and_no_grade_is_said() -> None:
    rows = [FINE, sample("A"), sample("B", of="A"), reading("gold", "0.628", "A")]
    question = only(rows, reading("gold", "6.280", "B"))
    assert (question.code, question.grades) == ("times_10", "")


def test_what_is_usual_is_learnt_from_the_duplicates_of_the_log() -> None:
    def rows(apart: float) -> list[Row]:
        found: list[Row] = [FINE, PULP]
        for k in range(12):
            a, b = f"S-{k}", f"S-{k}D"
            found += [sample(a), sample(b, "duplicate", of=a)]
            found += [reading("charge", "30.00", a), reading("charge", "30.00", b)]
            found += [reading("gold", "1.000", a), reading("gold", f"{apart:.3f}", b)]
        found += [sample("T"), sample("TD", "duplicate", of="T"), reading("gold", "1.000", "T")]
        return [*found, reading("charge", "30.00", "T"), reading("charge", "30.00", "TD")]

    new = reading("gold", "1.450", "TD")
    assert only(rows(1.01), new).code == "far_from_duplicate"
    assert asked(rows(1.4), new) == []


def test_repeats_of_one_object_may_lie_twice_their_usual_range_apart() -> None:
    rows = [FINE, sample("A"), reading("gold", "1.372", "A")]
    assert asked(rows, reading("gold", "1.380", "A")) == []
    far = only(rows, reading("gold", "1.395", "A"))
    assert far.sentence.startswith(
        "Please look again: A 1.395 mg is far from its reading before (1.372 mg)."
    )
    swapped_digits = only(rows, reading("gold", "1.327", "A"))
    assert swapped_digits.sentence.startswith(
        "Please look again: A 1.327 mg, before 1.372 mg: two digits changed over?"
    )
    assert only(rows, reading("gold", "13.72", "A")).code == "times_10"


def test_a_confirmed_reading_is_not_asked_about_again() -> None:
    rows = [*pair("0.314"), reading("gold", "3.140", "KV-017")]
    assert asked(rows, reading("gold", "3.142", "KV-017")) == []


@pytest.mark.parametrize(
    ("before", "new", "code", "said"),
    [
        (("bead", "1.204"), ("gold", "1.372"), "gold_above_bead",
         "A 1.372 mg is heavier than its bead (1.204 mg)."),
        (("gold", "1.372"), ("bead", "1.204"), "gold_above_bead",
         "A 1.204 mg is lighter than its gold (1.372 mg)."),
        (("charge", "0.25"), ("bead", "291.372"), "bead_above_charge",
         "A 291.372 mg is heavier than its charge (0.25 g)."),
    ],
)  # fmt: skip
def test_masses_that_contradict_each_other_are_asked(
    before: tuple[str, str], new: tuple[str, str], code: str, said: str
) -> None:
    rows = [FINE, PULP, sample("A"), reading(*before, "A")]
    question = only(rows, reading(*new, "A"))
    assert question.code == code
    assert question.sentence.startswith(f"Please look again: {said}")


def test_gold_as_heavy_as_its_bead_within_the_doubt_is_not_asked() -> None:
    rows = [FINE, sample("A"), reading("bead", "1.204", "A")]
    assert asked(rows, reading("gold", "1.207", "A")) == []


@pytest.mark.parametrize(
    ("text", "unit", "code", "said"),
    [
        ("30000", "g", "times_1000", "D 30000 g is 1000 times most others (30 g)."),
        ("0.03", "g", "part_1000", "D 0.03 g is 1/1000 of most others (30 g)."),
        ("30.00", "mg", "part_1000", "D 30.00 mg is 1/1000 of most others (30000 mg)."),
        ("310.2", "g", "times_10", "D 310.2 g is about 10 times most others (30 g)."),
    ],
)
def test_a_charge_a_power_of_ten_off_the_others_is_asked(
    text: str, unit: str, code: str, said: str
) -> None:
    rows = [FINE, PULP, *(sample(name) for name in "ABCD")]
    rows += [reading("charge", f"30.0{k}", name) for k, name in zip((0, 1, 0), "ABC", strict=True)]
    question = next(q for q in asked(rows, reading("charge", text, "D", unit=unit))
                    if q.code != "digit_not_shown")  # fmt: skip
    assert question.code == code
    assert question.sentence.startswith(f"Please look again: {said}")
    for honest in ("30.00", "29.17", "15.00", "60.00", "10.00"):
        assert asked(rows, reading("charge", honest, "D")) == []


def test_a_second_small_charge_is_like_one_that_was_confirmed() -> None:
    rows = [PULP, *(sample(name) for name in "ABCD")]
    rows += [reading("charge", "30.00", "A"), reading("charge", "30.00", "B")]
    assert only(rows, reading("charge", "3.00", "C")).code == "part_10"
    rows.append(reading("charge", "3.00", "C"))
    assert asked(rows, reading("charge", "3.10", "D")) == []


def test_beads_are_held_against_their_silver_and_their_duplicates() -> None:
    silver = {"silver": "8.000 mg"}
    rows = [FINE, sample("A", **silver), sample("B", of="A", **silver)]
    assert only(rows, reading("bead", "0.940", "A")).sentence.startswith(
        "Please look again: A 0.940 mg is about 1/10 of its silver (8 mg)."
    )
    assert only(rows, reading("bead", "93.980", "A")).code == "times_10"
    assert only(rows, reading("bead", "2.940", "A")).code == "bead_below_silver"
    assert asked(rows, reading("bead", "9.398", "A")) == []
    rows.append(reading("bead", "9.398", "A"))
    assert only(rows, reading("bead", "9398", "B")).code == "times_1000"
    assert asked(rows, reading("bead", "9.112", "B")) == []


def test_proofs_and_references_are_held_against_what_is_known() -> None:
    rows = [
        FINE, PULP, sample("P", "proof", gold_known="2.000 mg", silver_known="8.000 mg"),
        sample("R", "reference", value="4.00 ± 0.20 g/t"), reading("charge", "30.00", "R"),
    ]  # fmt: skip
    assert only(rows, reading("gold", "19.96", "P")).sentence.startswith(
        "Please look again: P 19.96 mg is 10 times what is known (2 mg)."
    )
    assert only(rows, reading("gold", "1.180", "R")).code == "times_10"
    assert only(rows, reading("bead", "0.992", "P")).code == "part_10"
    for honest in (("gold", "1.996", "P"), ("gold", "0.121", "R"), ("bead", "9.871", "P")):
        assert asked(rows, reading(*honest)) == []


BLANK = sample("B-1", "blank", lots=["L7"])


@pytest.mark.parametrize(
    ("rows", "code", "said"),
    [
        # nothing but charges yet, in grams: milligrams typed for grams, or a slip of the mark
        ([reading("charge", "30.00", "KV-003")], "blank_above_others",
         "is heavier than the charge of A2 (30.00 g)."),
        ([reading("bead", "2.131", "KV-003")], "blank_above_others",
         "is heavier than A2 (2.131 mg)."),
    ],
)  # fmt: skip
def test_an_impossible_bead_of_a_blank_is_asked(rows: list[Row], code: str, said: str) -> None:
    before = [FINE, PULP, sample("KV-003"), place("KV-003", "A2"), BLANK, place("B-1", "A4"), *rows]
    question = only(before, reading("bead", "45000", "B-1"))
    assert question.code == code
    assert question.seen == f"Please look again: A4 45000 mg {said}"


def test_a_bead_of_a_blank_is_held_against_its_silver_and_its_lead() -> None:
    rows = [FINE, sample("B-1", "blank", silver="8.000 mg", lead="30 g"), place("B-1", "A4")]
    assert asked(rows, reading("bead", "8.012", "B-1")) == []
    assert only(rows, reading("bead", "17.021", "B-1")).seen.endswith(
        "A4 17.021 mg is heavier than its silver (8.000 mg)."
    )
    heavy = only(rows, reading("bead", "45000", "B-1"))
    assert (heavy.code, heavy.seen) == (
        "bead_above_lead",
        "Please look again: A4 45000 mg is heavier than its lead (30 g).",
    )


def test_usual_beads_of_blanks_are_not_asked() -> None:
    rows = [FINE, PULP, sample("KV-003"), BLANK, sample("B-2", "blank"),
            reading("charge", "30.00", "KV-003"), reading("bead", "0.031", "KV-003")]  # fmt: skip
    for text in ("0.000", "0.004", "0.031", "0.090"):
        assert asked(rows, reading("bead", text, "B-1")) == []


def test_more_divisions_than_a_balance_shows_are_asked() -> None:
    rows = [FINE, PULP, sample("KV-003"), place("KV-003", "A2")]
    many = only(rows, reading("charge", "150789012345", "KV-003"))
    assert many.code == "divisions_too_many"
    assert many.seen.startswith("Please look again: A2 150789012345 g is over 100 million steps")
    assert asked(rows, reading("charge", "30.00", "KV-003")) == []


def test_a_digit_that_the_balance_cannot_show_is_asked() -> None:
    question = only([FINE, sample("A")], reading("gold", "1.3725", "A"))
    assert question.code == "digit_not_shown"
    assert question.sentence.startswith(
        "Please look again: A 1.3725 mg cannot be shown in steps of 0.001 mg."
    )
    zero = only([FINE], reading("zero", "0.0005"))
    assert zero.sentence.startswith("Please look again: zero 0.0005 mg cannot be shown")
    assert asked([FINE], reading("zero", "0.002")) == []


LINES = ("0.512", "1.274", "0.083", "2.116", "0.907")


def test_the_line_before_again_is_asked() -> None:
    names = [f"S-{k}" for k in range(len(LINES) + 1)]
    rows = [FINE, *map(sample, names)]
    rows += [reading("gold", t, n) for t, n in zip(LINES, names, strict=False)]
    question = only([*rows, place("S-4", "B2"), place("S-5", "B3")],
                    reading("gold", "0.907", "S-5"))  # fmt: skip
    assert question.code == "same_as_before"
    assert question.sentence.startswith(
        "Please look again: B3 0.907 mg is the same as the line before, B2 (0.907 mg)."
    )
    assert asked(rows, reading("gold", "2.116", "S-5")) == []


def test_equal_lines_that_are_no_wonder_are_not_asked() -> None:
    charges = [PULP, *map(sample, "ABCDE"), *(reading("charge", "30.00", n) for n in "ABCD")]
    assert asked(charges, reading("charge", "30.00", "E")) == []
    small = [FINE, *map(sample, "ABCDE"), *(reading("gold", f"0.01{k}", n)
                                            for k, n in enumerate("ABCD"))]  # fmt: skip
    assert asked(small, reading("gold", "0.013", "E")) == []
    proofs = [FINE, *(sample(n, "proof", gold_known="2 mg") for n in "AB")]
    assert asked([*proofs, reading("gold", "1.996", "A")], reading("gold", "1.996", "B")) == []


def test_a_sample_that_nothing_is_known_of_is_not_asked() -> None:
    assert asked([FINE, sample("A")], reading("gold", "1.372", "A")) == []
    pool: Row = ("pool", {"id": "PL", "samples": ["A"], "what": "bead"})
    assert asked([FINE, sample("A"), pool], reading("bead", "1.372", "PL")) == []


def test_both_what_was_typed_and_what_was_seen_are_stored() -> None:
    kind, values = reading("gold", "3.14", "KV-017")
    questions = asked(pair("0.314"), (kind, values))
    rows = slips.rows(values, questions, "0.314")
    assert rows == [
        ("asked", {"typed": "3.14", "question": "times_10", "confirmed": "0.314", "unit": "mg",
                   "sample": "KV-017", "what": "gold"}),
        ("reading", {**values, "text": "0.314"}),
    ]  # fmt: skip
    assert [faults(BY_NAME[kind], values) for kind, values in rows] == [[], []]
    assert slips.rows(values, [], "3.14") == [("reading", values)]
