"""`assaybench settings`: the settings of this user, shown and changed; twin of their page."""

import os
from collections.abc import Mapping
from typing import Any

import click

from assaybench.cli.options import Faults, answered, emit, shape_of
from assaybench.cli.secrets import key_path
from assaybench.logbook import keys
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import VARIABLE, settings_file
from assaybench.logbook.settings import SettingsFile, changeable, checked, load, save
from assaybench.logbook.settings_fields import BY_NAME, FIELDS, Field, Tray
from assaybench.logbook.settings_keys import ACTIONS, Action, keys_of
from assaybench.logbook.settings_keys import shown as shown_key
from assaybench.logbook.settings_typed import ROWS, accepted, change_of, changed, shown
from assaybench.messages import BadInput, printable, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.report.answer import Answer, Section

NOT_GOOD = 1
FILE, DEFAULT = "file", "default"


@click.command(name="settings")
@click.argument("words", nargs=-1, metavar="[KEY… | KEY=VALUE…]")
@answered
def command(**typed: Any) -> int:
    """Your settings: all of them, some by their names, or changed by KEY=VALUE.

    KEY=- leaves one to the program again. Tables and lists are changed line by line, or as a whole.
    With one bad value nothing is written. Without KEY=VALUE, exit status 1 when the file holds a
    setting that does not count.

    \b
    assaybench settings aim=2% "tray=5 x 8" initials=-
    assaybench settings "people.KB=K. Berg" people.AM=- keys.lost=w
    assaybench settings trusted+=SHA256:… trusted-=SHA256:…
    """  # noqa: D301  click's own mark for lines that it must not fold
    words, shape = [*typed["words"]], shape_of(typed)
    files, path = Files(), settings_file()
    if not any("=" in word for word in words):
        names = _names(words)
        read = load(files, path)
        emit(answer(read, names, _told(read, names, files), asked=bool(words)), shape)
        return NOT_GOOD if _faults(read) else 0
    before = changeable(files, path)
    changes = changes_of(before, words)
    read = save(files, path, changes)
    done = "settings_same" if read.text == before.text else "settings_stored"
    flags = [flag(done, name=path.name, list=", ".join(changes))]
    if done == "settings_stored":
        flags.append(flag("setting_counts_later"))
    names = tuple(changes)
    emit(answer(read, names, [*flags, *_told(read, names, files)], changed=names), shape)
    return 0


def _names(words: list[str]) -> tuple[str, ...]:
    """The settings that are asked for; all when none is named."""
    faults = Faults()
    for word in words:
        if word not in BY_NAME:
            choices = ", ".join(BY_NAME)
            faults.add("", BadInput.of("setting_unknown", x=quoted(word), choices=choices))
    faults.done()
    return tuple(dict.fromkeys(words)) or tuple(BY_NAME)


def changes_of(read: SettingsFile, words: list[str]) -> dict[str, object]:
    """What the words change, by the names of the settings.

    Args:
        read: the settings before.
        words: `KEY=VALUE` each.

    Raises:
        BadInput: one line for each fault of any of them.
    """
    faults, tree, places = Faults(), dict(read.tree), set[str]()
    changes: dict[str, object] = {}
    for word in words:
        change = faults.take("", change_of, word)
        if change is None:
            continue
        if change.place in places and not change.sign:
            faults.add(change.place, BadInput.of("pair_twice"))
            continue
        places.add(change.place)
        try:
            tree[change.name] = changes[change.name] = changed(tree, change)
        except BadInput as fault:
            faults.add(change.place, fault)
    for name, given in changes.items():
        faults.take("", checked, name, given)
    faults.done()
    return changes


def _faults(read: SettingsFile) -> tuple[str, ...]:
    """One line for each setting of the file that does not count, keys of actions with them."""
    refused = keys_of(read.settings.keys)[1]
    return (*read.faults, *(say("setting_bad", x="keys", why=line) for line in refused))


def _told(read: SettingsFile, names: tuple[str, ...], files: Files) -> list[Flag]:
    """What is to be known of these settings."""
    flags = [Flag("setting_bad", line) for line in _faults(read)]
    elsewhere = os.environ.get(VARIABLE)
    if "logbook" in names and elsewhere:
        flags.append(flag("setting_elsewhere", variable=VARIABLE, x=printable(elsewhere)))
    if "signing_key" in names and read.settings.signing_key:
        try:
            keys.public_of(files, key_path({"key": None}, read.settings))
        except NotDone as fault:
            flags += [Flag("signing_key", line) for line in fault.lines]
    return flags


def _source(read: SettingsFile, field: Field) -> str:
    """Where the value that counts comes from."""
    try:
        found = field.value(read.tree[field.name])
    except (KeyError, BadInput):
        return DEFAULT
    return DEFAULT if found == field.default == "" else FILE


def answer(
    read: SettingsFile,
    names: tuple[str, ...],
    flags: list[Flag],
    *,
    asked: bool = False,
    changed: tuple[str, ...] = (),
) -> Answer:
    """The answer of `settings`.

    Args:
        read: the settings.
        names: which are shown.
        flags: what is to be known of them.
        asked: whether they were asked for by name: then what can be typed is told, too.
        changed: what was changed.
    """
    fields = [field for field in FIELDS if field.name in names]
    rows = [(f.name, f"{shown(f, _value(read, f))} ({_source(read, f)})") for f in fields]
    sections = [s for field in fields if (s := _lines(read, field)).rows]
    if asked and "keys" in names:
        can_change = tuple((f"{a.id}: {a.help}", key) for a, key in _actions(read))
        sections.append(Section(say("settings_actions"), can_change))
    if not changed:
        sections.append(Section(say("settings_help"), tuple((f.name, f.help) for f in fields)))
    if asked:
        can = tuple((f.name, accepted(f)) for f in fields)
        sections.append(Section(say("settings_accepted"), can))
    return Answer(
        command="settings",
        inputs={"settings": list(names), "changed": list(changed)},
        figures={},
        rows=(*(() if asked or changed else (("file", printable(str(settings_file()))),)), *rows),
        sections=tuple(sections),
        flags=tuple(flags),
        records={
            "settings": [_record(read, field) for field in fields],
            "actions": [{"id": a.id, "key": key, "help": a.help} for a, key in _actions(read)],
        },
    )


def _value(read: SettingsFile, field: Field) -> object:
    value: object = getattr(read.settings, field.name)
    return value


def _lines(read: SettingsFile, field: Field) -> Section:
    """The lines of a table or a list."""
    value = _value(read, field) if field.type in ROWS else ()
    if isinstance(value, dict):
        return Section(field.name, tuple((str(k), str(v)) for k, v in value.items()))
    return Section(
        field.name, tuple((str(one), "") for one in value) if isinstance(value, tuple) else ()
    )


def _actions(read: SettingsFile) -> list[tuple[Action, str]]:
    """The actions that can have another key, each with the one that it has."""
    taken = keys_of(read.settings.keys)[0]
    bare = (action for action in ACTIONS if action.id == action.does)
    return [(a, shown_key(taken[a.id])) for a in bare if len(taken[a.id]) == 1]


def _record(read: SettingsFile, field: Field) -> dict[str, object]:
    return {
        "id": field.name,
        "value": _plain(_value(read, field)),
        "from": _source(read, field),
        "default": _plain(field.default),
        "type": field.type,
        "accepted": accepted(field),
        "help": field.help,
    }


def _plain(value: object) -> object:
    """A value as JSON has it."""
    if isinstance(value, Mapping):
        return dict(value)
    if isinstance(value, tuple):
        return str(value) if isinstance(value, Tray) else list(value)
    return value
