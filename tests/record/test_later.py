"""What is worked out when it is first asked for."""

from assaybench.record.later import Later


def test_a_value_is_worked_out_once_when_it_is_asked_for() -> None:
    asked: list[int] = []

    def make(number: int) -> str:
        asked.append(number)
        return str(number)

    later = Later({"one": 1, "two": 2}, make)
    assert (len(later), list(later), later.get("three")) == (2, ["one", "two"], None)
    assert asked == []
    assert later["two"] == later["two"] == "2"
    assert asked == [2]
    assert dict(later) == {"one": "1", "two": "2"}
    assert asked == [2, 1]
