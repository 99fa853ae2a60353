"""No weighing of a log disappears: pools, weighings that were made again, a circuit still run.

Figures by hand. Two charges of 30.00 g of one lot, weighed together: 0.612 mg gold less two blanks
of 0.003 mg is 0.606 mg, and 1000 × 0.606 / 60.00 is 10.1 g/t.
"""

import re
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import DONE
from assaybench.logbook.files import Files
from assaybench.logbook.reading import read_log
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.sealing import figures_of
from tests.acceptance.page import one_line
from tests.logbook.books import FINE, PULP, Bench, Row, sample, weighed


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Bench(tmp_path / "book")


def read(what: str, text: str, name: str, balance: str = "fine") -> Row:
    unit = "g" if balance == "pulp" else "mg"
    keys = {"what": what, "text": text, "unit": unit, "balance": balance}
    return ("reading", {**keys, "sample": name} if name else keys)


def of_lot(name: str, role: str = "sample") -> Row:
    return ("sample", {"id": name, "role": role, "silver": "none", "lots": ["L7"]})


POOL: tuple[Row, ...] = (
    FINE,
    PULP,
    ("reagent_lot", {"lot": "L7", "material": "litharge"}),
    of_lot("B-1", "blank"),
    read("gold", "0.003", "B-1"),
    of_lot("T-1"),
    of_lot("T-2"),
    read("charge", "30.00", "T-1", "pulp"),
    read("charge", "30.00", "T-2", "pulp"),
    ("pool", {"id": "T-1+2", "samples": ["T-1", "T-2"], "what": "gold"}),
    read("gold", "0.612", "T-1+2"),
)


def test_beads_weighed_together_have_one_gold_and_one_grade(run: Any, bench: Bench) -> None:
    bench.log(*POOL)
    answer = run("results", "1", "--json").json
    (pool,) = answer["pools"]
    assert (pool["id"], pool["samples"]) == ("T-1+2", ["T-1", "T-2"])
    figures = pool["figures"]
    assert figures["gold_read"]["value"] == pytest.approx(0.612, abs=1e-9)
    assert figures["gold"]["value"] == pytest.approx(0.606, abs=1e-9)
    assert figures["grade_gold"]["value"] == pytest.approx(10.1, abs=1e-6)
    assert figures["grade_gold"]["u"] > 0
    assert all(s["figures"].get("gold") is None for s in answer["samples"] if s["id"] != "B-1")
    page = one_line(run("results", "1", "--sum").out)
    assert "T-1+2: T-1, T-2 weighed together" in page
    assert "T-1+2: grade = 1000 × 0.606 / 60 = 10.1 g/t" in page
    assert "T-1+2 says nothing of one of its samples alone" in page


def test_the_report_prints_the_pool_and_its_weighing(run: Any, bench: Bench) -> None:
    bench.log(*POOL)
    text = run("report", "1", "--text").out
    assert re.search(r"T-1\+2 +gold +0\.612 mg", text)
    assert re.search(r"gold grade[ .]+10\.1\d* ± \S+ g/t", text)
    part = run("report", "1", "--text", "--sample", "T-2").out
    assert "T-1+2: T-1, T-2 weighed together" in part


def test_a_seal_records_the_figures_of_a_pool(bench: Bench) -> None:
    name = bench.log(*POOL)
    entries = read_log(Files(), bench.book.log(name))[0]
    rows = {(row.id, row.name): row.value for row in figures_of(results(replay(entries)))}
    assert float(rows["T-1+2", "pool grade_gold"]) == pytest.approx(10.1, abs=1e-6)


def test_without_the_charge_of_one_of_them_there_is_no_grade(run: Any, bench: Bench) -> None:
    bench.log(*(row for row in POOL if row != read("charge", "30.00", "T-2", "pulp")))
    (pool,) = run("results", "1", "--json").json["pools"]
    assert pool["figures"]["gold"]["value"] == pytest.approx(0.606, abs=1e-9)
    assert pool["figures"]["grade_gold"]["value"] is None
    assert pool["figures"]["grade_gold"]["why"] == "not every charge of it was weighed."


CATCHES: tuple[Row, ...] = (
    ("circuit", {"product": "concentrate", "metal": "12.0 ± 0.1 mg"}),
    ("circuit", {"product": "rerun", "metal": "3.0 ± 0.1 mg"}),
)


