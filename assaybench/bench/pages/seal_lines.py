"""The lines of the page of the seal: what would be signed, and what was done."""

from collections.abc import Sequence

from assaybench.bench.across import Across
from assaybench.bench.set_lines import bold, led_lines
from assaybench.bench.sheet import BLOCK_WIDTH, Line, line
from assaybench.logbook.folder import Logbook
from assaybench.logbook.seal import Sealed
from assaybench.logbook.seal_look import Ready
from assaybench.logbook.statements import Stated
from assaybench.messages import say
from assaybench.record.checks import checks
from assaybench.report import seal_view
from assaybench.report.answer import Section
from assaybench.report.results_view import check_sections

Block = list[Line]
_PIECE = 48
"""Signs of a digest on one line."""


def review_blocks(ready: Ready, found: Across | None) -> list[Block]:
    """How much would be signed, then each thing by its name; of a seal begun, what is left.

    Args:
        ready: the log.
        found: the determinations across the logbook; None as long as nobody knows.
    """
    rows = Section(say("seal_to_sign", name=ready.name.spelled), seal_view.review_rows(ready))
    sections = [rows]
    if ready.review is not None and ready.found is not None:
        sections += seal_view.review_sections(ready.review)
        sections += found.sections() if found is not None else []
        sections += check_sections(checks(ready.found), ())
    return [_block(section) for section in sections]


def done_blocks(
    book: Logbook, sealed: Sealed, commands: Sequence[tuple[str, str]], written: str
) -> list[Block]:
    """What was done, the digest, the key, the mark, and the commands that check it.

    Args:
        book: the logbook.
        sealed: the seal.
        commands: what each does, and the command.
        written: the file that holds them, empty when it could not be written.
    """
    found = [_block(Section(say("seal_done"), seal_view.sealed_rows(sealed)))]
    found += map(_long, seal_view.sealed_sections(book, sealed)[:-1])
    for title, command in commands:
        found.append([bold(title), *_pieces(command, BLOCK_WIDTH - 2)])
    if written:
        found.insert(1, [bold(say("seal_commands")), *_pieces(written, BLOCK_WIDTH - 2)])
    return found


def stated_blocks(book: Logbook, stated: Stated) -> list[Block]:
    """What a statement says, the digest of its log, the key, and the command that checks it.

    Args:
        book: the logbook.
        stated: the statement.
    """
    rows = Section(say("countersigned"), seal_view.stated_rows(stated))
    return [_block(rows), *map(_long, seal_view.stated_sections(book, stated))]


def _long(section: Section) -> Block:
    """A digest, a key or a command: on one line where it has room, else in even pieces."""
    text = "".join(row[0] for row in section.rows)
    whole = len(text) <= BLOCK_WIDTH - 2 or " " in text
    return [bold(section.title), *_pieces(text, BLOCK_WIDTH - 2 if whole else _PIECE)]


def _block(section: Section) -> Block:
    rows = [one for label, value in section.rows for one in led_lines(label, value)]
    return [bold(section.title), *rows]


def _pieces(text: str, most: int) -> Block:
    """A long text cut at the edge: what is typed stands in the file."""
    return [line(f"  {text[at : at + most]}") for at in range(0, len(text), most)]
