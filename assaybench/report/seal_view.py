"""How a seal looks: what would be signed, then what was done and how to check it."""

import os
import shlex
import subprocess
from collections.abc import Iterator, Sequence
from pathlib import Path

from assaybench.logbook import sshsig
from assaybench.logbook.folder import Logbook
from assaybench.logbook.seal import Sealed
from assaybench.logbook.seal_look import Ready
from assaybench.logbook.signing import signature_path
from assaybench.logbook.statements import Stated
from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.record import sealing
from assaybench.record.entries import Effective
from assaybench.record.seal_review import Review
from assaybench.report import entry_lines
from assaybench.report.answer import Section, table_section

Rows = tuple[tuple[str, str], ...]


def review_rows(ready: Ready) -> Rows:
    """How much would be signed, in numbers."""
    review = ready.review
    if review is None or ready.found is None:
        return (("seal begun, left to do", ", ".join(ready.left)),)
    said = {
        "entries": len(ready.entries),
        "figures": len(sealing.figures_of(ready.found)),
        "amended": len(review.amended),
        "withdrawn": len(review.withdrawn),
        "left out": len(review.left_out),
        "lost": len(review.lost),
        "without a result": len(review.missing),
        "unfinished entries kept aside": len(review.torn),
    }
    replaced = [entry.values for entry in ready.entries if entry.kind == "replaces"][-1:]
    why = tuple(("replaces", f"number {old['number']}: {old['reason']}") for old in replaced)
    return (*why, *((label, str(n)) for label, n in said.items()))


def review_sections(review: Review) -> list[Section]:
    """What would be signed, each thing by its name; a group with nothing in it is left away."""
    counted = tuple(
        (f"{c.id}, {c.used} of {c.every} used", c.text or "no grade") for c in review.counted
    )
    holds = [
        (f"{hold.id}: {line}", "") for hold in review.holds for line in hold.text.split("\n")
    ] + [(f"released: {hold.released}", "") for hold in review.holds if hold.released]
    sections = [
        Section("Determinations", counted),
        _entries("Amended", review.amended),
        _entries("Withdrawn", review.withdrawn),
        Section("Left out of the mean", review.left_out),
        Section("Lost", review.lost),
        Section("Without a result", tuple(_missing(review))),
        Section(
            "Readings that disagree",
            tuple((f"{name}: {text.splitlines()[0]}", "") for name, text in review.apart),
        ),
        Section("Suspect weighings", tuple((" ".join(s.split()), "") for s in review.suspect)),
        Section("Checks that say stop", tuple(holds)),
    ]
    return [section for section in sections if section.rows]


def _missing(review: Review) -> Iterator[tuple[str, str]]:
    for name in review.missing:
        yield name, say("review_bead_only") if name in review.beads else ""


def _entries(title: str, entries: Sequence[Effective]) -> Section:
    return table_section(title, [line for entry in entries for line in entry_lines.lines(entry)])


def review_tree(ready: Ready) -> dict[str, object]:
    """The review as JSON."""
    tree: dict[str, object] = {"id": ready.name.spelled, "left": list(ready.left)}
    review = ready.review
    if review is None:
        return tree
    return tree | {
        "determinations": [count._asdict() for count in review.counted],
        "amended": [entry.n for entry in review.amended],
        "withdrawn": [entry.n for entry in review.withdrawn],
        "left_out": [{"id": name, "reason": why} for name, why in review.left_out],
        "lost": [{"id": name, "reason": why} for name, why in review.lost],
        "missing": list(review.missing),
        "apart": [{"id": name, "reason": why} for name, why in review.apart],
        "suspect": [" ".join(text.split()) for text in review.suspect],
        "torn": list(review.torn),
        "holds": [hold._asdict() for hold in review.holds],
    }


def sealed_rows(sealed: Sealed) -> Rows:
    """A seal in rows."""
    return (
        ("sealed", sealed.name.spelled),
        ("by", f"{sealed.signer.name}, {sealed.signer.role}"),
        ("meaning", sealed.signer.meaning),
        ("size", f"{sealed.size} bytes"),
        ("done now", ", ".join(sealed.steps)),
    )


def sealed_sections(book: Logbook, sealed: Sealed) -> list[Section]:
    """What is long: digest, key and mark; then how to check."""
    return [
        long_section("SHA-512 of the log", sealed.sha512),
        table_section("Signing key", [sealed.fingerprint]),
        table_section("Register mark", [sealed.mark]),
        _check(book, sealed.path, sealed.principal, sshsig.LOG),
    ]


def sealed_tree(book: Logbook, sealed: Sealed) -> dict[str, object]:
    """A seal as JSON."""
    return {
        "id": sealed.name.spelled,
        "path": str(sealed.path),
        "sha512": sealed.sha512,
        "size": sealed.size,
        **sealed.signer._asdict(),
        "fingerprint": sealed.fingerprint,
        "principal": sealed.principal,
        "mark": sealed.mark,
        "steps": list(sealed.steps),
        "check": check_line(book, sealed.path, sealed.principal, sshsig.LOG),
    }


def stated_rows(stated: Stated) -> Rows:
    """A statement in rows."""
    rows = (
        ("statement", stated.path.name),
        ("about", stated.name.spelled),
        ("by", f"{stated.signer.name}, {stated.signer.role}"),
        ("meaning", stated.signer.meaning),
        ("text", stated.text),
        ("done now", ", ".join(stated.steps)),
    )
    return tuple(row for row in rows if row[1])


def stated_sections(book: Logbook, stated: Stated) -> list[Section]:
    """The key, and how to check a statement."""
    return [
        long_section("SHA-512 of the log", stated.sha512),
        table_section("Signing key", [stated.fingerprint]),
        _check(book, stated.path, stated.principal, sshsig.STATEMENT),
    ]


def stated_tree(book: Logbook, stated: Stated) -> dict[str, object]:
    """A statement as JSON."""
    return {
        "id": stated.path.name,
        "log": stated.name.spelled,
        "path": str(stated.path),
        "sha512": stated.sha512,
        **stated.signer._asdict(),
        "text": stated.text,
        "fingerprint": stated.fingerprint,
        "principal": stated.principal,
        "steps": list(stated.steps),
        "check": check_line(book, stated.path, stated.principal, sshsig.STATEMENT),
    }


def key_flags(done: Sealed | Stated) -> list[Flag]:
    """What a signer should know of his key and of the file that names it."""
    found = [flag("signer_added", key=done.fingerprint, name=done.principal)] if done.added else []
    return found + [flag("signers_line_lost", x=line) for line in done.lost]


def check_line(book: Logbook, path: Path, principal: str, namespace: str) -> str:
    """The command that checks a signature without this program; it is typed as it stands."""
    words = [
        "ssh-keygen", "-Y", "verify", "-f", str(book.allowed_signers), "-I", principal,
        "-n", namespace, "-s", str(signature_path(path)),
    ]  # fmt: skip
    return f"{typed(words)} < {typed([str(path)])}"


def typed(words: Sequence[str]) -> str:
    """Words of a command as they are typed on this system."""
    return subprocess.list2cmdline(words) if os.name == "nt" else shlex.join(words)


def _check(book: Logbook, path: Path, principal: str, namespace: str) -> Section:
    title = "To check it without this program"
    return table_section(title, [check_line(book, path, principal, namespace)])


def long_section(title: str, text: str) -> Section:
    """A long text in lines of 64 signs."""
    return table_section(title, [text[at : at + 64] for at in range(0, len(text), 64)])
