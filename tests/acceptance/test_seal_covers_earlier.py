"""Scenario: 68.60 g/t was sealed and is wrong, two digits having been swapped; 66.35 g/t is right.

The sealed log stays as it is. A log that replaces it holds the correction; the earlier signature is
shown as covering the earlier state. A line that is edited or deleted in the file with a text editor
makes the check fail at that line. `ssh-keygen` says the same without this program.
"""

import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import DONE, NOT_GOOD
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.signing import signature_path

BY = ("--by", "KB")
HEAD = ("--name", "K. Berg", "--role", "assayer")
REASON = "digits swapped, re-read at 10:14, check weight good"


@pytest.fixture(scope="module")
def once() -> dict[str, Path]:
    """The folder that the first test made and sealed, for the others to copy."""
    return {}


@pytest.fixture
def book(
    run: Any, tmp_path_factory: pytest.TempPathFactory, tmp_path: Path, once: dict[str, Path],
    monkeypatch: pytest.MonkeyPatch,
) -> Logbook:  # fmt: skip
    """Log 1, made and sealed with the commands; its gold is entry 6, read as 1.372 mg."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    monkeypatch.chdir(tmp_path)
    if once:
        shutil.copytree(once["as sealed"], tmp_path, dirs_exist_ok=True)
        return Logbook(tmp_path / "book")
    Path(tmp_path, "secret").write_text("a long passphrase\n")
    Path(tmp_path, "secret").chmod(0o600)
    fine = ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10")
    pulp = ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10")
    sample = ("sample", "id=KV-017", "role=sample", "silver=none")
    mass = ("reading", "what=charge", "text=20.00", "unit=g", "balance=pulp", "sample=KV-017")
    gold = ("reading", "what=gold", "text=1.372", "unit=mg", "balance=fine", "sample=KV-017")
    assert run("open", "run", *BY).status == DONE
    for row in (fine, pulp, sample, mass, gold):
        assert run("enter", "1", *row, *BY).status == DONE
    made = run("signers", "new", "--passphrase-file", "secret", "--name", "K. Berg", *BY)
    assert (made.status, made.err) == (DONE, "")
    seal(run, "1")
    kept = tmp_path_factory.mktemp("sealed")
    once["as sealed"] = Path(shutil.copytree(tmp_path, kept, dirs_exist_ok=True))
    return Logbook(tmp_path / "book")


def seal(run: Any, number: str) -> None:
    sealed = run("seal", number, "--passphrase-file", "secret", *HEAD, *BY)
    assert (sealed.status, sealed.err) == (DONE, "")


def path_of(book: Logbook, n: int) -> Path:
    return book.log(LogName("MAIN", n))


def keygen(book: Logbook, n: int) -> bool:
    """Whether `ssh-keygen` says that the signature of a log is good."""
    path = path_of(book, n)
    done = subprocess.run(
        ["ssh-keygen", "-Y", "verify", "-f", str(book.allowed_signers), "-I", "K.Berg",
         "-n", "assaybench-log", "-s", str(signature_path(path))],
        input=path.read_bytes(), capture_output=True, check=False,
    )  # fmt: skip
    return done.returncode == 0


def findings(outcome: Any) -> dict[str, str]:
    return {one["code"]: one["text"] for one in outcome.json["findings"]}


def grade(run: Any, number: str) -> float:
    (sample,) = run("results", number, "--json").json["samples"]
    return float(sample["figures"]["grade_gold"]["value"])


def test_the_earlier_signature_covers_the_earlier_state(run: Any, book: Logbook) -> None:
    before = path_of(book, 1).read_bytes()
    assert run("correct", "1", "6", "text=1.327", "--reason", REASON, *BY).status != DONE
    assert run("reissue", "1", "--reason", REASON, *BY).status == DONE
    assert run("correct", "2", "6", "text=1.327", "--reason", REASON, *BY).status == DONE
    assert grade(run, "2") == pytest.approx(66.35, abs=0.005)
    seal(run, "2")
    assert (path_of(book, 1).read_bytes(), keygen(book, 1), keygen(book, 2)) == (
        before, True, True,
    )  # fmt: skip
    outcome = run("verify", "--json")
    assert outcome.status == DONE
    assert findings(outcome)["verify_replaces"] == (
        "MAIN/000002.toml replaces MAIN/000001.toml, which is there as it was.\n"
        "The earlier signature covers that earlier state."
    )
    assert [one["figures"] for one in outcome.json["logs"]] == ["recomputes", "recomputes"]
    assert grade(run, "1") == pytest.approx(68.60, abs=0.005)


def edited(path: Path, data: bytes) -> None:
    """Write a file as an editor does that overrides the read-only mark."""
    path.chmod(0o644)
    path.write_bytes(data)


def test_an_edited_line_makes_the_check_fail_at_that_line(run: Any, book: Logbook) -> None:
    path = path_of(book, 1)
    data = path.read_bytes()
    first = data[: data.index(b"[[entry]]\nn = 6\n")].count(b"\n") + 1
    edited(path, data.replace(b'"1.372"', b'"1.327"'))
    outcome = run("verify", "--json")
    told = findings(outcome)
    assert outcome.status == NOT_GOOD
    assert f"entry 6, from line {first} on, is not as it was written" in told["verify_damaged"]
    assert "the signature covers the earlier state" in told["verify_covers_earlier"]
    assert not keygen(book, 1)


def test_a_deleted_line_makes_the_check_fail_at_that_line(run: Any, book: Logbook) -> None:
    path = path_of(book, 1)
    lines = path.read_bytes().split(b"\n")
    at = lines.index(b"n = 6")
    edited(path, b"\n".join([*lines[:at], *lines[at + 1 :]]))
    outcome = run("verify", "--json")
    assert outcome.status == NOT_GOOD
    assert f"line {at + 1}, byte" in findings(outcome)["verify_damaged"]
    assert not keygen(book, 1)


def test_an_entry_written_behind_the_seal_is_told_from_what_was_sealed(
    run: Any, book: Logbook
) -> None:
    """Whoever knows the format can link an entry rightly; the signature covers what was before."""
    from assaybench.logbook.files import Files
    from assaybench.logbook.reading import LogReading
    from assaybench.record.frame import Chain, framed
    from assaybench.record.kinds import BY_NAME

    path = path_of(book, 1)
    data = path.read_bytes()
    reading, chain = LogReading(Files(), path, keep_links=True), Chain(BY_NAME)
    entries = list(reading)
    for entry, link in zip(entries, reading.links, strict=True):
        chain.step(entry.kind, link)
    values = {"entry": 6, "reason": REASON, "text": "1.327"}
    edited(path, data + framed(chain, entries[-1].at, "KB", "amendment", values).data)
    outcome = run("verify", "--json")
    assert outcome.status == NOT_GOOD
    assert (
        f"covers the earlier state, {len(data)} bytes." in (findings(outcome)["verify_added_after"])
    )
