"""What the program says of entries and hand sheets: a part of the one table."""

RECORD: dict[str, str] = {
    "value_not_text": "{x} is not text. Write it in quotes.",
    "value_long": "{x} is {n} signs long; {most} are kept in one entry. Part it, or attach a file.",
    "value_sign": (
        "{x} holds {sign}, a sign that is not printed or turns the line round. Write it without."
    ),
    "value_text": "{x} is not one line of printable text, 1 to {most} characters.",
    "value_not_list": '{x} is not a list. Write ["…", "…"].',
    "value_yes_no": "{x} is neither true nor false.",
    "value_time": "{x} is not a time with its offset, like 2026-06-09T14:31:00+02:00.",
    "value_id": "{x} is not an id: 1 to 32 letters, digits, blanks or . _ / + - after the first.",
    "value_initials": "{x} is not initials: 1 to 6 letters.",
    "value_sha256": "{x} is not a SHA-256 digest: 64 hex digits.",
    "charge_not_above_zero": (
        "The charge is not above zero: no grade follows from it.\n"
        "It is stored as read. Weigh it again, or amend the reading."
    ),
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
    "sheet_line_long": "line {line} has {n} characters; at most {most} are accepted.",
    "sheet_line_dotted": "line {line}: a key with many dots; a hand sheet has none.",
    "sheet_not_utf8": "not UTF-8 text from byte {at} on. Save the file as UTF-8.",
    "sheet_not_toml": "not TOML: {why}.",
    "balance_suspect": (
        "Check weight {W} mg reads {x} mg on {balance}, outside ± {tol} mg.\n"
        "{n} readings since its last good check are suspect. Clean, level, check again."
    ),
    "balance_suspect_one": (
        "Check weight {W} mg reads {x} mg on {balance}, outside ± {tol} mg.\n"
        "One reading since its last good check is suspect. Clean, level, check again."
    ),
    "false_detections": (
        "Of {n} barren beads about {wrong} would be called detected: 5 in 100 by chance."
    ),
    "balance_unknown": "{x} is not a balance of this log. Describe it before it is used.",
    "key_unknown": "{x} is not known here. Known are {choices}.",
    "method_item_unknown": "{x} is not an item of the method. Items are {choices}.",
    "method_item_near": "{x} is not an item of the method. Write {near}; others are {choices}.",
    "method_item_unused": "item not known: not used",
    "method_value_unused": "value not accepted: not used",
    "method_unused": "Entry {n}, method {item}: {said}.",
    "key_missing": "{x} is missing: {what}.",
    "blank_clean": "{m} mg of {what}: nothing to be told from zero.",
    "blank_holds_metal": (
        "Holds a little metal: {m} mg of {what}; up to {LC} is like zero.\n"
        "Its mean is taken off every sample of the lot. Reagents? Sample before it?"
    ),
    "reference_found": "found {found}, reference value {value}: {zeta} times their joint u.",
    "proof_found": "found minus taken {diff} mg, {permille} per 1000 of the metal taken.",
    "proof_half_lost": "More than half of it is missing. Weighed, parted and noted right?",
    "proof_too_much": "{percent} % of its {metal} came back. Is all of it noted, added silver too?",
    "proof_unlike": "Its loss is {d} per 1000 off its like; up to {crit} is usual. Find out why.",
    "determinations_agree": "{names} agree. That does not prove both right.",
    "typed_without_doubt": (
        "A figure without ± has u = 1/√12 of its last typed place: a lower bound."
    ),
    "typed_on_balance": "A mass without ± has u of two readings of the balance, d/√6.",
    "portion_unreadable": "{x} is not a portion: its mass and its metal. Write {form}.",
    "size_unreadable": "{x} is not a size. Write {form}.",
    # samples in columns
    "columns_head_samples": "--head FILE describes the rest: leave [[samples]] out of it.",
    "columns_unknown": "{x} is no column. Columns are {choices}; a unit may follow: gold mg.",
    "columns_unit": "{x} behind {column} is no unit. Write mg or g, or nothing.",
    "columns_unit_twice": "{x}: the unit stands over the column already. Write the number alone.",
    "columns_none": "no columns in the first line. Write their names there: id, charge g, gold mg.",
    "columns_no_lines": "no sample below the names of the columns. Write one a line.",
    "columns_twice": "{x} stands over two columns. Write it once.",
    "columns_cells": "{n} cells, where {most} columns have a name. Is a decimal comma in it?",
    "columns_long": "A cell holds at most {most} characters.",
    "columns_many": "more than {most} lines of samples: this is no table of one run.",
    "columns_broken": "line {line}: its quotes do not close, or it is no line of columns.",
    "columns_no_head": "--head goes with samples in columns: import SAMPLES.csv --head HEAD.toml.",
    "sample_unknown": "{x} is not a sample of this sheet. Its samples are {choices}.",
    "file_unreadable": "{x} cannot be read: {why}.",
    "circuit_no_rerun": "circuit: size {size} has a concentrate and no rerun.",
    "circuit_no_con": "circuit: size {size} has a rerun and no concentrate.",
    "circuit_tailings_other": "circuit: size {size} has tailings and no concentrate.",
    "circuit_tailings_missing": (
        "circuit: size {size} has no assayed tailings, others have.\n"
        "Give them for every size, or once for all of them."
    ),
    "circuit_no_metal": (
        'circuit: {name} has no metal. Give metal = "… ± … mg", or a sample with parted gold.'
    ),
    "circuit_no_mass": "circuit: the tailings need their mass, or wet_mass and water.",
    # slips: what is asked before a reading is stored
    "please_look_again": (
        "Please look again: {pos} {new} is {what} {ref} ({old}).\n"
        "Type what you see now. Nothing is changed for you; both entries stay."
    ),
    "please_look_again_digits": (
        "Please look again: {pos} {new}, {ref} {old}: two digits changed over?\n"
        "Type what you see now. Nothing is changed for you; both entries stay."
    ),
    "please_look_again_step": (
        "Please look again: {pos} {new} cannot be shown in steps of {d}.\n"
        "Type what you see now. Nothing is changed for you; both entries stay."
    ),
    "please_look_again_divisions": (
        "Please look again: {pos} {new} is over {most} million steps of {d}.\n"
        "Type what you see now. Nothing is changed for you; both entries stay."
    ),
    "slip_how": (
        "Nothing is stored yet. Add --seen {x} if you see the same again,\n"
        "or --seen and what you see now; both entries stay."
    ),
    "sheet_held": (
        "This very sheet is in {name} already; now both count.\n"
        "If that is a slip: assaybench void {n} --reason TEXT"
    ),
    "slip_on_paper": "Entry {n}. {x}",
    "slip_prompt": "Type what you see now",
    "seen_not_asked": "--seen: nothing was asked of this entry. Leave it out, or type text={x}.",
    "slip_grades": "{pos} would be {new} g/t, against {old} g/t for {ref}.",
    "slip_times": "{x} times",
    "slip_part": "1/{x} of",
    "slip_about": "about {x}",
    "slip_same": "the same as the line before,",
    "slip_heavier": "heavier than",
    "slip_lighter": "lighter than",
    "slip_far": "far from",
    "slip_duplicate": "its duplicate {x}",
    "slip_earlier": "its reading before",
    "slip_before": "before",
    "slip_others": "most others",
    "slip_bead": "its bead",
    "slip_gold": "its gold",
    "slip_charge": "its charge",
    "slip_charge_of": "the charge of {x}",
    "slip_lead": "its lead",
    "slip_silver": "its silver",
    "slip_known": "what is known",
    "gold_not_parted": "doré, gold not determined: the bead was not parted.",
    "gold_not_weighed": "gold not weighed.",
}
