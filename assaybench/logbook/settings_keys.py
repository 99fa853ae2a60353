"""The one table of actions of the bench: what a user's own keys, a setting, are checked against.

Keys, key line, help and index of the bench are derived from it. An id with a point, such as
`enter.weigh`, is the same action under another word: the key line of a page says what Enter does
there, the page is given `enter`. A letter may do different things on different pages, but `l`, `n`,
`x`, `c` keep one meaning. A user may give an action another key, in the settings under `keys`, by
its id.
"""

from collections.abc import Mapping
from typing import NamedTuple

from assaybench.messages import quoted, say

EVERYWHERE = ("*",)
TURNED = ("help", "sums", "sealing", "entries", "verify")
OPENED = ("contents", "settings", "two")
BEGUN = ("contents", "settings")
TYPED = ("initials", "contents", "logbook", "log", "table", "signers", "countersign")
MARKED = ("circuit", "value", "runs", "two")
GUIDES = ("contents", "circuit")
WORDED = ("caught", "value", "runs", "two", "heaps")
WRITTEN = ("entries", "verify", "countersign", "signers")
CHOSEN = ("amend", "log", "signers")
SHOWN = {"enter": "Enter", "escape": "Esc", "arrows": "arrows", "question_mark": "?"}
_NAMED = ("enter", "escape", "up", "down", "left", "right", "tab", "backspace", "space")
_READING = "0123456789.,-"


class Action(NamedTuple):
    """One action.

    Attributes:
        id: its name; the part in front of a point is what a page is given.
        key: the key that does it, as it is printed, or the name of one without a sign.
        word: one word for the key line.
        help: a short sentence for the help page and the index.
        pages: names of the pages that have it; `*` for all.
        twin: a second key that always does it.
    """

    id: str
    key: str
    word: str
    help: str
    pages: tuple[str, ...]
    twin: str = ""

    @property
    def does(self) -> str:
        """What a page is given."""
        return self.id.partition(".")[0]


