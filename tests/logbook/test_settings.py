"""The settings: bad ones are told in one line each and never stop anybody."""

import time
import tomllib
from pathlib import Path

import pytest

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.settings import LARGEST_BYTES, load, save
from assaybench.logbook.settings_fields import FIELDS, Settings, Tray
from assaybench.messages import BadInput
from tests.reliability.faulty import FullDisk

PRINT = "SHA256:" + "a" * 43
GOOD = f"""\
# written by hand
logbook = "/data/book"
bench = "east"
initials = "KB"
aim = "0,5 %"
decimal_mark = "comma"
palette = "lamp"
tray = "5x8"
cups = "2 × 3"
planned_power = "90 %"
ascii = true
trusted = ["{PRINT}"]

[people]
KB = "K. Berg"

[keys]
seal = "x"
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "config" / "settings.toml"


def written(path: Path, text: str | bytes) -> Path:
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_every_field_is_in_the_table_with_its_default_and_meaning() -> None:
    assert [field.name for field in FIELDS] == list(Settings._fields)
    assert all(field.help and field.default == getattr(Settings(), field.name) for field in FIELDS)


def test_a_missing_file_gives_the_defaults(path: Path) -> None:
    assert load(Files(), path) == (Settings(), (), {}, "")


def test_good_settings_count(path: Path) -> None:
    found = load(Files(), written(path, GOOD))
    assert found.faults == ()
    assert found.settings == Settings(
        logbook="/data/book",
        bench="EAST",
        initials="KB",
        people={"KB": "K. Berg"},
        aim="0,5 %",
        decimal_mark="comma",
        palette="lamp",
        tray=Tray(5, 8),
        cups=Tray(2, 3),
        planned_power="90 %",
        ascii=True,
        trusted=(PRINT,),
        keys={"seal": "x"},
    )


BAD = {
    'logbook = "shed/book"': 'setting logbook: "shed/book" depends on where you stand.',
    'logbook = "~no.such.user.1/book"': 'setting logbook: "~no.such.user.1/book" is not a folder',
    "logbook = 7": 'setting logbook: "7" is not text. Write it in quotes. The default is used.',
    'bench = "1"': 'setting bench: "1" is not a name for a bench',
    'initials = "K B"': 'setting initials: "K B" is not initials',
    'people = "KB"': 'setting people: "KB" is not a table of texts.',
    "people = {KB = 1}": 'setting people: "1" is not text.',
    'people = {"" = "x"}': 'setting people: "" is not one line',
    'aim = "1"': 'setting aim: "1" is not a share.',
    "aim = 1.5": 'setting aim: "1.5" is not text.',
    'aim = "0 %"': 'setting aim: "0 %" is out of range',
    'decimal_mark = ";"': 'setting decimal_mark: ";" is not a choice for decimal_mark. Write as',
    'palette = "night"': 'setting palette: "night" is not a choice for palette. Write day, lamp.',
    'tray = "4"': 'setting tray: "4" is not rows x columns, like "4 x 6".',
    'tray = "0 x 6"': 'setting tray: "0 x 6" is not rows x columns',
    'cups = "100 x 100"': 'setting cups: "100 x 100" is not rows',
    'planned_power = "100 %"': 'setting planned_power: "100 %" is out of range',
    'ascii = "yes"': 'setting ascii: "yes" is neither true nor false.',
    'trusted = "SHA256"': "setting trusted:",
    'trusted = ["SHA256:a"]': 'setting trusted: "SHA256:a" is not a fingerprint',
    'colour = "red"': '"colour" is not a setting. Settings are logbook, bench,',
}


@pytest.mark.parametrize("line", BAD)
def test_a_bad_setting_is_one_line_and_the_others_count(path: Path, line: str) -> None:
    other = 'palette = "lamp"\n' if "palette" not in line else 'aim = "2 %"\n'
    found = load(Files(), written(path, other + line + "\n"))
    (fault,) = found.faults
    assert fault.startswith(BAD[line])
    assert found.settings in (Settings(palette="lamp"), Settings(aim="2 %"))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("aim = ", "not TOML"),
        (b"aim = '\xff'", "not UTF-8 text from byte 7 on"),
        ("aim = 1\naim = 2", "not TOML"),
        ("a = " + "[\n" * 30_000, "nested too deep"),
        ("a = " + "9" * 60_000, "line 1 has more than 1000 bytes"),
        ("\na" + ".a" * 31_000 + " = 1", "line 2 has more than 1000 bytes"),
        ("x" * (LARGEST_BYTES + 1), "more than 64000 bytes"),
    ],
)
def test_a_file_that_cannot_be_read_gives_the_defaults_and_one_line(
    path: Path, content: str | bytes, words: str
) -> None:
    found = load(Files(), written(path, content))
    assert found.settings == Settings()
    (fault,) = found.faults
    assert words in fault
    assert "\n" not in fault


def test_dotted_keys_take_a_bounded_time(path: Path) -> None:
    content = "".join(f"[a{'.a' * 450}.b{i}]\n" for i in range(66))
    begun = time.process_time()
    assert load(Files(), written(path, content)).settings == Settings()
    assert time.process_time() - begun < 3


def test_a_folder_in_place_of_the_settings_gives_the_defaults(path: Path) -> None:
    path.mkdir(parents=True)
    found = load(Files(), path)
    assert found.settings == Settings()
    assert len(found.faults) == 1


def test_saving_keeps_the_rest_and_what_a_newer_program_wrote(path: Path) -> None:
    written(path, GOOD + '\n[later]\nthing = "kept"\n')
    settings = save(Files(), path, {"aim": "2 %", "tray": str(Tray(3, 4))}).settings
    assert (settings.aim, settings.tray, settings.bench) == ("2 %", Tray(3, 4), "EAST")
    tree = tomllib.loads(path.read_text())
    assert tree["later"] == {"thing": "kept"}
    assert load(Files(), path).settings == settings
    assert list(path.parent.iterdir()) == [path]


def test_saving_makes_the_file_and_its_folder(path: Path) -> None:
    save(Files(), path, {"initials": "KB"})
    assert load(Files(), path).settings == Settings(initials="KB")


def test_a_bad_value_or_an_unreadable_file_is_never_written(path: Path) -> None:
    written(path, GOOD)
    for changes in ({"aim": "x"}, {"mood": "calm"}):
        with pytest.raises(BadInput):
            save(Files(), path, changes)
    assert path.read_text() == GOOD
    written(path, "aim = ")
    with pytest.raises(BadInput, match="is not overwritten"):
        save(Files(), path, {"aim": "1 %"})
    assert path.read_text() == "aim = "


def test_a_full_disk_leaves_the_old_settings(path: Path) -> None:
    written(path, GOOD)
    with pytest.raises(NotDone, match=r"settings\.toml was not changed: the disk is full"):
        save(FullDisk(20), path, {"aim": "2 %"})
    assert path.read_text() == GOOD


def test_what_another_program_stored_meanwhile_stays(path: Path) -> None:
    save(Files(), path, {"aim": "2 %"})
    path.write_text(path.read_text() + 'palette = "lamp"\n')
    found = save(Files(), path, {"ascii": True}).settings
    assert (found.aim, found.palette, found.ascii) == ("2 %", "lamp", True)


def test_none_leaves_a_setting_to_the_program_and_takes_it_out_of_the_file(path: Path) -> None:
    save(Files(), path, {"aim": "2 %", "people": {"KB": "K. Berg"}})
    assert save(Files(), path, {"aim": None, "people": None}).settings == Settings()
    assert load(Files(), path).tree == {}


def test_what_could_not_be_read_again_is_not_written(path: Path) -> None:
    written(path, GOOD)
    long = {f"K{chr(65 + i // 26)}{chr(65 + i % 26)}": "\u00e4" * 400 for i in range(90)}
    with pytest.raises(BadInput, match=r"settings\.toml: more than 64000 bytes"):
        save(Files(), path, {"people": long})
    with pytest.raises(BadInput, match=r"settings\.toml: line .* has more than 1000 bytes"):
        save(Files(), path, {"people": {"KB": "\U0001f70d" * 400}})
    assert path.read_text() == GOOD


def test_a_file_that_cannot_be_read_is_told_with_its_reason(path: Path) -> None:
    written(path, "aim = ")
    with pytest.raises(BadInput) as told:
        save(Files(), path, {"aim": "1 %"})
    assert "settings.toml: " in told.value.lines[0]
    assert "is not overwritten" in told.value.lines[1]
    path.unlink()
    path.mkdir()
    with pytest.raises(NotDone):
        save(Files(), path, {"aim": "1 %"})


def test_a_key_that_another_action_has_is_not_stored(path: Path) -> None:
    with pytest.raises(BadInput, match='keys: "x" for look is the key of lost already'):
        save(Files(), path, {"keys": {"look": "x"}})
    assert not path.exists()


def test_a_file_that_is_no_toml_is_told_with_its_line(path: Path) -> None:
    (fault,) = load(Files(), written(path, 'aim = "1 %"\nascii = \n')).faults
    assert "(at line 2, column 9)" in fault


@pytest.mark.parametrize("there", [True, False])
def test_a_file_behind_a_link_is_written_where_it_lies(path: Path, *, there: bool) -> None:
    """People keep such files in a folder of their own, under version control."""
    kept = path.parent.parent / "dotfiles" / "cupel.toml"
    kept.parent.mkdir()
    path.parent.mkdir()
    path.symlink_to(kept)
    if there:
        kept.write_text(GOOD)
    save(Files(), path, {"aim": "2 %"})
    assert path.is_symlink()
    assert 'aim = "2 %"' in kept.read_text()
    assert ("# written by hand" in kept.read_text()) == there
    assert [*path.parent.iterdir(), *kept.parent.iterdir()] == [path, kept]


def test_links_that_lead_nowhere_are_told(path: Path) -> None:
    path.parent.mkdir()
    path.symlink_to(path)
    with pytest.raises(NotDone, match=r"settings\.toml"):
        save(Files(), path, {"aim": "2 %"})
    assert path.is_symlink()


@pytest.mark.parametrize("content", ["ascii = 1\n", "ascii = 1.0\n"])
def test_a_value_that_only_the_language_holds_for_equal_is_changed(
    path: Path, content: str
) -> None:
    assert load(Files(), written(path, content)).faults
    assert save(Files(), path, {"ascii": True}).settings.ascii
    assert path.read_text() == "ascii = true\n"


def test_a_file_of_deep_tables_can_be_changed(path: Path) -> None:
    deep = ".".join("a" * 450)
    written(path, f"[b.{deep}]\n{deep} = 1\n")
    assert load(Files(), path).faults
    save(Files(), path, {"aim": "2 %"})
    assert load(Files(), path).settings.aim == "2 %"
