"""The sealed logbook of demo/: made again to the byte, good by verify, checked by ssh-keygen."""

import shutil
import subprocess
from functools import cache
from pathlib import Path

import pytest

from assaybench.bench.start import make_demo
from assaybench.logbook import sshsig
from assaybench.logbook.attachments import attachments_amiss
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.importing import demo_folder
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.logbook.survey import read_register
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.record.entries import Entry
from assaybench.record.reissue import replaced
from tests.demo import make_logbook
from tests.demo.make_logbook import BENCH, DEMO, FARROW, QUIST, SELF_TEST
from tests.logbook.sealable import content, tool_says
from tests.reliability.faulty import keeper

BOOK = Logbook(DEMO / "logbook")
NUMBERS = range(1, 9)
SEALED = (1, 2, 4, 5, 6, 7)


@cache
def entries(n: int) -> list[Entry]:
    found, verdict = read_log(Files(), BOOK.log(LogName(BENCH, n)))
    assert verdict.state == "sound"
    return found


def verified(book: Logbook) -> Verified:
    result = Verified()
    verify_book(Files(), book, Ask(processes=1), result=result)
    return result


def test_the_script_makes_it_again_to_the_byte(tmp_path: Path) -> None:
    """Also the figures: when a method changes one, the script is run again."""
    make_logbook.make(tmp_path / "logbook")
    assert content(Logbook(tmp_path / "logbook")) == content(BOOK)


def test_it_is_good_and_every_figure_recomputes() -> None:
    found = verified(BOOK)
    assert found.status == 0
    assert found.counts == {"sealed": 6, "void": 1, "open": 1}
    assert found.recomputed == {"recomputes": 6}
    # the one thing to know of it: a log replaces another
    assert [(f.level, f.code) for f in found.findings] == [("note", "verify_replaces")]
    assert found.levels == {"note": 1}


def test_it_holds_one_of_everything() -> None:
    state = read_register(Files(), BOOK.register(BENCH)).state
    assert [n for n in NUMBERS if state.numbers[n].seal] == list(SEALED)
    assert [n for n in NUMBERS if state.numbers[n].void] == [3]
    assert [n for n in NUMBERS if BOOK.statement(LogName(BENCH, n), 1).exists()] == [4]
    kept = [n for n in NUMBERS if any(e.kind == "attachment" for e in entries(n))]
    assert kept == [1, 6]
    opened = [entries(n)[0].values["log"] for n in NUMBERS]
    assert (opened[0], opened[5]) == ("self-test", "circuit test")
    old = replaced(entries(5))
    assert old is not None
    assert old.number == 2
    named = [e.values for e in entries(5) if e.kind == "amendment"]
    assert [(v["log"], v["entry_kind"]) for v in named] == [(2, "reading")]
    assert [e.kind for e in entries(8)][-1] == "reading"


def test_every_file_beside_a_log_is_as_it_was_attached() -> None:
    for n in NUMBERS:
        name = LogName(BENCH, n)
        assert not attachments_amiss(Files(), BOOK, name, entries(n))
    kept = BOOK.attached(LogName(BENCH, 1)) / "self-test-assaybench-0.1.0.toml"
    assert kept.read_bytes() == SELF_TEST.read_bytes()


@pytest.mark.parametrize("n", SEALED)
def test_the_tool_of_openssh_accepts_each_log_and_mark(n: int) -> None:
    name, who = LogName(BENCH, n), "DEMO-KEY-PUBLIC.Quist"
    assert tool_says(BOOK, BOOK.log(name), sshsig.LOG, who)
    assert tool_says(BOOK, BOOK.mark(name), sshsig.MARK, who)


def test_the_tool_of_openssh_accepts_the_statement() -> None:
    statement = BOOK.statement(LogName(BENCH, 4), 1)
    assert tool_says(BOOK, statement, sshsig.STATEMENT, "DEMO-KEY-PUBLIC.Farrow")
    assert not tool_says(BOOK, statement, sshsig.STATEMENT, "DEMO-KEY-PUBLIC.Quist")


def test_each_key_says_that_it_is_public_and_the_note_tells_how_to_make_it() -> None:
    note = (DEMO / "DEMO-KEYS.txt").read_text("utf-8")
    for key in (QUIST, FARROW):
        assert key.name.startswith("DEMO-KEY-PUBLIC ")
        for text in (key.name, key.key.fingerprint, key.sentence):
            assert f"{text}\n" in note
    named = BOOK.allowed_signers.read_text("utf-8").splitlines()
    keys = [line.partition(" ")[0] for line in named if not line.startswith("#")]
    assert keys == ["DEMO-KEY-PUBLIC.Quist", "DEMO-KEY-PUBLIC.Farrow"]


def test_nothing_stands_in_it_but_the_record() -> None:
    assert not (BOOK.root / "locks").exists()
    assert not list(BOOK.root.rglob("*.torn-*"))
    assert "* -text\n" in (BOOK.root / ".gitattributes").read_text("utf-8")


def test_git_gives_back_the_same_bytes_whatever_line_ends_it_likes(tmp_path: Path) -> None:
    source, clone = tmp_path / "source", tmp_path / "clone"
    shutil.copytree(BOOK.root, source / "logbook")
    git = ["git", "-c", "user.name=x", "-c", "user.email=x", "-c", "core.autocrlf=true"]
    for words in (["init", "-q"], ["add", "."], ["commit", "-q", "-m", "x"]):
        subprocess.run([*git, *words], cwd=source, check=True, capture_output=True, timeout=60)
    line = [*git, "clone", "-q", "--no-hardlinks", str(source), str(clone)]
    subprocess.run(line, check=True, capture_output=True, timeout=60)
    assert content(Logbook(clone / "logbook")) == content(BOOK)


def test_the_bench_opens_a_copy_that_takes_entries(tmp_path: Path) -> None:
    assert demo_folder().joinpath("logbook").is_dir()
    copy = Logbook(tmp_path / "logbook")
    make_demo(copy)
    assert content(copy) == content(BOOK)
    path = copy.log(LogName(BENCH, 8))
    before = len(entries(8))
    with open_log(path, keeper(), lock=copy.lock(path), session=False) as log:
        log.append("note", {"text": "a word of my own"})
    after, verdict = read_log(Files(), path)
    assert (len(after), verdict.state) == (before + 1, "sound")
    assert verified(copy).status == 0
