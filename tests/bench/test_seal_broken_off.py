"""A seal that broke off, as the contents show it: all is stored, and Enter goes on with it."""

from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.page import Room
from assaybench.bench.pages.sealing import SealingPage
from tests.bench.books import opened_bench
from tests.bench.hands import read_rows, sample_rows
from tests.bench.openings import begun
from tests.logbook.sealable import signer_in, stopped_after


@pytest.mark.parametrize(("call", "nth"), [("fsync", 1), ("link", 1), ("link", 2)])
def test_the_contents_say_so_and_enter_goes_on_with_the_seal(
    desk: Desk, tmp_path: Path, call: str, nth: int
) -> None:
    run = begun(desk, *sample_rows(("KV-1", "A1"), silver="none"),
                *read_rows("pulp", "charge", [("KV-1", "20.00")], "g"),
                *read_rows("fine", "gold", [("KV-1", "1.372")], "mg"))  # fmt: skip
    run.close()
    assert run.name is not None
    stopped_after(desk.book, signer_in(tmp_path), call, nth, tmp_path)
    stack = opened_bench(desk)
    stack.tick(desk.clock())
    text = [m if isinstance(m, str) else m.text for m in stack.top.sheet(Room()).margin]
    assert text[0].replace("\n", " ") == (
        "Its seal was begun and broke off. Everything is stored. "
        "Go on with the seal: the same key signs what is left."
    )
    assert stack.top.sheet(Room()).promise == "Enter opens furnace run 0001 at the seal."
    stack.press("enter", None)
    assert isinstance(stack.top, SealingPage)
    assert stack.top.sheet(Room()).promise == (
        "Enter goes on with the seal of MAIN-000001: passphrase."
    )
    stack.press("escape", None)
    assert stack.top is stack.pages[0]
