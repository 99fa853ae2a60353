"""What may be amiss with a sealed logbook, case by case, and the findings that must tell it."""

from collections.abc import Callable
from datetime import timedelta
from hashlib import sha512
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.logbook.verify_book import marks_not_held
from assaybench.record.kinds import BY_NAME
from assaybench.record.signed_kinds import STATEMENT_BY_NAME
from tests.logbook.sealed_books import NOON, Maker, TestKey, Writing

DAHL = TestKey("A. Dahl", 9)
STRANGER = TestKey("Nobody", 11)


def check(book: Logbook, ask: Ask | None = None, **options: object) -> Verified:
    result = Verified()
    ask = ask or Ask(processes=1)
    verify_book(Files(), book, ask, result=result, **options)  # type: ignore[arg-type]  # its options
    result.tell(marks_not_held(ask.marks, result.held))
    return result


def codes(result: Verified, level: str = "bad") -> set[str]:
    return {finding.code for finding in result.findings if finding.level == level}


class Case(NamedTuple):
    """What is done to the logbook, and the findings that must tell it, all of them."""

    name: str
    act: Callable[[Maker], object]
    told: set[str]


def log(maker: Maker, n: int) -> Path:
    return maker.book.log(LogName("MAIN", n))


def sig(path: Path) -> Path:
    return path.with_name(f"{path.name}.sig")


def mark(maker: Maker, n: int) -> Path:
    return maker.book.mark(LogName("MAIN", n))


def edit(path: Path, old: bytes, new: bytes) -> None:
    data = path.read_bytes()
    assert old in data
    path.write_bytes(data.replace(old, new, 1))


def swap(a: Path, b: Path) -> None:
    one, other = a.read_bytes(), b.read_bytes()
    a.write_bytes(other)
    b.write_bytes(one)


def gone(*paths: Path) -> None:
    for path in paths:
        path.unlink()


def swap_signed(a: Path, b: Path) -> None:
    swap(a, b)
    swap(sig(a), sig(b))


def cut_entry(path: Path) -> None:
    """Cut a framed file before its last entry."""
    data = path.read_bytes()
    path.write_bytes(data[: data.rindex(b"[[entry]]\n")])


def entry_behind(maker: Maker, n: int) -> None:
    """Append a note behind a seal, its link right."""
    path, again = log(maker, n), Writing(BY_NAME, NOON)
    for entry in maker.parts[n].entries:
        again.at = entry.at
        again.add(entry.kind, entry.values)
    assert bytes(again.data) == path.read_bytes()
    again.add("note", {"text": "written afterwards"})
    path.write_bytes(again.data)


def sealed_anew(maker: Maker, n: int, key: TestKey, **values: object) -> None:
    """Sign a log's very bytes with another key, or with other words in its seal."""
    again = Writing(BY_NAME, NOON)
    for entry in maker.parts[n].entries:
        again.at = entry.at
        changed = {**entry.values, **values} if entry.kind == "sealed" else entry.values
        again.add(entry.kind, changed)
    maker.put(log(maker, n), bytes(again.data), key, sshsig.LOG)


def figures_other(maker: Maker) -> None:
    """A log sealed with other figures than follow from its entries, by the key itself."""
    again = Writing(BY_NAME, NOON)
    for entry in maker.parts[6].entries:
        again.add(entry.kind, entry.values)
    row = {"id": "KV-001", "name": "gold_read", "text": "9.000 mg",
           "value": "9.00000000000", "u": "0.00100000000", "unit": "mg"}  # fmt: skip
    again.add("results", {"method_version": 1, "program": "assaybench 0.0.9", "figures": [row]})
    register(maker, again)


def register(maker: Maker, again: Writing) -> None:
    """Seal a written log as number 6 in every way that the register knows."""

    again.add("sealed", {"name": "K. Berg", "role": "assayer", "meaning": "weighed",
                         "fingerprint": maker.key.key.fingerprint})  # fmt: skip
    data = bytes(again.data)
    maker.put(log(maker, 6), data, maker.key, sshsig.LOG)
    digest = sha512(data).hexdigest()
    maker.register.add("sealed", {"number": 6, "sha512": digest, "size": len(data)})
    maker.mark(6)
    maker.done()


def no_results(maker: Maker) -> None:
    again = Writing(BY_NAME, NOON)
    for entry in maker.parts[6].entries:
        again.add(entry.kind, entry.values)
    register(maker, again)


