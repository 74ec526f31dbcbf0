"""The foot of a screen: the keys that count now, as many as there is room for; each clickable."""

from __future__ import annotations

from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.style import Style
from textual.widgets import Static

from vibecheck.tui.plain import visible

MORE = ("^p", "More", "app.command_palette")


class KeyLine(Static):
    """One line of keys; the palette at its end holds the rest."""

    def __init__(self) -> None:
        super().__init__(id="keys")
        self._shown: tuple[tuple[str, str, str], ...] = ()

    def on_mount(self) -> None:
        """Follow the keys of the screen."""
        self.screen.bindings_updated_signal.subscribe(self, self._changed)
        self.show_keys()

    def on_resize(self) -> None:
        """Use the width there is."""
        self._shown = ()
        self.show_keys()

    def _changed(self, screen: Screen[object]) -> None:
        if self.is_attached and screen is self.screen:
            self.show_keys()

    def show_keys(self) -> None:
        """Show the keys that count now."""
        keys = fitting(self._keys(), self.size.width or self.app.size.width)
        if keys != self._shown:
            self._shown = keys
            self.update(Content.assemble(*[_key_text(*each) for each in keys]))

    def _keys(self) -> list[tuple[str, str, str]]:
        """Key as shown, what it does, and the action of a click; each action once."""
        found: dict[str, tuple[str, str, str]] = {}
        for key, (_, binding, enabled, _) in self.screen.active_bindings.items():
            if binding.show and enabled and not binding.system:
                found.setdefault(binding.action, self._described(key, binding))
        return list(found.values())

    def _described(self, key: str, binding: Binding) -> tuple[str, str, str]:
        shown = self.app.get_key_display(binding)
        return shown, visible(binding.description), f"app.simulate_key('{key}')"


def fitting(
    keys: list[tuple[str, str, str]], width: int
) -> tuple[tuple[str, str, str], ...]:
    """The first keys that fit into a width, and the palette behind them."""
    room = width - _width(MORE) - 1
    kept = []
    for each in keys:
        room -= _width(each)
        if room < 0:
            break
        kept.append(each)
    return (*kept, MORE)


def _width(key: tuple[str, str, str]) -> int:
    return len(key[0]) + len(key[1]) + 3


def _key_text(key: str, label: str, action: str) -> Content:
    click = Style.from_meta({"@click": action})
    text = Content.assemble(" ", (key, "bold $accent"), f" {label} ")
    return text.stylize(click)
