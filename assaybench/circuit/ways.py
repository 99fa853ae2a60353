"""One size, or all of them: the recovery by each way of thinking of it, a bound named a bound.

A is the metal of the stage-1 concentrate, B what the second stage caught, T the final tailings.
`at most` A/(A + B) · `closed` A/(A + B + T) · `both stages` (A + B)/(A + B + T) · `stated second
stage` and `least second stage` A/(A + B/r2). Equal stages are in `scenarios.py`. Figures are in per
cent; no value and no end lies beyond 0..100. Method version 1, section 5.
"""

from typing import Literal, NamedTuple

from assaybench.circuit import written
from assaybench.circuit.amounts import Amounts
from assaybench.circuit.split import Split, cut_at_zero, far_below, joined, seen, share
from assaybench.circuit.tailings import Tailings
from assaybench.messages import say
from assaybench.metrology.figure import Budget, Figure, Layer, Status
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

Way = Literal[
    "at most",
    "closed",
    "both stages",
    "equal stages",
    "stated second stage",
    "least second stage",
]

OF_BOTH_CATCHES = "of what both stages caught"
OF_THE_FEED = "of the feed"


class Recovery(NamedTuple):
    """A recovery by one way.

    Attributes:
        way: how it was formed; a bound and a scenario are named so.
        figure: in per cent, with its status and why.
        budget: the share of each source in its doubt, where there is a value with a doubt.
        assumptions: what it rests on, in words.
        bracket: ends in per cent that the weights leave when metal that was not seen goes from
            its most to nothing, and what their own doubt adds to that; None where nothing is only
            bounded.
        sentence: as it is said, up to two lines.
    """

    way: Way
    figure: Figure
    budget: Budget = ()
    assumptions: tuple[str, ...] = ()
    bracket: tuple[float, float] | None = None
    sentence: str = ""


def at_most(sources: Sources, amounts: Amounts, layer: Layer) -> Recovery:
    """A/(A + B), with the mats in the feed: what stage 1 caught at most.

    Where the second stage caught nothing to be seen, there is no bound below 100 %: the figure then
    says what stage 1 has at least of both catches, and its basis says so.
    """
    split = amounts.split(amounts.rerun)
    figure, budget = share(
        sources, amounts.name, split, layer=layer, basis=OF_BOTH_CATCHES, status="at most"
    )
    sentence = figure.why
    if figure.status == "at most":
        code = "recovery_at_most" if amounts.tailings is None else "recovery_at_most_assayed"
        sentence = say(code, size=amounts.name, figure=written.number(figure))
    elif figure.status == "at least":
        sentence = say("rerun_not_seen", size=amounts.name, figure=written.number(figure))
        figure = figure._replace(why=sentence)
    return Recovery("at most", figure, budget, (say("assumed_rerun_fed"),), None, sentence)


def closed(sources: Sources, amounts: Amounts, layer: Layer) -> Recovery:
    """A/(A + B + T), with the mats in the feed.

    Raises:
        ValueError: when the final tailings were not assayed.
    """
    split = joined(sources, _assayed(amounts), amounts.split(amounts.rerun))
    return _with_tailings(sources, "closed", amounts, split, layer)


def both_stages(sources: Sources, amounts: Amounts, layer: Layer) -> Recovery:
    """(A + B)/(A + B + T), with the mats in the feed; from A, B, T, never from R1 and r2.

    A second catch that is not told from zero counts with mean and spread of what it can be: else
    both stages could have caught less than the first alone.

    Raises:
        ValueError: when the final tailings were not assayed.
    """
    rerun = amounts.rerun
    unseen = nominal(rerun) < amounts.rerun_critical_mg and sources.doubt(rerun).u > 0
    if unseen and far_below(sources, rerun) is None:
        rerun = cut_at_zero(sources, rerun, f"catch of stage 2 in {amounts.name}", "rerun")
    caught = amounts.caught + rerun
    limit = (amounts.caught_critical_mg**2 + amounts.rerun_critical_mg**2) ** 0.5
    mats_seen = seen(amounts.mats, amounts.mats_critical_mg)
    split = Split(caught, amounts.mats, seen(caught, limit), mats_seen, cut=amounts.mats_cut)
    split = joined(sources, _assayed(amounts), split)
    return _with_tailings(sources, "both stages", amounts, split, layer)


def second_stage(
    sources: Sources,
    amounts: Amounts,
    escaped: Uncertain,
    said: str,
    layer: Layer,
    *,
    least: bool,
) -> Recovery:
    """A/(A + B/r2), with the mats in the feed.

    Args:
        sources: the sources of doubt.
        amounts: A and B.
        escaped: B/r2, of several sizes their sum, mg.
        said: r2 in per cent, as it is written.
        layer: how far the doubt reaches.
        least: whether r2 is the least of the second stage; the result is then a lower bound.
    """
    status: Status = "at least" if least else "measured"
    figure, budget = share(
        sources,
        amounts.name,
        amounts.split(escaped),
        layer=layer,
        basis=OF_THE_FEED,
        status=status,
    )
    sentence = figure.why
    if figure.value is not None:
        code = "recovery_least" if least else "recovery_stated"
        sentence = say(code, size=amounts.name, r2=said, figure=_worded(figure, least=least))
    assumed = say("assumed_second_least" if least else "assumed_second_stated", r2=said)
    way: Way = "least second stage" if least else "stated second stage"
    return Recovery(way, figure, budget, (assumed,), None, sentence)


def _worded(figure: Figure, *, least: bool) -> str:
    """The figure as a sentence takes it that already says `at least` when it is a least one."""
    return written.number(figure) if least and figure.status == "at least" else figure.text


def _assayed(amounts: Amounts) -> Tailings:
    if amounts.tailings is None:
        raise ValueError(f"the final tailings of {amounts.name} were not assayed")
    return amounts.tailings


def _with_tailings(
    sources: Sources,
    way: Literal["closed", "both stages"],
    amounts: Amounts,
    split: Split,
    layer: Layer,
) -> Recovery:
    name = amounts.name
    figure, budget = share(sources, name, split, layer=layer, basis=OF_THE_FEED, status="measured")
    if figure.value is None:
        return Recovery(way, figure, sentence=figure.why)
    bracket = _bracket(split, figure)
    if bracket is None:
        code = "recovery_closed" if way == "closed" else "recovery_both"
        sentence = say(code, size=name, figure=figure.text)
        return Recovery(way, figure, budget, (), None, sentence)
    unseen = written.mass(split.up_to_mg)
    low, high = written.ends(*bracket)
    code = "recovery_bracket" if way == "closed" else "recovery_both_bracket"
    code += "_more" if nominal(_assayed(amounts).weighed_mg) > 0 else ""
    sentence = say(code, size=name, lo=low, hi=high, T=unseen)
    assumptions = (say("assumed_unseen", T=unseen),)
    return Recovery(way, figure, budget, assumptions, bracket, sentence)


def _bracket(split: Split, figure: Figure) -> tuple[float, float] | None:
    """Shares in per cent with the bounded part at its most and at nothing.

    Never narrower than the interval of the figure: what is weighed is in doubt too.
    """
    caught = max(nominal(split.caught), 0.0)
    if split.up_to_mg == 0 or caught == 0:
        return None
    weighed = nominal(split.further) - split.up_to_mg / 2  # what is not only bounded of it
    whole = caught + max(nominal(split.rest), 0.0) + max(weighed, 0.0)
    low, high = 100 * caught / (whole + split.up_to_mg), 100 * caught / whole
    return (
        low if figure.low is None else min(low, figure.low),
        high if figure.high is None else max(high, figure.high),
    )
