"""Proofs, copper, items of the method and two sorts of figures in a log, as from a shell."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE

BY = ("--by", "KB")
FINE = ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10", "weighs=gold")
PULP = ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10", "weighs=charge")
CHARGE = ("silver=none", "lead=20 g")
CORRECTED, NOT = "corrected for cupel loss", "not corrected for cupel loss"


@pytest.fixture
def enter(run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Entries into a log of its own; the commands see no settings of this machine."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    assert run("open", "run", *BY, "--title", "Sable Tarn, invented").status == DONE

    def call(kind: str, *pairs: str) -> Any:
        return run("enter", "1", kind, *pairs, *BY)

    for kind, *pairs in (FINE, PULP):
        assert call(kind, *pairs).status == DONE
    return call


def stored(enter: Any, *rows: tuple[str, ...]) -> None:
    for kind, *pairs in rows:
        outcome = enter(kind, *pairs)
        assert outcome.status == DONE, outcome.err


def proof(name: str, gold: str, *more: str) -> list[tuple[str, ...]]:
    taken = ("role=proof", "gold_known=1.000 ± 0.001 mg", *CHARGE, *more)
    return [("sample", f"id={name}", *taken), reading("gold", name, gold, "mg", "fine")]


def reading(what: str, name: str, text: str, unit: str, balance: str) -> tuple[str, ...]:
    return (
        "reading", f"what={what}", f"text={text}", f"unit={unit}", f"balance={balance}",
        f"sample={name}",
    )  # fmt: skip


def assayed(name: str, gold: str, *more: str) -> list[tuple[str, ...]]:
    sample = ("sample", f"id={name}", *(more or ("role=sample", *CHARGE)))
    return [sample, reading("charge", name, "20.00", "g", "pulp"),
            reading("gold", name, gold, "mg", "fine")]  # fmt: skip


def gold_of(run: Any, name: str) -> Any:
    outcome = run("results", "1", "--json")
    assert outcome.status == DONE, outcome.err
    return next(s for s in outcome.json["samples"] if s["id"] == name)


def test_proofs_are_scaled_in_a_log_where_its_method_says_so(run: Any, enter: Any) -> None:
    """Two proofs lose 0.009 mg of 1 mg: 8 mg lose 0.036 mg, four times as much, by m^(2/3)."""
    stored(enter, *proof("P-1", "0.990"), *proof("P-2", "0.992"), *assayed("T-1", "8.000"))
    before = gold_of(run, "T-1")
    assert before["figures"]["gold"]["value"] == 8.0
    assert before["correction"] == NOT
    stored(enter, ("method", "item=proof_scaling", "value=surface", "reason=no proof of 8 mg"))
    after = gold_of(run, "T-1")
    assert after["figures"]["gold"]["value"] == pytest.approx(8.036)
    assert after["correction"] == CORRECTED
    assert any("by surface (mass to the power 2/3): declared" in a for a in after["assumptions"])
    against = run("compare", "--log", "1", "--sample", "T-1", "--cutoff", "401 g/t", "--json")
    assert any("by surface" in text for text in against.json["assumptions"])
    shown = run("results", "1").out
    said = "Loss of the proof times 4.00, by surface (mass to the power 2/3): declared."
    assert said in " ".join(shown.split())


def test_copper_is_entered_with_its_unit_and_must_match(run: Any, enter: Any) -> None:
    with_copper = ("copper=5.00 mg",)
    stored(
        enter,
        *proof("P-1", "0.990", *with_copper),
        *assayed("T-1", "1.000", "role=sample", *CHARGE, *with_copper),
        *assayed("T-2", "1.001"),
    )
    assert gold_of(run, "T-1")["figures"]["gold"]["value"] == pytest.approx(1.010)
    other = gold_of(run, "T-2")
    assert other["figures"]["gold"]["value"] == 1.001
    assert any("the proof had 5 mg of copper, the bead 0 mg" in f["text"] for f in other["flags"])
    bare = enter("sample", "id=T-3", "role=sample", "copper=5")
    assert (bare.status, len(bare.faults)) == (BAD_INPUT, 1)
    assert bare.faults[0].startswith('assaybench enter: copper: "5" has no unit.')
    fixed = run("correct", "1", "9", "copper=5 mg", "--reason", "was in the charge", *BY)
    assert fixed.status == DONE, fixed.err
    assert gold_of(run, "T-2")["figures"]["gold"]["value"] == pytest.approx(1.011)


@pytest.mark.parametrize(
    ("pairs", "line"),
    [
        (
            ("item=prof", "value=ratio"),
            'assaybench enter: item: "prof" is not an item of the method. Write proof; others are',
        ),
        (
            ("item=proof", "value=ratoi"),
            'assaybench enter: value: "ratoi" is not a choice for proof. Write additive, ratio',
        ),
        (("item=fire_minutes", "value=soon"), "assaybench enter: value: "),
    ],
)
def test_what_is_no_choice_of_the_method_is_not_stored(
    run: Any, enter: Any, pairs: tuple[str, ...], line: str
) -> None:
    before = run("show", "1").out
    outcome = enter("method", *pairs)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert outcome.faults[0].startswith(line)
    assert run("show", "1").out == before
    client = ("method", "item=client", "value=Odda Farrow")
    stored(enter, client, ("method", "item=proof", "value=ratio"))
    wrong = run("correct", "1", "5", "value=ratoi", "--reason", "slip", *BY)
    assert (wrong.status, len(wrong.faults)) == (BAD_INPUT, 1)
    assert '"ratoi" is not a choice for proof' in wrong.err


def test_the_help_of_enter_names_the_items(run: Any) -> None:
    said = " ".join(run("enter", "--help").out.split())
    assert "item of method: aim, proof, proof_scaling, silver, grain_size" in said


@pytest.fixture
def mixed(enter: Any) -> Any:
    """T-1 three times: 45.0 and 46.0 g/t with a loss of 0.010 mg added, 44.0 g/t without."""
    repeat = ("role=duplicate", "of=T-1", "from=pulp", "silver=none")
    stored(
        enter,
        *proof("P-1", "0.990"),
        *proof("P-2", "0.990"),
        *assayed("T-1", "0.890"),
        *assayed("T-1 b", "0.880", *repeat, "lead=40 g"),
        *assayed("T-1 c", "0.910", *repeat, "lead=20 g"),
    )
    return enter


def test_a_cut_off_takes_the_mean_of_one_sort_and_says_which(run: Any, mixed: Any) -> None:
    outcome = run("compare", "--log", "1", "--sample", "T-1", "--cutoff", "45 g/t", "--json")
    assert outcome.status == DONE, outcome.err
    assert outcome.json["figures"]["a"]["value"] == pytest.approx(45.5)
    assert f"Mean of 2 of 3 determinations, {CORRECTED}." in outcome.json["assumptions"]


def test_leaving_one_out_prints_the_mean_of_each_sort(run: Any, mixed: Any) -> None:
    outcome = run("leave-out", "1", "T-1 c", "--reason", "spilt", *BY)
    assert outcome.status == DONE, outcome.err
    page = " ".join(outcome.out.split())
    assert f"Grade, {CORRECTED} T-1, 1 of 3 determinations" in page
    assert f"mean of all 2 {CORRECTED}" in page
    assert f"Grade, {NOT} T-1, 1 of 3 determinations" in page
    assert f"mean of all 1 {NOT}" in page


def test_a_report_has_a_table_for_each_sort(run: Any, mixed: Any) -> None:
    text = run("report", "1", "--text").out
    first, rest = text.split(f"  Results, {CORRECTED}\n")[1].split(f"  Results, {NOT}\n")
    of_not = rest.split("\n\n")[0]
    assert first.split("\n")[1].split()[0] == "T-1"
    assert "2 of 3 determinations shown" in first
    assert f"of the 2 {CORRECTED}: mean 45.5, median 45.5 g/t" in " ".join(first.split())
    assert "T-1 b" not in first
    assert "1 of 3 determinations shown" in of_not
    assert f"of the 1 {NOT}: mean 44, median 44 g/t" in " ".join(of_not.split())
    assert "T-1 c" not in of_not
    assert max(map(len, text.splitlines())) <= 79


def test_n_of_n_across_the_logbook_has_a_mean_of_each_sort(run: Any, mixed: Any) -> None:
    assert run("leave-out", "1", "T-1 c", "--reason", "spilt", *BY).status == DONE
    outcome = run("results", "1", "--json")
    (family,) = outcome.json["determinations"]
    assert (family["mean_of_all"], family["median_of_all"]) == (None, None)
    assert [(m["correction"], m["of"]) for m in family["means"]] == [(CORRECTED, 2), (NOT, 1)]
    assert [m["mean"] for m in family["means"]] == pytest.approx([45.5, 44.0])
    assert {d["sample"]: d["correction"] for d in family["determinations"]} == {
        "T-1": CORRECTED, "T-1 b": NOT, "T-1 c": CORRECTED
    }  # fmt: skip
    page = " ".join(run("results", "1").out.split())
    assert f"Determinations of T-1 {CORRECTED}" in page
    assert "2 of 3 shown. Means, g/t: 45.5 of 2 corrected, 44 of 1 not corrected." in page


def test_a_correction_says_when_gold_is_corrected_in_another_way(run: Any, enter: Any) -> None:
    """Lead of 20 g fits the proof, 40 g does not: the figure moves by the loss of the proof."""
    stored(enter, *proof("P-1", "0.990"), *assayed("T-1", "1.000"))
    outcome = run("correct", "1", "6", "lead=40 g", "--reason", "read anew", *BY)
    assert (outcome.status, outcome.err) == (DONE, "")
    assert "T-1, gold" in outcome.out
    said = " ".join(outcome.out.split())
    assert f"T-1: the gold was {CORRECTED}. Now it is {NOT}: other proofs fit." in said
    back = run("correct", "1", "6", "lead=20 g", "--reason", "it was 20", *BY, "--json")
    assert "sort_changed" in {flag["code"] for flag in back.json["flags"]}
    same = run("correct", "1", "6", "lead=20.1 g", "--reason", "it was 20.1", *BY, "--json")
    assert "sort_changed" not in {flag["code"] for flag in same.json["flags"]}


def test_a_correction_shows_the_mean_that_it_moves(run: Any, enter: Any) -> None:
    second = ("role=duplicate", "of=T-1", "from=pulp", *CHARGE)
    stored(enter, *assayed("T-1", "1.000"), *assayed("T-1 b", "1.002", *second))
    outcome = run("correct", "1", "9", "text=1.200", "--reason", "digits", *BY, "--json")
    moved = {(one["id"], one["name"]): one for one in outcome.json["changed"]}
    before, now = (moved["T-1", "mean"][when]["value"] for when in ("before", "now"))
    assert (before, now) == (pytest.approx(50.05), pytest.approx(55.0))
