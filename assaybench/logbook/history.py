"""The logs behind a reissued log, read from the disk and held against the digest it names."""

from collections.abc import Sequence
from hashlib import sha512
from pathlib import Path

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.store import read_all
from assaybench.messages import say
from assaybench.record.entries import Entry
from assaybench.record.frame import LARGEST_LOG
from assaybench.record.frame_read import Reader
from assaybench.record.kinds import BY_NAME
from assaybench.record.reissue import Part, Replaced, replaced


def history(files: Files, path: Path, entries: Sequence[Entry]) -> list[Part]:
    """The logs that make up a history, the oldest first; one alone where nothing was replaced.

    Args:
        files: the disk.
        path: the newest log; those it replaces stand beside it, under their numbers.
        entries: its own entries.

    Raises:
        NotDone: when a replaced log is not there, cannot be read, or is not as it was.
    """
    number = entries[0].values.get("number") if entries else 0
    parts = [Part(number if isinstance(number, int) else 0, entries)]
    while (old := replaced(parts[0].entries)) is not None:
        name = f"{old.number:06}.toml"
        # a log is only ever replaced by one with a larger number, so this comes to an end
        data = read_all(files, path.with_name(name), LARGEST_LOG) if _before(old, parts) else None
        if data is None:
            raise NotDone([say("old_log_missing", name=path.name, old=name)])
        if sha512(data).hexdigest() != old.sha512:
            raise NotDone([say("old_log_changed", name=path.name, old=name)])
        reader = Reader(BY_NAME)
        parts.insert(0, Part(old.number, reader.feed(data)))
        if reader.end().state != "sound":
            raise NotDone([say("old_log_changed", name=path.name, old=name)])
    return parts


def _before(old: Replaced, parts: Sequence[Part]) -> bool:
    return old.number < parts[0].number
