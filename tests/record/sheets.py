"""The head of a short hand sheet, for tests that write their own samples below it."""

SHEET = """\
[sheet]
log = "furnace run"
title = "Run"
date = 2026-06-09
by = "KB"
"""


def balance(name: str, step: str, *weighs: str, spread: str = "", more: str = "") -> str:
    """One balance of a sheet.

    Args:
        name: its name.
        step: its readability.
        weighs: what it weighs.
        spread: its repeatability and the weighings behind it, `0.002 mg, 12`; empty: not measured.
        more: further lines.
    """
    value, _, repeats = spread.partition(", ")
    known = f'spread = "{value}"\nrepeats = {repeats}\n' if spread else ""
    things = ", ".join(f'"{what}"' for what in weighs)
    named = f'\n[[balances]]\nname = "{name}"\nstep = "{step}"\n'
    return f"{named}{known}{more}weighs = [{things}]\n"
