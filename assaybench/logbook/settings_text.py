"""The text of the settings' file after a change: comments and order stay where they can.

A user may write this file by hand. So a change touches the lines of what it changes and no others;
where that cannot be told apart, as for a table within one line, the whole file is written anew.
"""

import json
import tomllib
from collections.abc import Mapping

Tree = Mapping[str, object]
_MOST_LINES = 200
"""Lines of one list; a longer one is written anew with the whole file."""


def rewritten(text: str, before: Tree, after: Tree) -> str:
    """The text of a settings file that says something else.

    Args:
        text: of the file; empty when there is none.
        before: what it says.
        after: what it is to say.
    """
    import tomli_w

    try:
        lines = _edited(text.rstrip("\n").split("\n") if text.strip() else [], before, after)
        found = "".join(f"{line}\n" for line in lines)
        if alike(tomllib.loads(found), after):
            return found
    except (tomllib.TOMLDecodeError, _TooHardError):
        pass
    return tomli_w.dumps(after)


def alike(one: object, other: object) -> bool:
    """Whether a file says the same by both: `1`, `1.0` and `true` are not, equal as they are."""
    return _spelled(one) == _spelled(other)


def _spelled(value: object) -> str:
    return json.dumps(value, sort_keys=True, default=repr)


class _TooHardError(Exception):
    """A change that cannot be made line by line."""


def _edited(lines: list[str], before: Tree, after: Tree) -> list[str]:
    """The lines of a whole file with each change made in its place."""
    head = _next_table(lines, 0)
    top, tables = lines[:head], lines[head:]
    for name in dict.fromkeys([*before, *after]):
        old, new = before.get(name), after.get(name)
        if alike(old, new):
            continue
        has_head = any(_is_head_of(line, name) for line in tables)
        if not has_head and old is not None:
            # a value, or a table within one line, which becomes one with lines of its own
            row = None if isinstance(new, Mapping) else new
            top, old = _value_edited(top, name, old, row), None
            new = new if isinstance(new, Mapping) else None
        if isinstance(new, Mapping) or has_head:
            tables = _table_edited(tables, name, _rows(old), _rows(new))
        elif new is not None:
            top = _value_edited(top, name, None, new)
    return _apart(top, tables) if [*top, *tables] != lines else lines


def _apart(top: list[str], tables: list[str]) -> list[str]:
    """What stands before the first table and the tables, an empty line between the two."""
    top = top[: _end_of(top)]
    begins = next((i for i, line in enumerate(tables) if line.strip()), len(tables))
    apart = [""] if top and begins < len(tables) else []
    return [*top, *apart, *tables[begins:]]


def _heads(line: str) -> bool:
    return line.lstrip().startswith("[")


def _next_table(lines: list[str], start: int) -> int:
    """Where the next table begins: at its head, or at the comment right above it."""
    found = next((i for i in range(start, len(lines)) if _heads(lines[i])), len(lines))
    if found == len(lines):
        return found
    while found > start and lines[found - 1].lstrip().startswith("#"):
        found -= 1
    return found


def _is_head_of(line: str, name: str) -> bool:
    try:
        return _heads(line) and tomllib.loads(line) == {name: {}}
    except tomllib.TOMLDecodeError:
        return False


def _rows(value: object) -> Tree:
    return value if isinstance(value, Mapping) else {}


def _table_edited(lines: list[str], name: str, old: Tree, new: Tree) -> list[str]:
    """The lines of all tables, with the rows of one changed."""
    import tomli_w

    if not any(_is_head_of(line, name) for line in lines):
        apart = [""] if lines and lines[-1].strip() else []
        lines = [*lines, *apart, tomli_w.dumps({name: {}}).strip()]
    first = next(i for i, line in enumerate(lines) if _is_head_of(line, name))
    end = _next_table(lines, first + 1)
    body = lines[first + 1 : end]
    for row in dict.fromkeys([*old, *new]):
        if old.get(row) != new.get(row):
            body = _value_edited(body, row, old.get(row), new.get(row))
    if not new:
        return [*lines[: _end_of(lines[:first])], *body, *lines[end:]]
    return [*lines[: first + 1], *body, *lines[end:]]


def _value_edited(lines: list[str], name: str, old: object, new: object) -> list[str]:
    """Lines of one table, or of what stands before the first, with one value changed."""
    import tomli_w

    said = tomli_w.dumps({name: new}).rstrip("\n").split("\n") if new is not None else []
    if old is None:
        end = _end_of(lines)
        return [*lines[:end], *said, *lines[end:]]
    first, end, comment = _place_of(lines, name, old)
    if said and comment:
        said[-1] += f"  {comment}"
    return [*lines[:first], *said, *lines[end:]]


def _end_of(lines: list[str]) -> int:
    """How many lines there are before the empty ones at the end."""
    end = len(lines)
    while end and not lines[end - 1].strip():
        end -= 1
    return end


def _place_of(lines: list[str], name: str, value: object) -> tuple[int, int, str]:
    """First line of a value, the line behind it, and the comment on its last line.

    Raises:
        _TooHardError: when it does not stand alone on its lines.
    """
    begins = (name, f'"{name}"', f"'{name}'")
    for first, line in enumerate(lines):
        if not line.lstrip().startswith(begins):
            continue
        for end in range(first + 1, min(first + _MOST_LINES, len(lines)) + 1):
            text = "\n".join(lines[first:end])
            if _says(text, name, value):
                last = lines[end - 1]
                rest = "".join(f"{part}\n" for part in lines[first : end - 1])
                places = (i for i, sign in enumerate(last) if sign == "#")
                found = (last[i:] for i in places if _says(rest + last[:i], name, value))
                return first, end, next(found, "")
    raise _TooHardError


def _says(text: str, name: str, value: object) -> bool:
    try:
        return tomllib.loads(text) == {name: value}
    except tomllib.TOMLDecodeError:
        return False
