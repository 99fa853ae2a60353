"""Signers: the file of allowed signers, the registers behind it, and the text on how to check."""

import random
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from assaybench.logbook.allowed_signers import (
    LARGEST_SIGNERS,
    Listed,
    named_here,
    names,
    principal_of,
    read_signers,
    written,
)
from assaybench.logbook.faults import LogBusy, NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.how_to_check import Facts, how_to_check
from assaybench.logbook.keys import open_key, read_public
from assaybench.logbook.lock import Lock
from assaybench.logbook.register import LogHead, Register, new_log
from assaybench.logbook.seal import SealHead, seal
from assaybench.logbook.signers import (
    Known,
    add_signer,
    compromised_signer,
    events_of,
    known_signers,
    retire_signer,
    write_signers,
)
from assaybench.logbook.sshkeys import PublicKey
from assaybench.logbook.sshsig import LOG, MARK, NAMESPACES, STATEMENT
from assaybench.logbook.statements import countersign
from assaybench.messages import BadInput
from tests.logbook import ssh_tools
from tests.logbook.sealed_books import TestKey, run_rows
from tests.logbook.ssh_tools import WHO
from tests.reliability.faulty import Faulty, Stopped, keeper

KEY, OTHER = TestKey().key, TestKey("A. Moor", 8).key
LINE = KEY.line
NOON = datetime(2026, 6, 9, 12, 0, 0, tzinfo=UTC)


def one(text: str) -> Listed:
    rows, faults = read_signers(text.encode())
    assert faults == []
    (row,) = rows
    return row


# --- the file ------------------------------------------------------------------------------------


def test_a_line_names_a_key_with_its_options_in_any_order() -> None:
    options = 'valid-before="20260609120000Z",namespaces="a,b",valid-after="20250101Z"'
    row = one(f"# head\n\n {WHO}\t{options} {LINE} K. Berg's key\r\n")
    assert row == Listed(WHO, KEY, ("a", "b"), datetime(2025, 1, 1, tzinfo=UTC), NOON, 3)
    assert one(f"{WHO} {LINE}") == Listed(WHO, KEY, (), None, None, 1)


@pytest.mark.parametrize("text", ["20260609", "202606091200", "20260609120000"])
def test_a_time_without_z_is_of_this_computer(text: str) -> None:
    row = one(f'{WHO} valid-after="{text}" {LINE}')
    assert row.after is not None
    assert row.after.replace(tzinfo=None).strftime("%Y%m%d%H%M%S").startswith(text)
    assert row.after.tzinfo is not None


