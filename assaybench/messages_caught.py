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
    "caught_from": "from {at}",
    "caught_closed": "all closed",
    "caught_ends": "{lo} to {hi}",
    "caught_gold_by": "gold by",
    "caught_size": "size",
    "caught_size_in": "size, {unit}",
    "caught_stage_1": "stage 1",
    "caught_stage_2": "stage 2",
    "caught_recovery": "recovery, %",
    "caught_alike": "if alike",
    "caught_most": "at most",
    "caught_concentrate": "stage 1 concentrate",
    "caught_rerun": "stage 2, from the tailings",
    "caught_held": "left in mats and middlings",
    "caught_tailings": "final tailings",
    "caught_not_assayed": "final tailings, not assayed",
    "caught_feed": "feed",
    "caught_feed_as": "{basis} feed",
    "caught_not_weighed": "not weighed",
    "caught_none": "Nothing to work out yet.",
    "caught_waits": "{what}: not typed yet.",
    "caught_at_most": "Recovery of {name} is {hi} % at most: then stage 2 missed none.",
    "caught_if_alike": "{lo} %, if stage 2 catches as well as stage 1. Less, if it catches worse.",
    "caught_not_alike": "No lower end: stage 2 may have caught as much as stage 1.",
    "caught_loses": "{name}: stage 1 loses {lo} to {hi} mg gold.",
    "caught_loses_from": "{name}: stage 1 loses {lo} mg gold or more.",
    "caught_share": "That is {pct} in 100 of all that stage 1 loses.",
    "caught_to_know": "To know, assay the final tailings.",
    "caught_weighing": "Weighing adds ± {U} points or less.",
    "caught_supposed": "Suppose stage 2 catches {r2} %: recovery of {name} is {x} %.",
    "caught_stated": "Stated: stage 2 catches {r2} %.",
    "promise_caught_sum": "Enter shows every step of the sum for all sizes.",
    "promise_caught_none": "Enter goes back to the products.",
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
    "words_lines": "The lines on the rule of 0 to 100 % say:",
    "words_remarks": "Remarks:",
    "words_written": "Every number in plain words: {path}",
    "ask_suppose_what": "the catch of stage 2",
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
    "product_tailings": "final tailings",
    "product_middlings": "middlings",
    "product_mats": "mats",
    "field_feed": "feed",
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
    "circuit_left_empty": "nothing typed yet",
    "circuit_left": "products",
    "circuit_begin": "Type the feed first. Then the sieves, then the gold of each size.",
    "circuit_guide": "New to this? Key e asks one thing after another, in plain words.",
    "circuit_waits": "Next: {what}. {n} to type.",
    "circuit_tied": "Its gold is that of sample {sample}, on the tray (key t).",
    "circuit_dry": "Dry: {x} kg.",
    "circuit_mass": "All of it weighs {x}.",
    "circuit_portion": "Of that, {x} was cupelled.",
    "circuit_grains": "Grains counted by eye: {n}{largest}.",
    "circuit_ready": "All is there. Key r shows what was caught.",
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
    "hint_stands": "Now: {x}.",
    "ask_mass": "Dry mass of {what}, g (Enter: not weighed):",
    "ask_mass_graded": "Dry mass of {what}, g:",
    "hint_mass": "Of all of it, not of a portion. With kg behind it, in kg.",
    "ask_portion": "Portion cupelled of it, g (Enter: all of it):",
    "hint_portion": "When only a part of it was cupelled, what that part weighs.",
    "ask_whole": "Dry mass of all sizes of {what} together, g:",
    "hint_whole": "Weighed before it was sieved: then it is seen whether the sizes add up.",
    "ask_feed": "Mass of the feed, kg (Enter: not weighed):",
    "hint_feed": "As it went in, such as 448 +- 1. Its water is asked for next.",
    "ask_water": "Water, % of that mass (Enter: it was dry):",
    "hint_water": "Water of a sample dried: what it lost, over its wet mass.",
    "ask_head": "Grade of the feed as assayed, g/t (Enter: none):",
    "hint_head": "It stands beside the grade built up from the products.",
    "ask_tailings": "Mass of the final tailings, kg (Enter: not weighed):",
    "hint_tailings": "Type their mass, their assay, or both.",
    "ask_assay": "Their assay, g/t (Enter: none):",
    "hint_assay": (
        "Such as 0.4 +- 0.1, or a limit <0.33; a sample of the tray;\n"
        "or all their gold, with mg behind it."
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
    "ask_why": "Why is it typed anew?",
    "hint_why": "What stood there stays in the log, with your reason.",
    "ask_grains": "Grains of gold seen in {what}:",
    "hint_grains": "Counted by eye, a whole number.",
    "ask_largest": "Width of the largest, mm (Enter: not measured):",
    "hint_largest": "One large grain may decide a result.",
    # the guided path
    "title_guided": "STEP BY STEP",
    "about_guided": (
        "One question after another, for two catches of gold from the same material.\n"
        "Each answer is stored at once. Esc leaves; come back with key e."
    ),
    "about_guided_safety": (
        "Mercury and lead fume harm before you feel it. Never heat gold that was\n"
        "worked with mercury in the open. Your local rules decide."
    ),
    "guided_welcome_1": "How much of the gold does your sluice, table or pan catch?",
    "guided_welcome_2": (
        "Run a measured amount of material and keep the gold. Then run all that\n"
        "came out at the lower end once more, and keep that gold apart."
    ),
    "guided_welcome_3": (
        "Dry both catches. Take black sand out of them. Then answer what the\n"
        "line at the foot asks, and press Enter. It takes less than ten minutes."
    ),
    "guided_welcome_4": "Any scale will do. You are told what it cannot show.",
    "guided_safety": (
        "Gold worked with mercury: never heat it in the open.\nYour local rules decide."
    ),
    "guided_safety_heat": (
        "Acid and fume harm before you feel it: leave both to who is trained and\n"
        "allowed to. Your local rules decide."
    ),
    "guided_concentrate": "first",
    "guided_rerun": "second",
    "guided_parted": "parted",
    "guided_scale": "Smallest step your scale shows, g:",
    "guided_hint_scale": "If it goes 0.01, 0.02, 0.03, the step is 0.01.",
    "guided_kind": "Silver taken out with acid? p: yes. Enter: no:",
    "guided_hint_kind": (
        "Gold from the ground holds some silver, until acid takes it out: then it\n"
        "is parted, type p. Else Enter; no silver may have been added to it."
    ),
    "guided_fineness": "How unlike may both catches be in purity, % (Enter: 5):",
    "guided_hint_fineness": (
        "The purity itself does not matter here, if both catches have the same.\n"
        "5 is a guess (common practice, no source). Type more if unsure."
    ),
    "guided_feed": "Material you ran, kg (Enter: not weighed):",
    "guided_hint_feed": "All that went in at the top, dry. With t behind it, in tonnes.",
    "guided_zero": "Scale empty. What does it show? (Enter: skip):",
    "guided_hint_zero": "Wait until it is still. Type all that it shows, such as 0.00.",
    "guided_catch": "Gold of the {which} run on the scale, {unit}:",
    "guided_hint_catch": "Type all that the scale shows, such as 0.49 or 0.50.",
    "guided_again": "Off and on again, {which} catch. Now? (Enter: skip):",
    "guided_hint_again": "Weighing twice shows whether the scale says the same again.",
    "guided_look_again": "Please look again. Type what you see now:",
    "promise_guided": "Enter shows the same with lines and figures.",
    "guided_elsewhere": "The gold was typed on the page before; this page asks no more.",
    "guided_so_far": "Stored so far",
    "guided_list_scale": "step of the scale",
    "guided_list_feed": "material you ran",
    "guided_list_zero": "scale empty",
    "guided_none": "Nothing can be worked out from this yet.",
    "guided_caught": "You caught {a} in the first run, and {b} in the second.",
    "guided_most": (
        "The first run caught at most {x} parts in 100 of the gold. It may be much\n"
        "less: gold that both runs let go is in neither catch."
    ),
    "guided_alike": (
        "If the second run catches as well as the first, then the first caught\n"
        "{x} parts in 100. If the second is worse, which is common, even less."
    ),
    "guided_between": (
        "With what the scale may be off: {lo} to {hi} parts in 100,\n"
        "if the second run is no worse than the first."
    ),
    "guided_not_alike": (
        "The second run may have caught as much as the first. So the first may\n"
        "let go most of the gold; how much cannot be said from two catches."
    ),
    "guided_second_unseen": (
        "The scale cannot feel the second catch. Of both catches the first has\n"
        "{x} parts in 100 or more. That is no proof that little was lost."
    ),
    "guided_next": (
        "To know more: have a laboratory measure the gold in several samples of\n"
        "what came out after the second run, mixed well (an assay)."
    ),
    "guided_next_finer": (
        "To know more: use a finer scale, run more material, or have a laboratory\n"
        "measure the gold in samples of what came out last, mixed well (an assay)."
    ),
    "guided_scale_step": "Your scale goes in steps of {step}.",
    "guided_scale_unseen": "Gold of less than {x} may lie on it unseen.",
    "guided_scale_none": "The {name}: your scale cannot tell it from nothing.",
    "guided_scale_catch": "The {name} is {steps} of its steps: {lo} to {hi}.",
    "guided_scale_spread": "How well it repeats was not measured: it may be worse than that.",
    # before and after
    "contents_runs": "before and after: did a change help",
    "title_runs": "BEFORE AND AFTER",
    "about_runs": (
        "Did the change help? Type the recovery of each run before it and after it.\n"
        "Nothing is stored. The money is for one season, at the price typed."
    ),
    "runs_begin": "Type the recoveries of the runs before the change, then those after it.",
    "runs_before": "runs before",
    "runs_after": "runs after",
    "runs_paired": "run in turn",
    "runs_season": "feed of a season",
    "runs_grade": "grade of the feed",
    "runs_price": "price of gold",
    "runs_cost": "cost of the change",
    "runs_what": "this",
    "runs_in_turn": "yes, in pairs",
    "runs_apart": "no",
    "runs_key_in_turn": "y",
    "ask_runs_before": "Recovery of each run before the change, %:",
    "ask_runs_after": "Recovery of each run after it, %:",
    "ask_runs_paired": "Old and new run in turn? y: yes. Enter: no:",
    "ask_runs_season": "Dry feed of a season, t (Enter: no money):",
    "ask_runs_grade": "Grade of the feed, g/t:",
    "ask_runs_price": "Price of fine gold, such as 80 USD/g:",
    "ask_runs_cost": "Cost of the change, such as 1800 USD (Enter: none):",
    "hint_runs_before": "Such as 81.2 84.0 79.5; two runs at least.",
    "hint_runs_after": "In the same order, when old and new were run in turn.",
    "hint_runs_paired": "Old, new, old, new: then each belongs to the one in its place.",
    "hint_runs_season": "What goes through the plant in one season.",
    "hint_runs_grade": "Gold in each tonne of it, as assayed or built up.",
    "hint_runs_price": "No price is built in. Write 80 USD/g, or 2500 USD/ozt.",
    "hint_runs_cost": "Then it is seen which gain would pay for it in one season.",
    "runs_mean_before": "mean before, %",
    "runs_mean_after": "mean after, %",
    "runs_difference": "after less before, points",
    "runs_between": "95 in 100 of it lie between",
    "runs_chance": "this much if nothing changed, in 100",
    "runs_needed": "runs to show such a gain 4 times in 5",
    "runs_money": "gain in a season",
    "runs_money_between": "may be",
    "runs_even": "points that pay the cost back",
    "runs_needed_even": "runs to show those",
    "runs_more_than": "more than {n}",
    "runs_count": "Type two runs at least and {most} at most, such as 81.2 84.0 79.5.",
    "run_range": "{x} is out of range: a recovery is from 0 to 100 %.",
    "points": "points",
    # what it is worth
    "title_value": "WHAT IT IS WORTH",
    "about_value": (
        "The gold of this test, and what stage 1 lets go, at a price that you type.\n"
        "A price with the name of who stands for it is kept in the log."
    ),
    "value_begin": "Type a price. None is built in.",
    "value_price": "price of gold",
    "value_source": "who says so",
    "value_payable": "paid for",
    "value_fineness": "fineness",
    "value_season": "feed of a season",
    "ask_value_price": "Price of fine gold, such as 80 USD/g:",
    "ask_value_source": "Who says so, and when:",
    "ask_value_payable": "Share of the fine gold that is paid for, % (Enter: all):",
    "ask_value_fineness": "Fineness of the beads, parts in 1000:",
    "ask_value_season": "Dry feed of a season, t (Enter: none):",
    "hint_value_price": "80 USD/g, or 2500 USD/ozt. Any currency.",
    "hint_value_source": "Such as: buyer's list, 9 June. It is kept with the price.",
    "hint_value_payable": "Buyers keep a part; ask them which.",
    "hint_value_fineness": "Fine gold is what is paid. With % behind it, in per cent.",
    "hint_value_season": "What goes through the plant in one season.",
    "value_of_test": "of this test",
    "value_of_tonne": "of each dry tonne of feed",
    "value_of_season": "of a season, {t} t",
    "value_stage_1": "stage 1 caught",
    "value_stage_2": "stage 2 caught",
    "value_lost": "stage 1 lets go, found behind it",
    "value_alike": "if stages are alike",
    "value_no_end": "no upper end",
    "value_or_more": "{x} ({lo} or more)",
    "value_stands": "Price by: {source}.",
    "value_nobody": "Nobody stands for this price. Type who does, and it is kept.",
    "value_unparted": "The beads were not parted: fine gold is their mass times the fineness.",
    "value_counts": "Money that is let go is at least what was found behind stage 1.",
    "value_no_feed": "The feed was not weighed: no figure by the tonne.",
    # tailings heaps
    "title_heaps": "TAILINGS HEAPS",
    "about_heaps": (
        "What every circuit test of the logbook saved, and what is left in it.\n"
        "Nothing is stored here. Assay a heap before money is put into it."
    ),
    "promise_heaps": "Enter supposes what a next stage would catch of them.",
    "promise_heaps_none": "Esc goes back.",
    "heaps_page_none": "No heap is known yet.",
    "heaps_head_name": "heap",
    "heaps_head_dry": "t, dry",
    "heaps_head_left": "gold left, g",
    "heaps_head_grade": "g/t",
    "heaps_ends": "{lo} to {hi}",
    "heaps_of": "{name}:",
    "heaps_log": "saved by",
    "heaps_way": "how it is known",
    "heaps_way_assayed": "assayed",
    "heaps_way_not_seen": "assayed, nothing seen",
    "heaps_way_worked_out": "worked out",
    "heaps_way_stated_second_stage": "stage 2 as stated",
    "heaps_way_equal_stages": "if both stages are alike",
    "heaps_way_least_second_stage": "least of stage 2",
    "heaps_way_not_known": "not known",
    "heaps_rerun_in": "run again in",
    "heaps_gets": "a next stage would get",
    "heaps_any": "any amount of",
    "heaps_catch_what": "the catch of the next stage",
    "ask_heaps": "The next stage catches, %:",
    "hint_heaps": "Of the gold that is left in a heap. Enter alone takes it away.",
}
