"""The pages laid out: the contents on the desk, and every way that leads from them.

A page is loaded when it is opened first: the contents are painted sooner.
"""

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from assaybench.bench.actions import Keymap, keymap
from assaybench.bench.book_ways import BookWays
from assaybench.bench.desk import Desk
from assaybench.bench.open_logs import FURNACE_RUN
from assaybench.bench.page import Page
from assaybench.bench.pages.beginning import Keep
from assaybench.bench.pages.contents import ContentsPage, Door
from assaybench.bench.stack import Idle, Stack
from assaybench.logbook import settings
from assaybench.logbook.settings import SettingsFile
from assaybench.logbook.settings_keys import shown

if TYPE_CHECKING:
    from assaybench.bench.run_log import RunLog


class Book(NamedTuple):
    """What the bench is opened on.

    Attributes:
        root: folder of the logbook.
        title: the left end of the running head of the contents.
        practice: folder of practice logs; None for the usual one.
        keeps: whether settings that are changed are kept for the user.
        cache: folder of the indexes; None for the usual one.
        key_file: the signing key when the settings name none; None for the usual one.
    """

    root: Path
    title: str = "AssayBench"
    practice: Path | None = None
    keeps: bool = True
    cache: Path | None = None
    key_file: Path | None = None


def laid_out(desk: Desk, book: Book, read: SettingsFile, path: Path) -> Stack:
    """The contents on the desk, with all ways from there.

    Args:
        desk: what the bench works with.
        book: what it is opened on.
        read: the settings as they were read.
        path: the file of the settings.
    """
    keys = keymap(desk.settings.keys)

    def keep(changes: Mapping[str, object]) -> None:
        if book.keeps:
            settings.save(desk.files, path, changes)

    def fresh() -> None:
        # a table is written whole: what a command put into it meanwhile would be lost
        now = settings.load(desk.files, path)
        if book.keeps and now.tree and not now.faults:
            desk.settings = now.settings

    def settings_page() -> Page:
        fresh()
        return _settings(desk, keep, book.title, fresh)

    ways = BookWays(
        desk,
        book.title,
        lambda name: contents.tray_of(name),  # noqa: PLW0108  the contents are made below
        lambda run: _caught(run) if run.state.of("circuit") else _results(run, keys),
        _sealing,
    )
    doors = {
        "settings": Door(settings_page),
        "logbook": Door(ways.page, lambda: ways.text(contents.logs)),
        "heaps": Door(lambda: _heaps(desk, book.title)),
        "compare": Door(lambda: _two(desk, book.title)),
    }
    contents = ContentsPage(
        desk,
        lambda run: _first(run, keys),
        doors,
        balances=_balances,
        guided=_guided,
        seal=_sealing,
        keep=keep,
        key_of=lambda action: shown(keys.keys[action]),
        title=book.title,
        later=True,
        notes=(*read.faults, *keys.faults),
    )
    return Stack(
        contents,
        keys,
        {
            "help": lambda stack: _help(stack, contents),
            "index": lambda stack: _index(stack, contents, ways),
            "initials": lambda stack: _next_person(desk, stack, contents),
            "join": lambda stack: _initials(desk, stack),
        },
        Idle(lambda: desk.settings.idle_minutes, lambda stack, now: _idle(stack, contents, now)),
        lambda now: _rings(contents, now),
    )


def _first(run: "RunLog", keys: Keymap) -> Page:
    """The page a log is opened at: the tray of a furnace run, the products of a circuit test."""
    if run.kind == FURNACE_RUN:
        return _tray(run, keys)
    from assaybench.bench.pages.circuit import CircuitPage

    return CircuitPage(run, circuit_doors(keys))


def circuit_doors(keys: Keymap) -> dict[str, Callable[["RunLog"], Page]]:
    """The pages that the products of a circuit test lead to, by their action."""
    return {
        "tray": lambda run: _tray(run, keys),
        "results": _caught,
        "guide": _guided,
        "seal": _sealing,
        "balances": _balances,
    }


def _caught(run: "RunLog") -> Page:
    from assaybench.bench.pages.caught import CaughtPage

    return CaughtPage(run)