REFUSED = {
    "wildcard": (f"* {LINE}", "is not one name"),
    "wildcard in it": (f"*@example.org {LINE}", "is not one name"),
    "one sign": (f"k?berg {LINE}", "is not one name"),
    "comma": (f"K.Berg,A.Moor {LINE}", "is not one name"),
    "negated": (f"!K.Berg {LINE}", "is not one name"),
    "quoted": (f'"K Berg" {LINE}', "is not one name"),
    "beyond ASCII": (f"Käfer {LINE}", "is not one name"),
    "authority": (f"{WHO} cert-authority {LINE}", "is not an option accepted here"),
    "authority and more": (f'{WHO} namespaces="a",cert-authority {LINE}', "is not an option"),
    "namespace pattern": (f'{WHO} namespaces="assaybench-*" {LINE}', "is not one namespace"),
    "namespace none": (f'{WHO} namespaces="" {LINE}', "is not one namespace"),
    "namespace negated": (f'{WHO} namespaces="a,!b" {LINE}', "is not one namespace"),
    "unknown option": (f'{WHO} until="20260609Z" {LINE}', "is not an option"),
    "option twice": (f'{WHO} namespaces="a",namespaces="b" {LINE}', "is there twice"),
    "option without value": (f"{WHO} namespaces= {LINE}", "is not an option"),
    "quote not closed": (f'{WHO} namespaces="a {LINE}', "is not an option"),
    "comma at the end": (f'{WHO} namespaces="a", {LINE}', "is not an option"),
    "day that is none": (f'{WHO} valid-before="20260631Z" {LINE}', "is not a time"),
    "time in hex": (f'{WHO} valid-before="0x6000" {LINE}', "is not a time"),
    "only a name": (WHO, "is not a public key"),
    "no key": (f'{WHO} namespaces="a"', "is not a public key"),
    "unknown type": (f"{WHO} ssh-dss AAAA", "is not a type of key"),
    "key cut": (f"{WHO} {LINE[:-8]}", "the parts of a ssh-ed25519 key"),
    "key not base64": (f"{WHO} {LINE[:-1]}!", "not the one spelling"),
    "key alone": (LINE, "is not a public key"),
    "HTML": ("<html><body>404</body></html>", "is not one name"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_line_that_does_not_count_is_told_and_the_others_count(case: str) -> None:
    line, said = REFUSED[case]
    rows, faults = read_signers(f"A.Moor {OTHER.line}\n{line}\n{WHO} {LINE}\n".encode())
    assert [(row.principal, row.line) for row in rows] == [("A.Moor", 1), (WHO, 3)]
    (fault,) = faults
    assert fault.startswith("line 2: ")
    assert said in fault
    assert fault.isprintable()


@pytest.mark.parametrize(
    "line",
    [
        "hunter2",
        "hunter2! and more",
        f"{WHO} hunter2",
        f"{WHO} hunter2 AAAA",
        f'{WHO} hunter2="x" {LINE}',
        f"{WHO} {LINE[:-8]}hunter2",
        f'{WHO} namespaces="hunter2*" {LINE}',
        f'{WHO} valid-after="hunter2" {LINE}',
    ],
)
def test_nothing_of_a_line_that_is_no_key_is_shown(line: str) -> None:
    rows, (fault,) = read_signers(line.encode())
    assert (rows, "hunter2" in fault) == ([], False)


def test_bytes_that_are_no_text_are_told_too() -> None:
    data = b"\xff\xfe\n" + b"x" * 9000 + b"\n\0\n" + f"{WHO} {LINE}".encode()
    rows, faults = read_signers(data)
    assert [row.line for row in rows] == [4]
    assert len(faults) == 3
    assert read_signers(b"x" * (LARGEST_SIGNERS + 1))[0] == []
    assert len(read_signers(b"x\n" * 20_000)[1]) == 101


def test_what_is_written_is_read_back_and_written_the_same() -> None:
    rows = [named_here(WHO, KEY), named_here("A.Moor", OTHER, NOON)]
    data = written(rows)
    again, faults = read_signers(data)
    assert faults == []
    assert [row._replace(line=0) for row in again] == rows
    assert written(again) == data


@pytest.mark.parametrize(
    ("name", "principal"),
    [
        ("K. Berg", "K.Berg"),
        ("KB", "KB"),
        ("Åse Müller-Ørn, Dr.", "Ase.Muller-rn.Dr"),
        ("李", "signer"),
        ("*", "signer"),
        ("!-a b", "a.b"),
        ("k@example.org", "k@example.org"),
        ("x" * 300, "x" * 100),
    ],
)
def test_a_printed_name_becomes_a_principal(name: str, principal: str) -> None:
    assert principal_of(name) == principal
    assert one(f"{principal} {LINE}").principal == principal


def test_a_key_counts_within_its_time_and_for_its_namespaces() -> None:
    second = timedelta(seconds=1)
    rows = [Listed(WHO, KEY, (LOG,), NOON, NOON + 2 * second, 1)]
    assert [names(rows, KEY, LOG, NOON + n * second) is not None for n in range(-1, 4)] == [
        False, True, True, True, False,
    ]  # fmt: skip
    assert names(rows, KEY, LOG, NOON + timedelta(seconds=2.9)) is not None
    assert names(rows, KEY, MARK, NOON) is None
    assert names(rows, OTHER, LOG, NOON) is None
    assert names([*rows, named_here("A.Moor", KEY)], KEY, MARK, NOON) is not None


# --- as the tool sees it -------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tool_key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ssh_tools.made(tmp_path_factory.mktemp("key"), "key")


def public(path: Path) -> PublicKey:
    return read_public(Files(), path.with_name(f"{path.name}.pub"))


@pytest.mark.parametrize("namespace", NAMESPACES)
def test_the_tool_accepts_what_is_written(namespace: str, tool_key: Path, tmp_path: Path) -> None:
    text = written([named_here("A.Moor", OTHER, NOON), named_here(WHO, public(tool_key))]).decode()
    armor = ssh_tools.signed(tool_key, b"x", namespace)
    assert ssh_tools.accepted(tmp_path, armor, b"x", namespace, text)
    other = ssh_tools.signed(tool_key, b"x", "file")
    assert not ssh_tools.accepted(tmp_path, other, b"x", "file", text)


def test_the_tool_keeps_the_end_of_a_key_as_we_do(tool_key: Path, tmp_path: Path) -> None:
    rows = [named_here(WHO, public(tool_key), NOON)]
    armor = ssh_tools.signed(tool_key, b"x", LOG)
    for seconds in (-86_400, -1, 0, 1, 86_400):
        at = NOON + timedelta(seconds=seconds)
        when = ("-O", f"verify-time={at:%Y%m%d%H%M%S}Z")
        theirs = ssh_tools.accepted(tmp_path, armor, b"x", LOG, written(rows).decode(), *when)
        assert theirs is (names(rows, public(tool_key), LOG, at) is not None)
        assert theirs is (seconds <= 0)


# --- the registers -------------------------------------------------------------------------------


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    made = Logbook(tmp_path / "book")
    made.make(Files())
    return made


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


# --- how to check --------------------------------------------------------------------------------


def shell_blocks(text: str) -> list[str]:
    """The lines set in by four under each line of text that ends in `(sh):`."""
    blocks: list[str] = []
    label = ""
    for line in text.splitlines():
        if line.startswith("    "):
            if label.endswith("(sh):"):
                blocks[-1] += f"{line[4:]}\n"
        elif line:
            label = line
            blocks += [""] if line.endswith("(sh):") else []
    return blocks


@pytest.fixture(scope="module")
def sealed(tmp_path_factory: pytest.TempPathFactory, tool_key: Path) -> Logbook:
    """A logbook with one sealed log and a statement about it."""
    book, who = Logbook(tmp_path_factory.mktemp("sealed") / "book"), keeper()
    book.make(Files())
    name, log = new_log(book, "MAIN", who, LogHead("furnace run", 1))
    with log:
        for kind, values in run_rows(1):
            log.append(kind, values)
    signer = open_key(Files(), tool_key, None)
    seal(book, name, who, signer, SealHead("K. Berg", "assayer", "weighed"))
    countersign(book, name, who, signer, SealHead("K. Berg", "assayer", "reviewed"), "")
    return book


def shell(book: Logbook, script: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        ["sh", "-c", script],
        cwd=book.root,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def test_the_lines_for_sh_do_what_the_text_says(sealed: Logbook) -> None:
    blocks = shell_blocks(sealed.how_to_check.read_text("ascii"))
    done = shell(sealed, "".join(blocks))
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    good = [line.split('"')[1] for line in lines if line.startswith("Good ")]
    assert good == [LOG, STATEMENT, MARK]
    assert all(f"signature for {WHO} with ED25519 key SHA256:" in x for x in lines if "Good" in x)
    assert lines.count(WHO) == 1
    assert lines.count("1") == 2
    log = sealed.log(LogName("MAIN", 1)).read_bytes()
    holds = [line for line in lines if line.startswith("byte ")]
    assert len(holds) == log.count(b"[[entry]]")
    assert all(line.endswith(": holds") for line in holds)


@pytest.mark.parametrize("file", ["log", "register", "statement", "mark"])
def test_the_lines_for_sh_see_what_was_changed(file: str, sealed: Logbook, tmp_path: Path) -> None:
    copy = Logbook(tmp_path / "copy")
    subprocess.run(["cp", "-r", str(sealed.root), str(copy.root)], check=True)
    paths = {
        "log": copy.log(LogName("MAIN", 1)),
        "register": copy.register("MAIN"),
        "statement": copy.statement(LogName("MAIN", 1), 1),
        "mark": copy.mark(LogName("MAIN", 1)),
    }
    path = paths[file]
    data = path.read_bytes()
    old, new = (b"sealed", b"seal3d") if file == "register" else (b"K. Berg", b"K. Borg")
    if file == "mark":
        old, new = b'by = "KB"', b'by = "KX"'
    assert old in data
    path.chmod(0o644)
    path.write_bytes(data.replace(old, new, 1))
    text = copy.how_to_check.read_text("ascii")
    blocks = "".join(shell_blocks(text))
    done = shell(copy, blocks + blocks.replace("file=$log", "file=registers/MAIN.toml"))
    good = [line.split('"')[1] for line in done.stdout.splitlines() if line.startswith("Good ")]
    kept = {"log": {STATEMENT, MARK}, "statement": {LOG, MARK}, "mark": {LOG, STATEMENT}}
    assert set(good) == kept.get(file, {LOG, STATEMENT, MARK})
    assert ("DOES NOT HOLD" in done.stdout) is (file in ("log", "register"))


def test_the_text_says_what_it_must_in_plain_ascii(sealed: Logbook) -> None:
    text = sealed.how_to_check.read_text("ascii")
    for part in (
        'cmd /c "ssh-keygen -Y verify -f allowed_signers',
        "certutil -hashfile logs\\MAIN\\000001.toml SHA512",
        "Get-FileHash -Algorithm SHA512 logs\\MAIN\\000001.toml",
        "who alone holds the key and the folder can",
        "COUNT:LINK",
        "[[entry]]",
    ):
        assert part in text
    assert "@" not in text
    assert "\r" not in text
    prose = [line for line in text.splitlines() if not line.startswith("    ")]
    assert max(map(len, prose)) <= 79


def test_the_text_stands_before_anything_is_signed_too() -> None:
    text = how_to_check(Facts((), ())).decode("ascii")
    assert "nobody yet" in text
    assert "registers/MAIN.toml" in text


# --- garbage -------------------------------------------------------------------------------------

PIECES = (
    b"K.Berg ", b"* ", b"a,b ", b"!x ", b'namespaces="', b'"', b",", b"cert-authority ",
    b'valid-before="20260609Z" ', b'valid-after="', b"ssh-ed25519 ", b"ssh-rsa ", b"AAAA",
    LINE.encode(), b"\n", b"\n", b"#", b"\t", b" ", b"\r\n", b"\x00", b"\xff", b"\xe2\x80\xae",
    b"=" * 40, b"9" * 300, b"A" * 3000, b"-----BEGIN SSH SIGNATURE-----\n",
)  # fmt: skip


@pytest.mark.parametrize("count", [500, pytest.param(10_000, marks=pytest.mark.long)])
def test_garbage_as_a_file_of_signers_costs_a_line_each(count: int) -> None:
    chance = random.Random(20260609)
    good = written([named_here(WHO, KEY), named_here("A.Moor", OTHER, NOON)])
    for _ in range(count):
        data = b"".join(chance.choices(PIECES, k=chance.randrange(1, 40)))
        if chance.random() < 0.3:
            at = chance.randrange(len(good))
            data = good[:at] + data[:9] + good[at + chance.randrange(9) :]
        rows, faults = read_signers(data)
        assert len(rows) + len(faults) <= data.count(b"\n") + 1
        assert all(line.isprintable() and len(line) < 400 for line in faults)
        assert all(row.key in (KEY, OTHER) for row in rows)
