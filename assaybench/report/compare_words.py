"""Words of a comparison that a command and a page share: signs, and chances in 100."""

from assaybench.messages import say
from assaybench.units import write

_LEAST, _MOST = 0.001, 0.999


def with_sign(text: str) -> str:
    """A number as text with its sign, + or -."""
    return text if text.startswith("-") else f"+{text}"


def chance(probability: float) -> str:
    """A probability in 100, never 0 or 100: `84`, `99.9 or more`."""
    if probability > _MOST:
        return say("chance_most")
    if probability < _LEAST:
        return say("chance_least")
    return write.significant(probability * 100, 3 if probability > 0.99 else 2)
