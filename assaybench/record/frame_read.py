"""Reading a framed file: bytes in any pieces in, entries out, and a verdict on the whole.

The reader refuses whatever breaks the frame before anything is parsed further, and names the first
bad line and byte. It holds one entry at a time: time grows with the file, memory does not, and
hostile input (one endless line, deep brackets, giant numbers) is refused where it starts.

A file is *sound*; or *torn*, when what follows its last good link is a proper prefix of one entry
that the writer could have written; or *damaged*, which is anything else. Kinds and keys that the
table does not hold are kept and flagged: a newer program wrote them, the links still count.
"""

import codecs
import re
from datetime import UTC, datetime
from hashlib import sha256
from typing import TYPE_CHECKING, Literal, NamedTuple

from assaybench.messages import say
from assaybench.record import scan
from assaybench.record.entries import Entry
from assaybench.record.frame import (
    FIRST_LINE,
    HEAD,
    LARGEST_LOG,
    LONGEST_LINE,
    MOST_KEYS,
    Chain,
    Table,
    link_line,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

Soundness = Literal["sound", "torn", "damaged"]
BETWEEN, N, AT, BY, KIND, OWN, BLANK = range(7)
NAMING = ("entry", "log", "entry_kind")
"""Keys of an amendment that say which entry it is about, and so which keys may follow."""
_NO_TIME = datetime.min.replace(tzinfo=UTC)
_NAMES = dict(zip((N, AT, BY, KIND), HEAD, strict=True))
_KIND = re.compile(r"[a-z][a-z0-9_]{0,39}")


class Verdict(NamedTuple):
    """What became of reading a file.

    Attributes:
        state: sound, torn or damaged.
        entries: how many good entries there are.
        good: bytes up to the end of the last good entry.
        size: bytes that were looked at.
        link: link of the last good entry, empty when there is none.
        newer: whether a newer program wrote part of it.
        first: first line of the entry that is torn or damaged, from 1.
        line: first bad line, from 1; 0 for a sound file.
        byte: first bad byte, counted from 0 at the start of the file.
        code: code of the reason in the table of messages, empty for a sound file.
    """

    state: Soundness
    entries: int
    good: int
    size: int
    link: str
    newer: bool = False
    first: int = 0
    line: int = 0
    byte: int = 0
    code: str = ""

    @property
    def sentence(self) -> str:
        """One line saying it; for a damaged file it names the first bad line and byte."""
        if self.state == "sound":
            return say("frame_sound", n=self.entries)
        entry = self.entries + 1
        if self.state == "torn":
            return say("frame_torn", n=self.entries, line=self.first, size=self.size - self.good)
        why = say(self.code, entry=entry, first=self.first)
        return say("frame_damaged", line=self.line, byte=self.byte, why=why)


class Reader:
    """Reads one framed file piece by piece.

    Attributes:
        chain: where the file stands after the good entries so far.
        links: links of the good entries, kept only when asked for.
    """

    def __init__(
        self,
        table: Table,
        *,
        most: int = LARGEST_LOG,
        chain: Chain | None = None,
        keep_links: bool = False,
    ) -> None:
        """Begin at the start of a file, or behind the last entry of a chain.

        Args:
            table: the kinds of the file by name.
            most: the largest size accepted, in bytes.
            chain: where to go on from; a new file begins without one.
            keep_links: whether to keep the link of each entry.
        """
        self.chain = chain or Chain(table)
        self.links: list[str] | None = [] if keep_links else None
        self._most = most
        self._size = 0
        self._good = 0
        self._newer = False
        self._fault: tuple[int, str] | None = None
        self._rest = b""
        self._line_number = 1
        self._line_at = 0
        self._first = 1
        self._stage = BETWEEN
        self._begin()

    def _begin(self) -> None:
        self._lines: list[bytes] = []
        self._values: dict[str, object] = {}
        self._order: Mapping[str, int] = {}
        self._last_order = -1
        self._at = _NO_TIME
        self._by = self._kind = self._link = ""
        self._unknown = False

    @property
    def stopped(self) -> bool:
        """Whether a bad byte was met, so that nothing more is taken."""
        return self._fault is not None

    @property
    def good(self) -> int:
        """Bytes taken up to the end of the last good entry."""
        return self._good

    def feed(self, data: bytes) -> list[Entry]:
        """Take the next bytes of the file and return the entries that are complete with them.

        After the first bad byte nothing more is taken.
        """
        if self._fault is not None:
            return []
        self._size += len(data)
        if self._size > self._most:
            self._fault = (self._most - self._line_at, "frame_large")
            return []
        found: list[Entry] = []
        *lines, self._rest = (self._rest + data).split(b"\n")
        for line in lines:
            if len(line) > LONGEST_LINE:
                self._fault = (LONGEST_LINE, "frame_line_long")
                return found
            try:
                entry = self._whole_line(line)
            except scan.Wrong as wrong:
                self._fault = (_bytes_before(line, wrong.at), _reason(line, wrong, self._stage))
                return found
            if entry is not None:
                found.append(entry)
            self._line_number += 1
            self._line_at += len(line) + 1
            if self._stage == BETWEEN:
                self._good, self._first = self._line_at, self._line_number
        if len(self._rest) > LONGEST_LINE:
            self._fault = (LONGEST_LINE, "frame_line_long")
        return found

    def end(self) -> Verdict:
        """The verdict, after the last bytes of the file were taken."""
        if self._fault is None and (self._stage != BETWEEN or self._rest):
            try:
                self._unfinished(self._rest)
            except scan.Wrong as wrong:
                at = _bytes_before(self._rest, wrong.at)
                self._fault = (at, _reason(self._rest, wrong, self._stage))
            else:
                return self._verdict("torn", len(self._rest), "frame_cut")
        if self._fault is not None:
            return self._verdict("damaged", *self._fault)
        n, link = self.chain.place
        return Verdict("sound", n, self._good, self._size, link, self._newer)

    def _verdict(self, state: Soundness, at: int, code: str) -> Verdict:
        n, link = self.chain.place
        line, byte = self._line_number, self._line_at + at
        return Verdict(
            state, n, self._good, self._size, link, self._newer, self._first, line, byte, code
        )

    def _whole_line(self, line: bytes) -> Entry | None:
        if self._stage == BLANK:
            _same(line, b"", "frame_blank")
            return self._complete()
        if self._stage == BETWEEN:
            _same(line, FIRST_LINE, "frame_entry")
            self._stage = N
        elif self._stage == N:
            _same(line, self._n_line(), "frame_n")
            self._stage = AT
        elif self._stage == OWN and line.startswith(b"link = "):
            self._link = self._wanted_link()
            _same(line, link_line(self._link), "frame_link")
            self._stage = BLANK
        else:
            self._pair(line)
        self._lines.append(line)
        return None

    def _n_line(self) -> bytes:
        return f"n = {self.chain.n + 1}".encode()

    def _pair(self, line: bytes) -> None:
        """A line of a key and a value, from `at` on."""
        text = _decoded(line)
        name, value = scan.text_line(text) or _name_and_value(text)
        if self._stage == OWN:
            self._own(name, value)
        else:
            self._head(name, value, len(text))

    def _head(self, name: str, value: object, end: int) -> None:
        if name != _NAMES[self._stage]:
            raise scan.Wrong(0, "frame_order")
        if self._stage == AT and isinstance(value, datetime):
            self._at = value
        elif self._stage == BY and isinstance(value, str):
            self._by = value
        elif self._stage == KIND and isinstance(value, str) and _KIND.fullmatch(value):
            self._kind = value
            self._order = self.chain.order(value, {})
            self._unknown = value not in self.chain.table
        else:
            raise scan.Wrong(end, "frame_head")
        self._stage += 1

    def _own(self, name: str, value: object) -> None:
        self._may_follow(name)
        self._values[name] = value
        if len(self._values) > MOST_KEYS:
            raise scan.Wrong(0, "frame_keys_many")
        if name in NAMING and self._kind == "amendment":
            self._order = self.chain.order(self._kind, self._values)
        place = self._order.get(name)
        if place is None:
            self._unknown = True
        else:
            self._last_order = place

    def _may_follow(self, name: str) -> None:
        """Refuse a key that cannot stand here: there already, or before its place in the table."""
        if name in self._values:
            raise scan.Wrong(0, "frame_key_twice")
        if (
            name in HEAD
            or name == "link"
            or self._order.get(name, MOST_KEYS * 9) < self._last_order
        ):
            raise scan.Wrong(0, "frame_order")

    def _wanted_link(self) -> str:
        body = b"\n".join(self._lines) + b"\n"
        return sha256(self.chain.tail + body).hexdigest()

    def _complete(self) -> Entry:
        self.chain.step(self._kind, self._link)
        if self.links is not None:
            self.links.append(self._link)
        self._newer = self._newer or self._unknown
        entry = Entry(self.chain.n, self._at, self._by, self._kind, self._values)
        self._begin()
        self._stage = BETWEEN
        return entry

    def _unfinished_head(self, rest: bytes) -> None:
        """Refuse an unfinished line of `at`, `by` or `kind` that its form does not begin with."""
        name = _NAMES[self._stage]
        lead = f"{name} = " if self._stage == AT else f'{name} = "'
        _same(rest[: len(lead)], lead.encode()[: len(rest)], "frame_order")
        text = rest[len(lead) :].decode("ascii", errors="replace")
        if self._stage == AT and not scan.begins_time(text) and scan.real_time(text) is None:
            raise scan.Wrong(len(lead), "frame_time")
        if self._stage == KIND and text and not _KIND.fullmatch(text.removesuffix('"')):
            raise scan.Wrong(len(lead), "frame_head")

    def _unfinished(self, rest: bytes) -> None:
        """Refuse an unfinished last line that no line of the writer begins with.

        Raises:
            Wrong: at its first bad sign.
        """
        wanted = {BETWEEN: FIRST_LINE, N: self._n_line(), BLANK: b""}.get(self._stage)
        if wanted is not None:
            _same(rest, wanted[: len(rest)], "frame_entry" if wanted is FIRST_LINE else "frame_n")
            return
        if self._stage != OWN:
            self._unfinished_head(rest)
        elif link_line(self._wanted_link()).startswith(rest):
            return
        decoder = codecs.getincrementaldecoder("utf-8")()
        try:
            text = decoder.decode(rest)
        except UnicodeDecodeError as fault:
            raise scan.Wrong(len(rest[: fault.start].decode()), "frame_utf8") from fault
        # bytes of a sign that was cut off stand for some sign beyond ASCII
        half = "é" if decoder.getstate()[0] else ""
        try:
            name, at = scan.key(text + half, 0)
            if self._stage == OWN:
                self._may_follow(name)
            _, end = scan.value(text + half, at)
        except scan.Cut:
            return
        if end < len(text + half):
            raise scan.Wrong(end, "frame_more")


def _same(line: bytes, wanted: bytes, code: str) -> None:
    if line != wanted:
        pairs = zip(line, wanted, strict=False)
        alike = next((i for i, (a, b) in enumerate(pairs) if a != b), min(len(line), len(wanted)))
        raise scan.Wrong(alike, code)


def _decoded(line: bytes) -> str:
    try:
        return line.decode()
    except UnicodeDecodeError as fault:
        raise scan.Wrong(len(line[: fault.start].decode()), "frame_utf8") from fault


def _name_and_value(text: str) -> tuple[str, object]:
    try:
        name, at = scan.key(text, 0)
        value, end = scan.value(text, at)
    except scan.Cut as cut:
        raise scan.Wrong(len(text), "frame_ends") from cut
    if end < len(text):
        raise scan.Wrong(end, "frame_more")
    return name, value


def _bytes_before(line: bytes, signs: int) -> int:
    """Bytes that this many signs take; the line is sound UTF-8 up to there."""
    return len(line.decode(errors="replace")[:signs].encode()) if not line.isascii() else signs


def _reason(line: bytes, wrong: scan.Wrong, stage: int) -> str:
    """The plainest reason for a bad line: what people and tools usually do to a text file."""
    if line.startswith(b"\xef\xbb\xbf"):
        return "frame_bom"
    if line.endswith(b"\r"):
        return "frame_crlf"
    if line.startswith(b"#"):
        return "frame_comment"
    if not line and stage not in (BETWEEN, BLANK):
        return "frame_blank_line"
    if line.startswith(b"[") and stage not in (BETWEEN, BLANK):
        return "frame_brackets"
    return wrong.code
