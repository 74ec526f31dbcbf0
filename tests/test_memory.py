"""What large arrays give back is kept: counted by the pages that the system has to clear."""

from __future__ import annotations

import platform
import subprocess
import sys

import pytest

USE = """
import resource
import numpy as np
from vibecheck.memory import keep_memory
if {keep}:
    keep_memory()

def use():
    return [np.zeros(75_000) + 1.0 for _ in range(6)]

use()
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
for _ in range(20):
    use()
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


def pages(keep: bool) -> int:
    done = subprocess.run([sys.executable, "-c", USE.format(keep=keep)], capture_output=True,
                          text=True, check=True, timeout=60)
    return int(done.stdout)


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="how another C library keeps memory")
def test_kept_memory_is_not_cleared_anew() -> None:
    assert pages(keep=True) < 0.1 * pages(keep=False)
