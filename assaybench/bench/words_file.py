"""A page in plain words as a new file: every number a sentence, for a screen reader or a letter."""

from collections.abc import Iterable

from assaybench.bench.characters import wrapped
from assaybench.bench.desk import Desk
from assaybench.bench.writing import write_new
from assaybench.messages import say

_WIDTH = 76


def write_words(
    desk: Desk, stem: str, head: str, numbers: Iterable[str], remarks: Iterable[str]
) -> str:
    """Write the sentences to a new file; gives the one that says where it is.

    Args:
        desk: where.
        stem: name of the file without its end.
        head: what page it is.
        numbers: of the page.
        remarks: of its margin.

    Raises:
        NotDone: when the disk refuses.
    """
    told = [" ".join(text.split()) for text in remarks if text]
    whole = [" ".join(text.split()) for text in numbers]
    lines = [head, *whole, *((say("words_remarks"), *told) if told else ())]
    text = "\n".join(part for one in lines for part in wrapped(one, _WIDTH)) + "\n"
    path = write_new(desk, stem, text.encode())
    return say("words_written", path=path)
