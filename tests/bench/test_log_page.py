"""One log: what is known of it, and everything that can be done with it, by keys."""

import errno
from pathlib import Path
from typing import Any

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.pages.entries import EntriesPage
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.pages.verifying import VerifyPage
from assaybench.bench.sheet import Span, text_of
from assaybench.bench.writing import write_new
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.settings_fields import Settings
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.logbook.whole_log import read_whole
from tests.bench.books import press, shown
from tests.bench.conftest import Clock
from tests.bench.hands import at_once
from tests.bench.keepers import at_the_book, kept_book, settled, to_choice
from tests.bench.log_hands import answered, at_log, choices, chosen, said

READ = ["results", "all entries, in order", "verify it", "write its report to a file"]
SEALED = [*READ, "a bundle that a client can check", "countersign it",
          "reissue: a new log that replaces it"]  # fmt: skip


@pytest.mark.parametrize(
    ("number", "there"),
    [(7, [*READ, "make its number void"]), (6, SEALED), (5, READ), (3, READ), (1, SEALED[:-1])],
)
def test_what_can_be_done_depends_on_what_it_is(
    desk: Desk, clock: Clock, number: int, there: list[str]
) -> None:
    assert choices(at_log(desk, clock, number)) == there


def test_results_of_a_sealed_log_are_read_and_nothing_is_written(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 6)
    path = desk.book.log(LogName("MAIN", 6))
    before = path.read_bytes()
    chosen(stack, clock, "results")
    assert isinstance(stack.top, ResultsPage)
    assert "KV-004" in shown(stack)
    press(stack, "n")
    assert said(stack).startswith("Sealed: the log takes no entries.")
    assert path.read_bytes() == before
    assert not list(desk.book.root.glob("locks/logs/**/*.holder"))


def test_results_of_a_reissued_log_hold_those_of_the_old_one(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 4)
    chosen(stack, clock, "results")
    assert "KV-001" in shown(stack)


def test_results_of_a_damaged_log_are_those_of_its_good_entries(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 3)
    assert "damaged" in said(stack)
    chosen(stack, clock, "results")
    assert isinstance(stack.top, ResultsPage)
    assert stack.top.run.file.read_only is not None


def test_entries_stand_in_order_and_old_values_are_struck(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "all entries, in order")
    assert isinstance(stack.top, EntriesPage)
    assert "text: struck 20.06  20.31 KB 12:01" in shown(stack)
    spans = [span for one in stack.sheet.block for span in one]
    assert Span("20.06", "struck") in spans
    seen = ""
    for _ in range(12):
        seen += " ".join(text_of(one).strip() for one in stack.sheet.block) + " "
        if "This is the end" in stack.sheet.promise:
            break
        press(stack, "enter")
    assert "misread, the pan was not clean" in seen
    assert "typed for another bead" in seen
    assert "SHA256:" in seen
    press(stack, "enter")
    assert "1 to 19 of" in shown(stack)
    press(stack, "p")
    path = desk.book.reports / "MAIN-000006-entries.txt"
    assert f"Written to {path}" in said(stack)
    assert "struck 20.06" in path.read_text(encoding="utf-8")
    press(stack, "escape")
    assert stack.top.name == "log"


def test_one_log_is_verified(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "verify it")
    assert isinstance(stack.top, VerifyPage)
    assert "MAIN-000006 . . . . . . . . . . . sealed, recomputes" in shown(stack)
    assert "Good." in stack.sheet.margin


def test_a_report_is_written_to_a_file_and_never_over_one(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "write its report to a file")
    first = desk.book.reports / "MAIN-000006.txt"
    assert f"Written to {first}" in said(stack)
    before = first.read_bytes()
    assert b"KV-001" in before
    chosen(stack, clock, "write its report to a file")
    second = desk.book.reports / "MAIN-000006-2.txt"
    assert f"Written to {second}" in said(stack)
    assert second.read_bytes() == first.read_bytes() == before


def test_a_bundle_is_made_where_it_was_asked_for_and_checks_by_itself(
    desk: Desk, clock: Clock, tmp_path: Path
) -> None:
    stack = at_log(desk, clock, 6)
    folder = tmp_path / "stick"
    chosen(stack, clock, "a bundle that a client can check", str(folder))
    assert f"files in {folder}" in said(stack)
    result = Verified()
    verify_book(Files(), Logbook(folder), Ask(processes=1), result=result)
    assert (result.status, result.total) == (0, 1)
    assert (folder / "report.txt").read_bytes()
    chosen(stack, clock, "a bundle that a client can check", "")
    assert (desk.book.reports / "MAIN-000006-bundle" / "allowed_signers").exists()
    chosen(stack, clock, "a bundle that a client can check", str(folder))
    assert "stick" in said(stack)
    assert "files in" not in said(stack)


