"""The two palettes, and the one place where the style of a span becomes a style of the terminal.

Day is ink on bone ash, lamp is bone ash on soot; litharge yellow lies under the place that waits.
No colour says what a word does not say too: without colours the same spans are bold or reversed.
"""

from dataclasses import replace
from functools import cache
from typing import NamedTuple

from rich.style import Style as TerminalStyle
from textual.theme import BUILTIN_THEMES, Theme

from assaybench.bench.sheet import Style


class Palette(NamedTuple):
    """The colours of a page, as `#rrggbb`.

    Attributes:
        name: day or lamp.
        paper: behind everything.
        ink: of the text.
        faint: of what a reader may pass over; still five times as light or dark as the paper.
        litharge: under the place that waits.
        on_litharge: of the text there.
        dark: whether the paper is darker than the ink.
    """

    name: str
    paper: str
    ink: str
    faint: str
    litharge: str
    on_litharge: str
    dark: bool


DAY = Palette("day", "#f0ecdf", "#1d1a16", "#5c564c", "#e3b341", "#1d1a16", dark=False)
LAMP = Palette("lamp", "#171513", "#e6e0d2", "#a39c8e", "#d9a93a", "#171513", dark=True)
PALETTES = {palette.name: palette for palette in (DAY, LAMP)}
BARE = replace(BUILTIN_THEMES["ansi-dark"], name="bare")
"""The terminal's own colours, for a terminal that is asked for none."""


def theme(palette: Palette) -> Theme:
    """A palette as a theme of the terminal library."""
    return Theme(
        name=palette.name,
        primary=palette.ink,
        secondary=palette.faint,
        warning=palette.litharge,
        error=palette.ink,
        success=palette.ink,
        accent=palette.litharge,
        foreground=palette.ink,
        background=palette.paper,
        surface=palette.paper,
        panel=palette.paper,
        dark=palette.dark,
    )


@cache
def terminal_style(style: Style, palette: Palette | None) -> TerminalStyle:
    """How a span of a style is drawn.

    Args:
        style: of the span.
        palette: the colours, None for none: then only bold, reverse and strike-through are used.
    """
    if palette is None:
        return _WITHOUT_COLOUR[style]
    base = TerminalStyle(color=palette.ink, bgcolor=palette.paper)
    match style:
        case "waits":
            return TerminalStyle(color=palette.on_litharge, bgcolor=palette.litharge, bold=True)
        case "dim":
            return TerminalStyle(color=palette.faint, bgcolor=palette.paper)
        case _:
            return base + _WITHOUT_COLOUR[style]


_WITHOUT_COLOUR: dict[Style, TerminalStyle] = {
    "plain": TerminalStyle(),
    "bold": TerminalStyle(bold=True),
    "reverse": TerminalStyle(reverse=True),
    "struck": TerminalStyle(strike=True),
    "waits": TerminalStyle(bold=True, reverse=True),
    "dim": TerminalStyle(),
}
