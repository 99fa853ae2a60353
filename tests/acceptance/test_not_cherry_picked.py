"""Scenario: T-31 was run five times, 4.1, 3.8, 19.6, 4.4 and 3.9 g/t; somebody wants the 19.6.

Leaving one out needs a reason and initials and is printed; the answer keeps counting all five:
mean of all 7.16 and median 4.1 g/t, worked by hand. Charges are 100 g, so 0.410 mg is 4.1 g/t. The
same holds when the five stand in five logs, of two benches: their numbers show where they are.
"""

import re
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


FINE = ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10")
PULP = ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10")


@pytest.fixture(autouse=True)
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An empty logbook that the environment names."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))


def opened(run: Any, number: str, *bench: str) -> None:
    """A log with its two balances."""
    assert run("open", "run", *BY, *bench).status == DONE
    entered(run, number, FINE, PULP)


def entered(run: Any, number: str, *rows: tuple[str, ...], seen: tuple[str, ...] = ()) -> None:
    for row in rows:
        outcome = run("enter", number, *row, *seen, *BY)
        assert (outcome.status, outcome.err) == (DONE, "")


def assayed(run: Any, number: str, name: str, gold: str, of: str = "") -> None:
    """One determination: sample, charge and gold."""
    more = (f"of={of}", "from=pulp") if of else ()
    role = "duplicate" if of else "sample"
    entered(run, number, ("sample", f"id={name}", f"role={role}", *more, "silver=none"))
    for what, text, unit, on in (("charge", "100.00", "g", "pulp"), ("gold", gold, "mg", "fine")):
        weighed = (f"what={what}", f"text={text}", f"unit={unit}", f"balance={on}")
        # the wanted one lies far from its duplicates: it is asked about, and seen again
        entered(run, number, ("reading", *weighed, f"sample={name}"), seen=("--seen", text))


@pytest.fixture
def log(run: Any) -> None:
    """Five determinations of one sample, made with the commands."""
    opened(run, "1")
    for name, gold in GOLD.items():
        assayed(run, "1", name, gold, "" if name == "T-31" else "T-31")


def all_but_the_wanted(run: Any) -> list[Any]:
    names = [name for name in GOLD if name != WANTED]
    return [run("leave-out", "1", name, "--reason", REASON, *BY) for name in names]


def test_all_five_count_as_long_as_nothing_is_left_out(run: Any, log: None) -> None:
    (grade,) = run("results", "1", "--json").json["grades"]
    assert (grade["used"], grade["determinations"]) == (5, 5)
    assert grade["mean_of_all"] == pytest.approx(7.16, abs=0.005)
    assert grade["median_of_all"] == pytest.approx(4.1, abs=0.005)


def test_the_wanted_one_is_printed_as_one_of_five(run: Any, log: None) -> None:
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


def test_the_other_four_stay_visible_with_reason_and_initials(run: Any, log: None) -> None:
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
def test_leaving_out_needs_a_reason_and_initials(
    run: Any, log: None, line: tuple[str, ...]
) -> None:
    before = run("results", "1", "--json").json
    outcome = run("leave-out", "1", "T-31 b", *line)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert run("results", "1", "--json").json == before


def test_a_determination_left_out_by_mistake_is_taken_back_visibly(run: Any, log: None) -> None:
    stored = run("leave-out", "1", "T-31 b", "--reason", "wrong cup", *BY, "--json").json
    n = stored["entries"][0]["id"]
    assert (stored["grades"][0]["used"], stored["grades"][0]["determinations"]) == (4, 5)
    back = run("enter", "1", "withdrawn", f"entry={n}", "reason=it was the right cup", *BY)
    assert back.status == DONE
    (grade,) = run("results", "1", "--json").json["grades"]
    assert (grade["used"], grade["determinations"]) == (5, 5)
    assert "withdrawn KB" in run("show", "1").out


# --- the report, within one log ------------------------------------------------------------------

ON_ITS_LINE = (
    r"T-31 c +19\.6\d* ± \S+ g/t +1 of 5 determinations shown\n"
    r" +of all 5: mean 7\.16, median 4\.1 g/t"
)


def report(run: Any, number: str, *more: str) -> str:
    outcome = run("report", number, "--text", *more)
    assert (outcome.status, outcome.err) == (DONE, "")
    return str(outcome.out)


