"""`assaybench signers`: whose keys sign here: list, make, name, retire, give up."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, NamedTuple

import click

from assaybench.cli.logbooks import (
    Desk,
    by_option,
    desk_of,
    in_logbook,
    keeper_of,
    no_book,
    reason_of,
    reason_option,
    words_of,
)
from assaybench.cli.options import emit, once, shape_of
from assaybench.cli.secrets import key_options, key_path, new_passphrase_of, path_of
from assaybench.logbook.allowed_signers import LARGEST_SIGNERS, principal_of, read_signers
from assaybench.logbook.faults import NotDone
from assaybench.logbook.keys import make_key, must_be_free, public_of, public_path, read_public
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.settings_fields import FINGERPRINT
from assaybench.logbook.signers import (
    Change,
    Known,
    add_signer,
    compromised_signer,
    events_of,
    known_signers,
    named_file,
    retire_signer,
    since_of,
)
from assaybench.logbook.store import read_all
from assaybench.messages import BadInput, printable, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record import check
from assaybench.report.answer import Answer, Section

_USAGE = "list | new | add FILE.pub | retire FINGERPRINT | compromised FINGERPRINT"


class Action(NamedTuple):
    """One thing the command does.

    Attributes:
        run: does it, from the words behind its own and the options.
        words: names of those words.
        options: which of the options that only some actions take go with it.
    """

    run: Callable[[list[str], dict[str, Any]], Answer]
    words: tuple[str, ...]
    options: frozenset[str]


@click.command(name="signers")
@click.argument("words", nargs=-1, metavar=f"[{_USAGE}]")
@once("--name", metavar="TEXT", help="Printed name of the signer.")
@once("--since", metavar="DATE", help="From when on others may have used the key.")
@reason_option
@key_options
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Whose keys sign in this logbook.

    new makes a signing key, shut with a passphrase, and names it; add names a key that is there.
    retire: it is used no more from now on. compromised: others may have used it since DATE.
    """
    words = list(typed["words"]) or ["list"]
    action = ACTIONS.get(words[0])
    if action is None:
        raise BadInput.of("choice_unknown", x=quoted(words[0]), what="signers", choices=_USAGE)
    rest, _ = words_of(words[1:], action.words)
    for name in ("name", "since", "reason", "key", "passphrase_file", "passphrase_fd"):
        if typed[name] is not None and name not in action.options:
            option = f"--{name.replace('_', '-')}"
            raise BadInput.of("option_unfit", x=option, what=f"signers {words[0]}")
    shape = shape_of(typed)
    emit(action.run(rest, typed), shape)


def _list(_words: list[str], typed: dict[str, Any]) -> Answer:
    desk = desk_of(typed)
    signers, faults = known_signers(events_of(desk.book, desk.files))
    flags = [flag("signer_register", why=line) for line in faults]
    stood = read_all(desk.files, desk.book.allowed_signers, LARGEST_SIGNERS)
    if not signers:
        flags.append(flag("signers_none"))
    if (stood or b"") != (named_file(signers) if signers else b""):
        flags.append(flag("signers_differ"))
    flags += [flag("signers_file", why=line) for line in read_signers(stood or b"")[1]]
    flags += no_book(desk)
    return _answer({"signers": "list"}, signers, flags, (_own_key(desk, typed),))


def _own_key(desk: Desk, typed: dict[str, Any]) -> tuple[str, str]:
    """The key that this user signs with, as far as it can be seen without a passphrase."""
    path = key_path(typed, desk.settings)
    try:
        return ("your key", public_of(desk.files, path).fingerprint)
    except NotDone as fault:
        return ("your key", fault.lines[0])


def _new(_words: list[str], typed: dict[str, Any]) -> Answer:
    desk, keeper, name = _named(typed)
    passphrase, path = new_passphrase_of(typed), key_path(typed, desk.settings)
    if path.suffix == ".pub":
        raise BadInput.of("key_new_pub", x=quoted(path.name))
    must_be_free(desk.files, path)
    secret = passphrase()
    desk.book.make(desk.files)
    key = make_key(desk.files, path, secret, principal_of(name))
    try:
        change = add_signer(desk.book, desk.bench, keeper, key, name)
    except (NotDone, BadInput) as fault:
        line = say("key_not_named", name=public_path(path).name)
        raise NotDone([*fault.lines, line]) from fault
    return _changed("new", change, (("key file", printable(str(path))),))


