"""How an answer looks in the terminal: leaders, sections, plain lines, ASCII, decimal comma.

A page of text like the bench's own: labels joined to their numbers by dots on even columns, the
verdict first, no boxes, no colour. The same answer as plain lines serves scripts and screen
readers.
"""

import re
import textwrap

WIDTH = 76
MOST = 79
"""Signs of a line that an old terminal shows."""
_INDENT = "  "

_ASCII = {
    "±": "+-",
    "×": "x",
    "√": "sqrt",
    "µ": "u",
    "²": "^2",
    "³": "^3",
    "‰": "permille",
    "é": "e",
    "–": "-",
    "−": "-",
    "·": "*",
    "≤": "<=",
    "…": "...",
    "ν": "dof",
    "σ": "sigma",
    "Σ": "sum",
    "Φ": "Phi",
    "│": "|",
    "├": "|",
    "└": "\\",
}


def leader(label: str, value: str, indent: int = 2, width: int = WIDTH) -> str:
    """`label . . . . value`: the value ends at the right edge, dots stand on even columns.

    A label too long for its value leaves the value a line of its own.
    """
    left = " " * indent + label + " "
    right = " " + value
    room = width - len(left) - len(right)
    if room < 1:
        return f"{left.rstrip()}\n{value.rjust(width)}"
    dots = "".join("." if (len(left) + i + 1) % 2 == 0 else " " for i in range(room))
    return left + dots + right


def wrapped(text: str, indent: int = 2, width: int = WIDTH) -> list[str]:
    """Text broken at blanks to lines of the page; a continued line is set in by two more."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = " " * indent
        for word in paragraph.split():
            if len(line) + len(word) > width and line.strip():
                lines.append(line.rstrip())
                line = " " * (indent + 2)
            line += word + " "
        lines.append(line.rstrip())
    return lines


def fitted(line: str, width: int) -> list[str]:
    """A printed line brought within a width: fewer dots of a leader, else broken at a blank."""
    over = len(line) - width
    if over <= 0:
        return [line]
    over += over % 2  # dots stand on even columns
    dots = re.search(rf"(?: \.){{{over // 2 + 1},}}", line)
    if dots is not None:
        return [line[: dots.start()] + line[dots.start() + over :]]
    begin = len(line) - len(line.lstrip())
    if begin > width // 2:  # a value on a line of its own
        return [line[over:]]
    return textwrap.wrap(
        line,
        width,
        subsequent_indent=" " * (begin + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )


def to_ascii(text: str) -> str:
    """Text with every sign beyond ASCII spelled out; letters lose their marks: `Käthe`, `Kathe`."""
    text = re.sub(r"± (?=\d)", "+-", text)
    for sign, plain in _ASCII.items():
        text = text.replace(sign, plain)
    if not text.isascii():
        import unicodedata

        parts = unicodedata.normalize("NFD", text)
        text = "".join(sign for sign in parts if not unicodedata.combining(sign))
    return text.encode("ascii", "replace").decode("ascii")


def with_comma(text: str) -> str:
    """Text with a decimal comma in every number; version-like runs such as 1.2.3 stay."""
    return re.sub(r"(?<![\d.])(\d+)\.(\d+)(?![\d.]*\d)", r"\1,\2", text)
