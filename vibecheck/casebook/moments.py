"""Times as entries carry them: "2026-03-02T09:15:00Z", in UTC."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from functools import lru_cache

_MOMENT = re.compile(
    r"20[0-9]{2}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}([.][0-9]{1,6})?)?Z"
)


@lru_cache(maxsize=20_000)  # the times of a case are read again and again
def read_moment(text: str) -> datetime:
    """The time that an entry carries.

    Raises
    ------
    ValueError : it is not such a time.
    """
    if not _MOMENT.fullmatch(text):
        raise ValueError(text)
    return datetime.fromisoformat(text)


def moment_text(moment: datetime) -> str:
    """A time as entries carry it, to the millisecond."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
