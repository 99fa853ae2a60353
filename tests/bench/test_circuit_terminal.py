"""A whole circuit test in a real terminal: six beads, three sizes, from nothing to a sealed log.

By the keyboard alone, on a pseudo-terminal of 80 x 24. The program is killed twice on the way and
gone on with. What the page shows is held against the sum worked out here and against what another
process reads of the log; the seal is judged by `assaybench verify` and by `ssh-keygen`.

The gold is that of a vector worked out independently of the program: stage 1 caught 186.4, 241.7,
58.3 mg of three sizes, stage 2 then 2.1, 31.5, 49.0 mg. Some of it was found in portions.
"""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.bench.terminal import ENTER, ESCAPE, Terminal, promises
from tests.bench.terminal_steps import (
    accepted,
    answered,
    balances,
    charged,
    fired,
    log_of,
    one_weighed,
    read_safety,
    read_so_far,
    run,
    settled_home,
    signed,
)

# sample, dry mass of the product, portion cupelled, charge as weighed, gold of the cupel
CUPELS = (
    ("C-1", "62.4", "", "62.40", "186.400"),
    ("C-2", "0.120 kg", "60.00", "60.00", "120.850"),
    ("C-3", "60.00", "30.00", "30.00", "29.150"),
    ("R-1", "45.0", "", "45.0", "2.100"),
    ("R-2", "100.0", "25.00", "25.0", "7.875"),
    ("R-3", "80.00", "40.00", "40.0", "24.500"),
)
SPOTS = ("stage 1, +1.0 mm", "stage 1, -1.0 +0.25 mm", "stage 1, -0.25 mm",
         "re-run, +1.0 mm", "re-run, -1.0 +0.25 mm", "re-run, -0.25 mm")  # fmt: skip
SIZES = ("+1.0 mm", "-1.0 +0.25 mm", "-0.25 mm")
CAUGHT, BEHIND = (186.4, 241.7, 58.3), (2.1, 31.5, 49.0)
FEED_KG = 448 * (1 - 0.080)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return settled_home(tmp_path)


@pytest.fixture
def terminals(home: Path) -> Iterator[list[Terminal]]:
    """The program, started; those that were killed before, too."""
    started = [Terminal(home)]
    yield started
    for one in started:
        one.end()


def test_a_circuit_test_from_an_empty_logbook_to_a_sealed_log(
    home: Path, terminals: list[Terminal]
) -> None:
    begun(terminals[-1])
    terminals.append(killed_in_the_editor(home, terminals[-1]))
    balances(terminals[-1], ("fine", "0.001 mg"), ("pulp", "0.01 g"), ("kitchen", "0.1 g"))
    terminals[-1].keys("t")
    weighed_in(terminals[-1])
    charged(terminals[-1], len(CUPELS), silver="600.000")
    fired(terminals[-1])
    beads(terminals[-1])
    terminals.append(killed_at_the_gold(home, terminals[-1]))
    terminal = terminals[-1]
    shown = what_was_caught(terminal)
    sealed(terminal)
    assert terminal.quit() == 0
    stored(home)
    accepted(home)
    read = json.loads(run([sys.executable, "-m", "assaybench", "results", "1", "--json"], home))
    agrees(shown, read)


# --- by the keyboard ------------------------------------------------------------------------------


def begun(terminal: Terminal) -> None:
    """A new test, its feed, its sieves."""
    terminal.wait("CONTENTS")
    terminal.keys("t")
    answered(terminal, ("A title, or Enter for none:", "R-09"))
    terminal.wait("Enter asks for feed.")
    terminal.keys(ENTER)
    answered(terminal, ("Mass of the feed, kg", "448"), ("Water, %", "8.0"), ("Grade of", ""))
    terminal.wait("Enter asks for the sieves.")
    terminal.keys(ENTER)
    answered(terminal, ("Sieves, coarse first:", "1.0 0.25 mm"))


def typed_cells(terminal: Terminal, first: int, last: int) -> None:
    """Each spot gets its sample with its place, its mass, its portion; the mark goes on."""
    for spot, (sample, mass, portion, _, _) in zip(
        SPOTS[first:last], CUPELS[first:last], strict=True
    ):
        terminal.wait(f"Enter asks for {spot}.")
        terminal.keys(ENTER)
        answered(
            terminal,
            (f"Gold of {spot}:", sample),
            (f"{sample} is new.", ""),
            (f"Dry mass of {spot}, g", mass),
            ("Portion cupelled of it, g", portion),
        )


def killed_in_the_editor(home: Path, terminal: Terminal) -> Terminal:
    """Four spots are typed; the program is killed within the fifth, and gone on with there."""
    typed_cells(terminal, 0, 4)
    terminal.wait(f"Enter asks for {SPOTS[4]}.")
    terminal.keys(ENTER)
    answered(terminal, (f"Gold of {SPOTS[4]}:", "R-2"), ("R-2 is new.", ""))
    terminal.wait(promises("Dry mass of"))
    terminal.kill()
    assert len(log_of(home)[0].of("circuit")) == 5, "the feed and four spots; nothing by halves"
    assert "R-2" not in log_of(home)[0].samples
    again = Terminal(home)
    again.wait(SPOTS[4])
    again.wait("Enter opens circuit test 0001")
    again.keys(ENTER)
    typed_cells(again, 4, 6)
    again.wait("The gold of 6 cupels")
    return again