def test_a_sealed_log_is_replaced_with_a_reason(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 6)
    chosen(stack, clock, "reissue: a new log that replaces it", "")
    assert stack.sheet.typing is not None, "a reason is needed"
    answered(stack, "moisture was left out")
    assert "MAIN-000008 replaces MAIN-000006." in said(stack)
    new = read_whole(Files(), desk.book, LogName("MAIN", 8))
    assert new.own[1].values["reason"] == "moisture was left out"
    assert "reissue: a new log that replaces it" not in choices(stack)
    press(stack, "escape")
    settled(stack, clock)
    assert "MAIN-000008" in shown(stack)


def test_a_number_is_made_void_with_a_reason(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 7)
    chosen(stack, clock, "make its number void", "the wrong bag")
    assert "MAIN-000007 is void." in said(stack)
    assert read_whole(Files(), desk.book, LogName("MAIN", 7)).void == "the wrong bag"
    assert choices(stack) == READ
    press(stack, "escape")
    settled(stack, clock)
    assert "MAIN-000007   9 Jun 2026  void" in shown(stack)


def test_a_reason_that_is_given_up_changes_nothing(desk: Desk, clock: Clock) -> None:
    stack = at_log(desk, clock, 7)
    register = desk.book.register("MAIN").read_bytes()
    to_choice(stack, "make its number void")
    press(stack, "enter", "x", "y", "escape")
    assert stack.sheet.typing is None
    assert desk.book.register("MAIN").read_bytes() == register


def test_nobody_makes_a_number_void_without_initials(desk: Desk, clock: Clock) -> None:
    desk.settings = Settings()
    desk.by = ""
    stack = at_log(desk, clock, 7)
    to_choice(stack, "make its number void")
    assert stack.press("enter", None).bell
    assert "Nobody said who weighs." in said(stack)


# --- the disk ------------------------------------------------------------------------------------


class FullDisk(Files):
    """A disk that takes nothing more."""

    def write(self, descriptor: int, data: bytes) -> int:
        raise OSError(errno.ENOSPC, "full")


@pytest.mark.parametrize(
    ("number", "choice", "answers"),
    [
        (6, "write its report to a file", ()),
        (6, "a bundle that a client can check", ("",)),
        (6, "reissue: a new log that replaces it", ("moisture",)),
        (7, "make its number void", ("the wrong bag",)),
    ],
)
def test_a_full_disk_loses_nothing_and_says_so(
    desk: Desk, clock: Clock, number: int, choice: str, answers: Any
) -> None:
    stack = at_log(desk, clock, number)
    before = {p: p.read_bytes() for p in desk.book.root.rglob("*") if p.is_file()}
    desk.files = FullDisk()
    chosen(stack, clock, choice, *answers)
    assert "the disk is full" in said(stack)
    after = {p: p.read_bytes() for p in desk.book.root.rglob("*") if p.is_file()}
    kept = {p: data for p, data in after.items() if "locks" not in p.parts}
    assert kept == {p: data for p, data in before.items() if "locks" not in p.parts}


def test_a_text_is_written_beside_another_never_over_it(desk: Desk) -> None:
    paths = [write_new(desk, "report", text) for text in (b"a", b"b", b"c")]
    assert [p.name for p in paths] == ["report.txt", "report-2.txt", "report-3.txt"]
    assert [p.read_bytes() for p in paths] == [b"a", b"b", b"c"]
    desk.files = FullDisk()
    with pytest.raises(NotDone):
        write_new(desk, "report", b"d")
    assert sorted(p.name for p in desk.book.reports.iterdir()) == [
        "report-2.txt", "report-3.txt", "report.txt",
    ]  # fmt: skip


def test_verify_is_given_up_by_esc_and_done_at_once_without_a_thread(
    desk: Desk, clock: Clock
) -> None:
    kept_book(desk)
    page = VerifyPage(desk, "AssayBench", None, at_once)
    assert not page.working
    stack = at_the_book(desk, clock)
    press(stack, "v")
    press(stack, "escape")
    assert stack.top.name == "logbook"
