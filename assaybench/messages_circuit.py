"""What the program says of a gravity circuit and of logs: a part of the one table."""

CIRCUIT: dict[str, str] = {
    "recovery_at_most": (
        "Recovery of {size}: at most {figure}, perhaps much less.\n"
        "Gold that stage 2 also missed is not in it. Assay the final tailings."
    ),
    "recovery_at_most_assayed": (
        "Recovery of {size}: at most {figure}.\nThat is if the final tailings held nothing."
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
    "tailings_disagree_size": (
        "{size}: tailings assay {g1} {unit}, but {g2} if stages are alike.\n"
        "Both are kept. Grains missed, or stage 2 better? Assay a larger sample."
    ),
    "tailings_richer_size": (
        "{size}: tailings assay {g1} {unit}, over the {g2} if stages are alike.\n"
        "Both are kept. Stage 2 catches worse than stage 1 what escaped it."
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
    "recovery_bracket_more": (
        "Recovery of {size} lies between {lo} and {hi} %.\n"
        "In the final tailings may be up to {T} mg more than was seen."
    ),
    "recovery_both_bracket_more": (
        "Recovery of {size} by both stages: {lo} % at least.\n"
        "In the final tailings may be up to {T} mg more than was seen."
    ),
    "recovery_stated": ("If stage 2 catches {r2} % of its feed,\nrecovery of {size} is {figure}."),
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
        "{size}: {m} mg is more than 3u under zero (standard uncertainty).\n"
        "Kept as read, no recovery follows from it. Weigh again."
    ),
    "stages_too_alike": (
        "{size}: stage 2 may have caught as much as stage 1.\n"
        "So no figure for alike stages, neither for this size nor for all."
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
    # a feed and its products, and what contradicts itself
    "streams_agree": (
        "What goes in and what comes out add up within their ±.\nThat does not prove both right."
    ),
    "streams_disagree": (
        "What does not add up is more than the ± of the streams allow.\n"
        "Measure again first: {what}."
    ),
    "streams_disagree_open": (
        "What does not add up is more than the ± of the streams allow.\n"
        "These figures do not tell which of them is off. Measure each again."
    ),
    "streams_none_spare": (
        "Nothing here is measured twice over, so no figure checks another.\n"
        "Weigh or assay one stream more, and they can be compared."
    ),
    "streams_below_zero": (
        "To add up, {what} would have to be below zero.\n"
        "No recovery follows. Swapped names or units? Measure again."
    ),
    "concentrate_below_feed": (
        "{name}: {c} {unit}, no more than the feed with {f} {unit}.\n"
        "No recovery follows. Swapped? Else take both samples again."
    ),
    "tailings_above_feed": (
        "{name}: {t} {unit}, no less than the feed with {f} {unit}.\n"
        "No recovery follows. Swapped? Else take both samples again."
    ),
    "sizes_all_zero": "no size holds any mass, so nothing passes and nothing stays.",
    "sizes_too_few": "two sieves at least must differ in what passes them. Sieve finer or coarser.",
    "size_extrapolated": (
        "P{name} lies beyond the sieves used: the line of the last two is carried on.\n"
        "Put a sieve on its other side to know it."
    ),
    "size_near_sieve": (
        "P{name} lies at sieve {sieve}: its opening may be {pct} % off.\n"
        "No size near it can be known better than that."
    ),
    "size_beyond": (
        "the line of these sieves leads far beyond any of them: it says no size there.\n"
        "Put a sieve on the other side of the share."
    ),
    "size_no_pan": "what passed the finest sieve is missing: write --fraction pan=MASS, or 0g.",
    "size_unlisted": "{a} is no opening of {series}: nobody says how far off it may be. Not in ±.",
    "size_line_carries": "How far the truth leaves the line between two sieves is not in the ±.",
    "size_law_scatter": "The ± of a law holds masses and openings, not how far its points scatter.",
    "size_rule_log": "Between two sieves passing is linear in the logarithm of size.",
    "size_rule_plain": "Between two sieves passing is linear in size.",
    "size_rule_both": "Between two sieves passing and size are linear, both as logarithms.",
    "streams_no_doubt": "masses and grades without ± give no recovery. Give each with its ±.",
    "stream_unreadable": "{x} is not a stream. Write it like {form}; ? for what was not measured.",
    "circuit_grade_alone": "circuit: {name} has a grade and no mass. Give its dry mass.",
    "circuit_not_assayed": "{name} not assayed: what metal they hold is in no figure here.",
    "circuit_twice": "circuit: {product}, size {size}, stands twice; each stands once.",
    "stream_once": "circuit: {name} stands once, and not in sizes, where nothing was run again.",
    "stream_whole": "circuit: {name} stands once, for all of it: it is one stream.",
    "streams_sizes_by_weight": (
        "By size: from the two catches alone; the tailings tell of all sizes only."
    ),
    "streams_added_up": "{name}: its sizes are added up, all of them meet in one stream.",
    "assumed_metal_alone": (
        "Not every stream was weighed: the metal alone is made to agree, no masses."
    ),
    "stream_name_long": "{x} is too long for a name here: at most {most} characters.",
    "stream_alone": "a feed has two products at least, the one wanted first.",
    "ratio_of_nothing": "The product weighs nothing as measured: no ratio follows from it.",
    "circuit_stage_unreadable": "{x} is not a stage. Write it like\n{form}.",
    "circuit_stage_stream": "{x} is no --stream of this line. There are: {choices}.",
    "circuit_stage_twice": "{x} goes into one stage at most, and comes out of one at most.",
    "circuit_stage_feed": "the feed goes into a stage and comes out of none.",
    "circuit_stage_loose": "{x} is in no stage that the feed reaches. Name it in one.",
    "stream_grades_uneven": "every stream has as many grades as the feed, ? for one not assayed.",
    "stream_limit": "{name}: from 0 to {x}, all equally likely.",
    "stream_limit_spare": (
        "Where figures check each other, a limit <x is x/2 with u = x/√12:\n"
        "as if normal, so it may be made to agree above x."
    ),
    "stream_limit_passed": (
        "To add up, {what} is {g} {unit}, above its limit, {x} {unit}.\n"
        "The limit or another figure is off. Measure both again."
    ),
    "grade_above_whole": "{x} is more metal than the stream weighs. Number or unit wrong?",
    "metal_above_feed": "{m} mg of metal in the products is heavier than the feed, {M} mg.",
    "metal_above_product": "{name}: its metal, {m} mg, is heavier than all of it, {M} mg.",
    "circuit_portion_weighed": (
        "{place}: {x} g was weighed in, and the portion typed is {told}.\nMend one of them."
    ),
    "circuit_mass_weighed": (
        "{place}: {x} g was weighed in, of {told}, and no portion is typed.\n"
        "Was only that cupelled? Then type it as the portion."
    ),
    "portion_above_whole": "{name}: the portion, {p} g, is heavier than the whole, {w} g.",
    "fractions_do_not_close": (
        "{name}: sizes add up to {sum} g, the whole was weighed as {whole} g.\n"
        "Usual is a gap of up to {crit} g. It is not spread. Weigh both again."
    ),
    "head_gap_shown": (
        "Head built up less assayed: {d} g/t, {lo} to {hi} g/t.\n"
        "They do not agree. Nuggets in the head sample, or metal lost on the way?"
    ),
    "head_gap_not_shown": (
        "Head built up less assayed: {d} g/t, {lo} to {hi} g/t.\n"
        "They agree. That does not prove both right."
    ),
    "head_gap_open": (
        "The head built up is a lower bound: it may lie below the assayed one.\n"
        "Assay the final tailings, and the two can be compared."
    ),
    "streams_doubts_unmet": "The ± here hold only for streams that agree; these do not.",
    "assumed_middlings": "Middlings count as feed, not as caught.",
    "assumed_masses_of_feed": "Nothing was weighed: masses are parts of the feed.",
    "streams_not_settled": "the streams contradict each other too much: no agreement in {n} steps.",
    "streams_exact": "streams given without ± do not add up. Give each with its ±.",
    "stream_mass_open": (
        "the mass of {name} cannot be worked out from these. Weigh it, or one stream more."
    ),
    "stream_metal_open": (
        "the metal of {name} cannot be worked out from these. Weigh and assay it."
    ),
    "stream_grade_open": (
        "the grade of {name} cannot be worked out from these. Assay it, or weigh one stream more."
    ),
    "grains_decide": (
        "Chance decides: about {N} gold grains make this result, so ± {pct} %.\n"
        "A finer balance will not help. For ± {aim} %, take {x} times the sample."
    ),
    "splits_decide": (
        "Chance decides: these splits put ± {pct} % on the grade, more than ± {aim} %.\n"
        "Widest: split {n}, {share} in 100. Crush finer before it, or keep more there."
    ),
    "aim_beyond_assay": (
        "No sample can meet ± {aim} %: weighing and assay alone are ± {pct} %.\n"
        "Mend them first, or choose a wider aim."
    ),
    "grains_none": (
        "None found is not none: up to {most} may be expected.\n"
        "With an end on both sides: {both}. Take a larger sample."
    ),
    "grains_few": "Below 20 grains the interval is lopsided: read both ends, not a ±.",
    "grains_rule_weighing": (
        "The weighing has the widest ±, wider than that of the number of grains.\n"
        "Weigh more readings or a larger bead before taking a larger sample."
    ),
    "grains_rule_assay": (
        "The assay has the widest ±, wider than that of the number of grains.\n"
        "Run more charges, blanks and proofs before taking a larger sample."
    ),
    "other_doubts_small": "Every other ± is a third of it or less: better ones gain nothing.",
    "counts_shown": (
        "Difference shown: the first holds {lo} to {hi} times what the second does.\n"
        "By chance alone counts lie this far apart {p} times in 100."
    ),
    "counts_not_shown": (
        "Difference not shown: it may be {lo} to {hi} times what the second holds.\n"
        "Not the same as equal. Were both samples {x} times larger, it would show."
    ),
    "counts_not_shown_equal": (
        "Difference not shown: it may be {lo} to {hi} times what the second holds.\n"
        "They agree. That does not prove both right."
    ),
    "counts_none": "No grain in either sample: nothing can be told apart.",
    "counts_sharper": ("Only the E-test finds a difference, chance {p} in 100. Count more grains."),
    "classes_by_eye": "Classes are judged by eye: a range of masses, not a weighing.",
    "gy_whole_lot_taken": "All of the lot is taken: nothing is sampled, so sampling adds no ±.",
    "tailings_grains": "Final tailings: which grains fell into their charge is in the ±.",
    "grains_as_counted": "Counted grains are taken as equal; unequal ones make the ± wider.",
    "grains_of_size": "Metal is taken as even over the sizes, on a scale of their logarithm.",
    "grains_of_one_size": "Every grain is taken to be {d} mm wide.",
    "grains_of_largest": (
        "By the largest grain alone: most metal is taken as much finer, g = 0.25."
    ),
    "grains_shape": "Shape: {shape}. Density {rho} g/cm³; native gold is lighter than 19.3.",
    "grains_by_chance": "Grains fall into the sample one by one, well mixed.",
    "next_run_grains": (
        "If all of it was cupelled, nothing was sampled: no ± from the grains.\n"
        "The next run draws other grains: {R} % may be {lo} to {hi} %."
    ),
    "next_run_caught": (
        "{size}: both stages caught {N} grains, {R} % of the metal in stage 1.\n"
        "The next run draws other grains: it may be {lo} to {hi} %."
    ),
    "gy_free_metal": "Free metal: l = 1, d is the top size of the METAL, c = density / grade.",
    "gy_locked": ("Locked: l = (d_l/d)^1.5. Its square root would make the ± {x} times as wide."),
    "gy_broken_fine": "Broken to the size at which it is free, or finer: l = 1.",
    "gy_factors_typed": "Factors as typed are taken as they are: {names}.",
    "gy_expected_grade": (
        "Grade not measured: the expected {g} is used. Poorer ore has a wider ±."
    ),
    "gy_one_doubt": "The same ± as that of the grain count: use one of the two, never both.",
    "gy_whole_lot": "The lot is taken as very large; a known --lot makes the ± smaller.",
    "gy_widest_stage": (
        "Widest: split {n}, {share} in 100. Crush finer before it, or keep more there."
    ),
    "gy_well_mixed": "Each split takes a fair share: splitting badly is not in the ±.",
    "increments_unreadable": "{x} is no set of increments: mass, spread, number. Write {form}.",
    "increments_two": "two sets of increments are needed, of two masses. Write {form} twice.",
    "increments_alike": "both sets have increments of one mass: two different masses are needed.",
    "increments_wrong_way": (
        "Larger increments scatter as much as small ones, or more.\n"
        "A is not above zero as measured. Swapped masses? Else take more of each."
    ),
    "increments_no_segregation": (
        "That places differ is not shown: B may be zero.\n"
        "Then larger increments help as much as more of them."
    ),
    "increments_segregated": (
        "Places differ more than grains: larger increments gain little.\n"
        "Take more increments, from more places."
    ),
    "increments_assay": (
        "No number of increments meets this: weighing and assay alone exceed it.\n"
        "Mend them first, or choose a wider ±."
    ),
    "increments_spread": "The spread of few increments is poorly known: its ± is that of A and B.",
    "increments_apart": "Increments come from places apart, each assayed alone.",
    "span_order": "{x}: the fine size comes first. Write {form}.",
    "stage_unreadable": "{x} is not a split. Write {form}.",
    "split_too_large": "split {n} keeps more than it is taken from.",
    "classes_unreadable": "{x} is not a count by class. Write three numbers, like '3 5 20'.",
    "shape_unknown": "{x} is not a shape. Write sphere or flake.",
    "factor_range": "{x} is out of range: {what} is above 0 and at most {most}.",
    "layers_weighing": (
        "The weighing decides the ±. More readings, a larger bead or a finer balance\n"
        "will help first."
    ),
    "layers_assay": "The assay decides the ±, most of it {what}.\n{cure}",
    "layers_sampling": (
        "Few grains decide {sample}. A finer balance will not help.\n"
        "Take a larger sample, or screen out the coarse gold."
    ),
    "layers_unknown": "Count its grains, or state their size: the sample is not in this ±.",
    "cure_blank": "Run more blanks, or cleaner lead and flux.",
    "cure_proof": "Run more proofs in the same fire.",
    "cure_moisture": "Dry the sample, or weigh its water better.",
    "cure_charges": "Run more charges of it.",
}
