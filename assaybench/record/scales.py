"""The scale of a balance from the checks of a log, where nobody declared its calibration.

Method version 1, section 1. The first check of a balance with a weight and the last one stand for
before and after; an error that is shown is not corrected, it widens the scale: no reading is ever
changed by a check. A weight counts whose mass is known with ±, or by its class of OIML R 111. Of
several weights the one that tells the scale best counts. A calibration that was declared stands.
"""

import math
from dataclasses import replace
from typing import NamedTuple

from assaybench.messages import say
from assaybench.metrology.calibration import CheckWeight, scale_from_check
from assaybench.metrology.weighing import Balance
from assaybench.metrology.weights import weight as class_weight
from assaybench.record.entries import Effective
from assaybench.record.typed import typed_in
from assaybench.units import parse, table, write
from assaybench.units.table import MILLIGRAM


class CheckedScale(NamedTuple):
    """What the checks of a balance say of its scale.

    Attributes:
        balance: its name.
        weight: name of the check weight.
        u: relative standard uncertainty of the scale, that of the weight among it.
        u_weight: relative standard uncertainty of the mass of the weight alone; balances that were
            checked with one weight share it.
        error: E/m_ref, how much the balance reads high, a share of one.
        shown: whether that error is larger than chance lets expect; then it stands in `u`.
        first, last: the checks; the same entry where there is one.
        paper: whether they were typed from paper: then the times of the entries say nothing.
    """

    balance: str
    weight: str
    u: float
    u_weight: float
    error: float
    shown: bool
    first: Effective
    last: Effective
    paper: bool = False

    def on(self, balance: Balance) -> Balance:
        """The balance with this scale; one whose calibration was declared stays as it is."""
        if balance.calibration is not None and not balance.reference:
            return balance
        return replace(
            balance, calibration=self.u, reference=self.weight, u_reference=self.u_weight
        )

    @property
    def sentence(self) -> str:
        """`Calibration of fine from the check at 08:05 with 10 mg: u 0.025 %.`, and what is off."""
        said = say(
            "calibration_checked",
            balance=self.balance,
            check=self._when(),
            weight=self.weight,
            u=write.percent(self.u),
        )
        if not self.shown:
            return said
        code = "calibration_high" if self.error > 0 else "calibration_low"
        return f"{said}\n{say(code, e=write.percent(abs(self.error)))}"

    def _when(self) -> str:
        first, last = self.first.entry.at, self.last.entry.at
        one = self.first.n == self.last.n
        if self.paper:
            return say("check_on_paper" if one else "checks_on_paper")
        if one:
            return say("check_at", t=f"{first:%H:%M}")
        form = "%H:%M" if first.date() == last.date() else "%Y-%m-%d %H:%M"
        return say("checks_at", first=f"{first:{form}}", last=f"{last:{form}}")


def checked_scale(
    balance: Balance,
    checks: list[Effective],
    weights: list[Effective],
    *,
    paper: bool = False,
) -> CheckedScale | None:
    """The scale of a balance from its checks; None where no weight of theirs is known well.

    Args:
        balance: as it is described last.
        checks: its checks, in the order of the log.
        weights: the check weights of the log; the first of a name counts.
        paper: whether the log was typed from paper.
    """
    found = []
    for name in dict.fromkeys(check.text("weight") for check in checks):
        entry = next((w for w in weights if w.text("name") == name), None)
        known = None if entry is None else check_weight(entry)
        if known is not None:
            own = [check for check in checks if check.text("weight") == name]
            found.append(_scale(balance, name, known, own[0], own[-1])._replace(paper=paper))
    return min(found, key=lambda scale: scale.u, default=None)


def _scale(
    balance: Balance, name: str, weight: CheckWeight, first: Effective, last: Effective
) -> CheckedScale:
    after = _nets(last) if last.n != first.n else []
    scale = scale_from_check(weight, _nets(first), balance, after_mg=after, correct=False)
    return CheckedScale(
        balance=balance.name,
        weight=name,
        u=scale.u_relative,
        u_weight=weight.u_mg / weight.mass_mg,
        error=scale.error_mg / weight.mass_mg,
        shown=abs(scale.error_mg) > 2 * scale.u_error_mg,
        first=first,
        last=last,
    )


def check_weight(entry: Effective) -> CheckWeight | None:
    """A weight with its doubt: from ± of its certificate, else MPE/√3 of its class.

    None where neither is known: a bare nominal mass says nothing of how good it is.
    """
    mass = typed_in(entry.text("mass"), MILLIGRAM.symbol)
    if mass.value <= 0:
        return None
    if mass.stated:
        return CheckWeight(mass.value, mass.u)
    exact = parse.figure(entry.text("mass"), table.MASS).exact(MILLIGRAM)
    try:
        known = class_weight(entry.text("accuracy_class"), exact)
    except ValueError:
        return None
    return CheckWeight(mass.value, known.u_ref_mg)


def _nets(check: Effective) -> list[float]:
    """Readings of the weight less the mean of the zeros, mg; no zero was typed for a tared one."""
    per_mg = float(parse.unit(check.text("unit"), table.MASS).size / MILLIGRAM.size)
    zeros = [float(parse.number(parse.clean(text))) for text in check.texts("zeros")]
    zero = math.fsum(zeros) / len(zeros) if zeros else 0.0
    return [
        (float(parse.number(parse.clean(text))) - zero) * per_mg for text in check.texts("texts")
    ]
