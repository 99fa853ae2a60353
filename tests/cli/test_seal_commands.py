"""Sealing, countersigning and reissuing from a shell, the way a person does it with a key file."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.reading import read_log
from tests.cli.entered import BY, entered, run_with_gold
from tests.cli.test_signers import typed_at
from tests.logbook.ssh_tools import made

WORDS = "spur and cornet"
HEAD = ("--name", "K. Berg", "--role", "assayer")
REVIEWER = ("--by", "AD", "--name", "A. Dale", "--role", "reviewer")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Logbook:
    """An empty logbook that the environment names; no settings of this machine count."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Logbook(tmp_path / "book")


@pytest.fixture
def key(tmp_path: Path) -> tuple[str, ...]:
    """The options of a key that is shut with a passphrase."""
    return key_of(tmp_path, "key")


def key_of(folder: Path, name: str) -> tuple[str, ...]:
    made(folder, name, passphrase=WORDS)
    passphrase = folder / f"{name}.passphrase"
    passphrase.write_text(f"{WORDS}\n", "utf-8")
    passphrase.chmod(0o600)
    return ("--key", str(folder / name), "--passphrase-file", str(passphrase))


def kinds(book: Logbook, number: int = 1) -> list[str]:
    return [e.kind for e in read_log(Files(), book.log(LogName("MAIN", number)))[0]]


def as_typed(line: str) -> "subprocess.CompletedProcess[str]":
    """A printed command line, run by the shell as it stands."""
    return subprocess.run(
        ["sh", "-c", line], capture_output=True, text=True, check=False, timeout=60
    )


def test_a_seal_shows_all_that_is_signed_then_how_to_check_it(
    run: Any, book: Logbook, key: tuple[str, ...]
) -> None:
    run_with_gold(run)
    entered(run, ("note", "text=damp day"))
    assert run("correct", "1", "6", "text=1.327", *BY, "--reason", "digits").status == DONE
    outcome = run("seal", "1", *BY, *HEAD, *key)
    assert (outcome.status, outcome.err) == (DONE, "")
    out = outcome.out
    assert re.search(r"T-1, 1 of 1 used [ .]+ 66\.35 ± 0\.23 g/t\n", out)
    assert "text: struck 1.372  1.327 KB" in out
    assert re.search(r"amended [ .]+ 1\n", out)
    assert re.search(r"by [ .]+ K\. Berg, assayer\n", out)
    assert kinds(book)[-2:] == ["results", "sealed"]
    (line,) = [line.strip() for line in out.splitlines() if "ssh-keygen -Y verify" in line]
    checked = as_typed(line)
    assert checked.returncode == 0
    assert 'Good "assaybench-log" signature for K.Berg' in checked.stdout
    assert "New to this logbook, now named as K.Berg" in out


def test_at_a_terminal_all_of_it_is_shown_before_the_passphrase_is_asked(
    run: Any, book: Logbook, key: tuple[str, ...]
) -> None:
    import pty

    run_with_gold(run)
    ours, theirs = pty.openpty()
    words = [sys.executable, "-m", "assaybench", "seal", "1", *BY, *HEAD, *key[:2]]
    with subprocess.Popen(
        words, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True
    ) as process:
        os.close(theirs)
        shown = typed_at(ours, ("Passphrase of the signing key:", WORDS))
        process.wait(timeout=60)
    os.close(ours)
    assert process.returncode == DONE
    assert WORDS not in shown
    before, _, behind = shown.partition("Passphrase of the signing key:")
    assert "T-1, 1 of 1 used" in before
    assert "SHA-512 of the log" in behind
    assert kinds(book)[-1] == "sealed"


def test_json_has_the_review_and_the_seal(run: Any, book: Logbook, key: tuple[str, ...]) -> None:
    run_with_gold(run)
    answer = run("seal", "1", *BY, *HEAD, *key, "--json").json
    (review,), (seal,) = answer["review"], answer["seal"]
    assert review["determinations"][0]["every"] == 1
    assert set(review) == {
        "id", "left", "determinations", "amended", "withdrawn", "left_out", "lost", "missing",
        "apart", "suspect", "torn", "holds",
    }  # fmt: skip
    assert set(seal) == {
        "id", "path", "sha512", "size", "name", "role", "meaning", "fingerprint", "principal",
        "mark", "steps", "check",
    }  # fmt: skip
    assert re.fullmatch(r"4:[0-9a-f]{64}", seal["mark"])
    assert seal["steps"] == ["log", "signature", "register", "mark", "read-only"]
    assert as_typed(seal["check"]).returncode == 0


