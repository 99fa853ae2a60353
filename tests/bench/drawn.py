"""The five pages as they were drawn, as sheets: data invented, look binding."""

from assaybench.bench.characters import leader
from assaybench.bench.figures import large
from assaybench.bench.sheet import BLOCK_WIDTH, Beside, Line, Sheet, Span, line


def _lines(text: str) -> tuple[Line, ...]:
    return tuple(line(one) for one in text.strip("\n").split("\n"))


def _led(left: str, right: str) -> Line:
    return line(leader(left, right, BLOCK_WIDTH))


CONTENTS = Sheet(
    left="AssayBench",
    title="CONTENTS",
    right="Tuesday 9 June · KB",
    block=(
        (),
        line("Left open"),
        _led("> furnace run 0147", "cupel B6"),
        _led("  circuit test R-09", "re-run, -0.25 mm"),
        (),
        line("Begin"),
        _led("  a furnace run", "f"),
        _led("  a circuit test", "t"),
        _led("  a sum: weigh, grade, convert", "w"),
        (),
        line("Think first"),
        _led("  plan a charge for a grade", "p"),
        _led("  compare two figures, or before and after", "c"),
        (),
        line("Look up"),
        _led("  balances: fine, pulp", "b"),
        _led("  logbook: 146 sealed, 1 void; checked 8 June", "a"),
        _led("  tailings heaps: 3", "h"),
        _led("  settings", "o"),
    ),
    margin=(
        Beside(
            1,
            "The power failed at 14:02. Cupel B6 was half typed and was not stored. "
            "The 11 beads before it are.",
        ),
        "R-09 waits for two beads of the re-run.",
        Beside(14, "Fine: good at 08:05.\nPulp: not checked today. Check it before you weigh."),
    ),
    promise="Enter opens furnace run 0147 at cupel B6.",
    keys=("enter.open", "furnace", "test", "sums", "index", "help", "back.close"),
)

TRAY = Sheet(
    left="Furnace run 0147",
    title="THE TRAY",
    right="KB · 14:31",
    steps=line(
        "1 weigh-in   2 charge   3 fire   ",
        Span("[4 BEADS]", "bold"),
        "   5 parting   6 results   7 seal",
    ),
    block=(
        *_lines("""
notch              back of the muffle
       1       2       3       4       5       6

 A   0.298   0.314   0.107   0.005   1.412   0.452
      016     017     018    blank    019     020
"""),
        (),
        line(" B   0.226   0.188   0.019   0.305   1.031   ", Span("[next]", "waits")),
        *_lines("""
      021     022     023     024    proof    025

 C     .       .       .       .       .       .
      026     027     028    as A2    029     030

 D    lost     .       .       .       .       .
      031     032    known   proof    033     034

                         door

Upper line: bead, mg. Lower line: sample KV-.
"""),
    ),
    margin=(
        "Next: B6, KV-025.",
        Beside(3, "A4, the blank, holds a little metal."),
        Beside(6, "B3 is rough: 0.019 mg, 19 divisions."),
        Beside(9, "C4 repeats A2."),
        Beside(12, "D1 lost: the cupel cracked. KB, 12:40."),
        Beside(15, "11 weighed, 1 lost, 12 to weigh."),
    ),
    promise="Enter goes to the balance with B6.",
    keys=("enter.weigh", "arrows", "look", "lost", "print", "help", "back"),
)

_FIGURES = zip(large("B6", 18), large("0.184", 36), strict=True)
BALANCE = Sheet(
    left="Furnace run 0147",
    title="AT THE BALANCE",
    right="KB · 14:33",
    block=(
        line("Cupel             Bead, mg"),
        (),
        *(line(Span(place + reading, "bold")) for place, reading in _FIGURES),
        (),
        *_lines("""
KV-025, 30.00 g              zero 0.000 before

0.184 ± 0.004 mg, 184 divisions

                                ▼
├──────┼──────────┼──────────────────┼──────────────┤
     0.003      0.020              0.40          5 mg

not      detected,   wider              within
detected rough       than aim           aim
"""),
    ),
    margin=(
        "Wider than aim.",
        "The aim is ± 1 %.\nThis is ± 2.2 %.\nOne reading needs a bead of 0.40 mg.",
        "Or weigh it five times: ± 1.0 %.",
        "Doré: gold and silver together.\nGold not determined.",
        "Spread of one reading: 0.002 mg.",
        "U: k = 2.",
    ),
    promise="Enter stores 0.184 mg for B6 and moves to C1.",
    keys=("enter.store", "repeat", "zero", "look", "lost", "help", "back"),
)

