"""Another unit tells every length of a result anew, and no digit is lost.

Outside source: 1 in = 25.4 mm exactly (International Yard and Pound agreement, 1959).
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from textual.widgets import Static

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.report.sentences import answer_text
from vibecheck.tui.cause import CauseScreen
from vibecheck.tui.visit import VisitScreen

MM_PER_INCH = 25.4
SIZES = re.compile(r"([+-]?\d+\.\d+)(?: (mm|in)\b)?")


def told(screen: Any) -> str:
    """A calculator's page as it is shown."""
    return str(screen.query_one("#calculator-result", Static).render())


def lengths(text: str, unit: str) -> list[float]:
    """Numbers that are followed by the unit."""
    return [float(number) for number, found in SIZES.findall(text) if found == unit]


@pytest.mark.parametrize("name", ["runout", "stack", "match"])
async def test_every_length_of_a_result_follows_the_unit(stage: Any, name: str) -> None:
    async with stage() as it:
        it.app.open_calculator(name)
        await it.settle()
        await it.press("f5")
        in_mm = told(it.app.screen)
        await it.press("f2")
        in_inches = told(it.app.screen)

        assert lengths(in_mm, "mm") and not lengths(in_mm, "in")
        assert lengths(in_inches, "in") and not re.search(r"\bmm\b", in_inches)
        for mm, inch in zip(lengths(in_mm, "mm"), lengths(in_inches, "in"), strict=True):
            assert abs(mm - inch * MM_PER_INCH) <= 0.0065  # half a step of 0.01 mm, and of inches
        await it.press("f2")
        assert in_mm == told(it.app.screen)


async def test_a_sheet_and_its_limit_follow_the_unit(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong", "feel=shimmy")) as it:
        assert isinstance(it.app.screen, VisitScreen)
        it.app.open_calculator("round")
        await it.settle()
        result = it.app.screen.query_one("#round-result", Static)
        assert re.search(r"limit in force is \d\S* mm", str(result.content))
        await it.press("f2")
        assert re.search(r"limit in force is 0\.0\d+ in", str(result.content))
        await it.press("f5")
        assert not re.search(r"\d mm\b", str(result.render()))


async def test_reasons_quote_readings_in_the_unit(stage: Any, kept: Any) -> None:
    """1.4 mm is 0.05512 in (calculated)."""
    path = kept("vibration=strong", "feel=shimmy", "bead_radial_inboard@LF=1.4 mm +/- 0.02")
    async with stage(path, size=(120, 40)) as it:
        screen = it.app.screen
        found = it.opened.diagnosis
        spot = Spot("bead_radial_inboard", Corner.LF)
        cause = next(
            each for each in found.ranking
            if any(weight.finding == spot for weight in found.weights(each.spot))
        )
        assert "1.400 +/- 0.020 mm" in answer_text(found, spot, screen.vibecheck.wording)
        await it.press("f2")
        inches = answer_text(found, spot, screen.vibecheck.wording)
        assert "0.05512 +/- 0.00079 in" in inches
        assert "mm" not in inches.replace("(typed: 1.4 mm +/- 0.02)", "")
        it.app.push_screen(CauseScreen(it.opened, cause.cause, cause.corner))
        await it.settle()
        assert "0.05512 +/- 0.00079 in" in str(it.app.screen.query_one("#why", Static).content)
        await it.press("f2")
        assert "1.400 +/- 0.020 mm" in str(it.app.screen.query_one("#why", Static).content)
