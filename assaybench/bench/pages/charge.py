"""The charge: silver added, lead, reagent lots and wrapping of a place, and the same for the next.

What was given last is offered, so a tray of like charges is one figure and then Enter for each.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from assaybench.bench.amounts import with_unit
from assaybench.bench.asking import Asking
from assaybench.bench.page import Outcome
from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import Board
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, say
from assaybench.record import check
from assaybench.record.kinds import BY_NAME, MATERIALS, SILVER_WORDS
from assaybench.record.replay import State

Then = Callable[[str], Outcome]
_KEYS = BY_NAME["sample"].by_name
_WORDS = {"n": "none", "u": "unknown"}
_OFFER = 30
"""Signs of an offer that line 23 has room for."""
NOTHING = "-"
"""Typed where something was offered and there is none."""


class Charge(NamedTuple):
    """What goes with a sample into its crucible or foil.

    Attributes:
        silver: a mass, none or unknown.
        lead: mass of lead or foil, empty when not noted.
        lots: reagent lots.
        wrapping: what it is wrapped in, empty when not noted.
    """

    silver: str
    lead: str = ""
    lots: tuple[str, ...] = ()
    wrapping: str = ""

    @property
    def text(self) -> str:
        """In a few words: `silver 8.000 mg, lead 30 g, lots K-31`."""
        parts = [say("charge_silver", x=self.silver)]
        if self.lead:
            parts.append(say("charge_lead", x=self.lead))
        if self.lots:
            parts.append(say("charge_lots", x=" ".join(self.lots)))
        if self.wrapping:
            parts.append(self.wrapping)
        return ", ".join(parts)


def charge_of(state: State, sample: str) -> Charge | None:
    """The charge of a sample as noted; None before it was."""
    entry = state.samples[sample]
    if not entry.text("silver"):
        return None
    wrapping = next(
        (
            note.text("text").removeprefix(_wrapped(""))
            for note in reversed(state.of("note"))
            if note.text("sample") == sample and note.text("text").startswith(_wrapped(""))
        ),
        "",
    )
    return Charge(entry.text("silver"), entry.text("lead"), tuple(entry.texts("lots")), wrapping)


def _wrapped(wrapping: str) -> str:
    return say("charge_wrapped", x=wrapping)


def last_charge(state: State) -> Charge | None:
    """The charge that was noted last; it is offered for the next place."""
    made = {entry.n: entry for entry in state.entries}
    for entry in reversed(state.entries):
        if entry.kind == "amendment" and entry.text("silver"):
            target = made.get(entry.whole("entry") or 0)
            if target is not None and target.kind == "sample":
                return charge_of(state, target.text("id"))
    known = [c for c in (charge_of(state, s) for s in state.samples) if c is not None]
    return known[-1] if known else None


def due(board: Board, samples: Sequence[str]) -> list[str]:
    """Those of these samples whose charge is not noted yet."""
    return [s for s in samples if board.cell("charge", s).status == "to do"]


def store(run: RunLog, samples: Sequence[str], charge: Charge) -> None:
    """Note one charge for some samples, with one write.

    Raises:
        BadInput, NotDone: as `RunLog.append_all`.
    """
    rows: list[Row] = []
    for sample in samples:
        entry = run.state.samples[sample]
        given: dict[str, object] = {"silver": charge.silver}
        if charge.lead:
            given["lead"] = charge.lead
        if charge.lots:
            given["lots"] = list(charge.lots)
        new = {k: v for k, v in given.items() if entry.values.get(k) != v}
        if new:
            new.setdefault("silver", charge.silver)
            rows.append(("amendment", {"entry": entry.n, **new, "reason": say("charge_reason")}))
        if charge.wrapping:
            rows.append(("note", {"text": _wrapped(charge.wrapping), "sample": sample}))
    if rows:
        run.append_all(rows)


def ask(run: RunLog, sample: str, place: str, then: Then) -> Asking:
    """Asks for the charge of a place: silver, lead, lots, wrapping; each offers what was last.

    Args:
        run: the log.
        sample: who lives there.
        place: how the place is called.
        then: what the page does afterwards, given the sentence that says what was stored.
    """
    return _New(run, sample, place, then).ask_silver()


class _New:
    """One charge being noted; nothing is stored before the last answer."""

    def __init__(self, run: RunLog, sample: str, place: str, then: Then) -> None:
        self.run, self.sample, self.place, self.then = run, sample, place, then
        self.offer = charge_of(run.state, sample) or last_charge(run.state) or Charge("")
        self.charge = Charge("")

    def ask_silver(self) -> Asking:
        offered = _offered(self.offer.silver)
        return Asking(
            say("ask_silver", place=self.place, offer=offered),
            self._silver,
            hint=(say("ask_silver_hint"),),
        )

    def _silver(self, text: str) -> Asking:
        text = text or self.offer.silver
        if not text:
            raise BadInput.of("ask_silver_hint")
        word = _WORDS.get(text.lower(), text)
        found = word if word in SILVER_WORDS else with_unit(word, "mg")
        self.charge = self.charge._replace(silver=str(check.value(_KEYS["silver"], found)))
        return Asking(
            say("ask_lead", place=self.place, offer=_offered(self.offer.lead)),
            self._lead,
            hint=(say("ask_lead_hint"),),
        )

    def _lead(self, text: str) -> Asking:
        text = "" if text == NOTHING else text or self.offer.lead
        if text:
            text = str(check.value(_KEYS["lead"], with_unit(text, "g")))
        self.charge = self.charge._replace(lead=text)
        offered = _offered(" ".join(self.offer.lots))
        return Asking(say("ask_lots", place=self.place, offer=offered), self._lots,
                      hint=(say("ask_lots_hint"),))  # fmt: skip

    def _lots(self, text: str) -> Asking:
        lots = self.offer.lots if not text else tuple(text.replace(",", " ").split())
        if text == NOTHING:
            lots = ()
        for lot in lots:
            check.value(BY_NAME["reagent_lot"].by_name["lot"], lot)
        self.charge = self.charge._replace(lots=lots)
        return self._ask_material()

    def _ask_material(self) -> Asking:
        """Every lot that is not in the log yet needs to be known for what it is."""
        known = {e.text("lot") for e in self.run.state.of("reagent_lot")}
        unknown = [lot for lot in self.charge.lots if lot not in known]
        if not unknown:
            offered = _offered(self.offer.wrapping)
            return Asking(say("ask_wrapping", place=self.place, offer=offered), self._wrapping,
                          hint=(say("ask_wrapping_hint"),))  # fmt: skip

        def answer(text: str) -> Asking:
            found = [m for m in MATERIALS if text and m.startswith(text.lower())]
            material = text.lower() if text.lower() in MATERIALS else (found or [text])[0]
            self.run.append("reagent_lot", {"lot": unknown[0], "material": material})
            return self._ask_material()

        hint = (say("ask_material_hint", list=", ".join(MATERIALS)),)
        return Asking(say("ask_material", lot=unknown[0]), answer, hint=hint)

    def _wrapping(self, text: str) -> Outcome:
        wrapping = "" if text == NOTHING else text or self.offer.wrapping
        self.charge = self.charge._replace(wrapping=check.text(wrapping) if wrapping else "")
        store(self.run, [self.sample], self.charge)
        return self.then(say("stored_charge", place=self.place, charge=self.charge.text))


def _offered(text: str) -> str:
    short = text if len(text) <= _OFFER else f"{text[: _OFFER - 1]}…"
    return f" {say('ask_offered', x=short)}" if text else ""
