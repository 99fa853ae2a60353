"""Writes the sealed logbook of demo/, the same bytes each time.

    python -m tests.demo.make_logbook [FOLDER]
    python -m tests.demo.make_logbook --self-test

It is made by the program's own code, with a clock that stands in this file, from the hand sheets of
demo/ and two small runs. Its two signing keys follow from the sentences in `DemoKey`, so everybody
has them: they show how signatures look and prove nothing. The self-test record is kept as it came
out on one machine, in self-test.toml beside this file; the second form runs it anew.

The first entries of every log name the program that wrote it, so they are written with `PROGRAM` as
it stands here, whatever the program is called now.
"""

import shutil
import sys
import tomllib
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta, timezone
from hashlib import sha256, sha512
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from assaybench.logbook import sshsig
from assaybench.logbook.attachments import Attached, attach
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.importing import Paper, import_sheet
from assaybench.logbook.logfile import Keeper, Row
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, Register, new_log
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.seal import SealHead, seal
from assaybench.logbook.selftest_record import (
    Surroundings,
    record_of,
    rows_of,
    surroundings,
)
from assaybench.logbook.sshkeys import ED25519, PublicKey, packed
from assaybench.logbook.statements import countersign
from assaybench.published.selftest import Subject, check_all
from assaybench.record import handsheet
from assaybench.record.entries import Entry
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.record.reissue import as_stored
from tests.demo import make_demo

HERE = Path(__file__).parent
DEMO = HERE.parent.parent / "demo"
SELF_TEST = HERE / "self-test.toml"
BENCH = "MAIN"
PROGRAM = "assaybench 0.1.0"
PLACE = timezone(timedelta(hours=-7))
INVENTED = "(invented)"
OTHER_SEED = 21
"""For the readings of the run that is open."""


class DemoKey(NamedTuple):
    """A signing key that everybody can make: its seed is the SHA-256 of a sentence.

    Attributes:
        name: printed name; it says that the key is public.
        sentence: what its seed is made of.
    """

    name: str
    sentence: str

    @property
    def private(self) -> Ed25519PrivateKey:
        return Ed25519PrivateKey.from_private_bytes(sha256(self.sentence.encode()).digest())

    @property
    def key(self) -> PublicKey:
        raw = self.private.public_key().public_bytes_raw()
        return PublicKey(ED25519, packed(ED25519.encode(), raw))

    def sign(self, message: bytes, namespace: str) -> bytes:
        blob = sshsig.signed_blob(namespace, "sha512", sha512(message).digest())
        raw = packed(ED25519.encode(), self.private.sign(blob))
        return sshsig.armored(self.key, namespace, raw)


QUIST = DemoKey("DEMO-KEY-PUBLIC Quist", "Mirel Quist is invented and this key is public")
FARROW = DemoKey("DEMO-KEY-PUBLIC Farrow", "Odda Farrow is invented and this key is public")
ASSAYER = SealHead(QUIST.name, "assayer", "weighed")


class Clock:
    """A clock that is set, and goes on by seconds at every look."""

    def __init__(self) -> None:
        self.now, self.step = datetime(2026, 1, 1, tzinfo=PLACE), timedelta(seconds=1)

    def __call__(self) -> datetime:
        self.now += self.step
        return self.now

    def set(self, day: int, month: int, hour: int, minute: int = 0, *, seconds: int = 1) -> None:
        """Set it; from then on every look takes so many seconds."""
        self.now = datetime(2026, month, day, hour, minute, tzinfo=PLACE)
        self.step = timedelta(seconds=seconds)


class Shed:
    """The people of the invented operation at work on their logbook."""

    def __init__(self, root: Path) -> None:
        self.book, self.clock, self.files = Logbook(root), Clock(), Files()
        self.book.make(self.files)

    def keeper(self, by: str = "MQ") -> Keeper:
        return Keeper(by, self.clock, self.files, PROGRAM)

    def log(self, kind: str, title: str, rows: Sequence[Row] = ()) -> LogName:
        """A new log with these entries, made as they come."""
        head = LogHead(kind, METHOD_VERSION, f"{title} {INVENTED}")
        name, log = new_log(self.book, BENCH, self.keeper(), head)
        with log:
            log.append_all(rows)
        return name

    def paper(self, file: str) -> LogName:
        """A log of a hand sheet of the demo."""
        paper = Paper(file, (DEMO / file).read_bytes())
        return import_sheet(self.book, BENCH, self.keeper(), paper).name

    def add(self, name: LogName, *rows: Row) -> None:
        """More entries of a log; those they correct are numbered in one count."""
        path = self.book.log(name)
        own, _ = read_log(self.files, path)
        parts = history(self.files, path, own)
        lock = self.book.lock(path)
        with open_log(path, self.keeper(), lock=lock, session=False) as log:
            log.append_all((kind, as_stored(kind, values, parts)) for kind, values in rows)

    def keep(self, name: LogName, file: Attached) -> Row:
        """Copy a file beside a log; its entry."""
        return "attachment", attach(self.files, self.book, name, file).keys

    def seal(self, name: LogName) -> None:
        seal(self.book, name, self.keeper(), QUIST, ASSAYER)

    def void(self, name: LogName, reason: str) -> None:
        with Register(self.book, BENCH, self.keeper()) as register:
            register.void(name.number, reason)


