"""The layout of the logbook's folder: names to paths and back, and where the folder is.

    registers/BENCH.toml                    the numbers of one bench
    logs/BENCH/000012.toml                  a log, and beside it 000012.toml.sig,
               000012.statement-1.toml      statements, each with .sig
               000012.torn-1                torn ends, 000012.attached/ its attachments
    marks/BENCH/000012.toml                 signed marks of the register, each with .sig
    reports/   allowed_signers   HOW-TO-CHECK.txt
    locks/                                  who writes now; no part of the record

Choices: a bench is named with 1 to 12 capital letters, digits and hyphens, a letter first, so that
names stay apart on disks that do not tell capitals from small letters; names that some systems
reserve for devices are refused. Locks have a folder of their own, so that nothing but the record
stands in the others; names that begin with a point are files in the making.
"""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.faults import NotDone, disk_reason, not_read
from assaybench.logbook.files import Files
from assaybench.logbook.store import create
from assaybench.messages import BadInput, quoted, say
from assaybench.record.register_kinds import LARGEST_NUMBER

VARIABLE = "ASSAYBENCH_LOGBOOK"
PRACTICE = "P"
"""Takes the place of a bench in the names of practice logs, P-1; no bench is called so."""
_BENCH = re.compile(r"[A-Z](?:[A-Z0-9-]{0,10}[A-Z0-9])?")
DEVICES = re.compile(r"CON|PRN|AUX|NUL|COM[0-9]|LPT[0-9]")
_NUMBER = re.compile(r"(?:(?P<bench>.+)-)?(?P<number>[0-9]{1,6})")
_LOG = re.compile(r"([0-9]{6})\.toml")
_ATTRIBUTES = b"# Signed byte for byte: git must not touch the line ends.\n* -text\n"


class LogName(NamedTuple):
    """A log of a bench by its number, spelled `MAIN-000012`; a practice log is `P-1`."""

    bench: str
    number: int

    @property
    def practice(self) -> bool:
        """Whether it is practice: outside every logbook and register, never sealed."""
        return self.bench == PRACTICE

    @property
    def spelled(self) -> str:
        """As people write it."""
        return f"{self.bench}-{self.number if self.practice else f'{self.number:06}'}"


def bench_name(text: str) -> str:
    """A bench name in capitals.

    Raises:
        BadInput: for what cannot be one.
    """
    name = text.strip().upper()
    if not _BENCH.fullmatch(name) or DEVICES.fullmatch(name):
        raise BadInput.of("bench_name", x=quoted(text))
    if name == PRACTICE:
        raise BadInput.of("bench_practice")
    return name


def log_name(text: str, bench: str) -> LogName:
    """The log that is meant by `12`, `000012` or `MAIN-12`; `P-1` is a practice log.

    Args:
        text: what was typed.
        bench: the bench that is meant when none is typed.

    Raises:
        BadInput: for anything else.
    """
    match = _NUMBER.fullmatch(text.strip())
    number = int(match["number"]) if match else 0
    if match is None or not 1 <= number <= LARGEST_NUMBER:
        raise BadInput.of("log_name", x=quoted(text))
    named = match["bench"] or bench
    return LogName(PRACTICE if _is_practice(named) else bench_name(named), number)


def is_practice(text: str) -> bool:
    """Whether a text names a practice log, such as `P-1`."""
    match = _NUMBER.fullmatch(text.strip())
    return match is not None and _is_practice(match["bench"] or "")


def _is_practice(bench: str) -> bool:
    return bench.strip().upper() == PRACTICE


