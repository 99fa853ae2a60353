"""The desk: what every page of the bench works with, and who weighs at this moment."""

from dataclasses import dataclass, field
from pathlib import Path

from assaybench.logbook.clock import machine_time
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.logfile import Clock, Keeper
from assaybench.logbook.settings_fields import Settings
from assaybench.messages import BadInput
from assaybench.record import check
from assaybench.record.kinds import Key

_INITIALS = Key("by", "initials", "who weighs")


@dataclass(slots=True)
class Desk:
    """Where the bench works, on which disk, with which clock, and who weighs now.

    Attributes:
        book: the logbook.
        bench: the bench whose register numbers new logs.
        files: the disk.
        program: program and version, as entries name it.
        clock: gives the time now, with its offset.
        settings: the settings of the user.
        by: initials of who weighs now, empty as long as nobody said; `switch` changes them.
        practice: folder of practice logs, outside every logbook.
        cache: folder of the indexes of logbooks; None for the usual one.
        key_file: the signing key when the settings name none; None for the usual one.
        worked: initials of all who worked here since the start, each once, in order.
    """

    book: Logbook
    bench: str
    files: Files
    program: str
    clock: Clock = machine_time
    settings: Settings = field(default_factory=Settings)
    by: str = ""
    practice: Path | None = None
    cache: Path | None = None
    key_file: Path | None = None
    worked: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.by = self.by or self.settings.initials
        self.worked += [self.by] if self.by else []

    def keeper(self) -> Keeper:
        """Who writes, with the clock and the disk.

        Raises:
            BadInput: as long as nobody said who weighs.
        """
        if not self.by:
            raise BadInput.of("bench_no_initials")
        return Keeper(self.by, self.clock, self.files, self.program)

    def switch(self, initials: str) -> None:
        """Another person goes on; every entry from here on carries these initials.

        Raises:
            BadInput: for what cannot be initials.
        """
        self.by = str(check.value(_INITIALS, initials))
        if self.by not in self.worked:
            self.worked.append(self.by)

    def practice_folder(self) -> Path:
        """The folder of practice logs."""
        if self.practice is not None:
            return self.practice
        from assaybench.logbook.folder import practice_folder

        return practice_folder()

    def cache_folder(self) -> Path:
        """The folder of the indexes."""
        if self.cache is not None:
            return self.cache
        from assaybench.logbook.index import cache_folder

        return cache_folder()

    def signing_key(self) -> Path:
        """The file of the signing key, whether or not there is one."""
        if self.settings.signing_key:
            return Path(self.settings.signing_key).expanduser().absolute()
        if self.key_file is not None:
            return self.key_file
        from assaybench.logbook.keys import default_key_file

        return default_key_file()

    def who_and_when(self) -> str:
        """The right end of the running head: `KB · 14:31`."""
        now = f"{self.clock():%H:%M}"
        return f"{self.by} · {now}" if self.by else now
