"""The top of a visit: its title and place, and the word on driving, always in sight."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from vibecheck.metrology.units.choice import Units
from vibecheck.report.names import DRIVE_WORDS
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.driving import DriveWord
from vibecheck.tui.phrases import DRIVE_CLASSES, DRIVE_SHAPES
from vibecheck.tui.plain import joined, line


class TopBar(Vertical):
    """Two lines across the whole width."""

    def compose(self) -> ComposeResult:
        """The title line and the drive line."""
        yield Static(id="title")
        yield Static(id="drive")

    def show(self, found: Diagnosis, units: Units, saved: bool, reason: str) -> None:
        """Show the state of a visit; `reason` is what the word on driving rests on."""
        parts: list[str] = [found.case.place]
        if found.case.invented:
            parts.append("invented case")
        if not saved:
            parts.append("not kept on disk")
        if not found.same_rules:
            parts.append("begun with other rules")
        parts.append(f"{units.length}, {units.speed}")
        self.query_one("#title", Static).update(
            joined(line(", ".join(parts)), ": ", line(found.case.title, "bold"))
        )
        drive = self.query_one("#drive", Static)
        word = found.driving.word
        drive.update(
            joined(f"{DRIVE_SHAPES[word]} ", line(DRIVE_WORDS[word].upper(), "bold"), " - ",
                   line(reason))
        )
        for each in DriveWord:
            drive.set_class(each is word, DRIVE_CLASSES[each])
