"""The rules that the command line names."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from vibecheck.knowledge.library import Library


def folders(explicit: Path | None) -> tuple[Path, tuple[Path, ...]]:
    """The folder of rules, and the user's own on top of the usual ones."""
    from vibecheck.knowledge.place import layers

    return layers(explicit)


def library_of(chosen: argparse.Namespace) -> Library:
    """The rules the command line names.

    Raises
    ------
    RulesError : they have faults.
    """
    from vibecheck.knowledge.loader import load

    return load(*folders(chosen.rules))
