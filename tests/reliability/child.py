"""A process that stores notes in a log and says each number only after it was stored.

python child.py LOG START
"""

import os
import sys
from pathlib import Path

from assaybench.logbook.opening import open_log
from tests.reliability.faulty import keeper


def main() -> None:
    """Store notes for ever; the parent kills this process."""
    text = int(sys.argv[2])
    with open_log(Path(sys.argv[1]), keeper()) as log:
        while True:
            log.append("note", {"text": f"{text} {'µ' * (text % 90)}"})
            os.write(1, b"%d\n" % text)
            text += 1


if __name__ == "__main__":
    main()
