"""The start of the bench: settings, logbook, pages and app put together; the one exit.

Everything stored is on the disk already, so leaving is only closing: by Esc, a fault of the
program, or a terminal that is gone.
"""

import os
import sys
import tempfile
from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path

from assaybench import PROGRAM
from assaybench.bench.desk import Desk
from assaybench.bench.laid_out import Book, laid_out
from assaybench.bench.pages.contents import ContentsPage
from assaybench.bench.window_title import WindowTitle
from assaybench.logbook import settings
from assaybench.logbook.clock import machine_time
from assaybench.logbook.faults import NotDone, disk_reason
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, settings_file, user_folder, where
from assaybench.logbook.settings import SettingsFile
from assaybench.logbook.settings_fields import Settings
from assaybench.messages import say

DONE, NOT_DONE = 0, 3
_AMBIGUOUS_WIDTH = ("ja", "zh", "ko")
"""Languages whose terminals may draw rules and blocks two columns wide."""


def run_bench(environment: Mapping[str, str] = os.environ) -> int:
    """Open the bench on the user's logbook; gives the exit status."""
    files = Files()
    path = settings_file()
    read = settings.load(files, path)
    root = where(None, environment, read.settings.logbook, user_folder)
    return _open(Book(root), read, path, files, environment)


def run_demo(environment: Mapping[str, str] = os.environ) -> int:
    """Open the bench on a throw-away copy of the demo; gives the exit status."""
    files = Files()
    path = settings_file()
    read = settings.load(files, path)
    with tempfile.TemporaryDirectory(
        prefix="assaybench-demo-", ignore_cleanup_errors=True
    ) as folder:
        root = Path(folder)
        _thrown_away_with_the_terminal(folder)
        book = Book(
            root / "logbook",
            say("title_demo"),
            root / "practice",
            keeps=False,
            cache=root / "cache",
            key_file=root / "signing_key",
        )
        mine = read.settings
        kept = Settings(palette=mine.palette, ascii=mine.ascii, keys=mine.keys, initials="KB")
        try:
            make_demo(Logbook(book.root))
        except NotDone as fault:
            return _complain(fault.lines)
        return _open(book, read._replace(settings=kept), path, files, environment)


def _thrown_away_with_the_terminal(folder: str) -> None:
    """When the terminal is gone, the throw-away copy goes too; a real logbook needs no care."""
    if os.name != "posix":
        return
    import shutil
    import signal

    def gone(_number: int, _place: object) -> None:
        shutil.rmtree(folder, ignore_errors=True)
        os._exit(128 + signal.SIGHUP)

    signal.signal(signal.SIGHUP, gone)


def make_demo(book: Logbook) -> None:
    """Fill a logbook with a copy of the demo's; every file of it may be written.

    Raises:
        NotDone: when it cannot be made.
    """
    from assaybench.logbook.importing import demo_folder

    try:
        _copy(demo_folder().joinpath("logbook"), book.root)
    except OSError as fault:
        why = disk_reason(fault)
        raise NotDone([say("file_not_made", name=str(book.root), why=why)]) from fault


def _copy(source: Traversable, target: Path) -> None:
    target.mkdir(parents=True, exist_ok=True)
    for item in source.iterdir():
        if item.is_dir():
            _copy(item, target / item.name)
        else:
            (target / item.name).write_bytes(item.read_bytes())


def _open(
    book: Book, read: SettingsFile, path: Path, files: Files, environment: Mapping[str, str]
) -> int:
    """Show the bench until it is closed."""
    from assaybench.bench.app import BenchApp, named_fault

    chosen = read.settings
    # asked now: the app puts something else in the place of the stream
    encoding = sys.stderr.encoding or ""
    desk = Desk(
        Logbook(book.root),
        chosen.bench,
        files,
        PROGRAM,
        settings=chosen,
        practice=book.practice,
        cache=book.cache,
        key_file=book.key_file,
    )
    contents = None
    fault = ""
    try:
        stack = laid_out(desk, book, read, path)
        contents = stack.pages[0]
        app = BenchApp(
            stack,
            machine_time,
            palette=chosen.palette,
            plain_signs=plain_signs(chosen, environment, encoding),
            no_color="NO_COLOR" in environment,
            look=lambda: (
                desk.settings.palette,
                plain_signs(desk.settings, environment, encoding),
            ),
        )
        with WindowTitle(environment, book.title):
            app.run(mouse=False)
        fault = app.fault
    except Exception as error:  # noqa: BLE001  the last door: a person never sees a traceback
        fault = named_fault(error)
    finally:
        if isinstance(contents, ContentsPage):
            contents.close()
    return _complain((say("bench_fault", what=fault),)) if fault else DONE


def plain_signs(chosen: Settings, environment: Mapping[str, str], encoding: str) -> bool:
    """Whether to draw with plain signs only: as set, or where the terminal may not have others.

    Args:
        chosen: the settings.
        environment: variables of the environment; the language counts.
        encoding: of what the terminal is sent.
    """
    language = next((v for n in ("LC_ALL", "LC_CTYPE", "LANG") if (v := environment.get(n))), "")
    if chosen.ascii or language.lower().startswith(_AMBIGUOUS_WIDTH):
        return True
    try:
        "─│┬┴▼█±·".encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return True
    return False


def _complain(lines: tuple[str, ...]) -> int:
    for line in lines:
        sys.stderr.write("assaybench: " + line.replace("\n", " ") + "\n")
    return NOT_DONE
