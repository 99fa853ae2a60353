"""Every sentence the program says of its own accord: one table, a code and at most two lines each.

A translation is a copy of the whole table, whose parts stand in the files beside this one. Lines
say what is, then what to do; they are filled with numbers already written out. What a person typed
is shown through `quoted`, so no control sign reaches a terminal.
"""

from collections.abc import Iterable
from importlib import import_module
from typing import Self

PARTS = (
    "assay",
    "balances",
    "bench",
    "books",
    "caught",
    "circuit",
    "guided",
    "logbook",
    "record",
    "results",
    "seal",
    "selftest",
    "tray",
    "value",
    "verify",
    "worth",
)
"""The other subjects, each in a file `messages_SUBJECT.py` with a table of that name in capitals. A
file is loaded when its first sentence is said: a quick sum pays for none that it does not need."""


class _Table(dict[str, str]):
    """The sentences that were loaded; one that is missing is looked for in the other subjects."""

    def __missing__(self, code: str) -> str:
        for part in PARTS:
            self.update(_part(part))
            if code in self:
                return self[code]
        raise KeyError(code)


def _part(subject: str) -> dict[str, str]:
    found: dict[str, str] = getattr(
        import_module(f"assaybench.messages_{subject}"), subject.upper()
    )
    return found


TABLE = _Table({
    # verdicts of a weighing, and what follows from them
    "bead_too_light": (
        "Too light for your aim: {m} ± {U} {unit} is {div} divisions, ± {pct} %.\n"
        "For ± {aim} % you need {need} {unit}. Pool beads, or use a finer balance."
    ),
    "wider_than_aim": (
        "Wider than your aim of ± {aim} %: this is ± {pct} %.\n"
        "No mass can meet this aim: the calibration alone is ± {cal} %."
    ),
    "wider_zero_moved": (
        "Wider than your aim of ± {aim} %: this is ± {pct} %.\n"
        "The zero moved. Let the balance settle, zero it and weigh again."
    ),
    "not_detected": (
        "Not detected: {m} {unit} on this balance cannot be told apart from zero.\n"
        "This does not mean zero: up to {LD} {unit}{grade} could be there unseen."
    ),
    "detected_rough": (
        "Metal is there. The figure is rough: ± {pct} %.\n"
        "Ten times the spread, {tenfold} {unit}, is the least for a firm figure."
    ),
    "within_aim": "Within your aim of ± {aim} %: this is ± {pct} %.",
    "aim_not_shown": (
        "The steps of the display alone would allow ± {pct} %; your aim is ± {aim} %.\n"
        "Spread of this balance not measured. Weigh one small weight ten times."
    ),
    "readings_disagree": (
        "Readings disagree: {n} readings lie {r} {unit} apart; up to {crit} is usual.\n"
        "All are kept, no mean is taken. Bead cold? Pan clean? Zero? Weigh again."
    ),
    "below_zero": (
        "Far below zero: {m} {unit} is more than 3u under zero (standard uncertainty).\n"
        "Kept as read, no figure follows from it. Zero the balance and weigh again."
    ),
    # flags
    "spread_not_measured": (
        "Spread of this balance not measured: ± is a lower bound.\n"
        "Weigh one small weight ten times and give --repeatability."
    ),
    "zero_moved": "Zero moved by {r} {unit} between before and after; up to {crit} is usual.",
    "calibration_not_verified": "Calibration not verified: no check weight given.",
    "spread_from_zeros": "Spread of {balance} from the zeros of this log: {s} mg, {n} pairs.",
    "calibration_none": (
        "Calibration of {balance} not verified: its scale is taken as exact.\n"
        "Check it with a weight of known class or with a certificate."
    ),
    "calibration_weight_unknown": (
        "Calibration of {balance} not verified: its weight has no ± and no known class.\n"
        "Its scale is taken as exact. Give the weight its certificate or its class."
    ),
    "calibration_checked": "Calibration of {balance} from the {check} with {weight}: u {u} %.",
    "calibration_high": "It reads {e} % high: that is in the ±, not corrected.",
    "calibration_low": "It reads {e} % low: that is in the ±, not corrected.",
    "check_at": "check at {t}",
    "checks_at": "checks at {first} and {last}",
    "check_on_paper": "check",
    "checks_on_paper": "first and last check",
    "digit_not_shown": "{text} cannot be shown by a balance with steps of {d}.",
    "few_divisions": "{div} divisions: below 50 divisions the last digit rules the figure.",
    "repeats_would_do": "Or weigh it {n} times, each with its zero: ± {pct} %.",
    "not_sampling": "Says what is in this charge, not in the lot: sampling is not in the ±.",
    "grade_is_dore": "A bead is gold and silver: a grade from it is doré until it is parted.",
    # what a quick sum takes as given
    "weigh_tared": "Tared: the zero was not recorded and counts as 0; drift is not seen.",
    "weigh_rounding_alone": "± holds the rounding of reading and zero alone.",
    "weigh_spread_known": "The spread is taken as well known: --repeats was not given.",
    "weigh_repeats_idle": "Repeats do not narrow ±: the spread is below 0.6 of a step.",
    "weigh_linearity_once": "Linearity enters once: the balance is zeroed empty.",
    "weigh_buoyancy": "Air buoyancy left out: at most 0.01 % of a bead.",
    "typed_expanded": "± as typed is U with k = 2.",
    "typed_standard": "± as typed is a standard uncertainty u, well known.",
    "typed_parentheses": "Parentheses are standard uncertainties u, well known.",
    "typed_alone": "Typed without its ±: the digits are arithmetic, not knowledge.",
    "sieve_mesh": "A bare mesh number is the US number of ASTM E11.",
    "sieve_new": "Tolerances are those of a new sieve; wear widens it.",
    "sieve_quarter": "A quarter of the width is our own limit, no source.",
    "sieve_tyler": "Tyler mesh of the same opening, mostly from memory; the opening decides.",
    "sieve_two_figures": (
        "{series}: mean opening within ± the first figure,\n"
        "largest one within + the second."
    ),
    # significance
    "difference_shown": (
        "Difference shown: {d} {unit}; the truth lies between {lo} and {hi} {unit}."
    ),
    "difference_not_shown": (
        "Difference not shown: {d} {unit}; the truth may be {lo} to {hi} {unit}.\n"
        "Not the same as equal. It would show if both ± were {x} times smaller."
    ),
    "difference_not_shown_equal": (
        "Difference not shown: {d} {unit}; the truth may be {lo} to {hi} {unit}.\n"
        "They agree. That does not prove both right."
    ),
    "difference_not_shown_runs": (
        "Difference not shown: {d} {unit}; the truth may be {lo} to {hi} {unit}.\n"
        "Not the same as equal. With {n} {what}, {d} would show 4 times in 5."
    ),
    "cutoff_above": (
        "Above the cut-off, {c} {unit}: {y} ± {U} {unit}.\n"
        "The chance that the truth is above it is {P} in 100."
    ),
    "cutoff_below": (
        "Below the cut-off, {c} {unit}: {y} ± {U} {unit}.\n"
        "The chance that the truth is above it is {P} in 100."
    ),
    "cutoff_not_shown": (
        "Not shown: {y} ± {U} {unit} may be above or below the cut-off, {c} {unit}.\n"
        "The chance that the truth is above it is {P} in 100."
    ),
    "runs_beyond_all": (
        "A run of {x} lies beyond 0 to 100 %.\n"
        "If these are recoveries, look at that run again."
    ),
    "assumed_alternation": (
        "Were old and new run in turn? If not, a drift of the feed looks like a gain."
    ),
    # metal
    "dore_not_gold": (
        "This bead is doré: gold and silver together, {B} ± {U} mg.\n"
        "Gold not determined. To know the gold, part the bead and weigh again."
    ),
    "gold_above_bead": (
        "Gold {G} mg is heavier than its bead {B} mg. Both are stored as read.\n"
        "No result until one is weighed again or explained. Right cup? Dry? Cold?"
    ),
    "silver_not_determinable": (
        "Silver cannot be found this way: {ag} mg, but loss may be {loss} mg.\n"
        "Next: a proof in the same fire, or a second charge with no silver added."
    ),
    # a person's typing
    "unit_unclear": '"{x}" is not clear. Write {choices}.',
    "unit_unknown": '"{x}" is not a unit here. Write {choices}.',
    "unit_missing": "{x} has no unit. Write it behind the number: {choices}.",
    "unit_wrong": "{x} is a {found}; a {wanted} is asked for here: {choices}.",
    "unit_not_wanted": "{x}: a bare number is asked for here, without a unit.",
    "number_empty": "nothing was typed; a figure such as {example} is asked for.",
    "number_unreadable": "{x} is not a figure. Write it like {example}.",
    "number_too_long": "{x} is too long for a figure: at most {most} characters.",
    "number_too_large": "{x} is out of range: from 0.000000001 to 1000000000000 is accepted.",
    "number_both_marks": "{x} has a point and a comma. Use one decimal mark, no thousands mark.",
    "number_two_marks": "{x} has two decimal marks. Use one, and no thousands mark.",
    "number_exponent": "{x} is written with an exponent. Write it out, like 0.0031.",
    "number_negative": "{x} is below zero; {what} cannot be.",
    "number_not_positive": "{x} is not above zero; {what} must be.",
    "number_not_whole": "{x} is not a whole number from {least} to {most}.",
    "uncertainty_missing": '{x} has no ±. Write "3.2 ± 0.4 g/t" (± is U) or "3.20(20) g/t" (u).',
    "uncertainty_not_wanted": "{x}: write the figure alone, without ±, parentheses or <.",
    "uncertainty_zero": "{x}: its ±, or u in parentheses, must be above zero.",
    "uncertainty_below": '{x} is a limit; a figure is asked for here, like "3.2 ± 0.4 g/t".',
    "percent_unreadable": "{x} is not a share. Write it like 1% or 0.5 %.",
    "percent_range": "{x} is out of range: {what} is from {least} % to {most} %.",
    "mass_unbelievable": "{x} is not a mass for a balance: up to 1000 t is accepted.",
    "choice_unknown": "{x} is not a choice for {what}. Write {choices}.",
    "option_needs": "{option} needs {other}.",
    "option_excludes": "{option} and {other} exclude each other.",
    "too_many_repeats": "{n} readings of one object; at most 20 are accepted.",
    "units_mixed": "one list has one unit; this one has {units}.",
    "too_many_runs": "{n} runs; at most {most} are accepted.",
    "runs_unusable": "{why}.",
    "units_differ": "{a} and {b} are not of one kind: a {kind_a} and a {kind_b}.",
    "conversion_impossible": "{x} cannot become {unit}: one is a {kind}, the other a {other}.",
    "sieve_order": "{a} is not coarser than {b}: write the coarse sieve first.",
    "sieve_twice": "{a} stands twice. Write each sieve once; a fraction lies between two.",
    "argument_missing": "{what} is missing. {accepted}",
    "form_convert": "Write a figure and, if you like, the unit it shall have: convert {x} g/t.",
    "form_results": "Write one hand sheet or log: results FILE, results 12.",
    "form_sieves": "Write one sieve (75um, 'No. 200') or two for a size fraction.",
    "form_silver": "Write its mass, none or unknown.",
    "not_a_file": "not a file name",
    "not_a_folder": "not a folder name",
    "argument_unexpected": "{x} is more than this command takes. {accepted}",
    "option_unknown": "{x} is not an option of this command.{hint} --help lists them.",
    "option_value_missing": "{x} needs a value behind it.",
    "option_twice": "{x} is given more than once; it is taken once.",
    "command_unknown": "{x} is not a command.{hint} Type assaybench --help for the list.",
    "interrupted": "interrupted.",
    "program_fault": "a fault of the program, not yours: {what}.",
    "not_printed": "the answer could not be printed: {why}.",
    "stored_told": "What was stored is stored; assaybench {command} tells it.",
    "output_closed": "standard output is closed",
    # footers
    "coverage": "U: k = {k}, about 95 in 100.",
})  # fmt: skip

