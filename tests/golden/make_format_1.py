"""Made format-1/ once, before the first release; it refuses to make it again.

    python -m tests.golden.make_format_1

What is in that folder is what somebody may have on a disk in twenty years. A later program that
cannot read it, or finds other figures in it, is wrong, not the folder: keep it as it is, and put
what a later format or kind needs into a folder of its own.
"""

import shutil
import sys
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

from assaybench.logbook import signers
from assaybench.logbook.attachments import Attached
from assaybench.logbook.folder import LogName
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.seal import SealHead
from assaybench.logbook.statements import countersign
from assaybench.record.frame import Chain, framed
from assaybench.record.kinds import BY_NAME, KINDS, Key
from tests.demo.make_logbook import BENCH, FARROW, PROGRAM, Shed, entry_of
from tests.demo.make_logbook import SMALL_RUN as RUN

HERE = Path(__file__).parent / "format-1"
NOON = datetime(2026, 6, 9, 12, 0, 0, 250_000, timezone(timedelta(hours=2)))
NOTE = 'cup "B6" looks dull \\ warm, 20 µm of skin; doré'
FILE = Attached("slip.txt", "weighed by the window, 20 µm\n".encode())


def logbook(root: Path) -> None:
    """One sealed log with a statement, one void, one that replaces the first, one open."""
    shed = Shed(root)
    shed.clock.set(9, 6, 9)
    first = shed.log("furnace run", "run 1", RUN)
    shed.add(first, ("note", {"text": NOTE, "sample": "PK-061"}))
    wrong = entry_of(shed, first, "5.194")
    shed.add(first, ("amendment", {"entry": wrong, "text": "5.149", "reason": "digits swapped"}))
    shed.seal(first)
    said = SealHead(FARROW.name, "reviewer", "reviewed")
    countersign(shed.book, first, shed.keeper("OF"), FARROW, said, "Charges held against labels.")
    shed.void(shed.log("furnace run", "run 2"), "opened twice")
    name, log = reissue(shed.book, first, shed.keeper(), "charge of PK-062 was 30.02 g")
    log.close()
    charge = entry_of(shed, first, "20.02")
    note = entry_of(shed, first, NOTE)
    shed.add(name, ("amendment", {"entry": charge, "text": "30.02", "reason": "label says so"}))
    shed.add(name, ("withdrawn", {"entry": note, "reason": "was about another cup"}))
    shed.seal(name)
    shed.clock.set(10, 6, 9)
    key, why = FARROW.key.fingerprint, "left the laboratory"
    signers.retire_signer(shed.book, BENCH, shed.keeper("OF"), key, why)
    last = shed.log("self-test", "run 4")
    shed.add(last, shed.keep(last, FILE), read_alone())
    shutil.rmtree(root / "locks")
    for path in root.rglob("*"):
        if path.is_file():
            path.chmod(0o644)
        elif not any(path.iterdir()):
            path.rmdir()
    assert shed.book.numbers(shed.files, BENCH) == [1, 2, 3, 4]
    assert name == LogName(BENCH, 3)


def read_alone() -> tuple[str, dict[str, object]]:
    return "note", {"text": f"Self-test of {PROGRAM}", "releases": False}


VALUES: dict[str, Callable[[Key], object]] = {
    "text": lambda key: f"{key.name}: some words, µ",
    "id": lambda _: "KV-017",
    "initials": lambda _: "KB",
    "whole": lambda _: 3,
    "yes_no": lambda _: True,
    "time": lambda _: NOON,
    "choice": lambda key: key.choices[-1],
    "reading": lambda _: "-0.002",
    "mass": lambda _: "10.000 ± 0.002 mg",
    "mass_or_word": lambda _: "unknown",
    "fraction": lambda _: "3.2 ± 0.4 g/t",
    "length": lambda _: "250 um",
    "share": lambda _: "8.0 %",
    "unit": lambda _: "mg",
    "sha256": lambda _: "ab" * 32,
    "figures": lambda _: [
        {"id": "KV-017", "name": "gold", "text": "1.372 ± 0.004 mg", "value": "1.37200000000",
         "u": "0.00200000000", "unit": "mg"},
    ],
}  # fmt: skip
"""A value of each type that a key can have."""


def value_of(key: Key) -> object:
    if key.many and key.type == "choice":
        return list(key.choices[:2])
    one = VALUES[key.type](key)
    return [one, one] if key.many else one


def every_kind() -> bytes:
    """One entry of each kind with each of its keys; the frame alone, no log that means anything."""
    chain, parts = Chain(BY_NAME), []
    for kind in KINDS:
        values = {key.name: value_of(key) for key in kind.keys}
        at = NOON + timedelta(seconds=chain.n)
        data, link = framed(chain, at, "KB", kind.name, values)
        chain.step(kind.name, link)
        parts.append(data)
    return b"".join(parts)


def main() -> None:
    """Make the folder."""
    if HERE.exists():
        sys.exit(f"{HERE.name} is there; it is never made again")
    logbook(HERE / "logbook")
    (HERE / "every-kind.toml").write_bytes(every_kind())


if __name__ == "__main__":
    main()
