"""What all screens share: help, theme and unit keys, and the app as screens know it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.events import ScreenResume
from textual.screen import Screen

from vibecheck.tui.plain import joined, line, plain, stacked
from vibecheck.tui.styles import STYLES

if TYPE_CHECKING:
    from textual.types import CSSPathType

    from vibecheck.metrology.units.choice import Units
    from vibecheck.tui.wizard import Wizard

Result = TypeVar("Result")
WIDTHS = [(0, "-tiny"), (68, "-narrow"), (104, "-middle"), (156, "-wide")]  # from [cells]
HEIGHTS = [(0, "-low"), (34, "-high")]  # from [cells]


class BaseScreen(Screen[Result]):
    """A screen with its own help. `ABOUT` says in plain words what it is for."""

    CSS_PATH: ClassVar[CSSPathType | None] = STYLES
    ABOUT: str = ""
    ABOUT_TITLE: str = ""
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "help", "Help", key_display="F1"),
    ]

    def on_compose(self) -> None:
        """Know the width and height before there is anything to style anew for them."""
        width, height = self.app.size
        self.add_class(_fitting(WIDTHS, width), _fitting(HEIGHTS, height))

    @on(ScreenResume)
    def keep_styles(self, event: ScreenResume) -> None:
        """What was styled as it was made, and with every change of colors, need not be again."""
        event.refresh_styles = False

    @property
    def vibecheck(self) -> Wizard:
        """The app, as screens know it."""
        return cast("Wizard", self.app)

    def action_help(self) -> None:
        """Show what this screen is for and its keys."""
        from vibecheck.tui.dialogs import TextDialog

        self.app.push_screen(TextDialog(f"Help: {self.ABOUT_TITLE}", self.help_text()))

    def help_text(self) -> Content:
        """What the screen is for, and every key that counts here."""
        keys, seen = [], set()
        for node, binding, _, _ in self.active_bindings.values():
            usual = binding.system or binding.action.startswith(("app.focus", "screen."))
            ours = node in (self, self.app) and not usual
            if ours and binding.description and binding.description not in seen:
                seen.add(binding.description)
                shown = Content.styled(f"{self.app.get_key_display(binding):>9}", "bold")
                keys.append(joined(shown, "  ", line(binding.description)))
        return stacked([plain(self.ABOUT), plain(""), plain("Keys", "bold underline"), *keys])

    def units_changing(self, old: Units) -> None:
        """Another unit is about to count; screens with fields keep what was typed."""

    def units_changed(self) -> None:
        """Another unit was chosen; screens that show values show them anew."""


def _fitting(steps: list[tuple[int, str]], cells: int) -> str:
    """The class of the last step that so many cells reach."""
    return [name for least, name in steps if cells >= least][-1]
