"""Two keys, a tool that made one, and rows of allowed signers."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from assaybench.logbook.allowed_signers import (
    Listed,
    read_signers,
)
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from tests.logbook import ssh_tools
from tests.logbook.sealed_books import TestKey

KEY, OTHER = TestKey().key, TestKey("A. Moor", 8).key
NOON = datetime(2026, 6, 9, 12, 0, 0, tzinfo=UTC)


def one(text: str) -> Listed:
    rows, faults = read_signers(text.encode())
    assert faults == []
    (row,) = rows
    return row


@pytest.fixture(scope="module")
def tool_key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ssh_tools.made(tmp_path_factory.mktemp("key"), "key")


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    made = Logbook(tmp_path / "book")
    made.make(Files())
    return made