RESULTS = Sheet(
    left="Furnace run 0147",
    title="RESULTS",
    right="KB · 16:10",
    block=(
        *_lines("""
  sample       gold, mg   g/t, assay ±   weighing says
  KV-016        0.261     8.61 ± 0.20   wider than aim
  KV-017 A2     0.272    17.96 ± 0.39   wider than aim
  KV-017 C4     0.279    18.43 ± 0.39   wider than aim
  KV-018        0.081     2.58 ± 0.19   wider than aim
> KV-019        1.198    40.00 ± 0.31   within aim
  KV-023        0.006    < 0.31          rough

KV-019: 40.0 g/t. How far may the truth be away?
"""),
        _led("  by the weighing", "± 0.13"),
        _led("  and the assay", "± 0.31"),
        _led("  and the sample: about 100 grains", "± 8.0 "),
        (),
        line("Where the ± 0.31 comes from, parts in 100"),
        _led("  proofs, two, × 1.005", "62"),
        _led("  weighing the gold", "19"),
        _led("  blank 0.004 mg, taken off", "19"),
        _led("  weighing the sample, 30.00 g", " 0"),
        line("(1.198 - 0.004) mg × 1.005 / 30.00 g = 40.00 g/t"),
    ),
    margin=(
        (
            "Few grains decide KV-019. A finer balance will not help. Take a larger sample, or "
            "screen out the coarse gold."
        ),
        "A2 and C4 repeat one sample: difference not shown.",
        "KV-023 is like the blank. Not zero: up to 0.31 g/t may be there unseen.",
        "6 of 24 shown here.\nU: k = 2, about\n95 in 100.",
    ),
    promise="Enter shows every step of the sum for KV-019.",
    keys=("enter.sum", "arrows", "compare", "units", "note", "help", "back"),
)

CAUGHT = Sheet(
    left="Circuit test R-09",
    title="WHAT WAS CAUGHT",
    right="IM · 17:20",
    block=(
        (),
        *_lines("""
             ┌ 486.4 mg  stage 1 concentrate
  412.2 kg   ┤  82.6 mg  stage 2, from the tailings
  dry feed   └     ?     final tailings, not assayed

  gold by      stage 1   stage 2      recovery, %
  size, mm          mg        mg   if alike   at most
  +1.0           186.4       2.1       98.9      98.9
  -1.0 +0.25     241.7      31.5       87.0      88.5
  -0.25           58.3      49.0       16.0      54.3
  all            486.4      82.6       58.5      85.5

             0        25        50        75       100
  +1.0       . . . . . . . . . . . . . . . . . . . . ┼
  -1.0 +0.25 . . . . . . . . . . . . . . . . . .┼. . .
  -0.25      . . . ├───────────────┤ . . . . . . . . .
  all        . . . . . . . . . . . .├──────────┤ . . .
"""),
    ),
    margin=(
        "Look at -0.25 mm.\nThere stage 1 loses 49 to 307 mg gold.",
        "Recovery of all is 85.5 % at most: then stage 2 missed none.",
        "58.5 %, if stage 2 catches as well as stage 1. Less, if it catches worse.",
        "To know, assay the final tailings.",
        "Weighing adds ± 0.3 points or less.",
    ),
    promise="Enter shows every step of the sum for all sizes.",
    keys=("enter.sum", "arrows", "suppose", "value", "compare", "help", "back"),
)

DRAWN = {
    "contents": CONTENTS,
    "tray": TRAY,
    "balance": BALANCE,
    "results": RESULTS,
    "caught": CAUGHT,
}
