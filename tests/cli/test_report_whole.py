"""The report of a log hides nothing: changes, what was left out, its seal and damage."""

import hashlib
import re
from datetime import timedelta
from pathlib import Path
from typing import Any

from assaybench.cli.app import DONE, NOT_GOOD
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.register import Register
from assaybench.logbook.store import create
from assaybench.record.frame import Chain
from assaybench.record.signed_kinds import MARK_BY_NAME
from tests.acceptance.page import one_line, value_of
from tests.cli.reported_logs import CHECK, SEALER, bench, text_of
from tests.logbook.books import FINE, PULP, Bench, sample, weighed
from tests.record.frames import file_of

__all__ = ["bench"]


# --- completeness --------------------------------------------------------------------------------


def test_an_amendment_stands_struck_with_both_values_reason_hand_and_time(
    run: Any, bench: Bench
) -> None:
    name = bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "1.372", "20.00"))
    bench.add(name, ("amendment", {"entry": 6, "reason": "digits swapped", "text": "1.327"}))
    text = text_of(run)
    assert value_of(text, "amendments") == "1"
    assert "  Entries amended 1, withdrawn 0\n" in text
    assert re.search(r"entry 6, KB 10 June 2026, \d\d:\d\d: reading gold T-1 1\.372 mg\n", text)
    now = r"text: 1\.372 struck, now 1\.327; KB 10 June 2026, \d\d:\d\d: digits swapped\n"
    assert re.search(now, text)
    assert re.search(r"T-1 +66\.35 ± \S+ g/t", text)


def test_a_withdrawn_entry_stands_with_reason_hand_and_time(run: Any, bench: Bench) -> None:
    name = bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "1.372"))
    bench.add(name, ("withdrawn", {"entry": 6, "reason": "wrong cup"}))
    text = one_line(text_of(run))
    assert "Entries amended 0, withdrawn 1" in text
    assert re.search(r"reading gold T-1 1\.372 mg withdrawn; KB 10 June 2026, 12:00: wrong", text)


def test_amendments_of_other_samples_are_counted_when_one_is_asked_for(
    run: Any, bench: Bench
) -> None:
    name = bench.log(FINE, PULP, sample("A"), *weighed("A", "0.400"), sample("B"),
                     *weighed("B", "0.500"))  # fmt: skip
    for n, text in ((6, "0.401"), (9, "0.501")):
        bench.add(name, ("amendment", {"entry": n, "reason": "slip", "text": text}))
    text = text_of(run, "--sample", "A")
    assert "text: 0.400 struck, now 0.401; KB" in text
    assert "0.500 struck" not in text
    assert "Of other samples of this log, not shown here: 1." in text
    assert value_of(text, "amendments") == "2"


def test_left_out_suspect_gaps_and_attachments_are_told(run: Any, bench: Bench) -> None:
    bad = ("balance_check", {**CHECK[1], "texts": ["9.981"]})
    weight, photo = ("weight", {"name": "10 mg", "mass": "10.000 mg"}), ("attachment", {
        "file": "tray.jpg", "size": 9, "sha256": "cd" * 32})  # fmt: skip
    name = bench.log(FINE, PULP, weight, sample("A"), *weighed("A", "0.400"), sample("A b", "A"),
                     *weighed("A b", "1.900"), bad, photo)  # fmt: skip
    bench.clock.now += timedelta(hours=1)
    bench.add(name, ("left_out", {"sample": "A b", "reason": "nugget"}))
    text = text_of(run)
    assert re.search(r"    A b: nugget; KB, 10 June 2026, 13:00", text)
    assert "Suspect on fine: the weighings of A, A b." in text
    assert re.search(r"A +gold .*\n.* suspect\n", text)
    assert re.search(r"gap of (59 min|1 h 0 min) before entry 13, 10 June 2026, 13:00", text)
    assert "tray.jpg, 9 bytes; SHA-256:" in text
    assert "cd" * 32 in text
    line = r"A +4\.\d+ ± \S+ g/t +1 of 2 determinations shown\n +of all 2: mean 11\.5"
    assert re.search(line, text)


def test_what_was_asked_about_is_told(run: Any, bench: Bench) -> None:
    asked = {"typed": "3.14", "question": "times_10 digits_changed_over", "confirmed": "0.314",
             "unit": "mg", "sample": "A", "what": "gold"}  # fmt: skip
    bench.log(FINE, PULP, sample("A"), ("asked", asked), *weighed("A", "0.314"))
    text = one_line(text_of(run))
    why = "10 times too much?, digits changed over"
    assert f"A gold: typed 3.14, confirmed 0.314 mg ({why}), KB 10 June 2026" in text


def test_determinations_of_other_logs_stand_by_number(run: Any, bench: Bench) -> None:
    bench.log(FINE, PULP, sample("T-31"), *weighed("T-31", "1.960"))
    bench.log(FINE, PULP, sample("T-31"), *weighed("T-31", "0.410"))
    text = text_of(run)
    line = r"T-31 +19\.6\S* ± \S+ g/t +1 of 2 determinations shown\n +of all 2: mean 11\.8"
    assert re.search(line, text)
    assert re.search(r"MAIN-000002 T-31: in another log [ .]+ 4\.1\S* ± \S+ g/t", text)


