"""Another unit tells every length of a result anew, and no digit is lost.

Outside source: 1 in = 25.4 mm exactly (International Yard and Pound agreement, 1959).
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from textual.widgets import Static

from vibecheck.calculators.registry import CALCULATORS
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.metrology.units.choice import CHOICES, US, Units
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


def told_units(text: str) -> set[str]:
    """The units with a choice that stand behind a number, but for what was typed."""
    typed = re.sub(r"\(typed: [^)]*\)|'[^']*'", "", text)
    return set(re.findall(r"\d ?([A-Za-z/-]+)", typed)) & (names(Units()) | names(US))


def names(units: Units) -> set[str]:
    return {getattr(units, each.value) for each in CHOICES}


SWITCHED = ("mm", "km/h"), ("in", "mph")  # what the two keys change


@pytest.mark.parametrize("name", [each.name for each in CALCULATORS])
async def test_a_unit_switch_changes_every_number_of_a_calculator(stage: Any, name: str) -> None:
    """Its example, in its own units and after both keys: then no number is left behind."""
    metric, us = map(set, SWITCHED)
    async with stage(size=(120, 40)) as it:
        screen = await it.calculator(name)
        await it.press("f5")
        before = told(screen)
        await it.press("f2", "f3")
        after = told(screen)

        assert re.search(r"\d", after) and not told_units(before) & us
        assert not told_units(after) & metric
        assert before != after or not told_units(before) & metric
        await it.press("f2", "f3")
        assert before == told(screen)


async def test_a_unit_switch_changes_every_screen_of_a_visit(stage: Any, kept: Any) -> None:
    """The visit, its answers, ranking, car, sheet and leading cause, by keyboard."""
    path = kept("vibration=strong", "feel=shimmy", "worst_speed=105 km/h",
                "bead_radial_inboard@LF=1.4 mm +/- 0.02", "bead_radial_inboard@RF=0.2 mm +/- 0.02")
    async with stage(path, size=(150, 60)) as it:
        shown = {}
        for keys in ("", "a", "r", "k", "x", "p"):
            await it.press(*keys)
            shown[keys] = it.text
            await it.press("f2", "f3")
            switched = re.sub(r"\(typed:[^)]*\)", "", it.text)
            assert not re.search(r"(1\.40*|0\.20*0) (\S+ \S+ )?mm|105 km/h", switched), keys
            await it.press("f2", "f3", *(["escape"] if keys else []))
        assert sum(bool(re.search(r"\d mm|km/h", text)) for text in shown.values()) >= 4


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
