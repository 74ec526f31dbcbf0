"""A window before a screen."""

from __future__ import annotations

from typing import TypeVar

from textual.screen import ModalScreen

from vibecheck.tui.styles import COMMON

Result = TypeVar("Result")


class Window(ModalScreen[Result]):
    """A window before a screen."""

    CSS_PATH = COMMON
