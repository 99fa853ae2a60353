"""The stories of the small miner through the app itself, by keyboard, from an empty logbook.

The drawn test R-09, the new mat, and a first test by somebody who never did one. The figures are
those of the stories, which were worked out without the program.
"""

import asyncio
import re
from collections.abc import Sequence

import pytest

from assaybench.bench.app import BenchApp
from assaybench.bench.desk import Desk
from assaybench.bench.stack import Stack
from tests.bench.books import closed, opened_bench, shown
from tests.bench.circuit_test_run import GOLD
from tests.bench.patience import keyed
from tests.bench.whole import whole

NAMED = {" ": "space", ".": "full_stop", "-": "minus", "+": "plus", "<": "less_than_sign",
         "/": "slash", ",": "comma", "%": "percent_sign"}  # fmt: skip
MINUTES = 10


def typed(*answers: str) -> list[str]:
    """Each text typed, with Enter behind it."""
    return [key for text in answers for key in (*(NAMED.get(s, s) for s in text), "enter")]


def pages(desk: Desk, *steps: Sequence[str], size: tuple[int, int] = (80, 24)) -> list[str]:
    """What is shown after each step of keys, pressed in the app."""
    stack = opened_bench(desk)
    app = BenchApp(stack, desk.clock)

    async def story() -> list[str]:
        seen = []
        async with app.run_test(size=size) as pilot:
            for keys in steps:
                await keyed(pilot, *keys)
                assert whole(stack.sheet, stack.keys, *size) == []
                seen.append(shown(stack, *size))
        return seen

    found = asyncio.run(story())
    closed(stack)
    assert app.fault == ""
    return found


def words(page: str) -> tuple[str, str]:
    """The block and the margin of a page, each as one paragraph."""
    rows = [line.partition("│") for line in page.splitlines()[2:-3]]
    block = " ".join(" ".join(row[0] for row in rows).split())
    return block, " ".join(" ".join(row[2] for row in rows).split())


def a_test(doubt: str) -> list[str]:
    """Run R-09 from the contents on, each gold with the same doubt."""
    keys = ["t", *typed("R-09"), *typed("", "448", "8.0", "", "", "1.0 0.25 mm")]
    for metals in GOLD.values():
        for metal in metals:
            keys += typed("", f"{metal} +- {doubt}", "")
    return [*keys, "r"]


def test_recovery_with_its_brackets_by_keyboard(desk: Desk) -> None:
    """Practice 6.6: 85.5 at most, 58.5 if alike; r2 .9 .7 .5; a limit on the tailings."""
    seen = pages(
        desk,
        a_test("0.1"),
        ["s", *typed("90")],
        ["s", *typed("70")],
        ["s", *typed("50")],
        ["s", *typed(""), "escape", *typed("", "410.3", "", "<0.333"), "r"],
    )
    block, margin = words(seen[0])
    assert "all 486.4 82.6 58.5 85.5" in block
    assert "head built up, dry" in block
    assert re.search(r"at least 1\.380?\d* ± ", block), "by dry kilograms, not by wet ones"
    assert margin.startswith("Look at -0.25 mm. There stage 1 loses 49 to 307 mg gold.")
    assert "85.5 % at most: then stage 2 missed none" in margin
    assert "58.5 %, if stage 2 catches as well as stage 1. Less, if it catches worse." in margin
    assert "To know, assay the final tailings." in margin
    assert "83.0" not in seen[0], "never from the pooled sums"
    assert "5.9" not in re.sub(r"95\.9", "", seen[0]), "a ratio is no recovery"
    for page, recovery in zip(seen[1:4], ("84.1", "80.5", "74.6"), strict=True):
        assert f"all 486.4 82.6 58.5 85.5 {recovery}" in words(page)[0]
    block, margin = words(seen[4])
    assert "all closed 68.9 to 85.5" in block
    assert "These disagree: tailings assay < 0.33 g/t, but 0.64 if stages are alike." in margin


@pytest.mark.long
def test_five_per_cent_on_each_fine_bead_widens_the_scenario(desk: Desk) -> None:
    """Practice 6.6: 5 % on each fine bead, about 27 to 70 % if alike.

    200 000 draws of both fine beads, outside the program, gave 23.5 to 70.4.
    """
    keys = ["t", *typed("R-09"), *typed("", "448", "8.0", "", "", "1.0 0.25 mm")]
    for metals in GOLD.values():
        for i, metal in enumerate(metals):
            doubt = f"{2 * 0.05 * float(metal):.2f}" if i == 2 else "0.1"
            keys += typed("", f"{metal} +- {doubt}", "")
    seen = pages(desk, [*keys, "r"], *(["enter"] for _ in range(5)))
    said = " ".join(words(page)[0] for page in seen[1:])
    found = re.search(r"all [0-9.]+ to [0-9.]+ ([0-9.]+) to ([0-9.]+) What that says", said)
    assert found is not None
    assert [float(end) for end in found.groups()] == pytest.approx([23.5, 70.4], abs=0.3)


