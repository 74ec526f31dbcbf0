"""A list of choices: each has a key where there is one, and can be clicked."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from vibecheck.tui.plain import joined, line


class Choice(Struct, frozen=True):
    """One choice: what it stands for, its words, the key shown before it, a remark after it."""

    value: str
    text: str
    key: str = ""
    remark: str = ""
    enabled: bool = True


class ChoiceList(OptionList):
    """Choices under each other; `show` replaces them and keeps the place where it can."""

    def __init__(self, choices: Sequence[Choice] = (), *, name_id: str) -> None:
        # The class that `compact` sets, given at once, need not be styled for once more.
        super().__init__(id=name_id, classes="-textual-compact", markup=False, compact=True)
        self.shown: tuple[Choice, ...] = ()
        self.show(choices)

    def show(self, choices: Sequence[Choice], *, keep_place: bool = False) -> None:
        """Show other choices."""
        before = self.highlighted
        self.shown = tuple(choices)
        self.clear_options()
        self.add_options([_option(choice) for choice in choices])
        usable = [number for number, choice in enumerate(choices) if choice.enabled]
        wanted = before if keep_place and before in usable else None
        self.highlighted = wanted if wanted is not None else (usable[0] if usable else None)

    @property
    def chosen(self) -> Choice | None:
        """The choice under the cursor."""
        at = self.highlighted
        return self.shown[at] if at is not None and at < len(self.shown) else None


def _option(choice: Choice) -> Option:
    key = Content.styled(f"{choice.key:>2}  ", "bold $accent") if choice.key else ""
    remark = joined("  ", line(choice.remark, "$text-muted")) if choice.remark else ""
    return Option(
        joined(key, line(choice.text), remark),
        disabled=not choice.enabled,
    )
