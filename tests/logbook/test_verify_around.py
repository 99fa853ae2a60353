"""What stands around the logs: copies, strangers, forks, other benches; keys; many processes."""

import multiprocessing
import os
import shutil
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.allowed_signers import named_here, read_signers, written
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.logbook.verify_bench import MOST_TOLD, listing
from assaybench.logbook.verify_found import Found, Signer, found
from assaybench.logbook.verify_keys import Keys, Named
from assaybench.logbook.verify_log import LogJob
from assaybench.logbook.verify_pool import cores, look_at_all
from assaybench.record.entries import Entry
from assaybench.record.kinds import BY_NAME
from tests.logbook.sealed_books import NOON, Maker, TestKey, Writing, made
from tests.logbook.verify_cases import check, codes, log, mark, sig

DAHL = TestKey("A. Dahl", 9)


@pytest.fixture
def maker(tmp_path: Path) -> Maker:
    maker = made(tmp_path / "book", (1, 2))
    maker.log(3, sealed=False)
    maker.done()
    return maker


# --- strangers, copies, forks --------------------------------------------------------------------


def test_names_of_a_folder_are_sorted_out(tmp_path: Path) -> None:
    for name in (
        "000001.toml", "000001.toml.sig", "000001.statement-1.toml", "000001.statement-1.toml.sig",
        "000001.torn-1", "000002.toml.sig", "000003.statement-2.toml.sig", "000003.toml",
        "000004.statement-1.toml", ".000001.toml.tmp", "photo.jpg", "000001 (copy).toml",
    ):  # fmt: skip
        (tmp_path / name).touch()
    (tmp_path / "000003.attached").mkdir()
    (tmp_path / "000009.attached").mkdir()
    there = listing(Files(), tmp_path)
    assert there.numbers == [1, 3]
    assert there.beside[1] == ("000001.statement-1.toml", "000001.torn-1")
    assert there.beside[3] == ("000003.attached",)
    assert sorted(there.lost) == [
        "000002.toml.sig", "000003.statement-2.toml.sig", "000004.statement-1.toml",
        "000009.attached",
    ]  # fmt: skip
    assert there.unknown == ["000001 (copy).toml", "photo.jpg"]


def test_a_file_that_is_no_part_of_a_logbook_is_told_and_harmless(maker: Maker) -> None:
    (maker.book.logs("MAIN") / "tray.jpg").write_bytes(b"\xff\xd8")
    (maker.book.logs("MAIN") / "readme.toml").write_bytes(b"x = 1\n")
    (mark(maker, 1).parent / "old.txt").write_bytes(b"x")
    (maker.book.registers / "notes.txt").write_bytes(b"x")
    result = check(maker.book)
    assert result.status == 0
    assert [f.code for f in result.findings] == ["verify_stranger"] * 4


def test_a_copy_of_a_log_is_told_whole_or_as_it_was_earlier(maker: Maker) -> None:
    data = log(maker, 3).read_bytes()
    copy = log(maker, 3).with_name("000003 (copy).toml")
    for content in (data, data[: data.rindex(b"[[entry]]\n")]):
        copy.write_bytes(content)
        result = check(maker.book)
        assert (result.status, codes(result, "note")) == (0, {"verify_copy"})


def test_two_histories_of_one_log_are_a_fork(maker: Maker) -> None:
    """Two people went on with copies of one open log, and a synchroniser kept both."""
    theirs = Writing(BY_NAME, NOON)
    for entry in maker.parts[3].entries:
        theirs.at = entry.at
        theirs.add(entry.kind, entry.values)
    shared = theirs.chain.n
    theirs.add("note", {"text": "cup B6 was dull"})
    with log(maker, 3).open("ab") as ours:
        mine = Writing(BY_NAME, NOON)
        mine.chain.n, mine.chain.link = shared, maker_link(maker)
        mine.add("note", {"text": "all cups bright"})
        ours.write(mine.data)
    log(maker, 3).with_name("000003-laptop.toml").write_bytes(theirs.data)
    result = check(maker.book)
    (told,) = [f for f in result.findings if f.code == "verify_fork"]
    assert f"MAIN-000003 forked after entry {shared}: 000003-laptop.toml" in told.sentence
    assert result.status == 1


