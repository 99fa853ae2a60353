"""What the margin says of a weighing, most important first: verdict, aim, what would help.

Every remark is made of one sentence of the table; the page decides which stand where.
"""

import math

from assaybench.bench.characters import capital
from assaybench.bench.in_parts import OF_WHOLE
from assaybench.bench.run_log import RunLog, Seen
from assaybench.bench.tray import Step, Thing
from assaybench.circuit.grains import grain_mass_mg
from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.record.suspect import last_check
from assaybench.record.told import scale_told
from assaybench.units import parse, table, write
from assaybench.units.table import GRAM, MICROMETRE, MILLIGRAM

NUMBER_WORDS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
USUAL_GRAIN_UM = 100.0
"""The grain that is spoken of where nobody measured one."""


def of_thing(run: RunLog, step: Step, thing: Thing, seen: Seen | None) -> list[str]:
    """All that is said of what lies on the pan; what its check says of the balance comes first.

    Args:
        run: the log.
        step: weigh-in, beads or parting.
        thing: what is on the pan, and of which sample.
        seen: its weighing, None before the first reading.
    """
    found = _of_check(run, seen.balance.name if seen else run.balance_for(thing.what))
    if seen is None:
        return [*found, *before(run, step, *thing)]
    charge = run.charge_g(thing.sample) if thing.what != "charge" else None
    found += contradiction(run, seen, thing.sample)
    found += of_weighing(run, seen, charge_g=charge)
    found += of_metal(run, seen, thing.sample)
    return [*found, *of_balance(run, seen)]


def _of_check(run: RunLog, balance: str) -> list[str]:
    """That the last check of a balance was not good; nothing otherwise."""
    check = last_check(run.state, balance)
    if check is None or check[1] is not False:
        return []
    at = check[0].entry.at.astimezone(run.desk.clock().tzinfo)
    return [say("balance_not_good", name=capital(balance), t=f"{at:%H:%M}")]


def of_weighing(run: RunLog, seen: Seen, *, charge_g: float | None = None) -> list[str]:
    """The verdict in words, then what is behind it and what would help.

    Args:
        run: the log.
        seen: the weighing.
        charge_g: sample behind a bead, for a limit as a grade; None without one.
    """
    found = [capital(seen.verdict.text) + ".", *_reason(run, seen, charge_g)]
    return [*found, *(flag.text for flag in seen.weighing.flags)]


def _reason(run: RunLog, seen: Seen, charge_g: float | None) -> list[str]:
    unit = run.unit_of(seen.balance.name)
    per_mg = float(MILLIGRAM.size / unit.size)
    mass = seen.weighing.net_mg
    expanded = seen.doubt.k * seen.doubt.u
    fields = {"aim": write.short(run.aim * 100)}
    fields["pct"] = write.percent(expanded / mass) if mass > 0 else ""
    match seen.verdict.code:
        case "not_detected":
            most = write.significant(seen.limits.detection_mg * per_mg, 2)
            grade = ""
            if charge_g:
                grade = write.significant(seen.limits.detection_mg * 1000 / charge_g, 2)
                grade = f" {say('margin_grade', g=grade)}"
            return [say("margin_not_detected", LD=most, unit=unit.symbol, grade=grade)]
        case "detected_rough":
            return [say("margin_rough", **fields)]
        case "wider_than_aim":
            return [_wider(seen, fields, unit.symbol, per_mg), *_repeats(run, seen)]
        case "within_aim":
            return [say("margin_within", **fields)]
        case "aim_not_shown":
            return [say("margin_aim_not_shown", **fields)]
    return [seen.verdict.reason]


def _wider(seen: Seen, fields: dict[str, str], unit: str, per_mg: float) -> str:
    needed = seen.limits.least_single
    said = say("margin_aim", **fields)
    if needed is None:
        return said + "\n" + say("margin_aim_none")
    if needed.mass_mg <= seen.weighing.net_mg:
        return said
    what = say(f"need_{seen.raw.what}")
    need = write.significant_up(needed.mass_mg * per_mg, 2)
    return said + "\n" + say("margin_need", what=what, need=need, unit=unit)


