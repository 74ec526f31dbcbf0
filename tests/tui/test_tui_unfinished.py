"""A closed terminal loses nothing that was typed, and nothing strays into another car's visit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from textual.widgets import Input

from vibecheck.tui.app import VibecheckApp
from vibecheck.tui.looks import LIGHT

CALM = (
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
)


async def test_a_half_filled_sheet_of_a_visit_is_there_in_the_next_run(
    stage: Any, kept: Any
) -> None:
    path = kept(*CALM)
    async with stage(path) as it:
        await it.check()
        await it.read_off("0", ".03", ".08")

    async with stage(path) as it:
        screen = await it.check()

        assert screen.sheet.texts[:4] == ("0", ".03", ".08", "")
        assert screen.sheet.at == 3


async def test_a_killed_program_loses_a_second_at_most(stage: Any, tmp_path: Path) -> None:
    """Nothing is written on the way out: what the clock wrote must do."""
    async with stage() as it:
        screen = await it.calculator("match")
        screen.query_one("#field-carrier", Input).value = "0.6 mm at 90"
        await it.settle()
        it.app.on_unmount = lambda: None  # type: ignore[method-assign]
        await it.pilot.pause(1.3)
        assert "0.6 mm at 90" in (tmp_path / "visits" / "unfinished.json").read_text("utf-8")


async def test_what_the_case_fills_in_is_asked_of_the_case_again(stage: Any, kept: Any) -> None:
    path = kept(*CALM, facts={"tire_size": "205/55R16"})
    async with stage(path) as it:
        assert (await it.calculator("orders")).form.field("tire").value == "205/55R16"
        await it.press("escape")
        it.opened.set_facts({"tire_size": "225/45R17"})
        assert (await it.calculator("orders")).form.field("tire").value == "225/45R17"


async def test_units_and_look_are_remembered(stage: Any) -> None:
    async with stage() as it:
        await it.press("f2", "f3", "f4")

    async with stage() as it:
        assert (it.app.units.length, it.app.units.speed) == ("in", "mph")
        assert it.app.theme == LIGHT.name


async def test_what_another_run_left_without_a_visit_stays_out_of_visits(
    stage: Any, kept: Any
) -> None:
    async with stage() as it:
        await it.calculator("round")
        await it.read_off("0", ".03", ".08")
        await it.press("escape")
        form = await it.calculator("balance")
        form.query_one("#field-inner", Input).value = "35 g at 120"
        await it.settle()

    async with stage(kept(*CALM)) as it:
        assert (await it.check()).sheet.read == 0
        await it.press("escape")
        visit_form = await it.calculator("balance")
        assert visit_form.query_one("#field-inner", Input).value == ""

    async with stage() as it:
        form = await it.calculator("balance")
        assert form.query_one("#field-inner", Input).value == "35 g at 120"


async def test_what_went_into_the_case_is_not_kept_beside_it(
    stage: Any, kept: Any, tmp_path: Path
) -> None:
    path = kept(*CALM)
    async with stage(path) as it:
        form = await it.calculator("balance")
        form.query_one("#field-inner", Input).value = "35 g at 120"
        form.query_one("#field-outer", Input).value = "20 g at 300"
        await it.settle()
        await it.press("f6", "1")

    file = tmp_path / "visits" / "unfinished.json"
    assert not file.exists() or "35 g" not in file.read_text("utf-8")


async def test_a_demo_leaves_nothing(stage: Any, tmp_path: Path) -> None:
    async with stage() as it:
        app: VibecheckApp = it.app
        app.open_demo(app.demo_visits()[0].path)
        await it.settle()
        form = await it.calculator("balance")
        form.query_one("#field-inner", Input).value = "35 g at 120"
        await it.settle()

    assert not (tmp_path / "visits" / "unfinished.json").exists()


async def test_a_damaged_file_is_passed_over(stage: Any, tmp_path: Path) -> None:
    (tmp_path / "visits").mkdir()
    (tmp_path / "visits" / "unfinished.json").write_bytes(b"\x00[[[")

    async with stage() as it:
        assert "Begin a new visit" in it.words
