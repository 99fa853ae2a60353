"""Packed numbers of a register: as the objects say, in a tenth of the memory."""

import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.record.entries import Entry
from assaybench.record.packed_numbers import PackedNumbers
from assaybench.record.register_kinds import LARGEST_NUMBER, Allotted, RegisterState, Seal
from tests.record.frames import NOON

DIGEST = "0123456789abcdef" * 8
NUMBERS = st.sampled_from([1, 2, 3, 255, 256, 257, LARGEST_NUMBER])
ROWS = st.one_of(
    st.tuples(st.just("opened"), st.fixed_dictionaries(
        {"number": NUMBERS | st.just(0)}, optional={"replaces": NUMBERS})),
    st.tuples(st.just("sealed"), st.fixed_dictionaries(
        {"number": NUMBERS, "size": st.integers(-(10**18) + 1, 10**18 - 1)},
        optional={"sha512": st.sampled_from([DIGEST, "ff" * 64, "", "0" * 127])})),
    st.tuples(st.just("void"), st.fixed_dictionaries(
        {"number": NUMBERS, "reason": st.sampled_from(["slip", ""])})),
    st.tuples(st.just("statement"), st.fixed_dictionaries(
        {"number": NUMBERS, "file": st.text(max_size=3)})),
)  # fmt: skip


@given(st.lists(ROWS, max_size=60))
def test_a_state_on_packed_numbers_says_what_one_on_objects_says(
    rows: list[tuple[str, dict[str, object]]],
) -> None:
    objects, packed = RegisterState(), RegisterState(numbers=PackedNumbers())
    for n, (kind, values) in enumerate(rows, start=1):
        for state in (objects, packed):
            state.add(Entry(n, NOON, "KB", kind, values))
    assert dict(packed.numbers) == dict(objects.numbers)
    assert list(packed.numbers) == sorted(objects.numbers)
    assert len(packed.numbers) == len(objects.numbers)
    assert packed.faults == objects.faults
    assert packed.next_number == objects.next_number
    for number in objects.numbers:
        by = [a.number for a in objects.numbers.values() if a.replaces == number and not a.void]
        assert packed.replaced_by(number) == objects.replaced_by(number) == sum(by)


def test_a_seal_without_a_digest_is_a_fault() -> None:
    state = RegisterState(numbers=PackedNumbers())
    state.add(Entry(1, NOON, "KB", "opened", {"number": 1, "log": "furnace run"}))
    for n, digest in enumerate((None, 5, "", "F" * 128), start=2):
        values = {"number": 1, "size": 9} | ({} if digest is None else {"sha512": digest})
        state.add(Entry(n, NOON, "KB", "sealed", values))
    assert len(state.faults) == 4
    assert state.numbers[1].seal is None


def test_a_number_stays_taken() -> None:
    numbers = PackedNumbers()
    numbers[7] = Allotted(7, "furnace run", "title", 0, Seal(DIGEST, 4711), "")
    with pytest.raises(TypeError, match="stays taken"):
        del numbers[7]
    assert numbers[7] == Allotted(7, "", "", 0, Seal(DIGEST, 4711), "")
    assert numbers.get(-1) is numbers.get(10**17) is None


def test_memory_is_less_than_100_bytes_for_each_number() -> None:
    count = 20_000
    tracemalloc.start()
    try:
        numbers = PackedNumbers()
        for number in range(1, count + 1):
            numbers[number] = Allotted(number, "furnace run", "", 0, Seal(DIGEST, number))
        held, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(numbers) == count
    assert held < 100 * count
