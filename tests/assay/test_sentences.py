"""Sentences of the assay: each has a filled example, and that fits the page."""

import pytest

from assaybench.messages import say
from assaybench.messages_assay import ASSAY

FILLED: dict[str, dict[str, object]] = {
    "like_the_blank": {"y": "-0.0031", "m": "0.0184", "LD": "0.0170"},
    "above_the_blank": {"y": "0.3142", "U": "0.0123", "m": "0.3184"},
    "above_the_blank_rough": {"y": "0.0242", "U": "0.0123", "m": "0.0284", "tenfold": "0.062"},
    "far_below_blank": {"y": "-0.0313"},
    "below_critical": {"y": "0.00312", "unit": "mg"},
    "blank_not_run": {},
    "blank_scatter_unknown": {},
    "blanks_over_runs": {},
    "no_matching_proof": {"why": "the proof had 20 mg of silver, the bead 8 mg"},
    "proof_none": {},
    "proof_nothing_found": {"name": "PR-1"},
    "proof_no_metal": {},
    "proof_other_run": {},
    "proof_other_metal": {"ratio": "0.25"},
    "proof_other_lead": {"there": "20", "here": "30"},
    "proof_other_silver": {"there": "20", "here": "8"},
    "proof_other_copper": {"there": "20", "here": "8"},
    "proof_additive": {},
    "proof_ratio": {},
    "proof_scaled": {"x": "0.250"},
    "proofs_over_runs": {},
    "loss_scatter_unknown": {},
    "surcharge_scatter_unknown": {},
    "cupel_counted_twice": {},
    "cupel_instead": {},
    "no_twin": {},
    "slag_again": {"y": "0.0213"},
    "slag_again_no_blank": {"y": "0.0213"},
    "cupel_again_no_blank": {"y": "0.0213"},
    "loss_mixed": {},
    "sort_corrected": {},
    "sort_corrected_slag": {},
    "sort_part": {},
    "sort_uncorrected": {},
    "sort_uncorrected_slag": {},
    "sort_none": {},
    "sort_none_results": {},
    "mean_of_sort": {"n": 12, "N": 14, "sort": "not corrected for cupel loss, slag added"},
    "minus_mixed": {"n": 12, "N": 14, "sort": "corrected for cupel loss"},
    "whole_mixed": {},
    "circuit_mixed": {"one": "corrected, slag added", "other": "not corrected, slag added"},
    "sort_changed": {
        "who": "PK-101, PK-102, PK-103, PK-104",
        "was": "corrected for cupel loss",
        "now": "not corrected for cupel loss",
    },
    "n_of_N_sorts": {
        "n": 3, "N": 5, "unit": "g/t", "means": "14.51 of 4 corrected, 14.02 of 1 not corrected",
        "list": "1 (T-31 c)", "why": "lead ran over",
    },
    "cupel_again": {"y": "0.0213"},
    "bead_above_sample": {"B": "21.034", "M": "20.000"},
    "screened_wet": {"id": "KV-016 b"},
    "portions_above_whole": {"name": "Minus", "p": "1000.234", "w": "975.4001"},
    "metal_above_part": {"name": "Minus 12", "p": "1000.234", "w": "975.4001"},
    "coarse_share_none": {"plus": "-0.0123", "minus": "-0.0123"},
    "retained_silver": {},
    "too_little_silver": {"ratio": "1.25", "least": "6.0"},
    "silver_zero_is_none": {"x": "0.000 mg"},
    "silver_added_unknown": {},
    "silver_loss_unknown": {"most": "4"},
    "lot_blank_not_run": {"lot": "K-31"},
    "blank_amount_unknown": {"lot": "K-31"},
    "blank_no_lot": {"who": "the blank BLANK-12"},
    "blank_below_zero": {"b": "-0.0123"},
    "part_below_zero": {"name": "Minus 1", "m": "-0.0123"},
    "duplicate_of_none": {},
    "silver_both_ends": {"least": "0.142", "other": "0.308", "loss": "2"},
    "silver_grades": {"least": "4.7", "other": "10.3", "loss": "2"},
    "silver_proof_empty": {"name": "PR-1"},
    "silver_blank_not_run": {},
    "portion_grains": {},
    "silver_not_shown": {"ag": "0.142", "U": "0.310"},
    "silver_missing": {"ag": "-0.142"},
    "as_received": {},
    "determinations_disagree": {
        "a": "12.34", "b": "19.61", "unit": "g/t", "d": "7.27", "crit": "0.31",
    },
    "one_determination": {},
    "spread_of_log": {"s": "0.50", "unit": "g/t", "dof": "12"},
    "spread_alike": {},
    "spread_of_own": {"s": "0.50", "unit": "g/t", "n": 4},
    "n_of_N": {
        "n": 1, "N": 5, "mean": "7.16", "unit": "g/t", "list": "4 (T-31 a, b, d, e)",
        "why": "asked for by client, KB",
    },
    "left_out_no_reason": {"x": '"T-31 c"'},
    "left_out_unknown": {"x": '"T-31 x"', "choices": "T-31 a, T-31 b, T-31 c"},
    "left_out_all": {},
    "closure_fails": {"d": "12.4", "crit": "10.0"},
    "simple_mean_no_grade": {"n": 3, "mean": "53.1", "unit": "g/t"},
    "minus_alone": {"g": "2.2", "unit": "g/t"},
    "plus_all_fused": {},
    "plus_part_fused": {"part": "12.3", "plus": "24.6"},
    "foil_little": {"name": "Bar 12 piece 1", "foil": "3.25", "least": "6", "m": "250"},
    "cornet_silver_little": {"name": "Bar 12 piece 1", "ratio": "0.25", "least": "2.3"},
    "cornet_silver_much": {"name": "Bar 12 piece 1", "ratio": "12.3", "most": "3"},
    "one_piece": {},
    "within_splitting_limit": {"d": "0.28", "unit": "‰", "limit": "0.5", "mean": "912.54"},
    "settled_without_doubt": {"who": "B and the umpire's figure"},
    "difference_without_doubt": {"who": "A and B"},
    "doubt_not_known": {"figure": "912.54 ‰"},
    "settled_apart": {},
    "settled_as_exchanged": {},
    "beyond_splitting_limit": {"d": "0.55", "unit": "‰", "limit": "0.5"},
}  # fmt: skip


def test_every_sentence_of_the_assay_is_filled_here() -> None:
    assert set(ASSAY) == set(FILLED)


@pytest.mark.parametrize("code", FILLED)
def test_a_filled_sentence_is_at_most_two_lines_of_76(code: str) -> None:
    lines = say(code, **FILLED[code]).split("\n")
    assert len(lines) <= 2
    assert {line: len(line) for line in lines if len(line) > 76} == {}
    assert "{" not in "".join(lines)
