"""The door of the program: `assaybench`, or `python -m assaybench`.

On a terminal, without a command, it opens the bench, and with `demo` the bench on a throw-away
copy of the demo. Everything else is a command.
"""

import sys


def run() -> None:
    """Run the bench or the command of this process and leave with its exit status."""
    arguments = sys.argv[1:]
    if arguments in ([], ["demo"]) and _on_a_terminal():
        from assaybench.bench import start

        sys.exit(start.run_demo() if arguments else start.run_bench())
    from assaybench.cli.app import main

    sys.exit(main(arguments))


def _on_a_terminal() -> bool:
    streams = (sys.stdin, sys.stdout, sys.stderr)
    return all(stream is not None and stream.isatty() for stream in streams)


if __name__ == "__main__":
    run()
