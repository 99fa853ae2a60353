"""In an environment with run-time dependencies only: what is loaded, and what is not.

Run by the project's check with the interpreter of that environment; needs no test library.
"""

import contextlib
import io
import sys

NEVER = ("textual", "pint", "cryptography", "numpy", "scipy", "statistics", "json")


def main() -> int:
    """0 when the quick sum loads nothing heavy and the environment holds no test library."""
    from assaybench.cli.app import main as run

    with contextlib.redirect_stdout(io.StringIO()) as page:
        status = run(["weigh", "0.31mg", "--readability", "0.01mg"])
    loaded = sorted(name for name in NEVER if name in sys.modules)
    if status or loaded or "wider than aim" not in page.getvalue():
        print(f"weigh: exit status {status}, loaded {loaded}")
        return 1
    import importlib.util

    tested_with = ("numpy", "pytest", "hypothesis")
    strangers = [name for name in tested_with if importlib.util.find_spec(name)]
    if strangers:
        print(f"this environment holds test libraries: {strangers}")
        return 1
    print("run-time-only environment: imports are as drawn")
    return 0


if __name__ == "__main__":
    sys.exit(main())
