"""The register: numbers before logs, nothing numbered twice, and what the survey tells."""

import time
from pathlib import Path

import pytest

from assaybench.logbook.faults import LogBusy, NotDone, NotWritable
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, Register, go_on, new_log
from assaybench.logbook.survey import survey
from assaybench.messages import BadInput
from assaybench.record.frame import Chain, framed
from assaybench.record.register_kinds import REGISTER_BY_NAME
from tests.reliability.faulty import NoLinks, keeper

HEAD = LogHead("furnace run", 1, "Grey Heron, 9 June")
DIGEST = "a1" * 64


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    made = Logbook(tmp_path / "book")
    made.make(Files())
    return made


def open_logs(book: Logbook, count: int, bench: str = "MAIN", who: Keeper | None = None) -> None:
    for _ in range(count):
        new_log(book, bench, who or keeper(), HEAD)[1].close()


def codes(book: Logbook) -> list[str]:
    return [finding.code for finding in survey(book, Files()).findings]


def test_numbers_run_from_one_and_each_has_its_log(book: Logbook) -> None:
    open_logs(book, 3)
    entries, verdict = read_log(Files(), book.register("MAIN"), table=REGISTER_BY_NAME)
    assert verdict.state == "sound"
    assert [(e.kind, e.values.get("number")) for e in entries] == [
        ("begun", None), ("opened", 1), ("opened", 2), ("opened", 3),
    ]  # fmt: skip
    assert book.numbers(Files(), "MAIN") == [1, 2, 3]
    (first,), _ = read_log(Files(), book.log(LogName("MAIN", 2)))
    assert first.values == {
        "log": "furnace run", "number": 2, "bench": "MAIN", "method_version": 1,
        "program": "assaybench 0.1.0", "title": "Grey Heron, 9 June",
    }  # fmt: skip
    assert codes(book) == []


def test_a_log_is_made_on_a_disk_without_hard_links(book: Logbook) -> None:
    open_logs(book, 2, who=keeper(NoLinks()))
    assert book.numbers(Files(), "MAIN") == [1, 2]
    assert codes(book) == []
    assert sorted(p.name for p in book.logs("MAIN").iterdir()) == ["000001.toml", "000002.toml"]


def test_two_benches_number_for_themselves(book: Logbook) -> None:
    open_logs(book, 2, "EAST")
    open_logs(book, 1, "WEST")
    assert book.benches(Files()) == ["EAST", "WEST"]
    assert [book.numbers(Files(), bench) for bench in ("EAST", "WEST")] == [[1, 2], [1]]


def test_sealed_void_signer_and_statement_are_kept(book: Logbook) -> None:
    open_logs(book, 2)
    with Register(book, "MAIN", keeper()) as register:
        register.sealed(1, DIGEST, 4711)
        register.void(2, "opened by mistake")
        register.signer("SHA256:abc", "added", name="K. Berg", key="ssh-ed25519 AAAA")
        register.signer("SHA256:abc", "retired", since=keeper().now(), reason="new key")
        register.statement(1, "000001.statement-1.toml", DIGEST, "SHA256:abc")
    with Register(book, "MAIN", keeper()) as register:
        state = register.state
        assert state.numbers[1].seal == (DIGEST, 4711)
        assert state.numbers[1].statements == ["000001.statement-1.toml"]
        assert state.numbers[2].void == "opened by mistake"
        events = [entry.values["event"] for entry in state.signers["SHA256:abc"]]
        assert events == ["added", "retired"]
        assert state.next_number == 3
        assert state.faults == []


def test_what_contradicts_the_register_is_refused(book: Logbook) -> None:
    open_logs(book, 3)
    with Register(book, "MAIN", keeper()) as register:
        register.sealed(1, DIGEST, 1)
        register.void(2, "why not")
        before = register.file.size
        for call, words in (
            (lambda: register.sealed(9, DIGEST, 1), "number 9 was never allotted"),
            (lambda: register.sealed(1, DIGEST, 1), "log 1 is sealed"),
            (lambda: register.void(1, "late"), "log 1 is sealed"),
            (lambda: register.void(2, "again"), "number 2 is void: why not"),
            (lambda: register.void(3, ""), "reason"),
            (lambda: register.sealed(3, "a1", 1), "not a SHA-512 digest"),
            (lambda: register.statement(3, "x", DIGEST, "y"), "log 3 is not sealed"),
            (lambda: register.signer("SHA256:abc", "lost"), "not a choice for event"),
            (lambda: register.allot("sluice"), "not a choice for log"),
        ):
            with pytest.raises(BadInput, match=words):
                call()
        assert register.file.size == before


