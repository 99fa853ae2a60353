"""One log seen alone: frame, links, signature, statements, mark, kept files, recomputation.

The file is read once, its SHA-512 worked out once, its entries gone through once. What the register
says of it is asked afterwards (`verify_book`), so logs can be looked at by several processes.
"""

import re
from collections.abc import Iterator, Sequence
from hashlib import sha512
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.sshkeys import NotValid
from assaybench.logbook.verify_found import (
    Found,
    Level,
    LogSeen,
    SignedSeen,
    Signer,
    found,
    label,
)
from assaybench.logbook.verify_recompute import recompute
from assaybench.logbook.verify_signed import (
    NOT_FITTING,
    Over,
    fingerprint_differs,
    over,
    read_plain,
    signed_file,
    signer_of,
    unread,
)
from assaybench.record.entries import Entry
from assaybench.record.frame import LARGEST_LOG
from assaybench.record.frame_read import Reader, Verdict
from assaybench.record.kinds import BY_NAME
from assaybench.record.reissue import Replaced, replaced
from assaybench.record.signed_kinds import MARK_BY_NAME, STATEMENT_BY_NAME

_PIECE = 1 << 16
_SEALED = b'\nkind = "sealed"\n'
_STATEMENT = re.compile(r"[0-9]{6}\.statement-[0-9]{1,3}\.toml")
_TORN = re.compile(r"[0-9]{6}\.torn-[0-9]{1,3}")


class LogJob(NamedTuple):
    """A log that is to be looked at.

    Attributes:
        name: the name it stands under; number 0 when the file name says none.
        path: its file.
        beside: names of the files about it in the same folder.
        mark: where the mark of its seal stands; None where none is looked for.
        recompute: whether its figures are to be worked out again.
        root: folder of its logbook; None for a log that stands alone.
    """

    name: LogName
    path: Path
    beside: tuple[str, ...] = ()
    mark: Path | None = None
    recompute: bool = True
    root: Path | None = None


class Read(NamedTuple):
    """A log as it was read: bytes, digest, entries, verdict."""

    data: bytes
    digest: bytes
    entries: list[Entry]
    verdict: Verdict


def look(files: Files, job: LogJob) -> LogSeen:
    """What a log is, seen alone; a file that cannot be read is told as undone."""
    try:
        return _look(files, job)
    except NotDone as fault:
        return _nothing(job, unread(job.path, fault))


def _nothing(job: LogJob, findings: Sequence[Found]) -> LogSeen:
    return LogSeen(
        name=job.name,
        path=str(job.path),
        verdict="",
        entries=0,
        size=0,
        sha512="",
        newer=False,
        sealed=None,
        key=None,
        statements=(),
        mark=None,
        replaces=None,
        recomputed="",
        findings=tuple(findings),
    )


def read_digested(files: Files, path: Path) -> Read | None:
    """A log, read to its end with its digest; None when there is no such file.

    Raises:
        NotDone: when it cannot be read from the disk.
    """
    data = read_plain(files, path, LARGEST_LOG)
    if data is None:
        return None
    reader = Reader(BY_NAME)
    entries: list[Entry] = []
    for at in range(0, len(data), _PIECE):
        entries += reader.feed(data[at : at + _PIECE])
    return Read(data, sha512(data).digest(), entries, reader.end())


def _look(files: Files, job: LogJob) -> LogSeen:
    read = read_digested(files, job.path)
    if read is None:
        return _nothing(job, [found("undone", "log_gone", job.path, name=label(job.path))])
    entries, verdict = read.entries, read.verdict
    signed = over(files, job.path, read.data, read.digest, sshsig.LOG)
    sealed = signer_of(entries[-1]) if entries and entries[-1].kind == "sealed" else None
    name = _own_name(job, entries)
    findings = [*_frame(job, read, name), *_signature(job, read, sealed, signed)]
    replaces = replaced(entries)
    if replaces is not None:
        findings += _older(files, job, replaces)
    findings += [*_kept(files, job, entries), *_attached(files, job, entries)]
    key = signed.key if signed else None
    if sealed is not None and key is not None:
        findings += fingerprint_differs(job.path, sealed.fingerprint, key)
    mark = signed_file(files, job.mark, MARK_BY_NAME, sshsig.MARK) if job.mark else None
    outcome, more = recompute(files, job.path, read.entries, verdict, wanted=job.recompute)
    return LogSeen(
        name,
        str(job.path),
        verdict.state,
        verdict.entries,
        len(read.data),
        read.digest.hex(),
        verdict.newer,
        sealed,
        key,
        tuple(_statements(files, job, name, read)),
        mark,
        replaces,
        outcome,
        (*findings, *more),
    )


def _own_name(job: LogJob, entries: Sequence[Entry]) -> LogName:
    """The name a log stands under; of a file that stands alone, the one it gives itself."""
    if job.name.number or not entries:
        return job.name
    bench, number = (entries[0].values.get(key) for key in ("bench", "number"))
    return LogName(str(bench), number) if isinstance(number, int) else job.name


