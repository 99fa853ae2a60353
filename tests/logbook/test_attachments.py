"""Files beside a log: their names, copies made once, and what is told when one was changed."""

import os
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.logbook import attachments
from assaybench.logbook.attachments import (
    LARGEST_ATTACHMENT,
    LONGEST_NAME,
    Attached,
    attach,
    attachments_amiss,
    file_of,
    safe_name,
)
from assaybench.logbook.files import Files
from assaybench.logbook.folder import DEVICES, Logbook, LogName
from assaybench.messages import BadInput
from assaybench.record.check import faults
from assaybench.record.kinds import BY_NAME
from tests.record.trays import entries_of

NAME = LogName("MAIN", 1)


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    made = Logbook(tmp_path / "book")
    made.logs("MAIN").mkdir(parents=True)
    return made


def kept(book: Logbook, name: str = "tray.jpg", data: bytes = b"photo") -> Attached:
    return attach(Files(), book, NAME, Attached(name, data))


def amiss(book: Logbook, *held: Attached) -> list[tuple[int, str]]:
    entries = entries_of([("attachment", one.keys) for one in held])
    return [(one.n, one.code) for one in attachments_amiss(Files(), book, NAME, entries)]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("tray.jpg", "tray.jpg"),
        ("folder/tray 12.jpg", "tray 12.jpg"),
        ("..\\..\\tray.jpg", "__.._tray.jpg"),
        (".hidden", "_hidden"),
        ("Beleg Überprüfung.pdf", "Beleg Überprüfung.pdf"),
        ("a\x1b[2J\u202eb.jpg", "a__2J_b.jpg"),
        ("con.txt", "_con.txt"),
        ("x" * 300 + ".jpg", "x" * 96 + ".jpg"),
        ("photo. ", "photo_"),
    ],
)
def test_a_name_is_made_safe(text: str, name: str) -> None:
    assert safe_name(text) == name


@pytest.mark.parametrize("text", ["", "/", "...", "___", " "])
def test_a_name_of_which_nothing_is_left_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="has no file name"):
        safe_name(text)


@given(st.text(max_size=200))
def test_a_safe_name_stays_as_it_is_and_can_stand_in_an_entry(text: str) -> None:
    try:
        name = safe_name(text)
    except BadInput:
        return
    assert safe_name(name) == name
    assert len(name) <= LONGEST_NAME + 1
    assert Path(name).name == name
    assert not name.startswith((".", "-", " "))
    assert not DEVICES.fullmatch(name.split(".")[0].upper())
    assert faults(BY_NAME["attachment"], Attached(name, b"").keys) == []


def test_a_file_is_read_with_its_size_and_digest(tmp_path: Path) -> None:
    path = tmp_path / "tray.jpg"
    path.write_bytes(b"photo")
    keys = file_of(Files(), path).keys
    assert keys == {"file": "tray.jpg", "size": 5, "sha256": sha256(b"photo").hexdigest()}
    path.write_bytes(b"")
    assert file_of(Files(), path).keys["size"] == 0


def test_what_is_no_file_is_refused_with_its_reason(tmp_path: Path) -> None:
    def said(path: Path) -> str:
        with pytest.raises(BadInput) as caught:
            file_of(Files(), path)
        (line,) = caught.value.lines
        return line

    assert "there is no such file or folder" in said(tmp_path / "none.jpg")
    assert "there is no such file or folder" in said(tmp_path / "none" / "a\0b")
    assert said(tmp_path).endswith("is a folder. Give one file.")
    os.mkfifo(tmp_path / "pipe")
    # a pipe would be waited for without end
    assert said(tmp_path / "pipe").endswith("is no ordinary file. Give one file, such as a photo.")
    assert "is no ordinary file" in said(Path(os.devnull))
    large = tmp_path / "film.mp4"
    with large.open("wb") as file:
        file.truncate(LARGEST_ATTACHMENT + 1)
    assert said(large) == ('"film.mp4" has 50000001 bytes; at most 50000000 are kept beside a log.')
    large.write_bytes(b"short")
    if os.geteuid():  # the administrator reads everything
        large.chmod(0)
        assert "you have no right to do this here" in said(large)