def maker_link(maker: Maker) -> str:
    return log(maker, 3).read_bytes().decode().rsplit('link = "', 1)[1][:64]


def test_a_copy_of_a_log_that_is_gone_is_told(maker: Maker) -> None:
    log(maker, 3).rename(log(maker, 3).with_name("000003.old.toml"))
    assert codes(check(maker.book)) == {"verify_gap", "verify_copy_alone"}


def test_many_strangers_are_counted_and_the_first_of_them_told(maker: Maker) -> None:
    for k in range(MOST_TOLD + 20):
        (maker.book.logs("MAIN") / f"{k}.jpg").touch()
    result = check(maker.book)
    assert [f.code for f in result.findings].count("verify_stranger") == MOST_TOLD
    (told,) = [f for f in result.findings if f.code == "verify_more_strangers"]
    assert told.sentence.startswith("And 20 more")


def test_a_second_mark_of_one_number_is_told(maker: Maker) -> None:
    mark(maker, 1).with_name("000001 (2).toml").write_bytes(mark(maker, 1).read_bytes())
    assert codes(check(maker.book)) == {"verify_mark_copy"}


def test_registers_that_grew_apart_are_told(maker: Maker) -> None:
    before = bytes(maker.register.data)
    maker.log(4, sealed=False)
    maker.done()
    other = Maker(maker.root.parent / "other")
    for n in (1, 2):
        other.log(n)
    other.log(3, sealed=False)
    assert bytes(other.register.data) == before
    other.register.add("void", {"number": 3, "reason": "stopped"})
    copy = maker.book.registers / "MAIN (laptop).toml"
    copy.write_bytes(other.register.data)
    assert codes(check(maker.book)) == {"forked_registers", "register_stranger"}
    copy.write_bytes(before)
    result = check(maker.book)
    assert codes(result) == {"register_stranger"}
    assert "register_copy" in codes(result, "note")


def test_two_histories_in_one_register_are_told(maker: Maker) -> None:
    """A careless merge of two copies: both go on from the same link."""
    before = bytes(maker.register.data)
    place = maker.register.chain.place
    maker.register.add("void", {"number": 3, "reason": "stopped"})
    mine = bytes(maker.register.data)[len(before) :]
    maker.register.chain.back_to(place)
    maker.register.add("void", {"number": 3, "reason": "went on elsewhere"})
    theirs = bytes(maker.register.data)[len(before) + len(mine) :]
    maker.book.register("MAIN").write_bytes(before + mine + theirs)
    assert codes(check(maker.book)) == {"forked_inside"}


def test_the_logbooks_of_two_benches_carried_into_one_folder_hold(tmp_path: Path) -> None:
    east, west = Maker(tmp_path / "east", "EAST"), Maker(tmp_path / "west", "WEST", DAHL)
    for n in (1, 2, 3):
        east.log(n)
        west.log(n)
    east.done()
    west.done()
    both = tmp_path / "both"
    for root in (east.root, west.root):
        shutil.copytree(root, both, dirs_exist_ok=True)
    # each wrote the signers it knew: the one that came last names but one of them
    result = check(type(east.book)(both))
    assert (result.status, result.counts) == (0, {"sealed": 6})
    assert codes(result, "note") == {"signers_behind"}
    rows = [named_here("K.Berg", east.key.key), named_here("A.Dahl", DAHL.key)]
    rows.sort(key=lambda row: row.key.blob)
    (both / "allowed_signers").write_bytes(written(rows))
    assert codes(check(type(east.book)(both)), "note") == set()
    assert [r.bench for r in result.registers] == ["EAST", "WEST"]
    shutil.copy(both / "logs/EAST/000002.toml", both / "logs/WEST/000002.toml")
    assert "verify_other" in codes(check(type(east.book)(both)))


