"""The pages that lie open, one on top of the other, and what a key does to them; no terminal.

The app hands over every key; what the stack answers is whether the bell rings and whether the book
is closed. So a test can press a thousand keys without an app.
"""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import NamedTuple

from assaybench.bench.actions import AT_ONCE, EXACT, Keymap
from assaybench.bench.codes import QUICK_SECONDS, Burst, ByCode, Key
from assaybench.bench.page import Back, Bell, Close, Do, Instead, Open, Outcome, Page, Room, Stay
from assaybench.bench.sheet import Sheet
from assaybench.messages import say

_MINUTE = timedelta(minutes=1)
_EDITING = ("enter", "escape", "up", "down")
_READ = "enter.read"
"""Keys that are actions also while a text is typed."""


class Effect(NamedTuple):
    """What a key came to, for the terminal.

    Attributes:
        bell: whether the bell rings.
        closed: whether the book was closed.
        held: how many keys wait until it is sure that no code follows: `let_go` is called with it
            after the longest pause between two keys of a code.
    """

    bell: bool = False
    closed: bool = False
    held: int = 0


Opener = Callable[["Stack"], Page | None]


class Idle(NamedTuple):
    """What is shown while nobody types.

    Attributes:
        minutes: gives after how many minutes without a key; 0 for never.
        page: makes the page that hides the one in sight.
    """

    minutes: Callable[[], int]
    page: Callable[["Stack", datetime], Page]


