"""The program on a pseudo-terminal, as a person has it: keys go in, a screen of signs comes out."""

import os
import pty
import select
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pyte
import pytest

from assaybench.bench.codes import QUICK_SECONDS

LINES, COLUMNS = 24, 80
PATIENCE = 60.0
"""Seconds to wait for a page before the test gives up; nothing is measured by it."""
ENTER, ESCAPE = "\r", "\x1b"


def promises(*wanted: str) -> Callable[[str], bool]:
    """Whether line 23 holds one of these texts."""
    return lambda text: any(one in text.splitlines()[22] for one in wanted)


def without(line: str) -> Callable[[str], bool]:
    """Whether line 23 is another than it was."""
    return lambda text: text.splitlines()[22] != line


def environment_of(home: Path) -> dict[str, str]:
    """The environment of somebody whose files all stand in one folder."""
    return {
        **os.environ,
        "HOME": str(home),
        "XDG_CONFIG_HOME": str(home / "config"),
        "XDG_DATA_HOME": str(home / "data"),
        "ASSAYBENCH_LOGBOOK": str(home / "logbook"),
        "TERM": "xterm-256color",
        "LINES": str(LINES),
        "COLUMNS": str(COLUMNS),
        "LANG": "C.UTF-8",
        "TEXTUAL_ANIMATIONS": "none",
        "TEXTUAL_DISABLE_KITTY_KEY": "1",
    }


class Terminal:
    """The program on a pseudo-terminal, and what its screen shows."""

    def __init__(self, home: Path) -> None:
        self.screen = pyte.Screen(COLUMNS, LINES)
        self._stream = pyte.ByteStream(self.screen)
        self.gone = False
        self._acted = 0.0
        self.pid, self._end = pty.fork()
        if self.pid == 0:
            command = [sys.executable, "-X", "faulthandler", "-m", "assaybench"]
            os.execve(sys.executable, command, environment_of(home))  # noqa: S606

    @property
    def lines(self) -> list[str]:
        return [one.rstrip() for one in self.screen.display]

    @property
    def text(self) -> str:
        return "\n".join(self.lines)

    def read(self, seconds: float) -> bool:
        """Take what the program drew; whether there was anything."""
        ready, _, _ = select.select([self._end], [], [], seconds)
        if not ready:
            return False
        try:
            data = os.read(self._end, 1 << 16)
        except OSError:
            return False
        self._stream.feed(data)
        return bool(data)

    def wait(self, holds: Callable[[str], bool] | str) -> None:
        """Wait until the screen shows what is wanted."""
        wanted = holds if callable(holds) else lambda text: holds in text
        end = time.monotonic() + PATIENCE
        while not wanted(self.text):
            if time.monotonic() > end:
                pytest.fail(f"waited for {holds!r}; the screen shows:\n{self.text}")
            self.read(0.2)

    def keys(self, text: str) -> None:
        os.write(self._end, text.encode())
        self._acted = time.monotonic() if text.isalpha() else 0.0

    def _looks(self) -> None:
        """Look, as a person does, at what a letter came to: without a pause it begins a code."""
        time.sleep(max(self._acted + 2 * QUICK_SECONDS - time.monotonic(), 0.0))

    def reads(self) -> None:
        """Read what stands there, which takes longer than a pause within one go."""
        time.sleep(2 * QUICK_SECONDS)

    def enter(self, *texts: str) -> None:
        """Each text with Enter behind it, after its question stands on line 23."""
        for text in texts:
            self._looks()
            for sign in text:
                self.keys(sign)
            self.wait(promises(text))
            before = self.lines[22]
            self.keys(ENTER)
            self.wait(without(before))

    def secret(self, question: str, text: str) -> None:
        """A passphrase for a question: it shows as points, one for each sign."""
        self.wait(promises(question))
        self.keys(text)
        self.wait(promises("·" * len(text)))
        assert text not in self.text
        before = self.lines[22]
        self.keys(ENTER)
        self.wait(without(before))

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        self._gone()

    def end(self) -> None:
        """Whatever happened, nothing is left behind."""
        if not self.gone:
            self.kill()

    def quit(self) -> int:
        """Close the book by Esc; gives the exit status."""
        self.keys(ESCAPE)
        self.wait("Esc close")
        self.keys(ESCAPE)
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            self.read(0.05)
            done, status = os.waitpid(self.pid, os.WNOHANG)
            if done:
                self._gone()
                return os.waitstatus_to_exitcode(status)
        pytest.fail(f"it did not close; the screen shows:\n{self.text}\n{self._stands()}")

    def _stands(self) -> str:
        """Where a program that does not end stands: each of its threads, as the runtime tells."""
        os.kill(self.pid, signal.SIGABRT)
        told = b""
        end = time.monotonic() + 2
        while time.monotonic() < end and select.select([self._end], [], [], 0.2)[0]:
            try:
                told += os.read(self._end, 1 << 16)
            except OSError:
                break
        return told.decode(errors="replace")

    def _gone(self) -> None:
        self.gone = True
        os.close(self._end)