_LONGEST_QUOTE = 40


def whole() -> dict[str, str]:
    """The whole table, of all subjects."""
    found = dict(TABLE)
    for part in PARTS:
        found |= _part(part)
    return found


def say(code: str, **fields: object) -> str:
    """The sentence of a code with its numbers filled in; a second line follows a line break.

    Raises:
        KeyError: for a code that is not in the table, or a field that is not given.
    """
    return TABLE[code].format(**fields)


def printable(text: str) -> str:
    """A text with a dot for every sign that is not printed or turns the line round."""
    return "".join(sign if sign.isprintable() else "·" for sign in text)


def quoted(text: str) -> str:
    """What a person typed, fit to be shown: one line, printable signs only, cut after 40."""
    shown = printable(text.strip())
    if len(shown) > _LONGEST_QUOTE:
        shown = shown[:_LONGEST_QUOTE] + "…"
    return f'"{shown}"'


class BadInput(ValueError):
    """Something typed or read that cannot be accepted: one clear line for each fault.

    Attributes:
        lines: the faults, each naming what was wrong and what is accepted.
    """

    def __init__(self, lines: Iterable[str]) -> None:
        self.lines = tuple(lines)
        super().__init__("\n".join(self.lines))

    @classmethod
    def of(cls, code: str, **fields: object) -> Self:
        """The fault of one code of the table."""
        return cls([say(code, **fields)])

    def named(self, place: str) -> "BadInput":
        """The same faults, each led by the name of its place: an option, or a line of a file."""
        return BadInput(f"{place}: {line}" for line in self.lines)
