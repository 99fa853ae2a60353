"""Seeded malformed command lines: a good line, and one thing about it made wrong."""

import random
from collections.abc import Callable

from tests.cli.malformed_words import (
    BAD_COMMANDS,
    BAD_COUNTS,
    BAD_FIGURES,
    BAD_OPTIONS,
    BAD_SHARES,
    GOOD,
)

Mutation = Callable[[random.Random, list[str]], list[str]]


def _bad_figure(dice: random.Random, line: list[str]) -> list[str]:
    """One figure, first argument or value of an option, made unreadable."""
    places = [
        i
        for i, part in enumerate(line)
        if i
        and any(sign.isdigit() for sign in part)
        and line[i - 1] not in {"--aim", "--calibration", "--repeats"}
    ]
    place = dice.choice(places)
    bad = dice.choice([bad for bad in BAD_FIGURES if bad != "--"])
    if line[0] == "compare" and line[place - 1] in {"--before", "--after"} and not bad.strip():
        bad = "x"
    return [*line[:place], bad, *line[place + 1 :]]


def _bad_share(dice: random.Random, _line: list[str]) -> list[str]:
    option = dice.choice(("--aim", "--calibration"))
    return ["weigh", "0.31mg", "--readability", "0.01mg", option, dice.choice(BAD_SHARES)]


def _bad_count(dice: random.Random, _line: list[str]) -> list[str]:
    return [
        "weigh",
        "0.31mg",
        "--readability",
        "0.01mg",
        "--repeatability",
        "0.01mg",
        "--repeats",
        dice.choice(BAD_COUNTS),
    ]


def _bad_option(dice: random.Random, line: list[str]) -> list[str]:
    place = dice.randint(1, len(line))
    return [*line[:place], dice.choice(BAD_OPTIONS), *line[place:]]


def _option_without_value(dice: random.Random, line: list[str]) -> list[str]:
    own = {"weigh": "--zero", "compare": "--cutoff", "sieves": "--series"}
    return [*line, own.get(line[0], "--sum=3")]


def _option_twice(dice: random.Random, _line: list[str]) -> list[str]:
    option, value = dice.choice((("--readability", "0.01mg"), ("--aim", "1%"), ("--charge", "3g")))
    return ["weigh", "0.31mg", "--readability", "0.01mg", option, value, option, value]


def _both_outputs(_dice: random.Random, line: list[str]) -> list[str]:
    return [*line, "--json", "--plain"]


def _too_many(dice: random.Random, line: list[str]) -> list[str]:
    if line[0] == "weigh":
        return [*line[:1], *["0.31mg"] * dice.randint(20, 40), *line[1:]]
    return [*line, *["3 g/t"] * dice.randint(3, 9)]


def _bad_command(dice: random.Random, line: list[str]) -> list[str]:
    return [dice.choice(BAD_COMMANDS), *line[1:]]


def _nothing_given(_dice: random.Random, line: list[str]) -> list[str]:
    return ["convert"] if line[0] in {"sieves", "convert"} else line[:1]


def _not_positive(dice: random.Random, _line: list[str]) -> list[str]:
    option = dice.choice(("--readability", "--repeatability", "--charge", "--linearity"))
    rest = [] if option == "--readability" else ["--readability", "0.01mg"]
    return ["weigh", "0.31mg", *rest, option, dice.choice(("0mg", "-1mg", "-0.01 mg", "0,0 g"))]


def _wrong_kind(dice: random.Random, _line: list[str]) -> list[str]:
    return dice.choice(
        (
            ["weigh", "3 g/t", "--readability", "0.01mg"],
            ["weigh", "3mg", "--readability", "0.01um"],
            ["compare", "3 ± 1 mg", "3 ± 1 g/t"],
            ["compare", "3 ± 1 mg", "--cutoff", "3 g/t"],
            ["compare", "3 mg", "4 mg"],
            ["compare", "<3 mg", "4 ± 1 mg"],
            ["compare", "--before", "1 2 3"],
            ["compare", "--before", "1 2 3", "--after", "4"],
            ["compare", "--before", "1 1", "--after", "1 1"],
            ["compare", "--before", "1 2 3", "--after", "1 2", "--paired"],
            ["compare", "--before", "1 g 2 t", "--after", "1 g 2 g"],
            ["compare", "3 ± 1 mg", "4 ± 1 mg", "--paired"],
            ["convert", "3 mg", "um"],
            ["convert", "3 mg", "mesh"],
            ["convert", "77 um", "mesh"],
            ["convert", "190 mesh", "um"],
            ["convert", "3 mg/um"],
            ["sieves", "74um"],
            ["sieves", "3 g"],
            ["sieves", "75um", "75um"],
            ["sieves", "75um", "--series", "tyler"],
            ["weigh", "3mg", "--readability", "1mg", "--repeats", "10"],
        )
    )


