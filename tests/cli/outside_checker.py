"""A checker of a logbook that was written from the README alone: it imports nothing of ours.

`tomllib`, `hashlib` and `ssh-keygen` are all it needs. Where it and `verify` disagree, one of them
or the README is wrong.
"""

import base64
import hashlib
import re
import subprocess
import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

LINK = re.compile(rb'^link = "([0-9a-f]{64})"\n', re.MULTILINE)
HEAD = ["n", "at", "by", "kind"]
Entry = dict[str, Any]


def faults_of(root: Path) -> list[str]:
    """Everything in a logbook that is not as the README has it, a line each."""
    checker = _Checker(root)
    for register in sorted((root / "registers").glob("*.toml")):
        checker.bench(register)
    return checker.faults


class _Framed:
    """A file in the frame: its bytes, its entries, its links."""

    def __init__(self, path: Path, faults: list[str]) -> None:
        self.path, self.data = path, path.read_bytes()
        self.entries: list[Entry] = []
        self.links: list[str] = []
        faults += [f"{path.name}: {why}" for why in self._faults()]

    def _faults(self) -> Iterator[str]:
        if self.data.startswith(b"\xef\xbb\xbf") or b"\r" in self.data:
            yield "a byte order mark, or CR"
        try:
            text = self.data.decode("utf-8")
            tables = tomllib.loads(text)
        except ValueError as fault:
            yield f"no TOML: {fault}"
            return
        if not text.endswith("\n\n") or any(line.startswith("#") for line in text.split("\n")):
            yield "no empty line at its end, or a comment"
        self.entries = tables.pop("entry", [])
        if tables or not self.entries:
            yield "other tables, or no entry"
        yield from self._links()
        for i, entry in enumerate(self.entries, start=1):
            if [*entry][:4] != HEAD or [*entry][-1] != "link" or entry["n"] != i:
                yield f"entry {i}: its keys are not in order, or n is not {i}"
            if any(isinstance(value, float) for value in entry.values()):
                yield f"entry {i}: a float"

    def _links(self) -> Iterator[str]:
        begin = end = 0
        for match in LINK.finditer(self.data):
            digest = hashlib.sha256(self.data[begin : match.start()]).hexdigest()
            if digest != match[1].decode():
                yield f"the link of entry {len(self.links) + 1} does not fit"
            self.links.append(match[1].decode())
            begin, end = match.start(), match.end()
        if self.data[end:] != b"\n" or len(self.links) != len(self.entries):
            yield "something stands behind the last link"

    @property
    def sha512(self) -> str:
        return hashlib.sha512(self.data).hexdigest()

    def one(self, kind: str) -> Entry:
        """Its one entry; empty when it is of another kind."""
        return self.entries[0] if [e["kind"] for e in self.entries] == [kind] else {}


class _Register:
    """What a register says, and what in it cannot follow from what stands before."""

    def __init__(self, framed: _Framed) -> None:
        self.framed, self.bench = framed, framed.path.stem
        self.opened: dict[int, Entry] = {}
        self.seals: dict[int, Entry] = {}
        self.void: set[int] = set()
        self.statements: dict[str, Entry] = {}
        self.added: set[str] = set()

    def faults(self) -> Iterator[str]:
        begun = self.framed.entries[0] if self.framed.entries else {}
        if (begun.get("kind"), begun.get("bench")) != ("begun", self.bench):
            yield "does not begin as the register of its bench"
        for entry in self.framed.entries:
            if "number" in entry:
                yield from self._numbered(entry, entry["kind"], entry["number"])
            elif entry["kind"] == "signer" and entry["event"] == "added":
                self.added.add(entry["fingerprint"])

    def _numbered(self, entry: Entry, kind: str, number: int) -> Iterator[str]:
        if kind == "opened":
            if number != len(self.opened) + 1 or entry.get("replaces", 0) not in {0, *self.seals}:
                yield f"number {number} stands wrong"
            self.opened[number] = entry
        elif number not in self.opened:
            yield f"number {number} was never opened"
        elif kind == "statement":
            self.statements[entry["file"]] = entry
        elif number in {*self.seals, *self.void}:
            yield f"number {number} is closed twice"
        elif kind == "sealed":
            self.seals[number] = entry
        else:
            self.void.add(number)


