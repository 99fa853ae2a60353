"""One value of a log's line, read sign by sign in its one canonical spelling.

Format 1 spells every value in one way only, so what is read and written again gives the same bytes.
The scanner tells two failures apart: `Wrong` names the first sign that no such value can have, and
`Cut` says that the text ends before the value does, which is how a torn entry looks.
"""

import re
import unicodedata
from datetime import datetime

LONGEST_TIME = len("2026-06-09T14:31:00.000+02:00")

# Control signs, the byte order mark, line and paragraph separators, and the bidirectional signs
# that make a terminal show text in another order than it is stored. A fixed list: what a log may
# hold does not depend on the edition of Unicode that an interpreter knows.
FORBIDDEN = "\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff"
_PLAIN = re.compile(f'[^"\\\\{FORBIDDEN}]*')
_WHOLE = re.compile(r"-?[1-9][0-9]{0,17}|0")
_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}[+-][0-9]{2}:[0-9]{2}"
)
_PAIR = rf'([a-z][a-z0-9_]{{0,39}}) = "([^"\\{FORBIDDEN}]*)"'
_TEXT_LINE = re.compile(_PAIR)
_TEXT_TABLE = re.compile(rf"\{{ {_PAIR}(?:, {_PAIR})* \}}")
_KEY = re.compile(r"[a-z][a-z0-9_]{0,39}")
_WORDS = (("true", True), ("false", False))
# Any time that was cut off goes on to a real one along one of these.
_TAILS = ("2001-11-10T00:00:00.000+00:01", "2001-11-11T00:00:00.000+00:01")


class Cut(Exception):
    """The text ends before the value does."""


class Wrong(Exception):
    """A sign that cannot stand where it stands.

    Attributes:
        at: its place in the text, from 0.
        code: the code of the reason in the table of messages.
    """

    def __init__(self, at: int, code: str) -> None:
        self.at = at
        self.code = code
        super().__init__(code)


def text_line(line: str) -> tuple[str, str] | None:
    """Key and text of a line in one look, as most lines are: ASCII without escapes; else None."""
    match = _TEXT_LINE.fullmatch(line) if line.isascii() else None
    return (match[1], match[2]) if match else None


def is_key(text: str) -> bool:
    """Whether a text is a key, whole."""
    return _KEY.fullmatch(text) is not None


def plain_value(text: str) -> int | datetime | None:
    """The whole number or the time that a text is, from end to end; None when it is neither."""
    return int(text) if _WHOLE.fullmatch(text) else real_time(text)


def value(text: str, at: int) -> tuple[object, int]:
    """The value that starts at a place, and the place behind it.

    Raises:
        Wrong: when no value of format 1 can start like this.
        Cut: when the text ends within it.
    """
    if text[at : at + 1] == "[":
        return _array(text, at)
    return _scalar(text, at)


def key(text: str, at: int) -> tuple[str, int]:
    """The key with its sign ` = ` that starts at a place, and the place behind it.

    Raises:
        Wrong, Cut: as `value`.
    """
    match = _KEY.match(text, at)
    if match is None:
        raise _stop(text, at, "frame_key")
    at = match.end()
    if text[at : at + 1] == ".":
        raise Wrong(at, "frame_dotted")
    return match[0], _expect(text, at, " = ", "frame_key")


def _scalar(text: str, at: int) -> tuple[object, int]:
    sign = text[at : at + 1]
    if sign == '"':
        return _string(text, at)
    if sign and sign in "-0123456789":
        return _number(text, at)
    for word, meaning in _WORDS:
        if sign == word[0]:
            return meaning, _expect(text, at, word, "frame_value")
    raise _stop(text, at, "frame_value")


