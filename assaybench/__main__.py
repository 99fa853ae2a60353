"""The door of the program: `assaybench`, or `python -m assaybench`.

On a terminal, without a command, it opens the bench, and with `demo` the bench on a throw-away
copy of the demo. Everything else is a command.
"""

import gc
import os
import sys

SELDOM = 200_000
"""Things made between two collections of garbage: most commands are over before, and a collection
at every 700, the usual number, takes up to a fifth of their time."""
INTERRUPTED = 130
LONG = frozenset({"verify"})
"""Commands that go through thousands of logs collect as usual: their memory stays flat."""


def run() -> None:
    """Run the bench or the command of this process and leave with its exit status."""
    sys.unraisablehook = _swallowed
    try:
        _run(sys.argv[1:])
    except KeyboardInterrupt:
        # struck while the program was being loaded, or at its very end
        sys.exit(INTERRUPTED)


def _run(arguments: list[str]) -> None:
    if arguments in ([], ["demo"]) and _on_a_terminal():
        from assaybench.bench import start

        # from here on the bench alone leaves, for it has to give the terminal back
        sys.unraisablehook = sys.__unraisablehook__
        sys.exit(start.run_demo() if arguments else start.run_bench())
    if LONG.isdisjoint(arguments[:1]):
        collect_seldom()
    from assaybench.cli.app import main

    status = main(arguments)
    gc.freeze()  # the interpreter would look through everything once more before it ends
    sys.exit(status)


def collect_seldom() -> None:
    """Let this process, which does one thing and ends, collect garbage seldom."""
    gc.set_threshold(SELDOM)


def _swallowed(fault: "sys.UnraisableHookArgs") -> None:
    """End by an interrupt that struck where nothing can be raised, as in a callback of an import.

    The interpreter would print it and go on. What was acknowledged is on the disk, so ending here
    is as safe as any other moment.
    """
    if issubclass(fault.exc_type, KeyboardInterrupt):
        os._exit(INTERRUPTED)
    sys.__unraisablehook__(fault)


def _on_a_terminal() -> bool:
    streams = (sys.stdin, sys.stdout, sys.stderr)
    return all(stream is not None and stream.isatty() for stream in streams)


if __name__ == "__main__":
    run()
