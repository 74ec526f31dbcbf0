"""The sheet of readings and the case: what goes in, what is asked before, what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual.widgets import Static

from vibecheck.casebook import store
from vibecheck.cli.main import main
from vibecheck.tui.app import VibecheckApp
from vibecheck.tui.readings import ReadingsScreen

CALM = (
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
)
TURN = "0 .03 .08 .14 .19 .23 .26 .27 .26 .24 .19 .14 .09 .05 .01 -.02 -.03 -.02".split()


def shown(screen: ReadingsScreen, name: str) -> str:
    """The text of one part of the screen."""
    return str(screen.query_one(f"#{name}", Static).render())


async def test_a_unit_in_doubt_is_settled_before_the_case(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        await it.check()
        await it.read_off(*(f"{float(text) / 25.4 * 1000:.1f}" for text in TURN))
        await it.press("f6")
        assert not it.opened.diagnosis.readings

        await it.press("3")

        (reading,) = [r for r in it.opened.diagnosis.readings if r.finding == "bead_radial_inboard"]
        assert 0.30 == pytest.approx(reading.judged.measured.value, abs=0.01)


async def test_the_result_goes_into_the_case_as_the_command_line_gives_it(
    stage: Any, kept: Any, tmp_path: Path
) -> None:
    path = kept(*CALM)
    other = tmp_path / "other.yaml"
    other.write_bytes(path.read_bytes())
    async with stage(path) as it:
        screen = await it.check()
        assert "left front" in shown(screen, "round-title")
        await it.read_off(*TURN)
        assert "? too close against the limit of" in it.words
        await it.press("f6")
        assert not isinstance(it.app.screen, ReadingsScreen)

    code = main(["runout", "--readings", " ".join(TURN), "--into", str(other), "--corner", "LF",
                 "--surface", "bead_radial_inboard"])

    assert 0 == code
    ours, theirs = (
        [(e.kind, e.finding, e.corner, e.value, e.check, e.readings, e.angles)
         for e in store.load(each).case.entries if e.readings]
        for each in (path, other)
    )
    assert theirs == ours
    assert {"bead_radial_inboard", "bead_oval"} <= {finding for _, finding, *_ in ours}
    assert tuple(f"{text} mm" for text in TURN) == tuple(ours[0][5])


async def test_inches_read_as_millimeters_are_asked_about_before_the_case(
    stage: Any, kept: Any
) -> None:
    async with stage(kept(*CALM)) as it:
        await it.check()
        await it.read_off(*(f"{float(text) / 25.4:.4f}" for text in TURN))
        await it.press("f6")
        assert "hardly ever so far from its limit" in it.words
        assert not it.opened.diagnosis.readings

        await it.press("2")

        (reading,) = [r for r in it.opened.diagnosis.readings if r.finding == "bead_radial_inboard"]
        assert 0.30 == pytest.approx(reading.judged.measured.value, abs=0.01)


async def test_a_case_that_refuses_keeps_the_sheet(
    stage: Any, kept: Any, full_disk: Any
) -> None:
    async with stage(kept(*CALM)) as it:
        screen = await it.check()
        await it.read_off(*TURN)
        full_disk(True)
        await it.press("f6")

        assert screen is it.app.screen
        assert "!" in shown(screen, "round-word")
        assert tuple(TURN) == screen.sheet.texts

        full_disk(False)
        await it.press("f6")
        assert any(r.finding == "bead_radial_inboard" for r in it.opened.diagnosis.readings)


async def test_an_example_never_goes_into_a_case(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        await it.check()
        await it.press("f5", "f6")

        assert "invented example values" in it.words
        assert not it.opened.diagnosis.readings


async def test_without_a_case_the_key_says_what_is_missing(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("round")
        await it.read_off(*TURN)
        await it.press("f6")

        assert "no visit is open" in it.words
        assert tuple(TURN) == screen.sheet.texts


async def test_readings_typed_before_the_case_are_there_in_it(stage: Any, kept: Any) -> None:
    path = kept(*CALM)
    async with stage() as it:
        await it.calculator("round")
        await it.read_off(*TURN)
        await it.press("escape")
        app: VibecheckApp = it.app
        app.open_visit(path)
        await it.settle()

        screen = await it.check()

        assert tuple(TURN) == screen.sheet.texts
        assert "before the case was open" in shown(screen, "round-word")