def test_the_fume_sentence_is_there(run: Any, bench: Bench) -> None:
    bench.log()
    assert (
        "Assay fumes are a workplace hazard; this record does not show that exposure was "
        "controlled."
    ) in one_line(text_of(run))


def test_a_void_number_says_so_first(run: Any, bench: Bench) -> None:
    bench.log()
    bench.void(1, "imported twice")
    text = text_of(run)
    assert "number 1 is void: imported twice" in text.split("laboratory")[0]
    assert "Standing of the log: void" in text
    assert "Standing of the log: open" not in text


def test_every_line_of_a_practice_log_says_so(run: Any, bench: Bench) -> None:
    assert run("open", "run", "--practice", "--by", "KB").status == DONE
    outcome = run("report", "P-1", "--text")
    assert (outcome.status, outcome.err) == (DONE, "")
    assert {line.split()[0] for line in outcome.out.splitlines()} == {"PRACTICE"}


def test_the_sum_is_printed_when_it_is_asked_for(run: Any, bench: Bench) -> None:
    bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "0.410"))
    assert "The sum" not in text_of(run)
    assert re.search(r"T-1: .*= 4\.1", text_of(run, "--sum"))


def test_a_circuit_test_shows_its_recovery(run: Any, bench: Bench) -> None:
    demo = Path(__file__).parents[2] / "demo" / "gravity-test.toml"
    assert run("import", str(demo), "--by", "KB").status == DONE
    text = text_of(run)
    assert "  Gravity circuit, circuit test" in text
    assert "at most" in text


# --- the seal ------------------------------------------------------------------------------------


def sealed_log(bench: Bench) -> LogName:
    name = bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "0.410"))
    bench.add(name, ("sealed", SEALER))
    data = bench.book.log(name).read_bytes()
    with Register(bench.book, "MAIN", bench.keeper) as register:
        register.sealed(1, hashlib.sha512(data).hexdigest(), len(data))
    mark = {"bench": "MAIN", "number": 1, "count": 3, "last_link": "c" * 64,
            "fingerprint": SEALER["fingerprint"]}  # fmt: skip
    path = bench.book.mark(name)
    path.parent.mkdir(parents=True)
    create(Files(), path, file_of([("mark", mark)], Chain(MARK_BY_NAME)))
    return name


def test_a_sealed_log_names_its_digest_signer_mark_and_how_to_check(run: Any, bench: Bench) -> None:
    name = sealed_log(bench)
    text = text_of(run)
    digest = hashlib.sha512(bench.book.log(name).read_bytes()).hexdigest()
    assert digest[:64] in text
    assert digest[64:] in text
    assert value_of(text, "signed by") == "Mirel Quist, assayer"
    assert "register mark, 3 entries" in text
    assert "c" * 64 in text
    assert "assaybench verify MAIN-000001" in text
    assert f"verify --mark 3:{'c' * 32} shows" in text
    assert "HOW-TO-CHECK.txt" in text


def test_a_reissued_log_says_that_the_earlier_signature_covers_the_earlier_state(
    run: Any, bench: Bench
) -> None:
    old = bench.book.log(sealed_log(bench)).read_bytes()
    head = {"number": 1, "sha512": hashlib.sha512(old).hexdigest(), "reason": "digits swapped"}
    change = {"entry": 6, "log": 1, "entry_kind": "reading", "text": "0.400", "reason": "re-read"}
    bench.log(("replaces", head), ("amendment", change))
    outcome = run("report", "2", "--text")
    assert (outcome.status, outcome.err) == (DONE, "")
    text = one_line(outcome.out)
    assert "Replaces MAIN-000001, which stays as it is. Why: digits swapped" in text
    assert "signed before it was replaced, by Mirel Quist: of the state till then." in text
    assert "The log is open" in text
    assert "text: 0.410 struck, now 0.400; KB" in text
    assert re.search(r"T-1 4\.000 ± \S+ g/t 1 of 1 shown", text)


def test_a_log_that_is_not_what_was_sealed_is_not_good(run: Any, bench: Bench) -> None:
    path = bench.book.log(sealed_log(bench))
    with path.open("ab") as file:
        file.write(b"[[entry]]\n")
    text = text_of(run, status=NOT_GOOD)
    assert "000001.toml is not what was sealed: its SHA-512 or its size differs." in text


def test_a_seal_that_the_register_does_not_know_is_not_finished(run: Any, bench: Bench) -> None:
    bench.add(bench.log(), ("sealed", SEALER))
    assert "the seal is not finished" in text_of(run)


def test_a_damaged_log_is_reported_as_far_as_it_holds(run: Any, bench: Bench) -> None:
    name = bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "0.410"))
    path = bench.book.log(name)
    path.write_bytes(path.read_bytes().replace(b"0.410", b"0.910"))
    assert "000001.toml is damaged and only read" in text_of(run, status=NOT_GOOD)
