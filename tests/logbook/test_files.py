"""The calls to the disk themselves, where what they promise is more than their name says."""

from pathlib import Path

import pytest

from assaybench.logbook.files import Files


def test_only_an_empty_folder_is_taken_away(tmp_path: Path) -> None:
    empty, full = tmp_path / "empty", tmp_path / "full"
    empty.mkdir()
    full.mkdir()
    (full / "000001.toml").write_bytes(b"kept")
    (tmp_path / "way").symlink_to(empty)
    for path in (full, full / "000001.toml", tmp_path / "way", tmp_path / "nowhere"):
        with pytest.raises(OSError, match=path.name):
            Files().remove_folder(path)
    assert (full / "000001.toml").read_bytes() == b"kept"
    assert (tmp_path / "way").is_symlink()
    Files().remove_folder(empty)
    assert not empty.exists()
