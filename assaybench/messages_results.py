"""The sentences of the pages of results and of the seal: part of the one table of messages."""

RESULTS: dict[str, str] = {
    # the table of results
    "title_results": "RESULTS",
    "results_group": "Gold {sort}",
    "results_head_sample": "sample",
    "results_head_gold": "gold, mg",
    "results_head_grade": "{unit}, assay ±",
    "results_head_word": "weighing says",
    "results_rough": "rough",
    "results_rough_best": "at best: rough",
    "results_wider": "wider than aim",
    "results_wider_best": "at best: wider",
    "results_metallics": "metallics",
    "results_bar": "bar",
    "results_dore": "doré {m} mg",
    "results_one": "one",
    "results_cut": "…{end}",
    "results_none": "No sample is written down yet.",
    "about_results": (
        "All samples of the log, the one chosen opened below. ± is U of the assay.\n"
        "Three layers: the weighing, with the assay, with the sample if it is known."
    ),
    # the sample opened
    "opened_grade": "{id}: {g} {unit}. How far may the truth be away?",
    "opened_grade_short": "{id}: {g} {unit}. How far is the truth?",
    "opened_grade_shortest": "{id}: {g} {unit}. How far off?",
    "opened_limit": "{id}: {g}, {verdict}. What may be there?",
    "opened_dore": "{id}: doré, gold and silver together, not parted.",
    "opened_none": "{id}: no grade follows from it.",
    "opened_lost": "{id}: lost.",
    "opened_role": "{id}: {role}.",
    "opened_whole": "{id}, {kind}.",
    "reach_weighing": "by the weighing",
    "reach_assay": "and the assay",
    "reach_sampling": "and the sample: about {N} grains",
    "reach_sample": "and the sample",
    "reach_not_known": "not known",
    "reach_ends": "{low} to {high}",
    "reach_read": "read, less its blank",
    "reach_most": "by this reading at most, 95 in 100",
    "reach_unseen": "such an assay may not see up to",
    "opened_comes_from": "Where the ± {U} comes from, parts in 100",
    "opened_doubt_from": "Where its ± comes from, parts in 100",
    "part_gold": "weighing the gold",
    "part_blank": "blank {b} mg, taken off",
    "part_proofs": "proofs, {n}, {change}",
    "part_charge": "weighing the sample, {m} g",
    "part_moisture": "moisture, {w} %",
    "part_rest": "{n} more",
    # its margin
    "results_stop": "STOP: {check}. {why}",
    "results_stop_how": "It holds the seal. Weigh again, or release it with a note ({key}).",
    "results_released": "{id} was released: {why}",
    "results_look_again": "{check}: look again. {why}",
    "results_in_order": "In order: {list}.",
    "results_repeat_agree": "{names} repeat one sample: difference not shown.",
    "results_repeat_differ": "{names} repeat one sample and disagree.",
    "results_mean": "{id}, {n} of {N} determinations: {g}.",
    "results_mean_of_sort": "{id}, {n} of {N} determinations, {sort}: {g}.",
    "results_across": (
        "{id}: {n} of {N} determinations stand here; others in {logs}.\n"
        "Mean of all {N}: {mean} {unit}."
    ),
    "results_across_sorts": (
        "{id}: {n} of {N} determinations stand here; others in {logs}.\nMeans, {unit}: {means}."
    ),
    "results_across_unknown": "Whether other logs hold more determinations is not known: {why}",
    "results_left_out": "{id} is left out of the mean: {why}",
    "results_like_blank": "{id} is like the blank. Not zero: up to {most} may be there unseen.",
    "results_unseen": "{id}: gold not detected. Not zero: up to {most} may be there unseen.",
    "results_rests": "Most of the ± of {id} is {what}.",
    "results_within": "{id} is within your aim of ± {aim} %.",
    "results_aim_open": (
        "{id}: the aim of ± {aim} % is not shown, its ± is a lower bound.\n"
        "A balance has no spread: weigh one small weight ten times."
    ),
    "pool_title": "{id}: {names} weighed together",
    "pool_together": (
        "{id} says nothing of one of its samples alone: {names} were weighed together."
    ),
    "pool_no_charge": "not every charge of it was weighed.",
    "weighed_before": (
        "{id} {what} was weighed before, as {text} on {balance}; the last weighing counts."
    ),
    "reading_nobodys": "Entry {n}, {what} {text}, belongs to no sample and counts nowhere.",
    "results_shown": "{n} of {N} shown here.",
    "results_units": "Grades in {unit}; masses stay in mg and g.",
    "results_fault": "No results: {why}",
    "promise_sum": "Enter shows every step of the sum for {id}.",
    "promise_no_sum": "Nothing to open yet. Esc goes back.",
    "ask_release": "Why is {id} released?",
    "ask_release_hint": (
        "The check stays as it is; your note and initials stand beside it.\n"
        "Only who may decide it should release it."
    ),
    "ask_release_why": "A reason is needed: what was looked at, what was found.",
    "stored_release": "Stored: {id} is released with your note.",
    "release_none": "No check says stop.",
    # comparing
    "title_compare": "COMPARED",
    "compare_marked": "{id} is marked. Choose what it is compared with, or type a cut-off.",
    "compare_no_grade": "{id} has no gold grade to compare.",
    "compare_itself": "Choose another sample first, or type a cut-off.",
    "promise_compare": "Enter compares {a} with {b}. Digits begin a cut-off.",
    "promise_compare_choose": "{id} is marked: choose another sample, or type a cut-off.",
    "ask_cutoff": "Cut-off, {unit}:",
    "compare_two": "{a} and {b}: is a difference shown?",
    "compare_less": "{a} less {b}",
    "compare_ends": "the truth, 95 in 100",
    "compare_en": "E_n, difference over both U (agree up to 1)",
    "compare_chance": "chance of this much if equal, in 100",
    "compare_alone": "if nothing were shared",
    "compare_signed": "{limit}, taken as {value}",
    "compare_decide": "To decide it, make this smaller first: {what}.",
    "compare_sorts": ("{a} is {sort_a}, {b} is {sort_b}.\nPart of the difference may be that."),
    "compare_shared": "What both share (blank, proofs, scale) cancels in the difference.",
    "compare_shared_adds": "What both share moves them apart here, so it adds to the ±.",
    "compare_cutoff": "{a}: is it above the cut-off?",
    "compare_limit": "cut-off",
    "compare_with_assay": "by the assay, this charge only",
    "compare_with_sampling": "with the sample, as far as known",
    "compare_above": "chance that it is above, in 100",
    "compare_said_above": "said above from, in 100",
    "compare_said_below": "said below up to, in 100",
    "compare_times": "It would show if the ± were {x} times smaller.",
    "few_cutoff_above": (
        "Above the cut-off, {c} {unit}.\nThe chance that the truth is above it is {P} in 100."
    ),
    "few_cutoff_below": (
        "Below the cut-off, {c} {unit}.\nThe chance that the truth is above it is {P} in 100."
    ),
    "few_cutoff_not_shown": (
        "Not shown: it may be above or below the cut-off, {c} {unit}.\n"
        "The chance that the truth is above it is {P} in 100."
    ),
    "chance_most": "99.9 or more",
    "chance_least": "0.1 or less",
    "p_least": "0.000001 or less",
    "about_compare": (
        "Two grades of this log, or a grade and a cut-off. u shows other units.\n"
        "Not shown is not the same as equal."
    ),
    # the whole sum
    "title_sum": "THE SUM: {id}",
    "sum_read": "What was read of {id}{role}",
    "sum_entry": "entry {n}: {what}",
    "sum_struck": "struck",
    "sum_expanded": "{id}: U of the grade",
    "sum_steps": "Step by step",
    "sum_figures": "Figures, ± is U",
    "sum_factors": "k and its degrees of freedom",
    "sum_many": "many",
    "sum_says": "What that says",
    "sum_from": "Where the ± of {what} comes from, parts in 100",
    "sum_notes": "Notes",
    "promise_sums_more": "Enter shows more, Esc goes back to the results.",
    "promise_results_back": "Enter goes back to the results.",
    "about_sums": (
        "Every reading with the number of its entry, then the sum step by step.\n"
        "A pocket calculator gives each printed result from its line."
    ),
    # the seal
    "title_sealing": "THE SEAL",
    "title_sealed": "SEALED",
    "seal_never": "Practice is never sealed.",
    "seal_to_sign": "{name}: this will be signed",
    "seal_looking": "Other logs are being looked at for further determinations.",
    "promise_seal_looking": "Wait a moment: other logs are being looked at.",
    "seal_all": "After the seal the log takes no entries. Reissue makes one that replaces it.",
    "seal_holds": "{id} holds the seal: {why}",
    "seal_held_how": "Weigh again, or release it on the page of results, with a reason (step 6).",
    "seal_who": "Signs: {name}, {role}.",
    "seal_who_bare": "Signs: {name}.",
    "seal_nobody": "nobody yet",
    "seal_key_file": "Key: {name}.",
    "seal_key": "Key {name}: {key}",
    "seal_no_key": "No signing key yet: it is made here, with a passphrase.",
    "seal_new_key": "It is made in {name}.",
    "seal_key_gone": "{name} is not there. A seal that was begun needs the same key.",
    "seal_key_vanished": "{name} is not there any more. Put its file back.",
    "seal_key_away": (
        "{name} is not there, but this logbook names a key of {who}: {key}.\n"
        "Put its file back, then Enter. Is it lost? Make another: key o, signing keys."
    ),
    "seal_sealed_how": "To verify, report or countersign it: the logbook, key a of the contents.",
    "seal_tried": "Nothing is lost or half sealed. Mend that, then Enter once more.",
    "seal_tried_begun": "What is done stays. Mend that, then Enter goes on from there.",
    "seal_begun": "The seal was begun and broke off. Left to do: {left}.",
    "seal_same_key": "It goes on with the same key. What was signed stays as it is.",
    "seal_working": "Signing. Nothing else is asked.",
    "promise_seal_more": "Enter shows more of what will be signed: page {n} of {of}.",
    "promise_seal": "Enter goes on to sign {name}: name, meaning, passphrase.",
    "promise_seal_read_only": "Enter makes the files of {name} read-only again.",
    "promise_seal_go_on": "Enter goes on with the seal of {name}: passphrase.",
    "promise_seal_held": "A check says stop: release it with a note, or weigh again.",
    "promise_seal_working": "Signing: wait a moment.",
    "ask_seal_name": "Printed name of {by}:",
    "ask_seal_name_hint": "As it is to stand in the seal and on reports. Kept in the log.",
    "ask_seal_role": "What {name} does here:",
    "ask_seal_role_hint": "One word or a few, such as assayer. Kept in the log.",
    "ask_seal_meaning": "Meaning, or Enter for {meaning}:",
    "ask_seal_meaning_hint": "{name}, {role}. What the signature stands for: {choices}.",
    "seal_meaning": "the meaning",
    "ask_seal_open": "Type yes to sign with {name}:",
    "ask_seal_open_hint": "The key has no passphrase here, or an agent or token holds it.",
    "seal_yes": "yes",
    "seal_not_said": "Nothing was signed: {x} is not yes.",
    "seal_done": "Sealed and signed",
    "seal_commands": "Commands to check and report it, in a file",
    "sealed_verify": "To check it with this program",
    "sealed_report": "To report it",
    "sealed_keep": (
        "The register mark goes on every report: who holds a report can show\n"
        "that nothing was changed since."
    ),
    "about_sealing": (
        "All that would be signed, page by page; then name, meaning and passphrase.\n"
        "The passphrase is the consent. It is shown as points and kept nowhere."
    ),
}