def _add(words: list[str], typed: dict[str, Any]) -> Answer:
    desk, keeper, name = _named(typed)
    key = read_public(desk.files, path_of(words[0], "FILE.pub"))
    desk.book.make(desk.files)
    return _changed("add", add_signer(desk.book, desk.bench, keeper, key, name))


def _retire(words: list[str], typed: dict[str, Any]) -> Answer:
    fingerprint = _fingerprint(words[0])
    reason = reason_of(typed) if typed["reason"] is not None else ""
    desk = desk_of(typed)
    keeper = keeper_of(desk, typed)
    return _changed("retire", retire_signer(desk.book, desk.bench, keeper, fingerprint, reason))


def _compromised(words: list[str], typed: dict[str, Any]) -> Answer:
    fingerprint, reason = _fingerprint(words[0]), reason_of(typed)
    since = _since(typed["since"])
    desk = desk_of(typed)
    keeper = keeper_of(desk, typed)
    change = compromised_signer(desk.book, desk.bench, keeper, fingerprint, since, reason)
    return _changed("compromised", change)


ACTIONS = {
    "list": Action(_list, (), frozenset({"key"})),
    "new": Action(_new, (), frozenset({"name", "key", "passphrase_file", "passphrase_fd"})),
    "add": Action(_add, ("FILE.pub",), frozenset({"name"})),
    "retire": Action(_retire, ("FINGERPRINT",), frozenset({"reason"})),
    "compromised": Action(_compromised, ("FINGERPRINT",), frozenset({"reason", "since"})),
}


def _named(typed: dict[str, Any]) -> tuple[Desk, Keeper, str]:
    """Where, who writes, and the printed name of the signer: by --name, else by the settings."""
    desk = desk_of(typed)
    keeper = keeper_of(desk, typed)
    name = typed["name"]
    if name is None:
        return desk, keeper, desk.settings.people.get(keeper.by, keeper.by)
    try:
        return desk, keeper, check.text(name)
    except BadInput as fault:
        raise fault.named("--name") from fault


def _fingerprint(text: str) -> str:
    if not FINGERPRINT.fullmatch(text):
        raise BadInput.of("setting_fingerprint", x=quoted(text))
    return text


def _since(text: str | None) -> datetime:
    if text is None:
        accepted = say("since_needed")
        raise BadInput.of("argument_missing", what="--since", accepted=accepted)
    try:
        return since_of(text)
    except BadInput as fault:
        raise fault.named("--since") from fault


def _changed(what: str, change: Change, rows: tuple[tuple[str, str], ...] = ()) -> Answer:
    flags = [flag("signers_line_lost", x=line) for line in change.lost]
    if not change.changed:
        flags.append(flag("signer_as_before"))
    if what == "new":
        flags.append(flag("key_keep"))
    return _answer({"signers": what, "changed": change.changed}, [change.signer], flags, rows)


def _answer(
    inputs: dict[str, object],
    signers: list[Known],
    flags: list[Flag],
    rows: tuple[tuple[str, str], ...] = (),
) -> Answer:
    return Answer(
        command="signers",
        inputs=inputs,
        figures={},
        rows=rows,
        sections=tuple(_section(signer) for signer in signers),
        flags=tuple(flags),
        records={"signers": [_record(signer) for signer in signers]},
    )


def _section(signer: Known) -> Section:
    rows = [("key", signer.key.fingerprint)]
    rows.append(("named", f"{signer.added.date().isoformat()} by {signer.by}"))
    if signer.since is not None:
        word = "retired" if signer.event == "retired" else "not to be trusted since"
        rows.append((word, signer.since.isoformat(timespec="minutes")))
    if signer.reason:
        rows.append((f"reason: {signer.reason}", ""))
    title = signer.name or signer.by
    return Section(f"{title} ({signer.principal})", tuple(rows))


def _record(signer: Known) -> dict[str, object]:
    return {
        "id": signer.key.fingerprint,
        "principal": signer.principal,
        "name": signer.name,
        "key": signer.key.line,
        "event": signer.event,
        "named": signer.added.isoformat(),
        "by": signer.by,
        "since": signer.since.isoformat() if signer.since is not None else None,
        "reason": signer.reason,
    }
