"""What the program says of beads, blanks, proofs and grades: a part of the one table."""

ASSAY: dict[str, str] = {
    "like_the_blank": (
        "Like the blank: of {m} mg read, {y} mg would be from the sample.\n"
        "This does not mean zero: up to {LD} mg could be there unseen."
    ),
    "above_the_blank": "Above the blank: of {m} mg read, {y} ± {U} mg is from the sample.",
    "above_the_blank_rough": (
        "Above the blank: of {m} mg read, {y} ± {U} mg is from the sample.\n"
        "The figure is rough: ten times the spread would be {tenfold} mg."
    ),
    "far_below_blank": (
        "Far below zero: {y} mg after the blank, beyond 3u (u is standard).\n"
        "Kept as read, no figure follows from it. Right lot? Zero? Weigh again."
    ),
    "below_critical": "Read as {y} {unit}; that cannot be told from the blank.",
    "blank_not_run": (
        "Process blank not run: what the reagents bring is not taken off.\n"
        "Run a blank of the same lots in the next fire."
    ),
    "lot_blank_not_run": (
        "No blank of lot {lot} was run: what it brings is not taken off.\n"
        "Run one, or give what earlier blanks of it held."
    ),
    "blank_amount_unknown": (
        "What lot {lot} brings is not taken off: how much of it went in is not noted.\n"
        "Note the lead of the charge, or its silver."
    ),
    "blank_no_lot": (
        "A blank was run and is not taken off: {who} names no lot.\n"
        "Name the lots of the blank and of its samples; they must be the same."
    ),
    "blank_below_zero": (
        "The blank lies far below zero: {b} mg, beyond 3u (u is standard).\n"
        "No figure follows from it. Zero the balance and weigh the blank again."
    ),
    "part_below_zero": (
        "{name}: metal far below zero, {m} mg, beyond 3u (u is standard).\n"
        "Kept as read, no figure follows from it. Zero? Weigh it again."
    ),
    "duplicate_of_none": (
        "Duplicate of which sample? Nobody said, so it is judged alone.\n"
        "Name the sample that it repeats: of."
    ),
    "blank_scatter_unknown": (
        "Blank scatter unknown: one blank, only its weighing is in the ±.\n"
        "Two blanks of the lot or more show it."
    ),
    "blanks_over_runs": "No fire held two blanks: their scatter is taken from fire to fire.",
    "no_matching_proof": "Not corrected for cupel loss: {why}.",
    "proof_none": "no proof in this fire",
    "proof_nothing_found": "nothing was found in the proof {name}",
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
        "Cupel treated again and a proof used: both make up one loss. Choose one."
    ),
    "cupel_instead": "Its own cupel was treated again: the proofs are not used for it.",
    "no_twin": "No twin proof has its silver and its lead: silver by difference.",
    "slag_again": "Slag treated again: {y} mg is added, its own blank taken off.",
    "cupel_again": "Cupel treated again: {y} mg is added, its own blank taken off.",
    "slag_again_no_blank": "Slag treated again: {y} mg is added; no blank of it was run.",
    "cupel_again_no_blank": "Cupel treated again: {y} mg is added; no blank of it was run.",
    "loss_mixed": (
        "Its determinations are not all corrected for the same loss.\n"
        "Each sort has its own mean. Run proofs that fit all of them, or none."
    ),
    "mean_of_sort": "Mean of {n} of {N} determinations, {sort}.",
    "minus_mixed": (
        "{n} of {N} determinations of what passed are {sort}.\n"
        "Their mean is taken; the others are of another sort and are not pooled."
    ),
    "circuit_mixed": (
        "Circuit gold is mixed: {one} and {other}.\n"
        "Recovery mixes them too. Run proofs that fit every bead, or none."
    ),
    "sort_changed": ("{who}: the gold was {was}.\nNow it is {now}: other proofs fit."),
    "whole_mixed": (
        "Corrected for cupel loss in part only: some of its parts are not.\n"
        "Run proofs that fit plus and minus, or none."
    ),
    "sort_corrected": "corrected for cupel loss",
    "sort_corrected_slag": "corrected for cupel loss, slag added",
    "sort_part": "in part corrected for cupel loss",
    "sort_uncorrected": "not corrected for cupel loss",
    "sort_uncorrected_slag": "not corrected for cupel loss, slag added",
    "sort_none_results": "Results without a grade",
    "sort_none": "Blanks, proofs, and samples without gold",
    "bead_above_sample": (
        "Bead {B} mg outweighs its sample, {M} mg. Both are stored as read.\n"
        "No result until one is weighed again or explained. mg for g?"
    ),
    "retained_silver": (
        "Silver left in the gold, 0.1 to 0.2 % of it, is not covered:\n"
        "a proof parted in the same boil would do that."
    ),
    "too_little_silver": (
        "Too little silver to part: {ratio} to 1 of gold; {least} to 1 is the least.\n"
        "Inquart and part again."
    ),
    "silver_zero_is_none": "Silver added, {x}, is taken as none: no silver was put in.",
    "silver_added_unknown": (
        "Silver added is not known: silver and fineness are not determined.\n"
        "The gold stands. Next: a charge whose added silver is weighed, or none."
    ),
    "silver_loss_unknown": (
        "Silver loss not known: 0 to {most} % is taken, from memory. Run a proof."
    ),
    "silver_both_ends": "Silver is {least} mg if none was lost, {other} mg if {loss} % was.",
    "silver_grades": "As a grade: {least} g/t if none was lost, {other} g/t if {loss} % was.",
    "silver_proof_empty": (
        "Proof {name} kept no silver in its bead: the loss of silver does not follow.\n"
        "Weigh its bead and its gold again, or run another proof."
    ),
    "silver_blank_not_run": (
        "Silver of the reagents not known: no blank without added silver was run.\n"
        "It is not taken off. Run a blank with no silver in the next fire."
    ),
    "portion_grains": ("A portion was cupelled: which grains fell into it is not in the ±."),
    "silver_not_shown": (
        "Silver cannot be told from none: {ag} ± {U} mg is found this way.\n"
        "Next: more proofs in the same fire, or a charge with no silver added."
    ),
    "silver_missing": (
        "Less silver than was added: {ag} mg, beyond 3u (standard uncertainty).\n"
        "No result until it is explained. Added silver right? Did the bead spit?"
    ),
    "as_received": "As received: no moisture is given, so its water counts as rock.",
    "determinations_disagree": (
        "They disagree: {a} and {b} {unit} lie {d} apart; up to {crit} is usual.\n"
        "All stay. Coarse gold, or a slip? Weigh in and assay once more."
    ),
    "one_determination": "One determination: how far a second would lie from it is not in the ±.",
    "spread_of_log": "Spread of one determination from the log: {s} {unit}, ν = {dof}.",
    "spread_alike": "All its duplicates are behind that spread: right for samples alike in grade.",
    "spread_of_own": "Spread of these {n} determinations: {s} {unit}.",
    "n_of_N_sorts": ("{n} of {N} shown. Means, {unit}: {means}.\nLeft out: {list}. Reason: {why}."),
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
    "screened_wet": (
        "Its assays are dry, its plus and minus as received: no figure follows.\n"
        "Give the moisture of {id}; its parts have it unless they say their own."
    ),
    "portions_above_whole": (
        "{name}: portions of {p} g together outweigh all of it, {w} g.\n"
        "No result until one is weighed again or explained. Plus and minus swapped?"
    ),
    "metal_above_part": (
        "{name}: metal of {p} g outweighs its sample, {w} g.\n"
        "No result until one is weighed again or explained. mg for g?"
    ),
    "coarse_share_none": "No share of coarse metal: {plus} mg on the screen, {minus} mg passed.",
    "simple_mean_no_grade": "The simple mean of the {n} assays, {mean} {unit}, is not a grade.",
    "minus_alone": "An assay of the minus alone would have said {g} {unit}.",
    "plus_all_fused": (
        "All of plus fused: it is no sample here. For the lot its few grains count."
    ),
    "plus_part_fused": (
        "Only {part} of {plus} g of plus fused: its few grains may mislead. Fuse all."
    ),
    "foil_little": (
        "{name}: {foil} g of foil; ISO 11426 has {least} g or more for {m} mg.\n"
        "Base metal may stay in the cornet. Assay it again with more foil."
    ),
    "cornet_silver_little": (
        "{name}: {ratio} of silver to 1 of gold at most; ISO 11426 has {least}.\n"
        "Silver may stay in the cornet. Assay it again with more silver."
    ),
    "cornet_silver_much": (
        "{name}: {ratio} of silver to 1 of gold; ISO 11426 has {most} at most.\n"
        "The cornet may break up in the acid. Look whether all of it was weighed."
    ),
    "one_piece": "One piece: two or more are the rule for bullion.",
    "within_splitting_limit": (
        "Within the splitting limit: {d} {unit} apart, the limit is {limit}.\n"
        "Settled at the mean, {mean} {unit}."
    ),
    "settled_without_doubt": (
        "± of the settled figure not known: {who} came without ±.\n"
        "Type it with its ±, such as 912.4 ± 0.3 ‰."
    ),
    "difference_without_doubt": "± of the difference not known: {who} came without ±.",
    "doubt_not_known": "{figure}, ± not known",
    "settled_apart": "The ± of two parties share no source.",
    "settled_as_exchanged": "Figures are compared as they were exchanged, whatever their ±.",
    "beyond_splitting_limit": (
        "Beyond the splitting limit: {d} {unit} apart, the limit is {limit}.\n"
        "To the umpire; the contract's rule decides from there."
    ),
}