def _string(text: str, at: int) -> tuple[str, int]:
    if text.startswith('"""', at):
        raise Wrong(at + 2, "frame_many_lines")
    start, parts = at, []
    at += 1
    while True:
        match = _PLAIN.match(text, at)
        at = match.end() if match else at
        parts.append(match[0] if match else "")
        sign = text[at : at + 1]
        if sign == '"':
            break
        if sign != "\\":
            raise _stop(text, at, "frame_sign")
        escaped = text[at + 1 : at + 2]
        if escaped not in ('"', "\\"):
            raise _stop(text, at + 1, "frame_escape")
        parts.append(escaped)
        at += 2
    found = "".join(parts)
    if not _is_nfc(found):
        raise Wrong(start, "frame_nfc")
    return found, at + 1


def _is_nfc(text: str) -> bool:
    return text.isascii() or unicodedata.is_normalized("NFC", text)


def _number(text: str, at: int) -> tuple[object, int]:
    if _TIME.match(text, at):
        end = at + LONGEST_TIME
        found = real_time(text[at:end])
        if found is None:
            raise Wrong(at, "frame_time")
        return found, end
    rest = text[at:]
    if begins_time(rest):
        if not rest.isdigit() or _WHOLE.fullmatch(rest) is None:
            raise Cut
        return int(rest), len(text)
    match = _WHOLE.match(text, at)
    if match is None:
        raise _stop(text, at + 1 if rest[0] == "-" else at, "frame_whole")
    end = match.end()
    follows = text[end : end + 1]
    if follows.isdecimal() or follows == "_":
        raise Wrong(end, "frame_whole")
    if follows and follows in ".eE":
        raise Wrong(end, "frame_float")
    if follows and follows in "-:T":
        raise Wrong(end, "frame_time")
    return int(match[0]), end


def real_time(text: str) -> datetime | None:
    """The moment of a time in its one spelling, with milliseconds and offset; None for no time."""
    if _TIME.fullmatch(text) is None:
        return None
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.isoformat(timespec="milliseconds") == text else None


def begins_time(text: str) -> bool:
    """Whether a text is a proper beginning of some time."""
    return len(text) < LONGEST_TIME and any(real_time(text + t[len(text) :]) for t in _TAILS)


def _array(text: str, at: int) -> tuple[list[object], int]:
    """Texts, or inline tables of plain values; lists never stand in lists, so nothing recurses."""
    found: list[object] = []
    at += 1
    if text[at : at + 1] == "]":
        return found, at + 1
    tables = text[at : at + 1] == "{"
    while True:
        if tables:
            part, at = _table(text, at)
        elif text[at : at + 1] == '"':
            part, at = _string(text, at)
        else:
            raise _stop(text, at, "frame_array")
        found.append(part)
        if text[at : at + 1] == "]":
            return found, at + 1
        at = _expect(text, at, ", ", "frame_array")


def _table(text: str, at: int) -> tuple[object, int]:
    texts = _text_table(text, at)
    if texts is not None:
        return texts
    found: dict[str, object] = {}
    at = _expect(text, at, "{ ", "frame_table")
    while True:
        start = at
        name, at = key(text, at)
        if name in found:
            raise Wrong(start, "frame_key_twice")
        found[name], at = _scalar(text, at)
        if text.startswith(" }", at):
            return found, at + 2
        if text[at:] == " ":
            raise Cut
        at = _expect(text, at, ", ", "frame_table")


def _text_table(text: str, at: int) -> tuple[object, int] | None:
    """A table in one look, as most are: texts without escapes; None for any other or a bad one."""
    match = _TEXT_TABLE.match(text, at)
    if match is None:
        return None
    pairs = _TEXT_LINE.findall(match[0])
    found = dict(pairs)
    if len(found) < len(pairs) or not all(map(_is_nfc, found.values())):
        return None
    return found, match.end()


def _expect(text: str, at: int, wanted: str, code: str) -> int:
    """The place behind signs that must stand here."""
    if text.startswith(wanted, at):
        return at + len(wanted)
    for i, sign in enumerate(wanted):
        if text[at + i : at + i + 1] != sign:
            raise _stop(text, at + i, code)
    return at + len(wanted)


def _stop(text: str, at: int, code: str) -> Cut | Wrong:
    return Cut() if at >= len(text) else Wrong(at, code)
