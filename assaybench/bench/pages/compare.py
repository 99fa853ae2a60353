"""Two samples compared, or one held against a cut-off: shown or not, and what would decide it.

What both share in this log cancels in their difference; a cut-off is judged with the widest layer
known, and the page says which.
"""

from datetime import datetime

from assaybench.assay import sorts
from assaybench.bench.comparing import Apart, apart, times_too_wide
from assaybench.bench.minutes import Minute
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Still
from assaybench.bench.result_parts import hundreds, of_budget
from assaybench.bench.result_remarks import one_line
from assaybench.bench.result_rows import Row, in_unit, unit_after
from assaybench.bench.run_log import RunLog
from assaybench.bench.set_lines import bold, led, led_below
from assaybench.bench.sheet import Line, Sheet, line
from assaybench.circuit.grain_law import Judged
from assaybench.messages import BadInput, say
from assaybench.record.layers import Layers, against_cutoff, layers_of
from assaybench.record.results import Results
from assaybench.report.answer import coverage_line
from assaybench.report.compare_words import (
    MANY,
    chance,
    chances,
    difference_verdict,
    places,
    with_sign,
)
from assaybench.units import write
from assaybench.units.table import GRAM_PER_TONNE, Unit

_KEYS = ("enter.back", "units", "help", "back")


