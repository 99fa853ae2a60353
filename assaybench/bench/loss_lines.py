"""What stage 1 loses by size, in metal and in share, and the head built up: below the figures.

On a page of 24 lines only the head has room; the rest stands there on a higher one, always in the
sum, and in words.
"""

from collections.abc import Iterator, Sequence

from assaybench.bench.characters import cells, cut
from assaybench.bench.set_lines import bold, led
from assaybench.bench.sheet import Line, line
from assaybench.circuit.losses import Loss
from assaybench.circuit.products import ALL
from assaybench.messages import say
from assaybench.metrology.figure import Figure
from assaybench.record.circuit_run import Circuit
from assaybench.units import write

_NAME = 12
_WIDTHS = (12, 15, 12)
_NONE = "-"


def head(circuit: Circuit) -> Line | None:
    """The grade of the feed as its products build it up; None where the feed was not weighed."""
    found = circuit.result.head
    return None if found is None else led(_head_label(circuit), found.text)


def _head_label(circuit: Circuit) -> str:
    return say("caught_head", basis=circuit.feed_basis)


def heads(circuit: Circuit) -> list[Line]:
    """The head built up, and beside it the assayed one where there is one."""
    built, gap = head(circuit), circuit.result.head_gap
    rows = [] if built is None else [built]
    return rows if gap is None else [*rows, led(say("caught_head_assayed"), gap.assayed.text)]


def lost(circuit: Circuit, names: Sequence[str]) -> list[Line]:
    """The table of losses: found behind stage 1, lost if both stages are alike, share of all.

    Args:
        circuit: the test.
        names: of the sizes, as the page prints them; `all` last.
    """
    made = circuit.result.losses
    if not made:
        return []
    columns = ("caught_lost_found", "caught_lost_alike", "caught_lost_share")
    rows = [bold(say(_title(made[0]))), _set(say("caught_size"), *map(say, columns))]
    return [*rows, *(_set(n, *_told(loss)) for n, loss in zip(_named(made, names), made,
                                                              strict=True))]  # fmt: skip


def _title(loss: Loss) -> str:
    return f"caught_losses_{loss.by.replace(' ', '_')}"


def _named(made: Sequence[Loss], names: Sequence[str]) -> list[str]:
    """The names of the page for as many losses; their own where they are other sizes."""
    found = [*names[: len(made) - 1], ALL]
    return found if len(found) == len(made) else [loss.size for loss in made]


def _told(loss: Loss) -> tuple[str, str, str]:
    share = _NONE if loss.share is None else write.short(100 * loss.share, 3)
    return (_mass(loss.found), _mass(loss.alike), share)


def _mass(figure: Figure) -> str:
    return _NONE if figure.value is None else write.short(figure.value, 4)


def _set(name: str, *parts: str) -> Line:
    name = cut(name, _NAME)
    texts = "".join(f"{part:>{width}}" for part, width in zip(parts, _WIDTHS, strict=True))
    return line(f"  {name}{' ' * (_NAME - cells(name))}{texts}")


def in_plain_words(circuit: Circuit) -> Iterator[str]:
    """The same in sentences, for a screen reader."""
    for loss in circuit.result.losses:
        found, alike, share = _told(loss)
        yield say("words_loss", name=loss.size, a=found, b=alike, pct=share)
    built, gap = circuit.result.head, circuit.result.head_gap
    if built is not None:
        yield f"{_head_label(circuit)}: {built.text}."
    if gap is not None:
        yield f"{say('caught_head_assayed')}: {gap.assayed.text}. {gap.sentence}"
