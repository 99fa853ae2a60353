"""The table of sentences: short lines, plain words, what was typed shown as typed.

The filled examples are those of the project's own list of wording; numbers in them are invented.
"""

import re
from collections import defaultdict
from string import Formatter

import pytest
from hypothesis import given

from assaybench.messages import PARTS, BadInput, _part, quoted, say
from tests.house.message_table import WHOLE, fields_of
from tests.strategies import any_text, near_figures

LONGEST_LINE = 76

EXAMPLES: dict[str, str] = defaultdict(
    lambda: "0.123",
    {
        "B": "9.398",
        "G": "1.372",
        "LC": "0.0033",
        "LD": "0.007",
        "M": "9.398",
        "N": "5",
        "P": "84",
        "T": "0.42",
        "U": "0.004",
        "a": "T-31a",
        "accepted": "Write a figure.",
        "ag": "0.142",
        "aim": "1",
        "at": "120",
        "b": "T-31b",
        "bench": "a1b2c3",
        "byte": "120",
        "c": "1.0",
        "cal": "1.2",
        "charge": "30 g",
        "choices": "mg, g, kg or t",
        "crit": "0.007",
        "d": "+3.5",
        "div": "184",
        "division": "0.033 g/t",
        "entry": "12",
        "dof": "9",
        "example": "0.31 mg",
        "figure": "58.5 ± 0.3 %",
        "first": "12",
        "found": "mass",
        "g1": "< 0.33",
        "g2": "0.64",
        "grade": " (0.22 g/t)",
        "group": "samples",
        "hi": "+8.2",
        "hint": " Did you mean --aim?",
        "kind": "mass",
        "kind_a": "mass",
        "kind_b": "length",
        "least": "0.001",
        "line": "12",
        "list": "4 (T-31 a, b, d, e)",
        "lo": "-1.2",
        "loss": "0.17",
        "m": "0.184",
        "mean": "7.16",
        "most": "20",
        "n": "7",
        "name": "log",
        "need": "0.40",
        "other": "g/t",
        "pct": "2.2",
        "r": "0.012",
        "r2": "70",
        "size": "-0.25 mm",
        "text": "0.313 mg",
        "unit": "mg",
        "wanted": "length",
        "what": "a charge",
        "why": "proof lost",
        "x": "1.6",
        "y": "1.2",
    },
)
"""What a field holds in an ordinary sentence, by its name."""

