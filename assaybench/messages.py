"""Every sentence the program says of its own accord: one table, a code and at most two lines each.

A translation is a copy of `TABLE`. Lines say what is, then what to do; they are filled with numbers
already written out. What a person typed is shown through `quoted`, so no control sign reaches a
terminal.
"""

from collections.abc import Iterable
from typing import Self

from assaybench.messages_logbook import LOGBOOK

TABLE: dict[str, str] = {
    # verdicts of a weighing, and what follows from them
    "bead_too_light": (
        "Too light for your aim: {m} ± {U} {unit} is {div} divisions, ± {pct} %.\n"
        "For ± {aim} % you need {need} {unit}. Pool beads, or use a finer balance."
    ),
    "wider_than_aim": (
        "Wider than your aim of ± {aim} %: this is ± {pct} %.\n"
        "No mass can meet this aim: the calibration alone is ± {cal} %."
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
        "Far below zero: {m} {unit} is more than three times its doubt under zero.\n"
        "Kept as read, no figure follows from it. Zero the balance and weigh again."
    ),
    # flags
    "spread_not_measured": (
        "Spread of this balance not measured: ± is a lower bound.\n"
        "Weigh one small weight ten times and give --repeatability."
    ),
    "zero_moved": "Zero moved by {r} {unit} between before and after; up to {crit} is usual.",
    "calibration_not_verified": "Calibration not verified: no check weight given.",
    "digit_not_shown": "{text} cannot be shown by a balance with steps of {d}.",
    "few_divisions": "{div} divisions: below 50 divisions the last digit rules the figure.",
    "repeats_would_do": "Or weigh it {n} times, each with its zero: ± {pct} %.",
    "not_sampling": "Says what is in this charge, not in the lot: sampling is not in the ±.",
    "grade_floor": "With {charge}, one division is {division} and {LD} could hide unseen.",
    "grade_is_dore": "A bead is gold and silver: a grade from it is doré until it is parted.",
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
        "Not the same as equal. With {n} runs of each, {d} would show 4 times in 5."
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
    # the assay
    "like_the_blank": (
        "Like the blank: {y} mg of the {m} mg read would be from the sample.\n"
        "This does not mean zero: up to {LD} mg could be there unseen."
    ),
    "above_the_blank": "Above the blank: {y} ± {U} mg of the {m} mg read is from the sample.",
    "above_the_blank_rough": (
        "Above the blank: {y} ± {U} mg of the {m} mg read is from the sample.\n"
        "The figure is rough: ten times the spread would be {tenfold} mg."
    ),
    "far_below_blank": (
        "Far below zero: {y} mg is left after the blank, beyond three times its doubt.\n"
        "Kept as read, no figure follows from it. Right lot? Zero? Weigh again."
    ),
    "below_critical": "Read as {y} {unit}; that cannot be told from the blank.",
    "blank_not_run": (
        "Process blank not run: what the reagents bring is not taken off.\n"
        "Run a blank of the same lots in the next fire."
    ),
    "blank_scatter_unknown": (
        "Blank scatter unknown: one blank, only its weighing is in the ±.\n"
        "Two blanks of the lot or more show it."
    ),
    "blanks_over_runs": "No fire held two blanks: their scatter is taken from fire to fire.",
    "no_matching_proof": "Not corrected for cupel loss: {why}.",
    "proof_none": "no proof in this fire",
    "proof_no_metal": "the bead holds no metal that a proof could match",
    "proof_other_run": "the proof is of another fire",
    "proof_other_metal": "the proof holds {ratio} times the metal",
    "proof_other_lead": "the proof had {there} g of lead, the bead {here} g",
    "proof_other_silver": "the proof had {there} mg of silver, the bead {here} mg",
    "proof_other_copper": "the proof had {there} mg of copper, the bead {here} mg",
    "proof_additive": "Loss of the proofs, taken less found, is added to the metal.",
    "proof_ratio": "The metal is multiplied by taken over found of the proofs.",
    "proof_scaled": "Loss of the proof times {x}, by surface (mass to the power 2/3): declared.",
    "proofs_over_runs": "No fire held two proofs: their scatter is taken from fire to fire.",
    "loss_scatter_unknown": (
        "Loss scatter unknown: one proof, so ± is a lower bound.\n"
        "Two proofs in each fire or more show it."
    ),
    "surcharge_scatter_unknown": (
        "Surcharge scatter unknown: one proof, so ± is a lower bound.\n"
        "Two proofs beside the pieces are the rule."
    ),
    "cupel_counted_twice": (
        "Cupel treated again and a proof used: both make up for cupel loss. Choose one."
    ),
    "slag_again": "Slag treated again: {y} mg is added, its own blank taken off.",
    "cupel_again": "Cupel treated again: {y} mg is added, its own blank taken off.",
    "bead_above_sample": (
        "Bead {B} mg is heavier than its sample, {M} mg. Both are stored as read.\n"
        "No result until one is weighed again or explained. mg for g?"
    ),
    "retained_silver": (
        "Silver left in the gold, 0.1 to 0.2 % of it, is not covered:\n"
        "no proof was parted in the same boil."
    ),
    "too_little_silver": (
        "Too little silver to part: {ratio} to 1 of gold; {least} to 1 is the least.\n"
        "Inquart and part again."
    ),
    "silver_added_unknown": (
        "Silver added is not known: silver and fineness are not determined.\n"
        "The gold stands. Next: a charge whose added silver is weighed, or none."
    ),
    "silver_loss_unknown": (
        "Silver loss not known: 0 to {most} % is taken, from memory. Run a proof."
    ),
    "silver_both_ends": "Silver is {least} mg if none was lost, {other} mg if {loss} % was.",
    "silver_not_shown": (
        "Silver cannot be told from none: {ag} ± {U} mg is found this way.\n"
        "Next: more proofs in the same fire, or a charge with no silver added."
    ),
    "silver_missing": (
        "Less silver than was added: {ag} mg, beyond three times its doubt.\n"
        "No result until it is explained. Added silver right? Did the bead spit?"
    ),
    "as_received": "As received: no moisture is given, so its water counts as rock.",
    "determinations_disagree": (
        "They disagree: {a} and {b} {unit} lie {d} apart; up to {crit} is usual.\n"
        "All stay. Coarse gold, or a slip? Weigh in and assay once more."
    ),
    "one_determination": "One determination: how far a second would lie from it is not in the ±.",
    "spread_of_log": "Spread of one determination from the log: {s} {unit}, ν = {dof}.",
    "spread_of_own": "Spread of these {n} determinations: {s} {unit}.",
    "n_of_N": (
        "{n} of {N} determinations shown. Mean of all {N}: {mean} {unit}.\n"
        "Left out: {list}. Reason: {why}."
    ),
    "left_out_no_reason": "{x} is left out without a reason. Write why; it is printed.",
    "left_out_unknown": "{x} is not one of the determinations: {choices}.",
    "left_out_all": "every determination is left out; one at least must stay.",
    "closure_fails": (
        "Masses do not close: {d} g between total and parts; up to {crit} g is usual.\n"
        "Missing mass is not spread. Spilt, or left on the sieve? Weigh again."
    ),
    "simple_mean_no_grade": "The simple mean of the {n} assays, {mean} {unit}, is not a grade.",
    "minus_alone": "An assay of the minus alone would have said {g} {unit}.",
    "plus_all_fused": (
        "All of plus fused: it is no sample here. For the lot its few grains count."
    ),
    "plus_part_fused": (
        "Only {part} of {plus} g of plus fused: its few grains may mislead. Fuse all."
    ),
    "one_piece": "One piece: two or more are the rule for bullion.",
    "within_splitting_limit": (
        "Within the splitting limit: {d} {unit} apart, the limit is {limit}.\n"
        "Settled at the mean, {mean} {unit}."
    ),
    "beyond_splitting_limit": (
        "Beyond the splitting limit: {d} {unit} apart, the limit is {limit}.\n"
        "To the umpire; the contract's rule decides from there."
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
    "uncertainty_zero": "{x}: the doubt behind ± must be above zero.",
    "uncertainty_below": '{x} is a limit. Compare needs a figure like "3.2 ± 0.4 g/t".',
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
    "sieve_unknown": "{x} is no sieve of {series}. {hint}",
    "sieve_order": "{a} is not coarser than {b}: write the coarse sieve first.",
    "argument_missing": "{what} is missing. {accepted}",
    "argument_unexpected": "{x} is more than this command takes. {accepted}",
    "option_unknown": "{x} is not an option of this command.{hint} --help lists them.",
    "option_value_missing": "{x} needs a value behind it.",
    "option_twice": "{x} is given more than once; it is taken once.",
    "command_unknown": "{x} is not a command.{hint} Type assaybench --help for the list.",
    "program_fault": "a fault of the program, not yours: {what}. Nothing was written.",
    # entries and hand sheets
    "value_not_text": "{x} is not text. Write it in quotes.",
    "value_text": "{x} is not one line of printable text, 1 to {most} characters.",
    "value_not_list": '{x} is not a list. Write ["…", "…"].',
    "value_yes_no": "{x} is neither true nor false.",
    "value_time": "{x} is not a time with its offset, like 2026-06-09T14:31:00+02:00.",
    "value_id": "{x} is not an id: 1 to 32 letters, digits, blanks or . _ / + - after the first.",
    "value_initials": "{x} is not initials: 1 to 6 letters.",
    "value_sha256": "{x} is not a SHA-256 digest: 64 hex digits.",
    "value_date": "{x} is not a date. Write it without quotes, like 2026-06-09.",
    "value_not_tables": "{x} is a list of tables. Write [[{x}]] above each.",
    "value_not_table": "{x} is one table. Write [{x}] above its lines.",
    "name_twice": "{x} is there already; every name stands for one thing.",
    "name_unknown": "{x} is not among the {group} of this sheet.",
    "balance_not_named": (
        'no balance is named. Add balance = "…", or weighs = ["{what}"] at a balance.'
    ),
    "sheet_too_large": "the file has {n} bytes; at most {most} are accepted.",
    "sheet_too_many": "{n} entries; at most {most} are accepted.",
    "sheet_not_utf8": "not UTF-8 text from byte {at} on. Save the file as UTF-8.",
    "sheet_not_toml": "not TOML: {why}.",
    "balance_unknown": "{x} is not a balance of this log. Describe it before it is used.",
    "key_unknown": "{x} is not known here. Known are {choices}.",
    "key_missing": "{x} is missing: {what}.",
    "blank_clean": "{m} mg of {what}: nothing to be told from zero.",
    "blank_holds_metal": (
        "Holds a little metal: {m} mg of {what}; up to {LC} is like zero.\n"
        "Its mean is taken off every sample of the lot. Reagents? Sample before it?"
    ),
    "reference_found": "found {found}, certified {value}: {zeta} times their joint doubt.",
    "proof_found": "found minus taken {diff} mg, {permille} per 1000 of the metal taken.",
    "determinations_agree": "{names} agree. That does not prove both right.",
    "typed_without_doubt": "A mass without ± has the doubt of its last typed place: a lower bound.",
    "typed_on_balance": "A mass without ± has the doubt of two readings of the balance, d/√6.",
    "size_unreadable": "{x} is not a size. Write {form}.",
    "sample_unknown": "{x} is not a sample of this sheet. Its samples are {choices}.",
    "file_unreadable": "{x} cannot be read: {why}.",
    "circuit_no_rerun": "circuit: size {size} has a concentrate and no rerun.",
    "circuit_no_con": "circuit: size {size} has a rerun and no concentrate.",
    "circuit_no_metal": (
        'circuit: {name} has no metal. Give metal = "… ± … mg", or a sample with parted gold.'
    ),
    "circuit_no_mass": "circuit: the tailings need their mass, or wet_mass and water.",
    "gold_not_parted": "doré, gold not determined: the bead was not parted.",
    "gold_not_weighed": "gold not weighed.",
    # the circuit
    "recovery_at_most": (
        "Recovery of {size}: at most {figure}, perhaps much less.\n"
        "Gold that stage 2 also missed is not in it. Assay the final tailings."
    ),
    "recovery_alike": (
        "If stage 2 catches as well as stage 1, recovery is {figure}.\n"
        "If stage 2 is better: {lo} to {hi} %. If it is worse: less than {lo} %."
    ),
    "recovery_alike_least": (
        "If stage 2 catches as well as stage 1, recovery is {figure}.\n"
        "Stage 2 caught nothing that can be told from zero."
    ),
    "tailings_disagree": (
        "These disagree: tailings assay {g1} {unit}, but {g2} if stages are alike.\n"
        "Both are kept. Grains missed, or stage 2 better? Assay a larger sample."
    ),
    "tailings_richer": (
        "Tailings assay {g1} {unit}, more than the {g2} if stages are alike.\n"
        "Both are kept. Stage 2 catches worse than stage 1 what escaped it."
    ),
    "recovery_closed": "Recovery of {size}: {figure}, final tailings in it.",
    "recovery_both": (
        "Recovery of {size} by both stages: {figure}.\nThe final tailings are in it."
    ),
    "recovery_bracket": (
        "Recovery of {size} lies between {lo} and {hi} %.\n"
        "The final tailings hold anything from nothing to {T} mg."
    ),
    "recovery_both_bracket": (
        "Recovery of {size} by both stages: {lo} % at least.\n"
        "The final tailings hold anything from nothing to {T} mg."
    ),
    "recovery_stated": (
        "If stage 2 catches {r2} % of its feed,\nrecovery of {size} is {figure}."
    ),
    "recovery_least": (
        "If stage 2 catches {r2} % of its feed or more,\nrecovery of {size} is at least {figure}."
    ),
    "rerun_not_seen": (
        "Stage 2 caught nothing to be seen: stage 1 has at least {figure} of both.\n"
        "Gold that both missed is not in it. Assay the final tailings."
    ),
    "recovery_none_seen": (
        "{size}: neither catch can be told from zero.\nNo recovery follows from it."
    ),
    "metal_below_zero": (
        "{size}: {m} mg is more than three times its doubt under zero.\n"
        "Kept as read, no recovery follows from it. Weigh again."
    ),
    "stages_too_alike": (
        "{size}: stage 2 may have caught as much as stage 1, so they are not alike.\n"
        "No figure for alike stages, neither for this size nor for all."
    ),
    "no_lower_bound": "No lower bound from these weights. Assay the final tailings.",
    "ratio_no_recovery": (
        "Concentrate over re-run is {x}: a ratio, no recovery; it can pass 100 %.\n"
        "Of what both stages caught, concentrate over their sum is the share."
    ),
    "look_at_size": "Look at {size}.\nThere stage 1 loses {lo} to {hi} mg gold.",
    "look_at_size_found": "Look at {size}.\nThere stage 1 loses {lo} mg gold at least.",
    "loss_not_known": "Stage 2 may have caught as much as stage 1: the loss has no upper end.",
    "head_without_tailings": "Final tailings were not assayed: what they hold is not in the head.",
    "head_tailings_unseen": "The final tailings may hold up to {more} g/t of feed more, unseen.",
    "assumed_rerun_fed": "Stage 2 cannot catch more than it was fed.",
    "assumed_alike": (
        "Only if stage 2 caught less than stage 1.\nIf it catches worse, recovery is less."
    ),
    "one_size_mixes": "One size still mixes shapes of grains, and mixing flatters the figure.",
    "sizes_not_given": "Sizes not given: one sum mixes them, and mixing flatters the figure.",
    "assumed_second_stated": "Stage 2 is taken to catch {r2} % of what it is fed.",
    "assumed_second_least": "Stage 2 is taken to catch {r2} % of what it is fed, or more.",
    "assumed_unseen": "Final tailings: from 0 to {T} mg unseen, all equally likely.",
    "assumed_share": "{pct} % of the tailings were run again; the rest is taken to be like them.",
    "assumed_mats": "Metal left in the mats counts as feed, not as caught.",
    "assumed_fineness": (
        "Fineness of the beads not known, taken as alike:\n"
        "a standard uncertainty of {pct} % for each product."
    ),
    # footers
    "coverage": "U: k = {k}, about 95 in 100.",
    # the logbook
    **LOGBOOK,
}

_LONGEST_QUOTE = 40


def say(code: str, **fields: object) -> str:
    """The sentence of a code with its numbers filled in; a second line follows a line break.

    Raises:
        KeyError: for a code that is not in the table, or a field that is not given.
    """
    return TABLE[code].format(**fields)


def quoted(text: str) -> str:
    """What a person typed, fit to be shown: one line, printable signs only, cut after 40."""
    shown = "".join(sign if sign.isprintable() else "·" for sign in text.strip())
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
