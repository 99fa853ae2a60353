"""Verify of a whole logbook over a bare check of its logs, whole processes, on the same cores.

python tests/benchmarks/verify_logs.py [COUNT ...]      in an environment without test libraries

Bare: read, SHA-512, Ed25519, tomllib of each log, spread over as many processes. Ours does that and
checks every link, the register, a second signature (the mark) for each log, keys and strangers. The
bare arithmetic of a log is the program's own replay and results of entries that were read before,
and nothing else: what no check of the figures can leave out.
"""

import os
import subprocess
import sys
import tempfile
import time
import tomllib
from base64 import b64decode
from collections.abc import Callable
from hashlib import sha512
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from typing import NamedTuple

from assaybench.logbook.folder import LogName
from assaybench.logbook.sshsig import LOG, signed_blob
from assaybench.record import sealing
from assaybench.record.entries import Entry
from tests.logbook.sealed_books import Maker, Row, TestKey, run_rows

AT_MOST = 1.5
AT_MOST_MEMORY = 1.2
SAMPLES, NOTES = 1, 3
"""With these a sealed log takes about 3 kB."""


class Cost(NamedTuple):
    """What a command took: seconds by the clock and of all cores, and peak memory, MB.

    Memory of itself alone, and with the processes it started.
    """

    seconds: float
    core_seconds: float
    own_mb: float
    together_mb: float


def rows_of(n: int) -> list[Row]:
    """Entries of a log of 3 kB."""
    notes = [
        ("note", {"text": f"cup {k} of run {n}: dry, warm, no skin seen"}) for k in range(NOTES)
    ]
    return [*run_rows(n, SAMPLES), *notes]


def make(folder: Path, count: int) -> Maker:
    """A logbook of so many sealed logs, written fast."""
    maker = Maker(folder)
    for n in range(1, count + 1):
        maker.log(n, rows_of(n))
    maker.done()
    return maker


def bare(paths: list[str], with_figures: bool) -> int:  # noqa: FBT001  a switch of the benchmark
    """Read, SHA-512, Ed25519 and tomllib of each log; the arithmetic of each when asked for."""
    public, good = TestKey().private.public_key(), 0
    parts = [make_parts(n) for n in range(10)] if with_figures else []
    for n, path in enumerate(paths):
        data = Path(path).read_bytes()
        armor = Path(f"{path}.sig").read_bytes().split(b"\n")[1:-2]
        blob = signed_blob(LOG, "sha512", sha512(data).digest())
        public.verify(b64decode(b"".join(armor))[-64:], blob)
        good += bool(tomllib.loads(data.decode())["entry"])
        if parts:
            sealing.recomputed(parts[n % len(parts)], "bare")
    return good


def make_parts(n: int) -> list[Entry]:
    """Entries of a log, in memory."""
    with tempfile.TemporaryDirectory() as folder:
        maker = Maker(Path(folder))
        maker.log(1, rows_of(n))
        return [e for e in maker.parts[1].entries if e.kind not in ("results", "sealed")]


def bare_main(folder: str, processes: int, with_figures: bool) -> None:  # noqa: FBT001  as above
    """The bare check of a whole folder on some processes."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    paths = sorted(str(p) for p in Path(folder).glob("logs/*/*.toml"))
    shares = [paths[i::processes] for i in range(processes)]
    if len(paths) <= 1500 and not with_figures:
        good = bare(paths, with_figures)
    else:
        with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
            good = sum(pool.map(bare, shares, [with_figures] * processes))
    if good != len(paths):
        sys.exit(1)


def memory_of(pid: int) -> list[float]:
    """Resident memory of a process and of each that it started, MB; none where nobody says."""
    found, waiting = [], [pid]
    while waiting:
        one = waiting.pop(0)
        try:
            status = Path(f"/proc/{one}/status").read_text("ascii", "replace")
            kids = Path(f"/proc/{one}/task/{one}/children").read_text("ascii")
        except OSError:
            continue
        kb = next((int(line.split()[1]) for line in status.splitlines() if "VmRSS" in line), 0)
        found.append(kb / 1000)
        waiting += [int(kid) for kid in kids.split()]
    return found


def cost(arguments: list[str]) -> Cost:
    """Time and peak memory of a command."""
    begun, before = time.perf_counter(), getrusage(RUSAGE_CHILDREN)
    process = subprocess.Popen([sys.executable, *arguments], stdout=subprocess.DEVNULL)
    own, together = 0.0, 0.0
    while process.poll() is None:
        used = memory_of(process.pid)
        own, together = max([own, *used[:1]]), max(together, sum(used))
        time.sleep(0.02)
    seconds = time.perf_counter() - begun
    if process.returncode:
        sys.exit(f"{arguments}: status {process.returncode}")
    after = getrusage(RUSAGE_CHILDREN)
    core = after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime
    return Cost(seconds, core, own, together)


def best(call: Callable[[], Cost], tries: int) -> Cost:
    """The fastest of some tries, as other work on the machine only ever slows one down."""
    return min((call() for _ in range(tries)), key=lambda cost: cost.seconds)


def main() -> None:
    """Print times, ratios and memory."""
    if sys.argv[1:2] == ["bare"]:
        bare_main(sys.argv[2], int(sys.argv[3]), sys.argv[4] == "figures")
        return
    counts = [int(text) for text in sys.argv[1:]] or [1000, 10000]
    processes = str(len(os.sched_getaffinity(0)))
    memory: dict[bool, list[float]] = {False: [], True: []}
    for count in counts:
        with tempfile.TemporaryDirectory() as folder:
            maker = make(Path(folder), count)
            size = maker.book.log(LogName("MAIN", 1)).stat().st_size
            print(f"{count} logs of {size} bytes, {processes} cores")
            for figures in (False, True):
                word = "figures" if figures else "alone"
                ours = ["-m", "assaybench", "verify", "--plain", "--logbook", folder]
                ours += [] if figures else ["--no-recompute"]
                own = [__file__, "bare", folder, processes, word]
                tries = 3 if count <= 1000 else 2
                a, b = best(lambda o=own: cost(o), tries), best(lambda o=ours: cost(o), tries)  # type: ignore[misc]  # bound for this round
                memory[figures].append(b.own_mb)
                name = "verify" if figures else "verify --no-recompute"
                print(
                    f"  {name:24} {b.seconds:7.2f} s   bare {a.seconds:7.2f} s   "
                    f"ratio {b.seconds / a.seconds:5.2f} at most {AT_MOST}   "
                    f"of core time {b.core_seconds / a.core_seconds:5.2f}   "
                    f"peak {b.own_mb:.0f} MB, with its processes {b.together_mb:.0f} MB"
                )
    for figures, peaks in memory.items():
        if len(peaks) > 1:
            name = "verify" if figures else "verify --no-recompute"
            ratio = peaks[-1] / peaks[0]
            print(f"  own memory of {name}: last over first {ratio:.2f}, at most {AT_MOST_MEMORY}")


if __name__ == "__main__":
    main()
