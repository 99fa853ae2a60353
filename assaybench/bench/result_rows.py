"""The table of results: one row for each sample, and for each sample assayed in parts.

Columns are set so that decimal points and `±` stand below each other. Gold stands as it was read,
beside it the grade after blank and proofs, then what the weighing says; a bead that was not parted
has no gold, so its doré stands where the grade would be.
"""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.assay import sorts
from assaybench.assay.grade import MG_PER_G
from assaybench.bench.characters import cells, cut
from assaybench.bench.tray import Board
from assaybench.messages import say
from assaybench.metrology.figure import Figure, Verdict
from assaybench.metrology.uncertain import nominal
from assaybench.record.results import Results, SampleResult
from assaybench.record.wholes import Whole, wholes
from assaybench.units import table, write
from assaybench.units.table import GRAM_PER_TONNE, Unit

UNITS = tuple(
    table.BY_SPELLING[symbol]
    for symbol in ("g/t", "ozt/short_ton", "ozt/long_ton", "dwt/short_ton")
)
"""Units of a grade that a user walks through."""
NAME, WORD = 11, 14
"""Columns of a sample's name, and of what its weighing says."""
_POINT, _GOLD_END = 4, 10
_SIGN, _GRADE_END = 7, 16
_NARROW = {
    "detected_rough": ("results_rough", "results_rough_best"),
    "wider_than_aim": ("results_wider", "results_wider_best"),
}


class Row(NamedTuple):
    """One row of the table.

    Attributes:
        id: of the sample, or of the sample that was assayed in parts.
        label: how the page calls it.
        sample: its result; None for one assayed in parts.
        whole: the sample assayed in parts; None for a sample of its own.
    """

    id: str
    label: str
    sample: SampleResult | None = None
    whole: Whole | None = None

    @property
    def grade(self) -> Figure | None:
        """Its gold grade, g/t; None where there is no figure of one, not even one without value."""
        figures = self.sample.figures if self.sample is not None else {}
        if self.whole is not None:
            figures = self.whole.figures
        return figures.get("grade_gold")

    @property
    def sort(self) -> str:
        """How its gold is corrected for cupel loss; empty without gold, and of blank and proof."""
        if self.whole is not None:
            return self.whole.sort
        return "" if self.sample is None else self.sample.sort

    @property
    def detection(self) -> float | None:
        """L_D of its grade, g/t, where it is reported as a limit."""
        figure, parts = self.grade, self.sample.parts if self.sample is not None else None
        if figure is None or figure.status != "below L_D" or parts is None:
            return None
        if parts.gold is None or parts.mass is None:
            return None
        return parts.gold.levels.detection * MG_PER_G / nominal(parts.mass.g)


def rows_of(found: Results, board: Board) -> list[Row]:
    """Every row, in the order of the log; a sample assayed in parts only stands last.

    Where some are corrected for cupel loss and others are not, each sort stands together: the two
    never share a column (method version 1, section 3).
    """
    families: dict[str, int] = {}
    for sample in found.samples:
        if not sample.part:
            name = sample.of or sample.id
            families[name] = families.get(name, 0) + 1
    joined = {whole.id: whole for whole in wholes(found)}
    rows = [
        Row(s.id, s.id, whole=joined.pop(s.id))
        if s.id in joined
        else Row(s.id, _label(s, families, board), s)
        for s in found.samples
    ]
    rows += [Row(name, name, whole=whole) for name, whole in joined.items()]
    if has_groups(rows):
        places = {sort: i for i, sort in enumerate((*sorts.ORDER, ""))}
        rows.sort(key=lambda row: places[row.sort])
    return rows


def has_groups(rows: Sequence[Row]) -> bool:
    """Whether some rows are corrected for cupel loss and others not: each sort has its head."""
    return len(sorts.present(row.sort for row in rows)) > 1


def head_of(row: Row) -> str:
    """The head of the group that a row belongs to."""
    words = sorts.words(row.sort)
    return say("results_group", sort=words) if words else say("sort_none")


def _label(sample: SampleResult, families: dict[str, int], board: Board) -> str:
    """The id; of a sample assayed more than once, the sample and the place: `KV-017 A2`."""
    name, place = sample.of or sample.id, board.muffle.of.get(sample.id)
    if sample.part or sample.role == "proof" or families.get(name, 0) < 2 or place is None:
        return sample.id
    label = f"{name} {place.name}"
    return label if cells(label) <= NAME else sample.id


# --- one row -------------------------------------------------------------------------------------


def heading(unit: Unit) -> str:
    """The heads of the columns."""
    head = say("results_head_grade", unit=unit.symbol)
    if cells(head) > _GRADE_END - 3:
        head = unit.symbol
    gold, word = say("results_head_gold"), say("results_head_word")
    left = f"  {say('results_head_sample'):{NAME}}  {gold}   "
    return f"{left}{head:<{_GRADE_END - 3}}  {word}"


