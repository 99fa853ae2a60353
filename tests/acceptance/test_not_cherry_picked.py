"""Scenario: T-31 was run five times, 4.1, 3.8, 19.6, 4.4 and 3.9 g/t; somebody wants the 19.6.

Leaving one out needs a reason and initials and is printed; the answer keeps counting all five:
mean of all 7.16 and median 4.1 g/t, worked by hand. Charges are 100 g, so 0.410 mg is 4.1 g/t.
"""

from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE

BY = ("--by", "KB")
GOLD = {
    "T-31": "0.410",
    "T-31 b": "0.380",
    "T-31 c": "1.960",
    "T-31 d": "0.440",
    "T-31 e": "0.390",
}
WANTED = "T-31 c"
REASON = "asked for by client"


@pytest.fixture(autouse=True)
def log(run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five determinations of one sample, made with the commands."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    fine = ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10")
    pulp = ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10")
    assert run("open", "run", *BY).status == DONE
    rows: list[tuple[str, ...]] = [fine, pulp]
    for name, gold in GOLD.items():
        of = () if name == "T-31" else ("of=T-31", "from=pulp")
        role = "duplicate" if of else "sample"
        rows.append(("sample", f"id={name}", f"role={role}", *of, "silver=none"))
        for what, text, unit, on in (("charge", "100.00", "g", "pulp"),
                                     ("gold", gold, "mg", "fine")):  # fmt: skip
            weighed = (f"what={what}", f"text={text}", f"unit={unit}", f"balance={on}")
            rows.append(("reading", *weighed, f"sample={name}"))
    for row in rows:
        outcome = run("enter", "1", *row, *BY)
        assert (outcome.status, outcome.err) == (DONE, "")


def all_but_the_wanted(run: Any) -> list[Any]:
    names = [name for name in GOLD if name != WANTED]
    return [run("leave-out", "1", name, "--reason", REASON, *BY) for name in names]


def test_all_five_count_as_long_as_nothing_is_left_out(run: Any) -> None:
    (grade,) = run("results", "1", "--json").json["grades"]
    assert (grade["used"], grade["determinations"]) == (5, 5)
    assert grade["mean_of_all"] == pytest.approx(7.16, abs=0.005)
    assert grade["median_of_all"] == pytest.approx(4.1, abs=0.005)


def test_the_wanted_one_is_printed_as_one_of_five(run: Any) -> None:
    last = all_but_the_wanted(run)[-1]
    assert last.status == DONE
    lines = last.out.splitlines()
    (line,) = [line for line in lines if "of 5 determinations" in line]
    # on the same line: the grade and that it is one of five
    assert "T-31, 1 of 5 determinations" in line
    assert "19.6" in line
    assert any(line.strip().startswith("mean of all 5") and "7.16 g/t" in line for line in lines)
    assert any(line.strip().startswith("median of all 5") and "4.1" in line for line in lines)
    page = run("results", "1").out
    assert any("1 of 5 determinations" in line and "19.6" in line for line in page.splitlines())
    (grade,) = run("results", "1", "--json").json["grades"]
    assert (grade["used"], grade["determinations"]) == (1, 5)
    assert grade["mean_of_all"] == pytest.approx(7.16, abs=0.005)
    assert grade["median_of_all"] == pytest.approx(4.1, abs=0.005)


def test_the_other_four_stay_visible_with_reason_and_initials(run: Any) -> None:
    all_but_the_wanted(run)
    samples = {s["id"]: s for s in run("results", "1", "--json").json["samples"]}
    assert list(samples) == list(GOLD)
    assert {name for name, s in samples.items() if s["left_out"] == REASON} == {*GOLD} - {WANTED}
    assert samples["T-31 b"]["figures"]["grade_gold"]["value"] == pytest.approx(3.8, abs=0.005)
    shown = run("show", "1").out
    assert shown.count("left_out") == 4
    assert shown.count(REASON) == 4
    entries = run("show", "1", "--json").json["entries"]
    hands = {e["by"] for e in entries if e["kind"] == "left_out"}
    assert hands == {"KB"}


@pytest.mark.parametrize("line", [("--reason", REASON), BY, ("--reason", "  ", *BY)])
def test_leaving_out_needs_a_reason_and_initials(run: Any, line: tuple[str, ...]) -> None:
    before = run("results", "1", "--json").json
    outcome = run("leave-out", "1", "T-31 b", *line)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert run("results", "1", "--json").json == before


def test_a_determination_left_out_by_mistake_is_taken_back_visibly(run: Any) -> None:
    stored = run("leave-out", "1", "T-31 b", "--reason", "wrong cup", *BY, "--json").json
    n = stored["entries"][0]["id"]
    assert (stored["grades"][0]["used"], stored["grades"][0]["determinations"]) == (4, 5)
    back = run("enter", "1", "withdrawn", f"entry={n}", "reason=it was the right cup", *BY)
    assert back.status == DONE
    (grade,) = run("results", "1", "--json").json["grades"]
    assert (grade["used"], grade["determinations"]) == (5, 5)
    assert "withdrawn KB" in run("show", "1").out
