"""Seeded malformed hand sheets: a good sheet, and one to four things about its text changed."""

import random

GOOD = """\
[sheet]
log = "furnace run"
title = "Grey Heron, run of 9 June"
date = 2026-06-09
by = "KB"

[method]
aim = "1 %"

[[people]]
initials = "KB"
name = "K. Berg"

[[balances]]
name = "fine"
step = "0.001 mg"
spread = "0.002 mg"
repeats = 10
calibration = "0.02 %"
weighs = ["bead", "gold"]

[[balances]]
name = "pulp"
step = "0,01 g"
weighs = ["charge"]

[[lots]]
lot = "L7"
material = "litharge"

[[samples]]
id = "KV-016"
place = "A1"
silver = "2.000 mg"
lead = "30 g"
lots = ["L7"]
moisture = "8.0 %"
charge = "30.00 g"
bead = ["2.298 mg", "2.299 mg"]
readings = [
    { what = "zero", text = "0.000 mg" },
    { what = "gold", text = "0.261 mg" },
    { what = "zero", text = "-0.001 mg" },
]

[[samples]]
id = "KV-016 b"
role = "duplicate"
of = "KV-016"
from = "pulp"
silver = "unknown"
charge = "30.01 g"
bead = "2.31 mg"
left_out = "spilt"

[[notes]]
text = "draught at the balance"
sample = "KV-016"
"""

LINES = GOOD.splitlines(keepends=True)
SPLINTERS = (
    "", "\n", '"', "'", "=", "[", "]", "[[", "]]", "{", "}", "#", "nan", "inf", "-", "1e400",
    "[[samples]]", "[[balances]]", "[sheet]", '"""', "\x00", "\x1b[31m", "💥", "\u202e", "0x", "½",
    '= "nan mg"', '= "1,234.5 mg"', '= "3 oz"', "= []", "= {}", '= [["a"]]', "= 2026-13-40",
    '= "' + "9" * 200 + ' mg"', '= "<3 mg"', '= "3 ± 1 mg"', "= 1.5", "= -1",
)  # fmt: skip


def spoilt(seed: int) -> bytes:
    """The good sheet with one to four things about its text changed at random."""
    dice = random.Random(seed)
    lines = list(LINES)
    for _ in range(dice.randint(1, 4)):
        place = dice.randrange(len(lines))
        match dice.randrange(7):
            case 0:
                del lines[place]
            case 1:
                lines.insert(place, lines[dice.randrange(len(lines))])
            case 2:
                lines.insert(place, dice.choice(SPLINTERS) + "\n")
            case 3:
                key, sign, _ = lines[place].partition("=")
                lines[place] = (key if sign else "x ") + dice.choice(SPLINTERS) + "\n"
            case 4:
                cut = dice.randrange(len(lines[place]) + 1)
                lines[place] = lines[place][:cut] + dice.choice(SPLINTERS) + lines[place][cut:]
            case 5:
                lines[place] = lines[place].replace(
                    *dice.choice((("mg", "oz"), ("=", ""), ('"', ""), ("[", "")))
                )
            case _:
                lines[place] = lines[place].upper()
    content = "".join(lines).encode()
    if dice.random() < 0.1:
        cut = dice.randrange(len(content))
        content = content[:cut] + dice.randbytes(dice.randint(1, 8)) + content[cut:]
    return content
