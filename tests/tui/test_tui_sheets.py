"""The sheets in the wizard: the next one at a key, kept as text and as a page to print."""

from __future__ import annotations

from typing import Any

from textual.widgets import Static

from vibecheck.report.html import html_page
from vibecheck.report.sheets import sheet_page, sheet_text
from vibecheck.tui.sheets import SheetScreen


def shown(it: Any) -> str:
    return str(it.app.screen.query_one("#sheet", Static).content)


async def test_every_sheet_is_a_key_away_and_kept_in_both_forms(stage: Any, kept: Any) -> None:
    path = kept("vibration=strong", "bead_radial_inboard@LF=1.4 mm +/- 0.02")
    async with stage(path) as it:
        await it.press("p")
        assert isinstance(it.app.screen, SheetScreen)
        assert shown(it) == sheet_text(it.opened.diagnosis, "bay")
        await it.press("c")
        assert shown(it) == sheet_text(it.opened.diagnosis, "customer")
        await it.press("h", "k")
        await it.press("c")
        assert "READINGS OF A WHEEL" in shown(it) and "1.400 +/- 0.020 mm" in shown(it)
        await it.press("h")
        assert "Sheet for: claim" not in it.words and "kept as" in it.words
        await it.press("c")
        assert shown(it) == sheet_text(it.opened.diagnosis, "bay")

        page = html_page(sheet_page(it.opened.diagnosis, "customer"),
                         f"{it.opened.case.title} - customer")
    customer = path.with_name(f"{path.stem}-customer.html")
    assert page == customer.read_text(encoding="utf-8")
    assert customer.with_suffix(".txt").is_file()
    assert "<svg" not in path.with_name(f"{path.stem}-claim-LF.html").read_text(encoding="utf-8")


async def test_a_sheet_that_cannot_be_kept_is_said_so(stage: Any, kept: Any) -> None:
    path = kept("vibration=strong")
    path.with_name(f"{path.stem}-bay.html").mkdir()
    async with stage(path) as it:
        await it.press("p", "h")

        assert "NOT kept" in it.words
