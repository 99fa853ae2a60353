"""Small systems of linear equations: Cholesky for positive definite ones, elimination for others.

Circuits have a handful of streams: a dozen lines serve, and what they give is the same on every
machine. Matrices are lists of rows; numbers carry the unit of what they stand for.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

Matrix: TypeAlias = list[list[float]]

LOST = 1e-11
"""What elimination leaves of an entry that cancels."""
DEPENDENT = 1e-12
"""A pivot below this share of its diagonal is rounding: the row repeats those above it."""


class Dependent(ValueError):
    """A row of the matrix follows from those above it.

    Attributes:
        row: its place, from 0.
    """

    def __init__(self, row: int) -> None:
        super().__init__(f"row {row} follows from those above it")
        self.row = row


def factor(matrix: Sequence[Sequence[float]]) -> Matrix:
    """Lower triangle L with L·Lᵀ = matrix, which is symmetric and positive definite.

    Raises:
        Dependent: when it is not positive definite to the accuracy of the machine.

    Source: Cholesky's method; G. H. Golub and C. F. Van Loan, Matrix Computations, section 4.2
    (from memory).
    """
    lower: Matrix = []
    for i, row in enumerate(matrix):
        found: list[float] = []
        for j, above in enumerate([*lower, found]):
            rest = row[j] - math.fsum(a * b for a, b in zip(found, above, strict=False))
            if j < i:
                found.append(rest / above[j])
                continue
            if not rest > DEPENDENT * abs(row[i]):
                raise Dependent(i)
            found.append(math.sqrt(rest))
            break
        lower.append(found)
    return lower


def solve(lower: Matrix, right: Sequence[float]) -> list[float]:
    """x with L·Lᵀ·x = right, for L of `factor`."""
    n = len(lower)
    forward: list[float] = []
    for i in range(n):
        rest = right[i] - math.fsum(a * b for a, b in zip(lower[i], forward, strict=False))
        forward.append(rest / lower[i][i])
    found = [0.0] * n
    for i in reversed(range(n)):
        rest = forward[i] - math.fsum(lower[j][i] * found[j] for j in range(i + 1, n))
        found[i] = rest / lower[i][i]
    return found


class Reduced(NamedTuple):
    """Rows with their first columns eliminated.

    Attributes:
        solved: by column, the row in which it stands alone with factor 1; columns that no row
            fixes are missing.
        rest: the rows in which none of these columns is left.
    """

    solved: dict[int, list[float]]
    rest: Matrix


def eliminated(rows: Sequence[Sequence[float]], columns: int) -> Reduced:
    """Rows of equations with the first `columns` unknowns eliminated (Gauss and Jordan).

    The pivot of a column is its largest entry in a row not yet used. Columns should be of like
    size: an entry below `LOST` of the largest its column began with is rounding.
    """
    left = [list(row) for row in rows]
    most = [max((abs(row[j]) for row in left), default=0.0) for j in range(columns)]
    used: dict[int, list[float]] = {}
    for j in range(columns):
        row = max(left, key=lambda row: abs(row[j]), default=None)
        if row is None or abs(row[j]) <= LOST * most[j]:
            continue
        left.remove(row)
        pivot = [value / row[j] for value in row]
        left = [_less(other, pivot, j) for other in left]
        used = {column: _less(other, pivot, j) for column, other in used.items()}
        used[j] = pivot
    fixed = {
        j: row
        for j, row in used.items()
        if all(abs(row[i]) <= LOST for i in range(columns) if i != j)
    }
    return Reduced(fixed, left)


def _less(row: list[float], pivot: list[float], column: int) -> list[float]:
    factor = row[column]
    found = [a - factor * b for a, b in zip(row, pivot, strict=True)]
    found[column] = 0.0
    return found
