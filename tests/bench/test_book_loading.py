"""What the logbook and settings pages load, and when: nothing before it is needed."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

_CODE = """
import json, sys, time
from pathlib import Path
from tests.bench.books import opened_bench, press
from tests.bench.conftest import Clock, desk_in
clock = Clock()
desk = desk_in(Path(sys.argv[1]), clock)
stack = opened_bench(desk)
stack.tick(clock())
for key in sys.argv[2].split():
    press(stack, key)
    while stack.working:
        time.sleep(0.01)
        stack.tick(clock())
print(stack.top.name)
print(json.dumps(sorted(sys.modules)))
"""


def loaded(folder: Path, keys: str) -> tuple[str, set[str]]:
    """The page that these keys lead to, and all that was loaded on the way."""
    done = subprocess.run(
        [sys.executable, "-c", _CODE, str(folder), keys],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    name, modules = done.stdout.splitlines()
    return name, {module.partition(".")[0] for module in json.loads(modules)}


HEAVY = {"sqlite3", "cryptography", "multiprocessing"}


@pytest.mark.parametrize(
    ("keys", "page", "needed"),
    [
        ("down", "contents", set()),
        ("o", "settings", set()),
        ("a", "logbook", {"sqlite3"}),
        ("a v", "verify", {"sqlite3"}),
        ("o " + "down " * 30 + "up enter", "signers", set()),
    ],
)
def test_a_page_loads_what_it_needs_and_no_more(
    tmp_path: Path, keys: str, page: str, needed: set[str]
) -> None:
    name, modules = loaded(tmp_path, keys)
    assert name == page
    assert modules & HEAVY == needed