def self_test(shed: Shed) -> None:
    """The record of a self-test, before the first run."""
    shed.clock.set(7, 4, 8, 5)
    data = SELF_TEST.read_bytes()
    told = tomllib.loads(data.decode())
    head, every = told["self_test"], told["subject"][-1]
    around = Surroundings(head["python"], head["platform"], tuple(told["libraries"].items()))
    name = shed.log("self-test", f"self-test of {PROGRAM}")
    file = Attached(f"self-test-{PROGRAM.replace(' ', '-')}.toml", data)
    shed.keep(name, file)
    summed = Subject(**{**every, "worst": float(every["worst"])})
    shed.add(name, *rows_of(summed, around, shed.keeper(), file))
    shed.clock.set(7, 4, 8, 20)
    shed.seal(name)


def read(what: str, text: str, unit: str, balance: str, sample: str) -> Row:
    values = {"what": what, "text": text, "unit": unit, "balance": balance, "sample": sample}
    return "reading", values


SMALL_RUN: tuple[Row, ...] = (
    ("person", {"initials": "MQ", "name": "Mirel Quist", "role": "assayer"}),
    ("method", {"item": "aim", "value": "2 %"}),
    ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10,
                 "calibration": "0.03 %", "weighs": ["bead", "gold"]}),
    ("balance", {"name": "pulp", "step": "0.01 g", "spread": "0.007 g", "repeats": 10,
                 "weighs": ["charge"]}),
    ("reagent_lot", {"lot": "K-31", "material": "litharge", "gold_per_gram": "0.10 g/t",
                     "silver_per_gram": "1.6 g/t", "gold_spread": "0.027 g/t",
                     "silver_spread": "0.20 g/t", "blank_count": 5}),
    *(("sample", {"id": name, "role": "sample", "silver": "5.00 ± 0.01 mg", "lead": "32 g",
                  "lots": ["K-31"]}) for name in ("PK-061", "PK-062", "PK-063")),
    read("charge", "30.01", "g", "pulp", "PK-061"),
    read("charge", "20.02", "g", "pulp", "PK-062"),
    read("charge", "30.00", "g", "pulp", "PK-063"),
    read("bead", "5.382", "mg", "fine", "PK-061"),
    read("bead", "5.276", "mg", "fine", "PK-062"),
    read("bead", "5.194", "mg", "fine", "PK-063"),
    read("gold", "0.412", "mg", "fine", "PK-061"),
    read("gold", "0.327", "mg", "fine", "PK-062"),
    read("gold", "0.208", "mg", "fine", "PK-063"),
)  # fmt: skip
"""Furnace run 6. The charge of PK-062 was 30.02 g: the label says so, found after the seal."""


def entry_of(shed: Shed, name: LogName, text: str) -> int:
    """Number of the reading with this text."""
    entries, _ = read_log(shed.files, shed.book.log(name))
    return next(e.n for e in entries if e.values.get("text") == text)


def small_run(shed: Shed) -> LogName:
    shed.clock.set(9, 4, 9, seconds=40)
    name = shed.log("furnace run", "furnace run 6", SMALL_RUN)
    wrong = entry_of(shed, name, "5.194")
    reason = "digits swapped, read again at once"
    shed.add(name, ("amendment", {"entry": wrong, "text": "5.149", "reason": reason}))
    shed.clock.set(9, 4, 16)
    shed.seal(name)
    return name


def reissued(shed: Shed, old: LogName) -> None:
    shed.clock.set(20, 4, 10)
    why = "charge of PK-062 typed as 20.02 g, label on its bag says 30.02 g"
    name, log = reissue(shed.book, old, shed.keeper(), why)
    log.close()
    wrong = entry_of(shed, old, "20.02")
    shed.add(name, ("amendment", {"entry": wrong, "text": "30.02", "reason": why}))
    shed.clock.set(20, 4, 10, 15)
    shed.seal(name)


SLIP = """\
INVENTED, like all of this logbook.

Plover Kettle Gulch, slip that came with the bag of gravity products
  three sizes: +1.0 mm, -1.0+0.25 mm, -0.25 mm
  concentrate of the sluice and of the re-run, dried, magnet drawn over them
  final tailings not kept
"""


