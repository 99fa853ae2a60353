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
        "{size}: {m} mg is more than three times its doubt under zero.\n"
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
}