def test_did_the_mat_help_by_keyboard(desk: Desk) -> None:
    """Practice 6.7: +3.5 points, -1.2 to +8.2; 2268 a season; 10 runs show what breaks even."""
    seen = pages(
        desk,
        ["c", *["down"] * 4, *typed("", "", "81.2 84.0 79.5", "", "85.1 83.3 86.8")],
        typed("", "900", "", "0.9", "", "80 USD/g", "", "1800 USD"),
        size=(120, 40),
    )
    block, margin = words(seen[0])
    assert "BEFORE AND AFTER" in seen[0]
    assert "+3.5 (-1.2 to +8.2)" in block
    assert re.search(r"this much if nothing changed, in 100[ .]+10\.7 ", block)
    assert margin.startswith("Difference not shown: +3.5 points; the truth may be -1.2 to +8.2")
    assert "With 7 runs of each, +3.5 would show 4 times in 5." in margin
    assert "Were old and new run in turn?" in margin
    block, margin = words(seen[1])
    assert "+2268 (-789 to +5325)" in block
    assert re.search(r"points that pay the cost back[ .]+\+2\.8 ", block)
    assert re.search(r"runs to show those[ .]+10 ", block)
    assert "Not shown whether it pays: it breaks even at +2.8 points" in margin
    assert "├" in block
    assert "┤" in block


def test_a_first_test_from_the_contents_in_a_few_dozen_keys(desk: Desk) -> None:
    """Two catches and a kitchen scale: from the contents to a result, and what it cannot show."""
    keys = ["e", *typed("0.01", "", "", "400", "0.00", "0.49", "0.49", "0.08", "0.08")]
    seen = pages(desk, [], keys, ["enter"], ["escape"])
    assert "step by step: how much gold do I catch" in seen[0]
    block, margin = words(seen[1])
    assert len(keys) < MINUTES * 6, "one key in ten seconds still ends within ten minutes"
    assert "The first run caught at most 86 parts in 100 of the gold." in block
    assert "Gold of less than 0.013 g may lie on it unseen." in margin
    assert "How well it repeats, and which grains a run happens to catch, is not in it." in margin
    assert "WHAT WAS CAUGHT" in seen[2]
    assert "CONTENTS" in seen[3], "it goes back where it was begun"


def test_a_first_test_that_was_left_goes_on_from_the_contents(desk: Desk) -> None:
    pages(desk, ["e", *typed("0.01", "", "", "400"), "escape"])
    stack: Stack = opened_bench(desk)
    stack.tick(desk.clock())
    stack.press("enter", None)
    assert "Key e goes on with the questions" in words(shown(stack))[1]
    stack.press("e", "e")
    assert stack.sheet.typing is not None
    assert stack.sheet.typing.prompt.startswith("Scale empty.")
    closed(stack)


def test_a_slip_in_a_first_test_is_typed_anew_with_arrow_up(desk: Desk) -> None:
    """A zero key forgotten, a digit wrong, a scale too coarse: each is said, and mended by keys."""
    seen = pages(
        desk,
        ["e", *typed("0.01", "no", "", "400", "5")],
        typed("0.00", "0.30"),
        ["up", *typed("0.03", "0.03", "0.02", "0.02")],
        ["enter"],
        ["question_mark"],
        ["escape", "escape"],
    )
    assert "Empty, it shows 5 g" in words(seen[0])[1]
    assert "Up earlier" in seen[1]
    assert "This scale cannot show it: from 5 to 70 parts in 100 are possible" in words(seen[2])[0]
    assert "By weighing alone at most ±" in words(seen[3])[1]
    assert "Recovery: gold that stage 1 caught" in words(seen[4])[0]
    assert "step by step" in seen[5].splitlines()[4]


def test_the_loss_of_a_size_stands_at_80_by_24_in_metal_and_in_share(desk: Desk) -> None:
    (chosen,) = pages(desk, [*a_test("0.08"), "down", "down", "down"])
    assert "-0.25 mm: stage 1 loses 49 to 307 mg gold. That is 89 in 100 of all" in words(chosen)[1]
    assert "More remarks: key p." in words(chosen)[1], (
        "what found no room is not dropped in silence"
    )
