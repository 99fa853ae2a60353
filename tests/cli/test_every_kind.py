"""Every kind of the table is entered and corrected by a command, or refused by design."""

import json
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE
from assaybench.cli.enter import BY_THE_PROGRAM, ENTERED
from assaybench.logbook.folder import Logbook, LogName
from assaybench.record.kinds import BY_NAME

BY = ("--by", "KB")
WHY = ("--reason", "typed wrong")
BEGIN = (
    ("balance", "name=fine", "step=0.001 mg", "weighs=gold"),
    ("weight", "name=W10", "mass=10.000 ± 0.002 mg"),
    ("reagent_lot", "lot=L7", "material=litharge"),
    ("sample", "id=T-1", "role=sample", "silver=none", "lots=L7"),
    ("sample", "id=T-2", "role=duplicate", "of=T-1", "from=pulp"),
    ("note", "text=doubled"),
)
"""Entries 2 to 7 of every log here."""
GOOD: dict[str, tuple[str, ...]] = {
    "person": ("initials=MQ", "name=M. Quist"),
    "method": ("item=aim", "value=1 %"),
    "balance": ("name=pulp", "step=0.01 g", "weighs=charge", "linearity_readings=2"),
    "weight": ("name=W1", "mass=1.000 mg", "accuracy_class=E2"),
    "balance_check": ("balance=fine", "weight=W10", "texts=10.001", "texts=10.000", "unit=mg"),
    "reagent_lot": ("lot=L8", "material=lead", "gold_per_gram=1 ppb"),
    "sample": ("id=T-3", "role=proof", "gold_known=5.00 mg", "silver_known=2.00 mg"),
    "custody": ("sample=T-1", "tag=0017", "state=sealed"),
    "moisture": ("sample=T-1", "water=8.0 %", "basis=wet"),
    "position": ("sample=T-1", "place=B6", "plan=muffle"),
    "reading": ("what=gold", "text=0.261", "unit=mg", "balance=fine", "sample=T-1"),
    "pool": ("id=T-1+2", "samples=T-1", "samples=T-2", "what=gold"),
    "parting": ("sample=T-1", "result=whole"),
    "furnace_mark": ("sample=T-1", "mark=in"),
    "bead_look": ("sample=T-1", "look=round"),
    "asked": ("typed=3.14", "question=times_10", "confirmed=0.314", "unit=mg"),
    "amendment": ("entry=2", "spread=0.002 mg", "reason=certificate"),
    "left_out": ("sample=T-2", "reason=spilled"),
    "withdrawn": ("entry=7", "reason=doubled"),
    "note": ("text=all well", "sample=T-1"),
    "safety_read": ("line=lead_safety",),
    "circuit": ("product=concentrate", "size=+1.0mm", "metal=186.4 mg ± 5 %"),
    "grains": ("count=4", "sample=T-1", "largest=250 um"),
    "price": ("metal=gold", "amount=2000 USD", "per=ozt", "source=invented"),
    "review": ("initials=MQ", "text=readings against the tray"),
}
BAD: dict[str, tuple[str, str]] = {
    "person": ("initials=7", 'initials: "7" is not initials'),
    "method": ("value=99 %", "value: "),
    "balance": ("linearity_readings=7", '"7" is not a whole number from 0 to 2'),
    "weight": ("mass=-1 mg", '"-1 mg" is below zero'),
    "balance_check": ("balance=none", '"none" is not among the balances of this log'),
    "reagent_lot": ("material=sugar", '"sugar" is not a choice for material'),
    "sample": ("of=T-3", '"T-3" would be of itself'),
    "custody": ("sample=T-9", '"T-9" is not among the samples of this log'),
    "moisture": ("water=800 %", "out of range"),
    "position": ("place=??", '"??" is not an id'),
    "reading": ("text=0.261 mg", "Write it like 0.310, the number alone"),
    "pool": ("samples=T-1+2", '"T-1+2" would be of itself'),
    "parting": ("result=dust", '"dust" is not a choice for result'),
    "furnace_mark": ("mark=hot", '"hot" is not a choice for mark'),
    "bead_look": ("look=nice", '"nice" is not a choice for look'),
    "asked": ("unit=oz", "Write ozt"),
    "amendment": ("entry=1", "entry 1 is opened"),
    "left_out": ("sample=T-9", '"T-9" is not among the samples of this log'),
    "withdrawn": ("entry=99", '"99" is not an entry before this one'),
    "note": ("text=a\u202eb", "holds U+202E, a sign that is not printed"),
    "safety_read": ("line=", "is not one line of printable text"),
    "circuit": ("product=dust", '"dust" is not a choice for product'),
    "grains": ("count=-1", '"-1" is not a whole number'),
    "price": ("amount=cheap", '"cheap" is not an amount of money'),
    "review": ("text=" + "x" * 501, "is 501 signs long; 500 are kept"),
}
"""A key of the good entry given badly, and what is said of it."""
ANEW: dict[str, str] = {
    "person": "name=Mirel Quist", "method": "value=2 %", "balance": "step=0.1 g",
    "weight": "mass=1.001 mg", "balance_check": "texts=10.002", "reagent_lot": "material=foil",
    "sample": "client_mark=Vein 3", "custody": "state=open", "moisture": "water=7.5 %",
    "position": "place=B5", "reading": "text=0.216", "pool": "what=bead",
    "parting": "result=broken", "furnace_mark": "mark=out", "bead_look": "look=dull",
    "asked": "confirmed=0.315", "left_out": "sample=T-1", "note": "text=not so well",
    "safety_read": "line=acid_safety", "circuit": "mass=13.0 g", "grains": "count=5",
    "price": "amount=2100 USD", "review": "text=looked again",
}  # fmt: skip


