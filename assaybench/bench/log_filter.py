"""Which logs the logbook page is to show, typed in a few words on line 23. Pure.

`sealed`, `run`, `2026-06-09` mean what they are; `sample KV-016`, `title heap`, `since 2026-06-01`,
`until 2026-06-30`, `bench HILL` name the rest. Other words are looked for in the titles.
"""

import re

from assaybench.logbook.folder import bench_name
from assaybench.logbook.index_tables import STATES, Wanted
from assaybench.messages import BadInput, quoted
from assaybench.record import check
from assaybench.record.typed import typed_day

KINDS = {"run": "furnace run", "circuit": "circuit test"}
_NAMED = ("sample", "state", "since", "until", "bench", "title")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_TWO_WORDS = re.compile(r"\bnot read\b", re.IGNORECASE)
_GLUED = "not\N{NO-BREAK SPACE}read"


def wanted_of(text: str) -> Wanted:
    """What a line of words asks for; nothing typed asks for all logs.

    Raises:
        BadInput: one line for the first word that cannot be.
    """
    words = _TWO_WORDS.sub(_GLUED, text).split(" ")
    asked: dict[str, list[str]] = {}
    name = ""
    for word in filter(None, words):
        small = word.casefold()
        if small in _NAMED and (not name or asked[name]):
            name = small
            if name in asked:
                raise BadInput.of("filter_twice", x=name)
            asked[name] = []
        elif name and (not asked[name] or name == "title" or (name == "sample" and _plain(word))):
            asked[name].append(word)
        else:
            name = ""
            _bare(word, asked)
    if name and not asked[name]:
        raise BadInput.of("filter_needs", x=name)
    return _wanted({key: " ".join(value) for key, value in asked.items()})


def _plain(word: str) -> bool:
    """Whether a word means nothing by itself, so that it may be the rest of an id."""
    small = word.casefold().replace("\N{NO-BREAK SPACE}", " ")
    return small not in STATES and small not in KINDS and not _DAY.fullmatch(word)


def _bare(word: str, asked: dict[str, list[str]]) -> None:
    """A word that nothing stands before: a state, a kind, a day, else part of a title."""
    small = word.casefold().replace("\N{NO-BREAK SPACE}", " ")
    names: tuple[str, ...] = ("title",)
    if small in STATES:
        names = ("state",)
    elif small in KINDS:
        names = ("log",)
    elif _DAY.fullmatch(word):
        names = ("since", "until")
    for name in names:
        if name in asked and name != "title":
            raise BadInput.of("filter_twice", x=name)
        asked.setdefault(name, []).append(word)


def _wanted(asked: dict[str, str]) -> Wanted:
    state = asked.get("state", "").casefold().replace("\N{NO-BREAK SPACE}", " ")
    if state and state not in STATES:
        choices = ", ".join(STATES)
        raise BadInput.of("choice_unknown", x=quoted(state), what="state", choices=choices)
    bench = asked.get("bench", "")
    return Wanted(
        sample=check.text(asked["sample"]) if "sample" in asked else "",
        state=state,
        since=_day(asked.get("since", "")),
        until=_day(asked.get("until", "")),
        bench=bench_name(bench) if bench else "",
        title=asked.get("title", ""),
        log=KINDS.get(asked.get("log", "").casefold(), ""),
    )


def _day(text: str) -> str:
    return typed_day(text).isoformat() if text else ""
