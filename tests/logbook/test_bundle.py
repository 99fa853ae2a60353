"""A bundle: what it takes to check one log; whole or not there; checked by other tools too."""

import errno
import re
import subprocess
from hashlib import sha256
from pathlib import Path

import pytest

from assaybench.logbook.bundle import bundle
from assaybench.logbook.faults import NotDone, NotGood
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.messages import BadInput
from tests.logbook.sealed_books import NOON, Maker, TestKey
from tests.logbook.verify_cases import check, codes, edit, log
from tests.reliability.faulty import Faulty, Stopped

DAHL = TestKey("A. Dahl", 9)
PHOTO = b"\xff\xd8" + bytes(range(256)) * 600
EXTRA = {"report.txt": b"Report\n"}


@pytest.fixture
def maker(tmp_path: Path) -> Maker:
    """Log 3, sealed by a second signer, with an attachment and a statement, replaces log 1."""
    maker = Maker(tmp_path / "book")
    maker.signer(DAHL)
    maker.log(1)
    maker.log(2)
    digest = sha256(PHOTO).hexdigest()
    rows = [("attachment", {"file": "tray.jpg", "size": len(PHOTO), "sha256": digest})]
    folder = maker.book.attached(LogName("MAIN", 3))
    folder.mkdir()
    (folder / "tray.jpg").write_bytes(PHOTO)
    maker.log(3, rows, replaces=1, key=DAHL)
    maker.statement(3, 1, maker.key)
    maker.log(4, sealed=False)
    maker.done()
    return maker


def test_a_bundle_holds_what_it_takes_and_nothing_of_other_clients(
    maker: Maker, tmp_path: Path
) -> None:
    folder = tmp_path / "for the client"
    names = bundle(Files(), maker.book, LogName("MAIN", 3), folder, EXTRA).names
    there = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
    assert there == sorted(names)
    assert there == [
        "HOW-TO-CHECK.txt", "allowed_signers",
        "logs/MAIN/000001.toml", "logs/MAIN/000001.toml.sig",
        "logs/MAIN/000003.attached/tray.jpg",
        "logs/MAIN/000003.statement-1.toml", "logs/MAIN/000003.statement-1.toml.sig",
        "logs/MAIN/000003.toml", "logs/MAIN/000003.toml.sig",
        "marks/MAIN/000001.toml", "marks/MAIN/000001.toml.sig",
        "marks/MAIN/000003.toml", "marks/MAIN/000003.toml.sig",
        "report.txt",
    ]  # fmt: skip
    for name in there[2:-1]:
        assert (folder / name).read_bytes() == (maker.root / name).read_bytes()
    assert {p.name for p in tmp_path.iterdir()} == {"book", "for the client"}


def test_a_bundle_is_checked_by_itself(maker: Maker, tmp_path: Path) -> None:
    folder = tmp_path / "bundle"
    bundle(Files(), maker.book, LogName("MAIN", 3), folder, EXTRA)
    result = check(Logbook(folder))
    assert (result.status, result.counts) == (0, {"sealed": 2})
    assert codes(result, "note") == {"bundle_only", "verify_replaces"}
    (folder / "marks/MAIN/000001.toml").unlink()
    result = check(Logbook(folder))
    assert (result.status, "verify_mark_none" in codes(result, "note")) == (0, True)
    edit(folder / "logs/MAIN/000003.attached/tray.jpg", b"\xff\xd8", b"\xff\xd9")
    edit(folder / "logs/MAIN/000001.toml", b"KV-001", b"KV-009")
    assert {"attachment_changed", "verify_damaged", "verify_older_differs"} <= codes(
        check(Logbook(folder))
    )


def test_the_lines_of_its_how_to_check_work_in_a_bundle(maker: Maker, tmp_path: Path) -> None:
    """Each `ssh-keygen -Y verify` for sh, as it stands, of the log, the statement and the mark."""
    folder = tmp_path / "bundle"
    bundle(Files(), maker.book, LogName("MAIN", 3), folder, {})
    text = (folder / "HOW-TO-CHECK.txt").read_text("ascii")
    assert "MAIN-000003" in text
    assert max(len(line) for line in text.split("\n\n\n")[1].splitlines()) <= 79
    joined = text.replace("\\\n", " ")
    lines = [line.strip() for line in joined.splitlines()]
    names = [line for line in lines if re.fullmatch(r"(log|who|statement|mark)=\S+", line)]
    checks = [line for line in lines if line.startswith("ssh-keygen -Y verify") and '"$' in line]
    assert len(checks) == 3
    signer = {"statement": "K.Berg"}
    for line in checks:
        kind = re.search(r"assaybench-(\w+)", line)
        assert kind is not None
        who = signer.get(kind[1], "A.Dahl")
        script = "\n".join([*names, f"who={who}", line])
        done = subprocess.run(
            ["sh", "-c", script], cwd=folder, capture_output=True, text=True, check=False
        )
        assert (done.returncode, done.stdout[:20]) == (0, 'Good "assaybench-' + kind[1][:3])
    assert "who=A.Dahl" in names


