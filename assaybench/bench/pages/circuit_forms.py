"""The questions of the circuit editor: each checked as it is typed, stored with the last answer.

A bare figure has the unit that the question names; `+-` is taken for ±. What stood before stays in
the log, amended or withdrawn with the reason that is asked for.
"""

from collections.abc import Callable

from assaybench.bench import circuit_checks
from assaybench.bench.amounts import with_unit
from assaybench.bench.asking import Asking
from assaybench.bench.circuit_model import SHARES, STAGES, Model, Spot
from assaybench.bench.circuit_storing import take_out, with_reason
from assaybench.bench.cuts import cuts_of
from assaybench.bench.page import Outcome
from assaybench.bench.plan import place_of
from assaybench.bench.run_log import RunLog
from assaybench.circuit.size_names import sizes_of
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check
from assaybench.record.kinds import BY_NAME
from assaybench.record.method_items import SIEVES
from assaybench.record.portions import ALIKE
from assaybench.units import parse, table

Then = Callable[[str], Outcome]
_KEYS = BY_NAME["circuit"].by_name
_GRAINS = BY_NAME["grains"].by_name
NOTHING = "-"
"""Typed where something stood that is to go."""
_DIGITS = tuple("0123456789")
_SIGN = "-+−"
_FIGURE = (*_DIGITS, *"<.,")


def ask(run: RunLog, spot: Spot, then: Then) -> Asking:
    """Asks what stands for a spot: gold and masses of a stage, feed, tailings, mats.

    Args:
        run: the log.
        spot: a product, or one size of it.
        then: what the page does afterwards, given the sentence that says what was stored.
    """
    form = _Form(run, spot, then)
    if spot.product in STAGES:
        return form.ask_gold()
    match spot.product:
        case "feed":
            return form.ask_feed()
        case "mats" | "middlings":
            return form.ask_metal()
    return form.ask_tailings()


def ask_whole(run: RunLog, product: str, then: Then) -> Asking:
    """Asks for the mass of all sizes of a product together, to see whether they add up to it."""
    form = _Form(run, Spot(product), then)

    def answer(text: str) -> Asking | Outcome:
        form.take("mass", text, "g", required=True)
        return form.end()

    what = Spot(product).words
    return Asking(say("ask_whole", what=what), answer, hint=(say("hint_whole"),))


def ask_sieves(run: RunLog, then: Then) -> Asking:
    """Asks which sieves were used, coarse first; that gives the sizes."""
    made = Model(run.state).made_of_sieves

    def answer(text: str) -> Asking | Outcome:
        if not text:
            raise BadInput.of("hint_sieves")
        if text == NOTHING and made:
            return take_out(run, say("asked_sieves"), made, then)
        sizes = sizes_of(text)
        if run.state.methods.get(SIEVES) != parse.clean(text):
            run.append("method", {"item": SIEVES, "value": parse.clean(text)})
        return then(say("stored_sieves", sizes="; ".join(sizes)))

    now = (say("hint_stands", x=Model(run.state).sieves),) if made else ()
    return Asking(say("ask_sieves"), answer, hint=(say("hint_sieves"), *now))


def ask_share(run: RunLog, key: str, then: Then) -> Asking:
    """Asks for a share that stands for the whole test; it is kept with the feed."""
    form = _Form(run, Spot("feed"), then)

    def answer(text: str) -> Asking | Outcome:
        form.values = form.standing()
        form.take(key, text, "%", required=text != NOTHING or key not in form.values)
        return form.end()

    share = Model(run.state).share(key)
    now = (say("hint_stands", x=share),) if share else ()
    return Asking(say(f"ask_{key}"), answer, hint=(say(f"hint_{key}"), *now))


def ask_heap(run: RunLog, product: str, then: Then) -> Asking:
    """Asks which heap the feed is from, or by which name the final tailings are kept."""
    form = _Form(run, Spot(product), then)

    def answer(text: str) -> Asking | Outcome:
        if not text:
            raise BadInput.of("hint_heap_name")
        return form.name_heap(text)

    return Asking(say(f"ask_heap_{product}"), answer, hint=(say("hint_heap_name"),))


