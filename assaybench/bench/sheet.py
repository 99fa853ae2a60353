"""What a page shows, before it is set: spans of text, lines of spans, and the sheet of a page.

A sheet knows no columns but those of the text block; `frame.set_page` sets it at any size.
"""

from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from assaybench.bench.typing import Typing

BLOCK_WIDTH = 54
"""Columns of the text block: the measure never changes, so a table never reflows."""

Style = Literal["plain", "bold", "reverse", "struck", "waits", "dim"]


class Span(NamedTuple):
    """Text in one style.

    Attributes:
        text: one line of it.
        style: plain; bold; reverse; struck, for a reading that was amended; waits, for the one
            place that waits; dim, for what a reader may pass over.
    """

    text: str
    style: Style = "plain"


Line = tuple[Span, ...]


class Beside(NamedTuple):
    """A remark that stands beside a line of the text block, or below the remark before it.

    Attributes:
        row: line of the block, 0 for the first.
        text: the remark.
    """

    row: int
    text: str


class Sheet(NamedTuple):
    """A page, ready to be set.

    Attributes:
        left: which log, at the left of the running head.
        title: which page, in capitals.
        right: who and when.
        block: the user's lines, at most `Room.block_lines`, one less with steps.
        margin: the program's remarks, the most important one first; the frame wraps them
            and ends behind the last whole sentence that fits. A line break begins a new line.
        promise: what Enter does now.
        keys: ids of the actions of the key line, at most seven.
        steps: the step line under the running head; empty on pages without steps.
        typing: what is being typed; it takes the place of the promise.
        about: for the help page: what this page is, then the safety text of the step.
    """

    left: str
    title: str
    right: str
    block: tuple[Line, ...]
    margin: tuple[str | Beside, ...]
    promise: str
    keys: tuple[str, ...]
    steps: Line = ()
    typing: "Typing | None" = None
    about: tuple[str, ...] = ()


def line(*parts: str | Span) -> Line:
    """A line of its parts; a bare text is a plain span."""
    return tuple(Span(part) if isinstance(part, str) else part for part in parts)


def text_of(spans: Line) -> str:
    """The text of a line."""
    return "".join(span.text for span in spans)
