"""The house stands as drawn: floors, pure parts, small files, one copy of each thing."""

import json
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

import assaybench
from assaybench.cli.table import COMMANDS, Entry
from assaybench.messages import PARTS

PACKAGE = Path(str(files(assaybench)))
ROOT = PACKAGE.parent
PURE_FLOORS = (
    "messages",
    *(f"messages_{part}" for part in PARTS),
    "units",
    "metrology",
    "assay",
    "circuit",
    "record",
)
NEVER_IN_A_PURE_FLOOR = {
    "click",
    "cryptography",
    "filelock",
    "platformdirs",
    "textual",
    "tomli_w",
    "numpy",
    "scipy",
}
NEVER_IN_A_QUICK_SUM = NEVER_IN_A_PURE_FLOOR - {"click"} | {"pint", "statistics", "json"}


def modules_after(code: str) -> set[str]:
    """Names of all modules loaded by a fresh interpreter that ran `code`."""
    script = f"{code}\nimport sys as _s, json as _j\nprint('\\n' + _j.dumps(sorted(_s.modules)))"
    # -I leaves the user's own start-up files out; a site hook of a test library may load numpy.
    done = subprocess.run(
        [sys.executable, "-I", "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


def pure_modules() -> list[str]:
    found = []
    for floor in PURE_FLOORS:
        path = PACKAGE / floor
        sources = sorted(path.rglob("*.py")) if path.is_dir() else [path.with_suffix(".py")]
        found += [".".join(s.relative_to(ROOT).with_suffix("").parts) for s in sources]
    return [name.removesuffix(".__init__") for name in found]


def test_pure_floors_load_no_terminal_no_key_and_no_disk_library() -> None:
    imports = "\n".join(f"import {name}" for name in pure_modules())
    # uncertainties takes numpy when it finds it: tests have numpy, users do not.
    hidden = "import sys; sys.modules['numpy'] = None\n"
    loaded = modules_after(hidden + imports)
    tops = {name.partition(".")[0] for name in loaded if name != "numpy"}
    assert not tops & (NEVER_IN_A_PURE_FLOOR - {"numpy"})
    assert "pint" not in tops


def test_weigh_loads_only_what_it_needs() -> None:
    code = (
        "import sys; sys.modules['numpy'] = None\n"
        "from assaybench.cli.app import main\n"
        "main(['weigh', '0.31mg', '--readability', '0.01mg'])"
    )
    tops = {name.partition(".")[0] for name in modules_after(code)}
    assert not tops & (NEVER_IN_A_QUICK_SUM - {"numpy", "json"})


def test_no_source_file_is_longer_than_four_hundred_lines() -> None:
    lengths = {p: len(p.read_text("utf-8").splitlines()) for p in PACKAGE.rglob("*.py")}
    assert {p.name: n for p, n in lengths.items() if n > 400} == {}


@pytest.mark.parametrize("entry", COMMANDS, ids=lambda entry: entry.name)
def test_every_command_of_the_table_has_its_file(entry: Entry) -> None:
    assert (PACKAGE / "cli" / f"{entry.module}.py").is_file()


def test_the_package_is_typed_and_carries_its_licence() -> None:
    assert (PACKAGE / "py.typed").is_file()
    assert "MIT License" in (PACKAGE / "LICENSE").read_text("utf-8")