def _bad_fraction(dice: random.Random, _line: list[str]) -> list[str]:
    good = ["sieves", "--fraction", "250um=3g", "--fraction", "106um=4g", "--fraction", "pan=5g"]
    figure = dice.choice(BAD_FIGURES)
    return dice.choice(
        (
            good[:5],
            [*good, "--fraction", f"75um={figure}"],
            [*good, "--fraction", f"{figure}=3g"],
            [*good, "--fraction", "75um=-3g"],
            [*good, "--fraction", "75um=<3g"],
            [*good, "--fraction", "75um"],
            [*good, "--fraction", "No. 140=3g"],
            [*good, "--fraction", "pan=3g"],
            [*good, "--passing", dice.choice((*BAD_SHARES, "100%"))],
            [*good, "--rule", dice.choice(("", "x", "ln"))],
            [*good, "--whole", figure],
            [*good, "75um"],
            ["sieves", "--passing", "80%"],
            ["sieves", "--fraction", "75um=0g", "--fraction", "pan=0g"],
        )
    )


def _bad_sampling(dice: random.Random, _line: list[str]) -> list[str]:
    gy = ["sampling", "--gy", "--top", "1mm", "--grade", "5g/t"]
    return dice.choice(
        (
            ["sampling"],
            ["sampling", "5"],
            ["sampling", "--count", dice.choice(("", "x", "-5", "2.5", "1e3", "ten", "٣"))],
            ["sampling", "--count", "3", "--count-other", dice.choice(("", "x", "-1"))],
            ["sampling", "--count", "3", "--metal", "1mg", "--sieve", "1um"],
            ["sampling", "--count", "3", "--sample-other", "3g"],
            ["sampling", "--metal", "1mg"],
            ["sampling", "--metal", "1mg", "--sieve", dice.choice(BAD_FIGURES)],
            ["sampling", "--metal", "1mg", "--sieve", "250um:106um"],
            ["sampling", "--metal", "1mg", "--sieve", "1um", "--shape", "nugget"],
            ["sampling", "--metal", "1mg", "--sieve", "1um", "--density", "0"],
            [
                "sampling",
                "--metal",
                "1mg",
                "--sieve",
                "1um",
                "--target",
                dice.choice(BAD_SHARES[:6]),
            ],
            ["sampling", "--grains", dice.choice(("", "3", "3 g/t", "0 mg", "mg", "1 oz"))],
            ["sampling", "--classes", dice.choice(("", "1", "1 2", "1 2 x", "1 2 3 4"))],
            ["sampling", "--gy"],
            gy,
            [*gy, "--sample", dice.choice(BAD_FIGURES)],
            [*gy, "--stage", dice.choice(("", ":", "5kg", "5kg:", ":1mm", "5mm:1kg", "x:y"))],
            [*gy, "--sample", "5kg", "--lot", "4kg"],
            [*gy, "--sample", "5kg", "--factor-g", dice.choice(("0", "2", "x", "-1", "1e1"))],
            [*gy, "--sample", "5kg", "--factor-c", "3"],
            ["sampling", "--increments", "1kg:5%:5"],
            ["sampling", "--increments", "1kg:5%:5", "--increments", dice.choice(BAD_FIGURES)],
            ["sampling", "--increments", "1kg:5%:5", "--increments", "1kg:6%:5"],
        )
    )


FINGERPRINT = "SHA256:" + "a" * 43


