"""The self-test record: a TOML file that says what was found and on what, and nothing private."""

import getpass
import platform
import tomllib
from pathlib import Path

from assaybench.logbook.selftest_record import (
    LIBRARIES,
    NOT_THERE,
    Surroundings,
    record_of,
    rows_of,
    surroundings,
)
from assaybench.published.run import load_cases
from assaybench.published.selftest import check_all, summed_up
from assaybench.record import check, kinds
from tests.record.frames import NOON
from tests.reliability.faulty import keeper

AROUND = Surroundings("CPython 3.11.2", "Linux x86_64", (("click", "8.1.7"),))
PYPROJECT = Path(__file__).parents[2] / "pyproject.toml"


def test_it_reads_back_with_every_case_and_answer() -> None:
    file = record_of(check_all(), AROUND, keeper(), NOON)
    told = tomllib.loads(file.data.decode())
    head = told["self_test"]
    assert (head["format"], head["method_version"], head["outcome"]) == (1, 1, "agrees")
    assert (head["python"], head["platform"]) == ("CPython 3.11.2", "Linux x86_64")
    assert head["at"] == NOON.isoformat(timespec="milliseconds")
    assert told["libraries"] == {"click": "8.1.7"}
    cases = load_cases()
    assert [case["id"] for case in told["case"]] == [case.id for case in cases]
    answers = [answer for case in told["case"] for answer in case["answers"]]
    assert len(answers) == sum(len(case.answers) for case in cases)
    assert all(answer["agrees"] is True for answer in answers)
    assert told["subject"][-1]["cases"] == len(cases)


def test_it_holds_no_float_that_a_reader_could_round() -> None:
    text = record_of(check_all(), AROUND, keeper(), NOON).data.decode()

    def never(found: str) -> float:
        raise AssertionError(found)

    tomllib.loads(text, parse_float=never)


def test_a_case_that_does_not_agree_is_kept_as_such() -> None:
    case = load_cases()[0]
    wrong = check_all([case])[0]._replace(fault="ValueError: no", outcomes=())
    told = tomllib.loads(record_of([wrong], AROUND, keeper(), NOON).data.decode())
    assert told["self_test"]["outcome"] == "does not agree"
    assert (told["case"][0]["agrees"], told["case"][0]["fault"]) == (False, "ValueError: no")


def test_its_entries_are_the_file_by_its_digest_and_a_note() -> None:
    checked = check_all()
    file = record_of(checked, AROUND, keeper(), NOON)
    (kind, keys), (note_kind, note) = rows_of(summed_up("all", checked), AROUND, keeper(), file)
    assert (kind, note_kind) == ("attachment", "note")
    assert keys == file.keys
    said = note["text"]
    assert isinstance(said, str)
    assert f"{len(checked)} of {len(checked)} cases agree" in said
    assert not check.faults(kinds.BY_NAME["note"], note)


def test_libraries_are_those_of_the_metadata() -> None:
    wanted = tomllib.loads(PYPROJECT.read_text("utf-8"))["project"]["dependencies"]
    names = [text.partition("[")[0].partition(">")[0] for text in wanted]
    assert sorted(LIBRARIES) == sorted(names)
    assert NOT_THERE not in dict(surroundings().libraries).values()


def test_the_machine_is_named_in_general_terms() -> None:
    here = surroundings()
    assert platform.system() in here.platform
    assert getpass.getuser() not in here.platform.split()
    assert platform.node() not in here.platform
    assert platform.release() not in here.platform
