"""The help page: what the page beneath is, its keys, and the safety text of its step."""

from collections.abc import Callable, Iterable

from assaybench.bench.actions import Keymap
from assaybench.bench.characters import wrapped
from assaybench.bench.page import Back, Outcome, Room, Stay
from assaybench.bench.page_habits import Still
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.turning import turned, turned_by
from assaybench.logbook.settings_keys import Action, shown
from assaybench.messages import say

_KEY_COLUMNS = 9
_ARROWS = ("up", "down", "left", "right")


class HelpPage(Still):
    """Help for one page.

    What does not fit stands on further pages; Enter turns them.
    """

    name = "help"

    def __init__(
        self,
        sheet: Sheet,
        page: str,
        keys: Keymap,
        exists: Callable[[str], bool] = lambda _action: True,
    ) -> None:
        """Make help.

        Args:
            sheet: the page beneath, as it is.
            page: its name in the table of actions.
            keys: which key does what.
            exists: whether an action of the table leads anywhere now.
        """
        self._exists = exists
        self._sheet, self._page, self._keys = sheet, page, keys
        self._turned = 0
        self._more = False

    def sheet(self, room: Room) -> Sheet:
        """One page of it."""
        parts = self._parts(room)
        at = self._turned % len(parts)
        self._more = more = len(parts) > 1
        count = say("page_of", n=at + 1, of=len(parts)) if more else ""
        return Sheet(
            left=self._sheet.left,
            title=say("title_help", page=self._sheet.title),
            right=count,
            block=tuple(parts[at]),
            margin=(say("about_help"),),
            promise=say("promise_help_more" if more else "promise_help"),
            keys=("enter.more", "back") if more else ("back",),
        )

    def _parts(self, room: Room) -> list[list[Line]]:
        """The lines, in pages; a heading never stands alone at the end of one."""
        signs = [[line(row) for row in wrapped(say("help_plain_signs"), BLOCK_WIDTH)]]
        return turned([*self._blocks(), *(signs if room.ascii else ())], room.block_lines)

    def _blocks(self) -> Iterable[list[Line]]:
        for text in self._sheet.about:
            yield [line(row) for row in wrapped(text.replace("\n", " "), BLOCK_WIDTH)]
        own = [a for a in self._keys.table if self._page in a.pages and self._exists(a.does)]
        # what Enter does is another word at another step: the one of the key line counts
        here = [a for a in own if a.id in self._sheet.keys or "." not in a.id]
        every = [a for a in self._keys.of_page("*") if a.does not in (*_ARROWS, "enter")]
        told = {a.does for a in here}
        for heading, actions in (
            (say("help_here"), here),
            (say("help_everywhere"), [a for a in every if a.does not in told]),
        ):
            if actions:
                yield [line(Span(heading, "bold")), *map(self._row, actions)]

    def _row(self, action: Action) -> Line:
        key = shown(self._keys.keys[action.does])
        if action.twin:
            key = f"{key}, {shown(action.twin)}"
        return line("  ", Span(f"{key:{_KEY_COLUMNS}}", "bold"), action.help)

    def act(self, action: str) -> Outcome:
        """Enter and the arrows turn the page where there is more; everything else leads back."""
        step = turned_by(action) if self._more else 0
        self._turned += step
        return Stay() if step else Back()

    def typed(self, key: str, character: str) -> Outcome:
        """Any other key leads back."""
        return Back()
