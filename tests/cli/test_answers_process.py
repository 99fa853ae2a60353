"""Quick sums as processes of their own: help, streams, exit status, encodings."""

import json
import os
import subprocess
import sys
from typing import Any


def process(*argv: str, **options: Any) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "assaybench", *argv],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        encoding="utf-8",
        **options,
    )


def test_no_command_gives_help_and_exit_status_two() -> None:
    done = process()
    assert done.returncode == 2
    assert "weigh" in done.stdout


def test_help_and_version() -> None:
    assert process("--version").stdout.startswith("assaybench 0.")
    for command in ("weigh", "compare", "convert", "sieves"):
        done = process(command, "--help")
        assert (done.returncode, done.stderr) == (0, "")
        assert "--sum" in done.stdout


def test_a_closed_pipe_ends_silently() -> None:
    script = (
        f"'{sys.executable}' -m assaybench sieves | head -1 >/dev/null; echo ${{PIPESTATUS[0]}}"
    )
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert done.stderr == ""


def test_a_terminal_without_utf8_gets_ascii() -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = process("weigh", "0.31mg", "--readability", "0.01mg", env=environment)
    assert (done.returncode, done.stderr) == (0, "")
    assert "0.310 +-0.008 mg" in done.stdout


def test_json_of_a_process_parses() -> None:
    done = process("weigh", "0.31mg", "--readability", "0.01mg", "--json")
    assert json.loads(done.stdout)["command"] == "weigh"
