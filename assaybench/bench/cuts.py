"""Several cuts of one stream, each assayed: their mean, with the ± of their scatter.

U = t(0.975, n - 1)·s/√n with s of the cuts: GUM (JCGM 100:2008) 4.2.3 and G.3.2. The scatter of
cuts holds assay and sampling alike. Cuts are taken as equal in mass, which the note says.
"""

import math
from statistics import fmean, stdev
from typing import NamedTuple

from assaybench.bench.amounts import with_unit
from assaybench.messages import BadInput, say
from assaybench.metrology.freedom import coverage_factor
from assaybench.units import parse, write
from assaybench.units.table import FRACTION, GRAM_PER_TONNE

_FIRST = "0123456789.,"


class Cuts(NamedTuple):
    """What several cuts say.

    Attributes:
        grade: mean ± U, g/t, as a grade is typed.
        note: each of them as typed, for the log.
    """

    grade: str
    note: str


def cuts_of(text: str, what: str) -> Cuts | None:
    """The mean of the cuts that were typed; None where that is no list of figures.

    Args:
        text: assays with blanks between, the unit behind the last or behind each; g/t without one.
        what: of which stream, in words.

    Raises:
        BadInput: for a figure that will not do, or cuts that do not scatter at all.
    """
    parts = parse.words(text)
    if len(parts) < 2 or any(part[0] not in _FIRST or "±" in part for part in parts):
        return None
    unit = parts[-1].lstrip(_FIRST).strip() or GRAM_PER_TONNE.symbol
    found = [
        float(parse.plain_figure(with_unit(part, unit), FRACTION, example="0.4 g/t").exact(
            GRAM_PER_TONNE
        ))
        for part in parts
    ]  # fmt: skip
    spread = stdev(found)
    if spread == 0:
        raise BadInput.of("cuts_alike")
    n = len(found)
    reach = coverage_factor(n - 1) * spread / math.sqrt(n)
    grade = write.plus_minus(fmean(found), reach, GRAM_PER_TONNE.symbol)
    note = say("cuts_note", n=n, what=what, list=" ".join(parts))
    return Cuts(grade, " ".join(note.split()))
