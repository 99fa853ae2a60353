"""Made products-1/ once, when stage-1 tailings became a product; it refuses to make it again.

    python -m tests.golden.make_products_1

A log and a hand sheet with the word that came to format 1 after the folder beside was made. Both
are kept as they are, as that is.
"""

import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path

from assaybench.record.frame import Chain, framed
from assaybench.record.kinds import BY_NAME

HERE = Path(__file__).parent / "products-1"
NOON = datetime(2026, 6, 9, 12, 0, 0, 0, timezone(timedelta(hours=2)))
ROWS: tuple[dict[str, str], ...] = (
    {"product": "feed", "mass": "100.0 ± 1.0 kg"},
    {"product": "concentrate", "metal": "120.0 ± 4.0 mg"},
    {"product": "stage-1 tailings", "mass": "98.0 ± 1.0 kg", "grade": "0.830 ± 0.060 g/t"},
    {"product": "rerun", "metal": "39.0 ± 3.0 mg"},
    {"product": "tailings", "mass": "95.0 ± 1.0 kg", "grade": "0.430 ± 0.050 g/t"},
)
TITLE = "two stages, assayed between"


def log() -> bytes:
    """A log of the rows, the frame alone."""
    opened: dict[str, object] = {
        "log": "circuit test", "number": 1, "bench": "MAIN", "method_version": 1,
        "program": "assaybench 0.1.0", "title": TITLE,
    }  # fmt: skip
    grains = [
        ("grains", {"count": n, "product": "stage-1 tailings", "size": size})
        for n, size in ((3, "+1 mm"), (11, "-1 mm"))
    ]
    entries: list[tuple[str, dict[str, object]]] = [
        ("opened", opened),
        *(("circuit", dict[str, object](row)) for row in ROWS),
        *grains,
    ]
    chain, parts = Chain(BY_NAME), []
    for kind, values in entries:
        at = NOON + timedelta(minutes=chain.n)
        data, link = framed(chain, at, "KB", kind, values)
        chain.step(kind, link)
        parts.append(data)
    return b"".join(parts)


def hand_sheet() -> str:
    """The rows as somebody has them on paper."""
    head = f'[sheet]\nlog = "circuit test"\ntitle = "{TITLE}"\ndate = 2026-06-09\nby = "KB"\n'
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
