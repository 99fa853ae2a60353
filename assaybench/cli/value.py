"""`assaybench value`: what metal is worth, what a loss costs, whether a gain pays for its cost."""

from typing import Any

import click

from assaybench.cli import inputs
from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.cli.pricing import price_options
from assaybench.messages import BadInput, say
from assaybench.report.answer import Answer

LOT = ("metal", "gross", "mass")
"""What a lot may be given by; one of them."""
ONLY_WITH: dict[str, tuple[str, ...]] = {
    "fineness": ("gross",),
    "moisture": ("mass", "season"),
    "deduction": ("mass",),
    "treatment": ("mass",),
    "second_stage": LOT,
    "charges": LOT,
    "recovery": ("season",),
    "gain": ("season",),
    "running_cost": ("season",),
    "cost": ("season",),
    "rate": ("season",),
    "years": ("season",),
}
"""Options that make sense with some ways only."""
NEEDS: dict[str, tuple[str, ...]] = {
    "gross": ("fineness",),
    "mass": ("grade",),
    "season": ("grade",),
    "running_cost": ("gain",),
    "cost": ("gain",),
    "rate": ("cost", "years"),
    "years": ("cost", "rate"),
}
"""Options that lead to others."""


@click.command(name="value")
@once("--metal", metavar="MASS", help="Fine metal: parted gold, with ± where it is known.")
@once("--gross", metavar="MASS", help="Or gross metal, such as a bar, with --fineness.")
@once("--fineness", metavar="SHARE", help="Its fineness: '912.7 ± 0.3 ‰'.")
@once("--mass", metavar="MASS", help="Or a concentrate of this mass, with --grade.")
@once("--moisture", metavar="SHARE", help="Water in --mass or --season, as a share of it.")
@once("--grade", metavar="GRADE", help="Dry grade of --mass, or of the feed of --season.")
@once("--deduction", metavar="GRADE", help="Taken off the grade before it is paid.")
@once("--second-stage", metavar="SHARE", help="A tailings pile: what the next stage catches.")
@price_options
@once("--treatment", metavar="MONEY/MASS", help="Charge for each mass of dry concentrate.")
@click.option("--charge", "charges", multiple=True, metavar="MONEY", help="Any other charge.")
@once("--season", metavar="MASS", help="Feed of a season, for --recovery and --gain.")
@once("--recovery", metavar="SHARE", help="What is caught: '85 ± 4 %', or '<85.5%' at most.")
@once("--gain", metavar="POINTS", help="Points that a change gains: '5 ± 2 %'.")
@once("--running-cost", metavar="MONEY/MASS", help="Running cost of it for each mass of feed.")
@once("--cost", metavar="MONEY", help="Its cost, paid once: how much feed pays it back.")
@once("--rate", metavar="SHARE", help="Interest of a year, for the present value.")
@once("--years", metavar="N", help="Years it lasts.")
@output
def command(**typed: Any) -> None:
    """What it is worth: a lot of metal, or what a season loses and gains.

    A lot is --metal, --gross with --fineness, or --mass with --grade. A season is --season with
    --grade, and --recovery, --gain or both. No price is built in.
    """
    texts = [*typed["charges"], *(v for v in typed.values() if isinstance(v, str))]
    shape = shape_of(typed, texts)
    emit(answer(typed), shape)


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `value`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    if _way(typed) == "season":
        from assaybench.cli import value_season

        return value_season.answer(typed)
    from assaybench.cli import value_lot

    return value_lot.answer(typed)


def said(typed: dict[str, Any]) -> dict[str, object]:
    """The options as they were typed, for JSON."""
    names = ("metal", "gross", "fineness", "mass", "moisture", "grade", "deduction",
             "second_stage", "price", "price_source", "payable", "refining", "treatment",
             "season", "recovery", "gain", "running_cost", "cost", "rate", "years")  # fmt: skip
    found: dict[str, object] = {name: typed[name] for name in names}
    return found | {"charges": [*typed["charges"]]}


def _way(typed: dict[str, Any]) -> str:
    """The one way that was asked for.

    Raises:
        BadInput: for none, two, an option of another way, or one that lacks its partner.
    """
    asked = [way for way in (*LOT, "season") if typed[way] is not None]
    if not asked:
        accepted = say("form_value")
        raise BadInput.of("argument_missing", what="What is to be valued", accepted=accepted)
    if len(asked) > 1:
        one, other = (inputs.option_of(way) for way in asked[:2])
        raise BadInput.of("option_excludes", option=one, other=other)
    way = asked[0]
    faults = Faults()
    if typed["grade"] is not None and way in {"metal", "gross"}:
        faults.add("", _needs("grade", "mass or --season"))
    for name, ways in ONLY_WITH.items():
        if typed[name] not in {None, ()} and way not in ways:
            faults.add("", _needs(name, " or --".join(ways)))
    for name, partners in NEEDS.items():
        for partner in partners:
            if typed[name] is not None and typed[partner] is None:
                faults.add("", _needs(name, partner))
    if way == "season" and typed["recovery"] is None and typed["gain"] is None:
        faults.add("", _needs("season", "recovery or --gain"))
    faults.done()
    return way


def _needs(name: str, other: str) -> BadInput:
    option, partner = inputs.option_of(name), inputs.option_of(other)
    return BadInput.of("option_needs", option=option, other=partner)