def test_a_pool_stands_for_the_final_tailings_of_a_circuit(run: Any, bench: Bench) -> None:
    """10.1 g/t of all charges on 2 kg: 20.2 mg, and 12 of 12 + 3 + 20.2."""
    bench.log(*POOL, *CATCHES, ("circuit", {"product": "tailings", "mass": "2 kg",
                                            "sample": "T-1+2"}))  # fmt: skip
    figures = run("results", "1", "--json").json["figures"]
    assert figures["recovery_closed"]["value"] == pytest.approx(100 * 12 / 35.2)


def test_beads_weighed_together_and_not_parted_are_dore_with_all_silver_off(
    run: Any, bench: Bench
) -> None:
    """Three charges of one product, 2.000 mg silver in each; 7.5 mg bead, 1.5 mg doré."""
    charges = ("C-1", "C-2", "C-3")
    silver: list[Row] = [
        ("sample", {"id": name, "role": "sample", "silver": "2.000 mg"}) for name in charges
    ]
    product: Row = (
        "circuit",
        {"product": "concentrate", "sample": "C-all", "fineness_spread": "5 %"},
    )
    pool: Row = ("pool", {"id": "C-all", "samples": [*charges], "what": "bead"})
    bench.log(FINE, *silver, pool, read("bead", "7.500", "C-all"), product, CATCHES[1])
    answer = run("results", "1", "--json").json
    dore = answer["pools"][0]["figures"]["dore"]
    # the loss of silver is not known, 0 to 4 % of it: its middle, 2 %, is kept out
    assert dore["value"] == pytest.approx(7.5 - 6 * 0.98)
    most = answer["figures"]["recovery_at_most"]
    assert most["value"] == pytest.approx(100 * 1.62 / 4.62, rel=1e-3)
    bench.log(
        FINE,
        silver[0],
        ("sample", {"id": "C-2", "role": "sample"}),
        ("sample", {"id": "C-3", "role": "sample", "silver": "none"}),
        pool,
        read("bead", "7.500", "C-all"),
    )
    (unknown,) = run("results", "2", "--json").json["pools"]
    assert unknown["figures"]["dore"]["value"] is None


def test_readings_of_a_pool_that_disagree_give_no_gold(run: Any, bench: Bench) -> None:
    bench.log(*POOL, read("gold", "0.712", "T-1+2"))
    answer = run("results", "1", "--json").json
    (pool,) = answer["pools"]
    assert pool["figures"]["gold_read"]["value"] is None
    assert "gold" not in pool["figures"]
    assert any(f["text"].startswith("T-1+2: Readings disagree") for f in answer["flags"])


def test_a_load_of_nobody_in_an_earlier_log_is_told(run: Any, bench: Bench) -> None:
    bench.log(FINE, read("gold", "0.412", ""))
    said = "Entry 3, gold 0.412 mg, belongs to no sample and counts nowhere."
    assert said in one_line(run("results", "1").out)
    assert said in one_line(run("report", "1", "--text").out)


def test_what_was_weighed_before_is_told_and_the_last_counts(run: Any, bench: Bench) -> None:
    again = ("balance", {**dict(FINE[1]), "step": "0.002 mg"})
    bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "0.300"), again,
              read("gold", "0.400", "T-1"))  # fmt: skip
    said = "T-1 gold was weighed before, as 0.300 mg on fine; the last weighing counts."
    answer = run("results", "1", "--json").json
    assert answer["samples"][0]["figures"]["gold_read"]["value"] == pytest.approx(0.4)
    assert [f["text"] for f in answer["flags"] if f["code"] == "weighed_before"] == [said]
    assert said in one_line(run("report", "1", "--text").out)
    assert said in one_line(run("report", "1", "--text", "--sample", "T-1").out)


def test_the_report_lists_every_thing_that_was_weighed(run: Any, bench: Bench) -> None:
    more = read("lead", "30.02", "T-1", "pulp"), read("total", "999.9", "T-1", "pulp")
    bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "0.300"), *more)
    text = run("report", "1", "--text").out
    assert re.search(r"T-1 +lead +30\.02 g", text)
    assert re.search(r"T-1 +total +999\.9 g", text)


def test_a_circuit_still_run_keeps_no_sample_from_its_result(run: Any, bench: Bench) -> None:
    con = ("circuit", {"product": "concentrate", "size": "+1.0mm", "metal": "1 mg ± 5 %"})
    bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "0.300"), con)
    said = 'circuit: size "+1.0mm" has a concentrate and no rerun.'
    for line in (("results", "1"), ("report", "1", "--text")):
        outcome = run(*line)
        assert (outcome.status, outcome.err) == (DONE, "")
        assert said in one_line(outcome.out)
        assert re.search(r"T-1 .* ± \S+", outcome.out)
