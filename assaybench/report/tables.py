"""Small tables for the page: columns aligned by their longest text, numbers to the right."""

from collections.abc import Collection, Sequence


def aligned(
    heads: Sequence[str], rows: Sequence[Sequence[str]], left: Collection[int] = (0,)
) -> list[str]:
    """Lines of a table with two blanks between columns, the heads first.

    Args:
        heads: one for each column.
        rows: texts, one for each column.
        left: columns that are set to the left; all others to the right.
    """
    table = [list(heads), *[list(row) for row in rows]]
    widths = [max(len(row[i]) for row in table) for i in range(len(heads))]
    return [
        "  ".join(
            text.ljust(widths[i]) if i in left else text.rjust(widths[i])
            for i, text in enumerate(row)
        ).rstrip()
        for row in table
    ]
