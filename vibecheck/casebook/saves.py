"""What this run of the program has put on disk, so that its last word can say so.

Kept apart from the store: whoever only asks loads nothing.
"""

from __future__ import annotations

from pathlib import Path

_saved: list[Path] = []


def remember(path: Path) -> None:
    """Say that a case is on disk now."""
    _saved.append(path)


def count() -> int:
    """How often a case was saved so far."""
    return len(_saved)
