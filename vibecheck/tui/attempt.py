"""Runs something that may be refused, and gives the sentence for the screen."""

from __future__ import annotations

import os
from collections.abc import Callable

from vibecheck.errors import VibecheckError


def attempt(call: Callable[[], object]) -> str:
    """Run a call; gives "" if it went well, else one sentence. Nothing is lost either way."""
    try:
        call()
    except VibecheckError as error:
        return str(error)
    except OSError as error:
        return f"the system refuses: {os.strerror(error.errno or 0)}; nothing was changed"
    return ""
