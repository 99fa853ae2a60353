"""Reads the published check cases, puts each to its model, and says which answers agree.

The cases are data (`cases/*.toml`, one file a family of sources); the models are plain functions
over the core (`models.py`). Both the tests and a check on the user's own machine run them here.
Ordinary commands never load this floor.
"""

import tomllib
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal, TypeAlias

from assaybench.published.models import MODELS, Found

Evidence: TypeAlias = Literal["seen", "from memory"]
EVIDENCE: tuple[Evidence, ...] = ("seen", "from memory")

MOST_OF_ONE_SOURCE = 5
"""No more cases of one source count than this."""
CONVERSIONS = "unit conversions"
"""All conversions of units count as one case of one source: they are one table of factors."""
ROUNDING = 1e-9
"""Share of the tolerance on a printed figure that is left to binary rounding."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer of a source.

    Attributes:
        name: which result of the model it is; the unit stands in the name.
        printed: the answer exactly as the source prints it.
        printed_tolerance: how far a result may lie from it; half a unit of the last printed digit
            unless the case says why it is more.
        unrounded: the same answer with all its digits, worked out apart from this program; None
            for a text.
        tolerance: how far a result may lie from `unrounded`; None for a text.
    """

    name: str
    printed: str
    printed_tolerance: float | None
    unrounded: float | None
    tolerance: float | None


