"""A file is copied beside a log on a disk that fails once at every call, or stops dead there.

Afterwards: no entry names a file that is not there as it was attached, a copy is whole or absent
under its name, and attaching again brings the file and its entry.
"""

from collections.abc import Callable
from pathlib import Path

from assaybench.logbook.attachments import Attached, attach, attachments_amiss
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import LogFile
from assaybench.logbook.opening import open_log
from assaybench.logbook.practice import new_practice
from assaybench.logbook.register import LogHead
from tests.record.frames import OPENED
from tests.reliability.faulty import Faulty, How, NoLinks, keeper
from tests.reliability.test_calls import calls_of, sound, tried, ways

NAME = LogName("MAIN", 12)
PHOTO = Attached("tray.jpg", b"photo" * 1000)
HEAD = LogHead("furnace run", 1)


def opened(book: Logbook, disk: Files | None = None) -> LogFile:
    path = book.log(NAME)
    return open_log(
        path, keeper(disk), lock=book.lock(path), first=("opened", OPENED), session=False
    )


def attached(book: Logbook, disk: Files) -> None:
    with opened(book) as log:
        log.append("note", {"text": "before"})
    with opened(book, disk) as log:
        log.append("attachment", attach(disk, book, NAME, PHOTO).keys)


def act(root: Path) -> tuple[Logbook, Callable[[Faulty], object]]:
    book = Logbook(root)
    return book, lambda disk: attached(book, disk)


@ways
def test_an_entry_never_names_a_file_that_is_not_there(
    tmp_path: Path, how: How, error: int
) -> None:
    for at in range(1, calls_of(act(tmp_path / "0")[1]) + 1):
        book, doing = act(tmp_path / str(at))
        outcome = tried(Faulty(at, how, error), doing)
        assert all(line and "\n" not in line for line in outcome.lines)
        entries = sound(book.log(NAME))
        assert [a for a in attachments_amiss(Files(), book, NAME, entries) if a.bad] == []
        held = [e for e in entries if e.kind == "attachment"]
        assert len(held) <= 1
        assert not outcome.returned or len(held) == 1
        copy = book.attached(NAME) / "tray.jpg"
        assert not copy.exists() or copy.read_bytes() == PHOTO.data
        if not held:
            attached(book, Files())
        entries = sound(book.log(NAME))
        assert attachments_amiss(Files(), book, NAME, entries) == []
        # the copy that was left serves again
        left = [p.name for p in book.attached(NAME).iterdir() if not p.name.startswith(".")]
        assert left == ["tray.jpg"]


def test_a_copy_without_an_entry_is_told_and_harmless(tmp_path: Path) -> None:
    book = Logbook(tmp_path)
    opened(book).close()
    attach(Files(), book, NAME, PHOTO)
    (told,) = attachments_amiss(Files(), book, NAME, sound(book.log(NAME)))
    assert (told.code, told.bad) == ("attachment_unnamed", False)
    assert told.sentence == '"tray.jpg" lies beside the log, and no entry names it.'


def test_files_are_attached_on_a_disk_without_hard_links(tmp_path: Path) -> None:
    book = Logbook(tmp_path)
    attached(book, NoLinks())
    assert attachments_amiss(Files(), book, NAME, sound(book.log(NAME))) == []


@ways
def test_a_practice_log_has_a_number_of_its_own_or_is_not_there(
    tmp_path: Path, how: How, error: int
) -> None:
    def doing(book: Logbook) -> Callable[[Faulty], object]:
        new_practice(book, keeper(), HEAD)[1].close()
        return lambda disk: new_practice(book, keeper(disk), HEAD)[1].close()

    for at in range(1, calls_of(doing(Logbook(tmp_path / "0"))) + 1):
        book = Logbook(tmp_path / str(at))
        outcome = tried(Faulty(at, how, error), doing(book))
        there = book.numbers(Files(), "P")
        assert there in ([1], [1, 2])
        assert not outcome.returned or there == [1, 2]
        name, log = new_practice(book, keeper(), HEAD)
        log.close()
        assert name.number == there[-1] + 1
        for number in book.numbers(Files(), "P"):
            (first, *_) = sound(book.log(LogName("P", number)))
            assert (first.values["number"], first.values["practice"]) == (number, True)
