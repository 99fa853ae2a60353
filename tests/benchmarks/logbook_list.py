"""The first page of a list of many logs beyond start-up, with the index current.

    python tests/benchmarks/logbook_list.py [COUNT ...]

Makes a logbook of COUNT logs (100,000 and a tenth of it unless said) in a passing folder, lists it
once, which fills the index, then measures whole commands: the list, the list by sample, and
`sieves --help` for the start-up. Prints seconds on the wall and of the processor (the machine may
be busy) and peak memory; nothing here fails.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.folder import Logbook, LogName
from assaybench.record.frame import Chain, framed
from assaybench.record.kinds import BY_NAME
from assaybench.record.register_kinds import REGISTER_BY_NAME

NOON = datetime(2026, 6, 9, 12, tzinfo=UTC)
OPENED = {"log": "furnace run", "bench": "MAIN", "method_version": 1, "program": "bench"}
AT_MOST = 0.3
ROUNDS = 7


def made(root: Path, count: int) -> None:
    """A logbook of one bench: a register and logs of 5 entries, 2 samples each."""
    book = Logbook(root)
    book.logs("MAIN").mkdir(parents=True)
    book.registers.mkdir(parents=True)
    chain = Chain(REGISTER_BY_NAME)
    with book.register("MAIN").open("wb") as register:
        for n in range(count + 1):
            kind, values = ("begun", {"bench": "MAIN", "program": "bench"}) if n == 0 else (
                "opened", {"number": n, "log": "furnace run", "title": f"run {n}"})  # fmt: skip
            data, link = framed(chain, NOON + timedelta(minutes=n), "KB", kind, values)
            chain.step(kind, link)
            register.write(data)
    for n in range(1, count + 1):
        rows = [("opened", {**OPENED, "number": n, "title": f"run {n}"})]
        rows += [("sample", {"id": f"T-{n}{part}", "role": "sample"}) for part in ("a", "b")]
        rows += [("note", {"text": "dry and warm"})] * 2
        log = Chain(BY_NAME)
        parts = []
        for kind, values in rows:
            data, link = framed(log, NOON + timedelta(minutes=n, seconds=log.n), "KB", kind, values)
            log.step(kind, link)
            parts.append(data)
        book.log(LogName("MAIN", n)).write_bytes(b"".join(parts))
    long_ago = time.time() - 60
    os.utime(book.logs("MAIN"), (long_ago, long_ago))


class Took(NamedTuple):
    """Best wall time and processor time of a command, s, and its peak memory, MB."""

    wall: float
    processor: float
    memory: float


def measured(root: Path, cache: Path, argv: Sequence[str], rounds: int) -> Took:
    """The best of several runs of a command."""
    environment = {**os.environ, "ASSAYBENCH_LOGBOOK": str(root), "XDG_CACHE_HOME": str(cache)}
    code = (
        "import resource, sys; from assaybench.cli.app import main; main(sys.argv[1:]);"
        "r = resource.getrusage(resource.RUSAGE_SELF);"
        "sys.stderr.write(f'{r.ru_utime + r.ru_stime} {r.ru_maxrss}')"
    )
    runs = []
    for _ in range(rounds):
        begun = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", code, *argv],
            env=environment, capture_output=True, text=True, check=True,
        )  # fmt: skip
        wall = time.perf_counter() - begun
        processor, memory = done.stderr.split("\n")[-1].split()
        runs.append(Took(wall, float(processor), float(memory) / 1024))
    return Took(*(min(parts) for parts in zip(*runs, strict=True)))


def main() -> None:
    """Print the figures of each size."""
    for count in [int(text) for text in sys.argv[1:]] or [10_000, 100_000]:
        with tempfile.TemporaryDirectory() as folder:
            root, cache = Path(folder) / "book", Path(folder) / "cache"
            made(root, count)
            filled = measured(root, cache, ["logbook"], 1)
            start = measured(root, cache, ["sieves", "--help"], ROUNDS)
            print(f"{count} logs: first list {filled.wall:.1f} s, {filled.memory:.0f} MB")
            for what, argv in (
                ("first page", ["logbook"]),
                ("last page", ["logbook", "--page", str(max(count // 20, 1))]),
                ("by sample", ["logbook", "--sample", "T-77a"]),
            ):
                took = measured(root, cache, argv, ROUNDS)
                most = f"   at most {AT_MOST}" if what == "first page" else ""
                print(
                    f"  {what:12} {took.wall - start.wall:6.3f} s beyond start-up"
                    f" ({took.processor - start.processor:.3f} s of the processor),"
                    f" {took.memory:.0f} MB{most}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
