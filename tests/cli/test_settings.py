"""The settings by command: the same fields, checks and file as their page of the bench."""

import os
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE, NOT_GOOD
from assaybench.logbook.settings_fields import FIELDS
from assaybench.logbook.store import passing_name

PRINT = "SHA256:" + "a" * 43
OTHER = "SHA256:" + "b" * 43


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file of the settings in a home of its own."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.delenv("ASSAYBENCH_LOGBOOK", raising=False)
    return tmp_path / "home" / "assaybench" / "settings.toml"


def test_every_field_is_listed_with_value_place_and_meaning(run: Any, path: Path) -> None:
    outcome = run("settings")
    assert (outcome.status, outcome.err) == (DONE, "")
    plain = run("settings", "--plain").out.splitlines()
    assert plain[0] == f"file: {path}"
    found = run("settings", "--json").json["settings"]
    assert [one["id"] for one in found] == [field.name for field in FIELDS]
    for field, one in zip(FIELDS, found, strict=True):
        assert one["help"] == field.help
        assert one["value"] == one["default"]
        assert one["from"] == "default"
        assert any(line.startswith(f"{field.name}: ") for line in plain)
        assert f"What they are: {field.name}: {field.help}" in plain
    assert not path.exists()
    assert max(map(len, outcome.out.splitlines()[3:])) <= 79


def test_what_is_set_is_in_the_file_and_is_shown_to_be(run: Any, path: Path) -> None:
    words = ("aim=2,5 %", "tray=5 x 8", "ascii=YES", "idle_minutes=0", "initials=KB",
             "bench=shed", "logbook=/data/book", "people.KB=K. Berg", "keys.lost=w",
             f"trusted={PRINT}")  # fmt: skip
    outcome = run("settings", *words)
    assert (outcome.status, outcome.err) == (DONE, "")
    assert "Stored in settings.toml: aim, tray, ascii," in outcome.out
    found = {one["id"]: one for one in run("settings", "--json").json["settings"]}
    assert {name: one["value"] for name, one in found.items() if one["from"] == "file"} == {
        "logbook": "/data/book",
        "bench": "SHED",
        "initials": "KB",
        "people": {"KB": "K. Berg"},
        "aim": "2,5 %",
        "tray": "5 x 8",
        "ascii": True,
        "trusted": [PRINT],
        "keys": {"lost": "w"},
        "idle_minutes": 0,
    }


def test_one_is_shown_by_its_name_with_what_can_be_typed(run: Any, path: Path) -> None:
    assert run("settings", "palette", "aim", "--plain").out.splitlines() == [
        "aim: 1 % (default)",
        "palette: day (default)",
        "What they are: aim: aim of a weighing",
        "What they are: palette: colours of the bench",
        "What can be typed: aim: share, as 1 %",
        "What can be typed: palette: day / lamp",
    ]


def test_the_keys_are_listed_with_their_actions(run: Any, path: Path) -> None:
    run("settings", "keys.lost=w")
    outcome = run("settings", "keys", "--plain")
    assert "Keys now: lost: Lost, with a word why.: w" in outcome.out
    actions = {one["id"]: one["key"] for one in run("settings", "keys", "--json").json["actions"]}
    assert (actions["lost"], actions["look"]) == ("w", "l")
    assert "enter" not in actions


def test_a_hyphen_leaves_a_setting_to_the_program_again(run: Any, path: Path) -> None:
    words = ("aim=2%", "ascii=yes", "initials=KB", "people.KB=K. Berg", "people.IM=I. Marsh")
    run("settings", *words, f"trusted={PRINT} {OTHER}")
    run("settings", "aim=-", "ascii=-", "initials=-", "people.KB=-", f"trusted-={PRINT}")
    found = {one["id"]: one for one in run("settings", "--json").json["settings"]}
    assert [name for name, one in found.items() if one["from"] == "file"] == ["people", "trusted"]
    assert (found["people"]["value"], found["trusted"]["value"]) == ({"IM": "I. Marsh"}, [OTHER])
    run("settings", "people=-", "trusted=-")
    assert path.read_text("utf-8").strip() == ""


def test_lines_are_added_to_a_list_once(run: Any, path: Path) -> None:
    run("settings", f"trusted+={PRINT}")
    found = run("settings", f"trusted+={PRINT}", f"trusted+={OTHER}", "--json").json
    assert found["settings"][0]["value"] == [PRINT, OTHER]
    assert found["inputs"] == {"settings": ["trusted"], "changed": ["trusted"]}
    again = run("settings", f"trusted+={PRINT}", "--json").json
    assert [one["code"] for one in again["flags"]] == ["settings_same"]


