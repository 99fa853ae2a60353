"""What the commands of the logbook share: their options, where it is, who writes, reading."""

import os
from collections.abc import Sequence
from typing import Any, NamedTuple

import click

from assaybench import PROGRAM
from assaybench.cli.options import Decorated, answered, once
from assaybench.logbook import settings
from assaybench.logbook.clock import machine_time
from assaybench.logbook.files import Files
from assaybench.logbook.folder import (
    Logbook,
    LogName,
    bench_name,
    log_name,
    practice_folder,
    settings_file,
    user_folder,
    where,
)
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.settings_fields import Settings
from assaybench.logbook.whole_log import ReadLog, is_there, read_whole, state_of
from assaybench.messages import BadInput, printable, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record import check
from assaybench.record.kinds import Key
from assaybench.record.register_kinds import Allotted

_NOBODY = "X"
_INITIALS = Key("by", "initials", "who makes the entry")


def in_logbook(function: Decorated) -> Decorated:
    """The options --logbook and --bench, and those of `answered`."""
    function = answered(function)
    function = once("--bench", metavar="NAME", help="Bench whose register counts.")(function)
    return once("--logbook", metavar="DIR", help="Folder of the logbook.")(function)


def by_option(function: Decorated) -> Decorated:
    """The option --by."""
    return once("--by", metavar="INITIALS", help="Initials of who makes the entry.")(function)


def reason_option(function: Decorated) -> Decorated:
    """The option --reason."""
    return once("--reason", metavar="TEXT", help="Why; it is kept and printed.")(function)


def words_of(
    words: Sequence[str], names: Sequence[str], *, more: str = ""
) -> tuple[list[str], list[str]]:
    """The named arguments of a command, and those behind them.

    Args:
        words: all arguments.
        names: what the first of them are.
        more: what may follow; empty when nothing may.

    Raises:
        BadInput: when one is missing, or one is too many.
    """
    accepted = say("arguments_are", x=" ".join([*names, more]).strip())
    if len(words) < len(names):
        raise BadInput.of("argument_missing", what=names[len(words)], accepted=accepted)
    rest = [*words[len(names) :]]
    if rest and not more:
        raise BadInput.of("argument_unexpected", x=quoted(rest[0]), accepted=accepted)
    return [*words[: len(names)]], rest


def reason_of(typed: dict[str, Any]) -> str:
    """The reason that was given.

    Raises:
        BadInput: when none was.
    """
    if typed["reason"] is None:
        accepted = say("reason_needed")
        raise BadInput.of("argument_missing", what="--reason", accepted=accepted)
    return text_of(typed, "reason")


def text_of(typed: dict[str, Any], name: str) -> str:
    """The text of an option, fit to be kept; empty where it is left out.

    Raises:
        BadInput: for a text that cannot be kept, led by the option.
    """
    if typed[name] is None:
        return ""
    try:
        return check.text(typed[name])
    except BadInput as fault:
        raise fault.named(f"--{name}") from fault


class Desk(NamedTuple):
    """Where a command works.

    Attributes:
        book: the logbook.
        bench: the bench that is meant when none is typed.
        files: the disk.
        initials: who writes when nobody says so, empty when the settings do not say.
        settings: the user's settings.
        practice: where practice logs are kept, like a logbook without registers.
    """

    book: Logbook
    bench: str
    files: Files
    initials: str
    settings: Settings
    practice: Logbook

    def book_of(self, name: LogName) -> Logbook:
        """The logbook of a log; practice logs stand outside it."""
        return self.practice if name.practice else self.book


def desk_of(typed: dict[str, Any]) -> Desk:
    """The logbook and bench of a command: by its options, the environment, the settings.

    Bad settings are told on the error stream; their defaults are used.

    Raises:
        BadInput: for a bench or a folder that cannot be one.
    """
    files = Files()
    read = settings.load(files, settings_file())
    for line in read.faults:
        click.echo(f"settings: {line}", err=True)
    given = typed["logbook"]
    root = where(given, os.environ, read.settings.logbook, user_folder)
    # an option that a script left empty does not mean another logbook, bench or person
    named = str(root) if given is None or given.strip() else given
    if "\0" in named or not named.strip():
        raise BadInput.of("file_unreadable", x=quoted(named), why=say("not_a_folder"))
    bench = read.settings.bench if typed["bench"] is None else bench_name(typed["bench"])
    practice = Logbook(practice_folder())
    return Desk(Logbook(root), bench, files, read.settings.initials, read.settings, practice)


def by_of(desk: Desk, typed: dict[str, Any], faults: list[str]) -> str:
    """Who writes: by --by, else by the settings; a line is added when that is nobody.

    Returns:
        The initials; with a fault, a letter that only lets the other checks go on.
    """
    by = desk.initials if typed["by"] is None else typed["by"]
    if typed["by"] is None and not by:
        faults.append(say("argument_missing", what="--by", accepted=say("initials_needed")))
        return _NOBODY
    try:
        return str(check.value(_INITIALS, by))
    except BadInput as fault:
        faults += fault.named("--by").lines
        return _NOBODY


def keeper_of(desk: Desk, typed: dict[str, Any]) -> Keeper:
    """Who writes, with the clock and the disk.

    Raises:
        BadInput: when nobody is named, or what is typed is not initials.
    """
    faults: list[str] = []
    by = by_of(desk, typed, faults)
    if faults:
        raise BadInput(faults)
    return Keeper(by, machine_time, desk.files, PROGRAM)


def no_book(desk: Desk) -> tuple[Flag, ...]:
    """That the folder of the logbook is not there: a wrong name would look like an empty logbook.

    Raises:
        NotDone: when the disk cannot say.
    """
    if is_there(desk.files, desk.book.root):
        return ()
    return (flag("logbook_gone", x=printable(str(desk.book.root))),)


def allotted(desk: Desk, name: LogName) -> Allotted | None:
    """What the register says of a number; None when it does not know it.

    Raises:
        NotDone: when the register cannot be read.
    """
    return state_of(desk.files, desk.book, name).numbers.get(name.number)


def read(desk: Desk, typed_name: str) -> ReadLog:
    """Read a log by its number; nothing is locked or changed.

    Raises:
        BadInput: when there is no such log.
        NotDone: when it cannot be read.
    """
    name = log_name(typed_name, desk.bench)
    return read_whole(desk.files, desk.book_of(name), name)
