"""The note of the last check: kept in the cache, read back, and done without where it cannot be."""

from datetime import datetime
from pathlib import Path

import pytest

from assaybench.logbook.checked import Checked, checked_file, last_checked, note_checked
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook

CHECKED = Checked(datetime.fromisoformat("2026-06-08T17:05:00+02:00"), 146, 1)


def test_it_is_read_back_as_it_was_noted(tmp_path: Path) -> None:
    path = checked_file(Logbook(tmp_path / "book"), tmp_path / "cache")
    note_checked(Files(), path, CHECKED)
    assert last_checked(Files(), path) == CHECKED
    later = CHECKED._replace(logs=147, status=0)
    note_checked(Files(), path, later)
    assert last_checked(Files(), path) == later


def test_each_logbook_has_its_own(tmp_path: Path) -> None:
    names = {checked_file(Logbook(tmp_path / name), tmp_path) for name in ("a", "b")}
    assert len(names) == 2


@pytest.mark.parametrize(
    "data",
    [b"", b"\xff\xfe", b"at = 2026-06-08", b"at = 2026-06-08T10:00:00\nlogs = 1\nstatus = 0\n",
     b"at = 1\nlogs = 1\nstatus = 0\n", b"x" * 5000, b"at = = ="],
)  # fmt: skip
def test_a_note_that_was_spoilt_is_no_note(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "note"
    path.write_bytes(data)
    assert last_checked(Files(), path) is None


def test_a_cache_that_cannot_be_written_or_read_is_done_without(tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file where a folder should be")
    path = tmp_path / "cache" / "note"
    note_checked(Files(), path, CHECKED)
    assert last_checked(Files(), path) is None
    assert last_checked(Files(), tmp_path) is None