def nothing_follows(maker: Maker) -> None:
    """Sealed by the key, with a reading on a balance that nobody described."""
    again = Writing(BY_NAME, NOON)
    again.add("opened", maker.parts[6].entries[0].values)
    again.add("reading", {"what": "zero", "text": "0.000", "unit": "mg", "balance": "none"})
    again.add("results", {"method_version": 1, "program": "assaybench 0.1.0", "figures": []})
    register(maker, again)


def register_cut(maker: Maker) -> None:
    """The register without what followed the seal of log 2, as an older copy would be."""
    data = bytes(maker.register.data)
    at = data.index(b'kind = "sealed"\nnumber = 3\n')
    maker.book.register("MAIN").write_bytes(data[: data.rindex(b"[[entry]]\n", 0, at)])


def other_mark(maker: Maker) -> None:
    """A mark of the same register with another link, signed by the key."""
    chain = maker.register.chain
    true = chain.link
    chain.link = "ab" * 32
    maker.mark(1)
    chain.link = true


def early_mark(maker: Maker) -> None:
    """A signed mark of log 5 that counts fewer entries than its seal needs."""
    chain = maker.register.chain
    place = chain.place
    link = bytes(maker.register.data).split(b'link = "')[1][:64].decode()
    chain.n, chain.link = 1, link
    maker.mark(5)
    chain.n, chain.link = place


def statement_of(maker: Maker, **other: object) -> None:
    maker.statement(1, 1, DAHL, **other)
    maker.done()


def unregistered_statement(maker: Maker) -> None:
    before = bytes(maker.register.data)
    maker.statement(1, 1, DAHL)
    maker.book.register("MAIN").write_bytes(before)


def newer_statement(maker: Maker) -> None:
    path = maker.book.statement(LogName("MAIN", 2), 1)
    again = Writing(STATEMENT_BY_NAME, NOON)
    again.add("note", {"text": "of another kind"})
    maker.put(path, bytes(again.data), DAHL, sshsig.STATEMENT)


def half_sealed(maker: Maker) -> None:
    """The log and its signature are there; the power failed before the register knew."""
    before = bytes(maker.register.data)
    maker.log(8)
    opened = bytes(maker.register.data)[len(before) :].split(b"[[entry]]\n")[1]
    maker.book.register("MAIN").write_bytes(before + b"[[entry]]\n" + opened)
    for path in (mark(maker, 8), sig(mark(maker, 8))):
        path.unlink()


def retired(maker: Maker) -> None:
    maker.signer(maker.key, "retired", since=NOON + timedelta(seconds=3))
    maker.done()


def practice(maker: Maker) -> None:
    maker.log(8, opened={"practice": True})
    maker.done()


def replaces_other(maker: Maker) -> None:
    """The log says that it replaces another than the register says."""
    maker.log(8, replaces=1, registered=False)
    maker.done()


