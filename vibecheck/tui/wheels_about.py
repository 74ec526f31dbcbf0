"""What a set of wheels is: names, new or used, limits, who measures with what."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Button, Input, Static

from vibecheck.session.wheel_set import OpenSet
from vibecheck.tui.attempt import attempt
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.plain import joined, plain
from vibecheck.tui.styles import STYLES
from vibecheck.tui.widgets.entry import PlainInput
from vibecheck.tui.widgets.keyline import KeyLine

RADIAL, LATERAL = "wheel_bead_radial", "wheel_bead_lateral"
_FIELDS = (
    ("title", "Name of the set", "aftermarket 18 x 8.5"),
    ("names", "Wheels, with commas", "1, 2, 3, 4"),
    ("state", "new or used", "new"),
    ("shipped", "came by carrier, yes or no", "yes"),
    ("radial", "own limit, radial", "0.5 mm"),
    ("lateral", "own limit, lateral", "0.5 mm"),
    ("by", "measured by", ""),
    ("gauge", "with", "two dial indicators, 0.01 mm"),
)


class WheelsAboutScreen(BaseScreen[bool]):
    """A form; dismissed with True if it was kept."""

    CSS_PATH = [*STYLES, "wheels.tcss"]
    ABOUT_TITLE = "the set"
    ABOUT = (
        "Names stand for the wheels in their order. New or used and whether a carrier brought "
        "them decide what becomes of a damaged wheel. The seller's or maker's own limits go "
        "before the general ones. Who measured with what stands on a claim."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "keep", "Keep"),
        Binding("escape", "leave", "Leave as before", key_display="Esc"),
    ]

    def __init__(self, bench: OpenSet) -> None:
        super().__init__()
        self.bench = bench

    def compose(self) -> ComposeResult:
        """One field under the other."""
        about, case = self.bench.about, self.bench.case
        now = {
            "title": case.title, "names": ", ".join(about.names), "state": about.state,
            "shipped": about.shipped, "radial": case.limits.get(RADIAL, ""),
            "lateral": case.limits.get(LATERAL, ""), "by": about.by, "gauge": about.gauge,
        }
        yield Static("The set", classes="screen-title")
        with VerticalScroll(id="about-form", can_focus=False):
            for name, label, example in _FIELDS:
                with Horizontal(classes="about"):
                    yield Static(label, classes="about-label")
                    yield PlainInput(now[name], name_id=f"about-{name}", placeholder=example)
        yield Static(id="about-word")
        with Horizontal(classes="window-buttons"):
            yield Button(plain("Keep (Ctrl+S)"), id="keep", variant="primary", compact=True)
            yield Button(plain("Leave as before (Esc)"), id="leave", compact=True)
        yield KeyLine()

    def on_mount(self) -> None:
        """The first field takes the keys."""
        self.query_one("#about-title").focus()

    @on(Input.Submitted)
    @on(Button.Pressed, "#keep")
    def action_keep(self) -> None:
        """Keep all of it, or say what cannot be."""
        typed = {name: self.query_one(f"#about-{name}", Input).value.strip()
                 for name, _, _ in _FIELDS}

        def keep() -> None:
            self.bench.set_all(
                title=typed["title"],
                names=[each.strip() for each in typed["names"].split(",")],
                limits={RADIAL: typed["radial"], LATERAL: typed["lateral"]},
                state=typed["state"].lower(), shipped=typed["shipped"].lower(),
                by=typed["by"], gauge=typed["gauge"])

        word = attempt(keep)
        if word:
            self.query_one("#about-word", Static).update(joined("! ", plain(word)))
        else:
            self.dismiss(True)

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave it as it was."""
        self.dismiss(False)
