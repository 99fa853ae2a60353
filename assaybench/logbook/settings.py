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
        text: of the file, each line ended by the one sign.
    """

    settings: Settings
    faults: tuple[str, ...]
    tree: Mapping[str, object]
    text: str = ""


def load(files: Files, path: Path) -> SettingsFile:
    """Read the settings; whatever stands in the file, there are settings to work with.

    Args:
        files: the disk.
        path: the file; a missing one gives the defaults.
    """
    try:
        return _read(files, path)
    except (BadInput, NotDone) as fault:
        lines = tuple(say("settings_defaults", why=line) for line in fault.lines)
        return SettingsFile(Settings(), lines, {})


def _read(files: Files, path: Path) -> SettingsFile:
    """The settings of a file.

    Raises:
        BadInput: when it is no TOML, and so on.
        NotDone: when it cannot be read.
    """
    data = read_all(files, path, LARGEST_BYTES)
    if data is None:
        return SettingsFile(Settings(), (), {})
    try:
        text = _text(data)
        return of_tree(_parsed(text))._replace(text=text)
    except BadInput as fault:
        raise fault.named(path.name) from fault


def _text(data: bytes) -> str:
    if len(data) > LARGEST_BYTES:
        raise BadInput.of("settings_large", most=LARGEST_BYTES)
    for number, line in enumerate(data.split(b"\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise BadInput.of("settings_line", line=number, most=LONGEST_LINE)
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as fault:
        raise BadInput.of("sheet_not_utf8", at=fault.start) from fault


def _parsed(text: str) -> dict[str, object]:
    try:
        return tomllib.loads(text)
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


def checked(name: str, given: object) -> object:
    """A setting as it would count, checked as it must be before it is stored.

    Args:
        name: of the setting.
        given: its value as it stands in the file; None leaves it to the program.

    Raises:
        BadInput: with a line for each fault, led by the name.
    """
    field = BY_NAME.get(name)
    if field is None:
        raise BadInput.of("setting_unknown", x=quoted(name), choices=", ".join(BY_NAME))
    if given is None:
        return field.default
    try:
        value = field.value(given)
    except BadInput as fault:
        raise fault.named(name) from fault
    if name == "keys" and isinstance(value, Mapping):
        from assaybench.logbook.settings_keys import keys_of

        refused = keys_of(value)[1]
        if refused:
            raise BadInput(refused).named(name)
    return value


def changeable(files: Files, path: Path) -> SettingsFile:
    """The settings as they stand before a change.

    Raises:
        BadInput: for a file that could not be read: it is not overwritten.
        NotDone: when the disk does not give it.
    """
    try:
        return _read(files, path)
    except BadInput as fault:
        kept = say("settings_unreadable", name=path.name)
        raise BadInput([*fault.lines, kept]) from fault


def save(files: Files, path: Path, changes: Mapping[str, object]) -> SettingsFile:
    """Change settings and write the file, in one step; what is not known here stays in it.

    The file is read anew: what another program changed meanwhile stays, too. So do comments. A file
    that lies elsewhere, behind a link, is written there: the link stays one.

    Args:
        files: the disk.
        path: the file.
        changes: new values as they stand in the file, by name; None leaves one to the program.

    Raises:
        BadInput: for a bad value, or a file that could not be read: it is not overwritten.
        NotDone: when the disk refuses; the old file is there then.
        Unconfirmed: when the new file is there but the disk did not confirm it.
    """
    from assaybench.logbook.settings_text import alike, rewritten

    read = changeable(files, path)
    for name, given in changes.items():
        checked(name, given)
    wanted = {**read.tree, **changes}
    tree = {name: given for name, given in wanted.items() if given is not None}
    if alike(tree, read.tree):
        return read
    text = rewritten(read.text, read.tree, tree)
    data = text.encode()
    try:
        _text(data)  # what could not be read again is not written
    except BadInput as fault:
        raise fault.named(path.name) from fault
    try:
        path = files.behind_links(path)
        files.make_folder(path.parent)
    except OSError as fault:
        why = disk_reason(fault)
        raise NotDone([say("file_not_changed", name=path.name, why=why)]) from fault
    replace(files, path, data, mark=str(os.getpid()))
    return of_tree(tree)._replace(text=text)
