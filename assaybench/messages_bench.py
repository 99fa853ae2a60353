"""The sentences of the bench: part of the one table of messages."""

BENCH: dict[str, str] = {
    # the terminal
    "terminal_small": (
        "The bench needs {least_columns} columns and {least_lines} lines; "
        "this is {columns} x {lines}.\n"
        "Everything stored is stored. Keys wait until there is room."
    ),
    "bench_fault": "a fault of the program, not yours: {what}.\nEverything stored is stored.",
    # titles and headings
    "title_demo": "AssayBench, demo",
    "title_contents": "CONTENTS",
    "title_help": "HELP: {page}",
    "title_index": "INDEX",
    "title_initials": "WHO GOES ON",
    "title_settings": "SETTINGS",
    "group_left_open": "Left open",
    "group_begin": "Begin",
    "group_think": "Think first",
    "group_look_up": "Look up",
    "page_of": "{n} of {of}",
    # the contents: what is left open
    "bench_left_damaged": "damaged, line {n}",
    "bench_left_seal": "the seal",
    "seal_broke_off": (
        "Its seal was begun and broke off. Everything is stored.\n"
        "Go on with the seal: the same key signs what is left."
    ),
    "bench_left_entries": "{n} entries",
    "bench_left_missing": "no log yet",
    "bench_more_open": "And {n} more; i finds them.",
    "bench_no_open": "Nothing is left open.",
    "bench_register_read": "A long register is being read: {share} in 100. Go on meanwhile.",
    "work_broke_off": (
        "The work broke off after {t}. What was half typed for {pos} is not stored.\n"
        "The {n} entries before it are stored, {gap}. Go on with {pos}."
    ),
    "bench_gap_short": "gap of less than a minute",
    "bench_of_log": "{log}: {said}",
    "bench_busy": "{log} is open elsewhere: {by}, since {t}.",
    "bench_torn_end": "Its unfinished end, {n} bytes, is kept aside when you open it.",
    # the contents: balances
    "balance_not_checked": "{name}: not checked today. Check it before you weigh.",
    "balances_not_checked": "Not checked today: {names}. Check them before you weigh.",
    "balance_good": "{name}: good at {t}.",
    "balance_not_good": "{name}: not good at {t}. Clean, level, check it again.",
    "balance_checked": "{name}: checked at {t}, without a limit to hold it to.",
    # the contents: what can be begun
    "contents_furnace": "a furnace run",
    "contents_practice": "a practice run, never sealed",
    "contents_test": "a circuit test",
    "contents_guide": "step by step: how much gold do I catch",
    "contents_sums": "a sum: weigh, grade, convert",
    "contents_plan": "plan a charge for a grade",
    "contents_compare": "compare two figures, or before and after",
    "contents_balances": "balances",
    "contents_balances_of": "balances: {names}",
    "contents_logbook": "logbook",
    "contents_heaps": "tailings heaps",
    "contents_settings": "settings",
    # the contents: promises and questions
    "promise_open": "Enter opens {log}{where}.",
    "promise_begin": "Enter begins {what}.",
    "promise_page": "Enter opens this page: {what}.",
    "ask_initials": "Your initials:",
    "ask_title": "A title, or Enter for none:",
    "ask_tray": "Rows x columns of the muffle, or Enter for {tray}:",
    "hint_initials": (
        "1 to 6 letters, such as KB.\nEvery entry carries them. They are a claim, not a signature."
    ),
    "hint_title": "The run gets the next number of bench {bench}. The number stays taken.",
    "hint_tray": "Back of the muffle above, door below; the notch at A1.",
    "about_contents": (
        "The contents of the book: what is left open leads to where you were,\n"
        "the rest to its letter. Nothing stored is ever lost by closing it."
    ),
    # samples assayed in parts
    "ask_part": "{id} is which part:",
    "ask_part_hint": "p plus, m minus of a screen; b piece of a bar; s slag, c cupel again.",
    "part_unknown": "{x} is no part: p plus, m minus, b piece of a bar, s slag, c cupel.",
    "ask_of_part": "{id} is {part} of:",
    "ask_of_whole_hint": (
        "The id of the screened sample, or of the bar. A new one is written down\n"
        "without a place: it has no cupel of its own."
    ),
    "ask_of_treated_hint": "The sample whose slag or cupel it is: its id, or its place.",
    "part_of_none": "{x} cannot have this part. Name the screened sample or the bar.",
    "part_of_other": "{x} has parts already: of a screen or of a bar, never of both.",
    "ask_of_bar": "Proof beside the bar (Enter: none):",
    "bar_unknown": "{x} is no bar of this run. Enter alone: none.",
    "balance_of_whole": "{what} of {sample}",
    "balance_place_total": "Sample",
    "balance_place_plus": "Sample",
    "balance_place_minus": "Sample",
    "balance_place_product": "Bar",
    "balance_what_total": "Total",
    "balance_what_plus": "Plus",
    "balance_what_minus": "Minus",
    "balance_what_product": "Mass",
    "balance_before_total": (
        "All of the sample, dry, before the screen.\nNot weighed? An arrow goes on."
    ),
    "balance_before_plus": "All that stayed on the screen.",
    "balance_before_minus": "All that went through the screen.",
    "balance_before_product": "The whole bar.\nNot weighed? An arrow goes on.",
    "balance_part": "This is {part} of {of}.",
    "need_total": "total",
    "need_plus": "plus",
    "need_minus": "minus",
    "need_product": "bar",
    "margin_part_of": "{place} is {part} of {of}.",
    # one of several balances
    "balance_on": "on {name}",
    "balance_switched": "On {name} now, in steps of {step}. Key s: another.",
    "balance_only_one": "No other balance is described here. Key b: describe one.",
    "ask_empty": "Nothing is typed yet.",
    # help and index
    "about_help": "Any key leads back.",
    "help_plain_signs": "Plain signs: +- and, alone, ~ say how far off a figure may be.",
    "help_here": "Here",
    "help_everywhere": "On every page",
    "promise_help": "Esc goes back to the page.",
    "promise_help_more": "Enter shows more, Esc goes back to the page.",
    "ask_index": "First letters:",
    "index_none": "Nothing begins with these letters.",
    "index_looking": "The logbook is looked through.",
    "index_reading_n": "The logbook is being read, once: {n} of {of} logs.",
    "index_more": "{n} more. Type more letters.",
    "about_index": (
        "Type the first letters of an action or a log, or its number.\n"
        "Arrows move, Enter goes there. Sealed and void logs are found too."
    ),
    # initials and settings
    "about_initials": "Type the initials of who goes on. Entries from here on carry them.",
    "initials_switched": (
        "{who} weighs now. Entries from here on carry {by}.\n"
        "{again} again: {next}. {new}: somebody new."
    ),
    "initials_now": "{by} works here now.",
    "initials_known": "Known: {list}.",
    "promise_initials": "Enter takes these initials.",
    "about_settings": "Enter changes the setting marked; it is stored at once, for this user.",
    "setting_now": "{name}: {help}.",
    "setting_alone": "{x} leaves it to the program.",
    "setting_from_next": "It counts from the next start.",
    "setting_choices": "Write {choices}.",
    "ask_setting": "{name}, now {value}:",
    "promise_setting": "Enter changes {name}.",
    # keys given by the user
    "key_no_action": "{x} is not an action. The table of keys in the settings lists them.",
    "key_fixed": "{x} keeps {key}; only letters and signs can be changed.",
    "key_unfit": "{x} cannot be a key for {action}: one letter or sign, no digit.",
    "key_taken": "{x} for {action} is the key of {other} already. {action} keeps its own.",
}
