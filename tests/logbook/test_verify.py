"""Verify: what holds is told as holding, and each thing amiss by its own finding."""

import subprocess
from hashlib import sha256
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.marks import given_mark
from assaybench.logbook.verify import Ask, Verified, verify_files
from assaybench.logbook.verify_keys import Named
from assaybench.logbook.verify_recompute import told
from assaybench.messages import BadInput
from assaybench.record.kinds import BY_NAME
from assaybench.record.sealing import Comparison, Pair, Row
from tests.logbook.sealed_books import NOON, Maker, Writing, made
from tests.logbook.verify_cases import (
    CASES,
    DAHL,
    Case,
    check,
    codes,
    edit,
    entry_behind,
    log,
    register,
    sig,
)


@pytest.fixture
def maker(tmp_path: Path) -> Maker:
    """Five sealed logs, one with a statement, one that replaces another; one open, one void."""
    maker = Maker(tmp_path / "book")
    maker.signer(DAHL)
    for n in (1, 2, 3):
        maker.log(n)
    maker.statement(2, 1, DAHL)
    maker.log(4, key=DAHL)
    maker.log(5, replaces=3)
    maker.log(6, sealed=False)
    maker.register.add("opened", {"number": 7, "log": "furnace run"})
    maker.register.add("void", {"number": 7, "reason": "furnace failed"})
    maker.done()
    return maker


def test_a_logbook_as_it_was_sealed_is_good(maker: Maker) -> None:
    result = check(maker.book)
    assert (result.status, codes(result)) == (0, set())
    assert result.counts == {"sealed": 5, "open": 1}
    assert result.recomputed == {"recomputes": 5}
    assert codes(result, "note") == {"verify_replaces"}
    assert [(u.principal, u.trust, u.logs, u.statements, u.marks) for u in result.keys] == [
        ("K.Berg", "listed", 4, 0, 4),
        ("A.Dahl", "listed", 1, 1, 1),
    ]
    (register,) = result.registers
    assert register.entries == maker.register.chain.n


def test_without_recomputing_everything_else_is_looked_at(maker: Maker) -> None:
    result = check(maker.book, Ask(recompute=False, processes=1))
    assert (result.status, result.recomputed) == (0, {})


def test_one_log_alone_is_held_against_its_register(maker: Maker) -> None:
    only = {LogName("MAIN", 2)}
    assert check(maker.book, only=only).counts == {"sealed": 1}
    maker.book.log(LogName("MAIN", 1)).unlink()
    assert check(maker.book, only=only).status == 0
    assert check(maker.book).status == 1


# --- what may be amiss ---------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_what_is_amiss_is_told(maker: Maker, case: Case) -> None:
    case.act(maker)
    result = check(maker.book)
    assert codes(result) == case.told
    assert result.status == bool(case.told) or codes(result, "undone")
    for finding in result.findings:
        lines = finding.sentence.split("\n")
        assert len(lines) <= 2
        assert all(line and line[-1] in ".…,:" for line in lines[-1:])


def test_a_signature_is_shown_as_covering_the_earlier_state(maker: Maker) -> None:
    size = log(maker, 1).stat().st_size
    entry_behind(maker, 1)
    told = next(f for f in check(maker.book).findings if f.code == "verify_added_after")
    assert told.sentence.startswith(
        f"MAIN/000001.toml: the signature covers the earlier state, {size} bytes.\n"
    )


def test_an_unfinished_end_of_an_open_log_is_told_and_harmless(maker: Maker) -> None:
    path = log(maker, 6)
    path.write_bytes(path.read_bytes() + b"[[entry]]\nn = 16\n")
    result = check(maker.book)
    assert (result.status, codes(result, "note")) == (0, {"verify_torn", "verify_replaces"})


def test_torn_ends_are_kept_as_the_log_says(maker: Maker) -> None:
    path = log(maker, 8)
    maker.log(8, [("recovered", {"file": "000008.torn-1", "size": 4})])
    maker.done()
    kept = path.with_name("000008.torn-1")
    kept.write_bytes(b"[[en")
    assert codes(check(maker.book)) == set()
    kept.write_bytes(b"[[")
    assert codes(check(maker.book)) == {"verify_torn_gone"}
    kept.unlink()
    assert codes(check(maker.book)) == {"verify_torn_gone"}
    path.with_name("000008.torn-2").write_bytes(b"x")
    assert "verify_torn_unnamed" in codes(check(maker.book), "note")


