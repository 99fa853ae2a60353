"""A circuit that contradicts itself: a sentence a miner understands, and the readings stay stored.

By `recovery`, by `results` of a hand sheet, and by `import` and `results` of the log: what cannot
be worked out is refused or told, never made into a recovery.
"""

from pathlib import Path
from typing import Any, NamedTuple

import pytest

from tests.acceptance.page import one_line

HEAD = '[sheet]\nlog = "circuit test"\ntitle = "sluice"\ndate = 2026-05-04\nby = "KB"\n'
A, B = (
    {"product": "concentrate", "metal": "12 ± 0.1 mg"},
    {"product": "rerun", "metal": "3 ± 0.1 mg"},
)
Row = dict[str, str]


class Case(NamedTuple):
    """One contradiction: as a line of `recovery`, as rows of a hand sheet, and what is said."""

    line: tuple[str, ...]
    rows: tuple[Row, ...]
    said: str
    refused: bool = False


def streams(*named: str) -> tuple[str, ...]:
    return tuple(word for text in named for word in ("--stream", text))


def row(product: str, **keys: str) -> Row:
    return {"product": product, **keys}


CASES = {
    "concentrate no richer than the feed": Case(
        ("--feed-grade", "2.0 ± 0.1 g/t", "--concentrate-grade", "1.5 ± 0.1 g/t",
         "--tailings-grade", "0.3 ± 0.1 g/t"),
        (row("feed", grade="2.0 ± 0.1 g/t"), row("concentrate", grade="1.5 ± 0.1 g/t"),
         row("tailings", grade="0.3 ± 0.1 g/t")),
        "Concentrate: 1.5 g/t, no more than the feed with 2 g/t. No recovery follows.",
    ),
    "more concentrate than feed": Case(
        streams("feed=100 ± 1 kg:2.0 ± 0.1 g/t", "concentrate=120 ± 1 kg:1.5 ± 0.1 g/t",
                "tailings=?:?"),
        (row("feed", mass="100 ± 1 kg", grade="2.0 ± 0.1 g/t"),
         row("concentrate", mass="120 ± 1 kg", grade="1.5 ± 0.1 g/t"), row("tailings")),
        "To add up, the mass of tailings would have to be below zero. No recovery follows.",
    ),
    "more metal than the feed weighs": Case(
        ("--concentrate", "12 ± 0.1 mg", "--rerun", "3 ± 0.1 mg", "--feed", "10 mg"),
        (A, B, row("feed", mass="10 mg")),
        "15 mg of metal in the products is heavier than the feed, 10 mg.",
        refused=True,
    ),
    "more metal than a product can weigh": Case(
        streams("feed=100 kg:2 g/t", "concentrate=1 kg:150 %", "tailings=99 kg:1 g/t"),
        (row("feed", mass="100 kg", grade="2 g/t"), row("concentrate", mass="1 kg", grade="150 %")),
        "is more metal than the stream weighs.",
        refused=True,
    ),
    "a size in which nothing was found": Case(
        ("--size", "-1 mm=0 ± 0.1 mg:0 ± 0.1 mg", "--size", "+1 mm=12 ± 0.1 mg:3 ± 0.1 mg"),
        (A | {"size": "+1 mm"}, B | {"size": "+1 mm"},
         row("concentrate", size="-1 mm", metal="0 ± 0.1 mg"),
         row("rerun", size="-1 mm", metal="0 ± 0.1 mg")),
        "-1 mm: neither catch can be told from zero. No recovery follows from it.",
    ),
    "nothing found at all": Case(
        ("--concentrate", "0 ± 0.1 mg", "--rerun", "0 ± 0.1 mg"),
        (A | {"metal": "0 ± 0.1 mg"}, B | {"metal": "0 ± 0.1 mg"}),
        "all: neither catch can be told from zero. No recovery follows from it.",
    ),
    "metal far below zero": Case(
        ("--concentrate", "12 ± 0.1 mg", "--rerun", "-3 ± 0.1 mg"),
        (A | {"metal": "12 ± 0.1 mg"}, B | {"metal": "-3 ± 0.1 mg"}),
        "Kept as read, no recovery follows from it. Weigh again.",
    ),
    "the second catch missing": Case(
        ("--concentrate", "12 ± 0.1 mg"), (A,), "rerun", refused=True
    ),
    "a stream that nothing tells": Case(
        streams("feed=100 ± 1 kg:2.0 ± 0.1 g/t", "concentrate=?:?", "tailings=?:0.3 ± 0.1 g/t"),
        (row("feed", mass="100 ± 1 kg", grade="2.0 ± 0.1 g/t"), row("concentrate"),
         row("tailings", grade="0.3 ± 0.1 g/t")),
        "cannot be worked out from these.",
        refused=True,
    ),
    "streams that do not add up": Case(
        streams("feed=100 ± 1 kg:2.0 ± 0.1 g/t", "concentrate=4.0 ± 0.1 kg:30 ± 1 g/t",
                "tailings=80 ± 1 kg:0.3 ± 0.1 g/t"),
        (row("feed", mass="100 ± 1 kg", grade="2.0 ± 0.1 g/t"),
         row("concentrate", mass="4.0 ± 0.1 kg", grade="30 ± 1 g/t"),
         row("tailings", mass="80 ± 1 kg", grade="0.3 ± 0.1 g/t")),
        "What does not add up is more than",
    ),
    "a head that was assayed poorer": Case(
        ("--concentrate", "12 ± 0.1 mg", "--rerun", "3 ± 0.1 mg", "--feed", "10 ± 0.1 kg",
         "--head", "0.2 ± 0.02 g/t"),
        (A, B, row("feed", mass="10 ± 0.1 kg", grade="0.2 ± 0.02 g/t")),
        "They do not agree. Nuggets in the head sample, or metal lost on the way?",
    ),
    "tailings that go against alike stages": Case(
        ("--concentrate", "12 ± 0.1 mg", "--rerun", "3 ± 0.1 mg", "--tailings-grade",
         "0.001 ± 0.0001 g/t", "--tailings-mass", "10 kg"),
        (A, B, row("tailings", mass="10 kg", grade="0.001 ± 0.0001 g/t")),
        "These disagree: tailings assay 0.0010 g/t, but 0.10 if stages are alike. Both are kept.",
    ),
}  # fmt: skip

