"""Signers: the entries of the registers behind the file of allowed signers."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from assaybench.logbook.allowed_signers import (
    Listed,
    named_here,
    names,
    read_signers,
)
from assaybench.logbook.faults import LogBusy, NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.lock import Lock
from assaybench.logbook.register import Register
from assaybench.logbook.signers import (
    Known,
    add_signer,
    compromised_signer,
    events_of,
    known_signers,
    retire_signer,
    write_signers,
)
from assaybench.logbook.sshsig import LOG
from assaybench.messages import BadInput
from tests.logbook.signer_files import KEY, NOON, OTHER, book
from tests.logbook.ssh_tools import WHO
from tests.reliability.faulty import Faulty, Stopped, keeper

__all__ = ["book"]


def known(book: Logbook) -> list[Known]:
    signers, faults = known_signers(events_of(book, Files()))
    assert faults == []
    return signers


def listed(book: Logbook) -> list[Listed]:
    rows, faults = read_signers(book.allowed_signers.read_bytes())
    assert faults == []
    return rows


def test_a_key_is_named_once_and_the_file_and_the_text_follow(book: Logbook) -> None:
    change = add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    assert change.changed
    assert change.signer == known(book)[0]
    assert (change.signer.principal, change.signer.event, change.signer.by) == (WHO, "added", "KB")
    assert [row._replace(line=0) for row in listed(book)] == [named_here(WHO, KEY)]
    assert KEY.fingerprint in book.how_to_check.read_text("ascii")
    register = book.register("MAIN").read_bytes()
    again = add_signer(book, "MAIN", keeper(), KEY, "Somebody Else")
    assert (again.changed, again.signer.name) == (False, "K. Berg")
    assert book.register("MAIN").read_bytes() == register


def test_signers_of_all_benches_stand_in_one_file(book: Logbook) -> None:
    add_signer(book, "WEST", keeper(), OTHER, "A. Moor")
    add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    assert {row.principal for row in listed(book)} == {WHO, "A.Moor"}
    retire_signer(book, "MAIN", keeper(), OTHER.fingerprint)
    ends = {row.principal: row.before for row in listed(book)}
    assert ends[WHO] is None
    assert ends["A.Moor"] is not None


def test_a_retired_key_holds_for_what_was_signed_before(book: Logbook) -> None:
    add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    change = retire_signer(book, "MAIN", keeper(), KEY.fingerprint, "new computer")
    assert (change.signer.event, change.signer.reason) == ("retired", "new computer")
    assert change.signer.since is not None
    before, after = (change.signer.since + timedelta(days=n) for n in (-1, 1))
    assert names(listed(book), KEY, LOG, before) is not None
    assert names(listed(book), KEY, LOG, after) is None
    assert not retire_signer(book, "MAIN", keeper(), KEY.fingerprint).changed
    with pytest.raises(BadInput, match="was retired on"):
        add_signer(book, "MAIN", keeper(), KEY, "K. Berg")


def test_a_compromised_key_counts_no_more_from_the_earliest_day_told(book: Logbook) -> None:
    add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    retire_signer(book, "MAIN", keeper(), KEY.fingerprint)
    june, may = NOON - timedelta(days=3), NOON - timedelta(days=30)
    for since, changed in ((june, True), (june, False), (may, True), (june, False)):
        change = compromised_signer(book, "MAIN", keeper(), KEY.fingerprint, since, "stolen")
        assert change.changed is changed
    assert (change.signer.event, change.signer.since) == ("compromised", may)
    assert listed(book)[0].before == may.replace(microsecond=0)
    with pytest.raises(BadInput, match="not to be trusted since 2026-05-10"):
        add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    with pytest.raises(BadInput, match="not to be trusted since 2026-05-10"):
        retire_signer(book, "MAIN", keeper(), KEY.fingerprint)


def test_a_retired_key_that_is_compromised_later_still_ends_when_it_was_retired(
    book: Logbook,
) -> None:
    who = keeper()
    add_signer(book, "MAIN", who, KEY, "K. Berg")
    retired = retire_signer(book, "MAIN", who, KEY.fingerprint).signer.since
    later = who.now()
    change = compromised_signer(book, "WEST", who, KEY.fingerprint, later, "stolen")
    assert (change.signer.event, change.signer.since) == ("compromised", retired)


def test_what_is_not_known_or_still_to_come_is_refused_and_nothing_written(book: Logbook) -> None:
    who = keeper()
    with pytest.raises(BadInput, match="is no signing key of this logbook"):
        retire_signer(book, "MAIN", who, KEY.fingerprint)
    with pytest.raises(BadInput, match="is no signing key of this logbook"):
        compromised_signer(book, "MAIN", who, KEY.fingerprint, NOON - timedelta(1), "stolen")
    with pytest.raises(BadInput, match="is still to come"):
        compromised_signer(book, "MAIN", who, KEY.fingerprint, NOON + timedelta(9), "stolen")
    assert not book.register("MAIN").exists()
    assert not book.allowed_signers.exists()


def test_a_line_written_in_by_hand_is_told_when_it_goes(book: Logbook) -> None:
    add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    with book.allowed_signers.open("a", encoding="utf-8") as file:
        file.write(f"A.Moor {OTHER.line}\ngarbage\n")
    change = add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    assert change.lost == (f"A.Moor {OTHER.fingerprint}",)
    assert [row.principal for row in listed(book)] == [WHO]


def test_entries_that_name_no_key_or_another_one_do_not_count(book: Logbook) -> None:
    with Register(book, "MAIN", keeper()) as register:
        register.signer(KEY.fingerprint, "added", name="K. Berg", key=OTHER.line)
        register.signer(OTHER.fingerprint, "retired")
        register.signer("SHA256:" + "x" * 43, "added", key="ssh-ed25519 AAAA")
    signers, faults = known_signers(events_of(book, Files()))
    assert signers == []
    assert len(faults) == 3
    assert all(line.isprintable() for line in faults)
    write_signers(book, keeper())
    assert listed(book) == []


def test_while_another_command_writes_the_file_the_entry_is_kept_and_told(book: Logbook) -> None:
    lock = Lock(Files(), book.lock(book.allowed_signers), "allowed_signers")
    lock.acquire("AM", NOON)
    try:
        with pytest.raises(NotDone) as fault:
            add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
    finally:
        lock.release()
    assert not isinstance(fault.value, LogBusy)
    assert "Give the same command again" in fault.value.lines[-1]
    assert not book.allowed_signers.exists()
    assert not add_signer(book, "MAIN", keeper(), KEY, "K. Berg").changed
    assert [row.principal for row in listed(book)] == [WHO]


@pytest.mark.parametrize("how", ["refuse", "half", "after", "stop"])
def test_wherever_naming_stops_the_same_command_ends_it(how: Any, tmp_path: Path) -> None:
    disk = Faulty()
    first = Logbook(tmp_path / "0")
    first.make(Files())
    add_signer(first, "MAIN", keeper(disk), KEY, "K. Berg")
    stopped = 0
    for at in range(1, len(disk.calls) + 1):
        book = Logbook(tmp_path / str(at))
        book.make(Files())
        # what was raised is let go, as by a process that ends: its locks are free then
        try:
            add_signer(book, "MAIN", keeper(Faulty(at, how)), KEY, "K. Berg")
        except (NotDone, Stopped):
            stopped += 1
        add_signer(book, "MAIN", keeper(), KEY, "K. Berg")
        assert [row.principal for row in listed(book)] == [WHO]
        assert [signer.key for signer in known(book)] == [KEY]
    assert stopped > 10