def _bad_signers(dice: random.Random, _line: list[str]) -> list[str]:
    return dice.choice(
        (
            ["signers", "nw"],
            ["signers", "list", "x"],
            ["signers", "list", "--since", "2026-06-09"],
            ["signers", "add"],
            ["signers", "add", "a.pub", "b.pub"],
            ["signers", "retire"],
            ["signers", "retire", FINGERPRINT[:-1]],
            ["signers", "retire", FINGERPRINT, "--since", "2026-06-09"],
            ["signers", "compromised", FINGERPRINT],
            ["signers", "compromised", FINGERPRINT, "--reason", "x"],
            ["signers", "compromised", FINGERPRINT, "--reason", "x", "--since", "9 June"],
            ["signers", "compromised", FINGERPRINT, "--reason", "\x1b", "--since", "2026-06-09"],
            ["signers", "--json", "--plain"],
            ["signers", "new", "--passphrase", "x"],
        )
    )


def _bad_settings(dice: random.Random, _line: list[str]) -> list[str]:
    wrong = (
        "colour=red", "aim", "aim=x", f"aim={dice.choice(BAD_SHARES)}", "tray=4", "ascii=maybe",
        f"idle_minutes={dice.choice(('', 'x', '-1', '2.5', '999'))}", "palette=night", "bench=1",
        "people=KB", "people.=x", "people.K9=x", "people.KB=", "keys.lost=5",
        "keys.nothing=q", "trusted=x", "trusted.a=b",
        "initials=\x1b[2J", "logbook=here/book", "signing_key=~no.such.user.1/key", "=", "aim+=1%",
        "cups=3 g/t", "planned_power=200%", "passphrase=x", "\u202e=x", "decimal_mark=;",
    )  # fmt: skip
    right = ("tray=5 x 8", "keys.lost=w", f"trusted+={FINGERPRINT}", "people.AM=A. Moor")
    return dice.choice(
        (
            ["settings", dice.choice(wrong), dice.choice(right)],
            ["settings", dice.choice(right), dice.choice(wrong), "--json"],
            ["settings", "tray=5 x 8", "tray=4 x 6"],
            ["settings", "colour"],
            ["settings", "aim", "--json", "--plain"],
            ["settings", "aim=1%", "--logbook", "x"],
        )
    )


def _bad_streams(dice: random.Random, _line: list[str]) -> list[str]:
    feed, con = "feed=100kg:2 g/t", "con=4kg:40 g/t"
    return [
        "recovery",
        *dice.choice(
            (
                ["--feed-grade", dice.choice(BAD_FIGURES), "--concentrate-grade", "40 g/t"],
                ["--feed-grade", "2 g/t", "--concentrate-grade", "40 g/t"],
                ["--feed-grade", "2 g/t", "--concentrate-mass", "40 g/t"],
                ["--feed-grade", "2 g/t", "--concentrate-mass", "-1 kg"],
                ["--feed-grade", "2 g/t", "--mats", "1 mg"],
                ["--stream", dice.choice(BAD_FIGURES), "--stream", feed],
                ["--stream", f"tails={dice.choice(BAD_FIGURES)}:1 g/t", "--stream", feed],
                ["--stream", feed],
                ["--stream", feed, "--stream", con],
                ["--stream", feed, "--stream", con, "--stream", con],
                ["--stream", feed, "--stream", con, "--stream", "\x1b=?:1 g/t"],
                ["--stream", feed, "--stream", con, "--stream", "x=?:1 g/t:1 g/t"],
                ["--stream", feed, "--stream", con, "--stream", "x=?:200 %"],
                ["--stream", feed, "--stream", con, "--stage", dice.choice(BAD_FIGURES)],
                ["--stage", "feed=concentrate+tailings"],
                ["--concentrate", "3 mg", "--rerun", "1 mg", "--head", "2 g/t"],
                ["--concentrate", "3 mg", "--rerun", "1 mg", "--grains", dice.choice(("0", "x"))],
                ["--concentrate", "3 mg", "--rerun", "1 mg", "--middlings", "<2 mg"],
            )
        ),
    ]


