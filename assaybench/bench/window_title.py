"""The title of the terminal's window: set while the bench is open, the old one given back."""

import sys
from collections.abc import Mapping

_NO_TITLE = ("", "dumb", "linux")


class WindowTitle:
    """Sets the title on entering, and gives the old one back on leaving, where there is one."""

    def __init__(self, environment: Mapping[str, str], title: str) -> None:
        """Note the title.

        Args:
            environment: variables of the environment; `TERM` names the terminal.
            title: what to show.
        """
        self._title = title
        self._can = environment.get("TERM", "") not in _NO_TITLE and sys.stderr.isatty()

    def __enter__(self) -> None:
        self._send(f"\x1b[22;2t\x1b]2;{self._title}\x07")

    def __exit__(self, *fault: object) -> None:
        self._send("\x1b[23;2t")

    def _send(self, sequence: str) -> None:
        if self._can:
            sys.stderr.write(sequence)
            sys.stderr.flush()
