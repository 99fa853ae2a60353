"""The app: draws the page in sight, hands keys on, and nothing else.

One widget draws set lines; only lines that changed are drawn again, which keeps a thin link quiet.
The cursor of the terminal, hidden, stands on the promise line, where a screen reader looks.
"""

import asyncio
import os
import signal
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import PurePath
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.geometry import Offset, Region, Size
from textual.strip import Strip
from textual.widget import Widget

from assaybench.bench.codes import QUICK_SECONDS
from assaybench.bench.frame import DRAWN_HEIGHT, LEAST_WIDTH, fits, room, set_page, typing_place
from assaybench.bench.palettes import BARE, PALETTES, Palette, terminal_style, theme
from assaybench.bench.sheet import Line
from assaybench.bench.stack import Effect, Stack

TICK_SECONDS = 1.0
LOOK_SECONDS = 0.1
"""How often a page is looked at that waits for work in a thread."""


class Paper(Widget):
    """Draws the lines of a set page."""

    DEFAULT_CSS = "Paper { width: 1fr; height: 1fr; }"

    def __init__(self, palette: Palette | None, resized: Callable[[Size], None]) -> None:
        """Make it.

        Args:
            palette: the colours, None for none.
            resized: called with every new size.
        """
        super().__init__()
        self._palette = palette
        self._resized = resized
        self._lines: list[Line] = []

    def lay(self, lines: list[Line]) -> None:
        """Draw these lines; those that stand there already are left alone."""
        before, self._lines = self._lines, lines
        if len(before) != len(lines):
            self.refresh()
            return
        width = self.size.width
        changed = [y for y, line in enumerate(lines) if line != before[y]]
        if changed:
            self.refresh(*(Region(0, y, width, 1) for y in changed))

    def colour(self, palette: Palette) -> None:
        """Draw everything in other colours."""
        self._palette = palette
        self.refresh()

    def on_resize(self, event: events.Resize) -> None:
        """Tell the new size."""
        self._resized(event.size)

    def render_line(self, y: int) -> Strip:
        """One line of the page, as the terminal library wants it."""
        spans = self._lines[y] if y < len(self._lines) else ()
        segments = [Segment(s.text, terminal_style(s.style, self._palette)) for s in spans]
        plain = terminal_style("plain", self._palette)
        return Strip(segments).adjust_cell_length(self.size.width, plain)


class BenchApp(App[int]):
    """The bench on a terminal.

    Attributes:
        fault: what ended the bench unexpectedly: the kind of fault, file and line; empty when
            nothing did.
    """

    ENABLE_COMMAND_PALETTE = False
    AUTO_FOCUS = None
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", show=False, priority=True),
        Binding("ctrl+c", "quit", show=False, priority=True),
        Binding("ctrl+z", "suspend_process", show=False, priority=True),
    ]

    def __init__(
        self,
        stack: Stack,
        clock: Callable[[], datetime],
        *,
        palette: str = "day",
        plain_signs: bool = False,
        no_color: bool = False,
        look: Callable[[], tuple[str, bool]] | None = None,
    ) -> None:
        """Make the app.

        Args:
            stack: the pages.
            clock: gives the time now.
            palette: day or lamp.
            plain_signs: whether to draw with plain signs only.
            no_color: whether to use no colours.
            look: gives palette and plain signs as they are set now; None when they never change.
        """
        super().__init__(ansi_color=True if no_color else None)
        self.stack = stack
        self.fault = ""
        self._clock = clock
        self._plain_signs = plain_signs
        self._looking = self._at_terminal = False
        self._no_color = no_color
        self._look_now = look
        self._page_size = Size(LEAST_WIDTH, DRAWN_HEIGHT)
        self._paper = Paper(None if no_color else PALETTES[palette], self._resize)
        for known in PALETTES.values():
            self.register_theme(theme(known))
        self.register_theme(BARE)
        self.theme = BARE.name if no_color else palette

    def compose(self) -> ComposeResult:
        """The one widget."""
        yield self._paper

    def on_mount(self) -> None:
        """Start the clock of the timers; the first page is drawn when its size is known."""
        self._at_terminal = not self.is_headless and _is_terminal()
        self.set_interval(TICK_SECONDS, self._tick)
        # what the first page can do without is done when it is in sight
        self.call_after_refresh(self._tick)
        if os.name == "posix":
            # an end that is asked for gives the terminal back as it was
            asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, self.exit, 0)

    def _resize(self, size: Size) -> None:
        """Set the page anew at another size; it keeps its place."""
        self._page_size = size
        self.stack.resized(room(*size, ascii_only=self._plain_signs))
        self._draw()

    def on_key(self, event: events.Key) -> None:
        """Hand a key to the page in sight."""
        event.stop()
        event.prevent_default()
        if not fits(*self._page_size):
            self.bell()  # nobody sees what a key would do
            return
        self._after(self.stack.press(event.key, event.character, event.time))

    def on_paste(self, event: events.Paste) -> None:
        """Hand over what was pasted."""
        event.stop()
        if fits(*self._page_size):
            self._after(self.stack.paste(event.text))

    def _tick(self) -> None:
        if self._at_terminal and not _is_terminal():
            # it was closed and no signal came: what was stored is stored, nobody types any more
            self.exit(0)
            return
        now = self._clock()
        if self.stack.rings(now):
            self.bell()
        if self.stack.tick(now):
            self._draw()
        self._look_again()

    def _look_again(self) -> None:
        """Look soon again at a page that waits for work; else the second will do."""
        if self.stack.working and not self._looking:
            self._looking = True
            self.set_timer(LOOK_SECONDS, self._looked)

    def _looked(self) -> None:
        self._looking = False
        self._tick()

    def _after(self, effect: Effect) -> None:
        if effect.closed:
            self.exit(0)
            return
        if effect.bell:
            self.bell()
        if effect.held:
            self.set_timer(QUICK_SECONDS, lambda: self._let_go(effect.held))
        self._draw()
        self._look_again()

    def _let_go(self, held: int) -> None:
        """The keys that waited act now, when no other followed."""
        self._after(self.stack.let_go(held))

    def _take_look(self) -> None:
        """Palette and signs that were changed in the settings count at once."""
        if self._look_now is None:
            return
        palette, plain_signs = self._look_now()
        if plain_signs != self._plain_signs:
            self._plain_signs = plain_signs
            self.stack.resized(room(*self._page_size, ascii_only=plain_signs))
        if not self._no_color and palette != self.theme:
            self.theme = palette
            self._paper.colour(PALETTES[palette])

    def _draw(self) -> None:
        self._take_look()
        width, height = self._page_size
        sheet, keys = self.stack.sheet, self.stack.keys
        self.cursor_position = Offset(*typing_place(sheet, width, height))
        self._paper.lay(set_page(sheet, keys, width, height, ascii=self._plain_signs))

    def _fatal_error(self) -> None:
        """End without a traceback: the fault is kept, and told in one line after the end."""
        self.fault = named_fault(self._exception)
        self._close_messages_no_wait()


def _is_terminal() -> bool:
    """Whether somebody may type: a terminal that was closed is none any more."""
    return sys.__stdin__ is not None and os.isatty(sys.__stdin__.fileno())


def named_fault(fault: BaseException | None) -> str:
    """The kind of a fault of the program, its file and line, without any folder."""
    trace = fault.__traceback__ if fault is not None else None
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if fault is None or trace is None:
        return "an unknown fault"
    file = PurePath(trace.tb_frame.f_code.co_filename).name
    return f"{type(fault).__name__} in {file}:{trace.tb_lineno}"
