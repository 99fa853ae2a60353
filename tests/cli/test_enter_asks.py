"""What `enter` and `import` ask and tell of slips, and how an answer is refused."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE
from assaybench.cli.asking import Asker
from assaybench.cli.storing import Wanted
from assaybench.logbook.folder import Logbook
from assaybench.messages import BadInput
from tests.cli.entered import BY, FINE, PULP, book, entered, entries_of, reading
from tests.record import trays

__all__ = ["book"]


@pytest.fixture
def log(run: Any, book: Logbook) -> Logbook:
    """A log with two samples, B the duplicate of A, and the gold of A."""
    assert run("open", "run", *BY).status == DONE
    a = ("sample", "id=A", "role=sample", "silver=none")
    b = ("sample", "id=B", "role=duplicate", "of=A", "silver=none")
    entered(run, FINE, PULP, a, b, reading("gold", "0.314", "A"))
    return book


def test_a_reading_that_nobody_would_ask_about_needs_no_answer(run: Any, log: Logbook) -> None:
    entered(run, reading("gold", "0.309", "B"))
    assert entries_of(log)[-1].kind == "reading"
    entered(run, (*reading("gold", "0.310", "B"), "--seen", "0.310"))
    assert [e.kind for e in entries_of(log)[-2:]] == ["reading", "reading"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ((*reading("gold", "0.309", "B"), "--seen", "0.3"),
         "--seen: nothing was asked of this entry. Leave it out, or type text=0.3."),
        (("note", "text=hot", "--seen", "0.3"), "--seen: nothing was asked of this entry."),
        ((*reading("gold", "3.14", "B"), "--seen", "0.31x"), '--seen: "0.31x" is not a figure.'),
        ((*reading("gold", "3.14", "B"), "--seen", "0.314 mg"), '--seen: "0.314 mg" is not a'),
        ((*reading("gold", "3.14", "B"), "--seen", "0.3", "--seen", "0.3"), "--seen is given more"),
        ((*reading("gold", "3.14x", "B"), "--seen", "0.3"), 'text: "3.14x" is not a figure.'),
    ],
)  # fmt: skip
def test_an_answer_that_is_none_stores_nothing(
    run: Any, log: Logbook, line: tuple[str, ...], said: str
) -> None:
    before = len(entries_of(log))
    outcome = run("enter", "1", *line, *BY)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert said in outcome.err
    assert len(entries_of(log)) == before


def test_gold_above_its_bead_can_be_stored_and_gives_no_figure(run: Any, log: Logbook) -> None:
    entered(run, ("sample", "id=C", "role=sample", "silver=none"), reading("bead", "1.204", "C"))
    gold = reading("gold", "1.372", "C")
    refused = run("enter", "1", *gold, *BY)
    assert "C 1.372 mg is heavier than its bead (1.204 mg)." in refused.err
    stored = run("enter", "1", *gold, "--seen", "1.372", *BY)
    assert stored.status == DONE
    kept = " ".join(stored.out.split())
    assert "Gold 1.372 mg is heavier than its bead 1.204 mg. Both are stored as read." in kept
    (sample,) = [s for s in run("results", "1", "--json").json["samples"] if s["id"] == "C"]
    assert sample["figures"]["gold"]["value"] is None
    assert [e.kind for e in entries_of(log)[-2:]] == ["asked", "reading"]


def test_the_json_answer_holds_both_entries(run: Any, log: Logbook) -> None:
    answer = run("enter", "1", *reading("gold", "3.14", "B"), "--seen", "0.314", "--json", *BY).json
    assert [entry["kind"] for entry in answer["entries"]] == ["asked", "reading"]
    assert len(entries_of(log)) == 8


def test_an_answer_serves_again_but_not_for_a_question_that_came_up_since() -> None:
    rows = [trays.FINE, trays.PULP, trays.sample("A"), trays.sample("B", "duplicate", of="A"),
            trays.reading("gold", "0.314", "A")]  # fmt: skip
    kind, values = trays.reading("gold", "3.14", "B")
    asked: list[str] = []

    def ask(questions: Any) -> str:
        asked.extend(question.code for question in questions)
        return "0.314"

    asker = Asker(None, ask)
    first = asker.rows(trays.entries_of(rows), Wanted(kind, dict(values)))
    assert asker.rows(trays.entries_of(rows), Wanted(kind, dict(values))) == first
    assert [row[0] for row in first] == ["asked", "reading"]
    # the line that was like it is amended meanwhile: what was asked stays told
    amended = [*rows, ("amendment", {"entry": 5, "text": "3.120", "reason": "x"})]
    assert asker.rows(trays.entries_of(amended), Wanted(kind, dict(values))) == first
    assert asked == ["times_10"]
    with_bead = [*rows, trays.reading("bead", "0.500", "B")]
    with pytest.raises(BadInput, match="is heavier than its bead"):
        asker.rows(trays.entries_of(with_bead), Wanted(kind, dict(values)))


SHEET = """
[sheet]
log = "furnace run"
title = "Grey Heron"
date = 2026-06-09
by = "KB"

[[balances]]
name = "fine"
step = "0.001 mg"
spread = "0.002 mg"
repeats = 10
weighs = ["gold"]

[[samples]]
id = "KV-003"
role = "sample"
silver = "none"
place = "A2"
gold = "0.314 mg"

[[samples]]
id = "KV-017"
role = "duplicate"
of = "KV-003"
silver = "none"
place = "C4"
gold = "3.140 mg"
"""


def test_slips_on_paper_are_told_and_stored_as_they_stand(
    run: Any, book: Logbook, tmp_path: Path
) -> None:
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(SHEET, "utf-8")
    answer = run("import", str(sheet), *BY, "--json").json
    (told,) = answer["flags"]
    assert told["code"] == "please_look_again"
    said = "Please look again: C4 3.140 mg is 10 times its duplicate A2 (0.314 mg)."
    entries = entries_of(book)
    n = next(e.n for e in entries if e.values.get("text") == "3.140")
    assert told["text"] == f"Entry {n}. {said}"
    assert all(entry.kind != "asked" for entry in entries)
