"""The amendment, made where the value is seen: the old value stays, struck, the new one beside it.

Also from here: leaving a determination out of the mean, a note, and what a second person found.
Nothing is ever deleted; each of them is one more entry.
"""

from collections.abc import Callable, Mapping
from functools import partial
from typing import NamedTuple

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cut
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.pages import losing
from assaybench.bench.run_log import RunLog
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.typing import Accepts
from assaybench.messages import BadInput, say
from assaybench.record import check
from assaybench.record.entries import AMENDMENT_KEYS, Effective
from assaybench.record.kinds import BY_NAME, Key

_KEYS = ("enter.choose", "arrows", "note", "review", "help", "back")
_FIXED = ("id", "sample", "balance", "what")
"""What an entry is of: amending it would move a figure to another sample; it is withdrawn."""


class _Row(NamedTuple):
    """A line that the pointer can rest on."""

    text: str
    promise: str
    ask: Callable[[], Asking]


class AmendPage(Saying, Asks, Still):
    """One entry with what became of it, and what can be done about it.

    Attributes:
        run: the log.
        n: number of the entry.
    """

    name = "amend"

    def __init__(self, run: RunLog, n: int) -> None:
        self.run, self.n = run, n
        self._at = 0
        self._asking: Asking | None = None

    @property
    def entry(self) -> Effective:
        """The entry as it counts now."""
        return next(e for e in self.run.state.entries if e.n == self.n)

    @property
    def sample(self) -> str:
        """The sample that it is of, empty for none."""
        return self.entry.text("sample") or (
            self.entry.text("id") if self.entry.kind == "sample" else ""
        )

    def sheet(self, room: Room) -> Sheet:
        """The entry, its history, and the choices."""
        entry, rows = self.entry, self._rows()
        made, kind = entry.entry, entry.kind.replace("_", " ")
        block: list[Line] = [
            line(say("amend_entry", n=made.n, kind=kind, by=made.by, t=f"{made.at:%H:%M}")),
            line(say("amend_of", sample=self.sample, what=entry.text("what") or kind))
            if self.sample
            else (),
            (),
            *self._history(),
            (),
        ]
        shown = max(room.block_lines - len(block), 1)
        first = min(max(self._at - shown // 2, 0), max(len(rows) - shown, 0))
        block += [self._line(i, row) for i, row in enumerate(rows)][first : first + shown]
        return Sheet(
            left=self.run.title,
            title=say("title_amend"),
            right=self.run.desk.who_and_when(),
            block=tuple(block),
            margin=self._margin(),
            promise=self.run.promise(rows[self._at].promise),
            keys=_KEYS if self._asking is None else ANSWER_KEYS,
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_amend"),),
        )

    def _line(self, i: int, row: _Row) -> Line:
        here = i == self._at
        return line(Span(f"{'>' if here else ' '} {row.text}", "bold" if here else "plain"))

    def _history(self) -> list[Line]:
        """Each value as it was made, and what it was amended to, by whom, when and why."""
        entry = self.entry
        values = dict(entry.entry.values)
        anew = {name for made in entry.amendments for name in made.values}
        # a value that was given anew stands struck, in its own line below
        names = [k.name for k in self._open_keys() if k.name in values and k.name not in anew]
        found = [line(f"  {name}  {_shown(values[name])}") for name in names]
        for amendment in entry.amendments:
            for name, new in amendment.values.items():
                if name in AMENDMENT_KEYS:
                    continue
                hand = f"{_shown(new)} {amendment.by} {amendment.at:%H:%M}"
                found.append(line(f"  {name}  ", *_struck(values, name), hand))
                found.append(line(f"    {_shown(amendment.values.get('reason', ''))}"))
                values[name] = new
        if entry.withdrawn is not None:
            gone = entry.withdrawn
            found.append(line("  " + say("amend_withdrawn", by=gone.by, t=f"{gone.at:%H:%M}")))
            found.append(line(f"    {_shown(gone.values.get('reason', ''))}"))
        return [*found, *self._of_sample()]

    def _left_out(self) -> Effective | None:
        """The entry that leaves the sample out of the mean."""
        left = self.run.state.of("left_out")
        return next((e for e in reversed(left) if e.text("sample") == self.sample), None)

    def _of_sample(self) -> list[Line]:
        """That its sample is left out, and who looked at it, each cut to a line."""
        found, left = [], self._left_out()
        if left is not None:
            hand = {"by": left.entry.by, "t": f"{left.entry.at:%H:%M}"}
            found.append(say("amend_left_out", why=left.text("reason"), **hand))
        found += [
            say("amend_reviewed", who=e.text("initials"), text=e.text("text"),
                t=f"{e.entry.at:%H:%M}")
            for e in self.run.state.of("review")
            if self.sample and e.text("sample") == self.sample
        ]  # fmt: skip
        return [line(cut(f"  {text}", BLOCK_WIDTH)) for text in found]

    def _margin(self) -> tuple[str, ...]:
        if self._asking is not None:
            return self._asking.margin
        return (*self._said, say("amend_margin"))

    # --- choices --------------------------------------------------------------------------------

    def _open_keys(self) -> list[Key]:
        kind = BY_NAME[self.entry.kind]
        return [k for k in kind.keys if k.name not in _FIXED and not k.many and k.type != "yes_no"]

    def _rows(self) -> list[_Row]:
        rows = [
            _Row(say("amend_key", x=key.name), "promise_amend", partial(self._ask, key))
            for key in self._open_keys()
            if key.name in self.entry.values or self.entry.kind == "sample"
        ]
        if self.entry.withdrawn is None:
            rows.append(_Row(say("amend_withdraw"), "promise_withdraw", self._ask_withdraw))
        if self.sample:
            if self._left_out() is None:
                rows.append(_Row(say("amend_leave_out"), "promise_leave_out", self._ask_leave_out))
            else:
                rows.append(_Row(say("amend_take_back"), "promise_take_back", self._ask_take_back))
            rows.append(_Row(say("amend_note"), "promise_note", self._ask_note))
        rows.append(_Row(say("amend_review"), "promise_review", self._ask_review))
        return rows

    def _ask(self, key: Key) -> Asking:
        """The new value, then the reason, then both are stored."""

        def answer(text: str) -> Asking:
            value: object = text
            if key.type == "whole":
                value = int(text) if text.isdigit() else text
            value = check.value(key, value)

            def reason(why: str) -> Outcome:
                return self._store("amendment", {"entry": self.n, key.name: value}, why)

            return Asking(say("ask_reason"), reason, hint=(say("ask_reason_hint"),))

        old = _shown(self.entry.values.get(key.name, ""))
        hint = say("amend_old", x=key.name, old=old) if old else key.help
        accepts: Accepts = "reading" if key.type == "reading" else "text"
        return Asking(say("ask_new_value", x=key.name), answer, accepts, hint=(hint,))

    def _ask_withdraw(self) -> Asking:
        def reason(why: str) -> Outcome:
            return self._store("withdrawn", {"entry": self.n}, why, "stored_withdrawn")

        return Asking(say("ask_reason"), reason, hint=(say("amend_withdraw_hint"),))

    def _ask_take_back(self) -> Asking:
        left = self._left_out()

        def reason(why: str) -> Outcome:
            values: dict[str, object] = {"entry": left.n} if left is not None else {}
            return self._store("withdrawn", values, why, "stored_taken_back")

        return Asking(say("ask_reason"), reason, hint=(say("amend_take_back_hint"),))

    def _ask_leave_out(self) -> Asking:
        def reason(why: str) -> Outcome:
            return self._store("left_out", {"sample": self.sample}, why, "stored_left_out")

        return Asking(say("ask_reason"), reason, hint=(say("amend_leave_out_hint"),))

    def _ask_note(self) -> Asking:
        return losing.note(self.run, self.sample, self.sample, self._done)

    def _ask_review(self) -> Asking:
        """A second person looks, without the first one going away."""

        def who(initials: str) -> Asking:
            second = str(check.value(BY_NAME["review"].by_name["initials"], initials))
            if second == self.run.desk.by:
                raise BadInput.of("review_same", by=second)

            def found(text: str) -> Outcome:
                values: dict[str, object] = {"initials": second, "text": check.text(text)}
                if self.sample:
                    values["sample"] = self.sample
                self.run.append("review", values)
                return self._done(say("stored_review", by=second))

            hint = (say("ask_review_hint"),)
            return Asking(say("ask_review", by=second), found, hint=hint)

        hint = (say("ask_review_who_hint", by=self.run.desk.by),)
        return Asking(say("ask_review_who"), who, "id", hint=hint)

    def _store(
        self, kind: str, values: dict[str, object], why: str, stored: str = "stored_amend"
    ) -> Outcome:
        if not why:
            raise BadInput.of("ask_reason_hint")
        self.run.append(kind, {**values, "reason": check.text(why)})
        return self._done(say(stored, sample=self.sample))

    def _done(self, said: str) -> Outcome:
        self._at = min(self._at, len(self._rows()) - 1)
        return self._tell(said)

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Arrows move, Enter asks for what the line under the pointer needs."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        return self._try(lambda: self._do(action))

    def _do(self, action: str) -> Outcome:
        rows = self._rows()
        if action in ("enter", "note", "review"):
            self.run.must_be_open()
        match action:
            case "up":
                self._at = (self._at - 1) % len(rows)
            case "down":
                self._at = (self._at + 1) % len(rows)
            case "left" | "right":
                return self._beside(-1 if action == "left" else 1)
            case "enter":
                self._asking = rows[self._at].ask()
            case "note" if self.sample:
                self._asking = self._ask_note()
            case "review":
                self._asking = self._ask_review()
            case "back":
                return Back()
            case _:
                return Bell()
        self._said = ()
        return Stay()

    def _beside(self, by: int) -> Outcome:
        """To the reading of the same thing before or after this one."""
        made = self.entry
        read = [e.n for e in self.run.board().readings(self.sample, made.text("what"))]
        if self.n not in read or not 0 <= read.index(self.n) + by < len(read):
            return Bell()
        self.n, self._at, self._said = read[read.index(self.n) + by], 0, ()
        return Stay()


def _struck(values: Mapping[str, object], name: str) -> tuple[str | Span, ...]:
    """The value before, struck; nothing when the key is new."""
    if name not in values:
        return ()
    return (say("struck_word") + " ", Span(_shown(values[name]), "struck"), "  ")


def _shown(value: object) -> str:
    return " ".join(map(str, value)) if isinstance(value, list) else str(value)
