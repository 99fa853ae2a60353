"""What a person types on line 23: a reading, a word, an id. Pure; a page keeps one and redraws it.

Point and comma are both taken as the decimal mark and shown as typed; a second mark is not taken.
"""

from typing import Literal, NamedTuple

Accepts = Literal["reading", "share", "id", "text", "pick", "secret"]
LONGEST = 200
LONGEST_FIGURE = 24
_MARKS = ".,"


class Typing(NamedTuple):
    """What is typed so far.

    Attributes:
        prompt: what is asked for, such as `Type what you see now:`.
        text: what is typed so far.
        accepts: reading (digits, one mark, a minus in front); share (a reading, a blank and %);
            id (no blanks); text (anything that can be printed); pick (as text, to find something
            by its first letters); secret (a passphrase, shown as one dot for each sign). While
            a reading is typed, letters stay actions.
        most: the longest text taken; a figure is never longer than 24 signs.
    """

    prompt: str
    text: str = ""
    accepts: Accepts = "text"
    most: int = LONGEST

    @property
    def shown(self) -> str:
        """What may be seen of it; of a secret only how many signs there are."""
        return "·" * len(self.text) if self.accepts == "secret" else self.text

    @property
    def takes_letters(self) -> bool:
        """Whether every sign that can be printed is typed rather than an action."""
        return self.accepts not in ("reading", "share")

    def with_key(self, key: str, character: str | None = None) -> "Typing":
        """What stands there after a key; the same when the key is not taken.

        Args:
            key: name of the key; `backspace` takes the last sign back.
            character: the sign it makes, if any.
        """
        if key in ("backspace", "delete"):
            return self._replace(text=self.text[:-1])
        if character is None or not self.takes(character):
            return self
        return self._replace(text=self.text + character)

    def takes(self, character: str) -> bool:
        """Whether a sign may be typed behind what stands there."""
        if len(character) != 1 or not character.isprintable() or len(self.text) >= self.most:
            return False
        if self.accepts == "secret":
            return True
        if self.accepts in ("text", "pick"):
            return character != " " or bool(self.text)
        if self.accepts == "id":
            return not character.isspace()
        return self._figure_takes(character)

    def _figure_takes(self, character: str) -> bool:
        if self.text.endswith("%") or len(self.text) >= LONGEST_FIGURE:
            return False
        if character in _MARKS:
            return not any(mark in self.text for mark in _MARKS)
        if character == "-":
            return not self.text
        if self.accepts == "share" and character in " %":
            return bool(self.text)
        return character.isascii() and character.isdigit()
