"""Large printed figures, five rows high: solid strokes, as type is cast, readable from a metre."""

from assaybench.bench.characters import cells

ROWS = 5
_GAPS = (2, 1)
"""Columns between two figures; the narrow gap where the wide one does not fit."""
_FORMS: dict[str, tuple[str, ...]] = {
    "0": (" ### ", "#   #", "#   #", "#   #", " ### "),
    "1": ("  #  ", " ##  ", "  #  ", "  #  ", " ### "),
    "2": (" ### ", "#   #", "   # ", "  #  ", "#####"),
    "3": ("#### ", "    #", " ### ", "    #", "#### "),
    "4": ("#  # ", "#  # ", "#####", "   # ", "   # "),
    "5": ("#####", "#    ", "#### ", "    #", "#### "),
    "6": (" ### ", "#    ", "#### ", "#   #", " ### "),
    "7": ("#####", "    #", "   # ", "  #  ", "  #  "),
    "8": (" ### ", "#   #", " ### ", "#   #", " ### "),
    "9": (" ### ", "#   #", " ####", "    #", " ### "),
    "A": (" ### ", "#   #", "#####", "#   #", "#   #"),
    "B": ("#### ", "#   #", "#### ", "#   #", "#### "),
    "C": (" ### ", "#   #", "#    ", "#   #", " ### "),
    "D": ("#### ", "#   #", "#   #", "#   #", "#### "),
    "E": ("#####", "#    ", "#### ", "#    ", "#####"),
    "F": ("#####", "#    ", "#### ", "#    ", "#    "),
    "G": (" ### ", "#    ", "#  ##", "#   #", " ### "),
    "H": ("#   #", "#   #", "#####", "#   #", "#   #"),
    "I": (" ### ", "  #  ", "  #  ", "  #  ", " ### "),
    "J": ("  ###", "   # ", "   # ", "#  # ", " ##  "),
    "K": ("#   #", "#  # ", "###  ", "#  # ", "#   #"),
    "L": ("#    ", "#    ", "#    ", "#    ", "#####"),
    "M": ("#   #", "## ##", "# # #", "#   #", "#   #"),
    "N": ("#   #", "##  #", "# # #", "#  ##", "#   #"),
    "O": (" ### ", "#   #", "#   #", "#   #", " ### "),
    "P": ("#### ", "#   #", "#### ", "#    ", "#    "),
    "Q": (" ### ", "#   #", "# # #", "#  # ", " ## #"),
    "R": ("#### ", "#   #", "#### ", "#  # ", "#   #"),
    "S": (" ####", "#    ", " ### ", "    #", "#### "),
    "T": ("#####", "  #  ", "  #  ", "  #  ", "  #  "),
    "U": ("#   #", "#   #", "#   #", "#   #", " ### "),
    "V": ("#   #", "#   #", "#   #", " # # ", "  #  "),
    "W": ("#   #", "#   #", "# # #", "## ##", "#   #"),
    "X": ("#   #", " # # ", "  #  ", " # # ", "#   #"),
    "Y": ("#   #", " # # ", "  #  ", "  #  ", "  #  "),
    "Z": ("#####", "   # ", "  #  ", " #   ", "#####"),
    ".": ("  ", "  ", "  ", "  ", "# "),
    ",": ("  ", "  ", "  ", " #", "# "),
    "-": ("   ", "   ", "###", "   ", "   "),
    " ": ("  ", "  ", "  ", "  ", "  "),
}


def large(text: str, width: int) -> tuple[str, ...]:
    """Five lines with the text in large figures, each as wide as asked for.

    Where it does not fit, or has a sign without a large form, it stands small on the third line.

    Args:
        text: digits, capital or small letters, point, comma, minus, blank.
        width: columns.
    """
    signs = text.upper().replace("−", "-")
    if all(sign in _FORMS for sign in signs):
        for gap in _GAPS:
            lines = _set(signs, gap)
            if len(lines[0]) <= width:
                return tuple(one.ljust(width) for one in lines)
    small = text + " " * (width - cells(text))
    return tuple(small if row == ROWS // 2 else " " * width for row in range(ROWS))


def _set(signs: str, gap: int) -> list[str]:
    rows = [(" " * gap).join(_FORMS[sign][row] for sign in signs) for row in range(ROWS)]
    return [row.replace("#", "█") for row in rows]
