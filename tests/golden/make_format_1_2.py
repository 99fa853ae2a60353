"""Made format-1-2/ once, with the keys that were added to format 1; it refuses to make it again.

    python -m tests.golden.make_format_1_2

Added: `copper` of a sample, and the method item `proof_scaling`. The hand sheet in the folder is
the source; the log beside it holds its entries.
"""

import sys
from pathlib import Path

from assaybench.record.handsheet import read
from tests.golden.kept import written

HERE = Path(__file__).parent / "format-1-2"
SHEET = HERE / "copper-and-scaling.sheet.toml"
LOG = HERE / "copper-and-scaling.toml"


def log() -> bytes:
    """The entries of the sheet in the frame of a log."""
    return written(read(SHEET.read_bytes()).entries)


def main() -> None:
    """Make the log."""
    if LOG.exists():
        sys.exit(f"{LOG.name} is there; it is never made again")
    LOG.write_bytes(log())


if __name__ == "__main__":
    main()
