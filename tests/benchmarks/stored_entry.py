"""A stored entry over a bare write and fsync of the same bytes, side by side in one run.

python tests/benchmarks/stored_entry.py [COUNT]
"""

import os
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from assaybench.logbook.clock import machine_time
from assaybench.logbook.files import Files
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.opening import open_log

AT_MOST = 1.5
REST_MS = 0.2
"""Before either write in the second measure: at work no entry follows another at once, and a disk
that has just synced is readier for the next, which here would always be the bare one."""
# written out here: the benchmark runs where no test library is installed
OPENED = {
    "log": "furnace run",
    "number": 12,
    "bench": "MAIN",
    "method_version": 1,
    "program": "assaybench 0.1.0",
}
BALANCE = {"name": "fine", "step": "0.001 mg", "weighs": ["bead", "gold"]}


def keeper() -> Keeper:
    """The real disk and clock."""
    return Keeper("KB", machine_time, Files(), "assaybench 0.1.0")


def reading(text: str) -> dict[str, object]:
    """One gold weight."""
    return {"what": "gold", "text": text, "unit": "mg", "balance": "fine", "sample": "KV-017"}


def rest(ms: float) -> None:
    """Let a time pass without giving the processor away."""
    end = time.perf_counter() + ms / 1e3
    while time.perf_counter() < end:
        pass


def stored_entry(count: int = 2000, rest_ms: float = 0.0) -> tuple[float, float, float]:
    """Ratio of the medians of ours over bare, and both medians in milliseconds.

    Each round stores one reading through the log, then writes and syncs the same bytes by bare
    calls, so both see the same disk; before either the disk is left `rest_ms`.
    """
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        path = Path(folder) / "000012.toml"
        bare = os.open(Path(folder) / "bare.toml", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        ours_ms, bare_ms = [], []
        with open_log(path, keeper(), first=("opened", OPENED)) as log:
            log.append("balance", BALANCE)
            for i in range(count):
                before = log.size
                rest(rest_ms)
                begun = time.perf_counter()
                log.append("reading", reading(f"1.{i % 1000:03}"))
                ours_ms.append(1e3 * (time.perf_counter() - begun))
                data = b"x" * (log.size - before)
                rest(rest_ms)
                begun = time.perf_counter()
                os.write(bare, data)
                os.fsync(bare)
                bare_ms.append(1e3 * (time.perf_counter() - begun))
        os.close(bare)
    ours, own = median(ours_ms), median(bare_ms)
    return ours / own, ours, own


def main() -> None:
    """Print the ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    for name, rest_ms in (("one after the other", 0.0), (f"each after {REST_MS} ms", REST_MS)):
        ratio, ours, bare = stored_entry(count, rest_ms)
        what = f"stored entry / bare write and fsync, {name}"
        print(f"{what:60} {ratio:6.2f}   at most {AT_MOST}")
        print(f"{count} entries, medians: ours {ours:.3f} ms, bare {bare:.3f} ms")


if __name__ == "__main__":
    main()
