"""The clock of the machine, as everything that writes takes it unless told otherwise."""

import time
from datetime import datetime, tzinfo
from functools import lru_cache

_MINUTE_MS = 60_000


def machine_time() -> datetime:
    """The time of the machine to whole milliseconds, with its offset."""
    ms = time.time_ns() // 1_000_000
    return datetime.fromtimestamp(ms / 1000, _zone(ms // _MINUTE_MS))


@lru_cache(maxsize=1)
def _zone(minute: int) -> tzinfo | None:
    """The offset in a minute since 1970: clocks are put forward and back at whole ones.

    Asking the system at every entry costs as much as checking one.
    """
    return datetime.fromtimestamp(minute * _MINUTE_MS / 1000).astimezone().tzinfo
