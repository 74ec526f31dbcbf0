"""The top of a visit: its title and place, and the word on driving, always in sight."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from vibecheck.session.unitchoice import Units
from vibecheck.session.views import DriveWord, SessionView
from vibecheck.tui.phrases import DRIVE_CLASSES, DRIVE_SHAPES
from vibecheck.tui.plain import joined, line


class TopBar(Vertical):
    """Two lines across the whole width."""

    def compose(self) -> ComposeResult:
        """The title line and the drive line."""
        yield Static(id="title")
        yield Static(id="drive")

    def show(self, view: SessionView, units: Units, saved: bool) -> None:
        """Show the state of a visit."""
        parts = [view.place]
        if view.invented:
            parts.append("invented case")
        if not saved:
            parts.append("not kept on disk")
        if not view.rules.same_as_case:
            parts.append("begun with other rules")
        parts.append(f"{units.length}, {units.speed}")
        self.query_one("#title", Static).update(
            joined(line(", ".join(parts)), ": ", line(view.title, "bold"))
        )
        drive = self.query_one("#drive", Static)
        word = view.drive.word
        drive.update(
            joined(f"{DRIVE_SHAPES[word]} ", line(word.value.upper(), "bold"), " - ",
                   line(view.drive.text))
        )
        for each in DriveWord:
            drive.set_class(each is word, DRIVE_CLASSES[each])
