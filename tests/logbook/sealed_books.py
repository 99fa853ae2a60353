"""Sealed logbooks made fast for tests and benchmarks: the same bytes as `seal` leaves, unsynced."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from functools import cache
from hashlib import sha512
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from assaybench import PROGRAM
from assaybench.logbook import sshsig
from assaybench.logbook.allowed_signers import Listed, named_here, principal_of, written
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.signing import signature_path
from assaybench.logbook.sshkeys import ED25519, PublicKey, packed
from assaybench.record import sealing
from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, Table, framed
from assaybench.record.kinds import BY_NAME
from assaybench.record.register_kinds import REGISTER_BY_NAME
from assaybench.record.reissue import Part, joined
from assaybench.record.signed_kinds import MARK_BY_NAME, STATEMENT_BY_NAME

Row = tuple[str, Mapping[str, object]]
NOON = datetime(2026, 6, 9, 12, 0, 0, 250_000, timezone(timedelta(hours=2)))
BALANCE: Mapping[str, object] = {"name": "fine", "step": "0.001 mg", "weighs": ["bead", "gold"]}
PULP: Mapping[str, object] = {"name": "pulp", "step": "0.01 g", "weighs": ["charge"]}


@dataclass(frozen=True)
class TestKey:
    """A signing key from a seed, so that fixtures are the same in every run."""

    __test__ = False
    name: str = "K. Berg"
    seed: int = 7

    @property
    def private(self) -> Ed25519PrivateKey:
        return _private(self.seed)

    @property
    def key(self) -> PublicKey:
        raw = self.private.public_key().public_bytes_raw()
        return PublicKey(ED25519, packed(ED25519.encode(), raw))

    def sign(self, message: bytes, namespace: str) -> bytes:
        blob = sshsig.signed_blob(namespace, "sha512", sha512(message).digest())
        raw = packed(ED25519.encode(), self.private.sign(blob))
        return sshsig.armored(self.key, namespace, raw)


@cache
def _private(seed: int) -> Ed25519PrivateKey:
    return Ed25519PrivateKey.from_private_bytes(bytes([seed]) * 32)


def run_rows(n: int, samples: int = 4) -> list[Row]:
    """Entries of a small furnace run; numbers differ from log to log."""
    rows: list[Row] = [("balance", BALANCE), ("balance", PULP)]
    for k in range(samples):
        name = f"KV-{k + 1:03}"
        grams, gold = 20 + k + n % 7 / 100, 1.1 + k / 10 + n % 100 / 1000
        rows += [
            ("sample", {"id": name, "role": "sample", "silver": "none"}),
            ("reading", reading("charge", f"{grams:.2f}", "g", "pulp", name)),
            ("reading", reading("gold", f"{gold:.3f}", "mg", "fine", name)),
        ]
    return rows


def reading(what: str, text: str, unit: str, balance: str, sample: str) -> dict[str, object]:
    return {"what": what, "text": text, "unit": unit, "balance": balance, "sample": sample}


class Writing:
    """A framed file that grows in memory, its clock going on by a second each entry."""

    def __init__(self, table: Table, begun: datetime) -> None:
        self.chain, self.at, self.data = Chain(table), begun, bytearray()
        self.entries: list[Entry] = []

    def add(self, kind: str, values: Mapping[str, object]) -> None:
        made = framed(self.chain, self.at, "KB", kind, values)
        self.chain.step(kind, made.link)
        self.data += made.data
        self.entries.append(Entry(self.chain.n, self.at, "KB", kind, values))
        self.at += timedelta(seconds=1)


@dataclass
class Maker:
    """Makes the logs of one bench; `done` writes its register and the signers."""

    root: Path
    bench: str = "MAIN"
    key: TestKey = field(default_factory=TestKey)
    listed: list[Listed] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.book = Logbook(self.root)
        self.register = Writing(REGISTER_BY_NAME, NOON)
        self.parts: dict[int, Part] = {}
        self.digests: dict[int, str] = {}
        for folder in (self.book.registers, self.book.logs(self.bench), self._marks):
            folder.mkdir(parents=True, exist_ok=True)
        self.register.add("begun", {"bench": self.bench, "program": PROGRAM})
        self.signer(self.key)

    @property
    def _marks(self) -> Path:
        return self.book.mark(LogName(self.bench, 1)).parent

    def signer(self, key: TestKey, event: str = "added", **more: object) -> None:
        """A `signer` entry in the register; an added key is named in allowed_signers."""
        own = key.key
        said = {"name": key.name, "key": own.line} if event == "added" else {}
        self.register.add(
            "signer", {"fingerprint": own.fingerprint, "event": event, **said, **more}
        )
        if event == "added":
            self.listed.append(named_here(principal_of(key.name), own))
        else:
            since = more["since"]
            assert isinstance(since, datetime)
            ended = ((row, row.key == own) for row in self.listed)
            self.listed = [row._replace(before=since) if now else row for row, now in ended]

    def log(
        self,
        n: int,
        rows: Sequence[Row] | None = None,
        *,
        sealed: bool = True,
        replaces: int = 0,
        registered: bool = True,
        key: TestKey | None = None,
        results: bool = True,
        opened: Mapping[str, object] | None = None,
    ) -> Path:
        """A log of this number, sealed with register entry, mark and signatures, or left open."""
        more = {"replaces": replaces} if replaces and registered else {}
        self.register.add("opened", {"number": n, "log": "furnace run", **more})
        log = Writing(BY_NAME, self.register.at)
        head = {"log": "furnace run", "number": n, "bench": self.bench,
                "method_version": 1, "program": PROGRAM}  # fmt: skip
        log.add("opened", {**head, **(opened or {})})
        if replaces:
            why = {"number": replaces, "sha512": self.digests[replaces], "reason": "read again"}
            log.add("replaces", why)
        for kind, values in run_rows(n) if rows is None else rows:
            log.add(kind, values)
        path = self.book.log(LogName(self.bench, n))
        if sealed:
            self._seal(n, log, key or self.key, replaces, results=results)
        else:
            path.write_bytes(log.data)
        self.parts[n] = Part(n, log.entries)
        return path

    def _seal(self, n: int, log: Writing, key: TestKey, replaces: int, *, results: bool) -> None:
        if results:
            before = [self.parts[replaces]] if replaces else []
            found = sealing.recomputed(joined([*before, Part(n, log.entries)]), PROGRAM)
            for values in sealing.values_of(found):
                log.add("results", values)
        log.add("sealed", {"name": key.name, "role": "assayer", "meaning": "weighed",
                           "fingerprint": key.key.fingerprint})  # fmt: skip
        data = bytes(log.data)
        self.digests[n] = sha512(data).hexdigest()
        self.put(self.book.log(LogName(self.bench, n)), data, key, sshsig.LOG)
        self.register.at = log.at
        self.register.add("sealed", {"number": n, "sha512": self.digests[n], "size": len(data)})
        self.mark(n, key)

    def mark(self, n: int, key: TestKey | None = None) -> None:
        """The register mark of a log, of the register as it is now."""
        key, chain = key or self.key, self.register.chain
        mark = Writing(MARK_BY_NAME, self.register.at)
        mark.add("mark", {"bench": self.bench, "number": n, "count": chain.n,
                          "last_link": chain.link, "fingerprint": key.key.fingerprint})  # fmt: skip
        self.put(self.book.mark(LogName(self.bench, n)), bytes(mark.data), key, sshsig.MARK)

    def statement(self, n: int, k: int, key: TestKey, **other: object) -> Path:
        """A statement about a sealed log, in the register as well."""
        path = self.broken_off(n, k, key, **other)
        digest = sha512(path.read_bytes()).hexdigest()
        self.register.add("statement", {"number": n, "file": path.name, "sha512": digest,
                                        "fingerprint": key.key.fingerprint})  # fmt: skip
        return path

    def broken_off(self, n: int, k: int, key: TestKey, **other: object) -> Path:
        """A signed statement about a sealed log, broken off before the register."""
        name = LogName(self.bench, n)
        size = self.book.log(name).stat().st_size
        fields = {"number": n, "bench": self.bench, "sha512": self.digests[n], "size": size,
                  "name": key.name, "role": "second weigher", "meaning": "was present",
                  "fingerprint": key.key.fingerprint}  # fmt: skip
        made = Writing(STATEMENT_BY_NAME, self.register.at)
        made.add("statement", {**fields, **other})
        path = self.book.statement(name, k)
        self.put(path, bytes(made.data), key, sshsig.STATEMENT)
        return path

    def put(self, path: Path, data: bytes, key: TestKey, namespace: str) -> None:
        """A file and its signature."""
        path.write_bytes(data)
        signature_path(path).write_bytes(key.sign(data, namespace))

    def done(self) -> Logbook:
        """Write the register and the signers."""
        self.book.register(self.bench).write_bytes(self.register.data)
        self.book.allowed_signers.write_bytes(written(self.listed))
        return self.book

    def short_mark(self) -> str:
        """The mark of the register as it is now, as a report prints it."""
        return f"{self.register.chain.n}:{self.register.chain.link}"


def made(root: Path, numbers: Iterable[int] = (1, 2, 3), **options: object) -> Maker:
    """A logbook of sealed logs, written."""
    maker = Maker(root)
    for n in numbers:
        maker.log(n, **options)  # type: ignore[arg-type]  # options are those of `log`
    maker.done()
    return maker
