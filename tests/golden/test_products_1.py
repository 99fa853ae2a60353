"""Stage-1 tailings, a product since format 1 was first written: every later program takes them.

The folder was made once by make_products_1.py beside it and is never made again. When a test here
fails, the program is wrong.
"""

from assaybench.circuit.streams import FeedTest
from assaybench.record import check
from assaybench.record.circuit_run import circuit_of
from assaybench.record.entries import Entry
from assaybench.record.handsheet import read
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.sealing import figures_of
from tests.golden.kept import digests, logged, written
from tests.golden.make_products_1 import HERE

DIGESTS = {
    "log.toml": "3de25766a794567488194c4323e34a1ac1420f52237a8183c10e4604b514f6f8",
    "sheet.toml": "f19501397e9bbd56ff20308fd1db86b88bd6140d97d1536edba231db2e1aee9a",
}
SAID = {
    ("concentrate", "recovery"): "59.8 ± 1.5 %",
    ("rerun", "recovery"): "19.5 ± 1.3 %",
    ("tailings", "recovery"): "20.6 ± 1.7 %",
    ("stage 1", "caught"): "59.8 ± 1.5 %",
    ("stage 2", "caught"): "48.7 ± 3.3 %",
    ("feed", "head"): "2.006 ± 0.061 g/t",
    ("stage-1 tailings", "agreed metal"): "80.6 ± 4.1 mg",
}


def said(entries: list[Entry]) -> dict[tuple[str, str], str]:
    found = results(replay(entries))
    assert isinstance(circuit_of(found), FeedTest)
    return {(row.id, row.name): row.text for row in figures_of(found)}


def test_the_files_are_as_they_were_made() -> None:
    assert digests(HERE) == DIGESTS


def test_the_log_reads_and_is_written_the_same_today() -> None:
    entries = logged(HERE / "log.toml")
    for e in entries:
        for name, value in e.values.items():
            assert check.value(BY_NAME[e.kind].by_name[name], value) == value
    assert written(entries) == (HERE / "log.toml").read_bytes()


def test_log_and_hand_sheet_give_both_stages() -> None:
    of_log = said(logged(HERE / "log.toml"))
    assert {key: of_log[key] for key in SAID} == SAID
    assert said([*read((HERE / "sheet.toml").read_bytes()).entries]) == of_log