def test_a_name_with_control_signs_does_not_reach_the_terminal(maker: Maker) -> None:
    (maker.book.logs("MAIN") / "\x1b[2Jnice\n.jpg").touch()
    (told,) = check(maker.book).findings
    assert told.sentence == "·[2Jnice·.jpg is no part of a logbook.\nMove it out."


def test_a_file_of_signers_may_be_spelled_otherwise_but_name_nobody_else(maker: Maker) -> None:
    path, key = maker.book.allowed_signers, maker.key.key
    path.write_bytes(path.read_bytes().replace(b"# Keys", b"# keys"))
    result = check(maker.book)
    assert (result.status, codes(result, "note")) == (0, {"signers_spelled"})
    for row in (named_here("Somebody", key), named_here("K.Berg", key)._replace(namespaces=())):
        path.write_bytes(written([row]))
        assert codes(check(maker.book)) == {"signers_unnamed"}


# --- keys ----------------------------------------------------------------------------------------


def test_a_key_that_you_name_is_told_from_one_that_the_logbook_names(maker: Maker) -> None:
    key = maker.key.key
    mine = tuple(read_signers(written([named_here("me", key)]))[0])
    for named in (Named(fingerprints=frozenset({key.fingerprint})), Named(mine)):
        ask = Ask(processes=1, named=named, require_trusted=True)
        result = check(maker.book, ask)
        assert (result.status, result.keys[0].trust) == (0, "named")
    result = check(maker.book, Ask(processes=1, require_trusted=True))
    assert codes(result) == {"verify_not_trusted"}
    other = Named(fingerprints=frozenset({DAHL.key.fingerprint}))
    result = check(maker.book, Ask(processes=1, named=other, require_trusted=True))
    assert codes(result) == {"verify_not_trusted"}


def signer(at: datetime) -> Signer:
    return Signer(at, "K. Berg", "assayer", "weighed", "")


def event(kind: str, at: datetime, since: datetime | None = None) -> Entry:
    return Entry(1, at, "KB", "signer", {"event": kind, **({"since": since} if since else {})})


@pytest.mark.parametrize(
    ("events", "hours", "told"),
    [
        ((), 0, set()),
        ((("retired", None),), -1, set()),
        ((("retired", None),), 0, {"key_retired_before"}),
        ((("retired", None), ("compromised", -5)), -6, set()),
        ((("retired", None), ("compromised", -5)), -5, {"key_compromised_before"}),
        ((("compromised", -5), ("compromised", -9)), -8, {"key_compromised_before"}),
    ],
)
def test_a_key_is_judged_at_the_time_of_the_seal(
    events: tuple[tuple[str, int | None], ...], hours: int, told: set[str]
) -> None:
    key = TestKey().key
    entries = [
        event(kind, NOON, None if since is None else NOON + timedelta(hours=since))
        for kind, since in events
    ]
    keys = Keys(Named(), [named_here("K.Berg", key)], {key.fingerprint: entries})
    use, findings = keys.judge(key, sshsig.LOG, signer(NOON + timedelta(hours=hours)), "x")
    assert {f.code for f in findings} == told
    later = {f.code for f in keys.told()}
    compromised = any(kind == "compromised" for kind, _ in events)
    assert later == ({"key_compromised_after"} if compromised else set())
    assert use.logs == 1


def test_a_line_for_another_time_or_another_kind_of_file_does_not_name_a_key() -> None:
    key, at = TestKey().key, NOON.astimezone(UTC)
    row = named_here("K.Berg", key)
    for other in (
        row._replace(before=at - timedelta(seconds=1)),
        row._replace(after=at + timedelta(seconds=1)),
        row._replace(namespaces=(sshsig.MARK,)),
    ):
        for named, listed in ((Named((other,)), []), (Named(), [other])):
            keys = Keys(named, listed, {})
            _, findings = keys.judge(key, sshsig.LOG, signer(NOON), "x")
            assert [f.code for f in findings] == ["key_not_then"]