def weighed_in(terminal: Terminal) -> None:
    """Each charge; those of stage 2 on the kitchen balance, by one key."""
    terminal.wait("THE TRAY")
    read_safety(terminal)
    terminal.wait("Enter goes to the balance with A1.")
    terminal.keys(ENTER)
    for i, (_, _, _, charge, _) in enumerate(CUPELS):
        terminal.wait(f"Type the reading of A{i + 1}")
        if i == 3:
            terminal.keys("s")
            terminal.wait("on kitchen")
        one_weighed(terminal, charge)
    terminal.wait("THE TRAY")


def beads(terminal: Terminal) -> None:
    """Beads of gold and the silver that was added, with a little that was there."""
    terminal.keys("4")
    read_safety(terminal)
    terminal.keys(ENTER)
    for _, _, _, _, gold in CUPELS:
        one_weighed(terminal, f"{1.1 * float(gold) + 595:.3f}")
    terminal.wait("THE TRAY")


def killed_at_the_gold(home: Path, terminal: Terminal) -> Terminal:
    """Three gold weights are stored, the fourth half typed; then the power is gone."""
    terminal.keys("5")
    read_safety(terminal)
    terminal.keys(ENTER)
    for *_, gold in CUPELS[:3]:
        one_weighed(terminal, gold)
    terminal.wait("Type the reading of A4")
    terminal.keys("2.1")
    terminal.wait("Enter stores 2.1 mg")
    terminal.kill()
    assert read_so_far(home, "gold") == 3
    again = Terminal(home)
    again.wait("cup A4")
    again.wait("Enter opens circuit test 0001")
    again.keys(ENTER)
    again.wait("THE CIRCUIT")
    again.wait("The gold of 3 cupels")
    again.keys("t")
    again.wait("Enter goes to the balance with A4.")
    again.keys(ENTER)
    for *_, gold in CUPELS[3:]:
        one_weighed(again, gold)
    again.wait("THE PARTING CUPS")
    again.keys(ESCAPE)
    again.wait("All is there.")
    return again


def what_was_caught(terminal: Terminal) -> dict[str, list[str]]:
    """The figures that the page shows, by size, and what its first remark is of."""
    terminal.keys("r")
    terminal.wait("WHAT WAS CAUGHT")
    terminal.wait("head built up")
    block = [line.partition("│")[0].split() for line in terminal.lines]
    shown = {}
    for name in (*SIZES, "all"):
        words = name.removesuffix(" mm").split()
        row = next(one for one in block if one[: len(words)] == words)
        shown[name] = row[len(words) :]
    shown["head"] = next(one for one in block if one[:3] == ["head", "built", "up,"])
    assert "Look at -0.25 mm." in terminal.text
    terminal.keys(ESCAPE)
    terminal.wait("THE CIRCUIT")
    return shown


def sealed(terminal: Terminal) -> None:
    terminal.wait("s seal")
    terminal.keys("s")
    terminal.wait("THE SEAL")
    signed(terminal)
    terminal.wait("THE CIRCUIT")


# --- what became of it ----------------------------------------------------------------------------


def stored(home: Path) -> None:
    """What stands in the log at the end."""
    state, verdict = log_of(home)
    assert verdict == "sound"
    for what, place in (("charge", 3), ("gold", 4)):
        made = [(r.sample, r.entry.text("text")) for r in state.readings if r.what == what]
        assert made == [(cupel[0], cupel[place]) for cupel in CUPELS]
    on = [r.balance.name for r in state.readings if r.what == "charge"]
    assert on == ["pulp"] * 3 + ["kitchen"] * 3
    assert len(state.of("session")) == 2, "one for each time it was gone on with"
    assert {e.entry.by for e in state.entries} == {"KB"}


def agrees(shown: dict[str, list[str]], read: dict[str, Any]) -> None:
    """The page, the command and the sum worked out here say the same."""
    sizes = {one["id"]: one["figures"] for one in read["sizes"]}
    for i, size in enumerate(SIZES):
        a, b = CAUGHT[i], BEHIND[i]
        says(shown[size], sizes[size], a, b, 100 * a / (a + b), 100 * (1 - b / a))
    a, b = sum(CAUGHT), sum(BEHIND)
    feed_mg = sum(x * x / (x - y) for x, y in zip(CAUGHT, BEHIND, strict=True))
    says(shown["all"], sizes["all"], a, b, 100 * a / (a + b), 100 * a / feed_mg)
    assert read["figures"]["recovery_at_most"]["value"] == pytest.approx(85.4833, abs=1e-4)
    assert read["figures"]["recovery_equal_stages"]["value"] == pytest.approx(58.4674, abs=1e-4)
    head = read["figures"]["head"]
    assert head["value"] == pytest.approx((a + b) / FEED_KG, rel=1e-9)
    assert head["text"] in " ".join(shown["head"])


def says(
    row: list[str], figures: dict[str, Any], a: float, b: float, most: float, alike: float
) -> None:
    """A row of the page: both catches in mg, and both recoveries, as the command has them."""
    assert [float(text) for text in row] == pytest.approx([a, b, alike, most], abs=0.05001)
    assert figures["at_most"]["value"] == pytest.approx(most, abs=1e-9)
    assert figures["equal_stages"]["value"] == pytest.approx(alike, abs=1e-9)
    assert row[2:] == [f"{figures[name]['value']:.1f}" for name in ("equal_stages", "at_most")]