@pytest.mark.parametrize(
    ("number", "words"), [(4, "not sealed"), (9, "there is no log MAIN-000009")]
)
def test_what_cannot_be_bundled_is_refused(
    maker: Maker, tmp_path: Path, number: int, words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        bundle(Files(), maker.book, LogName("MAIN", number), tmp_path / "bundle", {})
    assert not (tmp_path / "bundle").exists()


def test_a_folder_that_is_there_is_not_touched(maker: Maker, tmp_path: Path) -> None:
    (tmp_path / "bundle").mkdir()
    with pytest.raises(BadInput, match="bundle is there already"):
        bundle(Files(), maker.book, LogName("MAIN", 3), tmp_path / "bundle", {})
    assert list((tmp_path / "bundle").iterdir()) == []


def test_a_bundle_that_is_not_good_is_not_made(maker: Maker, tmp_path: Path) -> None:
    edit(log(maker, 3), b'"tray.jpg"', b'"trax.jpg"')
    maker.book.mark(LogName("MAIN", 3)).unlink()
    with pytest.raises((NotDone, BadInput)):
        bundle(Files(), maker.book, LogName("MAIN", 3), tmp_path / "bundle", {})
    maker.log(5)
    maker.done()
    edit(maker.book.mark(LogName("MAIN", 5)), b"number = 5", b"number = 6")
    with pytest.raises(NotDone, match="What is not good in it") as told:
        bundle(Files(), maker.book, LogName("MAIN", 5), tmp_path / "bundle", {})
    assert "marks/MAIN/000005.toml" in told.value.lines[1]
    assert {p.name for p in tmp_path.iterdir()} == {"book"}


def test_a_damaged_sealed_log_is_said_to_be_damaged(maker: Maker, tmp_path: Path) -> None:
    edit(log(maker, 2), b"KV-001", b"KV-009")
    with pytest.raises(NotGood, match="MAIN-000002 is not as it was written") as told:
        bundle(Files(), maker.book, LogName("MAIN", 2), tmp_path / "bundle", {})
    assert "not sealed" not in str(told.value)


def test_a_key_that_others_had_is_named_as_such(maker: Maker, tmp_path: Path) -> None:
    """Of the seal it keeps the bundle back, of a statement it does not, and is told."""
    maker.statement(2, 1, DAHL)
    maker.signer(DAHL, "compromised", since=NOON, reason="a stick was lost")
    maker.done()
    with pytest.raises(NotGood, match=r"000003\.toml is signed with a key that others had"):
        bundle(Files(), maker.book, LogName("MAIN", 3), tmp_path / "bundle", {})
    made = bundle(Files(), maker.book, LogName("MAIN", 2), tmp_path / "bundle", {})
    (line,) = made.told
    assert "000002.statement-1.toml is signed with a key that others had since" in line


def test_its_how_to_check_is_about_what_is_there(maker: Maker, tmp_path: Path) -> None:
    texts = []
    for n, mark in ((3, True), (2, False)):
        folder = tmp_path / f"bundle {n}"
        if not mark:
            path = maker.book.mark(LogName("MAIN", n))
            path.unlink()
            path.with_name(f"{path.name}.sig").unlink()
        bundle(Files(), maker.book, LogName("MAIN", n), folder, {})
        texts.append((folder / "HOW-TO-CHECK.txt").read_text("ascii"))
    three, two = texts
    assert "-I K.Berg -n assaybench-statement" in three
    assert "statement=logs/MAIN/000003.statement-1.toml" in three
    assert "mark=marks/MAIN/000003.toml" in three
    assert "statement=" not in two
    assert "mark=" not in two
    for text in texts:
        assert "registers/MAIN.toml" not in text
        assert "No signature covers report.txt" in text
        assert not re.search(r"^[<>@]", text, re.MULTILINE)
        assert "\n\n\n\n" not in text


def test_what_cannot_be_taken_away_again_is_left_under_its_passing_name(
    maker: Maker, tmp_path: Path
) -> None:
    class Stuck(Faulty):
        """Once a call has failed, names stay."""

        def unlink(self, path: Path) -> None:
            raise OSError(errno.EIO, path.name)

    name, folder = LogName("MAIN", 2), tmp_path / "bundle"
    last = calls_of_a_bundle(maker, tmp_path).index("replace") + 1
    with pytest.raises(NotDone, match="bundle"):
        bundle(Stuck(last, "refuse", errno.ENOSPC), maker.book, name, folder, EXTRA)
    (left,) = (p for p in tmp_path.iterdir() if p.name.startswith(".bundle"))
    assert (left / "logs/MAIN/000002.toml").read_bytes() == maker.book.log(name).read_bytes()
    assert bundle(Files(), maker.book, name, folder, EXTRA)
    assert check(Logbook(folder)).status == 0


def calls_of_a_bundle(maker: Maker, tmp_path: Path) -> list[str]:
    files = Faulty()
    bundle(files, maker.book, LogName("MAIN", 2), tmp_path / "first", EXTRA)
    return files.calls


@pytest.mark.parametrize("how", ["refuse", "stop"])
def test_whatever_call_fails_the_folder_is_whole_or_not_there(
    maker: Maker, tmp_path: Path, how: str
) -> None:
    """Every call of its own that can change the disk; those of the check only read."""
    names = calls_of_a_bundle(maker, tmp_path)
    changing = [
        k
        for k, name in enumerate(names, start=1)
        if name in ("write", "fsync", "make_folder", "replace", "sync_folder")
    ]
    assert len(changing) > 20
    folder = tmp_path / "bundle"
    for at in changing:
        with pytest.raises(Stopped if how == "stop" else NotDone):
            bundle(Faulty(at, how, errno.ENOSPC), maker.book, LogName("MAIN", 2), folder, EXTRA)  # type: ignore[arg-type]  # one of its words
        if folder.exists():
            # renamed: the disk only failed to say so, or the process died right after
            assert names[at - 1] in ("replace", "sync_folder")
            assert check(Logbook(folder)).status == 0
            folder.rename(tmp_path / f"done-{at}")
        elif how == "refuse":
            assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".bundle")] == []