def test_a_number_whose_log_is_missing_is_told_and_gone_on_with(book: Logbook) -> None:
    with Register(book, "MAIN", keeper()) as register:
        number = register.allot("circuit test", "Long sluice")
        assert [allotted.number for allotted in register.missing()] == [number]
    assert codes(book) == ["number_without_log"]
    with go_on(book, LogName("MAIN", number), keeper(), HEAD._replace(title="")) as log:
        assert log.n == 1
    (opened,), _ = read_log(Files(), book.log(LogName("MAIN", number)))
    assert (opened.values["log"], opened.values["title"]) == ("circuit test", "Long sluice")
    assert codes(book) == []
    with go_on(book, LogName("MAIN", number), keeper(), HEAD) as log:
        assert log.n == 2
    with Register(book, "MAIN", keeper()) as register:
        register.void(number, "test stopped")
    for n, words in (
        (number, "number 1 is void: test stopped"),
        (7, "number 7 was never allotted"),
    ):
        with pytest.raises(BadInput, match=words):
            go_on(book, LogName("MAIN", n), keeper(), HEAD)


def test_a_void_number_without_a_log_is_not_missing(book: Logbook) -> None:
    with Register(book, "MAIN", keeper()) as register:
        register.void(register.allot("furnace run"), "furnace failed")
    assert codes(book) == []


def test_a_bad_head_takes_no_number(book: Logbook) -> None:
    with pytest.raises(BadInput, match="not a choice for log"):
        new_log(book, "MAIN", keeper(), HEAD._replace(log="sluice"))
    with Register(book, "MAIN", keeper()) as register:
        assert register.state.next_number == 1


def test_a_register_that_is_held_is_waited_for_then_refused(book: Logbook) -> None:
    with Register(book, "MAIN", keeper(by="AD")):
        begun = time.perf_counter()
        with pytest.raises(LogBusy, match=r"MAIN\.toml is being written by AD"):
            Register(book, "MAIN", keeper(), wait_seconds=0.2)
        assert time.perf_counter() - begun >= 0.2


def test_a_damaged_register_gives_no_number(book: Logbook) -> None:
    open_logs(book, 1)
    path = book.register("MAIN")
    damaged = path.read_bytes().replace(b"number = 1", b"number = 2")
    path.write_bytes(damaged)
    with Register(book, "MAIN", keeper()) as register:
        with pytest.raises(NotWritable, match=r"MAIN\.toml is damaged and only read: line"):
            register.allot("furnace run")
        with pytest.raises(NotWritable):
            register.void(1, "why")
    assert path.read_bytes() == damaged
    assert codes(book) == ["register_damaged", "log_without_number"]


def test_a_torn_register_is_recovered(book: Logbook) -> None:
    open_logs(book, 1)
    path = book.register("MAIN")
    path.write_bytes(path.read_bytes() + b"[[entry]]\nn = 3\n")
    assert codes(book) == ["register_torn"]
    open_logs(book, 1)
    assert (book.registers / "MAIN.torn-1").read_bytes() == b"[[entry]]\nn = 3\n"
    assert codes(book) == []
    assert book.numbers(Files(), "MAIN") == [1, 2]


def test_a_register_of_another_bench_is_refused(book: Logbook) -> None:
    open_logs(book, 1)
    book.register("EAST").write_bytes(book.register("MAIN").read_bytes())
    with pytest.raises(NotDone, match=r"EAST\.toml is the register of MAIN"):
        Register(book, "EAST", keeper())
    assert "register_stranger" in codes(book)


