"""Passphrases and signing keys of commands: from a terminal, a file or a descriptor.

Never from an argument or a variable of the environment, which other programs can read; never shown.
"""

import os
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import click

from assaybench.cli.options import Decorated, is_terminal, once
from assaybench.logbook.faults import NotDone, disk_reason
from assaybench.logbook.files import Files
from assaybench.logbook.keys import Signer, default_key_file, open_signer, warnings
from assaybench.logbook.settings_fields import Settings
from assaybench.logbook.store import read_all
from assaybench.messages import BadInput, quoted, say

_LONGEST_LINE = 4_096
_LARGEST_DESCRIPTOR = 1_000_000
Passphrase = Callable[[], bytes]


def key_options(function: Decorated) -> Decorated:
    """The options --key, --passphrase-file and --passphrase-fd."""
    for name, what, text in (
        ("--passphrase-fd", "N", "Descriptor whose first line is the passphrase."),
        ("--passphrase-file", "FILE", "File whose first line is the passphrase."),
        ("--key", "FILE", "Signing key; a .pub file for one in an agent or a token."),
    ):
        function = once(name, metavar=what, help=text)(function)
    return function


def key_path(typed: dict[str, Any], settings: Settings) -> Path:
    """The file of the signing key: by --key, else by the settings, else the usual one.

    Raises:
        BadInput: for what cannot be the name of a file.
    """
    text = typed["key"] if typed["key"] is not None else settings.signing_key
    if not text and typed["key"] is None:
        return default_key_file()
    return path_of(text, "--key" if typed["key"] is not None else "signing_key")


def path_of(text: str, place: str) -> Path:
    """The path of a file that was typed.

    Raises:
        BadInput: for what cannot be the name of a file.
    """
    if not text.strip() or "\0" in text:
        raise BadInput.of("file_unreadable", x=quoted(text), why=say("not_a_file")).named(place)
    with suppress(RuntimeError):
        return Path(text).expanduser().absolute()
    return Path(text).absolute()


def signer_of(typed: dict[str, Any], settings: Settings, files: Files | None = None) -> Signer:
    """The signer that the options of `key_options` and the settings name.

    That others can read a key file is told on the error stream.

    Args:
        typed: the options.
        settings: the user's settings.
        files: the disk.

    Raises:
        BadInput: for options that cannot be.
        NotDone: when the key or its passphrase is not there, or not the right one.
    """
    files = files or Files()
    passphrase, path = passphrase_of(typed), key_path(typed, settings)
    tell(files, path, "key")
    return open_signer(files, path, passphrase)


def tell(files: Files, path: Path, place: str) -> None:
    """Say on the error stream when others can read a file that holds a secret."""
    for line in warnings(files, path):
        click.echo(f"{place}: {line}", err=True)


def passphrase_of(typed: dict[str, Any]) -> Passphrase:
    """What gives the passphrase when it is needed: from a file, a descriptor, or a person.

    Raises:
        BadInput: for options that cannot be; nothing was asked or read yet.
    """
    return _given(typed) or (lambda: _asked("passphrase_ask"))


def new_passphrase_of(typed: dict[str, Any]) -> Passphrase:
    """As `passphrase_of`, for a key that is to be made: a person types it twice.

    Raises:
        BadInput: for options that cannot be.
    """
    return _given(typed) or _asked_twice


def _given(typed: dict[str, Any]) -> Passphrase | None:
    file, descriptor = typed["passphrase_file"], typed["passphrase_fd"]
    if file is not None and descriptor is not None:
        fields = {"option": "--passphrase-file", "other": "--passphrase-fd"}
        raise BadInput.of("option_excludes", **fields)
    if file is not None:
        path = path_of(file, "--passphrase-file")
        return lambda: _of_file(path)
    if descriptor is None:
        return None
    if not (descriptor.isascii() and descriptor.isdigit()) or len(descriptor) > 6:
        fields = {"x": quoted(descriptor), "least": "0", "most": str(_LARGEST_DESCRIPTOR - 1)}
        raise BadInput.of("number_not_whole", **fields).named("--passphrase-fd")
    number = int(descriptor)
    return lambda: _of_descriptor(number)


def _of_file(path: Path) -> bytes:
    files = Files()
    tell(files, path, "--passphrase-file")
    data = read_all(files, path, _LONGEST_LINE)
    if data is None:
        raise NotDone([say("not_read", name=path.name, why=say("file_gone"))])
    return _first_line(data, path.name)


def _of_descriptor(number: int) -> bytes:
    name = f"--passphrase-fd {number}"
    data = b""
    try:
        while b"\n" not in data and len(data) <= _LONGEST_LINE:
            part = os.read(number, _LONGEST_LINE)
            if not part:
                break
            data += part
    except OSError as fault:
        raise NotDone([say("not_read", name=name, why=disk_reason(fault))]) from fault
    return _first_line(data, name)


def _first_line(data: bytes, name: str) -> bytes:
    line = data.partition(b"\n")[0].removesuffix(b"\r")
    if not line or len(line) > _LONGEST_LINE or b"\0" in line:
        raise NotDone([say("passphrase_none", name=name, most=_LONGEST_LINE)])
    return line


def _asked(code: str) -> bytes:
    """What a person types at the terminal, unseen."""
    import getpass

    if not is_terminal(sys.stdin):
        raise NotDone([say("passphrase_no_terminal")])
    try:
        return getpass.getpass(f"{say(code)} ").encode()
    except EOFError as fault:
        raise NotDone([say("passphrase_no_terminal")]) from fault
    except UnicodeEncodeError as fault:
        raise NotDone([say("passphrase_signs")]) from fault


def _asked_twice() -> bytes:
    first = _asked("passphrase_ask_new")
    if first != _asked("passphrase_ask_again"):
        raise NotDone([say("passphrase_differs")])
    return first
