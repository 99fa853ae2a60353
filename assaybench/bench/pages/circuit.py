"""The circuit editor, first page of a circuit test: products, sizes, and what is known of each.

Arrows move the mark, Enter asks for what stands under it. Each cell is a figure with its ±, or the
sample of the same log's tray that stands for it. From here the tray and what was caught are opened.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from assaybench.bench import circuit_lines
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cells, cut
from assaybench.bench.circuit_checks import overlapping
from assaybench.bench.circuit_model import OTHERS, SHARES, STAGES, Model, Spot, words_key
from assaybench.bench.circuit_waits import portions, unfelt, waits
from assaybench.bench.minutes import Minute
from assaybench.bench.page import ARROWS, Back, Bell, Door, Open, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.pages import circuit_forms, losing
from assaybench.bench.pages.amend import AmendPage
from assaybench.bench.result_remarks import one_line
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput, say
from assaybench.record.circuit_run import circuit_of

_KEYS = ("enter.type", "arrows", "tray", "results", "grains", "help", "back")
_EMPTY_KEYS = ("enter.type", "arrows", "guide", "tray", "note", "help", "back")
_READY_KEYS = ("enter.type", "arrows", "tray", "results", "seal", "help", "back")


class Field(NamedTuple):
    """What the mark can rest on.

    Attributes:
        what: `sieves`, `whole`, `heap`, a key of a share, or `spot`.
        spot: the product, or one size of it.
    """

    what: str
    spot: Spot


class CircuitPage(Asks, Still):
    """The editor of one circuit test.

    Attributes:
        run: the log.
    """

    name = "circuit"

    def __init__(self, run: RunLog, doors: Mapping[str, Door] | None = None) -> None:
        """Put the mark on what waits.

        Args:
            run: the log.
            doors: the pages it leads to, by the action: tray, results, guide, balances.
        """
        self.run = run
        self._doors = dict(doors or {})
        self._asking: Asking | None = None
        self._said: tuple[str, ...] = ()
        self._minute = Minute()
        self._at = (0, 0)
        broke = run.resumed()
        if broke is not None:
            self._said = (say("tray_resumed", gap=broke.sentence),)
        self._to_next()

    @property
    def model(self) -> Model:
        """The circuit as the log stands."""
        return Model(self.run.state)

    # --- the fields -----------------------------------------------------------------------------

    def _rows(self, model: Model) -> list[list[Field]]:
        """The fields, line by line; the two stages stand beside each other."""
        rows = [[Field("spot", Spot("feed"))], [Field("sieves", Spot("feed"))]]
        rows += [[Field("spot", Spot(p, size)) for p in STAGES] for size in model.sizes]
        if model.named:
            rows.append([Field("whole", Spot(p)) for p in STAGES])
        rows += [[Field("spot", spot)] for p in OTHERS for spot in model.spots_of(p)]
        rows += [[Field(key, Spot("feed"))] for key in SHARES]
        return [*rows, *([Field("heap", Spot(p))] for p in ("tailings", "feed"))]

    @property
    def field(self) -> Field:
        """What is under the mark."""
        rows = self._rows(self.model)
        row = rows[min(self._at[0], len(rows) - 1)]
        return row[min(self._at[1], len(row) - 1)]

    def _to_next(self) -> None:
        """The mark goes to what waits: the feed, the sieves, then the first spot without gold."""
        model, rows = self.model, self._rows(self.model)
        missing = model.missing()
        if model.empty:
            self._at = (0, 0)
            return
        if not model.named and not any(model.typed(spot) for spot in model.spots()):
            self._at = (1, 0)
            return
        wanted = missing[0] if missing else model.next_tailings()
        self._at = next(
            (
                (i, j)
                for i, row in enumerate(rows)
                for j, field in enumerate(row)
                if field == Field("spot", wanted)
            ),
            self._at,
        )

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The products with what is typed for them."""
        model = self.model
        return Sheet(
            left=self.run.title,
            title=say("title_circuit"),
            right=self.run.desk.who_and_when(),
            block=tuple(self._block(model, room.block_lines)),
            margin=self._margin(model),
            promise=self.run.promise("promise_circuit", what=self._named(self.field)),
            keys=self._keys(model),
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_circuit"), say("about_circuit_words")),
        )

    def _keys(self, model: Model) -> tuple[str, ...]:
        """The key line: the seal comes when nothing waits any more."""
        if self._asking is not None:
            return ANSWER_KEYS
        if model.empty:
            return _EMPTY_KEYS
        return _KEYS if waits(self.run) else _READY_KEYS

    def _named(self, field: Field) -> str:
        """What Enter asks for, in words."""
        if field.what == "spot":
            return field.spot.words
        if field.what == "whole":
            return say("field_whole_of", what=field.spot.words)
        return say(f"asked_{_key(field)}")

    def _block(self, model: Model, lines: int) -> list[Line]:
        """The lines; those around the mark when not all fit."""
        rows, block, marked = self._rows(model), [], 0
        for i, row in enumerate(rows):
            if i == 2:
                block += [(), *circuit_lines.heads()]
            if row[0] == Field("spot", Spot(OTHERS[0])):
                block.append(())
            if i == self._at[0]:
                marked = len(block)
            block.append(self._line(model, i, row))
        blank = [i for i, one in enumerate(block) if not one]
        while len(block) > lines and blank:
            marked -= blank[-1] < marked
            del block[blank.pop()]
        first = min(max(marked - lines // 2, 0), max(len(block) - lines, 0))
        return block[first : first + lines]

    def _line(self, model: Model, i: int, row: list[Field]) -> Line:
        here = i == self._at[0]
        mark = "> " if here else "  "
        if len(row) == 1:
            text = self._told(model, row[0]) or "."
            sized = row[0].what == "spot" and row[0].spot.size
            label = f" {sized}" if sized else say(f"field_{_key(row[0])}")
            whole = cut(f"{mark}{label:<{circuit_lines.LABEL + 1}}{text}", BLOCK_WIDTH)
            return line(Span(whole, "bold" if here else "plain"))
        name = row[0].spot.size or say("field_whole" if model.named else "field_all")
        spans = [
            Span(
                mark + circuit_lines.filled(name, circuit_lines.LABEL), "bold" if here else "plain"
            )
        ]
        for j, field in enumerate(row):
            told = cut(self._told(model, field) or ".", circuit_lines.CELL - 2)
            chosen = here and j == min(self._at[1], len(row) - 1)
            spans.append(
                Span(f"[{told}]" if chosen else f" {told} ", "waits" if chosen else "plain")
            )
            spans.append(Span(" " * (circuit_lines.CELL - cells(told) - 2)))
        return tuple(spans)

    def _told(self, model: Model, field: Field) -> str:
        """What stands for a field, as typed; of a sample its place and what it weighs."""
        if field.what == "sieves":
            return model.sieves
        entry = model.entry(field.spot)
        if field.what == "heap":
            return "" if entry is None else entry.text("sample")
        if field.what not in ("spot", "whole"):
            return model.share(field.what)
        if entry is None:
            return ""
        if field.what == "whole":
            return entry.text("mass")
        parts = []
        if field.spot.product not in STAGES:
            water = entry.text("water")
            parts.append(entry.text("mass") or entry.text("wet_mass"))
            parts += [say("circuit_water", x=water)] if water else []
        parts += [entry.text("metal"), entry.text("grade")]
        if field.spot.product in STAGES or field.spot.size:
            parts.append(self._sample(entry.text("sample")))
        return ", ".join(part for part in parts if part)

    def _sample(self, sample: str) -> str:
        if not sample:
            return ""
        board = self.run.board()
        cell = board.cell("parting", sample)
        seen = cell if cell.status != "to do" else board.cell("beads", sample)
        text = f" {seen.text}" if seen.status != "to do" else ""
        return f"{board.muffle.named(sample)}{text}"

    def _margin(self, model: Model) -> tuple[str, ...]:
        if self._asking is not None:
            return tuple(map(one_line, self._asking.margin))
        said = [*self._said]
        if model.empty:
            return (*said, say("circuit_begin"), say("circuit_guide"))
        waiting = waits(self.run)
        if model.guided:
            said.append(say("circuit_guide_on" if waiting else "circuit_guide_done"))
        said += [*overlapping(model.sizes), *waiting, *portions(self.run)[:1]]
        said += self._of_field(model)
        if not waiting:
            said += self._judged()
        return tuple(map(one_line, said))

    def _of_field(self, model: Model) -> list[str]:
        """What there is to say of what is under the mark."""
        field = self.field
        said: list[str] = []
        if field.what != "spot":
            return said
        said += circuit_lines.of_size(field.spot)
        entry = model.entry(field.spot)
        if entry is not None:
            sample = entry.text("sample")
            tied = sample and field.spot.product in STAGES
            said += [say("circuit_tied", sample=sample)] if tied else []
            said += circuit_lines.dry(entry)
            for key in ("mass", "portion"):
                if entry.text(key) and field.spot.product in STAGES:
                    said.append(say(f"circuit_{key}", x=entry.text(key)))
        return said + circuit_lines.of_grains(model.grains(field.spot))

    def _judged(self) -> list[str]:
        """Why nothing follows yet, or that something does and where it is seen."""
        try:
            found = circuit_of(self.run.results())
        except BadInput as fault:
            return unfelt(self.run) or [*fault.lines]
        if found is None:
            return []
        return [say("circuit_ready"), *(flag.text for flag in found.flags)]

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """What an action does."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        if action in ARROWS:
            return self._walk(*ARROWS[action])
        try:
            return self._do(action)
        except (BadInput, NotDone) as fault:
            self._said = fault.lines
            return Bell()

    def _do(self, action: str) -> Outcome:
        field = self.field
        match action:
            case "back":
                return Back()
            case "enter":
                self._asking = self._ask(field)
            case "grains" if field.what == "spot":
                self._asking = circuit_forms.ask_grains(self.run, field.spot, self._counted)
            case "note":
                self.run.must_be_open()
                self._asking = losing.note(self.run, "", self.run.title, self._stored)
            case "amend":
                return self._amend(field)
            case _ if action in self._doors:
                return Open(self._doors[action](self.run))
            case _:
                return Bell()
        return Stay()

    def _ask(self, field: Field) -> Asking:
        if field.what == "sieves":
            return circuit_forms.ask_sieves(self.run, self._stored)
        if field.what == "whole":
            return circuit_forms.ask_whole(self.run, field.spot.product, self._stored)
        if field.what == "heap":
            return circuit_forms.ask_heap(self.run, field.spot.product, self._stored)
        if field.what != "spot":
            return circuit_forms.ask_share(self.run, field.what, self._stored)
        return circuit_forms.ask(self.run, field.spot, self._stored)

    def _amend(self, field: Field) -> Outcome:
        entry = self.model.entry(field.spot)
        if entry is None:
            self._said = (say("circuit_nothing"),)
            return Bell()
        return Open(AmendPage(self.run, entry.n))

    def _stored(self, said: str) -> Outcome:
        """Something was stored: the mark goes to what waits next."""
        self._said = (said,)
        self._to_next()
        return Stay()

    def _counted(self, said: str) -> Outcome:
        """Grains were stored: the mark stays, the next cell is counted next."""
        self._said = (said,)
        return Stay()

    def _walk(self, down: int, right: int) -> Outcome:
        rows = self._rows(self.model)
        row = min(self._at[0], len(rows) - 1)
        column = min(self._at[1], len(rows[row]) - 1)
        if down:
            if not 0 <= row + down < len(rows):
                return Bell()
            self._at = (row + down, self._at[1])
            return Stay()
        if not 0 <= column + right < len(rows[row]):
            return Bell()
        self._at = (row, column + right)
        return Stay()

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock."""
        return self._minute.passed(now)


def _key(field: Field) -> str:
    """What a field is called by in the table of messages."""
    if field.what == "heap":
        return f"heap_{field.spot.product}"
    return words_key(field.spot.product) if field.what == "spot" else field.what