def test_a_review_signs_nothing_and_needs_nobody(run: Any, book: Logbook) -> None:
    run_with_gold(run)
    outcome = run("seal", "1", "--review", "--plain")
    assert outcome.status == DONE
    assert "Determinations: T-1, 1 of 1 used: 68.60 +-0.23 g/t" in outcome.out
    assert "sealed" not in kinds(book)


def test_a_hold_is_shown_in_the_review_and_refused_in_the_seal(
    run: Any, book: Logbook, key: tuple[str, ...]
) -> None:
    run_with_gold(run)
    assert run("correct", "1", "4", "role=reference", "value=50 ± 1 g/t", *BY, "--reason",
               "it is the reference").status == DONE  # fmt: skip
    assert "Checks that say stop" in run("seal", "1", "--review").out
    outcome = run("seal", "1", *BY, *HEAD, *key)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    assert "T-1 holds the seal: " in outcome.err
    told = "assaybench enter MAIN-1 note sample=T-1 releases=yes text='why it may be sealed'"
    assert told in outcome.err
    assert "sealed" not in kinds(book)
    entered(run, ("note", "text=wrong bottle", "sample=T-1", "releases=yes"))
    sealed = run("seal", "1", *BY, *HEAD, *key)
    assert sealed.status == DONE
    assert "released: wrong bottle" in sealed.out


def test_read_only_again_after_a_copy_takes_no_passphrase(
    run: Any, book: Logbook, key: tuple[str, ...], tmp_path: Path
) -> None:
    run_with_gold(run)
    assert run("seal", "1", *BY, *HEAD, *key).status == DONE
    path = book.log(LogName("MAIN", 1))
    path.chmod(0o644)
    outcome = run("seal", "1", *BY, "--key", str(tmp_path / "no key"), "--json")
    assert outcome.status == DONE
    (sealed,) = outcome.json["seal"]
    assert (sealed["steps"], sealed["principal"]) == (["read-only"], "K.Berg")
    assert not Files().writable(path)
    assert run("seal", "1", *BY).status == BAD_INPUT


def test_a_wrong_passphrase_writes_nothing(
    run: Any, book: Logbook, key: tuple[str, ...], tmp_path: Path
) -> None:
    run_with_gold(run)
    before = {p: p.read_bytes() for p in book.root.rglob("*.toml")}
    (tmp_path / "key.passphrase").write_text("spur\n", "utf-8")
    outcome = run("seal", "1", *BY, *HEAD, *key)
    assert (outcome.status, outcome.out) == (NOT_DONE, "")
    (line,) = outcome.faults
    assert "a wrong passphrase" in line
    assert "spur" not in outcome.err
    assert {p: p.read_bytes() for p in book.root.rglob("*.toml")} == before
    assert not list(book.root.rglob("*.sig"))


def test_who_signs_comes_from_options_the_log_or_the_settings(
    run: Any, book: Logbook, key: tuple[str, ...], tmp_path: Path
) -> None:
    run_with_gold(run)
    outcome = run("seal", "1", *BY, *key)
    assert outcome.status == BAD_INPUT
    assert [line.split(": ", 1)[1][:6] for line in outcome.faults] == ["--name", "--role"]
    home = tmp_path / "home" / "assaybench"
    home.mkdir(parents=True, exist_ok=True)
    (home / "settings.toml").write_text('[people]\nKB = "K. Berg"\n', "utf-8")
    assert len(run("seal", "1", *BY, *key).faults) == 1
    entered(run, ("person", "initials=KB", "name=Kjell Berg", "role=chief assayer"))
    (seal,) = run("seal", "1", *BY, *key, "--json").json["seal"]
    assert (seal["name"], seal["role"], seal["meaning"]) == ("Kjell Berg", "chief assayer",
                                                             "weighed")  # fmt: skip


