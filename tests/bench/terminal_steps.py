"""What a person does at the terminal in every run: balances, charge, fire, weights, the seal."""

import shlex
import subprocess
import sys
from itertools import count
from pathlib import Path

from assaybench.logbook.files import Files
from assaybench.logbook.reading import read_log
from assaybench.record.replay import State, replay
from tests.bench.terminal import ENTER, ESCAPE, Terminal, environment_of, promises, without

SECRET = "mole-rat 9"  # noqa: S105  invented


def settled_home(folder: Path) -> Path:
    """A home whose settings name who works there, and the tray."""
    config = folder / "config" / "assaybench"
    config.mkdir(parents=True)
    text = 'initials = "KB"\ntray = "4 x 6"\n'
    (config / "settings.toml").write_text(text, encoding="utf-8")
    return folder


def log_of(home: Path) -> tuple[State, str]:
    path = next((home / "logbook" / "logs" / "MAIN").glob("*.toml"))
    entries, verdict = read_log(Files(), path)
    return replay(entries), verdict.state


def read_so_far(home: Path, what: str) -> int:
    return sum(r.what == what for r in log_of(home)[0].readings)


def balances(terminal: Terminal, *described: tuple[str, str]) -> None:
    """Describe balances, each by its name and its step; back to the page before."""
    before = terminal.lines[0].strip()[:30]
    terminal.keys("b")
    terminal.wait("THE BALANCES")
    for key, (name, step) in zip((ENTER, *"a" * len(described)), described, strict=False):
        terminal.keys(key)
        terminal.wait("Name of the balance:")
        terminal.enter(name, step)
        terminal.keys(ENTER)
        terminal.wait(f"{name} is")
    terminal.keys(ESCAPE)
    terminal.wait(lambda text: "THE BALANCES" not in text and before[:12] in text)


def read_safety(terminal: Terminal) -> None:
    terminal.wait("Enter says that you have read the safety line")
    terminal.reads()
    line = terminal.lines[22]
    terminal.keys(ENTER)
    terminal.wait(without(line))


def one_weighed(terminal: Terminal, text: str) -> None:
    """One reading typed and stored; a question about a slip is answered with the same."""
    terminal.wait("Type the reading of")
    terminal.enter(text)
    if "Type what you see now" in terminal.lines[22]:
        terminal.enter(text)


def answered(terminal: Terminal, *pairs: tuple[str, str]) -> None:
    """Each question with its answer; an empty one is Enter alone."""
    for question, answer in pairs:
        terminal.wait(promises(question))
        if answer:
            terminal.enter(answer)
        else:
            before = terminal.lines[22]
            terminal.keys(ENTER)
            terminal.wait(without(before))


def to_the_whole_tray(terminal: Terminal) -> None:
    """The bracket goes left of A1 and above it."""
    terminal.keys("\x1b[D" * 8 + "\x1b[A" * 5)
    terminal.wait(promises("the whole tray"))


def charged(terminal: Terminal, samples: int, silver: str = "2.000") -> None:
    """The charge: typed once, then the same for the whole tray."""
    terminal.keys("2")
    read_safety(terminal)
    terminal.keys(ENTER)
    terminal.wait("Silver added to A1, mg:")
    terminal.enter(silver)
    terminal.wait("Lead or foil of A1")
    terminal.enter("30", "K-31", "litharge")
    terminal.wait("Wrapping of A1")
    terminal.keys(ENTER)
    terminal.wait(f"the same: silver {silver} mg, lead 30 g, lots")
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


def signed(terminal: Terminal) -> None:
    """From the page of what would be signed to the page it was opened from: a new key is made."""
    for page in count(1):
        terminal.wait(promises("Enter goes on to sign", f": page {page} of"))
        ready = "Enter goes on to sign" in terminal.lines[22]
        terminal.keys(ENTER)
        if ready:
            break
    answered(
        terminal,
        ("Printed name of KB:", "K. Berg"),
        ("What K. Berg does here:", "assayer"),
        ("Meaning, or Enter for weighed:", "weighed"),
    )
    terminal.secret("New passphrase:", SECRET)
    terminal.secret("The same again:", SECRET)
    terminal.wait("SEALED")
    terminal.keys(ENTER)


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
    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    return done.stdout
