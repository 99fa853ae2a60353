"""Which flags a sample shows: those that concern it, with the reason why its blank is not used."""

from collections.abc import Iterable

from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.weighing import Balance
from assaybench.record.entries import Effective
from assaybench.record.replay import State
from assaybench.record.run import Run
from assaybench.units import write

OF_SAMPLES = frozenset(
    {"blank_not_run", "lot_blank_not_run", "blank_amount_unknown", "no_matching_proof",
     "blank_scatter_unknown", "silver_not_shown",
     "silver_not_determinable", "silver_added_unknown", "silver_blank_not_run",
     "dore_not_gold", "loss_scatter_unknown"}
)  # fmt: skip
"""Flags that speak of a sample's result, and say nothing of a blank or a proof."""


def told(run: Run, entry: Effective, flags: Iterable[Flag], *, is_sample: bool) -> tuple[Flag, ...]:
    """The flags of one sample, each once: a blank or proof is not itself corrected by one.

    Args:
        run: its run.
        entry: its entry.
        flags: what its calculations say.
        is_sample: whether it is asked for its own result.
    """
    once = dict.fromkeys(flags)
    if not is_sample:
        return tuple([f for f in once if f.code not in OF_SAMPLES])
    found = [_unused_blank(run, entry) or f if f.code == "blank_not_run" else f for f in once]
    if entry.text("role") == "duplicate" and not entry.text("of"):
        found.append(flag("duplicate_of_none"))
    return tuple(found)


def scale_of_run(run: Run, balance: Balance) -> list[str]:
    """`scale_told` of a balance of a run, worked out once."""
    said = run.scales_told.get(balance)
    if said is None:
        said = run.scales_told[balance] = scale_told(run.state, balance)
    return said


def scale_told(state: State, balance: Balance) -> list[str]:
    """What scale and spread of a balance rest on, where nobody stated them."""
    found = []
    if balance.zero_pairs:
        spread = write.short(balance.spread_mg or 0.0, 2)
        pairs = balance.zero_pairs
        found.append(say("spread_from_zeros", balance=balance.name, s=spread, n=pairs))
    if balance.reference:
        return [*found, state.scales[balance.name].sentence]
    if balance.calibration is not None:
        return found
    checked = any(e.text("balance") == balance.name for e in state.of("balance_check"))
    code = "calibration_weight_unknown" if checked else "calibration_none"
    return [*found, say(code, balance=balance.name)]


def _unused_blank(run: Run, entry: Effective) -> Flag | None:
    """Why a blank that was weighed is not taken off: a lot that nobody named; None without one."""
    blanks = [blank for blank in run.of_role("blank") if run.weighing(blank.text("id"), "gold")]
    bare = next((blank for blank in blanks if not blank.texts("lots")), None)
    if bare is not None:
        return flag("blank_no_lot", who=f"the blank {bare.text('id')}")
    if blanks and not entry.texts("lots"):
        return flag("blank_no_lot", who="the sample")
    return None
