"""Writing what a page shows to a new file, whose path the page then shows.

Whatever can be copied can be had as a file: a terminal may have no clipboard, and a stick no link.
"""

from itertools import count
from pathlib import Path

from assaybench.bench.desk import Desk
from assaybench.logbook.faults import NotDone, disk_reason
from assaybench.logbook.store import create
from assaybench.messages import say


def write_new(desk: Desk, stem: str, data: bytes) -> Path:
    """Write a new text file among the reports of the logbook; one that is there stays.

    Args:
        desk: where.
        stem: name of the file without its end; a number is added when it is taken.
        data: its content.

    Raises:
        NotDone: when the disk refuses.
        Unconfirmed: when it is there but the disk did not confirm it.
    """
    folder = desk.book.reports
    try:
        desk.files.make_folder(folder)
        for k in count(1):
            path = folder / (f"{stem}.txt" if k == 1 else f"{stem}-{k}.txt")
            if desk.files.stat(path) is not None:
                continue
            try:
                create(desk.files, path, data)
            except FileExistsError:
                continue
            return path
    except OSError as fault:
        line = say("file_not_made", name=folder.name, why=disk_reason(fault))
        raise NotDone([line]) from fault
    raise AssertionError("numbers came to an end")
