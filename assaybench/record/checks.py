"""Checks of a run: blanks, duplicates, references and proofs, each with its state and its words.

Method version 1, section 9. Nothing is recalculated by a check; it is shown beside the results.
"""

import math
from typing import Literal, NamedTuple

from assaybench.assay.proofs import masses
from assaybench.assay.replicates import average
from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.metrology.uncertain import nominal
from assaybench.record.entries import Effective
from assaybench.record.results import Results, SampleResult
from assaybench.record.run import Run
from assaybench.record.sample_grades import SampleGrade
from assaybench.record.typed import typed_doubt
from assaybench.units import parse, table, write

CheckState = Literal["pass", "warn", "stop"]
STATE_WORDS: dict[CheckState, str] = {"pass": "in order", "warn": "look again", "stop": "stop"}
LEAST_FOUND = 0.5
"""A proof serves beads of half its metal at the least: one that lost more is none."""
MOST_FOUND = 1.1
"""No charge gives back a tenth more than it was given: something is not noted (no source)."""
WARN_FROM, STOP_FROM = 2.0, 3.0
"""|ζ| up to 2 is in order, above 3 stops the run (method version 1, section 9; ISO 13528)."""


class Check(NamedTuple):
    """One check.

    Attributes:
        id: the sample it is about.
        kind: blank, duplicate, reference or proof.
        state: pass, warn or stop.
        text: what was found, in words.
    """

    id: str
    kind: str
    state: CheckState
    text: str

    @property
    def words(self) -> str:
        """The state in words."""
        return STATE_WORDS[self.state]


def checks(found: Results) -> list[Check]:
    """Every check that the samples of a run allow, in the order of the log."""
    result: list[Check] = []
    for sample in found.samples:
        if sample.lost:
            continue
        check = {"blank": _blank, "reference": _reference, "proof": _proof}.get(sample.role)
        made = check(found, sample) if check is not None else None
        if made is not None:
            result.append(made)
    return result + [_duplicates(g) for g in found.grades if len(g.grade.used) > 1]


def _blank(found: Results, sample: SampleResult) -> Check | None:
    """A blank above its critical level holds metal, from its lot or the sample before it."""
    pair = found.run.weighing(sample.id, "gold") or found.run.weighing(sample.id, "bead")
    if pair is None:
        return None
    weighing, balance = pair
    limits = sight.limits(weighing, balance, found.run.aim)
    what = "gold" if found.run.weighing(sample.id, "gold") else "bead"
    shown = write.short(weighing.net_mg, 4)
    if weighing.net_mg <= limits.critical_mg:
        return Check(sample.id, "blank", "pass", say("blank_clean", m=shown, what=what))
    critical = write.significant(limits.critical_mg, 2)
    text = say("blank_holds_metal", m=shown, what=what, LC=critical)
    return Check(sample.id, "blank", "warn", text)


def _reference(found: Results, sample: SampleResult) -> Check | None:
    """ζ = (x - X)/√(u² + u_X²) of a reference material."""
    grade = sample.figures.get("grade_gold")
    certified = _certified(found.run.state.samples[sample.id])
    if grade is None or grade.value is None or grade.u is None or certified is None:
        return None
    value, u = certified
    zeta = (grade.value - value) / (grade.u**2 + u**2) ** 0.5
    state: CheckState = "pass"
    if abs(zeta) > WARN_FROM:
        state = "warn" if abs(zeta) <= STOP_FROM else "stop"
    text = say(
        "reference_found",
        found=grade.text,
        value=write.plus_minus(value, 2 * u, "g/t"),
        zeta=write.at_place(zeta, -1),
    )
    return Check(sample.id, "reference", state, text)


def _certified(sample: Effective) -> tuple[float, float] | None:
    """Certified value of a reference and its standard uncertainty, g/t; None without one."""
    text = sample.text("value")
    if not text:
        return None
    typed = parse.figure(text, table.FRACTION)
    unit = table.GRAM_PER_TONNE
    return float(typed.exact(unit)), typed_doubt(typed, unit)


def _proof(found: Results, sample: SampleResult) -> Check | None:
    """What a proof lost, found minus taken, held against its like of the run and their history."""
    taken = found.run.gold_taken(found.run.state.samples[sample.id])
    weighed = found.run.weighing(sample.id, "gold")
    if taken is None or weighed is None or nominal(taken) <= 0:
        return None
    change = weighed[0].net_mg - nominal(taken)
    text = say(
        "proof_found",
        diff=write.at_place(change, -3),
        permille=write.at_place(1000 * change / nominal(taken), -1),
    )
    if weighed[0].net_mg < LEAST_FOUND * nominal(taken):
        return Check(sample.id, "proof", "warn", f"{text}\n{say('proof_half_lost')}")
    too_much = _too_much(found.run, sample.id)
    if too_much:
        return Check(sample.id, "proof", "warn", f"{text}\n{too_much}")
    apart = _apart(found.run, sample.id)
    if apart is None:
        return Check(sample.id, "proof", "pass", text)
    loss, usual = apart
    if abs(loss) <= usual:
        return Check(sample.id, "proof", "pass", text)
    shown = {"d": write.at_place(1000 * loss, -1), "crit": write.significant(1000 * usual, 2)}
    return Check(sample.id, "proof", "warn", f"{text}\n{say('proof_unlike', **shown)}")


def _too_much(run: Run, name: str) -> str:
    """The sentence for a proof that gave back more metal than it was given; empty for any other."""
    proof, gold = run.state.samples[name], run.weighing(name, "gold")
    bead = run.weighing(name, "bead")
    given = {"gold": run.gold_taken(proof), "silver": run.silver_taken(proof)}
    back = {"gold": gold and gold[0].net_mg, "silver": None}
    if gold is not None and bead is not None:
        back["silver"] = bead[0].net_mg - gold[0].net_mg
    for metal, taken in given.items():
        found = back[metal]
        if taken is not None and found is not None and found > MOST_FOUND * nominal(taken) > 0:
            percent = write.short(100 * found / nominal(taken), 3)
            return say("proof_too_much", percent=percent, metal=metal)
    return ""


def _apart(run: Run, name: str) -> tuple[float, float] | None:
    """How much more a proof lost than its like of this run, and 3s of that, shares of the metal.

    s is the scatter that such proofs showed in earlier runs; None without it or without its like:
    the mean loss of earlier runs is not noted, so the others of the run stand for it.
    """
    group = next((g for g in run.gold_proofs if name in {p.name for p in g}), ())
    known = run.earlier_loss(tuple(p.name for p in group), "loss_spread")
    if known is None or len(group) < 2:
        return None
    nets = zip(group, masses(group), strict=True)
    losses = {proof.name: 1 - net / taken for proof, (taken, net) in nets}
    own = losses.pop(name)
    usual = STOP_FROM * known.value * math.sqrt(1 + 1 / len(losses))
    return own - average(losses.values()), usual


def _duplicates(grade: SampleGrade) -> Check:
    """Determinations of one sample that count: do they lie as close as their doubt lets expect."""
    names = ", ".join(d.name for d in grade.grade.used)
    if grade.grade.agrees:
        return Check(grade.id, "duplicate", "pass", say("determinations_agree", names=names))
    text = next(f.text for f in grade.grade.flags if f.code == "determinations_disagree")
    return Check(grade.id, "duplicate", "warn", text.split("\n")[0])
