"""The sentences of the circuit test at the bench: part of the one table of messages."""

CAUGHT: dict[str, str] = {
    # recoveries as lines, and in words
    "interval_none": "{name}: nothing known.",
    "interval_point": "{name}: {at} %.",
    "interval_range": "{name}: from {lo} to {hi} %.",
    "interval_supposed": "As supposed {at} %.",
    # page 5: what was caught
    "title_caught": "WHAT WAS CAUGHT",
    "about_caught": (
        "Gold of both stages by size. A line has the length of what is not known:\n"
        "from alike stages to the most possible. A point is sure."
    ),
    "about_caught_words": (
        "Recovery: gold that stage 1 caught, in 100 of all that was fed to it.\n"
        "Head built up: gold in a tonne of feed, from what was found in the products."
    ),
    "about_caught_more": (
        "Concentrate: what a stage kept. Assay: measuring the gold in a sample.\n"
        "If alike: stage 2 catches the same share of its feed as stage 1 of its own."
    ),
    "caught_from": "from {at}",
    "caught_closed": "all closed",
    "caught_closed_head": "closed",
    "caught_ends": "{lo} to {hi}",
    "caught_gold_by": "gold by",
    "caught_size": "size",
    "caught_size_in": "size, {unit}",
    "caught_stage_1": "stage 1",
    "caught_stage_2": "stage 2",
    "caught_recovery": "recovery, %",
    "caught_alike": "if alike",
    "caught_most": "at most",
    "caught_suppose": "suppose",
    "caught_stated_head": "stated",
    "caught_head": "head built up, {basis}",
    "caught_head_assayed": "head assayed",
    "caught_losses_found": "What stage 1 loses; share by what was found",
    "caught_losses_equal_stages": "What stage 1 loses; share if both are alike",
    "caught_lost_found": "found, mg",
    "caught_lost_alike": "if alike, mg",
    "caught_lost_share": "share, %",
    "caught_concentrate": "stage 1 concentrate",
    "caught_rerun": "stage 2, from the tailings",
    "caught_held": "left in mats and middlings",
    "caught_tailings": "final tailings",
    "caught_not_assayed": "final tailings, not assayed",
    "caught_feed": "feed",
    "caught_feed_as": "{basis} feed",
    "caught_not_weighed": "unweighed",
    "caught_none": "Nothing to work out yet.",
    "caught_at_most": "Recovery of {name} is {hi} % at most: then stage 2 missed none.",
    "caught_if_alike": "{lo} %, if stage 2 catches as well as stage 1. Less, if it catches worse.",
    "caught_not_alike": "No lower end: stage 2 may have caught as much as stage 1.",
    "caught_loses": "{name}: stage 1 loses {lo} to {hi} mg gold.",
    "caught_loses_from": "{name}: stage 1 loses {lo} mg gold or more.",
    "caught_share": "That is {pct} in 100 of all that stage 1 loses.",
    "caught_to_know": "To know, assay the final tailings.",
    "caught_weighing": "By weighing alone at most ± {U} points.",
    "caught_assay": "The assay alone adds ± {U} points.",
    "caught_weighing_run": "By weighing ± {U}; next run {lo} to {hi} %.",
    "caught_assay_run": "By the assay ± {U}; next run {lo} to {hi} %.",
    "caught_more": "More remarks: key p.",
    "caught_next_run": (
        "{n} grains were counted in both catches. The next run draws other\n"
        "grains: its figure at most may be {lo} to {hi} %."
    ),
    "caught_next_run_open": (
        "The next run draws other grains: how far it may differ is not in it.\n"
        "Count them (key g on the page before)."
    ),
    "promise_caught_sum": "Enter shows every step of the sum for all sizes.",
    "promise_caught_feed": "Enter shows every step of the sum for all products.",
    "promise_caught_none": "Enter goes back.",
    "ask_suppose": "Stage 2 catches, % of what it is fed:",
    "hint_suppose": (
        "Suppose how much stage 2 catches; a + stands on each line there.\n"
        "Nothing is stored. Enter alone takes it away."
    ),
    "title_caught_sum": "THE SUM",
    "sum_typed": "What was typed, by entry",
    # page 5 in words, for a screen reader
    "words_head": "{run}, {title}. Every number of the page, one sentence each.",
    "words_feed": "Feed: {a}, {b}.",
    "words_tailings": "{name}: {x} mg.",
    "words_no_tailings": "{name}.",
    "words_row": "{name}: stage 1 caught {a} mg, stage 2 caught {b} mg.",
    "words_recovery": "Recovery if both stages are alike, %: {lo}. At most, %: {hi}.",
    "words_closed": "With the final tailings in it, %: {x}.",
    "words_loss": (
        "{name}: stage 1 loses {a} mg as found behind it, {b} mg if both are alike;\n"
        "{pct} in 100 of all that it loses."
    ),
    "words_lines": "The lines on the rule of 0 to 100 % say:",
    "words_remarks": "Remarks:",
    "words_written": "Every number in plain words: {path}",
    "ask_suppose_what": "the catch of stage 2",
    # page 5 of a feed and its products
    "streams_product": "product",
    "streams_mass": "mass, %",
    "streams_metal": "gold, %",
    "streams_richer": "richer",
    "streams_times": "{x} x",
    "streams_stages": "of what it is fed, each stage catches",
    "streams_stage": "stage {n}",
    "streams_named_rerun": "re-run",
    "streams_named_stage_1_tailings": "stage-1 tails",
    "streams_head": "Head built up, made to agree: {x}.",
    "streams_metals": "gold, {unit}",
    "streams_masses": "mass, {unit}",
    "streams_grades": "grade, {unit}",
    "streams_measured": "measured",
    "streams_adjusted": "adjusted",
    "streams_change": "change",
    "streams_worked": "worked out",
    "streams_by_weight": "by size, from the two catches alone",
    "words_by_weight": "By size, from the two catches alone:",
    "streams_scores": "Each change over its u: from 2 on it is large",
    "streams_by_chance": (
        "Chi-square of the changes: {x}, from {n} more than is needed.\n"
        "By chance alone it is larger {p} times in 100."
    ),
    "streams_no_chance": (
        "Chi-square of the changes: {x}, from {n} more than is needed.\n"
        "By chance alone it is hardly ever larger."
    ),
    "streams_more": "Arrows show the other lines.",
    "about_streams": (
        "Every stream as measured, and as all of them together have it: the least\n"
        "change that makes mass and gold add up, weighed by every ±."
    ),
    "words_held": (
        "{name}: {mass} % of the mass, {metal} % of the gold,\n{richer} as rich as the feed."
    ),
    "words_held_metal": "{name}: {metal} % of the gold.",
    "words_stage": "{name}: catches {metal} % of the gold that it is fed.",
    "words_measured": "{what}, {name}: measured {a}.",
    "words_adjusted": "{what}, {name}: measured {a}, adjusted {b}.",
    "words_changed": "{what}, {name}: measured {a}, adjusted {b}, change {c}.",
    # the editor of a circuit test
    "title_circuit": "THE CIRCUIT",
    "about_circuit": (
        "The products of one test and their gold, each typed with its ±,\n"
        "or by the sample on the tray (key t) that stands for it."
    ),
    "about_circuit_words": (
        "Stage 1 is the first pass. Its tailings, what it let go, were run again:\n"
        "what the second pass caught of them is the re-run concentrate."
    ),
    "product_feed": "feed",
    "product_concentrate": "stage 1",
    "product_rerun": "re-run",
    "product_stage_1_tailings": "stage-1 tailings",
    "product_tailings": "final tailings",
    "product_middlings": "middlings",
    "product_mats": "mats",
    "field_feed": "feed",
    "field_stage_1_tailings": "stage-1 tails",
    "field_tailings": "final tailings",
    "field_middlings": "middlings",
    "field_mats": "mats",
    "field_sieves": "sieves",
    "field_whole": "all, weighed",
    "field_whole_of": "the mass of all sizes of {what} together",
    "field_all": "all sizes",
    "field_rerun_share": "run again",
    "field_second_stage": "stage 2 catches",
    "field_second_stage_least": "... at least",
    "field_fineness_spread": "not parted, ±",
    "field_heap_tailings": "kept as heap",
    "field_heap_feed": "feed from heap",
    "asked_heap_tailings": "the name of the heap that the tailings are kept as",
    "asked_heap_feed": "the heap that the feed is from",
    "ask_heap_tailings": "The final tailings are kept as heap:",
    "ask_heap_feed": "The feed is from heap:",
    "hint_heap_name": "Its name, such as heap A; the page of heaps goes by it.",
    "asked_sieves": "the sieves",
    "asked_rerun_share": "the share run again",
    "asked_second_stage": "the catch of stage 2",
    "asked_second_stage_least": "the least catch of stage 2",
    "asked_fineness_spread": "the fineness of beads not parted",
    "circuit_gold_of": "gold of",
    "circuit_size": "size",
    "circuit_stage_1": "stage 1",
    "circuit_stage_2": "stage 2, from",
    "circuit_concentrate": "concentrate",
    "circuit_rerun": "the tailings",
    "circuit_water": "water {x}",
    "circuit_left_guided": "step by step",
    "circuit_guide_done": "Key e has what follows in plain words.",
    "circuit_unfelt": (
        "{what}: its balance cannot tell the gold from nothing, so nothing follows.\n"
        "Weigh it on a finer balance, or run more."
    ),
    "circuit_left_empty": "nothing typed yet",
    "circuit_left": "products",
    "circuit_begin": "Type the feed first. Then the sieves, then the gold of each size.",
    "circuit_guide": "New to this? Key e asks one thing after another, in plain words.",
    "circuit_guide_on": "Key e goes on with the questions, where you left them.",
    "circuit_waits": "Next: {what}. {n} to type.",
    "circuit_tied": "Its gold is that of sample {sample}, on the tray (key t).",
    "circuit_dry": "Dry: {x} kg.",
    "circuit_mass": "All of it weighs {x}.",
    "circuit_portion": "Of that, {x} was cupelled.",
    "circuit_grains": "Grains counted by eye: {n}{largest}.",
    "circuit_ready": "All is there. Key r shows what was caught, key s signs it.",
    "circuit_gold_of_feed": "{what}, held against the feed",
    "circuit_tied_twice": (
        "{x} stands for {what} already: its gold would count twice.\n"
        "Type another sample, or take it out there first (type - there)."
    ),
    "circuit_sizes_overlap": (
        "{a} and {b} share grains: their gold would count twice.\n"
        "Take one of them out (type - there), or type the sieves anew."
    ),
    "circuit_unweighed": "The {what} of {place} is not weighed yet. Key t goes to the tray.",
    "circuit_unweighed_some": (
        "The {what} of {n} cupels is not weighed yet, {place} first.\nKey t goes to the tray."
    ),
    "circuit_lost": (
        "{place} was lost: no gold of {what} follows from it.\n"
        "Type another sample of it there, or its gold."
    ),
    "circuit_nothing": "Nothing stands here yet.",
    "circuit_added": "typed at the bench",
    "size_passed": "Passed {a} µm.",
    "size_stayed": "Stayed on {b} µm.",
    "size_between": "Passed {a} µm, stayed on {b} µm.",
    "promise_circuit": "Enter asks for {what}.",
    "stored_circuit": "Stored: {what}.",
    "stored_sieves": "Stored: sizes {sizes}.",
    # its questions
    "sieves_unreadable": (
        "{x} is no list of sieves. Write the openings, coarse first, then the unit:\n"
        "1.0 0.25 mm, 250 106 um, 18 60 mesh; {most} at most."
    ),
    "ask_needed": "type {what}.",
    "ask_sieves": "Sieves, coarse first:",
    "hint_sieves": "Such as 1.0 0.25 mm, or 18 60 mesh (ASTM E11), or 250 um.",
    "ask_gold": "Gold of {what}:",
    "hint_gold": (
        "In mg, such as 186.4 +- 0.9; a grade in g/t;\nor the sample on the tray: id or place."
    ),
    "hint_stands": "Now: {x}. A - takes it out.",
    "ask_mass": "Dry mass of {what}, g (Enter: not weighed):",
    "ask_mass_graded": "Dry mass of {what}, g:",
    "hint_mass": "Of all of it, not of a portion. With kg behind it, in kg.",
    "ask_portion": "Portion cupelled of it, g (Enter: all of it):",
    "ask_portion_read": "Portion cupelled of it, g (Enter: {x}, as weighed in):",
    "hint_portion": "When only a part of it was cupelled, what that part weighs.",
    "ask_whole": "Dry mass of all sizes of {what} together, g:",
    "hint_whole": "Weighed before it was sieved: then it is seen whether the sizes add up.",
    "ask_feed": "Mass of the feed, kg (Enter: not weighed):",
    "hint_feed": "As it went in, such as 448 +- 1. Its water is asked for next.",
    "ask_water": "Water, % of that mass (Enter: it was dry):",
    "hint_water": "Water of a sample dried: what it lost, over its wet mass.",
    "ask_head": "Grade of the feed as assayed, g/t (Enter: none):",
    "hint_head": "It stands beside the grade built up from the products.",
    "ask_tailings": "Mass of the {what}, kg (Enter: not weighed):",
    "hint_tailings": "Type their mass, their assay, or both.",
    "circuit_tailings_wait": (
        "The {what}, have no assay, other sizes have. Type it,\n"
        "or take those out and type one assay for all of them."
    ),
    "hint_tailings_sizes": "Assayed by size? Type: sizes",
    "word_sizes": "sizes",
    "tailings_twice": (
        "The {what} were assayed already: their gold would count twice.\n"
        "Take that out there first (type - for mass and assay)."
    ),
    "ask_assay": "Their assay, g/t (Enter: none):",
    "hint_assay": (
        "Such as 0.4 +- 0.1, or a limit <0.33; a sample of the tray;\n"
        "or all their gold, with mg behind it."
    ),
    "hint_cuts": "Several cuts: the assay of each, 0.42 0.38 0.55; mean and scatter count.",
    "cuts_alike": (
        "these cuts are all alike: no ± follows from their scatter.\nType one figure with its ±."
    ),
    "cuts_note": (
        "{n} cuts of the {what} were assayed: {list}.\n"
        "Taken as equal in mass; ± is that of their scatter, 95 in 100."
    ),
    "hint_metal": "In mg, with its ±.",
    "ask_new_sample": "{id} is new. Its place on the tray (Enter: {place}):",
    "hint_new_sample": "It is written down as a sample there. Esc gives it up.",
    "ask_rerun_share": "Share of the stage-1 tailings run again, %:",
    "hint_rerun_share": "Nothing typed here means all of them.",
    "ask_second_stage": "Stage 2 catches, % of what it is fed, as stated:",
    "hint_second_stage": "Only if a test of stage 2 has shown it. It draws a + on each line.",
    "ask_second_stage_least": "Stage 2 catches at least, %:",
    "hint_second_stage_least": "Somebody stands for it. It gives a lower bound.",
    "ask_fineness_spread": "Doubt of the fineness of beads not parted, %:",
    "hint_fineness_spread": (
        "Needed when beads hold gold and silver together. How far the shares of gold\n"
        "of two beads may differ, one standard uncertainty."
    ),
    "ask_why_out": "Why is {what} taken out?",
    "stored_taken_out": "Taken out: {what}. The log keeps it.",
    "ask_why": "Why is it typed anew?",
    "hint_why": "What stood there stays in the log, with your reason.",
    "ask_grains": "Grains of gold seen in {what}:",
    "hint_grains": "Counted by eye, a whole number.",
    "ask_largest_what": "the width of a grain",
    "ask_largest": "Width of the largest, mm (Enter: not measured):",
    "hint_largest": "One large grain may decide a result.",
}
