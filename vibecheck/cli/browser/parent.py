"""A screen's program ends with the server that began it, however that ends."""

from __future__ import annotations

import ctypes
import os
import signal
import sys
import threading
import time
from contextlib import suppress

PARENT = "VIBECHECK_SERVED_BY"  # the server's process id, in the environment of its screens
LOOK_EVERY_S = 1.0
GRACE_S = 3.0  # to write down what is not finished
_PR_SET_PDEATHSIG = 1  # prctl(2), Linux


def end_with_parent() -> None:
    """Have this program ended when the server that began it is gone; nothing if none did."""
    parent = os.environ.pop(PARENT, "")
    if not parent.isdecimal():
        return
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGTERM, 0, 0, 0)
    watch = threading.Thread(target=_watch, args=(int(parent),), name="parent", daemon=True)
    watch.start()


def _watch(parent: int) -> None:
    """Also where the system does not tell, and where the program is too busy to heed a signal."""
    while os.getppid() == parent:
        time.sleep(LOOK_EVERY_S)
    os.kill(os.getpid(), signal.SIGTERM)
    time.sleep(GRACE_S)
    os._exit(128 + signal.SIGTERM)