def test_an_old_copy_of_the_register_never_takes_a_number_twice(book: Logbook) -> None:
    open_logs(book, 1)
    old = book.register("MAIN").read_bytes()
    open_logs(book, 1)
    book.register("MAIN").write_bytes(old)
    with pytest.raises(NotDone, match="log 2 that the register of MAIN does not know"):
        new_log(book, "MAIN", keeper(), HEAD)
    assert codes(book) == ["log_without_number"]


def grown_apart(book: Logbook) -> tuple[bytes, bytes, bytes]:
    """The register as two machines carried it: what they share, and each copy."""
    open_logs(book, 2)
    path = book.register("MAIN")
    shared = path.read_bytes()
    open_logs(book, 1, who=keeper(by="KB"))
    mine = path.read_bytes()
    book.log(LogName("MAIN", 3)).unlink()
    path.write_bytes(shared)
    open_logs(book, 2, who=keeper(by="AD"))
    theirs = path.read_bytes()
    path.write_bytes(mine)
    return shared, mine, theirs


def test_two_registers_of_one_bench_that_grew_apart_are_told(book: Logbook) -> None:
    _, _, theirs = grown_apart(book)
    copy = book.registers / "MAIN (copy of the laptop).toml"
    copy.write_bytes(theirs)
    found = survey(book, Files())
    fork = next(f for f in found.findings if f.code == "forked_registers")
    assert fork.sentence == (
        "The register of MAIN forked after 3: MAIN (copy of the laptop).toml and MAIN.toml differ"
        " from there."
    )
    assert set(fork.paths) == {copy, book.register("MAIN")}
    # both are shown: each with what it alone says
    assert {len(r.branches[0].entries) for r in found.registers} == {4, 5}


def test_an_older_copy_of_a_register_is_told_as_one(book: Logbook) -> None:
    open_logs(book, 1)
    (book.registers / "MAIN.old.toml").write_bytes(book.register("MAIN").read_bytes())
    open_logs(book, 1)
    found = survey(book, Files()).findings
    assert [finding.code for finding in found] == ["register_stranger", "register_copy"]
    assert "MAIN.old.toml is an older copy" in found[1].sentence
    assert "goes on after 2" in found[1].sentence


def test_two_entries_of_one_n_in_one_register_are_told(book: Logbook) -> None:
    """A careless merge of two copies keeps both sides: every side is shown."""
    shared, mine, theirs = grown_apart(book)
    book.register("MAIN").write_bytes(mine + theirs[len(shared) :])
    found = survey(book, Files())
    (register,) = found.registers
    trunk, side = register.branches
    assert (side.after, [e.n for e in trunk.entries], [e.n for e in side.entries]) == (
        3, [1, 2, 3, 4], [4, 5],
    )  # fmt: skip
    assert [entry.by for entry in side.entries] == ["AD", "AD"]
    sentences = [f.sentence for f in found.findings if f.code == "forked_inside"]
    assert sentences == ["MAIN.toml forked after 3: it holds two histories from there."]
    with Register(book, "MAIN", keeper()) as writing, pytest.raises(NotWritable):
        writing.allot("furnace run")


def test_entries_that_contradict_a_sound_register_are_told(book: Logbook) -> None:
    """Something else wrote it: the links hold, the content does not."""
    open_logs(book, 1)
    chain, who = Chain(REGISTER_BY_NAME), keeper()
    data = b""
    for kind, values in (
        ("begun", {"bench": "MAIN", "program": "other"}),
        ("opened", {"number": 1, "log": "furnace run"}),
        ("opened", {"number": 1, "log": "furnace run"}),
        ("sealed", {"number": 5, "sha512": "a1", "size": 3}),
    ):
        framed_entry = framed(chain, who.now(), "KB", kind, values)
        chain.step(kind, framed_entry.link)
        data += framed_entry.data
    book.register("MAIN").write_bytes(data)
    lines = [f.sentence for f in survey(book, Files()).findings if f.code == "register_fault"]
    assert lines == [
        "MAIN.toml: entry 3: number 1 is taken.",
        'MAIN.toml: entry 4: "a1" is not a SHA-512 digest: 128 hex digits.',
        "MAIN.toml: entry 4: number 5 was never allotted.",
    ]
