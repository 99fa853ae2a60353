"""Ratios of our commands over the bare libraries, measured side by side in one run.

    python tests/benchmarks/run.py [ENVIRONMENT]

ENVIRONMENT is the folder of a virtual environment with run-time dependencies only (a library such
as numpy would be loaded by the bare side too); without it the running interpreter's own is used.
Each line: what, ours over bare, at most. Nothing here fails: figures are read by a person.
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


def main() -> None:
    """Print every ratio."""
    folder = Path(sys.argv[1]) / "bin" if len(sys.argv) > 1 else Path(sys.executable).parent
    for row in (quick_sum,):
        what, found, most = row(folder)
        print(f"{what:40} {found:6.2f}   at most {most}", flush=True)
    subprocess.run([str(folder / "python"), str(HERE / "sheets.py")], check=True)
    # it shares its entries with the tests, which are found from the project's root
    found_from = {**os.environ, "PYTHONPATH": str(HERE.parents[1])}
    subprocess.run([sys.executable, str(HERE / "stored_entry.py")], check=True, env=found_from)


if __name__ == "__main__":
    main()