class Logbook(NamedTuple):
    """A logbook's folder.

    Attributes:
        root: the folder.
    """

    root: Path

    @property
    def registers(self) -> Path:
        """Folder of the registers."""
        return self.root / "registers"

    @property
    def reports(self) -> Path:
        """Folder of the reports."""
        return self.root / "reports"

    @property
    def allowed_signers(self) -> Path:
        """The signers this logbook names."""
        return self.root / "allowed_signers"

    @property
    def how_to_check(self) -> Path:
        """How to check it without this program."""
        return self.root / "HOW-TO-CHECK.txt"

    def register(self, bench: str) -> Path:
        """Register of a bench."""
        return self.registers / f"{bench}.toml"

    def logs(self, bench: str) -> Path:
        """Folder of the logs of a bench."""
        return self.root / "logs" / bench

    def log(self, name: LogName) -> Path:
        """File of a log."""
        return self.logs(name.bench) / f"{name.number:06}.toml"

    def statement(self, name: LogName, k: int) -> Path:
        """File of the statement number k about a log."""
        return self.logs(name.bench) / f"{name.number:06}.statement-{k}.toml"

    def attached(self, name: LogName) -> Path:
        """Folder of the attachments of a log."""
        return self.logs(name.bench) / f"{name.number:06}.attached"

    def mark(self, name: LogName) -> Path:
        """File of the register mark made when a log was sealed."""
        return self.root / "marks" / name.bench / f"{name.number:06}.toml"

    def lock(self, path: Path) -> Path:
        """Lock of a register or a log of this logbook."""
        inside = path.relative_to(self.root).with_suffix("")
        return self.root / "locks" / inside.with_name(f"{inside.name}.lock")

    def benches(self, files: Files) -> list[str]:
        """Benches that have a register or a folder of logs, sorted."""
        names = [name.removesuffix(".toml") for name in names_in(files, self.registers)]
        names += names_in(files, self.root / "logs")
        return sorted({n for n in names if _BENCH.fullmatch(n) and not DEVICES.fullmatch(n)})

    def numbers(self, files: Files, bench: str) -> list[int]:
        """Numbers of the logs of a bench that are there, in order."""
        found = (log_number(name) for name in names_in(files, self.logs(bench)))
        return [number for number in found if number is not None]

    def name_of(self, path: Path) -> LogName | None:
        """The name of the log that a path is; None for any other file."""
        match = _LOG.fullmatch(path.name)
        bench = path.parent.name
        if match is None or not _BENCH.fullmatch(bench) or path.parent != self.logs(bench):
            return None
        return LogName(bench, int(match[1]))

    def make(self, files: Files) -> None:
        """Make the folder, when it is not there, fit to be carried by git.

        Raises:
            NotDone: when it cannot be made.
        """
        try:
            for folder in (self.registers, self.root / "logs", self.reports):
                files.make_folder(folder)
            missing = files.stat(self.root / ".gitattributes") is None
        except OSError as fault:
            why = disk_reason(fault)
            raise NotDone([say("file_not_made", name=str(self.root), why=why)]) from fault
        if missing:
            create(files, self.root / ".gitattributes", _ATTRIBUTES)


def log_number(name: str) -> int | None:
    """The number of the log whose file has this name; None for any other file."""
    match = _LOG.fullmatch(name)
    return int(match[1]) if match else None


def names_in(files: Files, folder: Path) -> list[str]:
    """Names in a folder, sorted; none when there is no such folder.

    Raises:
        NotDone: when it cannot be read.
    """
    try:
        return files.listdir(folder)
    except OSError as fault:
        raise not_read(folder, fault) from fault


def where(
    given: str | None, environment: Mapping[str, str], settings: str, default: Callable[[], Path]
) -> Path:
    """The logbook's folder: as given, else from the environment, the settings, or the default.

    Args:
        given: the folder of `--logbook`, when it was given.
        environment: variables of the environment; `ASSAYBENCH_LOGBOOK` counts.
        settings: the folder of the settings, empty when there is none.
        default: gives the folder that is taken when nobody named one.

    Raises:
        BadInput: for a home folder, `~name`, that nobody here has.
    """
    for text in (given, environment.get(VARIABLE), settings):
        if text:
            try:
                return Path(text).expanduser().absolute()
            except RuntimeError as fault:
                raise BadInput.of("folder_unknown", x=quoted(text)) from fault
    return default()


def user_folder() -> Path:
    """The folder for the logbook when nobody named one."""
    import platformdirs

    return platformdirs.user_data_path("assaybench", appauthor=False) / "logbook"


def practice_folder() -> Path:
    """The folder of practice logs: outside every logbook, in no register."""
    import platformdirs

    return platformdirs.user_data_path("assaybench", appauthor=False) / "practice"


def settings_file() -> Path:
    """The file of the settings."""
    import platformdirs

    return platformdirs.user_config_path("assaybench", appauthor=False) / "settings.toml"
