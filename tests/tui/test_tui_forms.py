"""Forms keep everything that was typed, also when the key that keeps it follows at once."""

from __future__ import annotations

from typing import Any

import pytest
from textual import events
from textual.widgets import Input, TextArea

from vibecheck.tui.facts import FactsScreen
from vibecheck.tui.newvisit import NewVisitScreen
from vibecheck.tui.visit import VisitScreen


async def burst(it: Any, text: str, *keys: str) -> None:
    """Keys as a fast hand or a pasting terminal sends them: none waits for the one before."""
    for each in text:
        it.app.post_message(events.Key("space" if each == " " else each, each))
    for key in keys:
        it.app.post_message(events.Key(key, None))
    await it.settle()
    await it.settle()


async def test_the_title_of_a_new_visit_is_kept_whole(stage: Any) -> None:
    async with stage() as it:
        await it.press("1", "n")
        assert isinstance(it.app.screen, NewVisitScreen)
        await burst(it, "hatch of ms weber", "ctrl+s")
        await it.past_opening()
        assert isinstance(it.app.screen, VisitScreen)
        assert "hatch of ms weber" == it.opened.case.title


async def test_a_fact_is_kept_whole(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        await it.press("f")
        assert isinstance(it.app.screen, FactsScreen)
        it.app.screen.query_one("#fact-tire_size", Input).value = ""
        await burst(it, "195/65R15", "ctrl+s")
        assert "195/65R15" == it.opened.case.facts["tire_size"]


async def test_a_note_is_kept_whole(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        await it.press("n")
        assert it.app.screen.query_one("#note", TextArea).has_focus
        await burst(it, "zzz qqq", "ctrl+s")
        assert "zzz qqq" == it.opened.case.entries[-1].text


@pytest.mark.parametrize("key", ["f6", "ctrl+s"])
async def test_a_bench_takes_what_stands_in_its_fields(stage: Any, kept: Any, key: str) -> None:
    """High 0.61 mm, low 0.10 mm: 0.51 mm (calculated)."""
    async with stage(kept("vibration=strong")) as it:
        it.app.open_calculator("runout")
        await it.settle()
        it.app.screen.query_one("#field-low", Input).value = "0.10 mm"
        it.app.screen.query_one("#field-high", Input).focus()
        await burst(it, "0.61", key)
        await it.press("1", "1")
        assert "0.51" in it.opened.case.entries[-1].value


@pytest.mark.parametrize(("key", "value"), [("1", "0.047 mm"), ("2", "0.047 in")])
async def test_a_form_asks_for_the_unit_that_makes_more_sense(
    stage: Any, key: str, value: str
) -> None:
    """.047 beside "mm" against 0.5 mm: a wheel truer than any, or a bent one in inches."""
    async with stage() as it:
        it.app.open_calculator("runout")
        await it.settle()
        it.app.screen.query_one("#field-tolerance", Input).value = "0.5 mm"
        field = it.app.screen.query_one("#field-tir", Input)
        field.focus()
        await burst(it, "0.047", "enter")
        assert "Is the unit right?" in it.words
        await it.press(key)

        assert value == field.value
        assert ("beyond" in it.words.lower()) is (key == "2")


async def test_a_value_typed_bare_is_said_as_it_was_read(stage: Any, kept: Any) -> None:
    async with stage(kept("complaint_kind=shake"), size=(120, 40)) as it:
        it.opened.answer(["bead_radial_inboard@LF=0.3 mm"])
        it.app.screen.do(lambda: it.opened.answer(["bead_radial_inboard@LF=0.31"]))
        await it.come_to_rest()

        assert "Read as" in it.words and "read as 0.31 mm" in it.words