def test_what_a_newer_program_wrote_is_checked_but_not_worked_out(maker: Maker) -> None:
    table = {**BY_NAME, "spectrum": BY_NAME["note"]._replace(name="spectrum")}
    again = Writing(table, NOON)
    for entry in maker.parts[6].entries:
        again.add(entry.kind, entry.values)
    again.add("spectrum", {"text": "of a later kind"})
    register(maker, again)
    result = check(maker.book)
    assert (result.status, codes(result), codes(result, "undone")) == (
        3, set(), {"verify_newer_results"},
    )  # fmt: skip
    assert result.recomputed["refused"] == 1
    quiet = check(maker.book, Ask(recompute=False, processes=1))
    assert (quiet.status, "verify_newer" in codes(quiet, "note")) == (0, True)
    edit(log(maker, 6), b"of a later kind", b"of a later king")
    assert "verify_damaged" in codes(check(maker.book))


def test_a_later_method_may_give_other_figures() -> None:
    """Told, and not held against the log; there is one version of the method as yet."""
    row = Row("KV-001", "gold", "9.000 mg", "9.00000000000", "0.001", "mg")
    pair = Pair(row, row._replace(text="9.001 mg", value="9.00100000000"))
    outcome, (found,) = told(
        Path("000001.toml"), Comparison("recomputes differently", 1, 7, (pair,))
    )
    assert (outcome, found.level) == ("differently", "note")
    assert found.sentence == (
        "000001.toml recomputes differently than by method 1: 1 of 7 figures.\n"
        "First: KV-001 gold, sealed 9.000 mg, now 9.001 mg."
    )


def test_results_of_a_later_method_are_not_worked_out(maker: Maker) -> None:
    again = Writing(BY_NAME, NOON)
    for entry in maker.parts[6].entries:
        again.add(entry.kind, entry.values)
    again.add("results", {"method_version": 2, "program": "assaybench 9.0.0", "figures": []})
    register(maker, again)
    result = check(maker.book)
    assert (result.status, codes(result, "undone")) == (3, {"verify_newer_results"})


# --- marks from reports --------------------------------------------------------------------------


def test_a_mark_from_a_report_holds_for_ever(maker: Maker) -> None:
    shown = maker.short_mark()
    maker.log(8)
    maker.done()
    for text in (shown, shown[: shown.index(":") + 17]):
        result = check(maker.book, Ask(processes=1, marks=(given_mark(text),)))
        assert (result.status, "mark_holds" in codes(result, "note")) == (0, True)


def test_a_register_cut_with_its_logs_is_seen_by_a_mark_alone(tmp_path: Path) -> None:
    whole, short = Maker(tmp_path / "whole"), Maker(tmp_path / "short")
    for n in (1, 2, 3):
        whole.log(n)
    for n in (1, 2):
        short.log(n)
    short.done()
    assert check(short.book).status == 0
    result = check(short.book, Ask(processes=1, marks=(given_mark(whole.short_mark()),)))
    assert codes(result) == {"mark_not_held"}


@pytest.mark.parametrize("text", ["3:AB12CD34AB12CD34", " 3:ab12cd34ab12cd34… ",
                                  "3:ab12cd34AB12cd34..."])  # fmt: skip
def test_a_mark_is_taken_as_it_is_printed_or_copied(text: str) -> None:
    assert given_mark(text) == (3, "ab12cd34ab12cd34")


@pytest.mark.parametrize("text", ["", "12", ":", "0:" + "a" * 16, "3:" + "a" * 15, "3:" + "g" * 64,
                                  "3:" + "a" * 65, "-3:" + "a" * 64, "3 :" + "a" * 64,
                                  "3:" + "a" * 15 + "…", "3:" + "a" * 16 + ".."])  # fmt: skip
def test_what_is_no_mark_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is not a mark"):
        given_mark(text)


# --- lone logs -----------------------------------------------------------------------------------


