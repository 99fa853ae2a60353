"""The file of allowed signers: what counts, what is written, and what the tool says of it."""

import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

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
from assaybench.logbook.files import Files
from assaybench.logbook.keys import read_public
from assaybench.logbook.sshkeys import PublicKey
from assaybench.logbook.sshsig import LOG, MARK, NAMESPACES
from tests.logbook import ssh_tools
from tests.logbook.signer_files import KEY, NOON, OTHER, one, tool_key
from tests.logbook.ssh_tools import WHO

__all__ = ["tool_key"]

LINE = KEY.line


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
