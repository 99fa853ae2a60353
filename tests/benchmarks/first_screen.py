"""The first painted screen of the bench in a pty over a bare app of as many widgets, in one run.

python tests/benchmarks/first_screen.py ENVIRONMENT [COUNT]

Both start in the interpreter of an environment without test libraries. Time runs from the start of
the process to the first screen that holds the last line of its page.
"""

import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

AT_MOST = 1.4
MARK = b"Esc"
"""A word of the key line, the last line that is painted."""
BARE = """
from rich.segment import Segment
from textual.app import App
from textual.strip import Strip
from textual.widget import Widget

class Page(Widget):
    DEFAULT_CSS = "Page { width: 1fr; height: 1fr; }"
    def render_line(self, y):
        return Strip([Segment(("Esc" if y == 23 else "x" * 40).ljust(self.size.width))])

class Bare(App):
    ENABLE_COMMAND_PALETTE = False
    def compose(self):
        yield Page()

Bare().run(mouse=False)
"""
LOGBOOK = """
import sys
from pathlib import Path
from assaybench.bench.start import make_demo
from assaybench.logbook.folder import Logbook
make_demo(Logbook(Path(sys.argv[1])))
"""


def seconds_to(mark: bytes, argv: list[str], environment: dict[str, str]) -> float:
    """Seconds from the start of a program on a terminal of 80 x 24 to the first such output."""
    master, slave = pty.openpty()
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    begun = time.perf_counter()
    child = subprocess.Popen(
        argv, stdin=slave, stdout=slave, stderr=slave, env=environment, start_new_session=True
    )
    os.close(slave)
    seen = b""
    try:
        while mark not in seen:
            if not select.select([master], [], [], 20)[0]:
                raise SystemExit(f"nothing painted: {seen[-400:]!r}")
            seen += _read(master, seen)
        return time.perf_counter() - begun
    finally:
        child.kill()
        child.wait()
        os.close(master)


def _read(master: int, seen: bytes) -> bytes:
    try:
        return os.read(master, 65536)
    except OSError as fault:
        raise SystemExit(f"it ended early: {seen[-400:]!r}") from fault


def first_screen(folder: Path, count: int) -> tuple[float, float, float]:
    """Ratio of the fastest of ours over bare, and both in seconds."""
    python = str(folder / "python")
    with tempfile.TemporaryDirectory() as place:
        environment = {
            **os.environ,
            "TERM": "xterm-256color",
            "ASSAYBENCH_LOGBOOK": f"{place}/logbook",
            "XDG_CONFIG_HOME": f"{place}/config",
        }
        subprocess.run([python, "-c", LOGBOOK, f"{place}/logbook"], check=True)
        ours, bare = [], []
        for _ in range(count):
            ours.append(seconds_to(MARK, [python, "-m", "assaybench"], environment))
            bare.append(seconds_to(MARK, [python, "-c", BARE], environment))
    return min(ours) / min(bare), min(ours), min(bare)


def main() -> int:
    """Print the ratio; 1 when it is above what is aimed at."""
    folder = Path(sys.argv[1]) / "bin" if len(sys.argv) > 1 else Path(sys.executable).parent
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 10
    ratio, ours, bare = first_screen(folder, count)
    print(f"first screen / bare app                  {ratio:6.2f}   at most {AT_MOST}")
    print(f"  ours {1e3 * ours:.0f} ms, bare {1e3 * bare:.0f} ms")
    return int(ratio > AT_MOST)


if __name__ == "__main__":
    sys.exit(main())
