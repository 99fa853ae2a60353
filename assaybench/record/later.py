"""Things by name that are worked out when they are first asked for.

A page shows two of a sample's eight figures and none of its budgets; the rest waits for JSON or for
the sample to be opened.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Generic, TypeVar

Source = TypeVar("Source")
Thing = TypeVar("Thing")


class Later(Mapping[str, Thing], Generic[Source, Thing]):
    """A mapping whose values are worked out once, when they are first asked for.

    Args:
        sources: by name, what each value is made of.
        make: makes the value.
    """

    __slots__ = ("_made", "_make", "_sources")

    def __init__(self, sources: Mapping[str, Source], make: Callable[[Source], Thing]) -> None:
        self._sources, self._make = sources, make
        self._made: dict[str, Thing] = {}

    def __getitem__(self, name: str) -> Thing:
        if name not in self._made:
            self._made[name] = self._make(self._sources[name])
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._sources)

    def __len__(self) -> int:
        return len(self._sources)
