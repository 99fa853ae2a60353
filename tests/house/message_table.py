"""The whole table of sentences, and where the package stands."""

from string import Formatter

from assaybench.messages import whole

WHOLE = whole()


def fields_of(template: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(template) if name}
