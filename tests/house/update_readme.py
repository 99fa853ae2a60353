"""Writes into the README what its commands print now, and its pages of the bench from their dumps.

    python -m tests.house.update_readme

The mark that one command takes is the one that the report above it prints. Look at the difference
before you keep it.
"""

import re
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.house.test_readme import PAGE, ROOT, dump, readme, run_all, shown

MARK = re.compile(r"--mark ([0-9]+:[0-9a-f]{16,})")


def main() -> None:
    """Rewrite the README in place."""
    path = ROOT / "README.md"
    text = readme()
    report = next(command for command, _ in shown() if " report " in command)
    with TemporaryDirectory() as scratch:
        now = MARK.search(run_all(Path(scratch), [report])[report])
    assert now is not None
    commands = [(old, MARK.sub(now[0], old), out) for old, out in shown()]
    with TemporaryDirectory() as scratch:
        printed = run_all(Path(scratch), [command for _, command, _ in commands])
    for old, command, out in commands:
        before, after = f"$ {old}\n{out}".rstrip(), f"$ {command}\n{printed[command]}".rstrip()
        assert text.count(before) == 1, old
        text = text.replace(before, after)
    for name, page in PAGE.findall(text):
        text = text.replace(page, dump(name))
    path.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
