"""`assaybench compare`: two results, a cut-off, runs before and after, laboratories, duplicates."""

from collections.abc import Sequence
from typing import Any

import click

from assaybench.cli import compare_two, inputs
from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.cli.pricing import price_options
from assaybench.messages import BadInput
from assaybench.report.answer import Answer

RUNS = ("before", "after", "gain", "power", "feed_per_season", "grade", "price", "price_source",
        "payable", "refining", "cost")  # fmt: skip
PARTIES = ("repeatability", "reproducibility")
REACH = ("grains", "dof", "layer")
CONTRACT = ("umpire", "umpire_rule")


@click.command(name="compare")
@click.argument("figures", nargs=-1, metavar="A [B]")
@once("--cutoff", metavar="C", help="Compare A with a cut-off.")
@once("--grains", metavar="N", help="Grains behind A: its sampling counts too.")
@once("--dof", metavar="N", help="Degrees of freedom of the ± of A, where they are few.")
@once("--layer", metavar="LAYER", help="How far the ± of A reaches: weighing, assay, sampling.")
@once("--log", metavar="NUMBER", help="A is the grade of --sample in this log.")
@once("--sample", metavar="ID", help="Which sample of --log.")
@once("--before", metavar="RUNS", help="Runs before a change, blanks between: '81.2 84.0 79.5 %'.")
@once("--after", metavar="RUNS", help="Runs after it.")
@click.option("--paired", is_flag=True, help="Made in pairs: runs in turn, or the same samples.")
@once("--gain", metavar="POINTS", help="The least gain worth having; else what breaks even.")
@once("--power", metavar="SHARE", help="Chance that planned runs show it (settings, else 80%).")
@once("--feed-per-season", metavar="MASS", help="Dry feed of a season: the gain in money.")
@once("--grade", metavar="GRADE", help="Grade of that feed.")
@price_options
@once("--cost", metavar="MONEY", help="Cost of the change: the gain that breaks even.")
@click.option(
    "--laboratory", multiple=True, metavar="RESULTS", help="Results of one laboratory; give two."
)
@once("--repeatability", metavar="S", help="Known spread within one laboratory.")
@once("--reproducibility", metavar="S", help="Known spread between laboratories.")
@once("--duplicates", metavar="PAIRS", help="Pairs of duplicates: '4.1:4.3 5.0:4.8 g/t'.")
@once("--splitting-limit", metavar="D", help="Settle A and B by the limit of the contract.")
@once("--umpire", metavar="C", help="The umpire's figure, for when they lie beyond it.")
@once("--umpire-rule", metavar="RULE", help="The contract's: umpire, middle, nearer or mean.")
@click.option("--standard", is_flag=True, help="Typed ± are standard uncertainties u, not U.")
@once("--logbook", metavar="DIR", help="Folder of the logbook, for --log.")
@once("--bench", metavar="NAME", help="Bench of --log.")
@output
def command(**typed: Any) -> None:
    """Is a difference shown, does it pay, or is A above a cut-off?

    A and B are figures with their doubt: '3.2 ± 0.4 g/t' (± is U) or '3.20(20) g/t' (u). Or give
    --before and --after, two times --laboratory, --duplicates, or --splitting-limit with A and B.
    """
    figures = [text.replace("−", "-") for text in typed["figures"]]
    texts = [*figures, *typed["laboratory"], *(v for v in typed.values() if isinstance(v, str))]
    shape = shape_of(typed, texts)
    emit(answer(figures, typed), shape)


def answer(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """The answer of `compare`.

    Raises:
        BadInput: every fault of the line, one sentence each.
        NotDone: when a log cannot be read.
    """
    way = _way(typed)
    if way == "runs":
        return _of_runs(figures, typed)
    if way == "laboratory":
        from assaybench.cli import compare_parties

        return compare_parties.laboratories(figures, typed)
    if way == "duplicates":
        from assaybench.cli import compare_duplicates

        return compare_duplicates.answer(figures, typed)
    if way == "splitting_limit":
        from assaybench.cli import compare_parties

        return compare_parties.settled(figures, typed)
    if way == "cutoff":
        return _against_cutoff(figures, typed)
    return compare_two.of_two(figures, typed)


def _way(typed: dict[str, Any]) -> str:
    """The one way of comparing that was asked for; `two` where no option names one.

    Raises:
        BadInput: for two ways, or an option of a way that was not asked for.
    """
    asked = {
        "runs": typed["before"] is not None or typed["after"] is not None,
        "laboratory": bool(typed["laboratory"]),
        "duplicates": typed["duplicates"] is not None,
        "splitting_limit": typed["splitting_limit"] is not None,
        "cutoff": typed["cutoff"] is not None,
    }
    ways = [way for way, wanted in asked.items() if wanted]
    if len(ways) > 1:
        one, other = (_named(way) for way in ways[:2])
        raise BadInput.of("option_excludes", option=other, other=one)
    way = ways[0] if ways else "two"
    faults = Faults()
    belongs = {"runs": RUNS, "laboratory": PARTIES, "cutoff": (*REACH, "log", "sample"),
               "splitting_limit": CONTRACT}  # fmt: skip
    for owner, names in belongs.items():
        for name in names:
            if owner != way and typed[name] is not None:
                pair = {"option": inputs.option_of(name), "other": _named(owner)}
                faults.add("", BadInput.of("option_needs", **pair))
    if typed["paired"] and way not in {"runs", "laboratory"}:
        other = "--before and --after"
        faults.add("", BadInput.of("option_needs", option="--paired", other=other))
    faults.done()
    return way


def _named(way: str) -> str:
    return "--before and --after" if way == "runs" else inputs.option_of(way)


def _of_runs(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    from assaybench.cli import compare_runs

    for name, other in (("before", "after"), ("after", "before")):
        if typed[name] is None:
            pair = {"option": f"--{other}", "other": f"--{name}"}
            raise BadInput.of("option_needs", **pair)
    return compare_runs.of_runs(figures, typed, _planned(typed))


def _planned(typed: dict[str, Any]) -> float:
    """The power that is planned for: typed, else of the settings."""
    from assaybench.units import parse

    if typed["power"] is not None:
        try:
            return float(parse.share(typed["power"], "a power", 50, 99.9))
        except BadInput as fault:
            raise fault.named("--power") from fault
    from assaybench.logbook import settings
    from assaybench.logbook.files import Files
    from assaybench.logbook.folder import settings_file

    read = settings.load(Files(), settings_file())
    for line in read.faults:
        click.echo(f"settings: {line}", err=True)
    return float(parse.share(read.settings.planned_power, "planned_power", 0.001, 99.9))


def _against_cutoff(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    if typed["log"] is None and typed["sample"] is None:
        return compare_two.against_cutoff(figures, typed)
    for name, other in (("log", "sample"), ("sample", "log")):
        if typed[name] is None:
            pair = {"option": f"--{other}", "other": f"--{name}"}
            raise BadInput.of("option_needs", **pair)
    from assaybench.cli import compare_log

    return compare_log.against_cutoff(figures, typed)