class Stack:
    """The open pages; the contents lie at the bottom.

    Attributes:
        pages: from the contents to the page in sight.
        keys: which key does what.
        room: the room pages have now.
    """

    def __init__(
        self,
        first: Page,
        keys: Keymap,
        everywhere: Mapping[str, Opener] | None = None,
        idle: Idle | None = None,
        bell: Callable[[datetime], str] = lambda _now: "",
    ) -> None:
        """Lay the contents out.

        Args:
            first: the contents.
            keys: which key does what.
            everywhere: actions that open a page from any page, such as the help page.
            idle: what is shown while nobody types.
            bell: the sentence of a timer that rings and that the page in sight does not keep.
        """
        self.pages: list[Page] = [first]
        self.keys = keys
        self.room = Room()
        self._everywhere = dict(everywhere or {})
        self._sheet: Sheet | None = None
        self._told = ""
        self._idle = idle
        self._bell, self._untold = bell, False
        self._quiet_since: datetime | None = None
        self._hidden = False
        self._burst = Burst()
        self._last: float | None = None

    @property
    def top(self) -> Page:
        """The page in sight."""
        return self.pages[-1]

    @property
    def sheet(self) -> Sheet:
        """What the page in sight shows, made once until something happens."""
        if self._sheet is None:
            sheet = self.top.sheet(self.room)
            told = (self._told,) if self._told else ()
            self._sheet = sheet._replace(margin=(*told, *sheet.margin))
        return self._sheet

    def tell(self, sentence: str) -> None:
        """Say something first in the margin of the page in sight, until the next key."""
        self._told, self._sheet = sentence, None

    def resized(self, room: Room) -> None:
        """The terminal has another size; every page keeps its place."""
        self.room, self._sheet = room, None

    def press(self, key: str, character: str | None, at: float | None = None) -> Effect:
        """One key.

        Args:
            key: its name, such as `enter`, `escape`, `up`, `f1`, `a`.
            character: the sign it makes, None when it makes none.
            at: seconds of a clock that only goes on; with it a code that is scanned is known, and
                an Enter that comes too soon to have read a line of safety.
        """
        if self._somebody():
            return Effect()
        self._told = ""
        last, self._last = self._last, at
        sign = character if character is not None and character.isprintable() else None
        if sign is not None:
            held = self._held_back(Key(key, sign), at)
            return Effect(held=held) if held else self._pressed(key, sign)
        if key == "enter" and self._burst.follows(at):
            scanned = self._scanned()
            if scanned is not None:
                return scanned
        # what was held goes before this key, which ends what came in one go
        self._act_held()
        self._burst.over()
        at_once = at is not None and last is not None and at - last <= QUICK_SECONDS
        if key == "enter" and at_once and _READ in self.sheet.keys:
            # nobody read a line of safety between two keys of one go
            self.tell(say("safety_first"))
            return Effect(bell=True)
        return self._pressed(key, sign)

    def _pressed(self, key: str, sign: str | None) -> Effect:
        """What a key does now."""
        typed = self._words and key not in _EDITING and key not in self.keys.twins
        action = None if typed else self._action(key, sign)
        if action is None:
            return self._follow(self.top.typed(key, sign or ""))
        opener = self._everywhere.get(action)
        if opener is not None:
            page = opener(self)
            return self._follow(Stay() if page is None else Open(page))
        return self._follow(self.top.act(action))

    @property
    def _words(self) -> bool:
        """Whether letters are typed on the page in sight."""
        typing = self.sheet.typing
        return typing is not None and typing.takes_letters

    # --- codes ----------------------------------------------------------------------------------

    def _held_back(self, key: Key, at: float | None) -> int:
        """Whether a sign waits, because it acts at once or belongs to a code: how many wait now."""
        burst = self._burst
        if burst.follows(at):
            burst.add(key.sign, at)
        elif self._words:
            # what is typed for a question is its answer, however fast
            self._act_held()
            burst.over()
            return 0
        else:
            self._act_held()
            typing = self.sheet.typing
            burst.begin(key.sign, at, self.pages, None if typing is None else typing.text)
        if at is None:
            return 0
        stores = not self._words and self._action(*key) in AT_ONCE
        if burst.held or stores or (burst.looks_so and not self._words):
            burst.held.append(key)
        return len(burst.held)

    def let_go(self, held: int) -> Effect:
        """Nothing followed the keys that wait: they act now, unless they are a code by themselves.

        Args:
            held: how many there were; when there are others now, those are waited for.
        """
        if held != len(self._burst.held):
            return Effect()
        digits = any(sign.isdigit() for sign in self._burst.text)
        if digits and self._burst.looks_so:
            return self._scanned() or Effect()
        return self._act_held()

    def _act_held(self) -> Effect:
        """The keys that waited act, in their order."""
        held, effect = self._burst.held, Effect()
        self._burst.held = []
        for key in held:
            effect = self._pressed(*key)
        return effect

    def _scanned(self) -> Effect | None:
        """What came in one go is a code: its sample is gone to, or said to be none; else None."""
        burst, code = self._burst, self._burst.text
        page: object = burst.page
        by_code = page if isinstance(page, ByCode) else None
        outcome = by_code.scanned(code) if by_code is not None and burst.may_be_known else None
        if outcome is None and not burst.looks_so:
            return None
        if by_code is not None:
            outcome = outcome or by_code.not_known(code)
        burst.taken_back(self.pages)
        self._sheet = None
        self._untyped(burst.asked)
        burst.over()
        if outcome is not None:
            return self._follow(outcome)
        # not repeated in clear: nobody knows what came
        self.tell(say("code_not_wanted"))
        return Effect(bell=True)

    def _untyped(self, asked: str | None) -> None:
        """What a code typed for a question is taken back; a question that it opened is given up."""
        typing = self.sheet.typing
        if typing is not None and asked is None:
            self._follow(self.top.act("back"))
        elif typing is not None and asked is not None:
            for _ in typing.text[len(asked) :]:
                self._follow(self.top.typed("backspace", ""))

    def _action(self, key: str, sign: str | None) -> str | None:
        """The action of a key; a capital letter does what its small one does."""
        page = self.top.name
        found = self.keys.action(page, sign or key)
        if found is not None or not sign:
            return found
        small = self.keys.action(page, sign.lower())
        return None if small in EXACT else small

    def paste(self, text: str) -> Effect:
        """What was pasted, or sent by a reader of codes, sign by sign; a line break is no Enter."""
        effect = Effect()
        if self._somebody():
            return effect
        line = "".join(text.strip().splitlines()[:1])
        if self.sheet.typing is None:
            if not isinstance(self.top, ByCode) or not line:
                return effect
            return self._follow(self.top.scanned(line) or self.top.not_known(line))
        for character in line:
            effect = self._follow(self.top.typed(character, character))
        return effect

    def tick(self, now: datetime) -> bool:
        """Once a second; whether the page in sight changed."""
        changed, self._untold = self.top.tick(now) or self._untold, False
        if self._nobody(now):
            changed = True
        if changed:
            self._sheet = None
        return changed

    def _nobody(self, now: datetime) -> bool:
        """Hide the page in sight when nobody typed for long enough; whether it was hidden now."""
        since, self._quiet_since = self._quiet_since or now, self._quiet_since or now
        minutes = self._idle.minutes() if self._idle is not None else 0
        if self._idle is None or not minutes or self._hidden or now - since < minutes * _MINUTE:
            return False
        self._hidden = True
        self.pages.append(self._idle.page(self, now))
        return True

    def _somebody(self) -> bool:
        """Somebody is there: whether a hidden page came back, exactly where it was."""
        self._quiet_since = None
        hidden, self._hidden = self._hidden, False
        if hidden:
            self.pages.pop()
            self._sheet = None
        return hidden

    @property
    def working(self) -> bool:
        """Whether the page in sight waits for work that goes on in a thread."""
        return bool(getattr(self.top, "working", False))

    def rings(self, now: datetime) -> bool:
        """Whether the bell rings once: a timer is over, on the page in sight or elsewhere."""
        rings: Callable[[datetime], bool] | None = getattr(self.top, "rings", None)
        if rings is not None:
            return rings(now)
        told = self._bell(now)
        if told:
            self.tell(told)
            self._untold = True
        return bool(told)

    def _follow(self, outcome: Outcome) -> Effect:
        self._sheet = None
        match outcome:
            case Open(page):
                self.pages.append(page)
            case Instead(page):
                self.pages[-1:] = [page]
            case Back():
                return self._back()
            case Do(action):
                return self._do(action)
            case Close():
                return Effect(closed=True)
            case Bell():
                return Effect(bell=True)
            case Stay():
                pass
        return Effect()

    def _back(self) -> Effect:
        if len(self.pages) == 1:
            return Effect(closed=True)
        self.pages.pop()
        self.top.come_back()
        return Effect()

    def _do(self, action: str) -> Effect:
        self._back()
        has = {a.does for a in self.keys.of_page(self.top.name)}
        while len(self.pages) > 1 and action not in has:
            self._back()
        if action in self._everywhere:
            page = self._everywhere[action](self)
            return self._follow(Stay() if page is None else Open(page))
        return self._follow(self.top.act(action))