ACTIONS = (
    # moving, on every page
    Action("enter", "enter", "enter", "What the line above the keys says.", EVERYWHERE),
    Action("enter.open", "enter", "open", "Open the entry under the pointer.", OPENED),
    Action("enter.begin", "enter", "begin", "Begin what the pointer is at.", BEGUN),
    Action("enter.weigh", "enter", "weigh", "Go to the balance with this place.", ("tray",)),
    Action("enter.read", "enter", "read", "The line of safety was read.", ("tray", "fire")),
    Action("enter.store", "enter", "store", "Store what is typed.", ("balance", "looks")),
    Action("enter.sum", "enter", "sum", "Every step of the sum.", ("results", "caught")),
    Action("enter.more", "enter", "more", "The next page of it.", TURNED),
    Action("enter.take", "enter", "take", "Take what is typed.", TYPED),
    Action("enter.go", "enter", "go", "Go to what is marked.", ("index",)),
    Action("enter.change", "enter", "change", "Change the setting marked.", ("settings", "table")),
    Action("back", "escape", "back", "Leave the page; what is stored stays.", EVERYWHERE),
    Action("back.close", "escape", "close", "Close the book.", ("contents",)),
    Action("arrows", "arrows", "move", "Move the mark.", EVERYWHERE),
    Action("up", "up", "up", "Move up.", EVERYWHERE),
    Action("down", "down", "down", "Move down.", EVERYWHERE),
    Action("left", "left", "left", "Move left.", EVERYWHERE),
    Action("right", "right", "right", "Move right.", EVERYWHERE),
    Action("help", "?", "help", "What this page is, and its keys.", EVERYWHERE, twin="f1"),
    Action("index", "i", "index", "Find anything by its first letters.", EVERYWHERE),
    Action("initials", "k", "initials", "The next person of this log goes on.", EVERYWHERE),
    Action("join", "j", "join", "Somebody new goes on; type initials.", EVERYWHERE),
    # contents
    Action("furnace", "f", "furnace", "Begin a furnace run.", ("contents",)),
    Action("practice", "y", "practice", "A practice run, never sealed.", ("contents",)),
    Action("test", "t", "test", "Begin a circuit test.", ("contents",)),
    Action("sums", "w", "sums", "A sum: weigh, grade, convert.", ("contents",)),
    Action("plan", "p", "plan", "Plan a charge for a grade.", ("contents",)),
    Action(
        "balances",
        "b",
        "balances",
        "Balances: check, spread.",
        ("contents", "tray", "balance", "circuit"),
    ),
    Action("logbook", "a", "logbook", "The logbook: all logs by number.", ("contents",)),
    Action("heaps", "h", "heaps", "Tailings heaps.", ("contents",)),
    Action("settings", "o", "settings", "Tray, initials, colours, keys.", ("contents",)),
    # one meaning wherever they stand
    Action("compare", "c", "compare", "Compare two figures.", ("contents", "results", "caught")),
    Action("look", "l", "look", "How the bead looks.", ("tray", "balance")),
    Action(
        "note",
        "n",
        "note",
        "A note, in your words.",
        ("tray", "balance", "fire", "amend", "results", "circuit", "caught"),
    ),
    Action("lost", "x", "lost", "Lost, with a word why.", ("tray", "balance", "fire")),
    # tray
    Action("print", "p", "print", "Print this page for the furnace.", ("tray", "fire")),
    Action("enter.write", "enter", "write", "Write a sample down for this place.", ("tray",)),
    Action("enter.give", "enter", "give", "Give this place, row or tray its charge.", ("tray",)),
    Action("enter.ask", "enter", "ask", "Ask for what is to be stored.", ("tray", "looks")),
    Action("find", "g", "find", "Go to a sample or a place.", ("tray", "fire")),
    Action("move", "m", "move", "Give the sample another place.", ("tray",)),
    Action("charge", "s", "silver", "Silver, lead and lots of this place.", ("tray",)),
    # fire
    Action("enter.mark", "enter", "mark", "Mark what comes next, now.", ("fire",)),
    Action("minutes", "m", "minutes", "Minutes until the bell.", ("fire",)),
    Action("drives", "d", "drives", "It drives (opens).", ("fire",)),
    Action("blick", "b", "blick", "Blick (flash).", ("fire",)),
    Action("out", "o", "out", "Out of the furnace.", ("fire",)),
    Action("frozen", "f", "frozen", "Frozen.", ("fire",)),
    # balance
    Action("enter.next", "enter", "next", "Move to the next that waits.", ("balance",)),
    Action("enter.balances", "enter", "balances", "Describe a balance first.", ("balance",)),
    Action("repeat", "r", "repeat", "Another reading of the same bead.", ("balance",)),
    Action("zero", "z", "zero", "A reading of zero.", ("balance",)),
    Action("switch", "s", "scale", "Weigh this on another balance.", ("balance",)),
    # entries and balances
    Action(
        "amend",
        "a",
        "amend",
        "Amend what was stored, with a reason.",
        ("tray", "fire", "balance", "circuit"),
    ),
    Action("enter.choose", "enter", "choose", "Do what the line marked says.", CHOSEN),
    Action("review", "w", "review", "A second person looked at it.", ("amend",)),
    Action("add", "a", "add", "Describe a balance.", ("balances",)),
    Action("enter.add", "enter", "add", "Describe a balance.", ("balances",)),
    Action("enter.check", "enter", "check", "Check this balance with a weight.", ("balances",)),
    Action("spread", "s", "spread", "One small weight ten times.", ("balances",)),
    # results
    Action("units", "u", "units", "The same figures in other units.", ("results", "compare")),
    Action("enter.compare", "enter", "compare", "Hold the two against each other.", ("results",)),
    Action("release", "r", "release", "Release a check that says stop.", ("results",)),
    Action(
        "enter.back",
        "enter",
        "back",
        "Go back.",
        ("compare", "sums", "sealing", "countersign", "caught", "balance"),
    ),
    # the seal
    Action("enter.sign", "enter", "sign", "Sign what was shown.", ("sealing", "countersign")),
    # the logbook
    Action("enter.look", "enter", "open", "Open the log under the pointer.", ("logbook",)),
    Action("filter", "f", "filter", "Show only some logs.", ("logbook",)),
    Action("details", "d", "detail", "What is known of it, what can be done.", ("logbook",)),
    Action("verify", "v", "verify", "Verify the whole logbook.", ("logbook",)),
    Action("file", "p", "write", "Write this to a file.", WRITTEN),
    # tables of the settings
    Action("row", "a", "add", "Add a line.", ("table",)),
    Action("drop", "d", "drop", "Take the line out.", ("table",)),
    # the circuit
    Action("enter.type", "enter", "type", "Type what stands under the mark.", MARKED),
    Action("tray", "t", "tray", "The tray with the cupels of the test.", ("circuit",)),
    Action("results", "r", "results", "What was caught.", ("circuit",)),
    Action("grains", "g", "grains", "Grains counted by eye.", ("circuit",)),
    Action("guide", "e", "easy", "How much do I catch: plain questions.", GUIDES),
    Action("seal", "s", "seal", "Look at all of it and sign it.", ("circuit",)),
    Action("up.earlier", "up", "earlier", "An answer before, to type it anew.", ("guided",)),
    Action("enter.caught", "enter", "figures", "What was caught, with figures.", ("guided",)),
    # what was caught
    Action("suppose", "s", "suppose", "Suppose a catch of stage 2.", ("caught", "heaps")),
    Action("enter.suppose", "enter", "suppose", "Suppose a catch of the next stage.", ("heaps",)),
    Action("words", "p", "words", "Every number in plain words, into a file.", WORDED),
    Action("value", "v", "value", "What it is worth.", ("caught",)),
)


