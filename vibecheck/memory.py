"""Memory of large arrays that is kept from one to the next.

The C library of Linux takes large blocks from the system one by one and gives each back at once,
so that every new array is cleared page by page before it is first written: a third of the time of
a posterior. It follows the largest block given back so far, up to 32 MiB: smaller ones are kept
from then on, twice as much of them as that [1]. Other C libraries are not changed by it.

[1] mallopt(3), Linux man-pages: M_MMAP_THRESHOLD and the dynamic mmap threshold.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

_BLOCK = 31 << 20  # [bytes]


@lru_cache(maxsize=1)
def keep_memory() -> None:
    """Let the C library keep what arrays give back; once is enough for a process."""
    np.empty(_BLOCK, np.uint8)
