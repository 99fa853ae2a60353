"""The tray: drawn as agreed, moved over with arrows, and its steps changed by keys."""

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.run_log import RunLog
from assaybench.logbook.settings_fields import Settings, Tray
from tests.bench.books import DUMPS
from tests.bench.conftest import Clock
from tests.bench.hands import Hands, read_rows, reopened, safety_rows, sample_rows
from tests.bench.tray_dumps import dumped_trays
from tests.bench.tray_hands import empty, hands

__all__ = ["empty", "hands"]


# --- as drawn ------------------------------------------------------------------------------------


@pytest.mark.parametrize("ascii_only", [False, True])
def test_the_tray_is_the_page_that_was_drawn(hands: Hands, ascii_only: bool) -> None:  # noqa: FBT001
    hands.press("4")
    name = "drawn-tray-ascii" if ascii_only else "drawn-tray"
    drawn = (DUMPS / f"{name}.txt").read_text(encoding="utf-8")
    assert hands.text(ascii_only=ascii_only) == drawn


def test_the_tray_and_the_balance_are_as_dumped(desk: Desk, clock: Clock) -> None:
    pages = dumped_trays(desk, clock)
    for name, page in pages.items():
        assert page == (DUMPS / f"{name}.txt").read_text(encoding="utf-8"), name


@pytest.mark.parametrize(("rows", "columns"), [(4, 8), (8, 8), (3, 12), (10, 5), (1, 1), (26, 10)])
def test_any_plan_fits_the_page_and_keeps_the_bracket_in_sight(
    desk: Desk, rows: int, columns: int
) -> None:
    desk.settings = Settings(initials="KB", tray=Tray(rows, columns))
    run = new_run(desk)
    run.append_all(safety_rows())
    hands = Hands(run)
    for down, right in ((0, 0), (rows - 1, columns - 1), (rows // 2, 0)):
        place = f"{chr(ord('A') + down)}{right + 1}"
        hands.press("g")
        hands.enter(place)
        lines = hands.text().splitlines()
        assert len(lines) == 24
        assert max(map(len, lines)) <= 79
        assert sum("[free]" in one for one in lines) == 1
        assert len(hands.sheet.block) <= 18
        assert f"for {place}." in hands.promise


# --- the bracket ---------------------------------------------------------------------------------


def test_it_opens_at_the_step_and_place_where_the_work_was_left(hands: Hands, desk: Desk) -> None:
    run = reopened_drawn(hands, desk)
    assert run.page.step == "beads"
    assert run.page.sample == "KV-025"


def reopened_drawn(hands: Hands, desk: Desk) -> Hands:
    from assaybench.logbook.folder import LogName

    hands.run.name = LogName("MAIN", 1)
    return Hands(reopened(desk, hands.run))


def test_arrows_move_the_bracket_and_the_edges_ring(hands: Hands) -> None:
    hands.press("4", "up")
    assert hands.page.sample == "KV-020"
    assert not hands.press("left").bell
    assert hands.page.sample == "KV-019"
    assert "A5, KV-019: 1.412." in hands.margin
    assert hands.press("up").bell
    hands.press("right")
    assert hands.press("right").bell


def test_left_of_a_row_is_its_letter_and_above_the_letters_the_notch(hands: Hands) -> None:
    hands.press("3", *["left"] * 8)
    assert hands.page.bracket.place is None
    assert "row " in hands.promise
    hands.press(*["up"] * 5)
    assert "the whole tray" in hands.promise
    assert "[notch]" in hands.text()


@pytest.mark.parametrize(
    ("typed", "sample"),
    [("KV-033", "KV-033"), ("kv-033", "KV-033"), ("033", "KV-033"), ("c4", "KV-017 d")],
)
def test_a_typed_or_scanned_id_jumps_to_its_place(hands: Hands, typed: str, sample: str) -> None:
    hands.press("4", "g")
    hands.enter(typed)
    assert hands.page.sample == sample


def test_an_id_that_is_not_there_is_told_and_the_question_stays(hands: Hands) -> None:
    hands.press("4", "g")
    hands.enter("KV-999")
    assert hands.margin[0] == '"KV-999" is no sample and no place of this tray.'
    hands.press("escape")
    assert hands.page.sample == "KV-025"


def test_digits_change_the_step_and_a_step_without_a_page_is_told(hands: Hands) -> None:
    for digit, step in enumerate(("weigh-in", "charge", "fire", "beads", "parting"), start=1):
        hands.press(str(digit))
        assert hands.page.step == step
        assert f"[{digit} {step.upper()}]" in hands.text()
    assert hands.press("6").bell
    assert hands.margin[0].startswith("The page of this step, results, is not here yet.")


def test_a_step_with_a_page_of_its_own_opens_it(hands: Hands) -> None:
    opened: list[RunLog] = []

    def door(run: RunLog) -> TrayPage:
        opened.append(run)
        return TrayPage(run)

    other = Hands(hands.run, TrayPage(hands.run, {"results": door}))
    other.press("6")
    assert opened == [hands.run]
    assert len(other.stack.pages) == 3


def test_a_damaged_log_is_shown_and_takes_nothing(hands: Hands, desk: Desk) -> None:
    from assaybench.bench.openings import open_run
    from assaybench.logbook.folder import LogName

    hands.run.close()
    path = desk.book.log(LogName("MAIN", 1))
    data = path.read_bytes()
    path.write_bytes(data.replace(b'text = "1.412"', b'text = "1.413"'))
    run = open_run(desk, LogName("MAIN", 1))
    page = Hands(run)
    page.press("4", "n")
    page.enter("x")
    assert "damaged" in page.margin[0]
    assert path.read_bytes().count(b"1.413") == 1


def test_readings_fill_the_upper_line_and_long_ones_are_cut_to_fit(empty: Hands) -> None:
    rows = sample_rows(("KV-1", "A1"), ("KV-2", "A2"))
    rows += read_rows("fine", "bead", [("KV-1", "123.456"), ("KV-2", "0.310")], "mg")
    rows += read_rows("fine", "bead", [("KV-2", "0.312")], "mg")
    empty.run.append_all(rows)
    board = empty.run.board()
    assert board.cell("beads", "KV-1").text == "123.46"
    assert board.cell("beads", "KV-2").text == "0.311"


def test_another_size_of_the_tray_counts_at_once(empty: Hands) -> None:
    settings = empty.run.desk.settings
    assert (empty.page.plan.rows, empty.page.plan.columns) == (4, 6)
    empty.run.desk.settings = settings._replace(tray=Tray(5, 10))
    assert (empty.page.plan.rows, empty.page.plan.columns) == (5, 10)
