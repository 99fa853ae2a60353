"""The text block of the balance page: place and reading, large; the mass; the beam."""

from assaybench.bench import beam
from assaybench.bench.characters import cut
from assaybench.bench.figures import large
from assaybench.bench.run_log import RunLog, Seen
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Span, line
from assaybench.bench.tray import Step, Thing
from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.record.entries import Effective
from assaybench.report.page import with_comma
from assaybench.units import write
from assaybench.units.table import MILLIGRAM

_MASS_AT, _ZERO_AT = 18, 29


def block(
    run: RunLog,
    step: Step,
    thing: Thing,
    seen: Seen | None,
    shown: str,
    *,
    typed: bool,
    comma: bool = False,
) -> list[Line]:
    """The lines of the page.

    Args:
        run: the log.
        step: weigh-in, beads or parting.
        thing: what is on the pan, and of which sample.
        seen: the weighing, with what is typed; None before the first reading.
        shown: the reading in large figures.
        typed: whether it is typed and not stored.
        comma: whether worked-out figures have a decimal comma.
    """
    sample, what = thing
    balance = run.balance_for(what)
    head = say(f"balance_place_{what}").ljust(_MASS_AT)
    head += say(f"balance_what_{what}")
    if balance:
        head += f", {run.unit_of(balance).symbol}"
    if balance != run.state.weighs.get(what, balance):
        head = cut(f"{head} {say('balance_on', name=balance)}", BLOCK_WIDTH)
    place = large(run.board().plan(step).named(sample), _MASS_AT - 1)
    mass = large(shown, BLOCK_WIDTH - _MASS_AT)
    rows = [line(head), ()]
    rows += [
        line(Span(one.ljust(_MASS_AT), "bold"), Span(two, "waits" if typed else "bold"))
        for one, two in zip(place, mass, strict=True)
    ]
    mark = with_comma if comma else str
    rows += [(), line(_who(run, sample, what, balance)), (), line(mark(_mass(run, seen)))]
    drawn = _beam(run, sample, what, seen)
    return [*rows, _struck(run, sample, what), *(line(mark(text)) for text in drawn)]


def _who(run: RunLog, sample: str, what: str, balance: str) -> str:
    """Sample and charge, the bead beside its gold, and the zero before."""
    parts = [sample]
    charge, bead = (_reading(run, sample, thing) for thing in ("charge", "bead"))
    if what == "gold" and bead:
        parts.append(say("balance_its_bead", m=bead))
    elif what == "bead" and charge:
        parts.append(charge)
    left = ", ".join(parts)
    last = run.last_zero(balance) if balance else None
    zero = say("balance_no_zero")
    if last is not None:
        zero = say("balance_zero", z=last.entry.text("text"))
    return f"{left.ljust(_ZERO_AT)}{zero}" if len(left) < _ZERO_AT else f"{left}  {zero}"


def _reading(run: RunLog, sample: str, what: str) -> str:
    """The last reading of a thing with its unit; empty when it was not weighed."""
    read = run.board().readings(sample, what)
    return f"{read[-1].text('text')} {read[-1].text('unit')}" if read else ""


def _mass(run: RunLog, seen: Seen | None) -> str:
    """`0.184 ± 0.004 mg, 184 divisions`."""
    if seen is None:
        return ""
    n = len(seen.weighing.loads)
    if not seen.weighing.agrees:
        return say("balance_no_mean", n=n)
    unit = run.unit_of(seen.balance.name)
    per_mg = float(MILLIGRAM.size / unit.size)
    net, wide = seen.weighing.net_mg, seen.doubt.k * seen.doubt.u
    finest = sight.finest_place(seen.weighing, unit)
    mass = write.plus_minus(net * per_mg, wide * per_mg, unit.symbol, finest=finest)
    said = say("balance_mass", m=mass, div=write.short(net / seen.balance.step_mg, 4))
    return said if n == 1 else say("balance_mass_mean", m=said, n=n)


def _struck(run: RunLog, sample: str, what: str) -> Line:
    """An amended reading in its place; an empty line when none was amended."""
    for entry in reversed(run.board().readings(sample, what)):
        if entry.amendments:
            return struck_line(entry)
    return ()


def struck_line(entry: Effective) -> Line:
    """`struck 1.372  1.327 KB 10:14`, as amended last."""
    last = entry.amendments[-1]
    before = dict(entry.entry.values)
    for amendment in entry.amendments[:-1]:
        before |= amendment.values
    return line(
        say("struck_word") + " ",
        Span(str(before.get("text", "")), "struck"),
        f"  {entry.text('text')} {last.by} {last.at:%H:%M}",
    )


def _beam(run: RunLog, sample: str, what: str, seen: Seen | None) -> list[str]:
    """The beam, its rider where the object is; without one, as for a single reading."""
    balance = run.balance_for(what)
    shown = seen or (run.seen(sample, what, "0", balance) if balance else None)
    if shown is None:
        return []
    unit = run.unit_of(shown.balance.name)
    on_pan = seen is not None and seen.weighing.agrees
    drawn = beam.beam_of(
        shown.limits,
        shown.balance.step_mg,
        shown.weighing.net_mg if on_pan else None,
        shown.doubt.k * shown.doubt.u,
        float(MILLIGRAM.size / unit.size),
        unit.symbol,
    )
    none_within = shown.limits.least_single is None
    return beam.lines(drawn, BLOCK_WIDTH, none_within=none_within)
