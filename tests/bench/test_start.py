"""The start in a real terminal: it paints, ends clean, and loads nothing that it does not need."""

import fcntl
import json
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pyte
import pytest

from assaybench.bench.start import make_demo, plain_signs
from assaybench.logbook.folder import Logbook
from assaybench.logbook.settings_fields import Settings
from assaybench.record.frame_read import Reader
from assaybench.record.kinds import BY_NAME

NEVER = {"cryptography", "pint", "sqlite3", "multiprocessing", "uncertainties", "numpy", "click"}
PATIENCE = 60.0


class Terminal:
    """A program on a terminal of 80 x 24, and what stands on it."""

    def __init__(self, folder: Path, *arguments: str, **variables: str) -> None:
        self.screen = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self.screen)
        self.sent = b""
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        kept = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "NO_COLOR"))}
        environment = kept | {
            "TERM": "xterm-256color",
            "LANG": "C.UTF-8",
            "ASSAYBENCH_LOGBOOK": str(folder / "logbook"),
            "XDG_CONFIG_HOME": str(folder / "config"),
            "TMPDIR": str(folder),
            **variables,
        }
        self.process = subprocess.Popen(
            [sys.executable, "-m", "assaybench", *arguments],
            stdin=slave, stdout=slave, stderr=slave, env=environment, start_new_session=True,
        )  # fmt: skip
        os.close(slave)

    def until(self, text: str) -> str:
        """Read on until the page holds a text; the page."""
        end = time.monotonic() + PATIENCE
        while text not in self.page:
            assert time.monotonic() < end, f"{text!r} is not on the page:\n{self.page}"
            self._read()
        return self.page

    @property
    def page(self) -> str:
        return "\n".join(line.rstrip() for line in self.screen.display)

    def _read(self) -> None:
        if select.select([self.master], [], [], 0.2)[0]:
            try:
                data = os.read(self.master, 65536)
            except OSError:
                return
            self.sent += data
            # pyte does not know the private sequences of keyboards and window titles
            self._stream.feed(data.replace(b"\x1b[>1u", b"").replace(b"\x1b[<u", b""))

    def press(self, keys: str) -> None:
        os.write(self.master, keys.encode())

    def ended(self) -> int:
        """The exit status, after everything that was still sent."""
        end = time.monotonic() + PATIENCE
        while self.process.poll() is None and time.monotonic() < end:
            self._read()
        for _ in range(3):
            self._read()
        return self.process.wait(timeout=PATIENCE)

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait(timeout=PATIENCE)
        os.close(self.master)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    make_demo(Logbook(tmp_path / "logbook"))
    return tmp_path


def test_the_bench_opens_on_a_terminal_and_esc_closes_it(folder: Path) -> None:
    terminal = Terminal(folder)
    try:
        page = terminal.until("cup C")
        assert "CONTENTS" in page
        assert "> furnace run 000" in page
        assert terminal.screen.cursor.y == 22
        assert b"\x1b]2;AssayBench\x07" in terminal.sent
        terminal.press("\x1b")
        assert terminal.ended() == 0
        assert b"Traceback" not in terminal.sent
    finally:
        terminal.close()


def test_without_colours_the_text_is_readable_and_no_colour_is_sent(folder: Path) -> None:
    terminal = Terminal(folder, NO_COLOR="1")
    try:
        terminal.until("cup C")
        colours = {
            (sign.fg, sign.bg) for row in terminal.screen.buffer.values() for sign in row.values()
        }
        assert colours == {("default", "default")}
    finally:
        terminal.close()


def test_the_demo_opens_on_a_copy_that_is_thrown_away(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path, "demo")
    try:
        terminal.until("cup C")
        assert "AssayBench, demo" in terminal.page
        assert not (tmp_path / "logbook").exists(), "the user's own logbook is not touched"
        assert list(tmp_path.glob("assaybench-demo-*"))
        terminal.press("\x1b")
        assert terminal.ended() == 0
        assert not list(tmp_path.glob("assaybench-demo-*"))
    finally:
        terminal.close()


@pytest.mark.parametrize("how", ["ctrl+c", "terminate"])
def test_every_way_out_is_clean(folder: Path, how: str) -> None:
    terminal = Terminal(folder)
    try:
        terminal.until("cup C")
        if how == "ctrl+c":
            terminal.press("\x03")
        else:
            terminal.process.terminate()
        assert terminal.ended() == 0
        assert b"Traceback" not in terminal.sent
        assert b"\x1b[?1049l" in terminal.sent, "the terminal is given back"
    finally:
        terminal.close()


def test_a_terminal_that_is_gone_leaves_every_entry_stored(folder: Path) -> None:
    terminal = Terminal(folder)
    terminal.until("cup C")
    before = {path: path.read_bytes() for path in folder.glob("logbook/logs/MAIN/*.toml")}
    terminal.press("\r")
    terminal.until("Enter ")
    os.close(terminal.master)
    terminal.process.send_signal(1)
    terminal.process.wait(timeout=PATIENCE)
    for path, data in before.items():
        found = path.read_bytes()
        assert found.startswith(data)
        reader = Reader(BY_NAME)
        list(reader.feed(found))
        assert reader.end().state == "sound"


def test_a_terminal_that_is_gone_without_a_signal_ends_the_bench(folder: Path) -> None:
    terminal = Terminal(folder)
    terminal.until("cup C")
    os.close(terminal.master)
    assert terminal.process.wait(timeout=PATIENCE) is not None


def test_off_a_terminal_the_help_is_printed_and_nothing_is_opened(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "assaybench"],
        capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL, timeout=60,
        env={**os.environ, "ASSAYBENCH_LOGBOOK": str(tmp_path / "logbook")},
    )  # fmt: skip
    assert done.returncode == 2
    assert "Commands" in done.stdout
    assert not (tmp_path / "logbook").exists()


def test_the_first_page_loads_nothing_that_it_does_not_need() -> None:
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from assaybench.bench import app, start\n"
        "from assaybench.bench.desk import Desk\n"
        "from assaybench.logbook.files import Files\n"
        "from assaybench.logbook.folder import Logbook\n"
        "from assaybench.logbook.settings import SettingsFile\n"
        "from assaybench.logbook.settings_fields import Settings\n"
        "root = Path('nowhere')\n"
        "desk = Desk(Logbook(root), 'MAIN', Files(), 'test')\n"
        "stack = start.laid_out(desk, start.Book(root), SettingsFile(Settings(), (), {}), root)\n"
        "stack.sheet\n"
        "import json\n"
        "print(json.dumps(sorted(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-I", "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    tops = {name.partition(".")[0] for name in json.loads(done.stdout)}
    assert not tops & NEVER


@pytest.mark.parametrize(
    ("environment", "encoding", "plain"),
    [
        ({"LANG": "en_GB.UTF-8"}, "utf-8", False),
        ({"LANG": "ja_JP.UTF-8"}, "utf-8", True),
        ({"LANG": "ja_JP.UTF-8", "LC_ALL": "C.UTF-8"}, "utf-8", False),
        ({"LC_CTYPE": "zh_CN.UTF-8"}, "utf-8", True),
        ({}, "latin-1", True),
        ({}, "ascii", True),
        ({}, "cp437", True),
        ({}, "", True),
    ],
)
def test_plain_signs_where_a_terminal_may_not_have_others(
    environment: dict[str, str], encoding: str, *, plain: bool
) -> None:
    assert plain_signs(Settings(), environment, encoding) is plain
    assert plain_signs(Settings(ascii=True), environment, encoding)
