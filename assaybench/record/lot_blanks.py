"""The blanks of a run, lot by lot: from the blanks that it holds, or from those of earlier runs.

A blank stands for all lots of its charge together. A charge of several lots of which no blank was
run together takes the blank of each lot: per gram of lead or foil, and of a lot of silver per gram
of silver added (method version 1, section 3).
"""

import math
from typing import TYPE_CHECKING, Literal, NamedTuple

from assaybench.assay.blanks import Blank, BlankCharge, Metal, Use, blank_of_lot
from assaybench.assay.replicates import BLANK_ROW, Spread, average
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.uncertain import nominal
from assaybench.metrology.weighing import Balance, Weighing
from assaybench.record.entries import Effective
from assaybench.units import parse, table

if TYPE_CHECKING:
    from assaybench.record.run import Run

MG_PER_G = 1000.0
Per = Literal["amount", "charge", "gram"]
"""What a blank goes by: the amounts noted of its charges, each charge alike, or earlier grams."""


class _Earlier(NamedTuple):
    """Blanks of a lot in earlier runs: mean and spread in mg per g of it, and their number."""

    mean_mg: float
    spread_mg: float
    n: int


class LotBlanks:
    """The blanks of one run, each worked out when a charge first asks for it.

    Args:
        run: the run that holds the charges.
        known: the blanks that were worked out before.
    """

    def __init__(
        self, run: "Run", known: dict[tuple[str, Metal], tuple[Blank, Per]] | None = None
    ) -> None:
        self._run = run
        self._known = known or {}

    def fork(self, run: "Run") -> "LotBlanks":
        """The same blanks for a fork of the run."""
        return LotBlanks(run, {**self._known})

    def uses_of(self, sample: Effective, *metals: Metal) -> dict[Metal, list[Use]]:
        """Reagents of a charge with their blanks of each metal.

        None where no lot was noted, and none of a blank, which is not corrected by itself.
        """
        names = self.names_of(sample) if sample.text("role") != "blank" else ()
        found: dict[Metal, list[Use]] = {metal: [] for metal in metals}
        for lots in names:
            is_silver, amount = self._is_silver(lots), self._amount_g(sample, lots)
            for metal in metals:
                # what a lot of silver brings of silver is the silver added
                if not is_silver or (metal == "gold" and sample.text("silver") != "none"):
                    found[metal].append(self._use(lots, metal, amount, sample.text("id")))
        if len(names) > 1:
            return {metal: _each_told(uses) for metal, uses in found.items()}
        return found

    def names_of(self, sample: Effective) -> tuple[str, ...]:
        """What the blanks of a charge stand for: all its lots together, or each by itself."""
        lots = tuple(dict.fromkeys(sample.texts("lots")))
        if len(lots) < 2:
            return lots
        together = together_of(sample)
        return (together,) if self._charges(together) else lots

    def _charges(self, lots: str) -> list[Effective]:
        """The blanks of this run with just these lots."""
        return [blank for blank in self._run.of_role("blank") if together_of(blank) == lots]

    def _use(self, lots: str, metal: Metal, amount: float, charge: str) -> Use:
        """The reagent of lots in a charge, of so many grams; 0: nobody noted it."""
        key = (lots, metal)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._blank(lots, metal)
        blank, per = found
        if per == "gram" and not amount:
            # per gram of earlier runs says nothing of an amount that is not known
            blank = _not_run(lots, metal, flag("blank_amount_unknown", lot=lots))
        # not noted of the charge, or of its blanks: it held as much as they
        reagent = 0.0 if per == "charge" else amount
        return Use(blank, reagent or blank.reagent or 1.0, charge)

    def _entry(self, lots: str) -> Effective | None:
        return next((e for e in self._run.state.of("reagent_lot") if e.text("lot") == lots), None)

    def _is_silver(self, lots: str) -> bool:
        entry = self._entry(lots)
        return entry is not None and entry.text("material") == "silver"

    def _amount_g(self, sample: Effective, lots: str) -> float:
        """How much of a lot a charge holds, g: silver added, else lead; 0 where it is not noted."""
        if not self._is_silver(lots):
            return self._run.lead_g(sample)
        added = self._run.added(sample)
        return nominal(added.mg) / MG_PER_G if added.kind == "mass" else 0.0

    def _blank(self, lots: str, metal: Metal) -> tuple[Blank, Per]:
        """The blank of lots, from the blanks of this run or from earlier ones, and per what."""
        samples = self._charges(lots)
        amounts = [amount for sample in samples if (amount := self._amount_g(sample, lots))]
        usual = average(amounts) if amounts else 1.0  # what a blank held of which nobody noted it
        charges = [
            charge
            for sample in samples
            for charge in self._blank_charge(sample, metal, self._amount_g(sample, lots) or usual)
        ]
        earlier = self._earlier(lots, metal)
        if not charges and earlier is not None:
            return self._from_earlier(lots, metal, earlier), "gram"
        known = None
        if amounts and charges and earlier is not None:
            amount = sum(charge.reagent for charge in charges) / len(charges)
            known = Spread(earlier.spread_mg * amount, earlier.n - 1)
        blank = blank_of_lot(self._run.sources, lots, metal, charges, known=known)
        return blank, "amount" if amounts or not charges else "charge"

    def _blank_charge(self, sample: Effective, metal: Metal, amount: float) -> list[BlankCharge]:
        """Metal of one blank; its silver only where none was added, for nothing hides it then."""
        run, name = self._run, sample.text("id")
        gold, bead = run.weighing(name, "gold"), run.weighing(name, "bead")
        if metal == "gold" and gold is not None:
            return [BlankCharge(name, run.name, amount, gold[0].net_mg, *_u0_of(gold))]
        if metal == "silver" and gold and bead and sample.text("silver") == "none":
            silver = bead[0].net_mg - gold[0].net_mg
            return [BlankCharge(name, run.name, amount, silver, *_u0_of(gold, bead))]
        return []

    def _earlier(self, lots: str, metal: Metal) -> _Earlier | None:
        """Mean and spread of a lot's blanks in earlier runs, mg per g of it, as its entry says."""
        entry = self._entry(lots)
        if entry is None:
            return None
        texts = [entry.text(f"{metal}_{key}") for key in ("per_gram", "spread")]
        if not all(texts):
            return None
        mean, spread = (
            float(parse.figure(text, table.FRACTION).exact(table.GRAM_PER_TONNE)) / MG_PER_G
            for text in texts
        )
        return _Earlier(mean, spread, max(entry.whole("blank_count") or 2, 2))

    def _from_earlier(self, lots: str, metal: Metal, earlier: _Earlier) -> Blank:
        """The blank of a lot that was not run here, as its earlier runs give it."""
        name, n, spread = f"blank of {metal}, lot {lots}", earlier.n, earlier.spread_mg
        u_mean = spread / math.sqrt(n)
        mean = self._run.sources.variable(
            f"mean {name}", earlier.mean_mg, u_mean, dof=n - 1, row=BLANK_ROW,
            spread=f"scatter of the {name}",
        )  # fmt: skip
        return Blank(
            lot=lots,
            metal=metal,
            unit="g",
            reagent=1.0,
            mean_mg=mean,
            n=n,
            spread_mg=spread,
            own_mg=spread,
            u_mean_mg=u_mean,
            dof=n - 1,
            own_dof=n - 1,
        )