def test_other_bytes_of_the_same_name_are_numbered_and_the_same_are_kept_once(
    book: Logbook,
) -> None:
    assert kept(book).name == "tray.jpg"
    assert kept(book, data=b"other").name == "tray-2.jpg"
    assert kept(book, data=b"third").name == "tray-3.jpg"
    assert kept(book, data=b"other").name == "tray-2.jpg"
    assert kept(book).name == "tray.jpg"
    found = {path.name: path.read_bytes() for path in book.attached(NAME).iterdir()}
    assert found == {"tray.jpg": b"photo", "tray-2.jpg": b"other", "tray-3.jpg": b"third"}


def test_a_name_that_is_taken_for_ever_is_told(book: Logbook) -> None:
    folder = book.attached(NAME)
    folder.mkdir()
    for k in range(1, attachments.MOST_COPIES + 1):
        (folder / ("t.jpg" if k == 1 else f"t-{k}.jpg")).write_bytes(b"%d" % k)
    with pytest.raises(BadInput, match=r"000001\.attached has 999 files called like"):
        kept(book, "t.jpg", b"x")


def test_what_is_as_it_was_attached_is_not_told(book: Logbook) -> None:
    assert amiss(book) == []
    assert amiss(book, kept(book), kept(book, data=b"other"), kept(book)) == []


def test_a_missing_a_changed_and_an_unnamed_file_are_told(book: Logbook) -> None:
    held = [kept(book, f"{k}.jpg", b"photo") for k in range(4)]
    folder = book.attached(NAME)
    (folder / "0.jpg").unlink()
    (folder / "1.jpg").write_bytes(b"Photo")
    (folder / "2.jpg").write_bytes(b"longer than it was")
    assert amiss(book, *held) == [
        (1, "attachment_gone"),
        (2, "attachment_changed"),
        (3, "attachment_changed"),
    ]
    (folder / "3.jpg").unlink()
    (folder / "3.jpg").mkdir()
    kept(book, "left.jpg")
    assert amiss(book, *held)[-2:] == [(4, "attachment_changed"), (0, "attachment_unnamed")]
    entries = entries_of([("attachment", held[0].keys)])
    (gone, *_) = attachments_amiss(Files(), book, NAME, entries)
    assert gone.bad
    assert gone.sentence == 'Entry 1: its file "0.jpg" is not beside the log.'


def test_a_withdrawn_entry_misses_nothing(book: Logbook) -> None:
    held = kept(book)
    (book.attached(NAME) / "tray.jpg").unlink()
    gone = ("withdrawn", {"entry": 1, "reason": "wrong photo"})
    entries = entries_of([("attachment", held.keys), gone])
    assert attachments_amiss(Files(), book, NAME, entries) == []


def test_an_entry_never_makes_a_file_elsewhere_be_read(book: Logbook) -> None:
    """A log that something else wrote may name anything."""
    for name in ("../000001.toml", "/etc/passwd", "a/b", ".", ".."):
        entries = entries_of([("attachment", {**Attached("x", b"").keys, "file": name})])
        (told,) = attachments_amiss(Files(), book, NAME, entries)
        assert (told.code, told.path) == ("attachment_strange", book.attached(NAME))


def test_a_kept_file_is_guarded_against_slips(book: Logbook) -> None:
    held = kept(book)
    assert (book.attached(NAME) / held.name).stat().st_mode & 0o222 == 0


def test_what_a_copy_that_was_cut_off_left_is_taken_away_by_the_next(book: Logbook) -> None:
    kept(book)
    folder = book.attached(NAME)
    (folder / ".photo 2.jpg.tmp").write_bytes(b"ha")
    for own in (".tmp", ".-.tmp", "tray.tmp", ".other"):
        (folder / own).write_bytes(b"not of a copy")
    (folder / ".folder.tmp").mkdir()
    kept(book, "second.jpg", b"another")
    left = {".tmp", ".-.tmp", "tray.tmp", ".other", ".folder.tmp", "tray.jpg", "second.jpg"}
    assert {path.name for path in folder.iterdir()} == left