def run_on_paper(shed: Shed) -> None:
    """The furnace run of the hand sheet, with a note of what was found, countersigned."""
    shed.clock.set(16, 4, 9)
    run = shed.paper("furnace-run.toml")
    found = "The fine balance stood off its level. The figures stand as they are, named suspect."
    shed.add(run, ("note", {"text": found}))
    shed.clock.set(16, 4, 11)
    shed.seal(run)
    shed.clock.set(17, 4, 8, 30)
    present = SealHead(FARROW.name, "furnace", "was present")
    said = "Stood at the furnace; 24 cupels in, 23 beads out, PK-112 lost as the log says."
    countersign(shed.book, run, shed.keeper("OF"), FARROW, present, said)


def gravity_and_bar(shed: Shed) -> None:
    """The other two hand sheets, one with a file beside it."""
    shed.clock.set(2, 5, 14)
    test = shed.paper("gravity-test.toml")
    shed.add(test, shed.keep(test, Attached("slip-of-the-bag.txt", SLIP.encode())))
    shed.clock.set(2, 5, 15)
    shed.seal(test)
    shed.clock.set(22, 5, 9)
    bar = shed.paper("metallics-and-bar.toml")
    shed.clock.set(22, 5, 10)
    shed.seal(bar)


PARTED = 13
"""Of the 24 cupels of the open run, the gold of so many is weighed."""


def open_run(shed: Shed) -> None:
    """A run that is under way: all beads are weighed, and half of the gold."""
    told = {**make_demo.truths(), "seed": OTHER_SEED}
    text = make_demo.sheet("furnace-run", told).replace("PK-1", "PK-2")
    text = text.replace('tag = "T 44', 'tag = "T 45')
    shed.clock.set(9, 6, 7, 30, seconds=20)
    rows = rows_under_way(handsheet.read(text.encode()))
    shed.log("furnace run", "furnace run 8", rows)


def rows_under_way(sheet: handsheet.Sheet) -> list[Row]:
    """The entries of a run as far as it has come: weighed in, fired, beads, some of the gold."""
    samples = [str(e.values["id"]) for e in sheet.entries if e.kind == "sample"]
    place = {name: i for i, name in enumerate(samples)}
    weighed_in: list[Row] = []
    beads: list[Row] = []
    golds: list[Row] = []
    checks: list[Row] = []
    for group in together(sheet.entries[1:]):
        entry = group[-2] if len(group) > 1 else group[0]
        rows = [(e.kind, e.values) for e in group]
        if entry.kind == "balance_check":
            checks += rows
        elif entry.kind == "parting" or entry.values.get("what") == "gold":
            golds += rows if place[str(entry.values["sample"])] < PARTED else []
        elif entry.kind == "bead_look" or entry.values.get("what") == "bead":
            beads += rows
        elif entry.kind != "note":
            weighed_in += rows
    marks: list[Row] = [
        ("furnace_mark", {"sample": name, "mark": mark}) for mark in ("in", "out") for name in place
    ]
    # the second check is made when the last gold is weighed
    return [*weighed_in, *marks, checks[0], *beads, *golds]


def together(entries: Sequence[Entry]) -> Iterator[list[Entry]]:
    """Each weighing between its two zeros as one, everything else by itself."""
    group: list[Entry] = []
    for entry in entries:
        zero = entry.values.get("what") == "zero"
        if not zero and not group:
            yield [entry]
            continue
        group.append(entry)
        if zero and len(group) > 1:
            yield group
            group = []


def make(root: Path) -> None:
    """Write the logbook into an empty folder, as a checkout has it: without locks."""
    shed = Shed(root)
    self_test(shed)
    run_6 = small_run(shed)
    shed.clock.set(13, 4, 8)
    twice = shed.log("furnace run", "furnace run 7")
    shed.void(twice, "opened twice; run 7 was written on paper")
    run_on_paper(shed)
    reissued(shed, run_6)
    gravity_and_bar(shed)
    open_run(shed)
    shutil.rmtree(root / "locks")
    for path in root.rglob("*"):
        if path.is_file():
            path.chmod(0o644)
        elif not any(path.iterdir()):
            path.rmdir()


def run_self_test() -> None:
    """Write the self-test record anew, as it comes out here."""
    clock = Clock()
    clock.set(7, 4, 8)
    keeper = Keeper("MQ", clock, Files(), PROGRAM)
    SELF_TEST.write_bytes(record_of(check_all(), surroundings(), keeper, clock()).data)


def main(folder: Path) -> None:
    """Put the logbook in the place of the one that is there."""
    with TemporaryDirectory() as scratch:
        made = Path(scratch) / "logbook"
        make(made)
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(made, folder)
    print(folder)


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        run_self_test()
    else:
        main(Path(sys.argv[1]) if len(sys.argv) > 1 else DEMO / "logbook")
