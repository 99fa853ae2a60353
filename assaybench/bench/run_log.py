"""One furnace run, open at the bench: its entries, its state, and every entry stored with care.

An entry is checked in full against the log before it, then written and synced; only then does the
state follow. So the state is always a replay of what stands on the disk.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assaybench.bench.characters import capital
from assaybench.bench.desk import Desk
from assaybench.bench.fitting import try_rows
from assaybench.bench.open_logs import FURNACE_RUN
from assaybench.bench.tray import Board
from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.folder import LogName
from assaybench.logbook.logfile import LogFile, Row
from assaybench.logbook.void_numbers import VoidLook
from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.metrology.figure import Verdict
from assaybench.metrology.uncertain import Doubt, Sources
from assaybench.metrology.weighing import Balance, Reading, Weighing, weigh
from assaybench.record import slips
from assaybench.record.entries import Effective, Entry
from assaybench.record.gaps import Break, breaks_of
from assaybench.record.live import Live
from assaybench.record.method_items import AIM
from assaybench.record.reissue import Part, as_stored, joined
from assaybench.record.replay import RawWeighing, ReadingRecord, State, weighings
from assaybench.record.results import Results
from assaybench.record.run import DEFAULT_AIM
from assaybench.record.slip_words import Question
from assaybench.record.strict import CORRECTIONS
from assaybench.units import parse, table
from assaybench.units.table import GRAM, MILLIGRAM, Unit

_RENAMES = frozenset({*CORRECTIONS, "sample", "balance"})
"""Kinds after which names and descriptions may be others."""


class Seen(NamedTuple):
    """What one weighing shows on its balance.

    Attributes:
        raw: its readings.
        weighing: net mass with its doubt.
        balance: the balance it was made on.
        doubt: of the net mass, mg.
        verdict: in words.
        limits: what such a weighing can tell.
    """

    raw: RawWeighing
    weighing: Weighing
    balance: Balance
    doubt: Doubt
    verdict: Verdict
    limits: sight.Limits


class RunLog:
    """A furnace run open for writing.

    Attributes:
        desk: where it is worked on; who writes is asked of it at every entry.
        file: the log file.
        live: its state and figures.
        name: bench and number; None for practice.
        rang: whether the bell rang for the tray that is in the fire.
    """

    def __init__(
        self,
        desk: Desk,
        file: LogFile,
        parts: Sequence[Part],
        name: LogName | None,
    ) -> None:
        """Take up a log.

        Args:
            desk: where it is worked on.
            file: the log file.
            parts: the logs that it replaces, the oldest first, and itself as the last.
            name: bench and number; None for practice.
        """
        self.desk, self.file, self.name = desk, file, name
        self.rang = False
        self._parts = tuple(parts)
        self.live = Live(joined(parts))
        self._raw: dict[tuple[str, str], RawWeighing] | None = None
        self._near: dict[tuple[str, str], list[ReadingRecord]] | None = None
        self._sessions: dict[str, int] = {}
        self._slips: slips.Tray | None = None
        self._described: dict[str, Effective | None] = {}
        self._board: Board | None = None
        self._seen: dict[tuple[str, str], Seen] = {}
        self._chosen: dict[str, str] = {}
        self._void = None if name is None else void_look(desk, name)

    # --- what it is -----------------------------------------------------------------------------

    @property
    def entries(self) -> Sequence[Entry]:
        """All entries, as stored."""
        return self.live.entries

    @property
    def state(self) -> State:
        """What the log says now; the next entry changes it."""
        return self.live.state

    @property
    def practice(self) -> bool:
        """Whether it is practice, which is never sealed."""
        return bool(self.state.opened and self.state.opened.values.get("practice"))

    @property
    def kind(self) -> str:
        """What the log is of: furnace run or circuit test."""
        return self.state.opened.text("log") if self.state.opened else FURNACE_RUN

    @property
    def title(self) -> str:
        """The left end of the running head: `Furnace run 0147`."""
        if self.name is None:
            return say("bench_practice_title")
        return f"{capital(self.kind)} {self.name.number:04}"

    @property
    def closed(self) -> str:
        """Why it takes no entries here, as a sentence; empty when it does.

        Another program may make its number void at any moment: its register is looked at.
        """
        if self.entries and self.entries[-1].kind == "sealed":
            return say("bench_sealed")
        why = self.file.read_only or ""
        if self._void is not None and self.name is not None and (void := self._void.why()):
            why = say("bench_void", n=self.name.number, why=void)
        return capital(why)

    def must_be_open(self) -> None:
        """See to it that an entry can be stored, before somebody types one.

        Raises:
            BadInput: as long as nobody said who weighs.
            NotDone: when the log takes no entries.
        """
        if self.closed:
            raise NotDone([self.closed])
        self.desk.keeper()

    @property
    def aim(self) -> float:
        """Target relative expanded uncertainty, a share of one."""
        return aim_of(self.state.methods.get(AIM, ""))

    def resumed(self) -> Break | None:
        """The gap before this session, when it went on with the log after a long one."""
        last = next((e for e in reversed(self.entries) if e.kind == "session"), None)
        return None if last is None else breaks_of(self.entries).get(last.n)

    # --- storing --------------------------------------------------------------------------------

    def append(self, kind: str, values: Mapping[str, object]) -> Entry:
        """Check one entry in full and store it; it is on the disk when this returns.

        Raises:
            BadInput: one line for each fault; nothing was written.
            NotDone: the disk refused, or the log takes no entries, also since its number was made
                void by another program; its lines tell the state.
        """
        return self.append_all([(kind, values)])[0]

    def append_all(self, rows: Sequence[Row]) -> list[Entry]:
        """Check several entries in full and store them with one write.

        Raises:
            BadInput, NotDone: as `append`.
        """
        by = self.desk.keeper().by
        if self.closed:
            raise NotWritable([self.closed])
        try_rows(self.entries, self.state, by, rows)
        named = [(kind, as_stored(kind, values, self._parts)) for kind, values in rows]
        made = self.file.append_all(named, by=by)
        first = len(self.entries) + 1
        # in one count with the logs that this one replaces, as everything else here
        stored = [
            entry._replace(n=n, values=values)
            for n, (entry, (_, values)) in enumerate(zip(made, rows, strict=True), first)
        ]
        for entry in stored:
            self.live.add(entry)
            self._follow(entry)
        return stored

    def _follow(self, entry: Entry) -> None:
        """What was worked out from the entries before is let go, as far as this one touches it."""
        self._board = self._raw = self._near = None
        self._sessions.clear()
        if entry.kind in _RENAMES:
            self._slips = None
            self._described.clear()
            self._chosen.clear()
        elif entry.kind == "reading" and self._slips is not None:
            self._slips.add(self.state.readings[-1])

    def close(self) -> None:
        """Close the file and give its lock back; nothing happens when it is closed."""
        self.file.close()

    # --- what it says ---------------------------------------------------------------------------

    def results(self) -> Results:
        """Figures of all samples, as the log stands.

        Raises:
            BadInput: when the log's own choices contradict each other.
        """
        return self.live.results()

    def look_at_all(self) -> None:
        """Find the readings of every weighing at once: for a page that asks for all of them."""
        if self._raw is None:
            self._raw = weighings(self.state)

    def seen(self, sample: str, what: str, candidate: str = "", balance: str = "") -> Seen | None:
        """What the weighing of a sample shows; with a candidate, as if that were stored too.

        Args:
            sample: whose.
            what: what is weighed.
            candidate: a reading that is typed and not stored, without unit.
            balance: the balance of the candidate.

        Raises:
            BadInput: for a candidate that is no figure.
        """
        new = [self._record(sample, what, candidate, balance)] if candidate else []
        raw = self._one(sample, what, new)
        if raw is None:
            return None
        known = self._seen.get((sample, what))
        if known is not None and known.raw == raw:
            return known
        found = self._see(raw)
        if not candidate:
            self._seen[sample, what] = found
        return found

    def _one(self, sample: str, what: str, new: Sequence[ReadingRecord] = ()) -> RawWeighing | None:
        """One weighing, perhaps with a reading more: only its like and the zeros matter."""
        if self._raw is not None and not new:
            return self._raw.get((sample, what))
        near = [*self._like(sample, what), *self._like("", "zero"), *new]
        near.sort(key=lambda record: record.entry.n)
        return weighings(State(readings=near)).get((sample, what))

    def _like(self, sample: str, what: str) -> list[ReadingRecord]:
        """The readings of one thing, or the zeros, in order."""
        if self._near is None:
            self._near = {}
            for record in self.state.readings:
                self._near.setdefault((record.sample, record.what), []).append(record)
        return self._near.get((sample, what), [])

    def _see(self, raw: RawWeighing) -> Seen:
        sources = Sources()
        weighing = weigh(sources, raw.balance, raw.loads, raw.zeros)
        doubt = sources.doubt(weighing.net)
        unit = self.unit_of(raw.balance.name)
        verdict, limits = sight.verdict(weighing, raw.balance, self.aim, doubt, unit=unit)
        return Seen(raw, weighing, raw.balance, doubt, verdict, limits)

    def _record(self, sample: str, what: str, candidate: str, balance: str) -> ReadingRecord:
        unit = self.unit_of(balance)
        shown = f"{candidate} {unit.symbol}"
        typed = parse.plain_figure(shown, table.MASS)
        place = typed.last_place(MILLIGRAM)
        reading = Reading("candidate", typed.exact(MILLIGRAM), shown, place)
        entry = Effective(Entry(len(self.entries) + 1, self.desk.clock(), "", "reading", {}), {})
        session = self.session_of(balance)
        return ReadingRecord(reading, what, sample, self.state.balances[balance], session, entry)

    def board(self) -> Board:
        """The tray at this state of the log, as large as the settings say now."""
        sizes = self.desk.settings.tray, self.desk.settings.cups
        if self._board is None or self._board.sizes != sizes:
            self._board = Board(self.state, *sizes)
        return self._board

    def charge_g(self, sample: str) -> float | None:
        """Mass of sample behind a bead, g, as read; None when it was not weighed."""
        seen = self.seen(sample, "charge")
        if seen is None or seen.weighing.net_mg <= 0:
            return None
        return seen.weighing.net_mg * float(MILLIGRAM.size / GRAM.size)

    def cup_row(self, sample: str) -> list[Row]:
        """The entry that notes the parting cup of a sample, when none does yet."""
        noted = {e.text("sample") for e in self.state.of("position") if e.text("plan") == "cups"}
        place = self.board().cups.of.get(sample)
        if sample in noted or place is None:
            return []
        return [("position", {"sample": sample, "place": place.name, "plan": "cups"})]

    def promise(self, code: str, **fields: object) -> str:
        """What Enter does now; in practice the line says so."""
        said = say(code, **fields)
        return say("bench_practice_line", line=said) if self.practice else said

    def questions(self, values: Mapping[str, object]) -> list[Question]:
        """What to ask about a reading before it is stored; nothing where nothing is suspicious.

        Args:
            values: the keys of its entry.
        """
        if self._slips is None:
            self._slips = slips.Tray(self.state)
        return self._slips.questions(slips.Candidate.of(values))

    # --- balances -------------------------------------------------------------------------------

    def balance_for(self, what: str) -> str:
        """The balance that weighs a thing: as chosen, used last, described, or the only one."""
        if what in self._chosen:
            return self._chosen[what]
        named = self.state.weighs.get(what, "")
        used = next((r for r in reversed(self.state.readings) if r.what == what), None)
        described = self.balance_entry(named)
        if used is not None and (described is None or used.entry.n > described.n):
            return used.balance.name
        only = list(self.state.balances)
        return named or (only[0] if len(only) == 1 else "")

    def switch_balance(self, what: str) -> str:
        """The next of the balances weighs a thing from now on; empty where there is no other.

        Its readings say on which they were made, so the log remembers the choice.
        """
        names = list(self.state.balances)
        if len(names) < 2:
            return ""
        now = self.balance_for(what)
        at = names.index(now) + 1 if now in names else 0
        self._chosen[what] = names[at % len(names)]
        return self._chosen[what]

    def unit_of(self, balance: str) -> Unit:
        """The unit of a balance's display: that of its step."""
        entry = self.balance_entry(balance)
        if entry is None:
            return MILLIGRAM
        return parse.figure(entry.text("step"), table.MASS).unit

    def balance_entry(self, balance: str) -> Effective | None:
        """The entry that describes a balance as it is now."""
        if balance not in self._described:
            found = (e for e in reversed(self.state.entries) if e.kind == "balance")
            self._described[balance] = next(
                (e for e in found if e.text("name") == balance and not e.withdrawn), None
            )
        return self._described[balance]

    def session_of(self, balance: str) -> int:
        """The balance session that a reading made now belongs to, numbered as replay does."""
        if balance not in self._sessions:
            self._sessions[balance] = sum(
                e.withdrawn is None and _begins_session(e, balance) for e in self.state.entries
            )
        return self._sessions[balance]

    def last_zero(self, balance: str) -> ReadingRecord | None:
        """The last zero of a balance in its present session."""
        session = self.session_of(balance)
        zeros = reversed(self._like("", "zero"))
        return next((r for r in zeros if (r.balance.name, r.session) == (balance, session)), None)


def void_look(desk: Desk, name: LogName) -> VoidLook:
    """Looks whether the number of a log is void."""
    return VoidLook(desk.files, desk.book.register(name.bench), name.number)


def _begins_session(entry: Effective, balance: str) -> bool:
    """Whether zeros before an entry serve no reading behind it, as replay has it."""
    if entry.kind in ("session", "replaces"):
        return True
    key = {"balance": "name", "balance_check": "balance"}.get(entry.kind)
    return key is not None and entry.text(key) == balance


def aim_of(text: str) -> float:
    """An aim as settings and `method` entries have it, a share of one; left out, the usual one."""
    return float(parse.share(text, "an aim", 0.001, 20)) if text else DEFAULT_AIM