def _repeats(run: RunLog, seen: Seen) -> list[str]:
    found = sight.useful_repeats(seen.weighing, seen.balance, run.aim)
    if found is None:
        return []
    times, share = found
    return [say("margin_repeats", n=NUMBER_WORDS[times - 2], pct=write.percent(share))]


def before(run: RunLog, step: Step, sample: str, what: str) -> list[str]:
    """Before the first reading: who it is, and what to look at."""
    if what in OF_WHOLE:
        return [say(f"balance_before_{what}")]
    entry = run.state.samples[sample]
    of = entry.text("of") or say("balance_no_sample")
    found = [say(f"balance_role_{entry.text('role')}", of=of)]
    if entry.text("part"):
        found = [say("balance_part", part=entry.text("part"), of=of)]
    if step == "parting":
        found.append(say("balance_cold"))
    lost = entry.text("lost")
    if lost:
        place = run.board().plan(step).named(sample)
        found.insert(0, say("margin_lost", place=place, why=lost))
    return found


def of_metal(run: RunLog, seen: Seen, sample: str) -> list[str]:
    """What a weighing says of the metal: doré; one grain and one division in the charge."""
    mass, what = seen.weighing.net_mg, seen.raw.what
    if what == "bead":
        return [say("margin_dore")]
    if what == "charge":
        said = [one_grain(run, sample, mass), one_division(run, mass)] if mass > 0 else []
        return [text for text in said if text]
    return []


def contradiction(run: RunLog, seen: Seen, sample: str) -> list[str]:
    """What cannot be: gold heavier than its bead, a bead heavier than its sample."""
    above = {"gold": "bead", "bead": "charge"}.get(seen.raw.what)
    under = run.seen(sample, above) if above else None
    if under is None or not heavier(seen, under):
        return []
    mass, other = (write.short(s.weighing.net_mg, 7) for s in (seen, under))
    if above == "bead":
        return [say("gold_above_bead", G=mass, B=other)]
    return [say("bead_above_sample", B=mass, M=other)]


def amiss(run: RunLog, seen: Seen, sample: str) -> bool:
    """Whether readings disagree, lie below zero, or cannot be beside another weighing."""
    told = seen.verdict.code in ("readings_disagree", "below_zero")
    return told or bool(contradiction(run, seen, sample))


def heavier(gold: Seen, bead: Seen) -> bool:
    """Whether gold is heavier than its bead, or a bead than its sample, by more than 3u."""
    apart = gold.weighing.net_mg - bead.weighing.net_mg
    return apart > 3 * math.hypot(gold.doubt.u, bead.doubt.u)


def of_balance(run: RunLog, seen: Seen) -> list[str]:
    """What is known of the balance, and which k is behind ±."""
    balance, unit = seen.balance, run.unit_of(seen.balance.name).symbol
    per_mg = float(MILLIGRAM.size / run.unit_of(balance.name).size)
    found = [say("margin_k", k=write.short(seen.doubt.k, 2))]
    if balance.spread_mg is not None:
        spread = write.short(balance.spread_mg * per_mg, 2)
        found.insert(0, say("margin_spread", s=spread, unit=unit))
    elif seen.verdict.code != "aim_not_shown":
        found.insert(0, say("margin_spread_unknown"))
    return [*found, *scale_told(run.state, balance)]


def one_grain(run: RunLog, sample: str, charge_mg: float) -> str:
    """What one grain of gold would make of this charge: `One grain is 5.3 g/t here`."""
    counted = run.state.of_sample("grains", sample)
    largest = counted.text("largest") if counted is not None else ""
    um = USUAL_GRAIN_UM
    if largest:
        um = float(parse.figure(largest, table.LENGTH).exact(MICROMETRE))
    grade = grain_mass_mg(um) * 1000 / (charge_mg * float(MILLIGRAM.size / GRAM.size))
    return say("margin_one_grain", d=write.short(um / 1000, 2), g=write.significant(grade, 2))


def one_division(run: RunLog, charge_mg: float) -> str:
    """What one division of the balance for gold is worth as a grade, with this charge."""
    balance = run.state.balances.get(run.balance_for("gold") or run.balance_for("bead"))
    if balance is None:
        return ""
    grade = balance.step_mg * 1000 / (charge_mg * float(MILLIGRAM.size / GRAM.size))
    return say("margin_one_division", balance=balance.name, g=write.significant(grade, 2))