def test_every_fault_of_a_line_is_told_and_nothing_is_written(run: Any, path: Path) -> None:
    run("settings", "aim=2%")
    before = path.read_bytes()
    words = ("tray=5 x 8", "palette=red", "colour=red", "ascii=maybe", "aim=x", "aim=3%", "cups",
             "people=KB", "people.K9=x", "people.XX=-", "keys.lost=5", "keys.look=x", "tray.a=1",
             "trusted=short", f"trusted-={OTHER}", "idle_minutes=241", "logbook=shed/book",
             "initials=", "signing_key=~no.such.user.1/key", "bench=\x1b")  # fmt: skip
    outcome = run("settings", *words)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    told = "\n".join(outcome.faults)
    for said in (
        'palette: "red" is not a choice',
        '"colour" is not a setting. Settings are logbook,',
        "ascii: Write yes / no.",
        'aim: "x" is not a share',
        "aim: given twice",
        '"cups" is not KEY=VALUE',
        '"people" is no way to write this setting. Write people.NAME=VALUE',
        'people: "K9" is not initials',
        'people.XX: "XX" is not there to be taken out. There is K9.',
        'keys: "5" cannot be a key for lost',
        'keys: "x" for look is the key of lost already',
        '"tray.a" is no way to write this setting. Write tray=VALUE or tray=-.',
        'trusted: "short" is not a fingerprint',
        "is not there to be taken out. There is short.",
        'idle_minutes: "241" is not a whole number',
        'logbook: "shed/book" depends on where you stand',
        'initials: "" is not one line',
        'signing_key: "~no.such.user.1/key" is not a folder',
        "bench: ",
    ):
        assert said in told, said
    assert len(outcome.faults) == 19
    assert path.read_bytes() == before


def test_a_setting_of_the_file_that_does_not_count_is_told(run: Any, path: Path) -> None:
    path.parent.mkdir(parents=True)
    path.write_text('aim = "x"\npalette = "lamp"\nmood = "calm"\nkeys = { look = "x" }\n', "utf-8")
    outcome = run("settings", "--json")
    assert (outcome.status, outcome.err) == (NOT_GOOD, "")
    told = [one["text"] for one in outcome.json["flags"]]
    assert [line.partition(":")[0] for line in told[:1]] == ["setting aim"]
    assert '"mood" is not a setting' in told[1]
    assert "is the key of lost already" in told[2]
    found = {one["id"]: one["from"] for one in outcome.json["settings"]}
    assert (found["aim"], found["palette"]) == ("default", "file")
    assert run("settings", "aim=2%").status == DONE
    assert 'mood = "calm"' in path.read_text("utf-8")


def test_a_file_that_cannot_be_read_is_told_and_never_overwritten(run: Any, path: Path) -> None:
    path.parent.mkdir(parents=True)
    path.write_text("aim = ", "utf-8")
    shown = run("settings", "aim", "--plain")
    assert shown.status == NOT_GOOD
    assert "note: The settings were not read, defaults are used:" in shown.out
    outcome = run("settings", "aim=2%")
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    assert "is not overwritten. Mend it first." in outcome.err
    assert path.read_text("utf-8") == "aim = "
    # nor are its lines said not to be there
    outcome = run("settings", "people.KB=-")
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    assert "is not overwritten. Mend it first." in outcome.err
    assert "taken out" not in outcome.err


def test_a_folder_that_takes_no_file_is_told(run: Any, path: Path) -> None:
    # a folder under the passing name keeps out root too, whom rights of folders do not
    passing = path.with_name(passing_name(f"{path.name}.{os.getpid()}"))
    (passing / "kept").mkdir(parents=True)
    outcome = run("settings", "aim=2%")
    assert (outcome.status, outcome.out) == (NOT_DONE, "")
    assert "settings.toml was not changed: " in outcome.err
    assert not path.exists()


def test_a_file_in_place_of_the_folder_is_told(run: Any, path: Path) -> None:
    path.parent.parent.mkdir()
    path.parent.write_text("", "utf-8")
    outcome = run("settings", "aim=2%")
    assert (outcome.status, outcome.out, len(outcome.faults)) == (NOT_DONE, "", 1)


def test_comments_of_a_file_written_by_hand_stay(run: Any, path: Path) -> None:
    path.parent.mkdir(parents=True)
    path.write_text('# ours\naim = "1 %"  # gold\n\n[people]\nKB = "K. Berg"  # chief\n', "utf-8")
    run("settings", "aim=2%", "people.IM=I. Marsh")
    assert path.read_text("utf-8") == (
        '# ours\naim = "2%"  # gold\n\n[people]\nKB = "K. Berg"  # chief\nIM = "I. Marsh"\n'
    )


def test_a_logbook_that_is_named_elsewhere_is_told(
    run: Any, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", "/data/other")
    said = "ASSAYBENCH_LOGBOOK is set, and counts before logbook: /data/other."
    assert said in run("settings").out
    assert "ASSAYBENCH_LOGBOOK" not in run("settings", "aim").out


def test_a_signing_key_that_is_not_there_is_told_at_once(run: Any, path: Path) -> None:
    outcome = run("settings", "signing_key=/nowhere/key")
    assert outcome.status == DONE
    assert "there is no key file key" in outcome.out


def test_what_the_command_sets_counts_for_other_commands(run: Any, path: Path) -> None:
    book = path.parents[2] / "book"
    run("settings", f"logbook={book}", "initials=KB", "bench=shed")
    assert run("open", "run").status == DONE
    assert [one["id"] for one in run("logbook", "--json").json["logs"]] == ["SHED-000001"]


def test_a_number_without_end_is_told_as_it_was_typed(run: Any, path: Path) -> None:
    outcome = run("settings", "idle_minutes=99999999999")
    assert outcome.status == BAD_INPUT
    assert 'idle_minutes: "99999999999" is not a whole number from 0 to 240.' in outcome.err
    assert not path.exists()
