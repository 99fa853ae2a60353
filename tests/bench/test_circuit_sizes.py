"""Names of size fractions: from sieves in mm, micrometres or mesh, in order, in one unit."""

import pytest

from assaybench.bench.circuit_sizes import coarse_first, ends_um, in_one_unit
from assaybench.circuit.size_names import sizes_of
from assaybench.messages import BadInput

INFINITE = float("inf")


@pytest.mark.parametrize(
    ("typed", "sizes"),
    [
        ("1.0 0.25 mm", ["+1.0 mm", "-1.0 +0.25 mm", "-0.25 mm"]),
        ("1.0mm 0.25mm", ["+1.0 mm", "-1.0 +0.25 mm", "-0.25 mm"]),
        ("18 60 mesh", ["+18 mesh", "-18 +60 mesh", "-60 mesh"]),
        ("250um", ["+250 um", "-250 um"]),
        ("1,0 mm", ["+1,0 mm", "-1,0 mm"]),
    ],
)
def test_sieves_leave_one_size_more_than_there_are(typed: str, sizes: list[str]) -> None:
    assert sizes_of(typed) == sizes


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "no list of sieves"),
        ("1.0 0.25", "no list of sieves"),
        ("1 mm 250 um", "no list of sieves"),
        ("mm 1.0", "no list of sieves"),
        ("1 2 3 4 5 6 7 8 9 10 mm", "9 at most"),
        ("0.25 1.0 mm", "0.25 mm"),
        ("60 18 mesh", "60 mesh"),
        ("17 mesh", "17"),
        ("coarse mm", "coarse"),
        ("0 mm", "above zero"),
    ],
)
def test_what_is_no_list_of_sieves_is_named(typed: str, said: str) -> None:
    with pytest.raises(BadInput) as fault:
        sizes_of(typed)
    assert said in " ".join(fault.value.lines)


def test_a_size_says_what_it_passed_and_stayed_on() -> None:
    assert ends_um("+1.0 mm") == (INFINITE, 1000)
    assert ends_um("-1.0+0.25 mm") == (1000, 250)
    assert ends_um("-60 mesh") == (250, 0)
    assert ends_um("-1 mm +250 um") == (1000, 250)
    for name in ("all", "", "oversize", "-17 mesh", "-5"):
        assert ends_um(name) is None


def test_sizes_stand_coarse_first_and_what_cannot_be_read_last() -> None:
    mixed = ["-0.25 mm", "dust", "+1.0 mm", "-1.0 +0.25 mm"]
    assert coarse_first(mixed) == ["+1.0 mm", "-1.0 +0.25 mm", "-0.25 mm", "dust"]


def test_a_unit_that_all_have_is_said_once() -> None:
    assert in_one_unit(["+1.0 mm", "-1.0+0.25 mm"]) == (["+1.0", "-1.0 +0.25"], "mm")
    assert in_one_unit(["+1.0 mm", "-250 um"]) == (["+1.0 mm", "-250 um"], "")
    assert in_one_unit(["coarse", "fine"]) == (["coarse", "fine"], "")
    assert in_one_unit([]) == ([], "")
