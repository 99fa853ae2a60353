"""A whole run in a real terminal, from an empty logbook to a sealed log, and a kill on the way.

The program is started as a person starts it, on a pseudo-terminal of 80 x 24 whose screen a
terminal emulator keeps. Nothing is asked of the program but what it draws, and of the log but what
stands in its file; the seal is judged by the two commands that the program wrote down for it.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench.terminal import ENTER, ESCAPE, Terminal
from tests.bench.terminal_steps import (
    accepted,
    balances,
    charged,
    fired,
    log_of,
    one_weighed,
    read_safety,
    read_so_far,
    settled_home,
    signed,
)

FINE, PULP = ("fine", "0.001 mg"), ("pulp", "0.01 g")


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return settled_home(tmp_path)


@pytest.fixture
def terminal(home: Path) -> Iterator[Terminal]:
    terminal = Terminal(home)
    yield terminal
    terminal.end()


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


def begun(terminal: Terminal) -> None:
    """A furnace run without a title on the tray of the settings."""
    terminal.wait("CONTENTS")
    terminal.keys("f")
    terminal.wait("A title, or Enter for none:")
    terminal.keys(ENTER)
    terminal.wait("Rows x columns")
    terminal.keys(ENTER)
    terminal.wait("THE TRAY")
    read_safety(terminal)


def killed_at_the_gold(home: Path, terminal: Terminal, samples: int) -> None:
    """The first gold weights; the program is killed while the next is half typed."""
    terminal.keys("5")
    read_safety(terminal)
    terminal.keys(ENTER)
    before = samples // 2
    for i in range(1, before + 1):
        one_weighed(terminal, gold(i))
    terminal.wait("Type the reading of")
    place = terminal.lines[22].removesuffix(" as displayed, then Enter.").split()[-1]
    terminal.keys("0.4")
    terminal.wait("Enter stores 0.4 mg")
    terminal.kill()
    assert read_so_far(home, "gold") == before

    again = Terminal(home)
    try:
        again.wait(f"cup {place}")
        again.wait("Enter opens furnace run 0001")
        again.keys(ENTER)
        again.wait(f"Enter goes to the balance with {place}.")
        again.keys(ENTER)
        for i in range(before + 1, samples + 1):
            one_weighed(again, gold(i))
        again.wait("THE PARTING CUPS")
        assert "0 to" in again.text
        sealed(again, samples)
        assert again.quit() == 0
    finally:
        again.end()


def gold(i: int) -> str:
    return f"0.{230 + 13 * i:03}"


def sealed(terminal: Terminal, samples: int) -> None:
    """The results are looked at, then all that would be signed, then it is signed."""
    terminal.keys("6")
    terminal.wait("RESULTS")
    terminal.wait(f"of {samples} shown here.")
    terminal.keys(ESCAPE)
    terminal.wait("THE PARTING CUPS")
    terminal.keys("7")
    terminal.wait("Esc back")
    signed(terminal)
    terminal.wait("THE PARTING CUPS")


def whole_run(home: Path, terminal: Terminal, samples: int) -> None:
    """From an empty logbook to a sealed log, killed and gone on with on the way."""
    begun(terminal)
    balances(terminal, FINE, PULP)
    weighed_in(terminal, samples)
    terminal.wait("THE TRAY")
    assert read_so_far(home, "charge") == samples
    charged(terminal, samples)
    fired(terminal)
    terminal.keys("4")
    read_safety(terminal)
    terminal.keys(ENTER)
    for i in range(1, samples + 1):
        one_weighed(terminal, f"2.{300 + 17 * i:03}")
    terminal.wait("THE TRAY")
    assert read_so_far(home, "bead") == samples
    killed_at_the_gold(home, terminal, samples)
    told(home, samples)
    accepted(home)


def test_a_small_run_from_an_empty_logbook_to_a_sealed_log(home: Path, terminal: Terminal) -> None:
    whole_run(home, terminal, 3)


@pytest.mark.long
def test_a_tray_of_24_from_an_empty_logbook_to_a_sealed_log(home: Path, terminal: Terminal) -> None:
    whole_run(home, terminal, 24)


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