class ComparePage(Still):
    """A difference, or a grade against a cut-off.

    Attributes:
        run: the log.
        unit: of the figures.
    """

    name = "compare"

    def __init__(
        self,
        run: RunLog,
        found: Results,
        one: Row,
        other: Row | None,
        unit: Unit = GRAM_PER_TONNE,
        cutoff: float | None = None,
    ) -> None:
        """Work it out.

        Args:
            run: the log.
            found: its results.
            one: the row that was marked.
            other: the row it is compared with; None for a cut-off.
            unit: of the figures, and of the cut-off.
            cutoff: the cut-off.

        Raises:
            BadInput: when a row has no grade, or nothing can be judged.
        """
        self.run, self.unit = run, unit
        self._one, self._other = one, other
        self._apart: Apart | None = None
        self._judged: Judged | None = None
        self._layers: Layers | None = None
        self._cutoff_g_per_t = 0.0
        self._minute = Minute()
        if other is not None:
            self._apart = apart(found, one, other)
            return
        self._layers = None if one.sample is None else layers_of(found, one.sample)
        if self._layers is None or cutoff is None:
            raise BadInput.of("compare_no_grade", id=one.label)
        self._cutoff_g_per_t = cutoff * float(unit.size / GRAM_PER_TONNE.size)
        self._judged = against_cutoff(self._layers, self._cutoff_g_per_t)

    @property
    def _factor(self) -> float:
        """From g/t to the unit shown."""
        return float(GRAM_PER_TONNE.size / self.unit.size)

    def sheet(self, room: Room) -> Sheet:
        """The figures in the block, what they mean in the margin."""
        block = self._difference(room.block_lines) if self._apart else self._against()
        margin = self._told_apart() if self._apart else self._told_cutoff()
        return Sheet(
            left=self.run.title,
            title=say("title_compare"),
            right=self.run.desk.who_and_when(),
            block=tuple(block),
            margin=tuple(margin),
            promise=say("promise_results_back"),
            keys=_KEYS,
            about=(say("about_compare"),),
        )

    # --- two samples ----------------------------------------------------------------------------

    def _difference(self, lines: int) -> list[Line]:
        found, other = self._apart, self._other
        if found is None or other is None:
            return []
        d, factor, unit = found.difference, self._factor, self.unit.symbol
        names = {"a": self._one.label, "b": other.label}
        apart_text = write.plus_minus(d.value * factor, d.k * d.u * factor, unit)
        ends = places(d, factor)
        head = [
            bold(say("compare_two", **names)),
            (),
            *self._grade(self._one),
            *self._grade(other),
            *led_below(say("compare_less", **names), with_sign(apart_text)),
            *led_below(say("compare_ends"), write.with_unit(f"{ends['lo']} to {ends['hi']}", unit)),
            (),
            led(say("compare_en"), write.significant(d.en or 0, 2)),
            led(say("compare_chance"), chance(d.p)),
            (),
        ]
        U = write.significant(d.k * d.u * factor, 2)  # noqa: N806  U is the field of the sentence
        parts = of_budget(found.budget)
        rows = list(zip(parts, hundreds(parts), strict=True))
        room = lines - len(head) - 3
        shares = [led(part.label, f"{n:>3}") for part, n in rows[:room]]
        if len(rows) > room:
            rest = sum(n for _, n in rows[room - 1 :])
            shares[room - 1 :] = [led(say("part_rest", n=len(rows) - room + 1), f"{rest:>3}")]
        alone = write.significant(found.alone * factor, 2)
        last = [(), led(say("compare_alone"), f"± {alone}")]
        return [*head, bold(say("opened_comes_from", U=U)), *shares, *last]

    def _grade(self, row: Row) -> list[Line]:
        """A grade as value ± U: a comparison takes the signed value also below its limit."""
        figure = row.grade
        if figure is None or figure.value is None or figure.u is None:
            return [line(f"  {row.label}")]
        told = in_unit(figure, self.unit, row.detection).text
        if figure.expanded is None:
            value = write.short(figure.value * self._factor, 3)
            told = say("compare_signed", limit=told, value=value)
        return led_below(row.label, told)

    def _told_apart(self) -> list[str]:
        """Shown or not, between which ends, and what would decide it."""
        found = self._apart
        if found is None:
            return []
        d = found.difference
        verdict = difference_verdict(d, self.unit.symbol, factor=self._factor)
        said = [one_line(verdict.reason)]
        if not d.shown and d.times_too_wide <= MANY and found.budget:
            said.append(say("compare_decide", what=found.budget[0].source))
        one, other = self._one, self._other
        if other is not None and one.sort != other.sort:
            words = {"sort_a": sorts.words(one.sort), "sort_b": sorts.words(other.sort)}
            said.append(one_line(say("compare_sorts", a=one.label, b=other.label, **words)))
        cancels = d.k * d.u <= found.alone
        said.append(say("compare_shared" if cancels else "compare_shared_adds"))
        return [*said, say("not_sampling"), coverage_line((d.k,))]

    # --- a cut-off ------------------------------------------------------------------------------

    def _against(self) -> list[Line]:
        judged, layers = self._judged, self._layers
        if judged is None or layers is None:
            return []
        factor, unit = self._factor, self.unit.symbol
        cutoff = write.with_unit(write.short(self._cutoff_g_per_t * factor), unit)
        reach = layers.widest
        if reach.expanded is not None:
            value = layers.result.value * factor
            widest = write.plus_minus(value, reach.expanded * factor, unit)
        else:
            low, high = (write.significant(e * factor, 2) for e in reach.interval[:2])
            widest = write.with_unit(say("reach_ends", low=low, high=high), unit)
        return [
            bold(say("compare_cutoff", a=self._one.label)),
            (),
            *self._grade(self._one),
            *led_below(say(f"compare_with_{judged.layer}"), widest),
            *led_below(say("compare_limit"), cutoff),
            (),
            led(say("compare_above"), chances(judged.low, judged.high)),
            led(say("compare_said_above"), "95"),
            led(say("compare_said_below"), "5"),
        ]

    def _told_cutoff(self) -> list[str]:
        judged, layers = self._judged, self._layers
        if judged is None or layers is None:
            return []
        reach = layers.widest
        expanded = reach.expanded if reach.expanded is not None else layers.assay.expanded
        value, doubt = write.value_and_expanded(
            layers.result.value * self._factor, (expanded or layers.assay.u) * self._factor
        )
        chance_above = chances(judged.low, judged.high)
        fields = {"y": value, "U": doubt, "unit": self.unit.symbol, "P": chance_above}
        cutoff = write.short(self._cutoff_g_per_t * self._factor)
        said = [one_line(say(judged.code, **fields, c=cutoff))]
        if judged.few_grains:
            said = [say(f"few_{judged.code}", c=cutoff, unit=self.unit.symbol, P=chance_above)]
            said.append(say("grains_few"))
        if judged.code == "cutoff_not_shown":
            times = times_too_wide(layers, self._cutoff_g_per_t)
            if times <= MANY:
                said.append(say("compare_times", x=write.significant(times, 2)))
            said.append(one_line(layers.advice.text))
        if judged.layer != "sampling":
            said.append(say("not_sampling"))
        return said

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Back to the results, or another unit."""
        if action == "units":
            self.unit = unit_after(self.unit)
            return Stay()
        return Back() if action in ("enter", "back", "compare") else Bell()

    def typed(self, key: str, character: str) -> Outcome:
        """Nothing is typed here."""
        return Bell()

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock."""
        return self._minute.passed(now)
