"""A self-test record on a disk that fails once at every call, or stops dead there.

Afterwards: every log is sound, no entry names a file that is not there, a record that was said to
be kept is whole, and a log that was made for one that failed is named.
"""

from collections.abc import Callable
from pathlib import Path

from assaybench.cli.logbooks import Desk
from assaybench.cli.selftest import keep
from assaybench.logbook.attachments import attachments_amiss
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.selftest_record import Surroundings
from assaybench.logbook.settings_fields import Settings
from assaybench.published.run import load_cases
from assaybench.published.selftest import check_all
from tests.reliability.faulty import Faulty, How, keeper
from tests.reliability.test_calls import calls_of, sound, tried, ways

ONE = LogName("MAIN", 1)
CHECKED = check_all(load_cases()[:2])
AROUND = Surroundings("CPython 3.11.2", "Linux x86_64", (("click", "8.1.7"),))


def act(root: Path) -> tuple[Logbook, Callable[[Faulty], object]]:
    book = Logbook(root)

    def kept(disk: Faulty) -> None:
        desk = Desk(book, "MAIN", disk, "KB", Settings(), Logbook(root / "practice"))
        keep(desk, {"by": None}, keeper(disk), None, CHECKED, AROUND)

    return book, kept


@ways
def test_a_record_is_whole_or_what_is_left_of_it_is_told(
    tmp_path: Path, how: How, error: int
) -> None:
    for at in range(1, calls_of(act(tmp_path / "0")[1]) + 1):
        book, doing = act(tmp_path / str(at))
        outcome = tried(Faulty(at, how, error), doing)
        assert all(line and "\n" not in line for line in outcome.lines)
        path = book.log(ONE)
        entries = sound(path) if path.exists() else []
        assert [a for a in attachments_amiss(Files(), book, ONE, entries) if a.bad] == []
        kinds = [entry.kind for entry in entries]
        assert kinds in ([], ["opened"], ["opened", "attachment"], ["opened", "attachment", "note"])
        assert not outcome.returned or len(kinds) == 3
        if outcome.lines and kinds:
            assert any("MAIN-000001" in line or path.name in line for line in outcome.lines)
