"""The sheet of readings round the wheel: typed, pasted, undone, refused, and taken into a case."""

from __future__ import annotations

from typing import Any

import pytest
from textual import events
from textual.widgets import Input, Static

from vibecheck.report.letters import lettered
from vibecheck.tui.readings import ReadingsScreen
from vibecheck.tui.widgets.plot import Plot

TURN = "0 .03 .08 .14 .19 .23 .26 .27 .26 .24 .19 .14 .09 .05 .01 -.02 -.03 -.02".split()
HOSTILE = "[/bad] [red]x[/red]\x1b[2J\u202e"


async def paste(it: Any, text: str) -> None:
    """Paste a text into the field."""
    it.app.screen.query_one("#round-entry", Input).post_message(events.Paste(text))
    await it.settle()


def shown(screen: ReadingsScreen, name: str) -> str:
    """The text of one part of the screen."""
    return str(screen.query_one(f"#{name}", Static).render())


async def test_a_gauge_types_value_and_enter_and_the_place_moves_on(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.pilot.press(*"0.05", "enter", *"-.02", "enter")
        await it.settle()

        assert ("0.05", "-.02") == screen.sheet.texts[:2]
        assert 2 == screen.sheet.at
        assert "at 40 deg" in shown(screen, "round-at")
        assert "" == screen.entry.value


async def test_a_gauge_that_types_without_a_pause_loses_no_reading(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        for text in (*TURN[:9], "0.1.2", *TURN[10:]):
            for ch in (*text, "\r"):
                names = {".": "full_stop", "-": "minus", "\r": "enter"}
                key = events.Key(names.get(ch, ch), ch)
                key.set_sender(it.app)
                it.app._driver.send_message(key)
        for _ in range(200):
            await it.settle()
            if screen.sheet.complete and not screen.entry.value:
                break

        assert (*TURN[:9], "0.1.2", *TURN[10:]) == screen.sheet.texts
        assert "!0.1.2" in it.words.replace(" ", "")
        assert "two decimal marks" in shown(screen, "round-result")


async def test_runout_shape_and_picture_follow_the_readings(stage: Any) -> None:
    """High minus low is the runout (ISO 1101): 0.27 + 0.03 mm."""
    async with stage(size=(120, 40)) as it:
        screen = await it.calculator("round")
        await it.read_off(*TURN[:5])
        assert screen.result is None
        assert not screen.query_one("#round-plot", Plot).display

        await it.read_off(*TURN[5:])

        assert 0.30 == pytest.approx(screen.result.runout.tir_mm)
        assert "0.300 +/- " in shown(screen, "round-result")
        assert "1 x per turn" in shown(screen, "round-result")
        figure = screen.query_one("#round-plot", Plot).figure
        marks = [(letter, mark.at) for letter, mark in lettered(figure)]
        assert [("H", 140.0), ("L", 320.0)] == marks
        assert "H .27 mm" in it.words and "L -.03 mm" in it.words


async def test_a_sharp_dip_is_named(stage: Any) -> None:
    """A dip of 0.6 mm over two neighboring readings of 36 is no low harmonic."""
    async with stage() as it:
        screen = await it.calculator("round")
        dip = ["0"] * 36
        dip[9:12] = ["-0.3", "-0.6", "-0.3"]

        await paste(it, "\n".join(dip))

        assert 36 == screen.sheet.count
        assert screen.result.runout.local_bend is not None
        assert "a sharp bend of" in shown(screen, "round-result")


async def test_a_pasted_column_fills_down_and_is_undone_in_one_step(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off("0.11")
        await paste(it, "0.12\r\n0,13 mm\n\n.14")
        assert ("0.11", "0.12", "0,13 mm", ".14") == screen.sheet.texts[:4]

        await it.press("u")
        assert ("0.11", "", "", "") == screen.sheet.texts[:4]
        await it.press("u")
        assert 0 == screen.sheet.read
        await it.press("u")
        assert "no step to take back" in it.words


async def test_what_does_not_fit_is_told_with_its_values(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off(*TURN[:17])
        await paste(it, "0.1\n0.2\n0.3")

        assert "0.1" == screen.sheet.texts[17]
        assert "2 readings did not fit: 0.2, 0.3" in it.words


@pytest.mark.parametrize("typed, what", [
    ("0abc", "is not a unit of length"), ("0.1.2", "two decimal marks"),
    ("250", "no runout reading"),
    (HOSTILE, "is not a reading"), ("0" + "9" * 190, "not a reading"),
])
async def test_a_refused_entry_is_kept_and_comes_back_to_be_corrected(
    stage: Any, typed: str, what: str
) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off("0.1", typed)
        assert what in shown(screen, "round-word")
        assert ("0.1", typed, "") == screen.sheet.texts[:3]

        await it.press("up")
        assert typed == screen.entry.value
        await it.press("down")
        assert "" == screen.entry.value

        await it.press("up")
        await it.read_off("0.2")
        assert ("0.1", "0.2", "") == screen.sheet.texts[:3]
        assert "" == shown(screen, "round-word")


async def test_hostile_lines_of_a_column_stay_as_text_with_a_mark(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await paste(it, f"{HOSTILE}\n0.1\n{'w' * 10_000}")

        assert 3 == screen.sheet.read
        assert "! [/bad]" in it.words
        assert "\x1b" not in it.text and "\u202e" not in it.text
        assert screen.result is None


async def test_a_reading_far_too_large_asks_whether_another_unit_was_meant(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off("5", "12", "7 thou")
        assert "did you mean thou?" in shown(screen, "round-word")
        assert "? 12 mm" in it.words

        await it.press("f8")
        assert "Which unit was meant?" in it.words
        await it.press("escape")
        assert ("5", "12", "7 thou") == screen.sheet.texts[:3]

        await it.press("f8", "3")
        assert ("5 thou", "12 thou", "7 thou") == screen.sheet.texts[:3]
        await it.press("u")
        assert ("5", "12", "7 thou") == screen.sheet.texts[:3]


async def test_a_step_taken_back_after_the_unit_changed_keeps_its_unit(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off("0.1", "0.2")
        await it.press("f2", "u")

        assert ("0.1 mm", "") == screen.sheet.texts[:2]


async def test_the_other_unit_loses_no_digit(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off(*TURN)
        screen.entry.value = "0.1200"
        before = screen.result.runout.tir_mm

        await it.press("f2")

        assert tuple(f"{text} mm" for text in TURN) == screen.sheet.texts
        assert "0.1200 mm" == screen.entry.value
        assert before == screen.result.runout.tir_mm
        assert "in over deg" in it.words

        await it.press("enter")
        assert "0.1200 mm" == screen.sheet.texts[17]
        await it.read_off("0.0050")
        await it.press("f2")
        assert "0.0050 in" == screen.sheet.texts[17]
        assert screen.result is not None


async def test_sheets_survive_leaving_and_each_surface_has_its_own(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off("0.1", "0.2")
        await it.press("s", "2")
        assert "radial, outboard" in it.words and 0 == screen.sheet.read
        await it.read_off("0.7")
        await it.press("escape")

        again = await it.calculator("round")

        assert ("0.1", "0.2") == again.sheet.texts[:2]
        await it.press("s", "2")
        assert "0.7" == again.sheet.texts[0]


async def test_number_of_places_arrows_delete_and_emptying(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.press("n", "2")
        assert 12 == screen.sheet.count
        await it.read_off("0.1", "0.2")
        await it.press("up", "delete")
        assert ("0.1", "") == screen.sheet.texts[:2]
        await it.press("x")
        assert 0 == screen.sheet.read
        await it.press("u")
        assert 1 == screen.sheet.read


async def test_a_click_takes_a_place_in_hand(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.pilot.click("#round-grid", offset=(8, 5))
        await it.pilot.click("#round-grid", offset=(8, 5))
        await it.settle()

        assert 4 == screen.sheet.at
        assert screen.focused is screen.entry


async def test_the_drawing_holds_without_colors(
    stage: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR is the common wish for a terminal without colors (no-color.org)."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with stage() as it:
        screen = await it.calculator("round")
        await it.press("f5")

        assert it.app.no_color
        assert screen.query_one("#round-plot", Plot).drawable
        assert "┫" in it.text
        await it.press("f1", "escape", "f4")
        assert screen is it.app.screen


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (220, 50)])
async def test_picture_and_words_at_every_size(stage: Any, size: tuple[int, int]) -> None:
    async with stage(size=size) as it:
        screen = await it.calculator("round")
        await it.press("f5")
        plot = screen.query_one("#round-plot", Plot)
        assert plot.drawable and "┫" in it.text
        await it.press("f7")
        assert not plot.drawable and "┫" not in it.text
        assert "H high 0.27 mm at 140 deg (4:30" in it.words

        await it.press("f1")
        assert "valve stem" in it.words