def test_a_logbook_with_a_key_that_others_had_says_so(maker: Maker) -> None:
    maker.signer(maker.key, "compromised", since=NOON + timedelta(hours=1))
    maker.done()
    result = check(maker.book)
    assert (result.status, codes(result, "note")) == (0, {"key_compromised_after"})


# --- many processes ------------------------------------------------------------------------------


def jobs(maker: Maker, numbers: range) -> Iterator[LogJob]:
    for n in numbers:
        name = LogName("MAIN", n)
        yield LogJob(name, maker.book.log(name), (), maker.book.mark(name), recompute=False)


def test_spread_over_processes_the_same_is_seen_in_the_same_order(maker: Maker) -> None:
    sig(log(maker, 2)).unlink()
    numbers = range(1, 4)
    alone = list(look_at_all(Files(), jobs(maker, numbers), 3, recompute=False, processes=1))
    spread = list(look_at_all(Files(), jobs(maker, numbers), 9999, recompute=False, processes=2))
    assert spread == alone
    assert [seen.name.number for seen in spread] == [1, 2, 3]
    assert {f.code for f in spread[1].findings} == {"verify_not_signed"}


class DeadDisk(Files):
    """A disk that never answers for one file."""

    def open(self, path: Path, flags: int) -> int:
        if path.name == "000040.toml":
            time.sleep(3600)
        return super().open(path, flags)


def test_a_spread_that_is_given_up_ends_processes_that_hang(maker: Maker) -> None:
    log(maker, 40).write_bytes(log(maker, 3).read_bytes())
    numbers = range(1, 60)
    looked = look_at_all(DeadDisk(), jobs(maker, numbers), 9999, recompute=False, processes=2)
    next(looked)
    looked.close()
    assert multiprocessing.active_children() == []


def test_a_file_that_never_ends_is_not_read(maker: Maker) -> None:
    os.mkfifo(log(maker, 4))
    sig(log(maker, 1)).unlink()
    os.mkfifo(sig(log(maker, 1)))
    result = check(maker.book)
    assert codes(result, "undone") == {"not_read"}
    assert "000004.toml cannot be read: it is no ordinary file." in {
        f.sentence for f in result.findings
    }


def test_there_is_a_core() -> None:
    assert cores() >= 1


def test_a_folder_that_cannot_be_listed_is_told_as_not_done(maker: Maker) -> None:
    class NoMarks(Files):
        def listdir(self, path: Path) -> list[str]:
            if "marks" in path.parts:
                raise OSError(5, "made to fail")
            return super().listdir(path)

    result = Verified()
    verify_book(NoMarks(), maker.book, Ask(processes=1), result=result)
    assert (result.status, codes(result, "undone")) == (3, {"not_read"})


@pytest.mark.parametrize("part", ["000001.toml", "MAIN.toml", "000001.toml.sig"])
def test_a_file_that_cannot_be_read_is_told_as_not_done(maker: Maker, part: str) -> None:
    class Broken(Files):
        def open(self, path: Path, flags: int) -> int:
            if path.name == part:
                raise OSError(5, "made to fail")
            return super().open(path, flags)

    result = Verified()
    verify_book(Broken(), maker.book, Ask(processes=1), result=result)
    assert "not_read" in codes(result, "undone")
    assert result.status


def test_a_finding_is_one_of_the_table() -> None:
    assert found("note", "verify_copy", "a/b", name="b", log="MAIN-000001") == Found(
        "note", "verify_copy", "b is a copy of MAIN-000001, whole or in part.\nMove it out.", "a/b"
    )


def test_a_copy_that_was_changed_is_no_copy(maker: Maker) -> None:
    original = log(maker, 3).read_bytes()
    at = original.rindex(b"link = ") + 20
    changed = bytearray(original)
    changed[at] = ord("1") if changed[at] != ord("1") else ord("2")
    log(maker, 3).with_name("000003 (conflict).toml").write_bytes(changed)
    result = check(maker.book)
    assert (result.status, codes(result)) == (1, {"verify_copy_changed"})
