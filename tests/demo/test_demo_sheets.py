"""The hand sheets of demo/: made again to the byte, read without a fault, true to their truths."""

import runpy
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from assaybench.assay.bullion import Piece, fineness
from assaybench.assay.proofs import Conditions, Proof
from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import Weighing, weigh
from assaybench.record.handsheet import Sheet, read
from assaybench.record.replay import State, replay, weighings

HERE = Path(__file__).parent
DEMO = HERE.parent.parent / "demo"
NAMES = ("furnace-run", "gravity-test", "metallics-and-bar")
MAKE = runpy.run_path(str(HERE / "make_demo.py"))
TRUTHS: dict[str, Any] = tomllib.loads((HERE / "truths.toml").read_text("utf-8"))

Weighed = dict[tuple[str, str], Weighing]


def content(name: str) -> bytes:
    return (DEMO / f"{name}.toml").read_bytes()


@cache
def sheet(name: str) -> Sheet:
    return read(content(name))


@cache
def state(name: str) -> State:
    return replay(sheet(name).entries)


def weighed(of: State, sources: Sources | None = None) -> Weighed:
    sources = sources or Sources()
    found = weighings(of).items()
    return {key: weigh(sources, raw.balance, raw.loads, raw.zeros) for key, raw in found}


def samples(name: str) -> dict[str, dict[str, Any]]:
    return {row["id"]: row for row in TRUTHS[name]["samples"]}


def test_the_folder_holds_these_sheets_and_no_other() -> None:
    assert sorted(path.stem for path in DEMO.glob("*.toml")) == sorted(NAMES)
    assert tuple(MAKE["SHEETS"]) == NAMES


