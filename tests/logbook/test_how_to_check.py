"""The text on how to check a logbook: its lines do what it says."""

import subprocess
from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.how_to_check import Facts, how_to_check
from assaybench.logbook.keys import open_key
from assaybench.logbook.register import LogHead, new_log
from assaybench.logbook.seal import SealHead, seal
from assaybench.logbook.sshsig import LOG, MARK, STATEMENT
from assaybench.logbook.statements import countersign
from tests.logbook.sealed_books import run_rows
from tests.logbook.signer_files import tool_key
from tests.logbook.ssh_tools import WHO
from tests.reliability.faulty import keeper

__all__ = ["tool_key"]


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
