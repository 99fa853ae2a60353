"""What the program says of comparing runs and laboratories, of money, and of saved tailings."""

VALUE: dict[str, str] = {
    # typing
    "money_unreadable": "{x} is not an amount of money. Write it like {example}.",
    "money_mixed": "one line has one currency; this one has {names}.",
    "money_needs_percent": "money needs runs of recovery in %: write '81.2 84.0 79.5 %'.",
    "duplicates_unreadable": "{x} is not a pair. Write two figures with a colon: 4.1:4.3.",
    "pairs_all_alike": "every pair is of two equal figures: no spread can be formed",
    "no_gold_grade": "{name} has no gold grade to hold against a cut-off.",
    "pairs_few": "{n} pair; two at least are needed.",
    "pair_not_positive": "{x} does not add up to more than zero: no share can be formed of it.",
    "gain_above_loss": "{gain} points cannot be gained: at {r} % recovery only {most} escape.",
    "gain_range": "{x} is out of range: a gain is from -100 to 100 points, such as '5 ± 2 %'.",
    "fineness_range": "{x} is out of range: a fineness is above 0 and at most 1000 ‰.",
    "grains_need_positive": "with --grains the figure and the cut-off are above zero.",
    "layer_unknown": "{x} is not a layer. Write weighing, assay or sampling.",
    # comparing
    "difference_not_shown_power": (
        "Difference not shown: {d} {unit}; the truth may be {lo} to {hi} {unit}.\n"
        "Not the same as equal. With {n} {what} it would show {P} times in 100."
    ),
    "pays_shown": (
        "It pays: the gain is {lo} {unit} at least, and {even} {unit} break even.\n"
        "That is for one season, at the price and feed typed."
    ),
    "pays_not": (
        "It does not pay: the gain is {hi} {unit} at most, and {even} {unit} break even.\n"
        "That is for one season, at the price and feed typed."
    ),
    "pays_open": (
        "Not shown whether it pays: it breaks even at {even} {unit},\n"
        "and the gain may be {lo} to {hi} {unit}."
    ),
    "runs_for_least": (
        "Least gain worth having: {gain} {unit}.\n"
        "{n} {what} show it {often}; the spread may be larger: then {bound}."
    ),
    "runs_too_many": (
        "No {most} {what} would show {gain} {unit}, the least worth having.\n"
        "Make the runs more alike, or larger, before making more of them."
    ),
    "runs_each": "runs of each",
    "runs_pairs": "pairs",
    "four_in_five": "4 times in 5",
    "times_in_hundred": "{P} times in 100",
    "pairs_by_place": "Pairs: each one belongs to the one in its place in the other list.",
    "spreads_may_differ": "The two sets may have different spreads (Welch).",
    "spread_between_less": "the spread between laboratories cannot be below that within one.",
    "nothing_left_of_price": "after --payable and --refining nothing is left of the price.",
    "one_season": "One season pays for it or not; nothing is counted beyond it.",
    "one_laboratory_within": (
        "Within the critical difference, {limit} {unit}: the means lie {d} apart.\n"
        "One laboratory repeats so. That does not prove both right."
    ),
    "one_laboratory_beyond": (
        "Beyond the critical difference, {limit} {unit}: the means lie {d} apart.\n"
        "One laboratory seldom repeats so. Look for what changed in between."
    ),
    "one_laboratory_limit": (
        "Only the spread within a laboratory is given: the limit is that of two\n"
        "sets of one laboratory. Two laboratories need --reproducibility."
    ),
    "results_range_beyond": (
        "{which}: its {n} results lie {r} {unit} apart; up to {crit} is usual.\n"
        "Its mean is compared all the same. Look at its results first."
    ),
    "laboratories_within": (
        "Within the critical difference, {limit} {unit}: the means lie {d} apart.\n"
        "They agree. That does not prove both right."
    ),
    "laboratories_beyond": (
        "Beyond the critical difference, {limit} {unit}: the means lie {d} apart.\n"
        "Look for a bias: one reference material in both laboratories tells whose."
    ),
    "laboratories_same_sample": "Both laboratories had the same pulp, well mixed.",
    "umpire_settles": (
        "The umpire found {umpire}; by your rule '{rule}' it settles at {at} {unit}.\n"
        "The umpire's figure lies nearer to {nearer}."
    ),
    "umpire_not_needed": "Within the splitting limit the umpire's figure is not used.",
    "umpire_rule_contract": "The rule is your contract's: read it there before you use this.",
    "duplicates_spread": (
        "Duplicates repeat with a spread of {s}, from {n} pairs.\n"
        "Two such results lie within {limit} of each other 95 times in 100."
    ),
    "duplicates_few": "{n} pairs: 50 at least are needed to see how the spread grows with grade.",
    "duplicates_beyond": ("Look at pair {list}.\n99 in 100 pairs lie nearer together than that."),
    "duplicates_line_negative": (
        "The line falls below zero at low grades: read it only where there are pairs."
    ),
    "cutoff_above_few": (
        "Above the cut-off, {c} {unit}: {lo} to {hi} {unit}.\n"
        "The chance that the truth is above it is {P} in 100."
    ),
    "cutoff_below_few": (
        "Below the cut-off, {c} {unit}: {lo} to {hi} {unit}.\n"
        "The chance that the truth is above it is {P} in 100."
    ),
    "cutoff_not_shown_few": (
        "Not shown: {lo} to {hi} {unit} may be above or below the cut-off, {c} {unit}.\n"
        "The chance that the truth is above it is {P} in 100."
    ),
    "layer_weighing": "Says what is on the pan: neither the assay nor the sampling is in the ±.",
    "layer_sampling": "The sampling is in the ±: this is said of what was sampled.",
    "typed_dof": "The ± rests on {n} degrees of freedom: t instead of the normal law.",
    # money
    "write_price": "Write --price '80 USD/g', the price of fine metal.",
    "price_nobody": "No one stands for this price: say who and when with --price-source.",
    "price_by": "Price {price}: {source}.",
    "no_price_built_in": "No price is built in. What is typed is taken as it is, without ±.",
    "worth_is": "Worth: {net}, after all that is taken off.",
    "worth_below_zero": (
        "Costs more than it brings: {net}.\nCharges, treatment and refining take all of it."
    ),
    "fine_once": "Fine metal is gross × fineness. Parted gold is fine already.",
    "loss_is": "Each tonne sends {loss} to the tailings.",
    "loss_is_least": (
        "Each tonne sends {loss} to the tailings.\nThe recovery is known only as a most."
    ),
    "gain_pays_back": (
        "Paid back after {middle} t of feed; it may be {low} to {high} t.\n"
        "The chance that it never pays is {never} in 100."
    ),
    "gain_pays_back_open": (
        "Paid back after {middle} t of feed; {low} t or more, no upper end.\n"
        "The chance that it never pays is {never} in 100."
    ),
    "gain_never_likely": (
        "More likely than not it never pays: the chance of that is {never} in 100.\n"
        "At best {low} t of feed pay for it."
    ),
    "gain_never": "It never pays: each tonne brings {n}.",
    "never_pays_at_all": "It never pays: no feed brings the cost back.",
    "gain_each_tonne": "Each tonne brings {n}, running cost off.",
    "second_stage_taken": "Stage 2 is taken to catch {r2} of what the pile holds.",
    "recovery_as_bound": "The recovery was typed as a limit: the loss is a least one.",
    "gain_same_feed": "The gain is taken to hold for all of the feed.",
    "years_alike": "Every year is taken to be like the season; money comes at the end of each.",
    # heaps
    "heaps_none": "No circuit test here says how much tailings were saved. Give their mass.",
    "heap_sheet_twice": "{x} is the same sheet as {other}. Give each sheet once.",
    "heap_first": "Run {name} again first: {why}",
    "heap_why_least": "it holds {g} g/t at least.\nOthers may hold as much.",
    "heap_why_clear": "it holds {g} g/t at least.\nNo other one can hold as much.",
    "heap_assay_first": (
        "No heap is known to hold anything: none has a lower bound above zero.\n"
        "Assay {name} first: up to {g} g/t may be there unseen."
    ),
    "heap_order_open": "{name} may hold as much: the two intervals overlap.",
    "heap_unknown": "{name}: nothing tells what is left in it. Assay it.",
    "heap_rerun": "{name} was run again in {log}: it is not in the total.",
    "heap_share": "{name}: {pct} % of the tailings were not run again; they are not in this heap.",
    "heap_not_read": "{name} was left out: {why}",
    "heap_as_assayed": "as assayed",
    "heap_as_worked_out": "as worked out",
    "heap_streams_disagree": (
        "{name}: the streams of its test do not agree; what is left is given\n"
        "{how} all the same. Measure the tailings again."
    ),
    "heaps_alike": "Where nothing was assayed, both stages are taken to catch alike.",
    "heaps_stated": (
        "Where nothing was assayed, stage 2 is taken to have caught the share\nthat its log states."
    ),
    "heaps_catch": "The next stage is taken to catch {r2} of each heap; one ± for all of them.",
    "heaps_shared": (
        "Balances of one name on one bench share the u of their calibration;\nlogs share no other."
    ),
    # what a comparison or a valuation takes
    "form_compare": "Two figures are compared: compare '{x}' '4.1 ± 0.5 g/t'.",
    "form_cutoff": "One figure is held against a cut-off: compare '{x}' --cutoff 3g/t.",
    "form_settled": "Two figures are settled: compare 912.68‰ 912.4‰ --splitting-limit 0.5‰.",
    "form_laboratories": (
        "Give --laboratory twice:\n--laboratory '4.1 4.3 g/t' --laboratory '4.6 4.5 g/t'."
    ),
    "form_no_figure": "With {option} no other figure is taken.",
    "form_value": (
        "Write --metal 28.4g, --gross 31g --fineness 912‰,\n"
        "--mass 2kg --grade 310g/t, or --season 900t --grade 0.9g/t."
    ),
    "form_sampling": (
        "Write --count 12, --metal '0.31 mg' --sieve 106um:250um, --classes '0 2 15',\n"
        "--grains '5 3 0.4 mg', --gy or two --increments '1 kg:45 %:15'."
    ),
    "form_streams": "Write {form}, and one for each product.",
    "two_no_shared_source": "A and B share no source of their ±.",
    "two_symmetric": "The ± is symmetric (normal).",
}
