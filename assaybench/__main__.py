"""The door of the program: `assaybench`, or `python -m assaybench`."""

import sys

from assaybench.cli.app import main


def run() -> None:
    """Run the command of this process and leave with its exit status."""
    sys.exit(main(sys.argv[1:]))


if __name__ == "__main__":
    run()
