"""Whether a number was made void: asked of its register each time before its log takes an entry.

A register only grows, and the lines of its entries have one form; so a look at one that did not
grow costs one call, and one that grew is searched from its last entry on, however long it is.
"""

import re
import tomllib
from pathlib import Path

from assaybench.logbook.files import READ, Files, Status
from assaybench.logbook.store import read_open

_PIECE = 1 << 20
_BEGINS = b"[[entry]]\n"


class VoidLook:
    """Looks whether one number of a register is void."""

    def __init__(self, files: Files, register: Path, number: int) -> None:
        """Note where to look; nothing is read yet.

        Args:
            files: the disk.
            register: the register of the number's bench.
            number: the number.
        """
        self._files, self._register = files, register
        form = rb'^kind = "void"\nnumber = %d\n(reason = ".*")\nlink = ' % number
        self._form = re.compile(form, re.MULTILINE)
        self._seen: Status | None = None
        self._searched = 0
        self._why = ""

    def why(self) -> str:
        """Why the number is void, empty while it is not.

        A register that cannot be read says nothing: what is weighed is stored all the same.
        """
        try:
            now = self._files.stat(self._register)
            if now is not None and now != self._seen:
                self._search(now)
        except (OSError, ValueError):
            # bytes of a damaged register may be no text at all
            pass
        return self._why

    def _search(self, now: Status) -> None:
        """Look through what came since the last look; through all of another file."""
        before = self._seen
        if before is None or before.identity != now.identity or now.size < before.size:
            self._searched, self._why = 0, ""
        descriptor = self._files.open(self._register, READ)
        try:
            self._files.seek(descriptor, self._searched)
            kept = b""
            while data := read_open(self._files, descriptor, _PIECE):
                kept += data
                found = self._form.search(kept)
                if found is not None:
                    self._why = str(tomllib.loads(found[1].decode())["reason"])
                # an entry may go on in the next piece, or be half written now; none is longer
                last = max(kept.rfind(_BEGINS), len(kept) - _PIECE, 0)
                self._searched, kept = self._searched + last, kept[last:]
        finally:
            self._files.close(descriptor)
        self._seen = now
