"""Every command's help ends with an example, and each example runs as it stands."""

import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from assaybench.cli.examples import EXAMPLES
from assaybench.cli.table import COMMANDS
from tests.cli.conftest import Run

ROOT = Path(__file__).parents[2]
WITH_A_KEY = ("countersign", "signers")
"""Commands that stop at the passphrase, which nobody types here: everything before it was good."""
EACH = """\
import shlex, sys
from assaybench.cli.app import main
for line in sys.stdin.read().splitlines():
    print(line.split()[0], main(shlex.split(line)), file=sys.stderr, flush=True)
"""


def typed(command: str) -> str:
    return f"{command} {EXAMPLES[command].replace(chr(92) + chr(10), ' ')}"


@pytest.mark.parametrize("command", [entry.name for entry in COMMANDS])
def test_the_help_ends_with_an_example_that_fits_its_width(run: Run, command: str) -> None:
    done = run(command, "--help")
    head, _, end = done.out.partition("\n  Example:\n")
    assert done.status == 0
    assert "Usage: " in head
    assert end.startswith(f"    assaybench {command} ")
    assert max(len(line) for line in end.splitlines()) <= 78
    shown = " ".join(end.replace("\\\n", " ").split())
    assert shlex.split(shown) == ["assaybench", *shlex.split(typed(command))]


def test_every_example_runs(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "demo", tmp_path / "demo")
    order = sorted((entry.name for entry in COMMANDS), key=lambda name: name == "void")
    homes = ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME")
    env = {name: str(tmp_path / "home") for name in homes}
    env |= {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8"}
    env |= {"ASSAYBENCH_LOGBOOK": "demo/logbook"}
    done = subprocess.run(
        [sys.executable, "-c", EACH], input="\n".join(map(typed, order)), cwd=tmp_path, env=env,
        capture_output=True, encoding="utf-8", timeout=120, check=True,
    )  # fmt: skip
    ended = [line.split() for line in done.stderr.splitlines() if line[-2:-1] == " "]
    told = {command: int(status) for command, status in ended}
    assert told == {name: 3 if name in WITH_A_KEY else 0 for name in order}, done.stderr
