"""The fields of the settings: name, type, default, meaning, and how each is read."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from assaybench.logbook.folder import bench_name, where
from assaybench.messages import BadInput, quoted
from assaybench.record import check
from assaybench.record.kinds import Key
from assaybench.units import parse

_PLAN = re.compile(r"([1-9][0-9]?) ?[x×] ?([1-9][0-9]?)")
FINGERPRINT = re.compile(r"SHA256:[A-Za-z0-9+/]{43}")
MOST_IDLE_MINUTES = 240
_INITIALS = Key("initials", "initials", "who weighs")


class Tray(NamedTuple):
    """Rows and columns of a plan."""

    rows: int
    columns: int

    def __str__(self) -> str:
        return f"{self.rows} x {self.columns}"


class Settings(NamedTuple):
    """The settings, as they count; a field left alone has its default.

    Attributes:
        logbook: folder of the logbook, empty for the usual one.
        bench: bench whose register numbers new logs.
        initials: who weighs, empty when the program is to ask.
        people: printed name by initials.
        aim: the aim of a weighing, a share of the mass in plain text such as `1 %`.
        decimal_mark: as typed, point or comma.
        palette: day or lamp.
        tray: the plan of the muffle.
        cups: the plan of the parting cups.
        planned_power: the chance that a planned comparison shows what is there, as a share in text.
        ascii: whether to draw with plain signs only.
        signing_key: file of the signing key, empty for the usual one.
        trusted: fingerprints of signing keys that are trusted.
        keys: key by the id of the action that it is to do.
        idle_minutes: after so many minutes without a key the bench hides its page; 0 for never.
    """

    logbook: str = ""
    bench: str = "MAIN"
    initials: str = ""
    people: Mapping[str, str] = MappingProxyType({})
    aim: str = "1 %"
    decimal_mark: str = "as typed"
    palette: str = "day"
    tray: Tray = Tray(4, 6)
    cups: Tray = Tray(4, 6)
    planned_power: str = "80 %"
    ascii: bool = False
    signing_key: str = ""
    trusted: tuple[str, ...] = ()
    keys: Mapping[str, str] = MappingProxyType({})
    idle_minutes: int = 10


class Field(NamedTuple):
    """One field of the settings.

    Attributes:
        name: as it stands in the file.
        type: what its value is, in a word.
        help: its meaning.
        read: the value from what stands in the file; raises BadInput.
        choices: the words accepted, when there are only some.
    """

    name: str
    type: str
    help: str
    read: Callable[["Field", object], object]
    choices: tuple[str, ...] = ()

    @property
    def default(self) -> object:
        """Its value when it is left alone."""
        return Settings._field_defaults[self.name]

    def value(self, given: object) -> object:
        """What stands in the file, as it counts; an empty text leaves alone what may be empty.

        Raises:
            BadInput: for what it cannot be.
        """
        return "" if given == self.default == "" else self.read(self, given)


def _place(_field: Field, given: object) -> str:
    """A folder or file that is the same wherever the program is started."""
    text = check.text(given)
    # a home folder `~name` that nobody has is a fault of its own
    where(text, {}, "", Path)
    if not (text.startswith("~") or Path(text).anchor):
        raise BadInput.of("setting_folder", x=quoted(text))
    return text


def _bench(_field: Field, given: object) -> str:
    return bench_name(check.text(given))


def _initials(_field: Field, given: object) -> object:
    return check.value(_INITIALS, given)


def _share(field: Field, given: object) -> str:
    text = check.text(given)
    parse.share(text, field.name, 0.001, 99.9)
    return text


def _choice(field: Field, given: object) -> str:
    text = check.text(given)
    if text not in field.choices:
        choices = ", ".join(field.choices)
        raise BadInput.of("choice_unknown", x=quoted(text), what=field.name, choices=choices)
    return text


def _yes_no(_field: Field, given: object) -> bool:
    if not isinstance(given, bool):
        raise BadInput.of("value_yes_no", x=quoted(str(given)))
    return given


def _minutes(_field: Field, given: object) -> int:
    if isinstance(given, bool) or not isinstance(given, int) or not 0 <= given <= MOST_IDLE_MINUTES:
        x = quoted(str(given))
        raise BadInput.of("number_not_whole", x=x, least=0, most=MOST_IDLE_MINUTES)
    return given


def _plan(_field: Field, given: object) -> Tray:
    match = _PLAN.fullmatch(check.text(given))
    if match is None:
        raise BadInput.of("setting_plan", x=quoted(str(given)))
    return Tray(int(match[1]), int(match[2]))


def _people(_field: Field, given: object) -> dict[str, str]:
    return {str(check.value(_INITIALS, k)): check.text(v) for k, v in _table(given).items()}


def _keys(_field: Field, given: object) -> dict[str, str]:
    return {check.text(k): check.text(v) for k, v in _table(given).items()}


def _table(given: object) -> Mapping[str, object]:
    if not isinstance(given, dict):
        raise BadInput.of("setting_table", x=quoted(str(given)))
    return given


def _fingerprints(_field: Field, given: object) -> tuple[str, ...]:
    if not isinstance(given, list):
        raise BadInput.of("value_not_list", x=quoted(str(given)))
    texts = [check.text(part) for part in given]
    for text in texts:
        if not FINGERPRINT.fullmatch(text):
            raise BadInput.of("setting_fingerprint", x=quoted(text))
    return tuple(texts)


FIELDS = (
    Field("logbook", "folder", "folder of the logbook", _place),
    Field("bench", "name", "bench whose register numbers new logs", _bench),
    Field("initials", "initials", "who weighs", _initials),
    Field("people", "table", 'printed names by initials: KB = "K. Berg"', _people),
    Field("aim", "share", "aim of a weighing", _share),
    Field("decimal_mark", "choice", "decimal mark of answers", _choice,
          ("as typed", "point", "comma")),
    Field("palette", "choice", "colours of the bench", _choice, ("day", "lamp")),
    Field("tray", "plan", "rows x columns of the muffle", _plan),
    Field("cups", "plan", "rows x columns of the parting cups", _plan),
    Field("planned_power", "share", "chance that a planned comparison shows its aim", _share),
    Field("ascii", "yes or no", "draw with plain signs only", _yes_no),
    Field("signing_key", "file", "signing key; a .pub file for one in an agent or a token", _place),
    Field("trusted", "list", "fingerprints of signing keys that are trusted", _fingerprints),
    Field("keys", "table", 'keys of actions by their ids: seal = "x"', _keys),
    Field("idle_minutes", "minutes", "without a key until the page is hidden; 0 for never",
          _minutes),
)  # fmt: skip
BY_NAME = {field.name: field for field in FIELDS}