def test_a_log_outside_any_logbook_needs_its_key_named(maker: Maker, tmp_path: Path) -> None:
    alone = tmp_path / "from the client" / "gold.toml"
    alone.parent.mkdir()
    alone.write_bytes(log(maker, 2).read_bytes())
    sig(alone).write_bytes(sig(log(maker, 2)).read_bytes())
    result = Verified()
    verify_files(Files(), [alone], Ask(), result=result)
    assert codes(result) == {"key_not_listed"}
    named = Named(fingerprints=frozenset({maker.key.key.fingerprint}))
    result = Verified()
    verify_files(Files(), [alone], Ask(named=named, require_trusted=True), result=result)
    assert (result.status, result.logs[0].seen.name) == (0, LogName("MAIN", 2))
    edit(alone, b'"KV-002"', b'"KV-003"')
    result = Verified()
    verify_files(Files(), [alone], Ask(named=named), result=result)
    assert codes(result) == {"verify_damaged", "verify_covers_earlier"}


def test_a_file_that_is_not_there_could_not_be_checked(tmp_path: Path) -> None:
    result = Verified()
    verify_files(Files(), [tmp_path / "000001.toml"], Ask(), result=result)
    assert (result.status, codes(result, "undone")) == (3, {"log_gone"})


def test_findings_and_logs_that_are_kept_are_bounded(tmp_path: Path) -> None:
    from assaybench.logbook import verify

    result = Verified()
    book = made(tmp_path / "book", (1,)).book
    found = check(book).logs[0]
    bad = found._replace(findings=check_bad(book))
    for _ in range(3 * verify.MOST_KEPT):
        result.add(found)
        result.add(bad)
    assert len(result.logs) == verify.MOST_KEPT
    assert sum(not one.good for one in result.logs) == verify.MOST_KEPT - verify.MOST_KEPT // 4
    assert len(result.findings) == verify.MOST_KEPT
    assert result.left_out == 2 * verify.MOST_KEPT
    assert result.not_good == 3 * verify.MOST_KEPT


def check_bad(book: Logbook) -> tuple:  # type: ignore[type-arg]  # findings of a log
    path = book.log(LogName("MAIN", 1))
    sig(path).unlink()
    return check(book).logs[0].findings


# --- attachments ---------------------------------------------------------------------------------


def test_attachments_are_held_against_their_entries(maker: Maker) -> None:
    photo, name = b"\xff\xd8 a tray", LogName("MAIN", 8)
    digest = sha256(photo).hexdigest()
    maker.log(8, [("attachment", {"file": "tray.jpg", "size": len(photo), "sha256": digest})])
    maker.done()
    assert codes(check(maker.book)) == {"attachment_gone"}
    folder = maker.book.attached(name)
    folder.mkdir()
    (folder / "tray.jpg").write_bytes(photo)
    assert check(maker.book).status == 0
    (folder / "tray.jpg").write_bytes(photo[:-1] + b"z")
    assert codes(check(maker.book)) == {"attachment_changed"}
    (folder / "tray.jpg").write_bytes(photo)
    (folder / "other.jpg").write_bytes(photo)
    result = check(maker.book)
    assert (result.status, "attachment_unnamed" in codes(result, "note")) == (0, True)
    result = Verified()
    verify_files(Files(), [log(maker, 8)], Ask(), result=result)
    assert "verify_attached_alone" in codes(result, "note")


# --- the other tool ------------------------------------------------------------------------------


_HELD: dict[tuple[str, bytes, bytes], bool] = {}


def tool_holds(path: Path, namespace: str) -> bool:
    """Whether the tool finds that a signature holds; of the same bytes it is asked once."""
    signature = sig(path)
    asked = (namespace, path.read_bytes(), signature.read_bytes())
    if asked not in _HELD:
        done = subprocess.run(
            ["ssh-keygen", "-Y", "check-novalidate", "-n", namespace, "-s", str(signature)],
            input=asked[1], capture_output=True, check=False, timeout=60,
        )  # fmt: skip
        _HELD[asked] = done.returncode == 0
    return _HELD[asked]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_ssh_keygen_says_the_same_of_every_signature(maker: Maker, case: Case) -> None:
    case.act(maker)
    result = check(maker.book, Ask(recompute=False, processes=1))
    ours: dict[str, bool] = {}
    for one in result.logs:
        ours[one.seen.path] = one.seen.key is not None
        for seen in (*one.seen.statements, *([one.seen.mark] if one.seen.mark else [])):
            ours[seen.path] = seen.key is not None
    signed = {path: holds for path, holds in ours.items() if sig(Path(path)).exists()}
    assert len(signed) > 8
    for path, holds in signed.items():
        namespace = sshsig.STATEMENT if ".statement-" in path else sshsig.LOG
        namespace = sshsig.MARK if "marks" in Path(path).parts else namespace
        assert tool_holds(Path(path), namespace) == holds, path
