"""Weigh-in: a sample is written down for a place by its id, its role and what that role needs."""

from collections.abc import Callable
from functools import partial

from assaybench.bench.asking import Asking
from assaybench.bench.in_parts import MASSES, masses_of, wholes
from assaybench.bench.page import Outcome
from assaybench.bench.plan import Place, place_of
from assaybench.bench.run_log import RunLog
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check
from assaybench.record.kinds import BY_NAME

Then = Callable[[str], Outcome]
_KEYS = BY_NAME["sample"].by_name
ROLE_LETTERS = {
    "": "sample",
    "s": "sample",
    "b": "blank",
    "p": "proof",
    "d": "duplicate",
    "r": "sample",
    "k": "reference",
    "m": "sample",
}
"""The letter typed for a role, in words of the tray: `r` a repeat, `k` known, `m` a part."""
PART_LETTERS = {"p": "plus", "m": "minus", "b": "piece", "s": "slag", "c": "cupel"}
"""The letter typed for a part: of a screened pulp, of a bar, of what the fire left."""


def ask(run: RunLog, place: Place, then: Then) -> Asking:
    """Asks who is to live at a place and stores it, place and all, with one write.

    Args:
        run: the log.
        place: of the muffle.
        then: what the page does afterwards, given the id of the new sample.
    """
    return _New(run, place, then).ask_id()


class _New:
    """One sample being written down; nothing is stored before the last answer."""

    def __init__(self, run: RunLog, place: Place, then: Then) -> None:
        self.run, self.place, self.then = run, place, then
        self.values: dict[str, object] = {}
        self.whole: list[Row] = []

    def ask_id(self) -> Asking:
        hint = (say("ask_sample_hint"),)
        return Asking(say("ask_sample", place=self.place.name), self._id, hint=hint)

    def _id(self, text: str) -> Asking:
        identity = str(check.value(_KEYS["id"], text))
        if identity in self.run.state.samples:
            place = self.run.board().muffle.named(identity)
            raise BadInput.of("sample_there", x=identity, place=place)
        self.values["id"] = identity
        return Asking(say("ask_role", id=identity), self._role, hint=(say("ask_role_hint"),))

    def _role(self, text: str) -> Asking | Outcome:
        letter = text.lower()[:1]
        if letter not in ROLE_LETTERS:
            raise BadInput.of("role_unknown", x=quoted(text))
        role = ROLE_LETTERS[letter]
        self.values["role"] = role
        if letter in ("d", "r"):
            code = "ask_of_duplicate" if letter == "d" else "ask_of_repeat"
            return Asking(say(code, id=self.values["id"]), self._of, hint=(say("ask_of_hint"),))
        if letter == "m":
            return Asking(say("ask_part", id=self.values["id"]), self._part,
                          hint=(say("ask_part_hint"),))  # fmt: skip
        if role == "proof":
            return Asking(say("ask_gold_known"), self._gold, hint=(say("ask_gold_known_hint"),))
        if role == "reference":
            return Asking(say("ask_value"), self._value, hint=(say("ask_value_hint"),))
        return self._store()

    def _of(self, text: str) -> Asking | Outcome:
        found = self.run.board().find("beads", text)
        if found is None:
            raise BadInput.of("sample_not_found", x=quoted(text))
        entry = self.run.state.samples[found]
        self.values["of"] = entry.text("of") or found
        if entry.text("part"):
            self.values["part"] = entry.text("part")
        if self.values["role"] != "duplicate":
            return self._store()
        return Asking(say("ask_from"), self._from, hint=(say("ask_from_hint"),))

    def _part(self, text: str) -> Asking:
        part = PART_LETTERS.get(text.lower()[:1])
        if part is None:
            raise BadInput.of("part_unknown", x=quoted(text))
        self.values["part"] = part
        answer, code = (self._whole, "whole") if part in MASSES else (self._treated, "treated")
        return Asking(say("ask_of_part", id=self.values["id"], part=part), answer,
                      hint=(say(f"ask_of_{code}_hint"),))  # fmt: skip

    def _whole(self, text: str) -> Outcome:
        """The screened sample or bar: one that is there, or a new one that is written down too."""
        board, samples = self.run.board(), self.run.state.samples
        place = place_of(text)
        known = text if text in samples else board.muffle.at.get(place) if place else None
        if known is not None and samples[known].text("part") in MASSES:
            known = samples[known].text("of")
        whole = known or str(check.value(_KEYS["id"], text))
        self._fits(whole)
        self.whole = [] if known else [("sample", {"id": whole, "role": "sample"})]
        self.values["of"] = whole
        return self._store()

    def _fits(self, whole: str) -> None:
        """Refuse a whole that cannot have such a part."""
        state, masses = self.run.state, MASSES[str(self.values["part"])]
        entry, parts = state.samples.get(whole), wholes(state).get(whole)
        alone = entry is None or (entry.text("role"), entry.text("part")) == ("sample", "")
        if whole == self.values["id"] or not alone:
            raise BadInput.of("part_of_none", x=whole)
        if parts and masses_of(state, parts) != masses:
            raise BadInput.of("part_of_other", x=whole)

    def _treated(self, text: str) -> Outcome:
        found = self.run.board().find("beads", text)
        if found is None:
            raise BadInput.of("sample_not_found", x=quoted(text))
        self.values["of"] = found
        return self._store()

    def _from(self, text: str) -> Outcome:
        if not text:
            raise BadInput.of("ask_from_hint")
        words = {"p": "pulp", "r": "reject", "f": "field"}
        self.values["from"] = words.get(text.lower(), check.text(text))
        return self._store()

    def _gold(self, text: str) -> Asking:
        self.values["gold_known"] = _mass(text, "gold_known")
        return Asking(say("ask_silver_known"), self._silver_known,
                      hint=(say("ask_silver_known_hint"),))  # fmt: skip

    def _silver_known(self, text: str) -> Asking | Outcome:
        if text:
            self.values["silver_known"] = _mass(text, "silver_known")
        state = self.run.state
        bars = [w for w, of in wholes(state).items() if "product" in masses_of(state, of)]
        if not bars:
            return self._store()
        return Asking(say("ask_of_bar"), partial(self._bar, bars), hint=(", ".join(bars),))

    def _bar(self, bars: list[str], text: str) -> Outcome:
        if text and text not in bars:
            raise BadInput.of("bar_unknown", x=quoted(text))
        if text:
            self.values["of"] = text
        return self._store()

    def _value(self, text: str) -> Outcome:
        if text:
            self.values["value"] = check.value(_KEYS["value"], text)
        return self._store()

    def _store(self) -> Outcome:
        """The sample and its place, and the whole that it is part of, in one write."""
        identity = str(self.values["id"])
        position = {"sample": identity, "place": self.place.name, "plan": "muffle"}
        rows: list[Row] = [*self.whole, ("sample", self.values), ("position", position)]
        self.run.append_all(rows)
        return self.then(identity)


def _mass(text: str, key: str) -> str:
    """A mass that was typed; a bare figure is in mg, as everything on the fine balance is."""
    bare = text and not any(sign.isalpha() for sign in text)
    return str(check.value(_KEYS[key], f"{text} mg" if bare else text))