def together_of(sample: Effective) -> str:
    """The reagent lots of a charge as one name."""
    lots = sample.texts("lots")
    return lots[0] if len(lots) == 1 else " + ".join(sorted(lots))


def _not_run(lots: str, metal: Metal, why: Flag) -> Blank:
    """No blank of lots, and the reason."""
    return Blank(lots, metal, "g", 0.0, 0.0, 0, flags=(why,))


def _each_told(uses: list[Use]) -> list[Use]:
    """The same uses, the lots without a blank named where another lot has one."""
    if not any(use.blank.n for use in uses):
        return uses
    return [
        use
        if use.blank.n or use.blank.flags[0].code != "blank_not_run"
        else use._replace(
            blank=_not_run(
                use.blank.lot, use.blank.metal, flag("lot_blank_not_run", lot=use.blank.lot)
            )
        )
        for use in uses
    ]


def _u0_of(*weighed: tuple[Weighing, Balance]) -> tuple[float, float, str]:
    """u0 of weighings together, mg, its ν, and the one spread behind it; empty behind several.

    Zeros that a bead and its gold have in common fall out of their difference.
    """
    variance = math.fsum(weighing.u0_mg**2 for weighing, _ in weighed)
    if len(weighed) == 2:
        (bead, balance), (gold, _) = weighed
        shared = _zeros_shared(bead, gold, averages=balance.averages)
        variance -= 2 * shared * balance.u_reading_mg**2
    spreads = {balance.spread_name for _, balance in weighed}
    dof = min(weighing.dof for weighing, _ in weighed)
    return math.sqrt(variance), dof, spreads.pop() if len(spreads) == 1 else ""


def _zeros_shared(one: Weighing, other: Weighing, *, averages: bool) -> float:
    """Covariance of the means of the zeros of two weighings, in squares of u of one reading.

    Where repeats do not average, the zeros of a weighing are one variable, as `weigh` has it.
    """
    first, second = ([zero.name for zero in weighing.zeros] for weighing in (one, other))
    if not averages:
        return 1.0 if first and first == second else 0.0
    both = {*first} & {*second}
    return len(both) / (len(first) * len(second)) if both else 0.0
