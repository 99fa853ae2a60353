"""Results of a hand sheet of 48 samples over tomllib and the bare arithmetic, in one process.

    python tests/benchmarks/sheets.py [SAMPLES]

Our side reads the sheet and writes the page. The bare side parses the same bytes and works out the
same figures (net masses, gold less blank, doré, silver by difference, grades, their standard
uncertainties) with `uncertainties` by hand: no checks, no verdicts, no degrees of freedom, no
shares, no sentences, nothing written. Best of several rounds, each with readings of its own, so
that nothing remembered of one round serves the next. Both sides run in one process that collects
garbage as seldom as the program lets a command do.

Then, in milliseconds of the processor: from a reading that is stored in a log of so many samples to
the figures of its sample, as the bench works them out.
"""

import random
import sys
import time
import tomllib
from collections.abc import Callable, Iterable

from uncertainties import UFloat, ufloat

from assaybench.__main__ import collect_seldom
from assaybench.cli.results import answer
from assaybench.record import handsheet
from assaybench.record.live import Live
from assaybench.report.answer import Style, text_of

ROUNDS = 12
HEAD = """\
[sheet]
log = "furnace run"
title = "Benchmark"
date = 2026-01-01
by = "XX"

[[balances]]
name = "fine"
step = "0.0001 mg"
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
charge = "30.{charge:02} g"
bead = "2.4{bead:03} mg"
gold = "0.2{gold:03} mg"
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


def sheet(samples: int, seed: int = 0) -> bytes:
    """A sheet of so many samples, their readings by the seed, and two blanks."""
    dice = random.Random(seed)
    parts = [
        SAMPLE.format(
            i=i, charge=dice.randrange(100), bead=dice.randrange(1000), gold=dice.randrange(1000)
        )
        for i in range(samples)
    ]
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
        charge = weigh(one["charge"], 0.007)
        dry = charge * (1 - ufloat(0.08, 0.0003))
        net = gold - blank
        added = ufloat(number(one["silver"]), 0.0003)
        dore = bead - added * (1 - loss) - blank
        silver = (bead - gold) / (1 - loss) - added
        grades = 1000 * net / dry, 1000 * silver / dry
        for figure in (charge, bead, gold, net, dore, silver, *grades):
            found += [figure.nominal_value, figure.std_dev]
    return found


def page(content: bytes) -> str:
    """What `results` prints of a sheet."""
    return text_of(answer("sheet", content), Style())


def key_to_figure_ms(samples: int) -> float:
    """Time from the last reading of a log to its sample's figures, all others known, median."""
    times = []
    for seed in range(ROUNDS):
        *before, last = handsheet.read(sheet(samples, seed)).entries
        live = Live(before)
        live.results()
        start = time.process_time()
        (touched,) = live.add(last)
        dict(live.sample(touched).figures)
        times.append(time.process_time() - start)
    return 1000 * sorted(times)[ROUNDS // 2]


def seconds(action: Callable[[bytes], object], content: bytes) -> float:
    """Time of the processor for one sheet."""
    start = time.process_time()
    action(content)
    return time.process_time() - start


def best(contents: Iterable[bytes]) -> tuple[float, float]:
    """Least time of ours and of bare, taken in turn so that both see the same machine."""
    pairs = [(seconds(page, content), seconds(bare, content)) for content in contents]
    return min(ours for ours, _ in pairs), min(plain for _, plain in pairs)


def main() -> None:
    """Print both times and their ratio."""
    collect_seldom()
    samples = int(sys.argv[1]) if len(sys.argv) > 1 else 48
    sheets = [sheet(samples, seed) for seed in range(ROUNDS)]
    ours, plain = best(sheets)
    print(f"results of {samples} samples: {ours * 1e3:.1f} ms over {plain * 1e3:.1f} ms bare")
    print(f"{'results / bare':40} {ours / plain:6.2f}   at most 3")
    for n, most in ((48, 5), (500, 20)):
        print(f"{f'key to figure, ms, {n} samples':40} {key_to_figure_ms(n):6.2f}   at most {most}")


if __name__ == "__main__":
    main()
