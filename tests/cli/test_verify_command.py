"""`verify` and `export`, as from a shell: what they look at, print, refuse, and how they end."""

import json
import os
import pty
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from assaybench import PROGRAM
from assaybench.cli.app import BAD_INPUT, DONE, INTERRUPTED, NOT_DONE, NOT_GOOD
from assaybench.logbook.allowed_signers import named_here, written
from assaybench.logbook.checked import Checked, checked_file, last_checked
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.index import cache_folder
from assaybench.logbook.signing import signature_path
from tests.cli.conftest import Run
from tests.logbook.sealed_books import Maker, TestKey, run_rows

DAHL = TestKey("A. Dahl", 9)


@pytest.fixture
def maker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Maker:
    """Three sealed logs and an open one, in the logbook that the environment names."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    monkeypatch.chdir(tmp_path)
    maker = Maker(tmp_path / "book")
    maker.signer(DAHL)
    for n in (1, 2, 3):
        maker.log(n)
    maker.statement(2, 1, DAHL)
    maker.log(4, sealed=False)
    maker.done()
    return maker


def log(maker: Maker, n: int) -> Path:
    return maker.book.log(LogName("MAIN", n))


def test_a_good_logbook_is_said_to_be_good(run: Any, maker: Maker) -> None:
    outcome = run("verify")
    assert (outcome.status, outcome.err) == (DONE, "")
    assert "Nothing is amiss: 4 logs looked at." in outcome.out
    assert "a key that only this logbook names: 3 logs, 3 marks" in outcome.out
    assert "MAIN-000002  sealed       17  2026-06-09  K. Berg  recomputes" in outcome.out
    # a folder name is not broken, however deep the folders of the tests lie
    lines = [line for line in outcome.out.splitlines() if str(maker.root) not in line]
    assert all(len(line) <= 79 for line in lines)


def test_each_finding_is_a_sentence_of_the_page(run: Any, maker: Maker) -> None:
    log(maker, 1).unlink()
    outcome = run("verify", "--no-recompute")
    assert outcome.status == NOT_GOOD
    assert "\n  Not good.\n" in outcome.out
    assert "    MAIN-000001 was sealed and is not here.\n" in outcome.out
    alone = run("verify", "1")
    assert (alone.status, "Restore its file, and what stands" in alone.err) == (NOT_GOOD, True)
    plain = run("verify", "--plain")
    assert plain.out.isascii()
    assert "Not good: MAIN-000001 was sealed and is not here." in plain.out


def test_names_of_json_are_the_golden_ones(run: Any, maker: Maker) -> None:
    log(maker, 4).write_bytes(b"")
    outcome = run("verify", "--json")
    assert outcome.status == NOT_GOOD
    answer = outcome.json
    golden = {
        "counts": {"id", "logs", "not_good", "states", "recomputed", "findings",
                   "findings_left_out"},
        "registers": {"id", "entries", "link", "mark"},
        "keys": {"id", "who", "named_by", "logs", "statements", "marks", "ended", "since"},
        "logs": {"id", "path", "good", "state", "file", "entries", "size", "sha512", "signed_by",
                 "key_named_by", "sealed_at", "signer", "role", "meaning", "statements",
                 "replaces", "figures"},
        "findings": {"id", "level", "code", "text", "path"},
    }  # fmt: skip
    for name, keys in golden.items():
        assert answer[name], name
        assert all(set(record) == keys for record in answer[name])
    assert answer["verdict"]["code"] == "verify_bad"
    assert [one["good"] for one in answer["logs"]] == [True, True, True, False]


@pytest.mark.parametrize(
    ("what", "logs"),
    [
        (("2",), 1),
        (("MAIN-2", "main-3"), 2),
        (("book",), 4),
        (("book/logs",), 4),
        (("book/logs/MAIN",), 4),
        (("book/logs/MAIN/000002.toml",), 1),
        (("book/logs/MAIN/000002.toml", "3", "book/logs/MAIN/000002.toml"), 2),
        (("2", "book"), 4),
    ],
)
def test_what_is_named_is_looked_at_once(
    run: Any, maker: Maker, what: tuple[str, ...], logs: int
) -> None:
    outcome = run("verify", *what, "--json")
    assert (outcome.status, outcome.json["counts"][0]["logs"]) == (DONE, logs)


def test_a_log_outside_a_logbook_needs_a_key_that_you_name(run: Any, maker: Maker) -> None:
    Path("mail").mkdir()
    for name in ("000002.toml", "000002.toml.sig"):
        Path("mail", name).write_bytes(log(maker, 2).with_name(name).read_bytes())
    assert run("verify", "mail").status == NOT_GOOD
    fingerprint = maker.key.key.fingerprint
    assert run("verify", "mail", "--fingerprint", fingerprint, "--require-trusted").status == DONE
    Path("mine").write_bytes(written([named_here("berg", maker.key.key)]))
    assert run("verify", "mail/000002.toml", "--signers", "mine").status == DONE


def test_the_settings_may_name_a_key(run: Any, maker: Maker, tmp_path: Path) -> None:
    assert run("verify", "--require-trusted").status == NOT_GOOD
    folder = tmp_path / "home" / "assaybench"
    folder.mkdir(parents=True)
    sealer, other = maker.key.key.fingerprint, DAHL.key.fingerprint
    (folder / "settings.toml").write_text(f'trusted = ["{sealer}"]\n')
    outcome = run("verify", "--require-trusted")
    assert (outcome.status, "a key you named: 3 logs, 3 marks" in outcome.out) == (NOT_GOOD, True)
    assert "000002.statement-1.toml is signed by a key that you did not name." in outcome.out
    assert "Some keys only this logbook names." in outcome.out
    outcome = run("verify", "--require-trusted", "--fingerprint", other)
    assert (outcome.status, "this logbook names" in outcome.out) == (DONE, False)


def test_a_mark_from_a_report_is_held_or_not(run: Any, maker: Maker) -> None:
    mark = maker.short_mark()
    good = run("verify", "--mark", mark)
    assert (good.status, "still holds what it did" in good.out) == (DONE, True)
    assert "shows no trace here" not in good.out
    bad = run("verify", "--mark", mark, "--mark", "3:0123456789abcdef")
    assert (bad.status, "No register here holds the mark 3:0123456789abcdef" in bad.out) == (
        NOT_GOOD, True,
    )  # fmt: skip
    assert "shows no trace here" in run("verify").out


REFUSED = (
    (("verify", "nowhere"), '"nowhere" is neither a log\'s number nor a file or folder here.'),
    (("verify", "9"), "there is no log MAIN-000009 in the logbook"),
    (("verify", "empty"), '"empty" is a folder without logs.'),
    (("verify", "book/allowed_signers"), '"book/allowed_signers" is not a log.'),
    (("verify", "a\0b"), "is neither a log's number"),
    (("verify", "--jobs", "0"), '--jobs: "0" is not a whole number from 1 to 64.'),
    (("verify", "--jobs", "٣"), '--jobs: "٣" is not a whole number'),
    (("verify", "--mark", "12"), '--mark: "12" is not a mark.'),
    (("verify", "--fingerprint", "MD5:00"), '--fingerprint: "MD5:00" is not a fingerprint'),
    (("verify", "--signers", "nowhere"), '--signers: "nowhere" cannot be read'),
    (("verify", "--signers", "empty/bad"), "--signers: line 1:"),
    (("verify", "--json", "--plain"), "--json and --plain exclude each other."),
    (("export",), "--bundle is missing. Name a log: export --bundle 12."),
    (("export", "--bundle", "x"), '"x" is not a log.'),
    (("export", "--bundle", "9"), "there is no log MAIN-000009"),
    (("export", "--bundle", "4"), "MAIN-000004 is not sealed"),
    (("export", "--bundle", "1", "--out", "empty"), "empty is there already"),
    (("export", "--bundle", "1", "--out", " "), '"" cannot be read: not a folder name'),
)


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[" ".join(line) for line, _ in REFUSED])
def test_what_cannot_be_is_refused_in_a_line(
    run: Any, maker: Maker, line: tuple[str, ...], words: str
) -> None:
    Path("empty").mkdir()
    Path("empty", "bad").write_text("me nokey\n")
    outcome = run(*line)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert words in outcome.err


def test_without_a_logbook_nothing_could_be_done(run: Any, maker: Maker) -> None:
    outcome = run("verify", "--logbook", "none")
    assert (outcome.status, outcome.out, len(outcome.faults)) == (NOT_DONE, "", 1)


def test_an_empty_logbook_has_nothing_to_check(run: Any, maker: Maker) -> None:
    Path("new", "registers").mkdir(parents=True)
    outcome = run("verify", "--logbook", "new")
    assert (outcome.status, "There is no log here." in outcome.out) == (DONE, True)


def test_a_bundle_is_made_and_checks_by_itself(run: Any, maker: Maker) -> None:
    outcome = run("export", "--bundle", "2", "--out", "client", "--json")
    assert outcome.status == DONE
    names = [record["id"] for record in outcome.json["files"]]
    assert names == sorted(
        p.relative_to("client").as_posix() for p in Path("client").rglob("*") if p.is_file()
    )
    assert "logs/MAIN/000002.statement-1.toml" in names
    assert "MAIN-000002" in Path("client", "report.txt").read_text("utf-8")
    checked = run("verify", "client")
    assert (checked.status, "Nothing is amiss: 1 log looked at." in checked.out) == (DONE, True)
    Path("client/logs/MAIN/000002.toml").write_bytes(log(maker, 1).read_bytes())
    assert run("verify", "client").status == NOT_GOOD


def alone(maker: Maker, *, registered: bool = True) -> None:
    """Log 5, with a sample that stands in no other log and a statement."""
    own = {"KV-001": "Z-1"}
    rows = [(k, {n: own.get(str(v), v) for n, v in r.items()}) for k, r in run_rows(5, samples=1)]
    maker.log(5, rows)
    (maker.statement if registered else maker.broken_off)(5, 1, DAHL)
    maker.done()


def test_the_texts_of_a_bundle_are_held_against_its_log(run: Any, maker: Maker) -> None:
    assert run("export", "--bundle", "2", "--out", "with others").status == DONE
    said = "the report says something of other logs, which are not here."
    assert said in run("verify", "with others").out
    alone(maker)
    assert run("export", "--bundle", "5", "--out", "client").status == DONE
    assert "report.txt and HOW-TO-CHECK.txt are as printed anew" in run("verify", "client").out
    for name, old, new in (("report.txt", "g/t", "g/T"), ("HOW-TO-CHECK.txt", "-n ", "-N ")):
        path = Path("client", name)
        text = path.read_text("utf-8")
        path.write_text(text.replace(old, new, 1), "utf-8")
        outcome = run("verify", "client")
        line = text[: text.index(old)].count("\n") + 1
        said = f"{name} is not what follows from the log, from line {line} on."
        assert (outcome.status, said in outcome.out) == (NOT_GOOD, True)
        path.write_text(text, "utf-8")
    path = Path("client", "report.txt")
    path.write_text(path.read_text("utf-8").replace(PROGRAM, "assaybench 0.0.1"), "utf-8")
    outcome = run("verify", "client")
    assert outcome.status == DONE
    assert "No signature covers report.txt and HOW-TO-CHECK.txt; not compared:" in outcome.out


def test_a_countersign_broken_off_before_the_register_alters_no_bundle(
    run: Any, maker: Maker
) -> None:
    alone(maker, registered=False)
    assert run("export", "--bundle", "5", "--out", "client").status == DONE
    assert "000005.statement-1.toml" in Path("client", "report.txt").read_text("utf-8")
    outcome = run("verify", "client")
    assert outcome.status == DONE
    assert "report.txt and HOW-TO-CHECK.txt are as printed anew" in outcome.out


def test_a_statement_counts_in_a_report_from_its_signature_on(run: Any, maker: Maker) -> None:
    alone(maker, registered=False)
    name = maker.book.statement(LogName("MAIN", 5), 1)
    assert name.name in run("report", "5", "--text").out
    signature_path(name).unlink()
    assert name.name not in run("report", "5", "--text").out


@pytest.mark.parametrize("what", ["logs/MAIN/000005.statement-1.toml", "marks/MAIN/000005.toml"])
def test_what_the_disk_does_not_read_is_neither_reported_nor_held_against_a_log(
    run: Any, maker: Maker, what: str
) -> None:
    alone(maker)
    assert run("export", "--bundle", "5", "--out", "client").status == DONE
    for root in (maker.book.root, Path("client")):
        root.joinpath(what).unlink()
        root.joinpath(what).mkdir()
    report, checked = run("report", "5", "--text"), run("verify", "client")
    said = f"{Path(what).name} cannot be read: there is a folder of this name."
    assert (report.status, report.out, said in report.err) == (NOT_DONE, "", True)
    assert (checked.status, "not compared:" in checked.out) == (NOT_DONE, True)
    assert "no results follow" not in checked.out


def test_a_damaged_log_is_not_exported(run: Any, maker: Maker) -> None:
    data = log(maker, 2).read_bytes()
    log(maker, 2).write_bytes(data.replace(b"KV-001", b"KV-009", 1))
    outcome = run("export", "--bundle", "2", "--out", "client")
    assert (outcome.status, "is not as it was written" in outcome.err) == (NOT_GOOD, True)
    assert not Path("client").exists()


def test_a_check_of_the_whole_logbook_is_noted(run: Any, maker: Maker, tmp_path: Path) -> None:
    def noted() -> Checked | None:
        return last_checked(Files(), checked_file(maker.book, cache_folder()))

    run("verify", "2")
    run("verify", "--no-recompute")
    assert noted() is None
    run("verify")
    checked = noted()
    assert checked is not None
    assert (checked.logs, checked.status) == (4, 0)


# --- as a process --------------------------------------------------------------------------------


def test_many_logs_are_spread_over_processes_and_told_the_same(maker: Maker) -> None:
    """More than stay in one process; the folders of one and two processes agree to the letter."""
    for n in range(5, 210):
        maker.log(n, run_rows(n, samples=1))
    maker.done()
    log(maker, 100).unlink()
    answers = [
        process("verify", "--json", "--jobs", jobs, "--logbook", str(maker.root))
        for jobs in ("1", "2")
    ]
    assert [a.returncode for a in answers] == [NOT_GOOD, NOT_GOOD]
    assert [a.stderr for a in answers] == ["", ""]
    assert answers[0].stdout == answers[1].stdout
    assert json.loads(answers[0].stdout)["counts"][0]["logs"] == 208


def process(*line: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "assaybench", *line],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip


def test_how_far_it_is_stands_on_a_terminal_alone(maker: Maker) -> None:
    ours, theirs = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-m", "assaybench", "verify", "--plain"],
        stdout=subprocess.PIPE, stderr=theirs, text=True, check=False, timeout=60,
    )  # fmt: skip
    os.close(theirs)
    shown = os.read(ours, 10_000)
    os.close(ours)
    assert b"\r  [#####...............] checked 1 of 4" in shown
    assert shown.endswith(b" \r")
    assert (done.returncode, "checked" in done.stdout) == (DONE, False)
    assert process("verify", "--plain").stderr == ""


def interruptible() -> None:
    """A job in the background of a shell would ignore the signal from its start."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_an_interrupt_ends_it_quietly(maker: Maker, tmp_path: Path) -> None:
    """It waits for a file of signers that never comes; by then it is past its start."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    child = subprocess.Popen(
        [sys.executable, "-m", "assaybench", "verify", "--signers", str(pipe)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        preexec_fn=interruptible,  # noqa: PLW1509  one thread here
    )  # fmt: skip
    with pipe.open("wb"):
        child.send_signal(signal.SIGINT)
        out, err = child.communicate(timeout=60)
    assert (child.returncode, out, err.strip()) == (INTERRUPTED, "", "")


@pytest.mark.usefixtures("maker")
@pytest.mark.parametrize("words", [("verify",), ("export", "--bundle", "1", "--out")])
def test_a_name_that_is_too_long_is_one_line(run: Run, words: tuple[str, ...]) -> None:
    done = run(*words, "x" * 300)
    assert (done.status, done.out) == (NOT_DONE, "")
    (line,) = done.faults
    assert line.endswith("… cannot be read: the name is too long.")
    assert len(line) < 120
