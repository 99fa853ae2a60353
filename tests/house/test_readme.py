"""The README: each command it shows prints what stands below it."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from assaybench.record.register_kinds import REGISTER_KINDS

ROOT = Path(__file__).parents[2]
FIRST, AFTER = "## A short tour\n", "## What it does not do\n"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
PAGE = re.compile(r"<!-- page: ([a-z-]+) -->\n```text\n(.*?)```", re.DOTALL)
SHEET = re.compile(r"```toml\n(.*?)```", re.DOTALL)
SCRIPT = re.compile(r"```sh\n(assaybench .*?)```", re.DOTALL)
KIND = re.compile(r"^\| `(\w+)` \| `([a-z0-9_ ]+)`(?: \[`([a-z0-9_ ]+)`\])? \| ", re.MULTILINE)
LINK = re.compile(r"\]\(#([^)]+)\)")
DUMPS = ROOT / "tests" / "bench" / "dumps"


def readme() -> str:
    return (ROOT / "README.md").read_text("utf-8")


def dump(name: str) -> str:
    """A page of the bench as its dump has it."""
    return (DUMPS / f"{name}.txt").read_text("utf-8").rstrip("\n") + "\n"


def shown() -> list[tuple[str, str]]:
    """Commands with what they print, in their order."""
    text = readme().partition(FIRST)[2].partition(AFTER)[0]
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


@pytest.mark.parametrize(("name", "page"), PAGE.findall(readme()))
def test_a_page_of_the_bench_is_its_dump(name: str, page: str) -> None:
    assert page == dump(name)


def test_there_are_three_pages() -> None:
    assert len(PAGE.findall(readme())) == 3


def test_its_hand_sheet_gives_a_grade(tmp_path: Path) -> None:
    (sheet,) = SHEET.findall(readme())
    (tmp_path / "sheet.toml").write_text(sheet, "utf-8")
    command = "assaybench results sheet.toml --plain"
    printed = run_all(tmp_path, [command])[command]
    assert "KV-016      0.2610   9.46 +-0.16  wider than aim" in printed


def test_its_first_log_is_made_by_the_lines_it_shows(tmp_path: Path) -> None:
    (script,) = SCRIPT.findall(readme())
    lines = script.splitlines()
    done = run_all(tmp_path, [f"export ASSAYBENCH_LOGBOOK=made; {' && '.join(lines)}"])
    assert len(lines) == 6
    assert "struck 1.372  1.327" in next(iter(done.values()))


def test_the_kinds_of_a_register_stand_there_with_every_key() -> None:
    told = {kind: (must.split(), may.split()) for kind, must, may in KIND.findall(readme())}
    known = {
        kind.name: (
            [key.name for key in kind.keys if key.required],
            [key.name for key in kind.keys if not key.required],
        )
        for kind in REGISTER_KINDS
    }
    assert told == known


def test_every_link_leads_to_a_heading() -> None:
    heads = re.findall(r"^#+ (.+)$", readme(), re.MULTILINE)
    places = {re.sub(r"[^\w -]", "", head).lower().replace(" ", "-") for head in heads}
    links = set(LINK.findall(readme()))
    assert len(links) > 10
    assert links <= places


def test_no_path_of_a_machine_stands_there() -> None:
    text = "".join(f"{command}{out}" for command, out in shown())
    assert not re.search(r"/(?:home|tmp|work|Users|root)/", text)
