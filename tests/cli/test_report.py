"""The report of a log as plain text: every field that a report must have, and the command."""

import hashlib
import re
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE
from assaybench.logbook.folder import LogName
from tests.acceptance.page import one_line, value_of
from tests.cli.reported_logs import CHECK, SEALER, bench, text_of
from tests.logbook.books import FINE, PULP, Bench, Row, sample, weighed

__all__ = ["bench"]


METHOD: list[Row] = [
    ("method", {"item": item, "value": value})
    for item, value in (
        ("laboratory", "Plover Kettle shed, Invented Road 1"),
        ("place", "the shed"),
        ("client", "Odda Farrow, Invented Road 2"),
        ("received", "8 June 2026"),
        ("sampling", "channel of 2 m, by the client"),
        ("aim", "1 %"),
    )
]


def whole_log(bench: Bench) -> LogName:
    """A log with something of everything that a report tells."""
    client = {"id": "T-1", "role": "sample", "silver": "none", "client_mark": "Vein 3"}
    return bench.log(
        *METHOD,
        ("person", {"initials": "KB", "name": "K. Berg", "role": "assayer"}),
        FINE,
        PULP,
        ("weight", {"name": "10 mg", "mass": "10.000 ± 0.002 mg"}),
        CHECK,
        ("sample", client),
        ("custody", {"sample": "T-1", "tag": "T 4401", "state": "dry, bag whole"}),
        ("moisture", {"sample": "T-1", "water": "1.4 %", "basis": "wet"}),
        *weighed("T-1", "0.410"),
        sample("T-1 b", "T-1"),
        *weighed("T-1 b", "0.420"),
        ("sample", {"id": "BL", "role": "blank", "silver": "none"}),
        ("reading", {"what": "gold", "text": "0.001", "unit": "mg", "balance": "fine",
                     "sample": "BL"}),
        ("sample", {"id": "RM", "role": "reference", "value": "4.2 ± 0.2 g/t"}),
        *weighed("RM", "0.421"),
        ("sample", {"id": "T-2", "role": "sample", "lost": "cracked cupel"}),
        ("note", {"text": "muffle cooled at noon"}),
        ("review", {"initials": "MQ", "text": "readings against the tray"}),
        ("attachment", {"file": "tray.jpg", "size": 12345, "sha256": "ab" * 32}),
        ("circuit", {"product": "concentrate", "metal": "186.4 ± 2.0 mg"}),
        ("circuit", {"product": "rerun", "metal": "2.1 ± 0.1 mg"}),
        title="Grey Heron, 9 June",
    )  # fmt: skip


# --- ISO/IEC 17025:2017, 7.8.2.1, letter by letter ------------------------------------------------


def test_a_the_title(run: Any, bench: Bench) -> None:
    whole_log(bench)
    lines = text_of(run).splitlines()
    assert lines[0].startswith("  Report MAIN-000001/")
    assert lines[2:4] == ["  Fire assay, furnace run", "  Grey Heron, 9 June"]


def test_b_name_and_address_of_the_laboratory(run: Any, bench: Bench) -> None:
    whole_log(bench)
    laboratory = value_of(text_of(run), "laboratory, its address")
    assert laboratory == "Plover Kettle shed, Invented Road 1"


def test_c_the_place_of_the_work(run: Any, bench: Bench) -> None:
    whole_log(bench)
    text = text_of(run)
    assert value_of(text, "place of the work") == "the shed"
    assert value_of(text, "bench, and number of the log") == "MAIN-000001"


def test_d_a_number_of_its_own_on_the_page_and_at_its_end(run: Any, bench: Bench) -> None:
    name = whole_log(bench)
    first = text_of(run).splitlines()
    number = first[0].split()[-1]
    n = len(first)
    assert first[1] == f"  Lines 1 to {n}; the last one is its end mark."
    assert first[-1] == f"  End of report {number}, line {n}."
    # another state of the log, or another choice of samples, is another report
    part = text_of(run, "--sample", "T-1 b").splitlines()
    assert part[-1] == f"  End of report {number}, of T-1 b, line {len(part)}."
    bench.add(name, ("note", {"text": "one more"}))
    assert text_of(run).splitlines()[0] != first[0]


def test_e_the_client(run: Any, bench: Bench) -> None:
    whole_log(bench)
    assert value_of(text_of(run), "client") == "Odda Farrow, Invented Road 2"


