"""A whole run in a real terminal, from an empty logbook to a sealed log, and a kill on the way.

The program is started as a person starts it, on a pseudo-terminal of 80 x 24 whose screen a
terminal emulator keeps. Nothing is asked of the program but what it draws, and of the log but what
stands in its file; the seal is judged by the two commands that the program wrote down for it.
"""

import shlex
import subprocess
import sys
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.reading import read_log
from assaybench.record.replay import State, replay
from tests.bench.terminal import (
    ENTER,
    ESCAPE,
    Terminal,
    environment_of,
    promises,
    without,
)

SECRET = "mole-rat 9"  # noqa: S105  invented


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


def read_so_far(home: Path, what: str) -> int:
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


def to_the_whole_tray(terminal: Terminal) -> None:
    """The bracket goes left of A1 and above it."""
    terminal.keys("\x1b[D" * 8 + "\x1b[A" * 5)
    terminal.wait(promises("the whole tray"))


def charged(terminal: Terminal, samples: int) -> None:
    """The charge: typed once, then the same for the whole tray."""
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
    to_the_whole_tray(terminal)
    terminal.wait("Enter gives the whole tray the same")
    terminal.keys(ENTER)
    terminal.wait(f"{samples} noted")


def fired(terminal: Terminal) -> None:
    """All in, all opened, all out."""
    terminal.keys("3")
    read_safety(terminal)
    to_the_whole_tray(terminal)
    for mark in ("in the fire", "drives (opens)", "out of the fire"):
        terminal.wait(promises(mark))
        terminal.keys(ENTER)
    terminal.wait("All of the whole tray is out.")


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
    for page in count(1):
        terminal.wait(promises("Enter goes on to sign", f": page {page} of"))
        ready = "Enter goes on to sign" in terminal.lines[22]
        terminal.keys(ENTER)
        if ready:
            break
    for question, answer in (
        ("Printed name of KB:", "K. Berg"),
        ("What K. Berg does here:", "assayer"),
        ("Meaning, or Enter for weighed:", "weighed"),
    ):
        terminal.wait(promises(question))
        terminal.enter(answer)
    terminal.secret("New passphrase:", SECRET)
    terminal.secret("The same again:", SECRET)
    terminal.wait("SEALED")
    terminal.keys(ENTER)
    terminal.wait("THE PARTING CUPS")


def whole_run(home: Path, terminal: Terminal, samples: int) -> None:
    """From an empty logbook to a sealed log, killed and gone on with on the way."""
    begun(terminal)
    balances(terminal)
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


def accepted(home: Path) -> None:
    """The commands that the seal wrote down are run as they stand, and find it good."""
    (path,) = (home / "logbook" / "reports").glob("*-seal.txt")
    lines = path.read_text(encoding="utf-8").splitlines()
    (outside,) = [one for one in lines if one.startswith("ssh-keygen -Y verify ")]
    found = run(["sh", "-c", outside], home)
    assert found.startswith('Good "assaybench-log" signature for K.Berg with ')
    (inside,) = [one for one in lines if one.startswith("assaybench verify MAIN-000001 ")]
    found = run([sys.executable, "-m", *shlex.split(inside)], home)
    assert "recomputes" in found
    assert SECRET not in "".join(lines)


def run(command: list[str], home: Path) -> str:
    """What a command says that ends with 0."""
    done = subprocess.run(
        command, env=environment_of(home), capture_output=True, text=True, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout
