"""What a circuit test still waits for, in the words of the bench: spots, cupels, portions."""

from assaybench.bench.circuit_model import STAGES, Model, Spot
from assaybench.bench.run_log import RunLog
from assaybench.messages import say
from assaybench.record.portions import portion_amiss


def waits(run: RunLog) -> list[str]:
    """What keeps the two stages from being worked out, one sentence for each kind of thing."""
    model = Model(run.state)
    missing = model.missing()
    if missing:
        return [say("circuit_waits", what=missing[0].words, n=len(missing))]
    tied = [(spot, model.sample_of(spot)) for spot in model.spots() if model.sample_of(spot)]
    board, what = run.board(), "bead" if model.unparted else "gold"
    lost = [(spot, sample) for spot, sample in tied if sample in run.state.samples
            and board.lost(sample)]  # fmt: skip
    open_ = [pair for pair in tied if pair not in lost and not board.readings(pair[1], what)]
    said = [
        say("circuit_lost", place=board.muffle.named(sample), what=spot.words)
        for spot, sample in lost
    ]
    if open_:
        place = board.muffle.named(open_[0][1])
        code = "circuit_unweighed" if len(open_) == 1 else "circuit_unweighed_some"
        said.append(say(code, place=place, n=len(open_), what=what))
    sized = model.spots_of("tailings")[1:]
    without = [spot for spot in sized if not model.typed(spot)]
    if without and len(without) < len(sized):
        said.append(say("circuit_tailings_wait", what=without[0].words))
    return said


def portions(run: RunLog) -> list[str]:
    """Where the charge that was weighed in is not the portion of its product that is typed."""
    model, said = Model(run.state), []
    for spot in model.spots():
        entry, charge = model.entry(spot), charge_of(run, spot)
        if entry is None or charge is None:
            continue
        place = run.board().muffle.named(entry.text("sample"))
        amiss = portion_amiss(entry, charge, place)
        said += [amiss.text] if amiss else []
    return said


def charge_of(run: RunLog, spot: Spot) -> float | None:
    """The charge that was weighed in of a spot of the two stages, g; None when none was."""
    sample = Model(run.state).sample_of(spot)
    if not sample or spot.product not in STAGES or sample not in run.state.samples:
        return None
    return run.charge_g(sample)


def unfelt(run: RunLog) -> list[str]:
    """Catches that were weighed and that their balance cannot tell from nothing."""
    said, model = [], Model(run.state)
    for spot in model.spots():
        sample = model.sample_of(spot)
        seen = sample and (run.seen(sample, "gold") or run.seen(sample, "bead"))
        if seen and seen.weighing.net_mg < seen.limits.critical_mg:
            said.append(say("circuit_unfelt", what=spot.words))
    return said
