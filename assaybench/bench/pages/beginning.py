"""What is asked before a run is begun or gone on with: initials, a title, the tray."""

from collections.abc import Callable, Mapping

from assaybench.bench.asking import Asking
from assaybench.bench.desk import Desk
from assaybench.bench.page import Outcome
from assaybench.logbook.settings_fields import BY_NAME, Tray
from assaybench.messages import say
from assaybench.record import check

Keep = Callable[[Mapping[str, object]], None]


def signed(desk: Desk, go: Callable[[], Asking | Outcome]) -> Asking | Outcome:
    """Go on when it is known who works here; else ask first."""
    if desk.by:
        return go()

    def answer(text: str) -> Asking | Outcome:
        desk.switch(text)
        return go()

    return Asking(say("ask_initials"), answer, "id", (say("hint_initials"),))


def ask_run(desk: Desk, keep: Keep, begin: Callable[[str], Outcome]) -> Asking:
    """Ask for a title, then for the tray, then begin; nothing is numbered before that.

    Args:
        desk: its settings have the tray, and are given another that is typed.
        keep: stores a tray that is typed.
        begin: begins the run, given its title.
    """
    return ask_title(desk, lambda title: _ask_tray(desk, keep, lambda: begin(title)))


def ask_title(desk: Desk, go: Callable[[str], Asking | Outcome]) -> Asking:
    """Ask for a title, then go on with it."""

    def answer(text: str) -> Asking | Outcome:
        return go(check.text(text) if text else "")

    return Asking(say("ask_title"), answer, "text", (say("hint_title", bench=desk.bench),))


def _ask_tray(desk: Desk, keep: Keep, begin: Callable[[], Outcome]) -> Asking:
    tray = desk.settings.tray

    def answer(text: str) -> Outcome:
        found = BY_NAME["tray"].read(BY_NAME["tray"], text) if text else tray
        if isinstance(found, Tray) and found != tray:
            keep({"tray": text})
            desk.settings = desk.settings._replace(tray=found)
        return begin()

    return Asking(say("ask_tray", tray=tray), answer, "text", (say("hint_tray"),))