# Sentences whose wording is settled word for word, with the example that settled it.
FILLED: tuple[tuple[str, dict[str, str], str], ...] = (
    (
        "bead_too_light",
        {"m": "0.184", "U": "0.004", "div": "184", "pct": "2.2", "aim": "1", "need": "0.40"},
        (
            "Too light for your aim: 0.184 ± 0.004 mg is 184 divisions, ± 2.2 %.\n"
            "For ± 1 % you need 0.40 mg. Pool beads, or use a finer balance."
        ),
    ),
    (
        "not_detected",
        {"m": "0.002", "LD": "0.007", "grade": " (0.22 g/t)"},
        (
            "Not detected: 0.002 mg on this balance cannot be told apart from zero.\n"
            "This does not mean zero: up to 0.007 mg (0.22 g/t) could be there unseen."
        ),
    ),
    (
        "dore_not_gold",
        {"B": "9.398", "U": "0.004"},
        (
            "This bead is doré: gold and silver together, 9.398 ± 0.004 mg.\n"
            "Gold not determined. To know the gold, part the bead and weigh again."
        ),
    ),
    (
        "recovery_at_most",
        {"size": "-0.25 mm", "figure": "54.33 ± 0.05 %"},
        (
            "Recovery of -0.25 mm: at most 54.33 ± 0.05 %, perhaps much less.\n"
            "Gold that stage 2 also missed is not in it. Assay the final tailings."
        ),
    ),
    (
        "recovery_alike",
        {"figure": "58.5 ± 0.3 %", "lo": "58.5", "hi": "85.5"},
        (
            "If stage 2 catches as well as stage 1, recovery is 58.5 ± 0.3 %.\n"
            "If stage 2 is better: 58.5 to 85.5 %. If it is worse: less than 58.5 %."
        ),
    ),
    (
        "tailings_disagree",
        {"g1": "< 0.33", "g2": "0.64", "unit": "g/t"},
        (
            "These disagree: tailings assay < 0.33 g/t, but 0.64 if stages are alike.\n"
            "Both are kept. Grains missed, or stage 2 better? Assay a larger sample."
        ),
    ),
    (
        "difference_not_shown_runs",
        {
            "d": "+3.5",
            "lo": "-1.2",
            "hi": "+8.2",
            "unit": "points",
            "n": "7",
            "what": "runs of each",
        },
        (
            "Difference not shown: +3.5 points; the truth may be -1.2 to +8.2 points.\n"
            "Not the same as equal. With 7 runs of each, +3.5 would show 4 times in 5."
        ),
    ),
    (
        "grains_decide",
        {"N": "4", "pct": "100", "aim": "20", "x": "25"},
        (
            "Chance decides: about 4 gold grains make this result, so ± 100 %.\n"
            "A finer balance will not help. For ± 20 %, take 25 times the sample."
        ),
    ),
    (
        "readings_disagree",
        {"n": "3", "r": "0.012", "crit": "0.007"},
        (
            "Readings disagree: 3 readings lie 0.012 mg apart; up to 0.007 is usual.\n"
            "All are kept, no mean is taken. Bead cold? Pan clean? Zero? Weigh again."
        ),
    ),
    (
        "please_look_again",
        {
            "pos": "C4",
            "new": "3.14 mg",
            "what": "10 times",
            "ref": "its duplicate A2",
            "old": "0.314 mg",
        },
        (
            "Please look again: C4 3.14 mg is 10 times its duplicate A2 (0.314 mg).\n"
            "Type what you see now. Nothing is changed for you; both entries stay."
        ),
    ),
    (
        "silver_not_determinable",
        {"ag": "0.142", "loss": "0.17"},
        (
            "Silver cannot be found this way: 0.142 mg, but loss may be 0.17 mg.\n"
            "Next: a proof in the same fire, or a second charge with no silver added."
        ),
    ),
    (
        "gold_above_bead",
        {"G": "1.372", "B": "1.204"},
        (
            "Gold 1.372 mg is heavier than its bead 1.204 mg. Both are stored as read.\n"
            "No result until one is weighed again or explained. Right cup? Dry? Cold?"
        ),
    ),
    (
        "n_of_N",
        {
            "n": "1",
            "N": "5",
            "mean": "7.16",
            "unit": "g/t",
            "list": "4 (T-31 a, b, d, e)",
            "why": "asked for by client, KB",
        },
        (
            "1 of 5 determinations shown. Mean of all 5: 7.16 g/t.\n"
            "Left out: 4 (T-31 a, b, d, e). Reason: asked for by client, KB."
        ),
    ),
    (
        "cutoff_not_shown",
        {"y": "1.2", "U": "0.4", "c": "1.0", "unit": "g/t", "P": "84"},
        (
            "Not shown: 1.2 ± 0.4 g/t may be above or below the cut-off, 1.0 g/t.\n"
            "The chance that the truth is above it is 84 in 100."
        ),
    ),
    (
        "unit_unclear",
        {"x": "oz", "choices": "ozt (troy ounce, 31.10 g) or oz_av (28.35 g)"},
        '"oz" is not clear. Write ozt (troy ounce, 31.10 g) or oz_av (28.35 g).',
    ),
)


OF_ONE_CODE = {"rerun_not_seen": {"figure": "99.73 %"}}
"""Fields that hold something shorter in one sentence than elsewhere: here a bound without ±."""


def filled(code: str, **fields: str) -> str:
    examples = {name: EXAMPLES[name] for name in fields_of(WHOLE[code])}
    return say(code, **{**examples, **OF_ONE_CODE.get(code, {}), **fields})


