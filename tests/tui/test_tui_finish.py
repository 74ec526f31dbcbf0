"""How a visit ended is written down in the wizard, kept, and shown at its end."""

from __future__ import annotations

from typing import Any

from textual.widgets import Input, Select, Static

from vibecheck.casebook import store
from vibecheck.casebook.case import Outcome
from vibecheck.tui.finish import FinishScreen
from vibecheck.tui.visit import VisitScreen


async def test_an_ending_is_kept_and_shown(stage: Any, kept: Any) -> None:
    path = kept("vibration=strong", "feel=shimmy", "bead_radial_inboard@LF=1.4 mm +/- 0.02")
    async with stage(path) as it:
        await it.press("h")
        screen = it.app.screen
        assert isinstance(screen, FinishScreen)
        first = screen._causes()[0][1].partition("@")
        leader = it.opened.diagnosis.ranking[0]
        assert (leader.cause, leader.corner or "") == (first[0], first[2])
        screen.query_one("#ended-cause", Select).value = "bent_wheel@LF"
        screen.query_one("#ended-remedy", Select).value = "replace_wheel"
        screen.query_one("#ended-confirmed", Input).value = "0.12 mm [/bad] [red]calm"
        await it.press("ctrl+s")

        assert isinstance(it.app.screen, VisitScreen)
        outcome = Outcome(cause="bent_wheel", corner="LF", remedy="replace_wheel",
                          confirmed="0.12 mm [/bad] [red]calm")
        assert outcome == store.load(path).case.outcome
        page = str(it.app.screen.query_one("#ending-text", Static).content)
        assert page.startswith("How it ended\n")
        assert "0.12 mm [/bad] [red]calm" in page

        await it.press("h")
        again = it.app.screen
        assert "bent_wheel@LF" == again.query_one("#ended-cause", Select).value
        assert "0.12 mm [/bad] [red]calm" == again.query_one("#ended-confirmed", Input).value
        await it.press("escape")
        assert outcome == it.opened.case.outcome


async def test_nothing_said_is_refused_and_a_full_disk_told(
    stage: Any, kept: Any, full_disk: Any
) -> None:
    path = kept("vibration=strong")
    async with stage(path) as it:
        await it.press("h", "ctrl+s")
        screen = it.app.screen
        assert isinstance(screen, FinishScreen)
        assert "nothing is said" in str(screen.query_one("#form-word", Static).content)
        screen.query_one("#ended-confirmed", Input).value = "calm"
        full_disk(True)
        await it.press("ctrl+s")
        assert screen is it.app.screen
        assert "NOT saved" in str(screen.query_one("#form-word", Static).content)
        full_disk(False)
        await it.press("ctrl+s")
        assert Outcome(confirmed="calm") == store.load(path).case.outcome
