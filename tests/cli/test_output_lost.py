"""Answers that cannot be printed: told, and nothing false is said of what was stored."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Run

PROGRAM = f"{sys.executable} -m assaybench"
SLIP = "reading what=charge text=3.001 unit=g balance=pulp sample=PK-201"
DEMO = Path(__file__).parents[2] / "demo"
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="needs /dev/full")


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
    assert "assaybench enter: the answer could not be printed: the disk is full;" in done.stderr
    assert "what was stored is stored" in done.stderr
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
