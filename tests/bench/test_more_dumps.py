"""All dumps: each page stands there at both sizes, and the plain signs are those of the printed."""

import re
from pathlib import Path

import pytest

from assaybench.bench.actions import MOST_KEYS
from assaybench.bench.characters import cells, plain
from assaybench.bench.desk import Desk
from assaybench.logbook.settings_keys import ACTIONS, EVERYWHERE
from tests.bench.books import DUMPS
from tests.bench.conftest import Clock
from tests.bench.more_dumps import dumped_more

PATHS = sorted(DUMPS.glob("*.txt"))
NAMES = {path.stem for path in PATHS}
STEMS = {
    "compare": "compared",
    "guided": "guided-result",
    "help": "help-of-contents",
    "sealing": "seal",
    "table": "people",
    "two": "two-figures",
}
"""Dumps of pages that go by another word."""
PAGES = sorted({page for action in ACTIONS if action.pages != EVERYWHERE for page in action.pages})
PRINTED = sorted(name.removesuffix("-ascii") for name in NAMES if name.endswith("-ascii"))


def text_of(name: str) -> str:
    return (DUMPS / f"{name}.txt").read_text(encoding="utf-8")


def test_the_pages_are_as_they_were_dumped(desk: Desk, clock: Clock) -> None:
    pages = dumped_more(desk, clock)
    kept = {path.stem: path.read_text(encoding="utf-8") for path in PATHS}
    assert pages == {name: kept.get(name, "") for name in pages}


@pytest.mark.parametrize("page", [*PAGES, "idle"])
def test_each_page_stands_among_the_dumps_at_both_sizes(page: str) -> None:
    stem = STEMS.get(page, page)
    assert NAMES & {stem, f"{stem}-80x24"}
    assert f"{stem}-120x40" in NAMES


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_a_dump_has_its_size_and_a_key_line_of_single_words(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    assert (len(lines), max(map(cells, lines)) < 120) in [(24, True), (40, True)]
    if len(lines) == 24:
        assert max(map(cells, lines)) < 80
    entries = re.split(r" {3,}", lines[-1].strip())
    assert len(entries) <= MOST_KEYS
    assert all(len(entry.split(" ")) == 2 for entry in entries if entry)


@pytest.mark.parametrize("name", PRINTED)
def test_plain_signs_stand_one_for_one_where_the_printed_ones_stand(name: str) -> None:
    printed = text_of(next(n for n in (name, f"{name}-80x24") if n in NAMES)).splitlines()
    drawn = text_of(f"{name}-ascii").splitlines()
    assert "".join(drawn).isascii()
    # a page may say in its own words that it draws with plain signs only
    assert [plain(line) for line in printed] == drawn