def ask_grains(run: RunLog, spot: Spot, then: Then) -> Asking:
    """Asks how many grains were counted by eye, and how wide the largest was."""
    entry = Model(run.state).grains(spot)
    values: dict[str, object] = {"product": spot.product}
    if spot.size:
        values["size"] = spot.size
    sample = Model(run.state).sample_of(spot)
    if sample:
        values["sample"] = sample

    def count(text: str) -> Asking:
        values["count"] = parse.whole(text, 0, 10**6)
        return Asking(say("ask_largest"), largest, hint=(say("hint_largest"),))

    def largest(text: str) -> Asking | Outcome:
        if text:
            width = with_unit(text, "mm")
            if parse.figure(width, table.LENGTH).value <= 0:
                raise BadInput.of(
                    "number_not_positive", x=quoted(text), what=say("ask_largest_what")
                )
            values["largest"] = check.value(_GRAINS["largest"], width)
        return with_reason(run, "grains", entry, values, lambda: then(_stored(spot)))

    return Asking(say("ask_grains", what=spot.words), count, hint=(say("hint_grains"),))


class _Form:
    """One entry being typed; nothing is stored before the last answer."""

    def __init__(self, run: RunLog, spot: Spot, then: Then) -> None:
        self.run, self.spot, self.then = run, spot, then
        self.entry = Model(run.state).entry(spot)
        self.values: dict[str, object] = {"product": spot.product}
        if spot.size:
            self.values["size"] = spot.size
        self._before: list[Row] = []

    # --- gold of a stage ------------------------------------------------------------------------

    def ask_gold(self) -> Asking:
        hint = (say("hint_gold"), *self._now())
        return Asking(say("ask_gold", what=self.spot.words), self._gold, hint=hint)

    def _gold(self, text: str) -> Asking | Outcome:
        if not text:
            raise BadInput.of("hint_gold")
        if text == NOTHING:
            return self._take_out("hint_gold")
        again = self._what(text)
        return again if again is not None else self._ask_mass()

    def _ask_mass(self) -> Asking:
        graded = "grade" in self.values
        code = "ask_mass_graded" if graded else "ask_mass"
        return Asking(say(code, what=self.spot.words), self._mass, hint=(say("hint_mass"),))

    def _mass(self, text: str) -> Asking | Outcome:
        self.take("mass", text, "g", required="grade" in self.values)
        if "mass" not in self.values or "grade" in self.values:
            return self.end()
        hint = (say("hint_portion"),)
        read = self._weighed_in()
        prompt = say("ask_portion_read", x=read) if read else say("ask_portion")
        return Asking(prompt, self._portion, hint=hint)

    def _portion(self, text: str) -> Asking | Outcome:
        self.take("portion", text or self._weighed_in(), "g")
        return self.end()

    def _weighed_in(self) -> str:
        """The charge of its sample, where less than all of it was weighed in: the portion."""
        sample = str(self.values.get("sample", ""))
        charge = self.run.charge_g(sample) if sample in self.run.state.samples else None
        whole = parse.figure(str(self.values["mass"]), table.MASS).exact(table.GRAM)
        if charge is None or charge >= (1 - ALIKE) * float(whole):
            return ""
        read = self.run.board().readings(sample, "charge")[-1]
        return f"{read.text('text')} {read.text('unit')}"

    # --- feed and tailings ----------------------------------------------------------------------

    def ask_feed(self) -> Asking:
        hint = (say("hint_feed"), *self._now())
        return Asking(say("ask_feed"), self._kilograms(self._ask_head), hint=hint)

    def _ask_head(self) -> Asking:
        return Asking(say("ask_head"), self._head, hint=(say("hint_head"),))

    def _head(self, text: str) -> Asking | Outcome:
        self.take("grade", text, "g/t")
        if self.entry is not None:
            kept = (*SHARES, "sample")
            self.values |= {k: v for k, v in self.entry.values.items() if k in kept}
        return self.end()

    def name_heap(self, name: str) -> Asking | Outcome:
        """The sample that stands for the heap; it is written down where it is not there yet."""
        self.values = self.standing()
        self.values["sample"] = check.value(_KEYS["sample"], name)
        if name not in self.run.state.samples:
            self._before = [("sample", {"id": name, "role": "sample"})]
        return self.end()

    def ask_tailings(self) -> Asking:
        model, take = Model(self.run.state), self._kilograms(self._ask_assay)
        sizes = model.sizes if model.named and not self.spot.size else []

        def mass(text: str) -> Asking:
            if sizes and text.lower() == say("word_sizes"):
                first, *others = (Spot(self.spot.product, size) for size in sizes)
                wanted = next((one for one in (first, *others) if not model.typed(one)), first)
                return _Form(self.run, wanted, self.then).ask_tailings()
            return take(text)

        by_size = (say("hint_tailings_sizes"),) if sizes else ()
        hint = (say("hint_tailings"), *by_size, *self._now())
        return Asking(say("ask_tailings", what=self.spot.words), mass, hint=hint)

    def _kilograms(self, further: Callable[[], Asking]) -> Callable[[str], Asking]:
        """Takes a mass, then its water; without water it is a dry mass."""

        def mass(text: str) -> Asking:
            if not text or text == NOTHING:
                return further()
            wet = check.value(_KEYS["wet_mass"], with_unit(parse.clean(text), "kg"))

            def water(share: str) -> Asking:
                self.values.pop("mass", None)
                self.take("water", share, "%")
                self.values["wet_mass" if "water" in self.values else "mass"] = wet
                return further()

            return Asking(say("ask_water"), water, hint=(say("hint_water"),))

        return mass

    def _ask_assay(self) -> Asking:
        hint = (say("hint_assay"), say("hint_cuts"))
        return Asking(say("ask_assay"), self._assay, hint=hint)

    def _assay(self, text: str) -> Asking | Outcome:
        self._forget_what()
        self._before = []
        cuts = cuts_of(text, self.spot.words)
        if cuts is not None:
            self.values["grade"] = check.value(_KEYS["grade"], cuts.grade)
            self._before = [("note", {"text": cuts.note})]
        elif text and text != NOTHING:
            again = self._what(text, "g/t", then=self.end)
            if again is not None:
                return again
        elif not set(self.values) - {"product", "size"}:
            if text == NOTHING:
                return self._take_out("hint_tailings")
            raise BadInput.of("hint_tailings")
        if self.entry is not None and self.entry.text("sample"):
            self.values.setdefault("sample", self.entry.text("sample"))  # the name of the heap
        needs_mass = "grade" in self.values or "sample" in self.values
        if needs_mass and not ("mass" in self.values or "wet_mass" in self.values):
            raise BadInput.of("circuit_no_mass")
        return self.end()

    def ask_metal(self) -> Asking:
        def answer(text: str) -> Asking | Outcome:
            if text == NOTHING:
                return self._take_out("hint_metal")
            self.take("metal", text, "mg", required=True)
            return self.end()

        hint = (say("hint_metal"), *self._now())
        return Asking(say("ask_gold", what=self.spot.words), answer, hint=hint)

    # --- what all of them share -----------------------------------------------------------------

    def _now(self) -> tuple[str, ...]:
        """What stands there, for the margin."""
        if self.entry is None:
            return ()
        apart = ("product", "size", *SHARES)
        kept = {k: v for k, v in self.entry.values.items() if k not in apart}
        text = ", ".join(f"{k.replace('_', ' ')} {v}" for k, v in kept.items())
        return (say("hint_stands", x=text),) if text else ()

    def standing(self) -> dict[str, object]:
        """All keys that stand there."""
        return dict(self.values) if self.entry is None else dict(self.entry.values)

    def take(self, key: str, text: str, unit: str, *, required: bool = False) -> None:
        """One answer for one key; Enter alone, or `-`, leaves it out.

        Raises:
            BadInput: for what the key does not take, or nothing where something is needed.
        """
        text = parse.clean(text)
        if not text or text == NOTHING:
            if required:
                raise BadInput.of("ask_needed", what=_KEYS[key].help)
            self.values.pop(key, None)
            return
        if unit == "%":
            text = text if text.endswith(("%", "‰")) else f"{text} %"
            circuit_checks.one_amiss(key, text)
        else:
            text = with_unit(text, unit)
        self.values[key] = check.value(_KEYS[key], text)
        self._checked(key)

    def _checked(self, key: str) -> None:
        """A figure that cannot be is given up again, and so is one that does not fit the others."""
        try:
            circuit_checks.one_amiss(key, str(self.values[key]), self.spot.product)
            circuit_checks.all_amiss(Model(self.run.state), self.spot, self.values)
        except BadInput:
            del self.values[key]
            raise

    def _what(
        self, text: str, unit: str = "mg", then: Callable[[], Asking | Outcome] | None = None
    ) -> Asking | None:
        """Gold as a mass, a grade, or the sample that stands for it; a new id is asked about."""
        self._forget_what()
        pooled = {entry.text("id") for entry in self.run.state.of("pool")}
        found = text if text in pooled else self.run.board().find("beads", text)
        if found is not None:
            self.values["sample"] = found
            self._checked("sample")
            return None
        if text[0] in _FIGURE or (text[0] in _SIGN and text[1:2] in _DIGITS):
            self._figure(with_unit(parse.clean(text), unit))
            return None
        identity = str(check.value(BY_NAME["sample"].by_name["id"], text))
        return self._ask_new(identity, then or self._ask_mass)

    def _forget_what(self) -> None:
        """An answer given before, and refused, counts no more."""
        for key in ("metal", "grade", "sample"):
            self.values.pop(key, None)

    def _figure(self, text: str) -> None:
        quantity = parse.figure(text, (*table.MASS, *table.FRACTION)).unit.quantity
        key = "metal" if quantity == "mass" else "grade"
        self.values[key] = check.value(_KEYS[key], text)
        if key == "metal" and parse.figure(text, table.MASS).below:
            del self.values[key]
            raise BadInput.of("uncertainty_below", x=quoted(text))
        self._checked(key)

    def _ask_new(self, identity: str, then: Callable[[], Asking | Outcome]) -> Asking:
        """A new sample is written down for a place of the tray, by typing it or by Enter."""
        muffle = self.run.board().muffle
        free = muffle.first_free()
        offer = "" if free is None else free.name

        def answer(text: str) -> Asking | Outcome:
            place = place_of(text or offer)
            if place is None:
                raise BadInput.of("place_unknown", x=quoted(text))
            if muffle.at.get(place) is not None:
                raise BadInput.of("place_taken", place=place.name, sample=muffle.at[place])
            position = {"sample": identity, "place": place.name, "plan": "muffle"}
            self._before = [("sample", {"id": identity, "role": "sample"}), ("position", position)]
            self.values["sample"] = identity
            return then()

        return Asking(say("ask_new_sample", id=identity, place=offer), answer,
                      hint=(say("hint_new_sample"),))  # fmt: skip

    def _take_out(self, code: str) -> Asking:
        """Asks why what stands there goes; where nothing does, says what is accepted."""
        if self.entry is None:
            raise BadInput.of(code)
        return take_out(self.run, self.spot.words, [self.entry.n], self.then)

    def end(self) -> Asking | Outcome:
        """Everything was answered: store it, when something stood there with a reason."""
        return with_reason(
            self.run,
            "circuit",
            self.entry,
            self.values,
            lambda: self.then(_stored(self.spot)),
            before=self._before,
        )


def _stored(spot: Spot) -> str:
    return say("stored_circuit", what=spot.words)
