"""What the tests of the bench share: a throw-away logbook and a clock that stands."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.settings_fields import Settings

MORNING = datetime.fromisoformat("2026-06-09T14:31:00.000+02:00")


class Clock:
    """A clock that goes on only when it is told."""

    def __init__(self) -> None:
        self.now = MORNING

    def __call__(self) -> datetime:
        return self.now

    def go_on(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)


def desk_in(folder: Path, clock: Clock) -> Desk:
    """A desk on an empty logbook; KB works at it."""
    return Desk(
        Logbook(folder / "logbook"),
        "MAIN",
        Files(),
        "assaybench test",
        clock,
        Settings(initials="KB"),
        practice=folder / "practice",
        cache=folder / "cache",
        key_file=folder / "config" / "signing_key",
    )


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Desk:
    return desk_in(tmp_path, clock)