@pytest.fixture
def log(run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A log with what the others need."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    assert run("open", "run", *BY).status == DONE
    for row in BEGIN:
        assert run("enter", "1", *row, *BY).status == DONE
    return Logbook(tmp_path / "book").log(LogName("MAIN", 1))


def test_the_tables_here_name_every_kind() -> None:
    own = {"attachment", "amendment", "withdrawn"}  # an attachment has tests of its own
    assert set(GOOD) == set(BAD) == set(ENTERED) - {"attachment"}
    assert set(ANEW) == set(ENTERED) - own
    assert set(BY_THE_PROGRAM) == set(BY_NAME) - set(ENTERED)


@pytest.mark.parametrize("kind", GOOD)
def test_a_good_entry_is_stored_and_a_bad_one_is_refused(run: Any, log: Path, kind: str) -> None:
    before = log.read_bytes()
    bad, said = BAD[kind]
    key = bad.partition("=")[0]
    pairs = [pair for pair in GOOD[kind] if pair.partition("=")[0] != key]
    refused = run("enter", "1", kind, *pairs, bad, *BY)
    assert (refused.status, refused.out) == (BAD_INPUT, "")
    assert said in refused.err
    assert log.read_bytes() == before
    stored = run("enter", "1", kind, *GOOD[kind], *BY, "--json")
    assert (stored.status, stored.err) == (DONE, "")
    assert [entry["kind"] for entry in stored.json["entries"]] == [kind]
    assert log.read_bytes().startswith(before)


@pytest.mark.parametrize("kind", ANEW)
def test_each_is_corrected_and_what_it_said_stands_struck(run: Any, log: Path, kind: str) -> None:
    n = run("enter", "1", kind, *GOOD[kind], *BY, "--json").json["entries"][0]["id"]
    key, _, value = ANEW[kind].partition("=")
    done = run("correct", "1", str(n), ANEW[kind], *WHY, *BY, "--json")
    assert (done.status, done.err) == (DONE, "")
    (entry,) = done.json["entries"]
    now, was = entry["now"][key], entry["values"].get(key)
    assert str(now if not isinstance(now, list) else now[0]) == value
    assert was != now
    before = log.read_bytes()
    again = run("correct", "1", str(n), ANEW[kind], *WHY, *BY)
    assert again.status == BAD_INPUT
    assert f"entry {n} says so already" in again.err
    assert log.read_bytes() == before


@pytest.mark.parametrize("kind", BY_THE_PROGRAM)
def test_kinds_that_the_program_makes_are_refused(run: Any, log: Path, kind: str) -> None:
    before = log.read_bytes()
    refused = run("enter", "1", kind, "number=1", *BY)
    assert refused.status == BAD_INPUT
    assert f'"{kind}" is not a kind of entry here' in refused.err
    assert log.read_bytes() == before


def test_a_load_belongs_to_a_sample(run: Any, log: Path) -> None:
    before = log.read_bytes()
    gold = ("reading", "what=gold", "text=0.261", "unit=mg", "balance=fine")
    refused = run("enter", "1", *gold, *BY)
    assert refused.status == BAD_INPUT
    assert "gold of which sample? Only a zero belongs to none" in refused.err
    assert log.read_bytes() == before
    zero = ("reading", "what=zero", "text=0.000", "unit=mg", "balance=fine")
    assert run("enter", "1", *zero, *BY).status == DONE


def test_no_correction_makes_samples_of_each_other(run: Any, log: Path) -> None:
    before = log.read_bytes()
    refused = run("correct", "1", "5", "of=T-2", *WHY, *BY)
    assert refused.status == BAD_INPUT
    assert '"T-1" would be of itself' in refused.err
    assert log.read_bytes() == before


def test_what_is_withdrawn_is_neither_corrected_nor_withdrawn_again(run: Any, log: Path) -> None:
    assert run("enter", "1", "withdrawn", "entry=7", "reason=doubled", *BY).status == DONE
    before = log.read_bytes()
    for line in (("correct", "1", "7", "text=x", *WHY),
                 ("enter", "1", "withdrawn", "entry=7", "reason=again")):  # fmt: skip
        refused = run(*line, *BY)
        assert refused.status == BAD_INPUT
        assert "entry 7 is withdrawn and counts no more" in refused.err
    assert log.read_bytes() == before


def test_what_a_file_is_cannot_be_corrected_but_its_sample_can(
    run: Any, log: Path, tmp_path: Path
) -> None:
    photo = tmp_path / "tray.jpg"
    photo.write_bytes(b"photo")
    stored = run("enter", "1", "attachment", f"file={photo}", *BY, "--json").json
    n = str(stored["entries"][0]["id"])
    before = log.read_bytes()
    for pair in ("file=other.jpg", "size=6", "sha256=" + "a" * 64):
        refused = run("correct", "1", n, pair, *WHY, *BY)
        assert refused.status == BAD_INPUT
        assert "only its sample can be given anew" in refused.err
    assert log.read_bytes() == before
    assert run("correct", "1", n, "sample=T-1", *WHY, *BY).status == DONE


def test_another_reason_needs_another_entry(run: Any, log: Path) -> None:
    n = run("enter", "1", "left_out", *GOOD["left_out"], *BY, "--json").json["entries"][0]["id"]
    refused = run("correct", "1", str(n), *WHY, *BY)
    assert refused.status == BAD_INPUT
    assert "Give one of sample." in refused.err
    assert "withdraw this one, enter it again" in refused.err


def test_json_of_an_entry_has_no_sign_that_is_no_number(run: Any, log: Path) -> None:
    def refuse(name: str) -> None:
        raise AssertionError(name)

    text = run("show", "1", "--json").out
    assert json.loads(text, parse_constant=refuse)["log"][0]["state"] == "sound"