OF_A_SHEET = {
    "sizes that do not add up": (
        (row("concentrate", size="+1 mm", mass="400 ± 1 g", metal="6 ± 0.1 mg"),
         row("concentrate", size="-1 mm", mass="600 ± 1 g", metal="6 ± 0.1 mg"),
         row("concentrate", mass="1030 ± 2 g"),
         B | {"size": "+1 mm"}, row("rerun", size="-1 mm", metal="1 ± 0.1 mg")),
        "Concentrate: sizes add up to 1000 g, the whole was weighed as 1030 g.",
        False,
    ),
    "a size without its re-run": (
        (A | {"size": "+1 mm"}, B | {"size": "-1 mm"}),
        'size "+1 mm" has a concentrate and no rerun', True,
    ),
    "a portion heavier than its product": (
        (A | {"mass": "10 g", "portion": "12 g"}, B),
        "the portion, 12 g, is heavier than the whole, 10 g", True,
    ),
    "metal heavier than its product": (
        (A | {"mass": "10 mg"}, B), "heavier than", True,
    ),
}  # fmt: skip
"""What only a sheet can say: it has the masses of sizes and portions."""


def written(rows: tuple[Row, ...]) -> str:
    tables = ("".join(f'{key} = "{value}"\n' for key, value in r.items()) for r in rows)
    return HEAD + "".join(f"[[circuit]]\n{table}" for table in tables)


def told(outcome: Any, *, refused: bool) -> str:
    """All that was said; a refusal says it in a line of its own and prints nothing else."""
    assert outcome.status == (2 if refused else 0)
    assert not (refused and outcome.out)
    assert "Traceback" not in outcome.err
    return one_line(f"{outcome.out} {outcome.err}")


@pytest.mark.parametrize("name", CASES)
def test_a_line_of_recovery(run: Any, name: str) -> None:
    case = CASES[name]
    assert case.said in told(run("recovery", *case.line), refused=case.refused)


def test_no_recovery_is_printed_where_none_follows(run: Any) -> None:
    for case in CASES.values():
        if "o recovery follows" in case.said and not case.refused:
            figures = run("recovery", *case.line, "--json").json
            names = [n for n in figures["figures"] if n.startswith("recovery")]
            assert names
            if "all:" in case.said or "-1 mm" not in case.said:
                assert all(figures["figures"][n]["value"] is None for n in names)


