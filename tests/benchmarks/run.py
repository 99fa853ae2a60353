"""Ratios of our commands over the bare libraries, measured side by side in one run.

    python tests/benchmarks/run.py [ENVIRONMENT]

ENVIRONMENT is the folder of a virtual environment with run-time dependencies only (a library such
as numpy would be loaded by the bare side too); without it the running interpreter's own is used.
Each line: what, ours over bare, at most; where there is no bare side, what it took in its unit.
Nothing here fails: figures are read by a person.
"""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROUNDS = 30
HERE = Path(__file__).parent


def seconds(action: Callable[[], None]) -> float:
    """Wall time of one action."""
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def ratio(ours: Callable[[], None], bare: Callable[[], None], rounds: int = ROUNDS) -> float:
    """Best of ours over best of bare, taken in turn so that both see the same machine."""
    pairs = [(seconds(ours), seconds(bare)) for _ in range(rounds)]
    return min(o for o, _ in pairs) / min(b for _, b in pairs)


def command(*argv: str) -> Callable[[], None]:
    """Running a command with its output thrown away."""
    return lambda: subprocess.run(argv, stdout=subprocess.DEVNULL, check=True).check_returncode()


def quick_sum(folder: Path) -> tuple[str, float, float]:
    """The quick sum `weigh` over importing the libraries it stands on."""
    ours = command(str(folder / "assaybench"), "weigh", "0.31mg", "--readability", "0.01mg")
    imports = "import click, uncertainties, dataclasses, decimal, fractions"
    bare = command(str(folder / "python"), "-c", imports)
    return "weigh / bare imports", ratio(ours, bare), 1.4


OTHERS = (
    ("sheets.py",),
    ("stored_entry.py",),
    ("keys.py",),
    ("first_screen.py", "", "5"),
    ("logbook_list.py", "10000"),
    ("bench_logbook.py", "10000"),
    ("verify_logs.py", "1000"),
)
"""The other benchmarks with what they are asked, each in a size that is over in a minute or two."""


def other(folder: Path, script: str, *asked: str) -> None:
    """Let another benchmark print its rows, in the same environment."""
    # some share what they measure with the tests, which are found from the project's root
    found_from = {**os.environ, "PYTHONPATH": str(HERE.parents[1])}
    argv = [
        str(folder / "python"),
        str(HERE / script),
        *(text or str(folder.parent) for text in asked),
    ]
    subprocess.run(argv, check=False, env=found_from)


def main() -> None:
    """Print every ratio."""
    folder = Path(sys.argv[1]) / "bin" if len(sys.argv) > 1 else Path(sys.executable).parent
    what, found, most = quick_sum(folder)
    print(f"{what:40} {found:6.2f}   at most {most}", flush=True)
    for row in OTHERS:
        other(folder, *row)


if __name__ == "__main__":
    main()
