"""A whole run in a real terminal, keys in and signs out: 24 cupels, and a kill in the middle of it.

The program is started as a person starts it, on a pseudo-terminal of 80 x 24 whose screen a
terminal emulator keeps. Nothing is asked of the program but what it draws, and of the log but what
stands in its file.
"""

import os
import pty
import select
import signal
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pyte
import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.reading import read_log
from assaybench.record.replay import State, replay

LINES, COLUMNS = 24, 80
PATIENCE = 30.0
"""Seconds to wait for a page before the test gives up; nothing is measured by it."""
ENTER, ESCAPE = "\r", "\x1b"


def promises(wanted: str) -> Callable[[str], bool]:
    """Whether line 23 holds a text."""
    return lambda text: wanted in text.splitlines()[22]


def without(line: str) -> Callable[[str], bool]:
    """Whether line 23 is another than it was."""
    return lambda text: text.splitlines()[22] != line


class Terminal:
    """The program on a pseudo-terminal, and what its screen shows."""

    def __init__(self, home: Path) -> None:
        self.screen = pyte.Screen(COLUMNS, LINES)
        self._stream = pyte.ByteStream(self.screen)
        environment = {
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
        self.gone = False
        self.pid, self._end = pty.fork()
        if self.pid == 0:
            os.execve(sys.executable, [sys.executable, "-m", "assaybench"], environment)  # noqa: S606

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

    def enter(self, *texts: str) -> None:
        """Each text with Enter behind it, after its question stands on line 23."""
        for text in texts:
            for sign in text:
                self.keys(sign)
            self.wait(promises(text))
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
        pytest.fail(f"it did not close; the screen shows:\n{self.text}")

    def _gone(self) -> None:
        self.gone = True
        os.close(self._end)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    config = tmp_path / "config" / "assaybench"
    config.mkdir(parents=True)
    (config / "settings.toml").write_text('initials = "KB"\ntray = "4 x 6"\n', encoding="utf-8")
    return tmp_path


@pytest.fixture
def terminal(home: Path) -> Iterator[Terminal]:
    terminal = Terminal(home)
    yield terminal
    terminal.end()


def log_of(home: Path) -> tuple[State, str]:
    path = next((home / "logbook" / "logs" / "MAIN").glob("*.toml"))
    entries, verdict = read_log(Files(), path)
    return replay(entries), verdict.state


def count(home: Path, what: str) -> int:
    return sum(r.what == what for r in log_of(home)[0].readings)


def balances(terminal: Terminal) -> None:
    """Describe the two balances."""
    terminal.keys("b")
    terminal.wait("THE BALANCES")
    terminal.keys(ENTER)
    terminal.wait("Name of the balance:")
    terminal.enter("fine", "0.001 mg")
    terminal.keys(ENTER)
    terminal.wait("fine is described")
    terminal.keys("a")
    terminal.wait("Name of the balance:")
    terminal.enter("pulp", "0.01 g")
    terminal.keys(ENTER)
    terminal.wait("pulp is described")
    terminal.keys(ESCAPE)
    terminal.wait("THE TRAY")


def weighed_in(terminal: Terminal, samples: int) -> None:
    """Samples with their charges, each place as it comes."""
    for i in range(1, samples + 1):
        terminal.wait("Enter writes a sample down for")
        terminal.keys(ENTER)
        terminal.wait("Sample for")
        terminal.enter(f"KV-{i:03}")
        terminal.wait("is a (Enter: sample):")
        terminal.keys(ENTER)
        terminal.wait("AT THE BALANCE")
        terminal.enter(f"30.0{i % 10}")


def read_safety(terminal: Terminal) -> None:
    terminal.wait("Enter says that you have read the safety line")
    line = terminal.lines[22]
    terminal.keys(ENTER)
    terminal.wait(without(line))


def one_weighed(terminal: Terminal, text: str) -> None:
    """One reading typed and stored; a question about a slip is answered with the same."""
    terminal.wait("Type the reading of")
    terminal.enter(text)
    if "Type what you see now" in terminal.lines[22]:
        terminal.enter(text)


def whole_run(home: Path, terminal: Terminal, samples: int) -> None:
    """From an empty logbook to the last gold weight, killed and gone on with on the way."""
    terminal.wait("CONTENTS")
    terminal.keys("f")
    terminal.wait("A title, or Enter for none:")
    terminal.keys(ENTER)
    terminal.wait("Rows x columns")
    terminal.keys(ENTER)
    terminal.wait("THE TRAY")
    read_safety(terminal)
    balances(terminal)
    weighed_in(terminal, samples)
    terminal.wait("THE TRAY")
    assert count(home, "charge") == samples

    # the charge: once typed, then the same for the whole tray
    terminal.keys("2")
    read_safety(terminal)
    terminal.keys(ENTER)
    terminal.wait("Silver added to A1, mg:")
    terminal.enter("2.000")
    terminal.wait("Lead or foil of A1")
    terminal.enter("30", "K-31", "litharge")
    terminal.wait("Wrapping of A1")
    terminal.keys(ENTER)
    terminal.wait("the same: silver 2.000 mg, lead 30 g, lots K-31")
    for _ in range(8):
        terminal.keys("\x1b[D")
    for _ in range(5):
        terminal.keys("\x1b[A")
    terminal.wait("Enter gives the whole tray the same")
    terminal.keys(ENTER)
    terminal.wait(f"{samples} noted")

    # the fire: all in, all opened, all out
    terminal.keys("3")
    read_safety(terminal)
    for _ in range(8):
        terminal.keys("\x1b[D")
    for _ in range(5):
        terminal.keys("\x1b[A")
    for mark in ("in the fire", "drives (opens)", "out of the fire"):
        terminal.wait(promises(mark))
        terminal.keys(ENTER)
    terminal.wait("All of the whole tray is out.")
    terminal.keys("4")
    read_safety(terminal)
    terminal.keys(ENTER)
    for i in range(1, samples + 1):
        one_weighed(terminal, f"2.{300 + 17 * i:03}")
    terminal.wait("THE TRAY")
    assert count(home, "bead") == samples

    # the gold, with a kill while a reading is half typed
    terminal.keys("5")
    read_safety(terminal)
    terminal.keys(ENTER)
    before = samples // 2 - 1
    for i in range(1, before + 1):
        one_weighed(terminal, f"0.{230 + 13 * i:03}")
    terminal.wait("Type the reading of")
    place = terminal.lines[22].removesuffix(" as displayed, then Enter.").split()[-1]
    terminal.keys("0.4")
    terminal.wait("Enter stores 0.4 mg")
    terminal.kill()
    assert count(home, "gold") == before

    again = Terminal(home)
    try:
        again.wait(f"cup {place}")
        again.wait("Enter opens furnace run 0001")
        again.keys(ENTER)
        again.wait(f"Enter goes to the balance with {place}.")
        again.keys(ENTER)
        for i in range(before + 1, samples + 1):
            one_weighed(again, f"0.{230 + 13 * i:03}")
        again.wait("THE PARTING CUPS")
        assert "0 to" in again.text
        assert again.quit() == 0
    finally:
        again.end()


def test_a_small_run_from_an_empty_logbook_to_the_last_gold_weight(
    home: Path, terminal: Terminal
) -> None:
    whole_run(home, terminal, 4)
    told(home, 4)


@pytest.mark.long
def test_a_tray_of_24_from_an_empty_logbook_to_the_last_gold_weight(
    home: Path, terminal: Terminal
) -> None:
    whole_run(home, terminal, 24)
    told(home, 24)


def told(home: Path, samples: int) -> None:
    """What stands in the log at the end."""
    state, verdict = log_of(home)
    assert verdict == "sound"
    for what in ("charge", "bead", "gold"):
        of = [r.sample for r in state.readings if r.what == what]
        assert of == [f"KV-{i:03}" for i in range(1, samples + 1)]
    assert {e.text("silver") for e in state.samples.values()} == {"2.000 mg"}
    assert len(state.of("session")) == 1
    assert {e.entry.by for e in state.entries} == {"KB"}
    marks = [e.text("mark") for e in state.of("furnace_mark")]
    assert [marks.count(mark) for mark in ("in", "drives", "out")] == [samples] * 3
