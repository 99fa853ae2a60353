"""The settings of one user: one small TOML file, each field in the table of `settings_fields`.

A bad setting is told in one line and its default is used: a slip in this file never keeps anybody
from weighing. What a newer program wrote is kept when the file is written again.
"""

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from assaybench.logbook.faults import NotDone, disk_reason
from assaybench.logbook.files import Files
from assaybench.logbook.settings_fields import BY_NAME, Settings
from assaybench.logbook.store import read_all, replace
from assaybench.messages import BadInput, printable, quoted, say

LARGEST_BYTES = 64_000
MOST_REASON = 200
"""Signs of what the TOML parser says; the line and column stand at its end."""
LONGEST_LINE = 1_000
"""In bytes. The TOML parser's time grows with the square of a dotted key; keys are on one line."""


class SettingsFile(NamedTuple):
    """The settings as they were read.

    Attributes:
        settings: what counts.
        faults: one line for each bad setting, led by its name.
        tree: everything the file holds, also what is not known here.
        readable: whether the file could be read as TOML, or there is none.
    """

    settings: Settings
    faults: tuple[str, ...]
    tree: Mapping[str, object]
    readable: bool = True


def load(files: Files, path: Path) -> SettingsFile:
    """Read the settings; whatever stands in the file, there are settings to work with.

    Args:
        files: the disk.
        path: the file; a missing one gives the defaults.
    """
    try:
        data = read_all(files, path, LARGEST_BYTES)
    except NotDone as fault:
        return _defaults(fault.lines)
    if data is None:
        return SettingsFile(Settings(), (), {})
    try:
        return of_tree(_parsed(data))
    except BadInput as fault:
        return _defaults(fault.named(path.name).lines)


def _defaults(faults: tuple[str, ...]) -> SettingsFile:
    lines = tuple(say("settings_defaults", why=line) for line in faults)
    return SettingsFile(Settings(), lines, {}, readable=False)


def _parsed(data: bytes) -> dict[str, object]:
    if len(data) > LARGEST_BYTES:
        raise BadInput.of("settings_large", most=LARGEST_BYTES)
    for number, line in enumerate(data.split(b"\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise BadInput.of("settings_line", line=number, most=LONGEST_LINE)
    try:
        return tomllib.loads(data.decode("utf-8-sig").replace("\r\n", "\n"))
    except UnicodeDecodeError as fault:
        raise BadInput.of("sheet_not_utf8", at=fault.start) from fault
    except tomllib.TOMLDecodeError as fault:
        why = printable(str(fault))[:MOST_REASON]
        raise BadInput.of("sheet_not_toml", why=why) from fault
    except (RecursionError, ValueError) as fault:
        # tomllib lets deep brackets and giant numbers through to the interpreter's own limits
        raise BadInput.of("sheet_not_toml", why="nested too deep or a number too long") from fault


def of_tree(tree: Mapping[str, object]) -> SettingsFile:
    """The settings of a parsed file; bad ones have their defaults and a line each."""
    found: dict[str, Any] = {}
    faults: list[str] = []
    for name, given in tree.items():
        field = BY_NAME.get(name)
        if field is None:
            choices = ", ".join(BY_NAME)
            faults.append(say("setting_unknown", x=quoted(name), choices=choices))
            continue
        try:
            found[name] = field.value(given)
        except BadInput as fault:
            faults += [say("setting_bad", x=name, why=line) for line in fault.lines]
    return SettingsFile(Settings()._replace(**found), tuple(faults), tree)


def save(files: Files, path: Path, read: SettingsFile, changes: Mapping[str, object]) -> Settings:
    """Change settings and write the file, in one step; what is not known here stays in it.

    Args:
        files: the disk.
        path: the file.
        read: what was read from it before.
        changes: new values as they stand in the file, by name.

    Raises:
        BadInput: for a bad value, or a file that could not be read: it is not overwritten.
        NotDone: when the disk refuses; the old file is there then.
        Unconfirmed: when the new file is there but the disk did not confirm it.
    """
    import tomli_w

    if not read.readable:
        raise BadInput.of("settings_unreadable", name=path.name)
    for name, given in changes.items():
        if name not in BY_NAME:
            raise BadInput.of("setting_unknown", x=quoted(name), choices=", ".join(BY_NAME))
        try:
            BY_NAME[name].value(given)
        except BadInput as fault:
            raise fault.named(name) from fault
    tree = {**read.tree, **changes}
    try:
        files.make_folder(path.parent)
    except OSError as fault:
        why = disk_reason(fault)
        raise NotDone([say("file_not_changed", name=path.name, why=why)]) from fault
    replace(files, path, tomli_w.dumps(tree).encode(), mark=str(os.getpid()))
    return of_tree(tree).settings
