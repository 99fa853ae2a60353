"""The README: each command it shows prints what stands below it."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FIRST, AFTER = "## A short tour\n", "## What it does not do\n"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)


def shown() -> list[tuple[str, str]]:
    """Commands with what they print, in their order."""
    text = (ROOT / "README.md").read_text("utf-8").partition(FIRST)[2].partition(AFTER)[0]
    blocks = ("\n" + block for block in BLOCK.findall(text))
    parts = [part for block in blocks for part in block.split("\n$ ")[1:]]
    lines = [part.partition("\n") for part in parts]
    return [(command, out.strip("\n")) for command, _, out in lines]


def run_all(folder: Path, commands: list[str]) -> dict[str, str]:
    """What commands print, run one after the other in a folder with a copy of the demo."""
    shutil.copytree(ROOT / "demo", folder / "demo")
    home = {name: str(folder / "home") for name in ("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")}
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    known = {"PATH": path, "LC_ALL": "C.UTF-8", "PYTHONUTF8": "1"} | home
    found = {}
    for command in commands:
        done = subprocess.run(
            ["bash", "-c", command], cwd=folder, env=known, capture_output=True, timeout=60,
            encoding="utf-8", check=False,
        )  # fmt: skip
        assert done.stderr == "", command
        found[command] = done.stdout.strip("\n")
    return found


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return run_all(tmp_path_factory.mktemp("readme"), [command for command, _ in shown()])


def test_there_are_commands_of_every_kind() -> None:
    words = {word for command, _ in shown() for word in command.split()}
    assert {"verify", "ssh-keygen", "signers", "report", "export", "results", "show"} <= words


@pytest.mark.parametrize(("command", "out"), shown(), ids=[c[:60] for c, _ in shown()])
def test_a_command_prints_what_the_readme_shows(
    printed: dict[str, str], command: str, out: str
) -> None:
    assert printed[command] == out


def test_no_path_of_a_machine_stands_there() -> None:
    text = "".join(f"{command}{out}" for command, out in shown())
    assert not re.search(r"/(?:home|tmp|work|Users|root)/", text)