def _bad_value_or_heaps(dice: random.Random, _line: list[str]) -> list[str]:
    metal, season = ["value", "--metal", "3g"], ["value", "--season", "900t", "--grade", "1g/t"]
    price = ["--price", "80 USD/g"]
    return dice.choice(
        (
            metal,
            ["value", *price],
            [*metal, *price, "--gross", "3g"],
            [*metal, *price, "--cost", "3 USD"],
            [*metal, *price, "--charge", "3 EUR"],
            [*metal, *price, "--payable", dice.choice(BAD_SHARES)],
            [*metal, *price, "--second-stage", dice.choice(BAD_SHARES)],
            [*metal, "--price", dice.choice(("80", "80 g", "80/oz", "-8/g", "80 USD", "8/g/g"))],
            [*season, *price],
            [*season, *price, "--gain", "500%"],
            [*season, *price, "--recovery", "99%", "--gain", "5%"],
            [*season, *price, "--gain", "5%", "--years", dice.choice(BAD_COUNTS)],
            ["heaps", *price],
            ["heaps", "nowhere at all"],
            ["heaps", "\x00"],
            ["heaps", "--second-stage", dice.choice(BAD_SHARES)],
            ["heaps", "--json", "--plain"],
            ["compare", "1 ± 0.1 g/t", "--grains", "5"],
            ["compare", "1 ± 0.1 g/t", "--cutoff", "1g/t", "--grains", dice.choice(("0", "x"))],
            ["compare", "--laboratory", "1 2 g/t"],
            ["compare", "--duplicates", dice.choice(("", "1", "1:2", "1:2 3", "a:b 1:2"))],
            ["compare", "1‰", "2‰", "--splitting-limit", "1‰", "--umpire", "1‰"],
            ["compare", "--before", "1 2 %", "--after", "2 3 %", "--power", "5%"],
        )
    )


def _bad_list_or_report(dice: random.Random, _line: list[str]) -> list[str]:
    return dice.choice(
        (
            ["logbook", "x"],
            ["logbook", "--page", dice.choice(BAD_COUNTS[:2])],
            ["logbook", "--lines", "0"],
            ["logbook", "--since", "9 June"],
            ["logbook", "--until", "2026-13-01"],
            ["logbook", "--state", "shut"],
            ["logbook", "--kind", "fire"],
            ["logbook", "--sample", ""],
            ["logbook", "--title", "\x1b[2J"],
            ["logbook", "--json", "--plain"],
            ["report"],
            ["report", "1"],
            ["report", "--text"],
            ["report", "1", "2", "--text"],
            ["report", "x", "--text"],
            ["report", "1", "--text", "--issued", "soon"],
            ["report", "1", "--text", "--out", ""],
            ["report", "1", "--text", "--json"],
        )
    )


def _bad_verify_or_export(dice: random.Random, _line: list[str]) -> list[str]:
    return dice.choice(
        (
            ["verify", "nowhere at all"],
            ["verify", "0"],
            ["verify", "9999999"],
            ["verify", "\x00"],
            ["verify", "MAIN-"],
            ["verify", "--jobs", dice.choice(BAD_COUNTS[:2])],
            ["verify", "--jobs", "65"],
            ["verify", "--mark", "640"],
            ["verify", "--mark", "640:" + "g" * 64],
            ["verify", "--fingerprint", FINGERPRINT[:-1]],
            ["verify", "--signers", "nowhere/at/all"],
            ["verify", "--json", "--plain"],
            ["export"],
            ["export", "1"],
            ["export", "--bundle", "x"],
            ["export", "--bundle", "1", "--out", ""],
            ["export", "--bundle", "1", "--json", "--plain"],
        )
    )


MUTATIONS: tuple[Mutation, ...] = (
    _bad_figure,
    _bad_figure,
    _bad_figure,
    _bad_figure,
    _bad_share,
    _bad_count,
    _bad_option,
    _option_without_value,
    _option_twice,
    _both_outputs,
    _too_many,
    _bad_command,
    _nothing_given,
    _not_positive,
    _wrong_kind,
    _bad_list_or_report,
    _bad_value_or_heaps,
    _bad_signers,
    _bad_settings,
    _bad_streams,
    _bad_fraction,
    _bad_sampling,
    _bad_verify_or_export,
)


def malformed(seed: int) -> list[str]:
    """The malformed line of a seed."""
    dice = random.Random(seed)
    return dice.choice(MUTATIONS)(dice, list(dice.choice(GOOD)))