def test_a_reviewer_countersigns_with_his_own_key(
    run: Any, book: Logbook, key: tuple[str, ...], tmp_path: Path
) -> None:
    run_with_gold(run)
    run("seal", "1", *BY, *HEAD, *key)
    log = book.log(LogName("MAIN", 1)).read_bytes()
    other = key_of(tmp_path, "other")
    outcome = run("countersign", "1", *REVIEWER, *other, "--text", "looked at all of it", "--json")
    (statement,) = outcome.json["statement"]
    assert set(statement) == {
        "id", "log", "path", "sha512", "name", "role", "meaning", "text", "fingerprint",
        "principal", "steps", "check",
    }  # fmt: skip
    assert (statement["meaning"], statement["principal"]) == ("reviewed", "A.Dale")
    assert as_typed(statement["check"]).returncode == 0
    assert book.log(LogName("MAIN", 1)).read_bytes() == log
    again = run("countersign", "1", *REVIEWER, *other, "--text", "looked at all of it")
    assert again.status == BAD_INPUT
    present = run("countersign", "1", *REVIEWER, *other, "--meaning", "was present")
    assert "000001.statement-2.toml" in present.out
    same = run("countersign", "1", *BY, *HEAD, *key)
    assert "K. Berg signed with the key that sealed the log." in same.out
    assert "K. Berg signed with the key that sealed the log." in run("verify", "1").out
    report = run("report", "1", "--text").out
    assert re.search(r"^ +by [ .]+ A\. Dale, reviewer$", report, re.MULTILINE)
    assert "looked at all of it" in report
    assert report.count(statement["fingerprint"]) == 2
    assert report.count("K. Berg signed with the key that sealed the log.") == 1


def test_a_reissue_is_shown_corrected_and_sealed_in_one_count(
    run: Any, book: Logbook, key: tuple[str, ...]
) -> None:
    """1.372 was stored, 1.327 was there: 68.60 g/t becomes 66.35 g/t, the old seal stays."""
    run_with_gold(run)
    run("seal", "1", *BY, *HEAD, *key)
    old = book.log(LogName("MAIN", 1)).read_bytes()
    made_log = run("reissue", "1", *BY, "--reason", "digits swapped", "--json").json
    assert made_log["log"][0]["id"] == "MAIN-000002"
    assert made_log["log"][0]["replaces"] == "MAIN-000001"
    assert "68.60 ± 0.23" in run("results", "2").out
    shown = run("show", "2").out
    assert "Replaces MAIN-000001, which stays as it is. Why: digits swapped" in shown
    assert "Replaced by MAIN-000002" in run("show", "1").out
    # a report names the one that it replaces: ISO/IEC 17025, 7.8.8
    report = " ".join(run("report", "2", "--text").out.split())
    assert "Replaces MAIN-000001, which stays as it is. Why: digits swapped" in report
    corrected = run("correct", "2", "6", "text=1.327", *BY, "--reason", "digits swapped")
    assert corrected.status == DONE
    assert "68.60 ± 0.23 g/t, now 66.35 ± 0.23 g/t" in corrected.out
    assert "stored . . . " in corrected.out
    assert "entry 11 of MAIN-000002" in corrected.out
    amendment = read_log(Files(), book.log(LogName("MAIN", 2)))[0][-1]
    assert amendment.values == {
        "entry": 6, "log": 1, "entry_kind": "reading", "reason": "digits swapped", "text": "1.327",
    }  # fmt: skip
    # what the new log says itself is corrected by its number in the one count as well
    entered(run, ("note", "text=damp day"), number="2")
    assert run("correct", "2", "12", "text=dry day", *BY, "--reason", "x").status == DONE
    assert read_log(Files(), book.log(LogName("MAIN", 2)))[0][-1].values["entry"] == 4
    assert "66.35 ± 0.23" in run("results", "2").out
    assert "68.60 ± 0.23" in run("results", "1").out
    assert run("leave-out", "2", "T-1", *BY, "--reason", "too small").status == DONE
    assert run("seal", "2", *BY, *HEAD, *key).status == DONE
    assert book.log(LogName("MAIN", 1)).read_bytes() == old
    third = run("reissue", "2", *BY, "--reason", "again", "--json").json
    assert third["log"][0]["id"] == "MAIN-000003"
    assert "66.35 ± 0.23" in run("results", "3").out