SHEETS = {name: (case.rows, case.said, case.refused) for name, case in CASES.items() if case.rows}
SHEETS |= OF_A_SHEET


@pytest.mark.parametrize("name", SHEETS)
def test_a_hand_sheet_and_the_log_made_of_it(
    run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    rows, said, refused = SHEETS[name]
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(written(tuple(rows)), "utf-8")
    assert said in told(run("results", str(sheet)), refused=refused)
    stored = run("import", str(sheet), "--by", "KB")
    assert stored.status == 0, stored.err
    kept = next((tmp_path / "book").rglob("000001.toml")).read_bytes()
    assert said in told(run("results", "1"), refused=refused)
    assert next((tmp_path / "book").rglob("000001.toml")).read_bytes() == kept
    entries = [e for e in run("show", "1", "--json").json["entries"] if e["kind"] == "circuit"]
    assert len(entries) == len(rows)
    shown = run("show", "1").out
    assert all(value in one_line(shown) for r in rows for value in r.values())


def test_metal_that_noise_took_below_zero_gives_a_sheet_what_it_gives_the_command(
    run: Any, tmp_path: Path
) -> None:
    noise = {"metal": "-0.1 ± 0.2 mg"}
    line = ("--concentrate", "12 ± 0.1 mg", "--rerun", noise["metal"])
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(written((A | {"metal": "12 ± 0.1 mg"}, B | noise)), "utf-8")
    by_line, by_sheet = (
        run(*words, "--json").json["figures"] for words in (("recovery", *line),
                                                            ("results", str(sheet)))
    )  # fmt: skip
    assert by_line["recovery_at_most"]["status"] == "at least"
    assert by_sheet["recovery_at_most"] == by_line["recovery_at_most"]


def test_a_grade_that_noise_took_below_zero_is_metal_below_zero(run: Any, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.toml"
    graded = {"product": "rerun", "mass": "2 ± 0.01 kg", "grade": "-0.05 ± 0.10 g/t"}
    sheet.write_text(written((A | {"metal": "12 ± 0.1 mg"}, graded)), "utf-8")
    figures = run("results", str(sheet), "--json").json["figures"]
    assert figures["recovery_at_most"]["status"] == "at least"
    feed = {"product": "feed", "mass": "9 kg", "grade": "-0.05 ± 0.10 g/t"}
    sheet.write_text(written((A | {"metal": "12 ± 0.1 mg"}, graded, feed)), "utf-8")
    assert "is below zero; a grade cannot be." in told(run("results", str(sheet)), refused=True)


def test_a_limit_of_one_size_gives_the_command_what_it_gives_a_sheet(
    run: Any, tmp_path: Path
) -> None:
    sizes = ("+1 mm=120 ± 4 mg:2 ± 0.2 mg:<2 mg", "-1 mm=60 ± 2 mg:20 ± 1 mg:20 ± 3 mg")
    line = [word for size in sizes for word in ("--size", size)]
    sheet = tmp_path / "sheet.toml"
    rows = [
        {"product": product, "size": size, "metal": metal}
        for product, metals in (
            ("concentrate", ("120 ± 4 mg", "60 ± 2 mg")),
            ("rerun", ("2 ± 0.2 mg", "20 ± 1 mg")),
        )
        for size, metal in zip(("+1 mm", "-1 mm"), metals, strict=True)
    ]
    rows.append({"product": "tailings", "size": "+1 mm", "mass": "40 kg", "grade": "<0.05 g/t"})
    rows.append({"product": "tailings", "size": "-1 mm", "metal": "20 ± 3 mg"})
    sheet.write_text(written(tuple(rows)), "utf-8")
    by_line, by_sheet = (
        {row["id"]: row["figures"]["closed"] for row in run(*words, "--json").json["sizes"]}
        for words in (("recovery", *line), ("results", str(sheet)))
    )
    assert [*by_line] == ["+1 mm", "-1 mm", "all"]
    for size, figure in by_line.items():
        ends = [by_sheet[size][end] for end in ("low", "high")]
        assert [figure["low"], figure["high"]] == pytest.approx(ends, abs=1e-6)
