"""Made products-2/ once, when final tailings by size and metal below zero came to a circuit.

    python -m tests.golden.make_products_2

A log and a hand sheet with what came to format 1 after the folders beside were made. It refuses to
make them again; both are kept as they are.
"""

import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path

from assaybench.record.frame import Chain, framed
from assaybench.record.kinds import BY_NAME

HERE = Path(__file__).parent / "products-2"
NOON = datetime(2026, 6, 10, 12, 0, 0, 0, timezone(timedelta(hours=2)))
ROWS: tuple[dict[str, str], ...] = (
    {"product": "feed", "mass": "100.0 ± 1.0 kg"},
    {"product": "concentrate", "size": "+1 mm", "metal": "120.0 ± 4.0 mg"},
    {"product": "concentrate", "size": "-1 mm", "metal": "60.0 ± 2.0 mg"},
    {"product": "rerun", "size": "+1 mm", "metal": "-0.10 ± 0.20 mg"},
    {"product": "rerun", "size": "-1 mm", "metal": "20.0 ± 1.0 mg"},
    {"product": "tailings", "size": "+1 mm", "mass": "40.0 kg", "grade": "<0.050 g/t"},
    {"product": "tailings", "size": "-1 mm", "mass": "57.0 kg", "grade": "0.350 ± 0.050 g/t"},
)
TITLE = "tailings by size"


def log() -> bytes:
    """A log of the rows, the frame alone."""
    opened: dict[str, object] = {
        "log": "circuit test", "number": 1, "bench": "MAIN", "method_version": 1,
        "program": "assaybench 0.1.0", "title": TITLE,
    }  # fmt: skip
    chain, parts = Chain(BY_NAME), []
    for kind, values in [("opened", opened), *(("circuit", dict[str, object](r)) for r in ROWS)]:
        data, link = framed(chain, NOON + timedelta(minutes=chain.n), "KB", kind, values)
        chain.step(kind, link)
        parts.append(data)
    return b"".join(parts)


def hand_sheet() -> str:
    """The rows as somebody has them on paper."""
    head = f'[sheet]\nlog = "circuit test"\ntitle = "{TITLE}"\ndate = 2026-06-10\nby = "KB"\n'
    tables = ("".join(f'{key} = "{text}"\n' for key, text in row.items()) for row in ROWS)
    return head + "".join(f"\n[[circuit]]\n{table}" for table in tables)


def main() -> None:
    """Make the folder."""
    if HERE.exists():
        sys.exit(f"{HERE.name} is there; it is never made again")
    HERE.mkdir()
    (HERE / "log.toml").write_bytes(log())
    (HERE / "sheet.toml").write_bytes(hand_sheet().encode())


if __name__ == "__main__":
    main()
