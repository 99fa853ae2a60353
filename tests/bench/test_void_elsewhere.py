"""A number that another program makes void while its log lies open here: nothing more is stored."""

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run, open_run
from assaybench.bench.pages.balance import BalancePage
from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.register import Register
from tests.bench.hands import FINE, Hands, safety_rows, sample_rows

SAID = "Number 1 was made void (spilt). What was stored stays; what is typed now is not stored."


@pytest.fixture
def balance(desk: Desk) -> Hands:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"), ("KV-2", "A2")), *safety_rows()])
    return Hands(run, BalancePage(run, "beads", "KV-1"))


def made_void(desk: Desk) -> None:
    with Register(desk.book, desk.bench, desk.keeper()) as register:
        register.void(1, "spilt")


def test_what_is_typed_at_the_balance_is_kept_and_not_stored(desk: Desk, balance: Hands) -> None:
    balance.enter("0.181")
    balance.type("0.184")
    path = balance.run.file.path
    stored, n = path.read_bytes(), len(balance.run.entries)
    made_void(desk)
    assert balance.press("enter").bell
    assert (balance.margin[0], balance.page.text) == (SAID, "0.184")
    assert balance.promise == "Nothing is stored here any more. Esc goes back."
    assert "Enter" not in balance.text().splitlines()[-1]
    for key in ("enter", "r", "z", "enter", "x", "l", "a"):
        balance.press(key)
        balance.enter("cracked")
        balance.press("escape")
    assert len(balance.run.entries) == n
    assert path.read_bytes() == stored


def test_the_tray_says_it_and_its_keys_store_nothing(desk: Desk, balance: Hands) -> None:
    made_void(desk)
    tray = Hands(balance.run)
    n = len(tray.run.entries)
    assert tray.margin[0] == SAID
    assert tray.promise == "Nothing is stored here any more. Key 6: results; key 7: the seal."
    for key in ("enter", "x", "l", "n", "3", "enter", "d", "2", "enter"):
        tray.press(key)
    assert len(tray.run.entries) == n
    with pytest.raises(NotWritable):
        tray.run.append("note", {"text": "after it"})


def test_opening_it_again_notes_no_session(desk: Desk, balance: Hands) -> None:
    balance.run.close()
    made_void(desk)
    stored = balance.run.file.path.read_bytes()
    assert balance.run.name is not None
    with pytest.raises(NotDone) as fault:
        open_run(desk, balance.run.name)
    assert fault.value.lines[0].replace("\n", " ") == SAID
    assert balance.run.file.path.read_bytes() == stored
