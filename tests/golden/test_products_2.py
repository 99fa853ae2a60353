"""Final tailings by size, and metal below zero, in a circuit: every later program takes them.

The folder was made once by make_products_2.py beside it and is never made again. When a test here
fails, the program is wrong.
"""

from assaybench.record import check
from assaybench.record.circuit_run import Circuit, circuit_of
from assaybench.record.entries import Entry
from assaybench.record.handsheet import read
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.sealing import figures_of
from tests.golden.kept import digests, logged, written
from tests.golden.make_products_2 import HERE

DIGESTS = {
    "log.toml": "488daaac21ab593f767e68d8bb1c12ceba3cf4cdac1739099b6d54af7cceb1ab",
    "sheet.toml": "560ecdbb59b9633464e291fd518415f8850cb15279cff053aa9e7a963d0fe927",
}
SAID = {
    ("+1 mm", "recovery at most"): "at least 99.88 %",
    ("+1 mm", "recovery closed"): "at least 98.3 %",
    ("-1 mm", "recovery at most"): "at most 75.0 ± 1.1 %",
    ("-1 mm", "recovery closed"): "60.0 ± 2.0 %",
    ("-1 mm", "recovery both stages"): "80.0 ± 2.3 %",
    ("all", "recovery closed"): "81.5 ± 1.3 %",
    ("all", "head"): "at least 2.198 ± 0.058 g/t",
}


def said(entries: list[Entry]) -> dict[tuple[str, str], str]:
    found = results(replay(entries))
    assert isinstance(circuit_of(found), Circuit)
    return {(row.id, row.name): row.text for row in figures_of(found)}


def test_the_files_are_as_they_were_made() -> None:
    assert digests(HERE) == DIGESTS


def test_the_log_reads_and_is_written_the_same_today() -> None:
    entries = logged(HERE / "log.toml")
    for e in entries:
        for name, value in e.values.items():
            assert check.value(BY_NAME[e.kind].by_name[name], value) == value
    assert written(entries) == (HERE / "log.toml").read_bytes()


def test_log_and_hand_sheet_close_every_size() -> None:
    of_log = said(logged(HERE / "log.toml"))
    assert {key: of_log[key] for key in SAID} == SAID
    assert said([*read((HERE / "sheet.toml").read_bytes()).entries]) == of_log