def shown(key: str) -> str:
    """A key as it is printed: `Enter`, `Esc`, `F1`, `x`."""
    return SHOWN.get(key) or (key if len(key) == 1 else key.capitalize())


def keys_of(
    wanted: Mapping[str, str], table: tuple[Action, ...] = ACTIONS
) -> tuple[dict[str, str], tuple[str, ...]]:
    """The key of every action, with those of the user, and a line for each that cannot be taken.

    A key that another action of the same page has is not taken, so no action is ever lost.

    Args:
        wanted: key by action, as the settings have it.
        table: the actions.
    """
    keys: dict[str, str] = {}
    for action in table:
        keys.setdefault(action.does, action.key)
    faults: list[str] = []
    for name, key in wanted.items():
        fault = _refusal(name, key, keys, table)
        if fault:
            faults.append(fault)
        else:
            keys[name] = key
    return keys, tuple(faults)


def _refusal(name: str, key: str, keys: Mapping[str, str], table: tuple[Action, ...]) -> str | None:
    """Why an action cannot have a key; None when it can."""
    if name not in keys:
        return say("key_no_action", x=quoted(name))
    if len(keys[name]) > 1:
        return say("key_fixed", x=name, key=shown(keys[name]))
    if len(key) != 1 or key in _READING or key.isspace():
        return say("key_unfit", x=quoted(key), action=name)
    taken = next((n for n in _rivals(name, table) if keys[n] == key), None)
    return say("key_taken", x=quoted(key), action=name, other=taken) if taken else None


def _rivals(name: str, table: tuple[Action, ...]) -> list[str]:
    """Actions that stand on a page with this one."""
    pages = {page for a in table if a.does == name for page in a.pages}
    return [
        a.does
        for a in table
        if a.does != name and ("*" in pages or "*" in a.pages or pages & set(a.pages))
    ]
