"""The wheel: built, opened, installed with its dependencies into an empty environment, and run."""

import os
import subprocess
import sys
import zipfile
from email.parser import HeaderParser
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PIP = ("-m", "pip", "--disable-pip-version-check", "--quiet")
LOGBOOK = "assaybench/_demo/logbook/"
SHEETS = ("furnace-run", "gravity-test", "metallics-and-bar")


def done(*command: str | Path, cwd: Path) -> str:
    """What a command printed; its complaints when it did not end with 0."""
    known = {name: text for name, text in os.environ.items() if name != "PYTHONPATH"}
    made = subprocess.run(
        command, cwd=cwd, env=known, capture_output=True, encoding="utf-8", check=False, timeout=300
    )
    assert made.returncode == 0, made.stderr[-2000:]
    return made.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    done(sys.executable, *PIP, "wheel", ROOT, "--no-deps", "-w", folder, cwd=folder)
    (made,) = folder.glob("*.whl")
    return made


def test_it_carries_the_demo_the_licence_and_its_types(wheel: Path) -> None:
    assert wheel.name.endswith("-py3-none-any.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        for sheet in SHEETS:
            kept = archive.read(f"assaybench/_demo/{sheet}.toml")
            assert kept == (ROOT / "demo" / f"{sheet}.toml").read_bytes()
        for path in (ROOT / "demo" / "circuit").iterdir():
            assert archive.read(f"assaybench/_demo/circuit/{path.name}") == path.read_bytes()
        carried = {name: archive.read(name) for name in names if name.startswith(LOGBOOK)}
        there = [path for path in (ROOT / "demo" / "logbook").rglob("*") if path.is_file()]
        assert f"{LOGBOOK}logs/MAIN/000002.toml.sig" in carried
        assert carried == {
            f"{LOGBOOK}{path.relative_to(ROOT / 'demo' / 'logbook').as_posix()}": path.read_bytes()
            for path in there
        }
        assert "assaybench/py.typed" in names
        licences = [name for name in names if name.rpartition("/")[2] == "LICENSE"]
        assert any(".dist-info/" in name for name in licences)
        licence = (ROOT / "assaybench" / "LICENSE").read_bytes()
        assert all(archive.read(name) == licence for name in licences)
        (metadata,) = [name for name in names if name.endswith(".dist-info/METADATA")]
        head = HeaderParser().parsestr(archive.read(metadata).decode("utf-8"))
    assert head["Name"] == "cupelbook"
    assert head["License-Expression"] == "MIT"
    tops = {name.partition("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"assaybench"}


def test_an_empty_environment_runs_the_demo_from_another_folder(
    wheel: Path, tmp_path: Path
) -> None:
    home = tmp_path / "environment"
    done(sys.executable, "-m", "venv", "--without-pip", home, cwd=tmp_path)
    scripts = home / ("Scripts" if sys.platform == "win32" else "bin")
    exact = ROOT / ".ci" / "constraints.txt"
    there = ("--python", scripts / "python", "install", "--no-compile")
    done(sys.executable, *PIP, *there, "-c", exact, wheel, cwd=tmp_path)
    page = done(scripts / "assaybench", "demo", "--print", cwd=tmp_path)
    assert "Plover Kettle Gulch (invented): furnace run 7" in page
    assert "Samples corrected for cupel loss, 8 of 24 shown" in page
    assert "Run heap B again first: it holds 0.117 g/t at least." in page
    assert "Difference shown: +4.3 points" in page
    kept = next(home.glob("**/assaybench/_demo/logbook"))
    assert "Nothing is amiss: 8 logs looked at." in done(
        scripts / "assaybench", "verify", kept, cwd=tmp_path
    )
    where = "import assaybench; print(assaybench.__file__)"
    assert str(home) in done(scripts / "python", "-c", where, cwd=tmp_path)
