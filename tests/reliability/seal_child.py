"""A process that makes logs and seals them, and says each number only after it was sealed.

python seal_child.py LOGBOOK FOLDER_OF_THE_KEY
"""

import os
import sys
from pathlib import Path

from assaybench.logbook.folder import Logbook
from assaybench.logbook.register import LogHead, new_log
from assaybench.logbook.seal import seal
from tests.logbook.sealable import HEAD, ROWS, signer_in
from tests.reliability.faulty import keeper


def main() -> None:
    """Seal logs for ever; the parent kills this process."""
    book, signer = Logbook(Path(sys.argv[1])), signer_in(Path(sys.argv[2]))
    os.write(1, b"0\n")
    while True:
        name, log = new_log(book, "MAIN", keeper(), LogHead("furnace run", 1))
        log.append_all(ROWS)
        log.close()
        seal(book, name, keeper(), signer, HEAD)
        os.write(1, b"%d\n" % name.number)


if __name__ == "__main__":
    main()
