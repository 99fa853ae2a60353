"""`heaps` over a logbook: what each circuit test saved, what was run again since, what is told."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.logbook.folder import LogName
from tests.logbook.books import Bench, Row, sample

PRICE = ("--second-stage", "60 ± 10 %", "--price", "80 USD/g", "--price-source", "typed, KB")


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    """A bench in a logbook that the environment names."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Bench(tmp_path / "book")


def product(name: str, **keys: str) -> Row:
    return ("circuit", {"product": name, **keys})


def stages(concentrate: str, rerun: str) -> tuple[Row, Row]:
    return product("concentrate", metal=concentrate), product("rerun", metal=rerun)


def tested(bench: Bench, *rows: Row) -> None:
    bench.log(*stages("486 ± 9 mg", "83 ± 4 mg"), *rows, kind="circuit test")


ASSAYED = product("tailings", mass="410 ± 2 kg", grade="0.64 ± 0.20 g/t")
LIMIT = product("tailings", mass="500 kg", grade="<0.33 g/t")
WEIGHED = product("tailings", mass="380 ± 2 kg")


def found(run: Any, *line: str) -> dict[str, Any]:
    outcome = run("heaps", *line, "--json")
    assert outcome.status == 0, outcome.err
    return {row["id"]: row for row in outcome.json["heaps"]}


def test_an_empty_logbook_says_what_is_needed(run: Any, bench: Bench) -> None:
    outcome = run("heaps")
    assert outcome.status == 0
    assert "No circuit test here says how much tailings were saved." in outcome.out
    bench.log()
    tested(bench)
    assert found(run) == {}


def test_each_way_of_knowing_what_is_left(run: Any, bench: Bench) -> None:
    tested(bench, ASSAYED)
    tested(bench, LIMIT)
    tested(bench, WEIGHED)
    tested(bench, WEIGHED, product("feed", mass="400 kg", second_stage="90%"))
    rows = found(run)
    left = {name: row["figures"]["left"] for name, row in rows.items()}
    assert [row["way"] for row in rows.values()] == [
        "assayed", "not seen", "equal stages", "stated second stage",
    ]  # fmt: skip
    first, second, third, fourth = left.values()
    assert first["value"] == pytest.approx(0.410 * 0.64)
    assert (second["value"], second["low"]) == (None, 0)
    assert second["high"] == pytest.approx(0.5 * 0.33)
    assert third["value"] == pytest.approx(0.083**2 / (0.486 - 0.083))
    assert fourth["value"] == pytest.approx(0.083 * (1 / 0.9 - 1))


def test_what_the_feed_leaves_for_tailings_that_were_not_assayed(run: Any, bench: Bench) -> None:
    feed = product("feed", mass="120 ± 1 kg", grade="1.90 ± 0.1 g/t")
    concentrate = product("concentrate", mass="5.2 ± 0.1 kg", grade="36 ± 1 g/t")
    bench.log(feed, concentrate, product("tailings", sample="heap E"), sample("heap E"),
              kind="circuit test")  # fmt: skip
    bench.log(feed, concentrate, kind="circuit test")
    (row,) = found(run).values()
    assert (row["id"], row["way"]) == ("heap E", "worked out")
    assert row["figures"]["dry"]["value"] == pytest.approx(0.1148)
    assert row["figures"]["left"]["value"] == pytest.approx(0.228 - 0.1872)


def test_metal_without_a_mass_has_no_grade_and_no_worth(run: Any, bench: Bench) -> None:
    tested(bench, product("tailings", metal="260 ± 30 mg"))
    tested(bench, ASSAYED)
    answer = run("heaps", *PRICE, "--json").json
    first, second = (row["figures"] for row in answer["heaps"])
    assert (first["left"]["value"], first["dry"]["value"]) == (pytest.approx(0.26), None)
    assert first["grade"]["value"] is None
    assert "worth" not in first
    assert answer["figures"]["total_worth"]["value"] == pytest.approx(second["worth"]["value"])
    assert answer["figures"]["total_left"]["value"] == pytest.approx(0.26 + 0.410 * 0.64)


