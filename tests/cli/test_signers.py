"""`assaybench signers`: whose keys sign, made and named as from a shell; and how secrets get in."""

import json
import os
import re
import select
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE
from assaybench.cli.secrets import passphrase_of, signer_of
from assaybench.logbook.allowed_signers import read_signers
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.keys import make_key, public_path
from assaybench.logbook.settings_fields import Settings
from assaybench.messages import BadInput
from tests.logbook import ssh_tools

BY = ("--by", "KB")
WORDS = "nine lead buttons"
PRINT = re.compile(r"SHA256:[A-Za-z0-9+/]{43}")
NAMES = {"id", "principal", "name", "key", "event", "named", "by", "since", "reason"}
NO_OPTIONS = {"key": None, "passphrase_file": None, "passphrase_fd": None}


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Logbook:
    """An empty logbook that the environment names; no settings of this machine count."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Logbook(tmp_path / "book")


@pytest.fixture
def secret(tmp_path: Path) -> tuple[str, str]:
    """The options that give the passphrase from a file that others cannot read."""
    path = tmp_path / "secret"
    path.write_text(f"{WORDS}\n", "utf-8")
    path.chmod(0o600)
    return "--passphrase-file", str(path)


@pytest.fixture
def public(tmp_path: Path) -> Path:
    return public_path(ssh_tools.made(tmp_path, "theirs"))


def made(run: Any, secret: tuple[str, str], *more: str) -> str:
    """The fingerprint of a key that was made."""
    outcome = run("signers", "new", *BY, "--json", *secret, *more)
    assert (outcome.status, outcome.err) == (DONE, "")
    return str(outcome.json["signers"][0]["id"])


def test_a_new_key_is_made_named_and_listed(
    run: Any, book: Logbook, secret: tuple[str, str], tmp_path: Path
) -> None:
    outcome = run("signers", "new", *BY, "--name", "K. Berg", *secret)
    assert (outcome.status, outcome.err) == (DONE, "")
    assert "K. Berg (K.Berg)" in outcome.out
    assert "Nobody can open the key without it." in outcome.out
    key = tmp_path / "home" / "assaybench" / "signing_key"
    found = PRINT.findall(outcome.out)
    shown = ssh_tools.keygen("-l", "-f", str(key) + ".pub").stdout.decode()
    assert found[0] in shown
    assert "K.Berg" in book.allowed_signers.read_text("utf-8")
    assert found[0] in book.how_to_check.read_text("ascii")
    listed = run("signers")
    assert listed.status == DONE
    assert PRINT.findall(listed.out) == [found[0]] * 2  # mine, and among the signers
    for output in (outcome.out, listed.out):
        assert WORDS not in output
        lines = [line for line in output.splitlines() if str(tmp_path) not in line]
        assert max(map(len, lines)) <= 79


def test_json_names_are_the_golden_ones(run: Any, book: Logbook, secret: tuple[str, str]) -> None:
    print_ = made(run, secret)
    for words in (("list",), ("retire", print_, *BY), ()):
        tree = run("signers", *words, "--json").json
        assert set(tree) == {
            "format", "command", "inputs", "figures", "signers", "verdict", "budget", "flags",
            "assumptions", "version",
        }  # fmt: skip
        assert [set(row) for row in tree["signers"]] == [NAMES]
    assert tree["signers"][0]["event"] == "retired"
    assert run("signers", "--plain").out.isascii()


def test_the_printed_name_comes_from_the_settings_or_is_the_initials(
    run: Any, book: Logbook, secret: tuple[str, str], tmp_path: Path, public: Path
) -> None:
    settings = tmp_path / "home" / "assaybench" / "settings.toml"
    settings.parent.mkdir(parents=True)
    key = tmp_path / "elsewhere" / "key"
    settings.write_text(f'signing_key = "{key}"\ninitials = "KB"\n[people]\nKB = "K. Berg"\n')
    assert run("signers", "new", *secret).status == DONE
    assert key.exists()
    assert run("signers", "add", str(public), "--by", "AM").status == DONE
    names = [row["name"] for row in run("signers", "--json").json["signers"]]
    assert names == ["K. Berg", "AM"]


def test_a_key_is_added_retired_and_given_up(run: Any, book: Logbook, public: Path) -> None:
    added = run("signers", "add", str(public), *BY, "--name", "A. Moor", "--json").json
    (row,) = added["signers"]
    assert (row["principal"], row["event"], row["since"]) == ("A.Moor", "added", None)
    assert added["inputs"] == {"signers": "add", "changed": True}
    again = run("signers", "add", str(public), *BY, "--json").json
    assert again["inputs"]["changed"] is False
    assert [f["code"] for f in again["flags"]] == ["signer_as_before"]
    retired = run("signers", "retire", row["id"], *BY, "--reason", "left us", "--json").json
    assert retired["signers"][0]["event"] == "retired"


def test_a_compromised_key_has_a_day_and_a_reason(run: Any, book: Logbook, public: Path) -> None:
    run("signers", "add", str(public), *BY)
    print_ = run("signers", "--json").json["signers"][0]["id"]
    words = ("signers", "compromised", print_, *BY)
    for more, said in (
        (("--reason", "stolen"), "--since is missing"),
        (("--since", "2026-06-01"), "--reason is missing"),
        (("--since", "June", "--reason", "stolen"), '"June" is not a day'),
        (("--since", "2999-01-01", "--reason", "stolen"), "is still to come"),
    ):
        outcome = run(*words, *more)
        assert outcome.status == BAD_INPUT
        assert said in outcome.faults[0]
    outcome = run(*words, "--since", "2026-06-01", "--reason", "laptop stolen")
    assert outcome.status == DONE
    assert "laptop stolen" in outcome.out
    (row,), faults = read_signers(book.allowed_signers.read_bytes())
    assert faults == []
    assert row.before is not None
    assert row.before.astimezone().date().isoformat() == "2026-06-01"


def test_what_does_not_fit_is_told_and_writes_nothing(
    run: Any, book: Logbook, secret: tuple[str, str], tmp_path: Path
) -> None:
    print_ = "SHA256:" + "a" * 43
    for words, status, said in (
        (("nw",), BAD_INPUT, '"nw" is not a choice for signers'),
        (("list", "x"), BAD_INPUT, "more than this command takes"),
        (("list", "--name", "x"), BAD_INPUT, "--name does not go with signers list"),
        (("add",), BAD_INPUT, "FILE.pub is missing"),
        (("add", "\0", *BY), BAD_INPUT, "not a file name"),
        (("add", "none.pub", *BY), NOT_DONE, "there is no key file none.pub"),
        (("add", secret[1], *BY), NOT_DONE, "secret: "),
        (("retire", "x", *BY), BAD_INPUT, "is not a fingerprint"),
        (("retire", print_, *BY), BAD_INPUT, "is no signing key of this logbook"),
        (("new", *secret), BAD_INPUT, "--by is missing"),
        (("new", *secret, *BY, "--name", " "), BAD_INPUT, "--name: "),
        (("new", *secret, *BY, "--key", "k.pub"), BAD_INPUT, "the name of a public key"),
        (("new", *secret, "--passphrase-fd", "0", *BY), BAD_INPUT, "exclude each other"),
        (("new", "--passphrase-fd", "x", *BY), BAD_INPUT, "not a whole number"),
        (("new", "--passphrase-fd", "999", *BY), NOT_DONE, "--passphrase-fd 999 cannot be read"),
        (("new", "--passphrase-file", "none", *BY), NOT_DONE, "none cannot be read"),
        (("new", *BY), NOT_DONE, "asked for at a terminal"),
    ):
        outcome = run("signers", *words)
        assert (outcome.status, outcome.out) == (status, ""), words
        assert len(outcome.faults) == 1, words
        assert said in outcome.faults[0]
        assert WORDS not in outcome.err
    assert not book.root.exists()
    assert not (tmp_path / "home").exists()


@pytest.mark.parametrize("text", ["hunter2", "hunter2 AAAA", "ssh-ed25519 hunter2"])
def test_nothing_of_a_file_that_is_no_key_is_shown(run: Any, tmp_path: Path, text: str) -> None:
    (tmp_path / "other.pub").write_text(f"{text}\n")
    outcome = run("signers", "add", str(tmp_path / "other.pub"), *BY)
    assert outcome.status == NOT_DONE
    assert "other.pub" in outcome.err
    assert "hunter2" not in outcome.out + outcome.err


def test_a_key_is_never_overwritten_and_nobody_is_asked(
    run: Any, book: Logbook, secret: tuple[str, str]
) -> None:
    made(run, secret)
    outcome = run("signers", "new", *BY)
    assert outcome.status == NOT_DONE
    assert "there is a key file signing_key already" in outcome.faults[0]


def test_a_list_tells_what_stands_in_the_file_and_in_no_register(
    run: Any, book: Logbook, secret: tuple[str, str], public: Path
) -> None:
    made(run, secret)
    with book.allowed_signers.open("a") as file:
        file.write(f"A.Moor {public.read_text('utf-8')}*.org {public.read_text('utf-8')}")
    codes = [f["code"] for f in run("signers", "--json").json["flags"]]
    assert codes == ["signers_differ", "signers_file"]
    outcome = run("signers", "add", str(public), *BY, "--name", "B. Sand", "--json").json
    assert "signers_line_lost" in [f["code"] for f in outcome["flags"]]
    assert run("signers", "--json").json["flags"] == []


# --- how a passphrase gets in --------------------------------------------------------------------


@pytest.fixture
def key(tmp_path: Path) -> Path:
    path = tmp_path / "own"
    make_key(Files(), path, WORDS.encode(), "", rounds=1)
    return path


@pytest.mark.parametrize("data", [WORDS, f"{WORDS}\n", f"{WORDS}\r\n", f"{WORDS}\nmore\n"])
def test_a_passphrase_is_the_first_line_of_a_file_or_a_descriptor(
    data: str, key: Path, tmp_path: Path
) -> None:
    path = tmp_path / "pass"
    path.write_bytes(data.encode())
    path.chmod(0o600)
    reading, writing = os.pipe()
    os.write(writing, data.encode())
    os.close(writing)
    try:
        for given in ({"passphrase_file": str(path)}, {"passphrase_fd": str(reading)}):
            signer = signer_of({**NO_OPTIONS, "key": str(key), **given}, Settings())
            assert signer.sign(b"x", "assaybench-log")
    finally:
        os.close(reading)


@pytest.mark.parametrize("data", ["", "\n", "\nsecond\n", "x" * 5000, "a\0b\n"])
def test_a_first_line_that_is_none_is_told(data: str, key: Path, tmp_path: Path) -> None:
    path = tmp_path / "pass"
    path.write_bytes(data.encode())
    with pytest.raises(NotDone, match="no passphrase in its first line"):
        passphrase_of({**NO_OPTIONS, "passphrase_file": str(path)})()


def test_files_that_others_may_read_are_told(
    key: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "pass"
    path.write_text(WORDS, "utf-8")
    for file in (path, key):
        file.chmod(0o644)
    signer_of({**NO_OPTIONS, "key": str(key), "passphrase_file": str(path)}, Settings())
    err = capsys.readouterr().err.splitlines()
    assert [line.partition(":")[0] for line in err] == ["key", "--passphrase-file"]
    assert all("others on this computer may read" in line for line in err)


def test_a_key_is_the_one_of_the_option_then_of_the_settings(key: Path, tmp_path: Path) -> None:
    public = public_path(ssh_tools.made(tmp_path, "theirs"))
    settings = Settings(signing_key=str(public))
    assert signer_of(NO_OPTIONS, settings).key.line in public.read_text("utf-8")
    with pytest.raises(BadInput, match="--key: "):
        signer_of({**NO_OPTIONS, "key": ""}, settings)


@pytest.mark.parametrize(("second", "status"), [(WORDS, DONE), ("other", NOT_DONE)])
def test_at_a_terminal_a_new_passphrase_is_typed_twice_unseen(
    second: str, status: int, book: Logbook
) -> None:
    import pty

    ours, theirs = pty.openpty()
    line = [sys.executable, "-m", "assaybench", "signers", "new", *BY]
    with subprocess.Popen(
        line, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True
    ) as process:
        os.close(theirs)
        shown = typed_at(ours, ("New passphrase:", WORDS), ("The same again:", second))
        process.wait(timeout=60)
    os.close(ours)
    assert process.returncode == status
    assert WORDS not in shown
    if status == DONE:
        assert "Keep a copy of the key file" in shown
    else:
        assert "the two passphrases differ. Nothing was made." in shown
        assert not book.root.exists()


def typed_at(terminal: int, *answers: tuple[str, str]) -> str:
    """Type an answer behind each prompt; gives all that was shown."""
    shown, left = "", list(answers)
    while True:
        assert select.select([terminal], [], [], 60)[0], f"nothing more came after: {shown}"
        try:
            part = os.read(terminal, 4096).decode("utf-8", "replace")
        except OSError:
            return shown
        if not part:
            return shown
        shown += part
        if left and left[0][0] in shown:
            os.write(terminal, f"{left.pop(0)[1]}\n".encode())


def test_a_passphrase_is_no_argument_and_no_variable(run: Any) -> None:
    text = run("signers", "--help").out
    assert "--passphrase " not in text
    assert json.dumps(text).count("passphrase-f") >= 2
