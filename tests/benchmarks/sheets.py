"""Results of a hand sheet of 48 samples over tomllib and the bare arithmetic, in one process.

    python tests/benchmarks/sheets.py [SAMPLES]

The bare side parses the same bytes and works out the same figures (net masses, gold less blank,
doré, silver by difference, grades, their standard uncertainties) with `uncertainties` by hand:
no checks, no verdicts, no degrees of freedom, no shares, no sentences. Best of several rounds.
"""

import sys
import time
import tomllib
from collections.abc import Callable

from uncertainties import UFloat, ufloat

from assaybench.cli.results import answer

HEAD = """\
[sheet]
log = "furnace run"
title = "Benchmark"
date = 2026-01-01
by = "XX"

[[balances]]
name = "fine"
step = "0.001 mg"
spread = "0.002 mg"
repeats = 10
calibration = "0.03 %"
weighs = ["bead", "gold"]

[[balances]]
name = "pulp"
step = "0.01 g"
spread = "0.01 g"
repeats = 10
weighs = ["charge"]

[[lots]]
lot = "L"
material = "litharge"
"""
SAMPLE = """
[[samples]]
id = "S-{i}"
silver = "2.000 mg"
lead = "30 g"
lots = ["L"]
moisture = "8.0 %"
charge = "30.0{d} g"
bead = "2.4{d}8 mg"
gold = "0.2{d}1 mg"
"""
BLANKS = """
[[samples]]
id = "B-{i}"
role = "blank"
silver = "none"
lead = "30 g"
lots = ["L"]
bead = "0.05{i} mg"
gold = "0.00{i} mg"
"""


def sheet(samples: int) -> bytes:
    """A sheet of so many samples and two blanks."""
    parts = [SAMPLE.format(i=i, d=i % 10) for i in range(samples)]
    return (HEAD + "".join(BLANKS.format(i=i) for i in (1, 2)) + "".join(parts)).encode()


def number(text: str) -> float:
    """The number of a figure."""
    return float(text.split(maxsplit=1)[0])


def bare(content: bytes) -> list[float]:
    """The same figures by hand."""
    tree = tomllib.loads(content.decode())
    blanks = [s for s in tree["samples"] if s.get("role") == "blank"]
    blank = ufloat(sum(number(b["gold"]) for b in blanks) / len(blanks), 0.001)
    scale, loss = ufloat(1.0, 0.0003), ufloat(0.02, 0.0115)
    zero = 0.002 / 2**0.5
    found: list[float] = []

    def weigh(text: str, u: float) -> UFloat:
        return ufloat(number(text), u) - ufloat(0.0, u)

    for one in tree["samples"]:
        if one.get("role") == "blank":
            continue
        gold = weigh(one["gold"], zero) * scale
        bead = weigh(one["bead"], zero) * scale
        dry = weigh(one["charge"], 0.007) * (1 - ufloat(0.08, 0.0003))
        net = gold - blank
        added = ufloat(number(one["silver"]), 0.0003)
        dore = bead - added * (1 - loss) - blank
        silver = (bead - gold) / (1 - loss) - added
        for figure in (net, dore, silver, 1000 * net / dry, 1000 * silver / dry):
            found += [figure.nominal_value, figure.std_dev]
    return found


def best(action: Callable[[], object], rounds: int = 7) -> float:
    """Best wall time of several rounds."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print both times and their ratio."""
    samples = int(sys.argv[1]) if len(sys.argv) > 1 else 48
    content = sheet(samples)
    ours, plain = best(lambda: answer("sheet", content)), best(lambda: bare(content))
    print(f"results of {samples} samples: {ours * 1e3:.1f} ms over {plain * 1e3:.1f} ms bare")
    print(f"{'results / bare':40} {ours / plain:6.2f}   at most 3")


if __name__ == "__main__":
    main()
