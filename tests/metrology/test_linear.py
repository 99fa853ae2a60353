"""Small linear systems against numpy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.metrology.linear import Dependent, eliminated, factor, solve

sizes = st.integers(1, 8)
seeds = st.integers(0, 2**32 - 1)


@given(sizes, seeds)
def test_solution_of_a_positive_definite_system_is_that_of_numpy(n: int, seed: int) -> None:
    dice = np.random.default_rng(seed)
    half = dice.standard_normal((n, n + 3))
    matrix, right = half @ half.T, dice.standard_normal(n)
    found = solve(factor(matrix.tolist()), right.tolist())
    expected = np.linalg.solve(matrix, right)
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * np.linalg.cond(matrix) ** 0.5)


@given(sizes, seeds)
def test_factor_times_its_transpose_is_the_matrix(n: int, seed: int) -> None:
    half = np.random.default_rng(seed).standard_normal((n, n + 3))
    matrix = half @ half.T
    rows = factor(matrix.tolist())
    lower = np.array([row + [0.0] * (n - len(row)) for row in rows])
    assert lower == pytest.approx(np.linalg.cholesky(matrix), abs=1e-9)


def test_a_row_that_follows_from_those_above_is_named() -> None:
    with pytest.raises(Dependent, match="row 2") as fault:
        factor([[2.0, 0.0, 2.0], [0.0, 3.0, 3.0], [2.0, 3.0, 5.0]])
    assert fault.value.row == 2


def test_a_matrix_of_zeros_has_no_factor() -> None:
    with pytest.raises(Dependent, match="row 0"):
        factor([[0.0]])


@given(st.integers(1, 4), st.integers(0, 3), seeds)
def test_eliminated_unknowns_solve_the_rows_and_leave_the_rest(
    unknown: int, spare: int, seed: int
) -> None:
    """Rows B·z + A·x = 0: for any x that fulfils the rest, z of the solved rows fulfils all."""
    dice = np.random.default_rng(seed)
    known = unknown + spare + 1
    rows = dice.standard_normal((unknown + spare, unknown + known))
    found = eliminated(rows.tolist(), unknown)
    assert set(found.solved) == set(range(unknown))
    assert len(found.rest) == spare
    rest = np.array(found.rest).reshape(spare, unknown + known)[:, unknown:]
    x = np.linalg.svd(rest)[2][-1] if spare else dice.standard_normal(known)
    z = [-np.dot(found.solved[j][unknown:], x) for j in range(unknown)]
    assert rows @ np.concatenate([z, x]) == pytest.approx(np.zeros(len(rows)), abs=1e-7)


def test_an_unknown_that_no_row_fixes_is_not_solved() -> None:
    """z0 + z1 + x = 0 alone fixes neither; z2 = x is fixed."""
    found = eliminated([[1.0, 1.0, 0.0, 1.0], [0.0, 0.0, 1.0, -1.0]], 3)
    assert set(found.solved) == {2}
    assert found.rest == []
