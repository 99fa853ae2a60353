"""The list of logs: pages, filters, what the registers tell; and n of N across the logbook."""

import re
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_GOOD
from assaybench.cli.logbook_list import SHOWN_FINDINGS
from assaybench.logbook.folder import LogName
from assaybench.logbook.index import file_of
from tests.logbook.books import FINE, PULP, Bench, sample, weighed


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    """A bench in a logbook that the environment names."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Bench(tmp_path / "book")


def rows(page: str) -> list[str]:
    return re.findall(r"^    ([A-Z]+-\d{6}) ", page, re.MULTILINE)


def test_the_newest_come_first_with_what_a_person_looks_for(run: Any, bench: Bench) -> None:
    bench.log(sample("T-1"), sample("T-2"), title="Grey Heron")
    bench.log(kind="circuit test", title="a title that is longer than its column")
    bench.sealed(1)
    outcome = run("logbook")
    assert (outcome.status, outcome.err) == (DONE, "")
    assert (
        "MAIN-000002  2026-06-11  circuit  KB           open    a title that is lon…" in outcome.out
    )
    assert "MAIN-000001  2026-06-10  run      KB        2  sealed  Grey Heron" in outcome.out
    assert max(len(line) for line in outcome.out.splitlines()) <= 79
    first, second = run("logbook", "--json").json["logs"]
    assert first["title"] == "a title that is longer than its column"
    assert (second["id"], second["samples"], second["state"]) == ("MAIN-000001", 2, "sealed")


def test_a_folder_that_is_not_there_is_told(run: Any, tmp_path: Path, bench: Bench) -> None:
    """An empty list of a folder that was named wrong would look like lost logs."""
    gone = tmp_path / "bok"
    outcome = run("logbook", "--logbook", str(gone), "--plain")
    assert outcome.status == DONE
    assert f"note: There is no folder {gone}." in outcome.out
    assert not gone.exists()
    assert "There is no folder" not in run("logbook", "--plain").out
    nobody = run("logbook", "--logbook", "~no.such.user.1/book")
    assert (nobody.status, len(nobody.faults)) == (2, 1)
    assert "nobody here has that name" in nobody.err


@pytest.mark.parametrize("command", ["signers", "heaps"])
def test_what_else_lists_says_too_that_the_folder_is_not_there(
    run: Any, tmp_path: Path, bench: Bench, command: str
) -> None:
    gone = tmp_path / "elsewhere"
    told = run(command, "--plain", "--logbook", str(gone))
    assert f"note: There is no folder {gone}." in told.out
    bench.log()
    assert "There is no folder" not in run(command, "--plain").out


def test_pages_follow_each_other(run: Any, bench: Bench) -> None:
    for _ in range(5):
        bench.log()
    pages = [run("logbook", "--lines", "2", "--page", str(n)).out for n in (1, 2, 3, 4)]
    assert [rows(p) for p in pages] == [
        ["MAIN-000005", "MAIN-000004"], ["MAIN-000003", "MAIN-000002"], ["MAIN-000001"], [],
    ]  # fmt: skip
    assert "3 to 4 of 5" in pages[1]
    assert "2 of 3" in pages[1]
    assert "none of 5" in pages[3]


def test_filters_of_the_command_line(run: Any, bench: Bench) -> None:
    bench.log(sample("T-1"), title="Grey Heron")
    bench.log(sample("T-1 b", "T-1"), kind="circuit test")
    Bench(bench.book.root, "SHED").log(sample("T-1"))
    bench.void(2, "slip")

    def found(*more: str) -> list[str]:
        return rows(run("logbook", *more).out)

    assert len(found("--sample", "T-1")) == 3
    assert found("--sample", "T-1 b") == ["MAIN-000002"]
    assert found("--bench", "shed") == ["SHED-000001"]
    assert found("--kind", "circuit") == ["MAIN-000002"]
    assert found("--state", "void") == ["MAIN-000002"]
    assert found("--title", "heron") == ["MAIN-000001"]
    assert found("--since", "2026-06-11") == ["MAIN-000002"]
    assert found("--until", "2026-06-09") == []


def test_findings_of_the_registers_stand_below(run: Any, bench: Bench) -> None:
    bench.log()
    bench.taken()
    path = bench.book.log(LogName("MAIN", 9))
    path.write_bytes(bench.book.log(LogName("MAIN", 1)).read_bytes())
    outcome = run("logbook")
    assert outcome.status == DONE
    assert "MAIN: number 2 was allotted and its log is not there." in outcome.out
    assert "MAIN: there is a log 9 that the register does not know." in outcome.out
    assert re.search(r"MAIN-000002 .* missing", outcome.out)
    assert {f["id"] for f in run("logbook", "--json").json["findings"]} == {
        "number_without_log", "log_without_number",
    }  # fmt: skip


def test_logs_whose_register_is_gone_are_not_good(run: Any, bench: Bench) -> None:
    bench.log()
    bench.log()
    bench.book.register("MAIN").unlink()
    outcome = run("logbook")
    assert outcome.status == NOT_GOOD
    assert "MAIN has logs and no register MAIN.toml." in outcome.out
    assert "does not know" not in outcome.out


def test_many_findings_are_counted(run: Any, bench: Bench) -> None:
    bench.log()
    for _ in range(SHOWN_FINDINGS + 3):
        bench.taken()
    outcome = run("logbook")
    assert outcome.out.count("its log is not there") == SHOWN_FINDINGS
    assert "And 3 more of such" in outcome.out


def test_a_fork_or_a_damaged_log_on_the_page_is_not_good(run: Any, bench: Bench) -> None:
    bench.log(sample("T-1"))
    bench.log()
    register = bench.book.register("MAIN")
    old = register.read_bytes()
    bench.taken("mine")
    mine = register.read_bytes()
    register.write_bytes(old)
    bench.taken("theirs")
    register.with_name("copy.toml").write_bytes(mine)
    outcome = run("logbook")
    assert outcome.status == NOT_GOOD
    assert "The register of MAIN forked after 3" in outcome.out
    register.with_name("copy.toml").unlink()
    assert run("logbook").status == DONE
    path = bench.book.log(LogName("MAIN", 1))
    path.write_bytes(path.read_bytes().replace(b"T-1", b"T-9"))
    assert run("logbook").status == NOT_GOOD
    assert run("logbook", "--title", "nothing").status == DONE


def test_the_index_is_a_cache_in_the_cache_folder_and_can_go(
    run: Any, bench: Bench, tmp_path: Path
) -> None:
    bench.log()
    before = run("logbook").out
    path = file_of(bench.book, tmp_path / "cache" / "assaybench" / "logbooks")
    assert path.is_file()
    path.write_bytes(b"spoilt")
    assert run("logbook").out == before
    inside = {p.relative_to(bench.book.root).parts[0] for p in bench.book.root.rglob("*")}
    assert inside <= {"registers", "logs", "reports", "locks", ".gitattributes"}


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("x",), '"x" is more than this command takes.'),
        (("--page", "0"), '--page: "0" is not a whole number from 1 to 1000000.'),
        (("--lines", "5000"), '--lines: "5000" is not a whole number from 1 to 1000.'),
        (("--state", "shut"), '--state: "shut" is not a choice for state. Write open, sealed,'),
        (("--since", "June"), '--since: "June" is not a date. Write it like 2026-06-09.'),
        (
            ("--kind", "fire"),
            '--kind: "fire" is not a choice for kind. Write run, circuit, self-test.',
        ),
        (("--bench", "a b"), '--bench: "a b" is not a name for a bench'),
        (("--sample", ""), "--sample: "),
        (("--title", "\x07"), "--title: "),
        (("--page", "1", "--page", "2"), "--page is given more than once"),
    ],
)
def test_bad_input_is_one_line(run: Any, bench: Bench, line: tuple[str, ...], said: str) -> None:
    outcome = run("logbook", *line)
    assert (outcome.status, outcome.out) == (BAD_INPUT, "")
    (fault,) = outcome.faults
    assert said in fault


def test_every_fault_of_a_line_is_told_at_once(run: Any, bench: Bench) -> None:
    outcome = run("logbook", "--page", "x", "--since", "x", "--state", "x")
    assert (outcome.status, len(outcome.faults)) == (BAD_INPUT, 3)


# --- n of N on the page of results ---------------------------------------------------------------


def test_results_say_nothing_of_n_when_everything_is_shown(run: Any, bench: Bench) -> None:
    bench.log(FINE, PULP, sample("A"), *weighed("A", "0.400"))
    bench.log(FINE, PULP, sample("B"), *weighed("B", "0.500"))
    page = run("results", "1")
    assert (page.status, page.err) == (DONE, "")
    assert "across the logbook" not in page.out
    assert "determinations shown" not in page.out


def test_results_tell_a_log_that_nobody_can_look_into(run: Any, bench: Bench) -> None:
    bench.log(FINE, PULP, sample("A"), *weighed("A", "0.400"))
    bench.taken()
    assert "Logs missing or not read: 1." in run("results", "1").out


def test_a_blank_or_proof_of_the_same_name_elsewhere_is_no_determination(
    run: Any, bench: Bench
) -> None:
    bench.log(FINE, PULP, sample("A"), *weighed("A", "0.400"))
    bench.log(FINE, PULP, sample("A", role="blank"), *weighed("A", "0.001")[1:])
    assert "across the logbook" not in run("results", "1").out


def test_the_list_stays_within_the_terminal(run: Any, bench: Bench) -> None:
    bench.log(title="a title that is longer than any line of the list has room for")
    lines = run("logbook").out.splitlines()
    assert max(map(len, lines)) <= 79
    assert any("a title" in line and line.endswith("…") for line in lines)
