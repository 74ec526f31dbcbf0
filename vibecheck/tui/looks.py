"""The two looks, light and dark. Every word that a color carries is also there as text."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="workshop-dark", dark=True,
    primary="#6b9fb8", secondary="#93a362", accent="#e0b050",
    warning="#e0a030", error="#ea7468", success="#70a870",
    foreground="#e4e2dc", background="#16181a", surface="#1e2124", panel="#2a2e32",
)
LIGHT = Theme(
    name="workshop-light", dark=False,
    primary="#2c5f78", secondary="#5a6a2b", accent="#8a5a00",
    warning="#8a5200", error="#a82818", success="#2f6f2f",
    foreground="#1c1e20", background="#f6f4ee", surface="#fcfbf8", panel="#e6e2d8",
)