def text_of(row: Row, unit: Unit, *, here: bool) -> str:
    """A row of the table.

    Args:
        row: the row.
        unit: of the grade.
        here: whether the pointer stands on it.
    """
    mark = ">" if here else " "
    gold, grade, word = _cells(row, unit)
    name = _name(row.label, gold)
    gold = f"{gold:{_GOLD_END}}"[max(cells(name) - NAME, 0) :]
    name += " " * (NAME - cells(name))
    return f"{mark} {name}{gold}{grade:{_GRADE_END}} {cut(word, WORD)}".rstrip()


def _name(label: str, gold: str) -> str:
    """A name that runs on into the blanks before the gold; of a longer one its end is told."""
    room = NAME + max(len(gold) - len(gold.lstrip()) - 1, 0)
    if cells(label) <= room:
        return label
    while cells(label) >= room:
        label = label[1:]
    return say("results_cut", end=label)


def _cells(row: Row, unit: Unit) -> tuple[str, str, str]:
    if row.whole is not None:
        figure = row.grade or row.whole.figures.get("fineness")
        return _gold("-"), _graded(figure, unit, None), say(f"results_{row.whole.kind}")
    sample = row.sample
    if sample is None or sample.lost:
        return "", "", say("bench_lost")
    gold = bare(sample.figures.get("gold_read"))
    word = _word(sample.verdicts.get("gold") or sample.verdicts.get("bead"))
    if sample.role in ("blank", "proof"):
        return _gold(gold), f"   {sample.role}", word
    if gold == "-":
        return _gold("-"), _dore(sample), word
    return _gold(gold), _graded(row.grade, unit, row.detection), word


def _dore(sample: SampleResult) -> str:
    """The doré of a bead that was not parted; without a bead, a dash."""
    dore = bare(sample.figures.get("dore"))
    if dore == "-":
        dore = bare(sample.figures.get("bead"))
    return "      -" if dore == "-" else "  " + say("results_dore", m=dore)


def bare(figure: Figure | None) -> str:
    """A figure without unit and doubt; a dash where there is none."""
    if figure is None or figure.value is None:
        return "-"
    return figure.text.removesuffix(figure.unit).strip().partition(" ±")[0]


def _gold(text: str) -> str:
    """Gold, its decimal point in its column."""
    whole, point, decimals = text.partition(".")
    return f"{whole:>{_POINT}}{point}{decimals}"


def _graded(figure: Figure | None, unit: Unit, limit: float | None) -> str:
    """A grade, its `±` in its column; a long doubt moves it to the left."""
    text = number_in(figure, unit, limit)
    value, sign, doubt = text.partition(" ± ")
    if not sign:
        return f"{value:>{_SIGN}}"
    return f"{value:>{_SIGN}} ± {doubt}" if len(doubt) <= _GRADE_END - _SIGN - 3 else text


def number_in(figure: Figure | None, unit: Unit, limit: float | None = None) -> str:
    """A figure in a unit of a grade, without the unit; a fineness as it is; a dash for none."""
    if figure is None or figure.value is None:
        return "-"
    if figure.unit != GRAM_PER_TONNE.symbol:
        return figure.text.removesuffix(figure.unit).strip()
    return in_unit(figure, unit, limit).text.removesuffix(unit.symbol).strip()


def in_unit(figure: Figure, unit: Unit, limit: float | None = None) -> Figure:
    """A grade in g/t as one in another unit, rounded once.

    Args:
        figure: with a value.
        unit: of a mass fraction.
        limit: L_D, g/t, of one that is reported as a limit.
    """
    if unit == GRAM_PER_TONNE or figure.value is None:
        return figure
    factor = float(GRAM_PER_TONNE.size / unit.size)

    def times(number: float | None) -> float | None:
        return None if number is None else number * factor

    value = figure.value * factor
    if figure.expanded is not None:
        text = write.plus_minus(value, figure.expanded * factor, unit.symbol)
    else:
        most = figure.high if limit is None else limit
        text = write.with_unit(f"< {write.significant((most or 0) * factor, 2)}", unit.symbol)
    low, high = times(figure.low), times(figure.high)
    return figure._replace(
        value=value, unit=unit.symbol, u=times(figure.u), low=low, high=high, text=text
    )


def _word(verdict: Verdict | None) -> str:
    """What a weighing says, short enough for its column."""
    if verdict is None:
        return ""
    narrow = _NARROW.get(verdict.code)
    if narrow is None:
        return verdict.word
    return say(narrow[bool(verdict.prefix)])


def unit_after(unit: Unit) -> Unit:
    """The next unit of a grade."""
    return UNITS[(UNITS.index(unit) + 1) % len(UNITS)]


def window(rows: Sequence[Row], at: int, lines: int) -> range:
    """The rows in sight when the pointer stands on one of them.

    Args:
        rows: all of them.
        at: where the pointer stands.
        lines: how many there is room for, with the heads of their groups where there are any.
    """
    grouped = has_groups(rows)
    for many in range(lines, 1, -1):
        first = min(max(at - many // 2, 0), max(len(rows) - many, 0))
        shown = range(first, min(first + many, len(rows)))
        if not grouped or len(shown) + len({rows[i].sort for i in shown}) <= lines:
            return shown
    return range(at, min(at + 1, len(rows)))