def test_f_the_method_and_its_version_and_the_programs(run: Any, bench: Bench) -> None:
    whole_log(bench)
    text = text_of(run)
    assert value_of(text, "method") == "version 1"
    assert value_of(text, "programs of the log") == "assaybench 0.1.0"
    assert value_of(text, "program of this report").startswith("assaybench ")
    assert "    aim: 1 %, KB" in text


def test_g_the_items_and_their_condition(run: Any, bench: Bench) -> None:
    whole_log(bench)
    text = one_line(text_of(run))
    assert (
        "T-1: sample, client's mark Vein 3, tag T 4401 dry, bag whole (10 June 2026, KB), "
        "water 1.4 % of the wet mass"
    ) in text
    assert "T-1 b: duplicate of T-1" in text


def test_h_when_it_was_received(run: Any, bench: Bench) -> None:
    whole_log(bench)
    assert value_of(text_of(run), "received") == "8 June 2026"


def test_i_when_the_work_was_done(run: Any, bench: Bench) -> None:
    name = whole_log(bench)
    assert value_of(text_of(run), "weighed") == "10 June 2026"
    bench.clock.now = bench.clock.now.replace(day=12)
    bench.add(name, weighed("T-1", "0.411")[1])
    assert value_of(text_of(run), "weighed") == "10 June 2026 to 12 June 2026"


def test_j_when_it_was_issued(run: Any, bench: Bench) -> None:
    whole_log(bench)
    assert value_of(text_of(run), "issued").startswith("not given: write the date")
    assert value_of(text_of(run, "--issued", "2026-06-20"), "issued") == "20 June 2026"


def test_k_how_it_was_sampled(run: Any, bench: Bench) -> None:
    whole_log(bench)
    text = text_of(run)
    assert value_of(text, "sampling") == "channel of 2 m, by the client"
    assert "sampling is not in the ±" in text


def test_l_results_relate_to_the_items_alone(run: Any, bench: Bench) -> None:
    whole_log(bench)
    assert "The results relate only to the items tested." in text_of(run)


def test_m_results_with_units_and_what_they_rest_on(run: Any, bench: Bench) -> None:
    """0.410 mg in 98.6 g of dry sample are 4.16 g/t, 0.420 mg in 100 g 4.20 g/t."""
    whole_log(bench)
    text = text_of(run)
    assert re.search(r"  T-1 +4\.158 ± \S+ g/t\s+shown\n", text)
    assert re.search(r"  T-1 b +4\.200 ± \S+ g/t\s+shown\n", text)
    assert re.search(r"  T-1 +gold +0\.410 mg\s+0\.4100? ± \S+ mg +fine +KB 2026-06-10 \d\d", text)
    assert "U: k = " in text
    assert "fine: one division 0.001 mg, spread 0.002 mg, from 10 weighings" in text
    assert "weight 10.000 ± 0.002 mg read 10.001 mg; limit ± 0.004 mg" in one_line(text)
    assert "blank BL: in order." in text
    assert "reference RM: in order." in text


def test_n_departures_from_the_method(run: Any, bench: Bench) -> None:
    whole_log(bench)
    text = one_line(text_of(run))
    assert "T-1: Not corrected for cupel loss: no proof in this fire." in text
    assert "T-2 lost: cracked cupel." in text
    assert "note, KB 10 June 2026, 12:00: muffle cooled at noon" in text


def test_o_who_stands_for_it(run: Any, bench: Bench) -> None:
    name = whole_log(bench)
    text = text_of(run)
    assert "    KB: K. Berg, assayer, weighed" in text
    assert "reviewed, MQ 10 June 2026" in text
    assert "The log is open: entries may follow, and nobody has signed it." in text
    bench.add(name, ("sealed", SEALER))
    text = text_of(run)
    assert value_of(text, "signed by") == "Mirel Quist, assayer"
    assert value_of(text, "meaning") == "weighed"
    assert value_of(text, "fingerprint") == SEALER["fingerprint"]


def test_p_figures_from_others(run: Any, bench: Bench) -> None:
    whole_log(bench)
    text = text_of(run)
    assert "    concentrate: metal 186.4 ± 2.0 mg" in text
    assert "    RM: stated value 4.2 ± 0.2 g/t" in text


def test_what_the_log_does_not_have_is_said_to_be_not_recorded(run: Any, bench: Bench) -> None:
    bench.log()
    text = text_of(run)
    for label in ("laboratory, its address", "place of the work", "client", "received", "weighed",
                  "sampling"):  # fmt: skip
        assert value_of(text, label) == "not recorded"
    assert "KB: name not recorded" in text


