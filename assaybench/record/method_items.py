"""The one table of the items of `method`: their names, what their value may be, what they mean.

`[method]` of a hand sheet and the entries `method` of a log take these and no others, so that a
name typed wrong never passes for a choice. A log that was stored before an item was refused is
replayed all the same: what the table does not know is told beside it and used nowhere.
"""

from collections.abc import Callable, Mapping
from typing import NamedTuple

from assaybench.circuit import grains
from assaybench.circuit.size_names import sizes_of
from assaybench.messages import BadInput, quoted, say
from assaybench.units import parse, table

AIM = "aim"
PROOF = "proof"
PROOF_SCALING = "proof_scaling"
SILVER = "silver"
SCATTER = "scatter"
GRAIN_SIZE = "grain_size"
SPLITTING_LIMIT = "splitting_limit"
SIEVES = "sieves"
FIRE_MINUTES = "fire_minutes"

PROOF_FORMS = ("additive", "ratio", "none")
SCALINGS = ("none", "surface")
SILVER_FORMS = ("difference", "twin")
OF_DUPLICATES = "duplicates"
SCATTERS = ("own", OF_DUPLICATES)
MOST_MINUTES = 24 * 60


class Item(NamedTuple):
    """One item of the method.

    Attributes:
        name: as it stands in a log.
        help: its meaning; the label of one that the head of a report repeats.
        reader: reads its value, and raises BadInput for one that is not accepted; None for text.
        choices: the words accepted, where it is one of some.
        in_head: whether the head of a report repeats it.
    """

    name: str
    help: str
    reader: Callable[[str], object] | None = None
    choices: tuple[str, ...] = ()
    in_head: bool = False


def minutes_of(text: str) -> int:
    """Whole minutes that were typed.

    Raises:
        BadInput: for anything else.
    """
    number = parse.number(parse.clean(text))
    if number != int(number) or not 1 <= number <= MOST_MINUTES:
        raise BadInput.of("timer_minutes", most=MOST_MINUTES)
    return int(number)


def _stored_minutes(text: str) -> int:
    return minutes_of(text.removesuffix(" min"))


def _limit(given: str) -> None:
    """A splitting limit, a fraction that is not below zero."""
    if parse.plain_figure(given, table.FRACTION, example="0.5 ‰").value < 0:
        raise BadInput.of("number_negative", x=quoted(given), what="a splitting limit")


def _one_of(name: str, help_: str, words: tuple[str, ...]) -> Item:
    """An item that is one of some words."""

    def reader(given: str) -> None:
        if given not in words:
            choices = ", ".join(words)
            raise BadInput.of("choice_unknown", x=quoted(given), what=name, choices=choices)

    return Item(name, help_, reader, words)


def _of_head(name: str, label: str) -> Item:
    return Item(name, label, in_head=True)


ITEMS = (
    Item(AIM, "the ± you want, a share such as 1 %",
         lambda given: parse.share(given, "an aim", 0.001, 20)),
    _one_of(PROOF, "how the loss of the proofs corrects the gold", PROOF_FORMS),
    _one_of(PROOF_SCALING, "whether a proof of another size serves, its loss scaled", SCALINGS),
    _one_of(SILVER, "how silver is found: by difference, or against twin proofs", SILVER_FORMS),
    Item(GRAIN_SIZE, "size of the gold where grains were not counted", grains.read_span),
    Item(SPLITTING_LIMIT, "how far two parties' figures of a bar may lie apart",
         _limit),
    Item("screen", "opening of the screen of screen metallics", grains.read_um),
    Item(SIEVES, "sieves of a circuit test, coarse first, such as 1.0 0.25 mm", sizes_of),
    _one_of(SCATTER, "scatter of determinations: each sample's own, or all duplicates of the log",
            SCATTERS),
    Item(FIRE_MINUTES, "minutes in the fire after which to look, such as 25 min", _stored_minutes),
    _of_head("laboratory", "laboratory, its address"),
    _of_head("place", "place of the work"),
    _of_head("client", "client"),
    _of_head("received", "received"),
    _of_head("sampling", "sampling"),
)  # fmt: skip
BY_NAME = {item.name: item for item in ITEMS}


def faults(values: Mapping[str, object]) -> list[tuple[str, str]]:
    """Faults of the item and the value of a `method` entry, pairs of key and sentence.

    What is no text is a fault of its key, told elsewhere.

    Args:
        values: the keys of the entry.
    """
    name, given = values.get("item"), values.get("value")
    if not isinstance(name, str):
        return []
    item = BY_NAME.get(name)
    if item is None:
        return [("item", _unknown(name))]
    if item.reader is None or not isinstance(given, str):
        return []
    try:
        item.reader(given)
    except BadInput as fault:
        return [("value", line) for line in fault.lines]
    return []


def _unknown(name: str) -> str:
    """What is accepted in place of an item nobody knows, the nearest first."""
    import difflib  # seldom asked for, and slow to load

    near = difflib.get_close_matches(name.casefold(), BY_NAME, n=2, cutoff=0.6)
    rest = ", ".join(known for known in BY_NAME if known not in near)
    if not near:
        return say("method_item_unknown", x=quoted(name), choices=rest)
    return say("method_item_near", x=quoted(name), near=" or ".join(near), choices=rest)


def unused(values: Mapping[str, object]) -> str:
    """That a stored choice is used nowhere, and why; empty for one that is used.

    Args:
        values: the keys of its entry.
    """
    found = faults(values)
    if not found:
        return ""
    return say("method_item_unused" if found[0][0] == "item" else "method_value_unused")
