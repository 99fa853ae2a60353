"""Made scatter-1/ once, when the method item `scatter` came to format 1.

    python -m tests.golden.make_scatter_1

A hand sheet and the log of its entries. It refuses to make them again; both are kept as they are.
"""

import sys
from pathlib import Path

from assaybench.record.handsheet import read
from tests.golden.kept import written

HERE = Path(__file__).parent / "scatter-1"
GOLD = {"A": ("1.240", "1.180"), "B": ("1.100", "1.190"), "C": ("1.310", "1.280")}
"""Gold of two charges of 30 g of three samples, mg."""
HEAD = """[sheet]
log = "furnace run"
title = "scatter of all duplicates"
date = 2026-06-10
by = "KB"

[method]
proof = "none"
scatter = "duplicates"

[[balances]]
name = "fine"
step = "0.001 mg"
spread = "0.002 mg"
repeats = 20
weighs = ["bead", "gold"]

[[balances]]
name = "pulp"
step = "0.01 g"
spread = "0.007 g"
repeats = 10
weighs = ["charge"]
"""


def hand_sheet() -> str:
    """The sheet."""
    text = HEAD
    for name, (first, second) in GOLD.items():
        twice = f'role = "duplicate"\nof = "{name}"\n'
        for id_, gold, more in ((name, first, ""), (f"{name}2", second, twice)):
            text += f'\n[[samples]]\nid = "{id_}"\n{more}silver = "none"\n'
            text += f'charge = "30.00 g"\nbead = "2.000 mg"\ngold = "{gold} mg"\n'
    return text


def log(sheet: bytes) -> bytes:
    """The entries of the sheet in the frame of a log."""
    return written(read(sheet).entries)


def main() -> None:
    """Make the folder."""
    if HERE.exists():
        sys.exit(f"{HERE.name} is there; it is never made again")
    HERE.mkdir()
    sheet = hand_sheet().encode()
    (HERE / "sheet.toml").write_bytes(sheet)
    (HERE / "log.toml").write_bytes(log(sheet))


if __name__ == "__main__":
    main()