class _Checker:
    def __init__(self, root: Path) -> None:
        self.root = root
        self.faults: list[str] = []
        self.names = dict(_names(root / "allowed_signers"))

    def say(self, path: Path, why: str) -> None:
        self.faults.append(f"{path.name}: {why}")

    def bench(self, path: Path) -> None:
        register = _Register(_Framed(path, self.faults))
        for fault in register.faults():
            self.say(path, fault)
        if not set(self.names) <= register.added:
            self.say(self.root / "allowed_signers", "a key that no register added")
        self._logs(register, self.root / "logs" / path.stem, self.root / "marks" / path.stem)

    def _logs(self, register: _Register, folder: Path, marks: Path) -> None:
        for number, said in register.opened.items():
            log = folder / f"{number:06}.toml"
            if log.exists():
                self._log(log, register.bench, said, register.seals)
            elif number not in register.void:
                self.say(log, "is missing")
        for number in register.seals:
            self._mark(marks / f"{number:06}.toml", register.framed, number)
        for statement in sorted(folder.glob("*.statement-*.toml")):
            said = register.statements.pop(statement.name, {})
            self._statement(statement, register.bench, register.seals, said)
        for name in register.statements:
            self.say(folder / name, "is missing")
        known = {f"{number:06}.toml" for number in register.opened}
        for other in (*folder.glob("??????.toml"), *marks.glob("??????.toml")):
            if other.name not in known:
                self.say(other, "has no number")

    def _log(self, path: Path, bench: str, said: Entry, seals: dict[int, Entry]) -> None:
        log, number = _Framed(path, self.faults), said["number"]
        if not log.entries:
            return
        first, last, seal = log.entries[0], log.entries[-1], seals.get(number)
        same = (first.get("number"), first.get("bench"), first.get("log"))
        if first["kind"] != "opened" or same != (number, bench, said["log"]):
            self.say(path, "is another log")
        if (last["kind"] == "sealed") != (seal is not None):
            self.say(path, "its end and the register differ")
        if seal is not None:
            if (log.sha512, len(log.data)) != (seal["sha512"], seal["size"]):
                self.say(path, "is not what the register sealed")
            self._signature(log, last, "assaybench-log")
        for entry in log.entries:
            if entry["kind"] == "attachment":
                self._attached(path.with_suffix(".attached") / entry["file"], entry)
            if entry["kind"] == "replaces":
                old = seals.get(entry["number"], {}).get("sha512")
                if said.get("replaces") != entry["number"] or old != entry["sha512"]:
                    self.say(path, "replaces another log")

    def _attached(self, path: Path, entry: Entry) -> None:
        data = path.read_bytes() if path.exists() else b""
        if (hashlib.sha256(data).hexdigest(), len(data)) != (entry["sha256"], entry["size"]):
            self.say(path, "is not the file that was attached")

    def _mark(self, path: Path, register: _Framed, number: int) -> None:
        mark = _Framed(path, self.faults) if path.exists() else None
        entry = mark.one("mark") if mark is not None else {}
        if mark is None or not entry:
            self.say(path, "is no mark")
            return
        count = entry["count"]
        held = register.links[count - 1 : count] == [entry["last_link"]]
        before = [e for e in register.entries[:count] if e["kind"] == "sealed"]
        if not held or number not in {e["number"] for e in before}:
            self.say(path, "the register does not hold it")
        if (entry["bench"], entry["number"]) != (register.path.stem, number):
            self.say(path, "of another log")
        self._signature(mark, entry, "assaybench-mark")

    def _statement(self, path: Path, bench: str, seals: dict[int, Entry], said: Entry) -> None:
        statement = _Framed(path, self.faults)
        entry, number = statement.one("statement"), int(path.name[:6])
        seal = seals.get(number, {})
        about = [entry.get(key) for key in ("bench", "number", "sha512", "size")]
        if about != [bench, number, seal.get("sha512"), seal.get("size")]:
            self.say(path, "is about another log")
            return
        known = (said.get("sha512"), said.get("fingerprint"))
        if known != (statement.sha512, entry["fingerprint"]):
            self.say(path, "is not what the register names")
        self._signature(statement, entry, "assaybench-statement")

    def _signature(self, signed: _Framed, entry: Entry, namespace: str) -> None:
        who, at = self.names.get(entry["fingerprint"]), entry["at"]
        signature = signed.path.with_name(f"{signed.path.name}.sig")
        if who is None or not signature.exists() or not isinstance(at, datetime):
            self.say(signed.path, "no signature, or of nobody that is named")
            return
        words = ["ssh-keygen", "-Y", "verify", "-f", str(self.root / "allowed_signers"), "-I", who,
                 "-n", namespace, "-O", f"verify-time={at.astimezone(UTC):%Y%m%d%H%M%SZ}",
                 "-s", str(signature)]  # fmt: skip
        done = subprocess.run(words, input=signed.data, capture_output=True, check=False)
        if done.returncode or entry["fingerprint"].encode() not in done.stdout:
            self.say(signed.path, "its signature is not good")


def _names(path: Path) -> Iterator[tuple[str, str]]:
    """Fingerprint and name of each key of `allowed_signers`."""
    for line in path.read_text("utf-8").splitlines():
        key = re.search(r" (?:ssh|ecdsa|sk)-\S+ (\S+)", line)
        if key is not None and not line.startswith("#"):
            digest = hashlib.sha256(base64.b64decode(key[1])).digest()
            yield f"SHA256:{base64.b64encode(digest).decode().rstrip('=')}", line.split()[0]