def test_stages_too_alike_leave_a_least_one_or_nothing(run: Any, bench: Bench) -> None:
    alike = stages("80 ± 9 mg", "83 ± 4 mg")
    bench.log(*alike, WEIGHED, kind="circuit test")
    least = product("feed", mass="400 kg", second_stage_least="50%")
    bench.log(*alike, WEIGHED, least, kind="circuit test")
    unknown, bounded = found(run).values()
    assert (unknown["way"], unknown["figures"]["left"]["value"]) == ("not known", None)
    assert bounded["way"] == "least second stage"
    assert bounded["figures"]["left"]["high"] == pytest.approx(0.087)
    assert "nothing tells what is left in it. Assay it." in run("heaps").out


def test_only_the_share_that_was_run_again_lies_in_the_heap(run: Any, bench: Bench) -> None:
    tested(bench, WEIGHED, product("feed", mass="400 kg", rerun_share="50%"))
    (row,) = found(run).values()
    gone = 0.166**2 / (0.486 - 0.166)
    assert row["figures"]["left"]["value"] == pytest.approx(gone / 2)
    assert "50.0 % of the tailings were not run again" in " ".join(run("heaps").out.split())


def test_the_first_one_is_the_richest_by_its_lower_end(run: Any, bench: Bench) -> None:
    tested(bench, LIMIT)
    tested(bench, ASSAYED)
    tested(bench, product("tailings", mass="300 kg", grade="0.6 ± 0.5 g/t"))
    answer = run("heaps", "--json").json
    assert answer["verdict"]["code"] == "heap_first"
    assert answer["verdict"]["reason"].startswith("Run MAIN-000002 again first: it holds 0.44 g/t")
    rivals = [flag["text"] for flag in answer["flags"] if flag["code"] == "heap_order_open"]
    assert [text.split()[0] for text in rivals] == ["MAIN-000003"]


def test_where_no_heap_surely_holds_anything_one_is_to_be_assayed(run: Any, bench: Bench) -> None:
    tested(bench, LIMIT)
    verdict = run("heaps", "--json").json["verdict"]
    assert verdict["code"] == "heap_assay_first"
    assert "Assay MAIN-000001 first: up to 0.33 g/t" in verdict["reason"]


def test_a_heap_that_a_later_log_was_fed_with_is_gone(run: Any, bench: Bench) -> None:
    named = product("tailings", mass="410 kg", grade="0.64 ± 0.2 g/t", sample="heap A")
    tested(bench, sample("heap A"), named)
    tested(bench, ASSAYED)
    again = (sample("heap A"), sample("F-3", "heap A"))
    tested(bench, *again, product("feed", mass="400 kg", sample="F-3"))
    rows = found(run)
    assert rows["heap A"]["rerun_in"] == "MAIN-000003"
    assert rows["MAIN-000002"]["rerun_in"] is None
    outcome = run("heaps")
    assert "heap A was run again in MAIN-000003: it is not in the total." in outcome.out
    whole = run("heaps", "--json").json["figures"]["total_left"]["value"]
    assert whole == pytest.approx(0.410 * 0.64)


def test_a_heap_without_a_name_goes_by_that_of_its_log(run: Any, bench: Bench) -> None:
    tested(bench, ASSAYED)
    tested(bench, sample("MAIN-000001"), product("feed", mass="400 kg", sample="MAIN-000001"))
    assert found(run)["MAIN-000001"]["rerun_in"] == "MAIN-000002"


def test_the_date_on_the_paper_counts_not_that_of_the_import(run: Any, bench: Bench) -> None:
    """Heap A was run again three weeks later; the later sheet is imported first."""
    assert bench.book.root.exists()
    demo = Path(__file__).parents[2] / "demo" / "circuit"
    for name in ("heap-a-again", "heap-a"):
        assert run("import", str(demo / f"{name}.toml"), "--by", "MQ").status == 0
    rows = found(run)
    assert list(rows) == ["heap A", "heap D"]
    assert rows["heap A"]["rerun_in"] == "MAIN-000001"


def test_what_the_next_stage_gets_and_what_that_brings(run: Any, bench: Bench) -> None:
    tested(bench, ASSAYED)
    tested(bench, LIMIT)
    answer = run("heaps", *PRICE, "--running-cost", "5 USD/t", "--json").json
    first, second = (row["figures"] for row in answer["heaps"])
    caught = 0.410 * 0.64 * 0.6
    assert first["caught"]["value"] == pytest.approx(caught)
    assert first["worth"]["value"] == pytest.approx(80 * caught - 5 * 0.410)
    assert first["worth"]["unit"] == "USD"
    assert second["caught"]["high"] == pytest.approx(0.165 * 0.7)
    assert second["worth"]["low"] == pytest.approx(-5 * 0.5)
    whole = answer["figures"]["total_worth"]
    assert whole["low"] < 80 * caught - 5 * 0.91 < whole["high"]


