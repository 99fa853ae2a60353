"""The file `allowed_signers`: which keys are named, for what, and until when.

Source: OpenSSH, ssh-keygen(1), "ALLOWED SIGNERS". A line holds who, options, the key and any
comment. Patterns, lists of names, negations and certificate authorities are refused: a key stands
for one signer here. One bad line is told and does not count; the others do. What stands in it is
never told: the file may be another one, with secrets in it.
"""

import re
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import NamedTuple

from assaybench.logbook.sshkeys import NotValid, PublicKey, of_line
from assaybench.logbook.sshsig import NAMESPACES
from assaybench.messages import say

LARGEST_SIGNERS = 1_000_000
_LONGEST_LINE = 8_000
_MOST_FAULTS = 100
_KNOWN = ("namespaces", "valid-after", "valid-before")
_PRINCIPAL = re.compile(r"[A-Za-z0-9._@-]{1,100}")
_OPTION = re.compile(r'([a-z-]+)(?:="([^"]*)")?')
_NAMESPACE = re.compile(r"[A-Za-z0-9._@-]{1,100}")
_TIME = re.compile(r"([0-9]{8}|[0-9]{12}|[0-9]{14})(Z?)")
_FORMS = {8: "%Y%m%d", 12: "%Y%m%d%H%M", 14: "%Y%m%d%H%M%S"}
_HEAD = (
    "# Keys that this logbook names, one a line. The program writes it anew from the registers:\n"
    "# what is written in by hand is lost. Times are UTC. See HOW-TO-CHECK.txt.\n"
)


class Listed(NamedTuple):
    """A key that is named.

    Attributes:
        principal: who, as the file names him.
        key: his public key.
        namespaces: what it may sign; empty for everything.
        after: from when on, None for always.
        before: until when, None for ever.
        line: number of the line.
    """

    principal: str
    key: PublicKey
    namespaces: tuple[str, ...]
    after: datetime | None
    before: datetime | None
    line: int


def read_signers(data: bytes) -> tuple[list[Listed], list[str]]:
    """The keys that a file names, and one line for each line of it that does not count.

    Args:
        data: the whole file.
    """
    if len(data) > LARGEST_SIGNERS:
        return [], [say("signers_large", most=LARGEST_SIGNERS)]
    found: list[Listed] = []
    faults: list[str] = []
    for number, line in enumerate(data.split(b"\n"), start=1):
        try:
            text = _text(line)
            if text and not text.startswith("#"):
                found.append(_listed(text, number))
        except NotValid as fault:
            faults.append(say("signers_at_line", n=number, why=fault.line))
    if len(faults) > _MOST_FAULTS:
        more = say("signers_more", n=len(faults) - _MOST_FAULTS)
        faults = [*faults[:_MOST_FAULTS], more]
    return found, faults


def _text(line: bytes) -> str:
    if len(line) > _LONGEST_LINE:
        raise NotValid("signers_long", most=_LONGEST_LINE)
    try:
        return line.decode("utf-8").strip(" \t\r")
    except UnicodeDecodeError as fault:
        raise NotValid("signers_utf8") from fault


def _listed(text: str, number: int) -> Listed:
    principal, *more = text.split(None, 1)
    if not _PRINCIPAL.fullmatch(principal):
        raise NotValid("signers_principal")
    rest, options = more[0] if more else "", ""
    if rest and not _is_key(rest):
        options, rest = _first(rest)
    given = _options(options)
    key = of_line(rest.strip())
    namespaces = tuple(given.get("namespaces", "").split(",")) if "namespaces" in given else ()
    for name in namespaces:
        if not _NAMESPACE.fullmatch(name):
            raise NotValid("signers_namespace")
    after, before = (
        _time(given[name]) if name in given else None for name in ("valid-after", "valid-before")
    )
    return Listed(principal, key, namespaces, after, before, number)


def _is_key(rest: str) -> bool:
    """Whether the key comes next: a type has no quotes or equals signs and is no option."""
    word = rest.split(None, 1)[0]
    return "=" not in word and '"' not in word and word != "cert-authority"


def _first(rest: str) -> tuple[str, str]:
    """The options and what follows them; a blank within quotes does not end them."""
    inside = False
    for at, sign in enumerate(rest):
        if sign == '"':
            inside = not inside
        elif sign in " \t" and not inside:
            return rest[:at], rest[at:]
    return rest, ""


def _options(text: str) -> dict[str, str]:
    """Options by name.

    Raises:
        NotValid: for one that is not known here, or is there twice.
    """
    found: dict[str, str] = {}
    while text:
        match = _OPTION.match(text)
        name, value = (match[1], match[2]) if match else ("", None)
        if match is None or value is None or name not in _KNOWN:
            raise _no_option()
        if name in found:
            raise NotValid("signers_option_twice", x=name)
        found[name] = value
        text = text[match.end() :]
        if text and (text[0] != "," or len(text) == 1):
            raise _no_option()
        text = text[1:]
    return found


def _no_option() -> NotValid:
    return NotValid("signers_option", choices=", ".join(_KNOWN))


def _time(text: str) -> datetime:
    match = _TIME.fullmatch(text)
    if match is None:
        raise NotValid("signers_time")
    try:
        # without the Z it is the time of this computer, as the tool takes it
        found = datetime.strptime(match[1], _FORMS[len(match[1])])  # noqa: DTZ007
        return found.replace(tzinfo=UTC) if match[2] else found.astimezone()
    except (ValueError, OverflowError, OSError) as fault:
        raise NotValid("signers_time") from fault


def names(signers: Iterable[Listed], key: PublicKey, namespace: str, at: datetime) -> Listed | None:
    """The line by which a key was named for something at a time; None when it was not.

    Args:
        signers: the lines that count.
        key: the key.
        namespace: what was signed.
        at: when, with its offset; both ends of a line's time count, to whole seconds.
    """
    second = at.replace(microsecond=0)
    for row in signers:
        if row.key != key or (row.namespaces and namespace not in row.namespaces):
            continue
        if (row.after is None or row.after <= second) and (
            row.before is None or second <= row.before
        ):
            return row
    return None


def written(signers: Sequence[Listed]) -> bytes:
    """The file that names these keys, in this order."""
    return (_HEAD + "".join(f"{_line(row)}\n" for row in signers)).encode()


def _line(row: Listed) -> str:
    options = [f'namespaces="{",".join(row.namespaces)}"'] if row.namespaces else []
    for name, time in (("valid-after", row.after), ("valid-before", row.before)):
        if time is not None:
            options.append(f'{name}="{time.astimezone(UTC):%Y%m%d%H%M%SZ}"')
    return " ".join(part for part in (row.principal, ",".join(options), row.key.line) if part)


def principal_of(name: str) -> str:
    """Who a key is of, as the file spells a printed name or initials: `K. Berg` is `K.Berg`.

    Marks on letters fall away, what cannot stand there becomes a point; `signer` when nothing is
    left.
    """
    import unicodedata

    bare = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    spelled = re.sub(r"\.+", ".", re.sub(r"[^A-Za-z0-9._@-]+", ".", bare)).strip(".-")
    return spelled[:100] or "signer"


def named_here(principal: str, key: PublicKey, before: datetime | None = None) -> Listed:
    """A line of this logbook: for its own namespaces, until it was retired or compromised."""
    return Listed(principal, key, NAMESPACES, None, before, 0)