def _heaps(desk: Desk, left: str) -> Page:
    from assaybench.bench.pages.heaps_page import HeapsPage

    return HeapsPage(desk, left)


def _two(desk: Desk, left: str) -> Page:
    from assaybench.bench.pages.form_page import FormPage
    from assaybench.bench.pages.runs import RunsForm
    from assaybench.bench.pages.two_figures import TwoForm

    return FormPage(desk, left, TwoForm(lambda: FormPage(desk, left, RunsForm())))


def _guided(run: "RunLog") -> Page:
    from assaybench.bench.pages.guided import GuidedPage

    return GuidedPage(run)


def _tray(run: "RunLog", keys: Keymap) -> Page:
    from assaybench.bench.pages.tray import TrayPage

    doors = {"results": lambda run: _results(run, keys), "seal": _sealing}
    return TrayPage(run, doors, keys)


def _results(run: "RunLog", keys: Keymap) -> Page:
    from assaybench.bench.pages.results import ResultsPage

    return ResultsPage(run, keys)


def _sealing(run: "RunLog") -> Page:
    from assaybench.bench.pages.sealing import SealingPage

    return SealingPage(run)


def _balances(run: "RunLog") -> Page:
    from assaybench.bench.pages.balances import BalancesPage

    return BalancesPage(run)


def _settings(desk: Desk, keep: Keep, left: str, fresh: Callable[[], None]) -> Page:
    from assaybench.bench.pages.settings_page import SettingsPage

    return SettingsPage(desk, keep, left, lambda: _signing_keys(desk, keep, left), fresh=fresh)


def _signing_keys(desk: Desk, keep: Keep, left: str) -> Page:
    from assaybench.bench.pages.signing_keys import SigningKeysPage

    return SigningKeysPage(desk, keep, left)


def _idle(stack: Stack, contents: ContentsPage, now: datetime) -> Page:
    from assaybench.bench.pages.idle import IdlePage

    return IdlePage(stack.top, contents.run, now)


def _rings(contents: ContentsPage, now: datetime) -> str:
    """That the timer of the run that is open rings, once, whatever page is in sight; else empty."""
    if contents.run is None:
        return ""
    from assaybench.bench.timer import Timer

    timer = Timer(contents.run)
    return timer.due(now) if timer.rings(now) else ""


def _next_person(desk: Desk, stack: Stack, contents: ContentsPage) -> Page | None:
    """The next person goes on, on the page in sight; nobody else known, initials are asked for."""
    from assaybench.bench.people import switched

    told = switched(desk, stack.keys, contents.run.entries if contents.run is not None else ())
    stack.tell(told)
    return None if told else _initials(desk, stack)


def _initials(desk: Desk, stack: Stack) -> Page:
    from assaybench.bench.pages.initials import InitialsPage

    return InitialsPage(desk, stack.sheet.left)


def _help(stack: Stack, contents: ContentsPage) -> Page:
    from assaybench.bench.pages.help import HelpPage

    top = stack.top
    return HelpPage(stack.sheet, top.name, stack.keys, _exists(stack, contents))


def _exists(stack: Stack, contents: ContentsPage) -> Callable[[str], bool]:
    """Whether an action leads anywhere: of the page in sight, of every page, or of the contents."""
    pages = ["*"] if stack.top is contents else ["*", stack.top.name]
    known = {action.does for page in pages for action in stack.keys.of_page(page)}
    return lambda action: action in known or contents.goes(action)


def _index(stack: Stack, contents: ContentsPage, ways: BookWays) -> Page:
    from assaybench.bench.log_finder import LogFinder
    from assaybench.bench.pages.index import IndexPage, Logs, actions_of

    names = list(dict.fromkeys([stack.top.name, contents.name]))
    actions = actions_of(stack.keys, names, _exists(stack, contents))
    finds = [*contents.finds(), *actions]
    known = frozenset(log.name for log in contents.logs.all_work)
    logs = Logs(LogFinder(contents.desk), known, ways.log)
    return IndexPage(finds, stack.sheet.left, logs)