def test_a_report_of_the_wanted_one_alone_says_one_of_five_on_its_line(run: Any, log: None) -> None:
    text = report(run, "1", "--sample", WANTED)
    assert re.search(ON_ITS_LINE, text)
    # the other four stand below it with their figures
    for name, grade in (("T-31", "4.1"), ("T-31 b", "3.8"), ("T-31 d", "4.4"), ("T-31 e", "3.9")):
        assert re.search(rf"  {name} +{re.escape(grade)}\d* ± \S+ g/t +not asked for\n", text)
    assert text.splitlines()[0].endswith("of T-31 c")


def test_a_report_after_the_others_were_left_out_prints_reason_and_initials(
    run: Any, log: None
) -> None:
    all_but_the_wanted(run)
    text = report(run, "1")
    assert re.search(ON_ITS_LINE, text)
    assert len(re.findall(rf"g/t\s+left out: {REASON}, KB\n", text)) == 4
    assert len(re.findall(rf"    T-31[ bde]*: {REASON}; KB, ", text)) == 4


def test_results_of_the_wanted_one_alone_say_so_too(run: Any, log: None) -> None:
    page = run("results", "1", "--sample", WANTED)
    assert re.search(r"T-31 c, 1 of 5 determinations shown [ .]+ 19\.6\d* ± \S+ g/t", page.out)
    (family,) = run("results", "1", "--sample", WANTED, "--json").json["determinations"]
    assert (family["id"], family["shown"], family["of"]) == ("T-31", 1, 5)
    assert family["mean_of_all"] == pytest.approx(7.16, abs=0.005)
    assert family["median_of_all"] == pytest.approx(4.1, abs=0.005)


# --- the same five in five logs ------------------------------------------------------------------


@pytest.fixture
def logs(run: Any) -> None:
    """One determination a log: four of one bench, and one of another that calls it a repeat."""
    for number, (name, gold) in enumerate([*GOLD.items()][:4], start=1):
        opened(run, str(number))
        if name == "T-31":
            assayed(run, "1", "T-31", gold)
        else:
            # the first of a log needs its sample there: it is named, and was not weighed here
            entered(run, str(number), ("sample", "id=T-31", "role=sample", "lost=not run here"))
            assayed(run, str(number), name, gold, "T-31")
    opened(run, "SHED-1", "--bench", "SHED")
    assayed(run, "SHED-1", "T-31", GOLD["T-31 e"])


def test_across_logs_the_report_says_one_of_five_and_where_the_other_four_are(
    run: Any, logs: None
) -> None:
    text = report(run, "3")
    assert re.search(ON_ITS_LINE, text)
    for place, grade in (
        ("MAIN-000001 T-31", "4.1"),
        ("MAIN-000002 T-31 b", "3.8"),
        ("MAIN-000004 T-31 d", "4.4"),
        ("SHED-000001 T-31", "3.9"),
    ):
        assert re.search(rf"{place}: in another log[ .]+ {re.escape(grade)}\d* ± \S+ g/t", text)


def test_across_logs_results_say_it_and_json_counts_it(run: Any, logs: None) -> None:
    page = run("results", "3").out
    assert re.search(r"T-31 c, 1 of 5 determinations shown [ .]+ 19\.6\d* ± \S+ g/t", page)
    assert "1 of 5 determinations shown. Mean of all 5: 7.16 g/t." in page
    (family,) = run("results", "3", "--json").json["determinations"]
    assert (family["shown"], family["of"]) == (1, 5)
    assert family["median_of_all"] == pytest.approx(4.1, abs=0.005)
    there = {d["log"] for d in family["determinations"] if d["counted"] and not d["shown"]}
    assert there == {"MAIN-000001", "MAIN-000002", "MAIN-000004", "SHED-000001"}


def test_a_void_log_is_told_and_not_counted(run: Any, logs: None) -> None:
    assert run("void", "4", "--reason", "cup unknown", *BY).status == DONE
    text = report(run, "3")
    assert "1 of 4 determinations shown" in text
    assert re.search(r"MAIN-000004 T-31 d: void, not counted: cup unknown[ .]+ 4\.4", text)


def test_the_list_of_logs_finds_all_five_by_sample(run: Any, logs: None) -> None:
    found = run("logbook", "--sample", "T-31", "--json").json["logs"]
    assert {row["id"] for row in found} == {
        "MAIN-000001", "MAIN-000002", "MAIN-000003", "MAIN-000004", "SHED-000001",
    }  # fmt: skip