GONE = {"verify_gap_sealed", "verify_lost"}
CASES = (
    Case("a log is deleted", lambda m: log(m, 1).unlink(), GONE),
    Case("an open log is deleted", lambda m: log(m, 6).unlink(), {"verify_gap"}),
    Case(
        "a log is deleted with all about it",
        lambda m: gone(log(m, 1), sig(log(m, 1)), mark(m, 1), sig(mark(m, 1))),
        {"verify_gap_sealed"},
    ),
    Case("a signature is deleted", lambda m: sig(log(m, 1)).unlink(), {"verify_not_signed"}),
    Case("a mark is deleted", lambda m: mark(m, 1).unlink(), {"verify_mark_gone"}),
    Case("the signature of a mark", lambda m: sig(mark(m, 1)).unlink(), {"signature_missing"}),
    Case("the register is deleted", lambda m: m.book.register("MAIN").unlink(), {"register_gone"}),
    Case("the signers are deleted", lambda m: m.book.allowed_signers.unlink(),
         {"signers_gone"}),
    Case(
        "a statement is deleted",
        lambda m: gone(*_statement(m)),
        {"verify_statement_gone"},
    ),
    Case("the signature of a statement", lambda m: _statement(m)[1].unlink(),
         {"signature_missing"}),
    Case("a reading is edited", lambda m: edit(log(m, 1), b'"1.101"', b'"1.171"'),
         {"verify_damaged", "verify_covers_earlier", "verify_changed"}),
    Case("the end is cut off at an entry", lambda m: cut_entry(log(m, 1)),
         {"signature_not", "verify_cut"}),
    Case("an entry is put behind the seal", lambda m: entry_behind(m, 1),
         {"verify_added_after", "verify_changed"}),
    Case("an open log is cut", lambda m: cut_entry(log(m, 6)), set()),
    Case("two logs are exchanged", lambda m: swap_signed(log(m, 1), log(m, 2)),
         {"verify_other", "verify_changed", "verify_statement_other"}),
    Case("a log is put in place of another", lambda m: log(m, 6).write_bytes(
        log(m, 1).read_bytes()), {"verify_other", "verify_not_signed", "verify_not_registered"}),
    Case("a log is renamed", lambda m: log(m, 6).rename(log(m, 9)),
         {"verify_gap", "verify_other", "verify_unknown_number"}),
    Case("two marks are exchanged", lambda m: swap_signed(mark(m, 1), mark(m, 2)),
         {"verify_mark_other"}),
    Case("a mark of a log that is not sealed", lambda m: m.mark(6),
         {"verify_mark_alone", "verify_mark_early"}),
    Case("a mark of another history", other_mark, {"verify_register_other"}),
    Case("a mark from before the seal", early_mark, {"verify_mark_early"}),
    Case("the register is cut", register_cut,
         {"verify_register_cut", "verify_unknown_number", "verify_mark_alone",
          "verify_not_registered", "verify_statement_alone"}),
    Case("the register is damaged", lambda m: edit(
        m.book.register("MAIN"), b"number = 6", b"number = 9"),
         {"register_damaged", "verify_unknown_number"}),
    Case("a stranger seals a log anew", lambda m: sealed_anew(m, 1, STRANGER),
         {"key_not_listed", "fingerprint_differs"}),
    Case("another signer's signature is put beside", lambda m: sealed_anew(m, 1, DAHL),
         {"fingerprint_differs"}),
    Case("a log is sealed anew in other words", lambda m: sealed_anew(m, 1, m.key, role="owner"),
         {"verify_changed"}),
    Case("a signature of another kind of file", lambda m: sig(log(m, 1)).write_bytes(
        m.key.sign(log(m, 1).read_bytes(), sshsig.MARK)), {"signature_not"}),
    Case("an open log is signed without a seal", lambda m: sig(log(m, 6)).write_bytes(
        m.key.sign(log(m, 6).read_bytes(), sshsig.LOG)), {"verify_no_seal"}),
    Case("figures do not follow", figures_other, {"verify_not_again"}),
    Case("a seal without results", no_results, {"verify_no_results"}),
    Case("no results follow", nothing_follows, {"verify_not_worked_out"}),
    Case("a statement about another digest", lambda m: statement_of(m, sha512="a1" * 64),
         {"verify_statement_other"}),
    Case("a statement that the register does not know", unregistered_statement,
         {"verify_statement_alone"}),
    Case("a statement that says something else", newer_statement,
         {"signed_file_broken", "verify_statement_changed"}),
    Case("a seal was broken off", half_sealed, {"verify_not_registered"}),
    Case("a key was retired before", retired, {"key_retired_before"}),
    Case("practice in a logbook", practice, {"verify_practice"}),
    Case("another log replaced than registered", replaces_other, {"verify_replaces_other"}),
    Case("the replaced log is gone", lambda m: log(m, 3).unlink(),
         GONE | {"verify_older_gone"}),
    Case("the replaced log is another", lambda m: sealed_anew(m, 3, m.key, role="owner"),
         {"verify_older_differs", "verify_changed"}),
    Case("a signer is written in by hand", lambda m: m.book.allowed_signers.write_bytes(
        m.book.allowed_signers.read_bytes() + f"me {STRANGER.key.line}\n".encode()),
        {"signers_unnamed"}),
    Case("a line of the signers is broken", lambda m: edit(
        m.book.allowed_signers, b"ssh-ed25519", b"ssh-ed25518"),
        {"verify_signers"}),
    Case("a log is empty", lambda m: log(m, 6).write_bytes(b""), {"verify_empty"}),
)  # fmt: skip


def _statement(maker: Maker) -> tuple[Path, Path]:
    path = maker.book.statement(LogName("MAIN", 2), 1)
    return path, sig(path)
