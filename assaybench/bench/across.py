"""All determinations of a log's samples, in it and across the logbook, looked up beside a page.

The index of the logbook may have many logs to read first, so this is work for a thread; it works on
its own results, never on those that a page shows.
"""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.bench.desk import Desk
from assaybench.logbook.determinations import (
    Elsewhere,
    Family,
    determinations,
    families,
    other_logs,
)
from assaybench.logbook.folder import LogName
from assaybench.record.entries import Entry
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.report import determinations_view as view
from assaybench.report.answer import Section


class Across(NamedTuple):
    """What the logbook holds of the samples of a log.

    Attributes:
        families: all determinations of each sample.
        others: the logs that hold more of them.
    """

    families: tuple[Family, ...]
    others: Elsewhere

    def sections(self) -> list[Section]:
        """n of N of the samples that stand here in part, as pages of text show them."""
        return view.sections(self.families, ())

    def flags(self) -> list[str]:
        """What a reader must know of determinations that are not shown."""
        return [" ".join(f.text.split()) for f in view.flags(self.families, self.others)]

    def told(self, sample: str) -> list[str]:
        """That other logs hold more of a sample: n of N, and the mean of all.

        Args:
            sample: the sample, not one of its repeats.
        """
        return [
            view.mean_said(
                "results_across",
                family,
                id=family.id,
                n=len(family.shown()),
                logs=", ".join(dict.fromkeys(held.log.spelled for held in family.elsewhere)),
            )
            for family in self.families
            if family.id == sample and family.elsewhere and family.counted
        ]


def across(desk: Desk, name: LogName, entries: Sequence[Entry]) -> Across:
    """Look the determinations of a log's samples up.

    Args:
        desk: where.
        name: the log.
        entries: its entries.

    Raises:
        BadInput: what stands in the way of its results.
        NotDone: when the logbook cannot be read.
    """
    state = replay(entries)
    asked = families(state)
    others = other_logs(desk.book, desk.files, name, asked, cache=desk.cache_folder())
    found = results(state)
    return Across(determinations(desk.book, desk.files, name, found, others), others)
