"""Comfort: sizes, looks without color, help everywhere, keys and mouse."""

from __future__ import annotations

from typing import Any

import pytest
from textual.widgets import Button, OptionList, Static

from vibecheck.report.lines import minutes
from vibecheck.report.names import LEVELS
from vibecheck.session.driving import DriveWord
from vibecheck.tui import phrases
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.dialogs import TextDialog
from vibecheck.tui.visit import VisitScreen
from vibecheck.tui.widgets.keyline import MORE, fitting
from vibecheck.tui.widgets.standing import StandingPane

SIZES = [(60, 20), (80, 24), (100, 30), (120, 40), (240, 60)]


def above_the_keys(it: Any) -> list[str]:
    """What stands on the screen, without the line of keys."""
    return it.text.splitlines()[:-1]


async def test_choices_stay_in_sight_at_every_size(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        for size in SIZES:
            await it.resize(*size)
            choices = it.app.screen.query_one("#choices")
            assert choices.region.height >= 2
            assert choices.region.bottom <= size[1]
            assert it.app.screen.query_one("#drive").region.height >= 1
            shown = it.app.screen.query_one(StandingPane).region.width
            assert shown >= 30 if size[0] >= 80 else shown == 0


async def test_resize_while_an_answer_is_being_typed(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        screen = it.app.screen
        screen.interview.jump("bead_radial_inboard", "LF")
        screen.show_all()
        await it.settle()
        await it.type("0.4")
        for size in (*SIZES, (30, 10), (80, 24)):
            await it.resize(*size)
        await it.type("9 mm")
        await it.press("enter")
        assert it.opened.diagnosis.readings[0].value == "0.49 mm"


async def test_every_screen_has_help_and_a_way_back(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong", "feel=hop")) as it:
        for key in ("a", "r", "x", "k", "f", "t"):
            await it.press(key)
            screen = it.app.screen
            assert isinstance(screen, BaseScreen) and not isinstance(screen, VisitScreen)
            assert screen.ABOUT and screen.query("#keys")
            await it.press("f1")
            assert isinstance(it.app.screen, TextDialog)
            await it.press("escape", "escape")
            assert isinstance(it.app.screen, VisitScreen)
        await it.press("f1")
        help_text = str(it.app.screen.query_one("#dialog-text", Static).content)
        for name in ("Not sure", "Back", "Why", "Answers", "Ranking", "Facts, limits", "Note"):
            assert name in help_text


async def test_light_and_dark(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        words = above_the_keys(it)
        dark = it.app.theme
        await it.press("f4")
        assert it.app.theme != dark
        assert above_the_keys(it) == words


async def test_no_color_tells_the_same(
    stage: Any, kept: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = kept("vibration=strong", "nuts_loose@LF=loose")
    async with stage(path, size=(120, 40)) as it:
        colored = above_the_keys(it)
    monkeypatch.setenv("NO_COLOR", "1")
    async with stage(path, size=(120, 40)) as it:
        assert it.app.no_color
        assert above_the_keys(it) == colored
        assert "■■■ DO NOT DRIVE" in it.words


def test_every_word_has_a_shape_and_every_decision_a_word() -> None:
    assert len(set(phrases.DRIVE_SHAPES.values())) == len(DriveWord)
    assert len({shape.split()[0] for shape in phrases.ZONES.values()}) == len(phrases.ZONES)
    assert all(any(ch.isalpha() for ch in text) for text in LEVELS.values())


async def test_everything_by_mouse(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        screen = it.app.screen
        finding = screen.question.field.finding
        await it.pilot.click("#choices", offset=(5, 1))
        await it.settle()
        answered = {answer.finding: answer.value for answer in it.opened.diagnosis.answers}
        assert finding in answered

        now = screen.question.field.finding
        await it.pilot.click("#do-unsure")
        await it.settle()
        answered = {answer.finding: answer.value for answer in it.opened.diagnosis.answers}
        assert answered[now] == "unsure"

        await it.pilot.click("#do-back")
        await it.settle()
        assert screen.question.field.finding == now
        await it.pilot.click("#ranked", offset=(4, 0))
        await it.settle()
        assert not isinstance(it.app.screen, VisitScreen)


async def test_buttons_do_not_stand_in_the_way_of_the_keyboard(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        assert it.app.focused is it.app.screen.query_one("#choices", OptionList)
        assert not any(each.focusable for each in it.app.screen.query(Button))


async def test_palette_holds_units_looks_and_the_keys_of_the_screen(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        titles = {command.title for command in it.app.get_system_commands(it.app.screen)}
        assert {"Unit of length", "Unit of speed", "Light or dark", "Not sure", "Ranking",
                "Facts, limits", "Move place", "Leave the program"} <= titles
        command = next(
            each for each in it.app.get_system_commands(it.app.screen) if each.title == "Not sure"
        )
        finding = it.app.screen.question.field.finding
        await command.callback()
        await it.settle()
        answered = {answer.finding: answer.value for answer in it.opened.diagnosis.answers}
        assert answered[finding] == "unsure"


async def test_numbers_as_words() -> None:
    assert phrases.percent(0.999) == ">99%" and phrases.percent(0.001) == "<1%"
    assert phrases.percent(0.42) == "42%"
    assert phrases.bar(0.5, 10) == "█████░░░░░" and phrases.bar(0.0, 4) == "░░░░"
    assert minutes(0.5) == "under 1 min" and minutes(125) == "2 h 05 min"


def test_keys_that_fit_and_the_palette_behind_them() -> None:
    keys = [("u", "Not sure", "a"), ("c", "Can't here", "b"), ("s", "Skip", "c")]
    assert fitting(keys, 200) == (*keys, MORE)
    assert fitting(keys, 30) == (keys[0], MORE)
    assert fitting(keys, 5) == (MORE,)


async def test_keys_at_the_foot_can_be_clicked(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong")) as it:
        finding = it.app.screen.question.field.finding
        at = it.text.splitlines()[-1].index("Not sure")
        await it.pilot.click("#keys", offset=(at, 0))
        await it.settle()
        answered = {answer.finding: answer.value for answer in it.opened.diagnosis.answers}
        assert answered[finding] == "unsure"