def _frame(job: LogJob, read: Read, name: LogName) -> list[Found]:
    """What the frame and the first entry say."""
    path, verdict = job.path, read.verdict
    found_here: list[Found] = []
    if verdict.state == "damaged":
        found_here.append(
            found("bad", "verify_damaged", path, name=label(path), why=verdict.sentence)
        )
    elif verdict.state == "torn":
        found_here.append(found("note", "verify_torn", path, name=label(path), line=verdict.first))
    if not read.entries:
        if verdict.state != "damaged":
            found_here.append(found("bad", "verify_empty", path, name=label(path)))
        return found_here
    opened = read.entries[0].values
    own = (opened.get("bench"), opened.get("number"))
    if own != name:
        other = f"{own[0]}-{own[1]}"
        found_here.append(found("bad", "verify_other", path, name=name.spelled, other=other))
    if opened.get("practice") is True and job.root is not None:
        found_here.append(found("bad", "verify_practice", path, name=name.spelled))
    if verdict.newer:
        found_here.append(found("note", "verify_newer", path, name=label(path)))
    return found_here


def _signature(job: LogJob, read: Read, sealed: Signer | None, signed: Over | None) -> list[Found]:
    """What the signature says of the whole file, or of the earlier state that it covers."""
    path = job.path
    if signed is None:
        if sealed is None:
            return []
        return [found("bad", "verify_not_signed", path, name=label(path))]
    if signed.key is not None:
        if sealed is not None:
            return []
        return [found("bad", "verify_no_seal", path, name=label(path))]
    earlier = _earlier(read.data, signed)
    if earlier:
        bytes_after = len(read.data) - earlier
        fields = {"name": label(path), "size": earlier, "n": bytes_after}
        return [found("bad", "verify_added_after", path, **fields)]
    if signed.code == NOT_FITTING and read.verdict.state == "damaged":
        first = read.verdict.first
        return [found("bad", "verify_covers_earlier", path, name=label(path), line=first)]
    return [found("bad", "signature_not", path, name=label(path), why=signed.why)]


def _earlier(data: bytes, signed: Over) -> int:
    """Bytes up to the end of a `sealed` entry that the signature covers; 0 when it covers none."""
    at = data.find(_SEALED)
    while signed.signature is not None and at >= 0:
        end = data.find(b"\n\n", at) + 2
        try:
            sshsig.check(signed.signature, data[:end], sshsig.LOG)
        except NotValid:
            at = data.find(_SEALED, at + 1)
        else:
            return end
    return 0


def _older(files: Files, job: LogJob, replaces: Replaced) -> list[Found]:
    """Whether the log that is replaced is there, as it was when it was replaced."""
    path = job.path.with_name(f"{replaces.number:06}.toml")
    data = read_plain(files, path, LARGEST_LOG)
    fields = {"name": label(job.path), "other": label(path)}
    if data is None:
        return [found("bad", "verify_older_gone", job.path, **fields)]
    if sha512(data).hexdigest() != replaces.sha512:
        return [found("bad", "verify_older_differs", job.path, **fields)]
    return [found("note", "verify_replaces", job.path, **fields)]


def _kept(files: Files, job: LogJob, entries: Sequence[Entry]) -> list[Found]:
    """Torn ends kept beside the log: each is named by an entry, and each named one is there."""
    named = {str(e.values.get("file", "")) for e in entries if e.kind == "recovered"}
    there = {name for name in job.beside if _TORN.fullmatch(name)}
    found_here: list[Found] = []
    for entry in entries:
        if entry.kind != "recovered":
            continue
        name, size = str(entry.values.get("file", "")), entry.values.get("size")
        status = files.stat(job.path.with_name(name)) if name in there else None
        if status is None or status.size != size:
            found_here.append(
                found("bad", "verify_torn_gone", job.path, name=label(job.path), x=name)
            )
    found_here += [
        found("note", "verify_torn_unnamed", job.path.with_name(name), name=label(job.path), x=name)
        for name in sorted(there - named)
    ]
    return found_here


def _attached(files: Files, job: LogJob, entries: Sequence[Entry]) -> Iterator[Found]:
    """Attachments: each is there as its entry says, and each file has an entry."""
    there = any(name.endswith(".attached") for name in job.beside)
    if not there and all(entry.kind != "attachment" for entry in entries):
        return
    if job.root is None:
        yield found("note", "verify_attached_alone", job.path, name=label(job.path))
        return
    from assaybench.logbook.attachments import attachments_amiss

    for amiss in attachments_amiss(files, Logbook(job.root), job.name, entries):
        level: Level = "bad" if amiss.bad else "note"
        level = "undone" if amiss.code == "attachment_unread" else level
        yield Found(level, amiss.code, f"{job.name.spelled}: {amiss.sentence}", str(amiss.path))


def _statements(files: Files, job: LogJob, name: LogName, read: Read) -> list[SignedSeen]:
    """The statements beside a log; each must be about this very file."""
    seen = []
    for beside in job.beside:
        if not _STATEMENT.fullmatch(beside):
            continue
        path = job.path.with_name(beside)
        statement = signed_file(files, path, STATEMENT_BY_NAME, sshsig.STATEMENT)
        if statement is None:
            continue
        about = tuple(statement.values.get(key) for key in ("bench", "number", "sha512", "size"))
        here = (name.bench, name.number, read.digest.hex(), len(read.data))
        if statement.signer is not None and about != here:
            fault = found("bad", "verify_statement_other", path, name=beside, log=name.spelled)
            statement = statement._replace(findings=(*statement.findings, fault))
        seen.append(statement)
    return seen
