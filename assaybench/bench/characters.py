"""Signs and columns: plain signs for the printed ones, leaders, rules, cutting and padding.

The map to plain signs keeps every column, so a page reads the same in both: one sign becomes one,
`± ` becomes `+-`, and ` ‰` becomes `%o`. A `±` that is a word of its own, as in `± is a lower
bound`, has no column to spare: it becomes `~`, and the blank behind it stays.
"""

import re
import unicodedata

from assaybench.bench.sheet import Line, Span, text_of

_PLAIN = {
    "─": "-",
    "│": "|",
    "┬": "+",
    "┴": "+",
    "┼": "+",
    "├": "|",
    "┤": "|",
    "┌": "/",
    "└": "\\",
    "█": "#",
    "▼": "v",
    "·": ".",
    "×": "x",
    "−": "-",
    "–": "-",
    "—": "-",
    "±": "~",
    "…": "~",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "≤": "<",
    "≥": ">",
    "°": "*",
    "µ": "u",
    "μ": "u",
    "ø": "o",
    "Ø": "O",
    "ß": "s",
    "ł": "l",
    "Ł": "L",
    "√": "V",
    "⁻": "-",
    "ζ": "z",
    "ν": "v",
    "π": "p",
    "σ": "s",
    "Σ": "S",
    "φ": "f",
    "Φ": "F",
}

_BEFORE_FIGURE = re.compile(r"± (?![A-Za-z(])")
"""`±` that belongs to what stands behind its blank: a figure, or nothing at all."""


def capital(text: str) -> str:
    """A text as it stands at the beginning of a sentence."""
    return text[:1].upper() + text[1:]


def plain(text: str) -> str:
    """The text with plain signs only, as many columns wide as before."""
    return "".join(map(_plain_sign, _paired(text)))


def _paired(text: str) -> str:
    """The text with the signs that take the blank beside them."""
    return _BEFORE_FIGURE.sub("+-", text).replace(" ‰", "%o")


def _plain_sign(sign: str) -> str:
    if sign.isascii():
        return sign
    if sign in _PLAIN:
        return _PLAIN[sign]
    base = unicodedata.normalize("NFKD", sign)[0]
    return base if base.isascii() else "?" * cells(sign)


def plain_line(spans: Line) -> Line:
    """A line with plain signs only; its spans keep their columns."""
    parts = []
    text, start = _paired(text_of(spans)), 0
    for span in spans:
        end = start + len(span.text)
        parts.append(Span("".join(map(_plain_sign, text[start:end])), span.style))
        start = end
    return tuple(parts)


def cells(text: str) -> int:
    """Columns that a text takes."""
    if text.isascii():
        return len(text)
    return sum(_cells(sign) for sign in text)


def _cells(sign: str) -> int:
    if unicodedata.combining(sign) or unicodedata.category(sign) in ("Cf", "Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1


def cut(text: str, width: int) -> str:
    """The front of a text that fits into so many columns."""
    if text.isascii():
        return text[:width]
    used = 0
    for i, sign in enumerate(text):
        used += _cells(sign)
        if used > width:
            return text[:i]
    return text


def cut_line(spans: Line, width: int) -> Line:
    """The front of a line that fits into so many columns."""
    parts: list[Span] = []
    left = width
    for span in spans:
        text = cut(span.text, left)
        if text:
            parts.append(Span(text, span.style))
        left -= cells(text)
        if text != span.text:
            break
    return tuple(parts)


def filled(spans: Line, width: int) -> Line:
    """A line of exactly so many columns: cut, or filled with blanks."""
    short = cut_line(spans, width)
    missing = width - cells(text_of(short))
    return (*short, Span(" " * missing)) if missing else short


def shortened(text: str, width: int) -> str:
    """A text of so many columns at most; what is left out is told by three dots."""
    return text if cells(text) <= width else cut(text, width - 1).rstrip() + "…"


def leader(left: str, right: str, width: int) -> str:
    """A word joined to its number by dots on even columns, as in a table of contents.

    The word gives way when both do not fit; its end is cut, never the number.

    Args:
        left: the word, with its indent.
        right: the number, at the right edge.
        width: columns of the line.
    """
    start = width - cells(right)
    left = cut(left, max(start - 1, 0))
    used = cells(left)
    middle = [
        "." if column % 2 == 0 and used < column <= start - 2 else " "
        for column in range(used, start)
    ]
    return left + "".join(middle) + right


def wrapped(text: str, width: int) -> list[str]:
    """Lines of a paragraph; only a word longer than a line is ever cut.

    A line break in the text begins a new line; `±` stays with its number.
    """
    lines: list[str] = []
    for part in text.split("\n"):
        lines += _wrapped(part.replace("± ", "±\N{NO-BREAK SPACE}"), width)
    return [one.replace("\N{NO-BREAK SPACE}", " ") for one in lines]


def _wrapped(text: str, width: int) -> list[str]:
    lines: list[str] = []
    now = ""
    for word in text.split(" "):
        wider = f"{now} {word}" if now else word
        if cells(wider) <= width:
            now = wider
            continue
        if now:
            lines.append(now)
        while cells(word) > width:
            head = cut(word, width)
            lines.append(head)
            word = word[len(head) :]  # noqa: PLW2901  what is left of a word too long for a line
        now = word
    return [*lines, now] if now else lines