@dataclass(frozen=True, slots=True)
class Case:
    """One worked case of a published source.

    Attributes:
        id: its name, unique.
        subject: the file it stands in, without its ending.
        title: what it is about, in a few words.
        model: name of the function of `models.py` that is checked by it.
        source: title, section, equation or page.
        source_key: short name of the source: cases of one key are not independent.
        evidence: whether the printed answers were seen in a copy of the source, or are quoted
            from memory.
        inputs: arguments of the model.
        answers: what must come out.
        note: what a reader should know; empty where there is nothing.
        insensitive: inputs whose change by 1 % does not show in the answers, each with its reason.
        conversion: whether it is a mere conversion of units.
    """

    id: str
    subject: str
    title: str
    model: str
    source: str
    source_key: str
    evidence: Evidence
    inputs: Mapping[str, Any]
    answers: tuple[Answer, ...]
    note: str
    insensitive: Mapping[str, str]
    conversion: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the program finds for one answer of a case.

    Attributes:
        case, answer: what was asked.
        found: the program's result.
        agrees_unrounded: whether it lies within the tolerance of the unrounded answer; for a text,
            whether it is the printed text.
        agrees_printed: whether it lies within the printed tolerance of the printed answer.
    """

    case: Case
    answer: Answer
    found: float | str
    agrees_unrounded: bool
    agrees_printed: bool

    @property
    def agrees(self) -> bool:
        """Whether the program agrees with the source in both ways."""
        return self.agrees_unrounded and self.agrees_printed


def load_cases() -> tuple[Case, ...]:
    """All published cases, in the order of their files and places.

    Raises:
        ValueError: for a case with an unknown or missing key, or a name that is used twice.
    """
    folder = files("assaybench.published") / "cases"
    sheets = sorted(sheet.name for sheet in folder.iterdir() if sheet.name.endswith(".toml"))
    found = [
        case for name in sheets for case in parse_cases((folder / name).read_text("utf-8"), name)
    ]
    twice = [name for name, n in Counter(case.id for case in found).items() if n > 1]
    if twice:
        raise ValueError(f"case {twice[0]} stands twice in the published cases")
    return tuple(found)


def parse_cases(text: str, name: str) -> tuple[Case, ...]:
    """The cases of one TOML text.

    Args:
        text: TOML with one `[[case]]` for each case.
        name: names the text in a fault.

    Raises:
        ValueError: for anything that is not a case in the form of `Case` and `Answer`.
    """
    sheet = tomllib.loads(text)
    _check_keys(sheet, {"case"}, set(), name)
    subject = name.partition(".")[0]
    return tuple(
        _case(table, subject, f"{name}: case {table.get('id')}") for table in sheet["case"]
    )


def _case(table: Mapping[str, Any], subject: str, where: str) -> Case:
    required = {"id", "title", "model", "source", "source_key", "evidence", "inputs", "answers"}
    _check_keys(table, required, {"note", "insensitive", "conversion"}, where)
    texts = {key: _text(table, key, where) for key in sorted(required - {"inputs", "answers"})}
    if texts["model"] not in MODELS:
        raise ValueError(f"{where}: there is no model {texts['model']}")
    evidence = [known for known in EVIDENCE if known == texts["evidence"]]
    if not evidence:
        raise ValueError(f"{where}: evidence is one of {', '.join(EVIDENCE)}")
    insensitive = table.get("insensitive", {})
    _check_keys(insensitive, set(), set(table["inputs"]), f"{where}, insensitive")
    note = _text(table, "note", where) if "note" in table else ""
    answers = tuple(_answer(answer, where) for answer in table["answers"])
    widened = any("printed_tolerance" in answer for answer in table["answers"])
    if not answers or (widened and not note):
        raise ValueError(f"{where}: answers are missing, or a note why a printed tolerance is wide")
    return Case(
        id=texts["id"],
        subject=subject,
        title=texts["title"],
        model=texts["model"],
        source=texts["source"],
        source_key=texts["source_key"],
        evidence=evidence[0],
        inputs=MappingProxyType(table["inputs"]),
        answers=answers,
        note=note,
        insensitive=MappingProxyType(
            {key: _text(insensitive, key, f"{where}, insensitive") for key in insensitive}
        ),
        conversion=table.get("conversion", False) is True,
    )


def _answer(table: Mapping[str, Any], where: str) -> Answer:
    if table.get("kind", "number") == "text":
        _check_keys(table, {"name", "printed", "kind"}, set(), where)
        name, printed = _text(table, "name", where), _text(table, "printed", where)
        return Answer(name, printed, None, None, None)
    _check_keys(
        table, {"name", "printed", "unrounded", "tolerance"}, {"kind", "printed_tolerance"}, where
    )
    printed = _text(table, "printed", where)
    return Answer(
        name=_text(table, "name", where),
        printed=printed,
        printed_tolerance=float(table.get("printed_tolerance", half_unit(printed))),
        unrounded=float(table["unrounded"]),
        tolerance=float(table["tolerance"]),
    )


def _check_keys(
    table: Mapping[str, Any], required: Collection[str], optional: Collection[str], where: str
) -> None:
    unknown = sorted(set(table) - set(required) - set(optional))
    missing = sorted(set(required) - set(table))
    if unknown:
        raise ValueError(f"{where}: unknown key {unknown[0]}")
    if missing:
        raise ValueError(f"{where}: key {missing[0]} is missing")


def _text(table: Mapping[str, Any], key: str, where: str) -> str:
    value = table[key]
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{where}: {key} must be a text that is not blank")
    return value


def printed_number(printed: str) -> Decimal:
    """A printed number as a decimal: a comma in it is a thousands mark, as in `32,666.6`."""
    return Decimal(printed.replace(",", ""))


def half_unit(printed: str) -> float:
    """Half a unit of the last printed digit: 0.005 for `0.66`, 0.5 for `93`."""
    number = printed_number(printed)
    if not number.is_finite():
        raise ValueError(f"{printed} is not a finite number")
    return float(Decimal(5).scaleb(number.adjusted() - len(number.as_tuple().digits)))


def outcome(case: Case, answer: Answer, found: float | str) -> Outcome:
    """One result held against one answer."""
    if answer.unrounded is None or answer.tolerance is None or answer.printed_tolerance is None:
        same = found == answer.printed
        return Outcome(case, answer, found, same, same)
    value = float(found)
    off_print = abs(value - float(printed_number(answer.printed)))
    return Outcome(
        case,
        answer,
        value,
        agrees_unrounded=abs(value - answer.unrounded) <= answer.tolerance,
        agrees_printed=off_print <= answer.printed_tolerance * (1 + ROUNDING),
    )


def run_case(case: Case, inputs: Mapping[str, Any] | None = None) -> tuple[Outcome, ...]:
    """What the program finds for every answer of a case.

    Args:
        case: the case.
        inputs: other inputs than those of the case, to see its answers fail.

    Raises:
        KeyError: when the model has no result of an answer's name.
        TypeError: when the inputs are not those of the model.
    """
    found: Found = MODELS[case.model](**(case.inputs if inputs is None else inputs))
    return tuple(outcome(case, answer, found[answer.name]) for answer in case.answers)


def counted(cases: Sequence[Case]) -> int:
    """How many cases count: at most five of one source, all conversions of units as one."""
    of_source = Counter(case.source_key for case in cases if not case.conversion)
    conversions = any(case.conversion for case in cases)
    return sum(min(n, MOST_OF_ONE_SOURCE) for n in of_source.values()) + conversions


def independent_sources(cases: Iterable[Case]) -> frozenset[str]:
    """The keys of the independent sources, all conversions of units as one."""
    return frozenset(CONVERSIONS if case.conversion else case.source_key for case in cases)
