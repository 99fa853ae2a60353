"""Hypothesis strategies that several property tests share."""

from hypothesis import strategies as st

any_text = st.text(st.characters(), max_size=80)
"""Any text at all: control signs, marks of every script, lone surrogates."""

_PIECES = (
    *"0123456789.,+-±()<>%‰ \t\n\r'\"/eE·µμ−",
    "+-", "+/-", "mg", "g/t", "oz", "ozt", "ton", "t", "AT_short", "mesh", "karat", "ppm",
    "3.20(20)", "0.4", "1e5", "\x00", "\x1b[31m", "\u2028", "\u202e", "\ud800", "é", "e\u0301",
)  # fmt: skip

near_figures = st.lists(st.sampled_from(_PIECES), max_size=12).map("".join)
"""Text made of the pieces of figures, so that it comes close to one and often is one."""


def magnitudes(low: float, high: float) -> st.SearchStrategy[float]:
    """Positive numbers whose logarithms are spread evenly: low = 1e-3 means from 10**-3."""
    return st.floats(low, high).map(lambda power: 10.0**power)
