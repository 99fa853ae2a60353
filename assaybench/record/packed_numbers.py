"""The numbers of a register in little memory, for who goes through many and keeps all.

Each takes 77 bytes, where the objects that it is made of take ten times that. A number beyond the
largest one cannot come in, so the most there can be is 77 MB, whatever a register holds.
"""

import struct
from collections.abc import Iterator, MutableMapping
from typing import NoReturn

from assaybench.record.register_kinds import Allotted, Seal

_ROW = struct.Struct("<BIq64s")
"""Flags, the log that it replaces, size and digest of its seal."""
_THERE, _SEALED = 1, 2
_PAGE = 256
"""Numbers of one stretch of memory; a register that leaves numbers out takes no more for it."""


class PackedNumbers(MutableMapping[int, Allotted]):
    """Numbers and what became of them; what a log is of, and its title, come back empty.

    Each is given as a new object: a change is kept only when it is put back.
    """

    __slots__ = ("_count", "_pages", "_statements", "_void")

    def __init__(self) -> None:
        self._pages: dict[int, bytearray] = {}
        self._void: dict[int, str] = {}
        self._statements: dict[int, list[str]] = {}
        self._count = 0

    def __getitem__(self, number: int) -> Allotted:
        page, at = divmod(number, _PAGE)
        rows = self._pages.get(page)
        if rows is None or not rows[at * _ROW.size] & _THERE:
            raise KeyError(number)
        flags, replaces, size, digest = _ROW.unpack_from(rows, at * _ROW.size)
        seal = Seal(digest.hex(), size) if flags & _SEALED else None
        void, statements = self._void.get(number, ""), self._statements.get(number, [])
        return Allotted(number, "", "", replaces, seal, void, statements)

    def __setitem__(self, number: int, known: Allotted) -> None:
        page, at = divmod(number, _PAGE)
        rows = self._pages.setdefault(page, bytearray(_PAGE * _ROW.size))
        self._count += not rows[at * _ROW.size] & _THERE
        flags = _THERE | (_SEALED if known.seal else 0)
        digest, size = known.seal or ("", 0)
        _ROW.pack_into(rows, at * _ROW.size, flags, known.replaces, size, bytes.fromhex(digest))
        if known.void:
            self._void[number] = known.void
        if known.statements:
            self._statements[number] = known.statements

    def __delitem__(self, number: int) -> NoReturn:
        raise TypeError("a number stays taken")

    def __iter__(self) -> Iterator[int]:
        for page in sorted(self._pages):
            flags = self._pages[page][:: _ROW.size]
            yield from (page * _PAGE + at for at, flag in enumerate(flags) if flag)

    def __len__(self) -> int:
        return self._count