def test_void_replaced_and_practice_logs_do_not_count(run: Any, bench: Bench) -> None:
    tested(bench, ASSAYED)
    tested(bench, LIMIT)
    bench.void(1, "wrong feed")
    assert list(found(run)) == ["MAIN-000002"]


def test_a_log_that_cannot_be_worked_out_or_is_damaged_is_told(run: Any, bench: Bench) -> None:
    tested(bench, ASSAYED, product("tailings", mass="3 kg", grade="1 ± 0.1 g/t"))
    tested(bench, ASSAYED)
    path = bench.book.log(LogName("MAIN", 2))
    path.write_bytes(path.read_bytes().replace(b"0.64", b"9.64"))
    tested(bench, LIMIT)
    outcome = run("heaps")
    told = " ".join(outcome.out.split())
    assert "MAIN-000001 was left out:" in told
    assert "MAIN-000002 was left out:" in told
    assert list(found(run)) == ["MAIN-000003"]


def test_hand_sheets_can_be_asked_instead_of_the_logbook(run: Any, tmp_path: Path) -> None:
    sheet = (
        '[sheet]\nlog = "circuit test"\ntitle = "{}"\ndate = 2026-03-02\nby = "KB"\n\n'
        '[[circuit]]\nproduct = "concentrate"\nmetal = "486 ± 9 mg"\n\n'
        '[[circuit]]\nproduct = "rerun"\nmetal = "83 ± 4 mg"\n\n'
        '[[circuit]]\nproduct = "tailings"\nmass = "410 kg"\ngrade = "0.64 ± 0.2 g/t"\n'
    )
    paths = []
    for i in range(2):
        paths.append(tmp_path / f"{i}.toml")
        paths[-1].write_text(sheet.format("one title") + f"# test {i}\n", "utf-8")
    answer = run("heaps", *map(str, paths), "--json").json
    assert [row["id"] for row in answer["heaps"]] == ["one title", "one title"]
    assert answer["figures"]["total_left"]["value"] == pytest.approx(2 * 0.410 * 0.64)
    copy = tmp_path / "copy.toml"
    copy.write_bytes(paths[0].read_bytes())
    twice = run("heaps", *map(str, paths), str(copy))
    assert (twice.status, len(twice.faults)) == (2, 1)
    assert '"copy.toml" is the same sheet as "0.toml". Give each sheet once.' in twice.err
    paths[0].write_text("not a sheet", "utf-8")
    assert run("heaps", str(paths[0])).status == 2


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("--price", "80 USD/g"), "--price needs --second-stage."),
        (("--running-cost", "3 USD/t"), "--running-cost needs --price."),
        (("--second-stage", "120%"), "out of range"),
        (("--second-stage", "x"), "is not a figure"),
        ((*PRICE, "--running-cost", "3 EUR/t"), "one currency"),
        (("nowhere.toml",), "cannot be read"),
        (("--json", "--plain"), "exclude each other"),
    ],
)
def test_bad_lines_are_refused(run: Any, bench: Bench, line: tuple[str, ...], said: str) -> None:
    assert bench.book.root.exists()
    outcome = run("heaps", *line)
    assert (outcome.status, outcome.out) == (2, "")
    assert said in outcome.err


def test_a_heap_of_streams_that_do_not_agree_says_so(run: Any, bench: Bench) -> None:
    """120 and 39 mg caught, 0.43 g/t left in 95 kg: 98 kg between hold 80 mg, or less than half."""
    told = "the streams of its test do not agree; what is left is given as assayed all the same."
    for grade in ("0.83 ± 0.06 g/t", "0.43 ± 0.06 g/t"):
        bench.log(
            *stages("120 ± 4 mg", "39 ± 3 mg"),
            product("feed", mass="100 ± 1 kg"),
            product("stage-1 tailings", mass="98 ± 1 kg", grade=grade),
            product("tailings", mass="95 ± 1 kg", grade="0.43 ± 0.05 g/t"),
            kind="circuit test",
        )
    shown = " ".join(run("heaps").out.split())
    assert f"MAIN-000002: {told} Measure the tailings again." in shown
    assert f"MAIN-000001: {told}" not in shown