def test_a_sample_is_not_given_twice_across_a_reissue(
    run: Any, book: Logbook, key: tuple[str, ...]
) -> None:
    run_with_gold(run)
    run("seal", "1", *BY, *HEAD, *key)
    run("reissue", "1", *BY, "--reason", "one more sample")
    before = book.log(LogName("MAIN", 2)).read_bytes()
    twice = run("enter", "2", "sample", "id=T-1", "role=sample", *BY)
    assert twice.status == BAD_INPUT
    named = run("enter", "2", "amendment", "entry=6", "log=1", "entry_kind=reading", "text=1",
                "reason=x", *BY)  # fmt: skip
    assert named.status == BAD_INPUT
    far = run("correct", "2", "99", "text=1", *BY, "--reason", "x")
    assert far.status == BAD_INPUT
    assert book.log(LogName("MAIN", 2)).read_bytes() == before
    assert run("enter", "2", "sample", "id=T-2", "role=sample", *BY).status == DONE


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("seal",), "NUMBER is missing. Write NUMBER."),
        (("seal", "x", *BY), '"x" is not a log.'),
        (("seal", "7", *BY), "there is no log MAIN-000007 in the logbook"),
        (("seal", "7", "8", *BY), '"8" is more than this command takes.'),
        (("countersign", "7", *REVIEWER), "number 7 was never allotted."),
        (("countersign", "7"), "--by is missing. Write your initials: --by KB."),
        (("reissue", "7", *BY), "--reason is missing. Write why"),
        (("reissue", "7", *BY, "--reason", "x"), "number 7 was never allotted."),
    ],
)
def test_bad_input_is_one_line_and_makes_nothing(
    run: Any, book: Logbook, line: tuple[str, ...], said: str
) -> None:
    outcome = run(*line)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    (fault,) = outcome.faults
    assert said in fault
    assert not book.root.exists()


def test_bad_input_about_a_log_changes_nothing(
    run: Any, book: Logbook, key: tuple[str, ...]
) -> None:
    run_with_gold(run)
    before = {p: p.read_bytes() for p in book.root.rglob("*.toml")}
    for line, said in (
        (("seal", "1", *BY, *HEAD, *key, "--meaning", "approved"), '"approved" is not a choice'),
        (("seal", "1", *BY, "--name", "\x07", "--role", "x", *key), "--name: "),
        (("seal", "1", *HEAD, *key), "--by is missing."),
        (("seal", "1", *BY, *HEAD, *key, "--passphrase-fd", "3"), "exclude each other"),
        (("countersign", "1", *REVIEWER, *key), "MAIN-000001 is not sealed"),
        (("reissue", "1", *BY, "--reason", "x"), "MAIN-000001 is not sealed"),
        (("seal", "1", *BY, *HEAD, *key, "--json", "--plain"), "exclude each other"),
    ):
        outcome = run(*line)
        assert (outcome.status, outcome.out) == (BAD_INPUT, ""), line
        assert said in outcome.err
        assert len(outcome.faults) == 1
    assert {p: p.read_bytes() for p in book.root.rglob("*.toml")} == before


def test_practice_is_never_sealed_countersigned_or_reissued(
    run: Any, book: Logbook, key: tuple[str, ...]
) -> None:
    assert run("open", "run", "--practice", *BY).status == DONE
    for line in (
        ("seal", "P-1", *BY, *HEAD, *key),
        ("countersign", "P-1", *REVIEWER, *key),
        ("reissue", "P-1", *BY, "--reason", "x"),
    ):
        outcome = run(*line)
        assert (outcome.status, outcome.out) == (BAD_INPUT, "")
        assert outcome.faults == [
            f"assaybench {line[0]}: P-1 is practice; practice is never sealed."
        ]
    assert not book.root.exists()


def test_the_check_line_is_quoted_for_a_folder_with_blanks(
    run: Any, book: Logbook, key: tuple[str, ...], tmp_path: Path
) -> None:
    folder = ("--logbook", str(tmp_path / "my log's book"))
    assert run("open", "run", *BY, *folder).status == DONE
    (seal,) = run("seal", "1", *BY, *HEAD, *key, *folder, "--json").json["seal"]
    assert as_typed(seal["check"]).returncode == 0
    assert shlex.split(seal["check"])[0] == "ssh-keygen"
    assert os.path.basename(seal["path"]) == "000001.toml"  # noqa: PTH119  a printed path