def test_the_generator_makes_every_sheet_again_to_the_byte(tmp_path: Path) -> None:
    command = [sys.executable, str(HERE / "make_demo.py"), str(tmp_path)]
    subprocess.run(command, check=True, timeout=60, capture_output=True)
    made = {path.stem: path.read_bytes() for path in tmp_path.iterdir()}
    assert made == {name: content(name) for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_says_first_and_last_that_it_is_invented(name: str) -> None:
    assert content(name).startswith(b"# INVENTED. Plover Kettle Gulch")
    assert sheet(name).title.startswith("Plover Kettle Gulch (invented): ")
    notes = [note.text("text") for note in state(name).of("note")]
    assert notes[0].startswith("Invented demo: no real place")
    assert TRUTHS["operation"]["invented"] is True


@pytest.mark.parametrize("name", NAMES)
def test_every_sample_of_the_truths_stands_in_its_sheet_and_no_other(name: str) -> None:
    assert list(state(name).samples) == list(samples(name))


@pytest.mark.parametrize("name", NAMES)
def test_masses_read_lie_near_the_true_ones(name: str) -> None:
    """Within six standard deviations of the balance and one step."""
    found = weighed(state(name))
    seen = 0
    for sample, row in samples(name).items():
        true_mg = {what: 1000 * grams for what, grams in row.get("weighed_g", {}).items()}
        if "charge_g" in row:
            true_mg["charge"] = 1000 * row["charge_g"]
        if "piece_mg" in row:
            true_mg["charge"] = row["piece_mg"]
        if row.get("proof") == "weighed":
            true_mg |= {"proof_gold": row["gold_mg"], "proof_silver": row["silver_mg"]}
        for what, mass in true_mg.items():
            pan = weighings(state(name))[sample, what].balance
            truth = TRUTHS[name]["balances"][pan.name]
            scaled = mass * truth["scale_before"]
            room = 6 * truth["spread_mg"] + pan.step_mg
            assert found[sample, what].net_mg == pytest.approx(scaled, abs=room), (sample, what)
            seen += 1
    assert seen == {"furnace-run": 20, "gravity-test": 6, "metallics-and-bar": 14}[name]


@pytest.mark.parametrize("name", NAMES)
def test_gold_read_lies_near_the_true_gold_after_loss_and_blank(name: str) -> None:
    """Within six standard deviations of all that was drawn for it."""
    told, found, seen = TRUTHS[name], weighed(state(name)), 0
    for sample, row in samples(name).items():
        if (sample, "gold") not in found or "grain_mg" in row:
            continue
        keys = ("gold_mg", "mean_gold_mg", "product_gold_mg")
        true = float(next(row[key] for key in keys if key in row))
        pan = weighings(state(name))[sample, "gold"].balance.name
        scatter = told["balances"][pan]["spread_mg"] + told["balances"][pan]["step_mg"]
        if row.get("bullion"):
            expected = true * (1 + told["bar"]["surcharge_share"])
            scatter += true * told["bar"]["surcharge_scatter"]
        else:
            lot = told["lots"][row["sheet"]["lots"][0]]
            kept = (1 - told["gold_lost_share"]) * (1 + told["silver_retained_share"])
            expected = true * kept + lot["gold_blank_mg"]
            scatter += true * (told["gold_lost_scatter"] + row.get("grain_scatter", 0.0))
            scatter += lot["gold_blank_scatter_mg"]
        # the scale of a balance may be off by a thousandth at most
        room = 6 * scatter + 0.001 * true
        assert found[sample, "gold"].net_mg == pytest.approx(expected, abs=room), sample
        seen += 1
    assert seen == {"furnace-run": 23, "gravity-test": 8, "metallics-and-bar": 11}[name]


def test_the_tray_is_full_and_holds_what_its_heading_promises() -> None:
    run = state("furnace-run")
    places = [entry.text("place") for entry in run.of("position")]
    assert places == [f"{row}{place}" for row in "ABCD" for place in range(1, 7)]
    roles = [entry.text("role") for entry in run.samples.values()]
    counts = {role: roles.count(role) for role in roles}
    assert counts == {"sample": 16, "blank": 2, "proof": 2, "duplicate": 3, "reference": 1}
    lost = [name for name, entry in run.samples.items() if entry.text("lost")]
    assert lost == ["PK-112"]
    added = [
        entry.text("silver")
        for entry in run.samples.values()
        if entry.text("role") not in {"proof", "blank"}
    ]
    assert (added.count("none"), added.count("unknown")) == (2, 1)
    origins = [e.text("from") for e in run.samples.values() if e.text("role") == "duplicate"]
    assert origins == ["pulp", "reject", "field"]


def zeros_that_moved(of: State) -> list[tuple[str, str]]:
    found = weighed(of).items()
    return [key for key, one in found if "zero_moved" in {flag.code for flag in one.flags}]


def test_one_zero_moved_and_the_check_after_the_run_is_outside_its_tolerance() -> None:
    run = state("furnace-run")
    assert zeros_that_moved(run) == [("PK-111", "bead")]
    before, after = run.of("balance_check")
    errors = [
        sum(float(text) for text in check.texts("texts")) / len(check.texts("texts"))
        - sum(float(text) for text in check.texts("zeros")) / len(check.texts("zeros"))
        - 10.0
        for check in (before, after)
    ]
    tolerance = float(before.text("tolerance").removesuffix(" mg"))
    assert abs(errors[0]) <= tolerance < abs(errors[1])


def pieces_agree(of: State) -> bool:
    sources = Sources()
    found = weighed(of, sources)
    named = [name for name in of.samples if name.startswith("Bar 3 ")]
    pieces = [
        Piece(name, found[name, "charge"].net, found[name, "gold"].net)
        for name in named
        if "piece" in name
    ]
    proofs = [
        Proof(name, found[name, "proof_gold"].net, found[name, "gold"].net, Conditions("run", 6.0))
        for name in named
        if "proof" in name
    ]
    assert (len(pieces), len(proofs)) == (2, 2)
    return fineness(sources, "Bar 3", pieces, proofs).agrees


def reads_as_told(seed: int) -> bool:
    told = {**TRUTHS, "seed": seed}
    states = {name: replay(read(MAKE["sheet"](name, told).encode()).entries) for name in NAMES}
    moved = {name: zeros_that_moved(one) for name, one in states.items()}
    agree = all(one.agrees for of in states.values() for one in weighed(of).values())
    only_one = moved == {name: [] for name in NAMES} | {"furnace-run": [("PK-111", "bead")]}
    return only_one and agree and pieces_agree(states["metallics-and-bar"])


def test_the_seed_is_the_first_with_which_the_readings_go_as_told() -> None:
    seeds = range(1, TRUTHS["seed"] + 1)
    assert [reads_as_told(seed) for seed in seeds] == [False] * (len(seeds) - 1) + [True]


def test_each_cell_of_the_circuit_has_its_bead_its_gold_and_its_portion() -> None:
    test = state("gravity-test")
    cells = [row for row in test.of("circuit") if row.text("sample")]
    assert len({(row.text("product"), row.text("size")) for row in cells}) == 6
    masses = weighings(test)
    portions = 0
    for row in cells:
        name = row.text("sample")
        assert {(name, "bead"), (name, "gold"), (name, "charge")} <= set(masses)
        fused = row.text("portion") or row.text("mass")
        assert masses[name, "charge"].loads[0].text == fused
        portions += bool(row.text("portion"))
    assert portions == 3
    assert not [row for row in test.of("circuit") if row.text("product") == "tailings"]


def test_true_grades_are_true_metal_over_dry_charge() -> None:
    seen = 0
    for name in NAMES:
        for sample, row in samples(name).items():
            for metal in ("gold", "silver", "mean_gold"):
                if f"{metal}_g_per_t" not in row:
                    continue
                dry = row["charge_g"] * (1 - row.get("water_share", 0.0))
                found = row[f"{metal}_g_per_t"] * dry / 1000
                assert row[f"{metal}_mg"] == pytest.approx(found, abs=6e-6), (sample, metal)
                seen += 1
    assert seen == 48


def test_true_recoveries_follow_from_the_true_metal_of_each_size() -> None:
    told = TRUTHS["gravity-test"]
    for size in told["sizes"]:
        caught, again = size["concentrate_mg"], size["rerun_mg"]
        feed, last = size["feed_mg"], size["final_tailings_mg"]
        assert caught + again + last == pytest.approx(feed, abs=2e-4)
        assert caught / feed == pytest.approx(size["stage_1_recovery"], abs=1e-5)
        assert again / (feed - caught) == pytest.approx(size["stage_2_recovery"], abs=1e-4)
        # the second stage is the better one, so the truth lies inside the bracket of method 5
        assert 1 - again / caught <= size["stage_1_recovery"] <= caught / (caught + again)
    feed, caught, again = (
        sum(size[key] for size in told["sizes"])
        for key in ("feed_mg", "concentrate_mg", "rerun_mg")
    )
    assert told["stage_1_recovery"] == pytest.approx(caught / feed, abs=2e-6)
    assert told["both_stages_recovery"] == pytest.approx((caught + again) / feed, abs=2e-6)
    assert told["gold_in_final_tailings_mg"] == pytest.approx(feed - caught - again, abs=2e-4)
    dry = told["feed_wet_kg"] * (1 - told["feed_water_share"])
    assert told["feed_dry_kg"] == pytest.approx(dry, abs=1e-3)
    assert told["head_g_per_t"] == pytest.approx(feed / dry, abs=1e-5)
    by_cell = {(row["product"], row["size"]): row for row in told["samples"] if "product" in row}
    for size in told["sizes"]:
        for product in ("concentrate", "rerun"):
            true = by_cell[product, size["size"]]["product_gold_mg"]
            assert true == size[f"{product}_mg"]
    fine = told["sizes"][2]
    assert fine["rerun_mg"] / fine["concentrate_mg"] > 0.85


def test_true_pulp_and_bar_add_up() -> None:
    told = TRUTHS["metallics-and-bar"]
    pulp, bar = told["pulp"], told["bar"]
    minus_mg = pulp["minus_gold_g_per_t"] * pulp["minus_g"] / 1000
    gold = pulp["plus_gold_mg"] + minus_mg
    assert pulp["minus_gold_mg"] == pytest.approx(minus_mg, abs=1e-5)
    mass = pulp["plus_g"] + pulp["minus_g"]
    assert pulp["gold_g_per_t"] == pytest.approx(1000 * gold / mass, abs=1e-5)
    assert pulp["coarse_share"] == pytest.approx(pulp["plus_gold_mg"] / gold, abs=1e-5)
    assert pulp["coarse_share"] > 0.5
    assert bar["fine_gold_g"] == pytest.approx(bar["mass_g"] * bar["fineness_permille"] / 1000)
    rows = samples("metallics-and-bar")
    for piece in (rows["Bar 3 piece 1"], rows["Bar 3 piece 2"]):
        true = piece["piece_mg"] * bar["fineness_permille"] / 1000
        assert piece["gold_mg"] == pytest.approx(true, abs=1e-4)
