"""The logbook page of the bench on many logs, in a pseudo-terminal, as a person sees it.

    python tests/benchmarks/bench_logbook.py [COUNT ...]

Makes a logbook of COUNT logs (100,000 and a tenth of it unless said) in a passing folder and starts
the program on it, at first without an index, then with one that is current. Prints seconds from the
start to the contents, and from the key `a` to the page, to its first log and to its whole list.
Nothing here fails.
"""

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path
from typing import NamedTuple

from tests.benchmarks.logbook_list import AT_MOST, made

ROUNDS = 5
PATIENCE = 300.0
"""Seconds to wait for a page, at most."""
_CONTENTS, _SETTINGS, _PAGE = b"CONTENTS", b"SETTINGS", b"LOGBOOK"


class Took(NamedTuple):
    """Seconds to the contents; from the key to the page, to its newest log, to its last line."""

    contents: float
    page: float
    newest: float
    listed: float


class Bench:
    """The program on a terminal of 80 x 24."""

    def __init__(self, root: Path, home: Path) -> None:
        environment = {
            **os.environ,
            "TERM": "xterm-256color",
            "ASSAYBENCH_LOGBOOK": str(root),
            "XDG_CACHE_HOME": str(home / "cache"),
            "XDG_CONFIG_HOME": str(home / "config"),
            "XDG_DATA_HOME": str(home / "data"),
        }
        self._end, other = pty.openpty()
        fcntl.ioctl(other, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self._seen = b""
        self.begun = time.perf_counter()
        self._child = subprocess.Popen(
            [sys.executable, "-m", "assaybench"],
            stdin=other, stdout=other, stderr=other, env=environment, start_new_session=True,
        )  # fmt: skip
        os.close(other)

    def press(self, key: bytes) -> None:
        """Press a key; what was drawn before counts no more."""
        self._seen = b""
        self.begun = time.perf_counter()
        os.write(self._end, key)

    def seconds_to(self, mark: bytes) -> float:
        """Seconds since the start, or since the last key, until this is drawn."""
        end = time.perf_counter() + PATIENCE
        while mark not in self._seen:
            if not select.select([self._end], [], [], end - time.perf_counter())[0]:
                raise SystemExit(f"{mark!r} never came: {self._seen[-400:]!r}")
            self._seen += os.read(self._end, 65536)
        return time.perf_counter() - self.begun

    def close(self) -> None:
        """End it."""
        self._child.send_signal(signal.SIGKILL)
        self._child.wait()
        os.close(self._end)


def opened(root: Path, home: Path, count: int) -> Took:
    """Start the program and open its logbook page once."""
    bench = Bench(root, home)
    try:
        contents = bench.seconds_to(_CONTENTS)
        # the tick that reads what the contents name must be over, or the key waits for it
        bench.press(b"o")
        bench.seconds_to(_SETTINGS)
        bench.press(b"\x1b")
        bench.seconds_to(_CONTENTS)
        bench.press(b"a")
        page = bench.seconds_to(_PAGE)
        newest = bench.seconds_to(b"> MAIN-%06d" % count)
        return Took(contents, page, newest, bench.seconds_to(b"of %d, newest" % count))
    finally:
        bench.close()


def _line(what: str, took: Took, most: str = "") -> None:
    print(
        f"  {what:14} contents {took.contents:.2f} s; key a to the page {took.page:.3f} s,"
        f" newest log {took.newest:.3f} s, all {took.listed:.3f} s{most}",
        flush=True,
    )


def main() -> None:
    """Print the figures of each size."""
    for count in [int(text) for text in sys.argv[1:]] or [10_000, 100_000]:
        with tempfile.TemporaryDirectory() as folder:
            root, home = Path(folder) / "book", Path(folder)
            made(root, count)
            print(f"bench on {count} logs")
            _line("without index", opened(root, home, count))
            again = [opened(root, home, count) for _ in range(ROUNDS)]
            best = Took(*map(min, zip(*again, strict=True)))
            _line("index current", best, f"   at most {AT_MOST}")


if __name__ == "__main__":
    main()
