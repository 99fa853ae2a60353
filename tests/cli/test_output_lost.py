"""Answers that cannot be printed: told, and nothing false is said of what was stored."""

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from assaybench.cli.app import INTERRUPTED, TOLD_BY
from assaybench.cli.table import COMMANDS
from tests.cli.conftest import Run

PROGRAM = f"{sys.executable} -m assaybench"
SLIP = "reading what=charge text=3.001 unit=g balance=pulp sample=PK-201"
DEMO = Path(__file__).parents[2] / "demo"


def shell(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """A line of the shell, the program as $P."""
    return subprocess.run(
        ["sh", "-c", line],
        env={**os.environ, "P": PROGRAM},
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )


def test_an_entry_whose_answer_is_lost_is_stored_and_told(run: Run, tmp_path: Path) -> None:
    book = ("--logbook", str(tmp_path / "book"))
    assert run("open", "run", "--title", "a title", "--by", "KB", *book).status == 0
    line = f"$P enter 1 note text=kept --by KB --logbook {tmp_path}/book > /dev/full"
    done = shell(line, tmp_path)
    assert (done.returncode, done.stdout) == (3, "")
    assert "assaybench enter: the answer could not be printed: the disk is full." in done.stderr
    assert "What was stored is stored; assaybench show tells it." in done.stderr
    assert "othing was written" not in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "kept" in run("show", "1", *book).out


@pytest.mark.parametrize("words", ["", "-h", "weigh -h", "convert 1g", "demo", "demo --json"])
@pytest.mark.parametrize("where", ["> /dev/full", ">&-"])
def test_what_cannot_be_printed_is_told_in_one_line(words: str, where: str, tmp_path: Path) -> None:
    done = shell(f"$P {words} {where}", tmp_path)
    assert done.returncode == 3
    (line,) = done.stderr.splitlines()
    assert "the answer could not be printed: " in line
    assert "stored" not in line


def test_where_to_look_is_told_for_every_command_that_stores() -> None:
    others = {"weigh", "grade", "metallics", "compare", "recovery", "sampling", "value", "heaps",
              "results", "convert", "sieves", "show", "logbook", "verify", "report", "export",
              "demo"}  # fmt: skip
    assert {entry.name for entry in COMMANDS} - TOLD_BY.keys() == others
    assert set(TOLD_BY.values()) <= {entry.name for entry in COMMANDS}


def test_an_interrupt_of_what_stores_is_told(tmp_path: Path) -> None:
    """It waits for a passphrase file that never comes; by then it is past its start."""
    shutil.copytree(DEMO, tmp_path / "demo")
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    words = ["signers", "new", "--by", "KB", "--name", "K. Berg", "--key", str(tmp_path / "key")]
    words += ["--logbook", str(tmp_path / "demo" / "logbook"), "--passphrase-file", str(pipe)]
    child = subprocess.Popen(
        [sys.executable, "-m", "assaybench", *words],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        preexec_fn=interruptible,  # noqa: PLW1509  one thread here
    )  # fmt: skip
    with pipe.open("wb"):
        child.send_signal(signal.SIGINT)
        out, err = child.communicate(timeout=60)
    assert (child.returncode, out) == (INTERRUPTED, "")
    assert err.splitlines()[-1] == (
        "assaybench signers: interrupted. What was stored is stored; assaybench signers tells it."
    )
    assert not (tmp_path / "key").exists()


def interruptible() -> None:
    """A job in the background of a shell would ignore the signal from its start."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.parametrize("words", ["-h", "demo"])
def test_a_reader_that_went_away_is_no_fault(words: str, tmp_path: Path) -> None:
    done = shell(f"($P {words}; echo $? > status) | true", tmp_path)
    assert (done.stderr, (tmp_path / "status").read_text()) == ("", "0\n")


@pytest.mark.parametrize(
    ("line", "status", "told"),
    [
        ("$P seal 8 --review {a} <&-", 0, ""),
        ("$P signers new --by KB --name K {a} <&-", 3, "a passphrase is asked for at a terminal"),
        (
            f"$P enter 8 {SLIP} --by MQ {{a}} <&-",
            2,
            "Nothing is stored yet.",
        ),
        ("$P verify demo/logbook --no-recompute 2>&-", 0, ""),
    ],
)
def test_a_stream_that_the_shell_closed_is_no_terminal(
    line: str, status: int, told: str, tmp_path: Path
) -> None:
    shutil.copytree(DEMO, tmp_path / "demo")
    done = shell(line.format(a="--logbook demo/logbook"), tmp_path)
    assert done.returncode == status, done.stderr
    assert told in done.stderr
    assert "fault of the program" not in done.stderr