# --- the command ---------------------------------------------------------------------------------


def test_the_same_log_gives_the_same_bytes(run: Any, bench: Bench, tmp_path: Path) -> None:
    whole_log(bench)
    text = text_of(run)
    assert text_of(run) == text
    out = tmp_path / "report.txt"
    outcome = run("report", "1", "--text", "--out", str(out))
    assert outcome.status == DONE
    assert out.read_bytes() == text.encode()
    assert hashlib.sha256(out.read_bytes()).hexdigest() in outcome.out


def test_lines_but_those_of_tables_fit_the_page(run: Any, bench: Bench) -> None:
    whole_log(bench)
    assert max(map(len, text_of(run).splitlines())) <= 79


def test_readings_that_disagree_are_the_reason_and_a_doubt(run: Any, bench: Bench) -> None:
    more = ("reading", {"what": "gold", "text": "0.810", "unit": "mg", "balance": "fine",
                        "sample": "T-1"})  # fmt: skip
    bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "0.410"), more)
    text = text_of(run)
    assert "the bead was not parted" not in text
    assert "Readings disagree" in text.split("  Results")[1].split("  Weighed")[0]
    doubts = one_line(text.split("Departures and doubts")[1])
    assert "T-1: Readings disagree: 2 readings lie 0.4 mg apart" in doubts
    answer = run("results", "1", "--json").json
    assert "readings_disagree" in {flag["code"] for flag in answer["flags"]}


def test_a_blank_without_its_lot_and_a_duplicate_of_nothing_are_told(
    run: Any, bench: Bench
) -> None:
    blank = ("reading", {"what": "gold", "text": "0.001", "unit": "mg", "balance": "fine",
                         "sample": "BL"})  # fmt: skip
    bench.log(FINE, PULP, sample("BL", role="blank"), blank, sample("D", role="duplicate"),
              *weighed("D", "0.410"))  # fmt: skip
    outcome = run("results", "1")
    assert outcome.status == DONE
    said = one_line(outcome.out)
    assert "the blank BL names no lot" in said
    assert "Run a blank of the same lots" not in said
    assert "Duplicate of which sample?" in said


def test_what_is_left_out_and_the_widest_k_stand_on_the_results(run: Any, bench: Bench) -> None:
    bench.log(FINE, PULP, sample("A"), *weighed("A", "0.400"),
              ("left_out", {"sample": "A", "reason": "cracked cupel"}),
              sample("B"), *weighed("B", "0.410"),
              sample("B b", "B"), *weighed("B b", "0.900"))  # fmt: skip
    said = run("results", "1").out
    assert "A: cracked cupel" in said.split("Left out of means")[1]
    grade = run("results", "1", "--json").json["grades"][0]["figures"]["grade_gold"]
    assert f" to {grade['k']:.3g}, about 95 in 100" in said


def test_a_practice_page_stays_within_the_terminal(run: Any, bench: Bench) -> None:
    assert run("open", "run", "--practice", "--by", "KB").status == DONE
    for line in (("report", "P-1", "--text"), ("show", "P-1")):
        lines = run(*line).out.splitlines()
        assert lines
        assert max(map(len, lines)) <= 79


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("report", "1"), "--text is missing. Write --text: plain text is the form there is."),
        (("report", "--text"), "NUMBER is missing. Write NUMBER."),
        (("report", "9", "--text"), "there is no log MAIN-000009"),
        (("report", "x", "--text"), '"x" is not a log.'),
        (("report", "1", "--text", "--sample", "T-9"), '--sample: "T-9" is not a sample of this'),
        (("report", "1", "--text", "--issued", "soon"), '--issued: "soon" is not a date.'),
        (("report", "1", "--text", "--out", "."), '--out: "." is there already'),
        (("report", "1", "--text", "--html"), '"--html" is not an option'),
    ],
)
def test_bad_input_is_one_line_and_makes_nothing(
    run: Any, bench: Bench, line: tuple[str, ...], said: str
) -> None:
    bench.log(sample("T-1"))
    outcome = run(*line)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    (fault,) = outcome.faults
    assert said in fault


def test_a_report_never_overwrites_a_file(run: Any, bench: Bench, tmp_path: Path) -> None:
    bench.log()
    out = tmp_path / "mine.txt"
    out.write_text("mine", "utf-8")
    assert run("report", "1", "--text", "--out", str(out)).status == BAD_INPUT
    assert out.read_text("utf-8") == "mine"