# --- the sentences -------------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "fields", "text"), FILLED, ids=[code for code, _, _ in FILLED])
def test_a_sentence_reads_as_agreed(code: str, fields: dict[str, str], text: str) -> None:
    assert filled(code, **fields) == text
    assert all(len(line) <= LONGEST_LINE for line in text.split("\n"))


def on_a_page(code: str) -> bool:
    """Sentences of a page start large; a fault of typing follows its place: `--aim: …`."""
    return WHOLE[code][0].isupper()


def test_a_sentence_is_one_or_two_lines() -> None:
    lines = {code: filled(code).split("\n") for code in WHOLE}
    assert [code for code, found in lines.items() if len(found) > 2] == []
    clean = lambda line: line and line == line.strip() and line.isprintable()  # noqa: E731
    assert [code for code, found in lines.items() if not all(map(clean, found))] == []


def test_a_sentence_of_a_page_fits_its_line() -> None:
    lines = [line for code in WHOLE if on_a_page(code) for line in filled(code).split("\n")]
    assert len(lines) > 1000
    assert [line for line in lines if len(line) > LONGEST_LINE] == []


def test_a_code_is_a_plain_name_and_its_fields_are_plain_too() -> None:
    assert [code for code in WHOLE if not re.fullmatch(r"[a-zA-Z][a-zA-Z0-9_]*", code)] == []
    fields = [(code, part) for code, text in WHOLE.items() for part in Formatter().parse(text)]
    amiss = [
        code
        for code, (_, name, spec, conversion) in fields
        if name is not None
        and (not re.fullmatch(r"[A-Za-z_0-9]+", name) or spec or conversion is not None)
    ]
    assert amiss == []


NEVER_SAID = re.compile(
    r"\b(accurate|accuracy|errors?|significant|valid|invalid|correct|incorrect|safe|quantified"
    r"|tolerance|confidence|batch|not OK)\b",
    re.IGNORECASE,
)


def test_no_sentence_uses_a_word_that_promises_or_means_too_much() -> None:
    found = {code: NEVER_SAID.findall(text) for code, text in WHOLE.items()}
    assert {code: words for code, words in found.items() if words} == {}


# --- what is said of what was typed --------------------------------------------------------------


@given(any_text | near_figures)
def test_what_was_typed_is_shown_on_one_printable_line(text: str) -> None:
    shown = quoted(text)
    assert shown.isprintable()
    assert shown[0] == shown[-1] == '"'
    assert len(shown) <= 43


def test_what_was_typed_is_shown_as_typed_when_it_can_be() -> None:
    assert quoted("  0,31 mg ") == '"0,31 mg"'
    assert quoted("9" * 41) == f'"{"9" * 40}…"'
    assert quoted("9" * 40) == f'"{"9" * 40}"'
    assert quoted("a\x1b[2J\nb\u202ec\ud800") == '"a·[2J·b·c·"'
    assert quoted("{x}") == '"{x}"'


def test_braces_that_were_typed_are_no_fields() -> None:
    line = BadInput.of("number_unreadable", x=quoted("{example}"), example="0.31 mg").lines[0]
    assert line == '"{example}" is not a figure. Write it like 0.31 mg.'


def test_a_sentence_without_its_numbers_is_a_fault_of_the_program() -> None:
    with pytest.raises(KeyError):
        say("bead_too_light")
    with pytest.raises(KeyError):
        say("no_such_code")


def test_faults_have_a_line_each_and_take_the_name_of_their_place() -> None:
    fault = BadInput(["one", "two"])
    assert fault.lines == ("one", "two")
    assert str(fault) == "one\ntwo"
    named = fault.named("--zero 2")
    assert type(named) is BadInput
    assert named.lines == ("--zero 2: one", "--zero 2: two")
    assert BadInput.of("percent_unreadable", x='"1"').lines == (
        '"1" is not a share. Write it like 1% or 0.5 %.',
    )


def test_a_code_stands_in_one_table_only() -> None:
    names = [name for part in PARTS for name in _part(part)]
    assert len(names) == len(set(names))
    assert set(names) < set(WHOLE)
