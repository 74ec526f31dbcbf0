"""The calculators on screen: examples, refusals, units; results into a case as by commands."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.widgets import Checkbox, Input, Static

from vibecheck.calculators.fields import Shape
from vibecheck.calculators.registry import CALCULATORS
from vibecheck.casebook import store
from vibecheck.cli.main import main
from vibecheck.report.calculators.pages import headline_of
from vibecheck.tui.calculators.catalog import SHOWN, shown_for
from vibecheck.tui.calculators.screen import CalculatorScreen
from vibecheck.tui.widgets.plot import Plot

FORMS = tuple(each.name for each in CALCULATORS if each.name != "record")
HOSTILE = "[/bad] [red]x[/red]\x1b[2J\u202e"
CALM = (
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
)


async def fill(it: Any, **texts: str) -> None:
    """Write into fields, as typed."""
    for name, text in texts.items():
        it.app.screen.query_one(f"#field-{name}", Input).value = text
    await it.settle()


def shown(screen: CalculatorScreen, name: str) -> str:
    """The text of one part of the screen."""
    return str(screen.query_one(f"#calculator-{name}", Static).render())


@pytest.mark.parametrize("name", FORMS)
async def test_an_example_shows_a_result_and_is_marked_invented(stage: Any, name: str) -> None:
    async with stage() as it:
        for size in ((80, 24), (120, 40), (220, 50)):
            await it.resize(*size)
            screen = await it.calculator(name)
            assert "F5 shows an example" in shown(screen, "result")

            await it.press("f5")

            assert screen.result is not None
            assert shown(screen, "result").startswith("Example: invented values.")
            result = " ".join(shown(screen, "result").split())
            assert " ".join(headline_of(screen.page).split()) in result
            assert "" == shown(screen, "word")
            assert "F6 Into case" in it.words

            await it.press("f5")
            assert not any(screen.form.texts().values())
            await it.press("escape")


async def test_help_says_what_the_bench_is_for(stage: Any) -> None:
    async with stage(size=(120, 40)) as it:
        for name in (*FORMS, "record"):
            screen = await it.calculator(name)
            await it.press("f1")
            assert screen.ABOUT.split(". ")[0][:40] in it.words
            assert "Into case" in it.words
            await it.press("escape", "escape")


@pytest.mark.parametrize("name", FORMS)
async def test_hostile_text_in_every_field_shows_as_text_and_stays(stage: Any, name: str) -> None:
    async with stage() as it:
        screen = await it.calculator(name)
        await it.press("f5")
        for slot in screen.fields:
            if slot.shape is Shape.FLAG:
                continue
            await fill(it, **{slot.name: HOSTILE})
            assert screen.is_running
            assert HOSTILE == screen.form.field(slot.name).value
            assert "\x1b" not in it.text and "\u202e" not in it.text
        await fill(it, **{screen.fields[0].name: "w" * 10_000})

        assert screen.result is None
        assert shown(screen, "word")


async def test_a_complaint_names_the_field_and_marks_it(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("runout")
        await fill(it, high="0.1.2", low="0")

        assert "! High: '0.1.2' has two decimal marks" in shown(screen, "word")
        assert "! High" in it.words
        await fill(it, high="0.12")
        assert "" == shown(screen, "word")
        assert "! High" not in it.words


async def test_a_field_not_filled_yet_is_wanted_and_not_wrong(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("runout")
        await fill(it, high="0.12")

        assert shown(screen, "word").startswith("? Low: a high needs a low")


async def test_a_label_stands_apart_from_its_field(stage: Any) -> None:
    async with stage() as it:
        for name in (*FORMS, "record"):
            screen = await it.calculator(name)
            width = screen.query(".field-label").first().size.width

            for slot in screen.fields:
                assert slot.shape is Shape.FLAG or len(slot.label) < width, slot.label
            await it.press("escape")


async def test_a_complaint_about_the_second_run_is_at_its_field(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("trialweight")
        await fill(it, first="8 at 30", trial1="30 g at 0", run1="12 at 75", trial2="30 g at 90",
                   run2="nine at 31")

        assert "! With weight on, 2: 'nine'" in " ".join(shown(screen, "word").split())


async def test_three_places_without_a_phase(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("trialweight")
        await fill(it, first="8.0", trial1="30 g", positions="0 120 240", run1="9.6 12.0 4.4")

        assert "51.2 g at 264 deg" in shown(screen, "result")


async def test_the_other_unit_loses_no_digit(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("runout")
        await fill(it, readings="0 .050 .13 .21 .24 .22 .15 .06", tolerance="0.50")
        before = screen.result.runout.tir_mm

        await it.press("f2")

        assert "0 .050 .13 .21 .24 .22 .15 .06 mm" == screen.form.field("readings").value
        assert "0.50 mm" == screen.form.field("tolerance").value
        assert before == screen.result.runout.tir_mm
        await fill(it, tolerance=".0200")
        assert 0.508 == pytest.approx(screen.result.decision.limit)
        await it.press("f2")
        assert ".0200 in" == screen.form.field("tolerance").value


async def test_speed_in_miles_or_kilometers(stage: Any) -> None:
    """One mile is 1.609344 km exactly (NIST SP 811, appendix B)."""
    async with stage() as it:
        screen = await it.calculator("orders")
        await it.press("f3")
        await fill(it, tire="205/55R16", speed="65")
        assert 65 * 1.609344 == pytest.approx(screen.result.speed_kmh)
        hertz = screen.result.orders[0].hz

        await it.press("f3")

        assert "65 mph" == screen.form.field("speed").value
        assert hertz == screen.result.orders[0].hz


async def test_a_pasted_column_becomes_a_list(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("runout")
        field = screen.form.field("readings")
        field.post_message(events.Paste("0\n.05\n.13\n.21\r\n.24\n.22\n.15\n.06\n"))
        await it.settle()

        assert "0; .05; .13; .21; .24; .22; .15; .06" == field.value
        assert 0.24 == pytest.approx(screen.result.runout.tir_mm)


async def test_keyboard_alone_goes_through_the_fields(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("match")
        assert screen.form.field("carrier") is screen.focused
        await it.type("0.60")
        await it.press("space", "a", "t", "space", "9", "0", "enter")
        await it.type("0.50")
        await it.press("space", "a", "t", "space", "9", "0", "down")
        assert screen.form.field("studs") is screen.focused

        assert 180.0 == pytest.approx(screen.result.match.turn_deg)
        await it.press("down", "down", "space")
        assert screen.query_one("#field-force", Checkbox).value
        assert "[x] Force variation" in it.words


async def test_typed_values_survive_leaving_and_the_case_fills_in_what_it_knows(
    stage: Any, kept: Any
) -> None:
    async with stage(kept(*CALM)) as it:
        screen = await it.calculator("orders")
        assert "205/55R16" == screen.form.field("tire").value
        assert "tire" == screen.form.field("size_from").value
        await fill(it, speed="105", measured="15.1 Hz")
        await it.press("escape")

        again = await it.calculator("orders")

        assert "105" == again.form.field("speed").value


async def test_an_example_is_not_kept_and_never_goes_into_a_case(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        await it.calculator("balance")
        await it.press("f5", "f6")
        assert "invented example values" in it.words
        await it.press("escape")

        again = await it.calculator("balance")

        assert "" == again.form.field("inner").value
        assert not it.opened.diagnosis.readings


async def test_a_visit_is_needed_and_what_is_typed_stays(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("balance")
        await fill(it, inner="35 g at 120", outer="20 g at 300")
        await it.press("f6")
        assert "no visit is open" in it.words

        await it.press("escape")
        assert "35 g at 120" == (await it.calculator("balance")).form.field("inner").value
        assert screen is not it.app.screen


INTO = (
    ("runout", {"high": "7 thou", "low": "-2.5 thou"},
     ["runout", "--high", "7 thou", "--low", "-2.5 thou", "--surface", "assembly_radial"],
     ("assembly_radial",)),
    ("stack", {"read1": "1.00 mm at 57", "how1": "spindle", "read2": "1.00 mm at 163",
               "tire2": "180", "how2": "spindle"},
     ["stack", "--clocking", "spindle: 1.00 mm at 57",
      "--clocking", "tire 180, spindle: 1.00 mm at 163"],
     ("runout_vector_tire", "runout_vector_wheel")),
    ("balance", {"inner": "35 g at 120", "outer": "20 g at 300", "again_inner": "33 g at 124",
                 "again_outer": "21 g at 296"},
     ["balance", "--inner", "35 g at 120", "--outer", "20 g at 300",
      "--again-inner", "33 g at 124", "--again-outer", "21 g at 296"],
     ("balance_residual", "balance_does_not_repeat")),
    ("trialweight", {"first": "8.4 at 30; 5.1 at 120", "trial1": "30 g at 0",
                     "run1": "12.1 at 75; 5.5 at 100", "trial2": "30 g at 90",
                     "run2": "9.0 at 31; 9.9 at 130", "uncertainty": "0.3"},
     ["trialweight", "--first", "8.4 at 30; 5.1 at 120", "--trial", "30 g at 0", "--trial",
      "30 g at 90", "--run", "12.1 at 75; 5.5 at 100", "--run", "9.0 at 31; 9.9 at 130",
      "--uncertainty", "0.3"],
     ("on_car_weight",)),
)


@pytest.mark.parametrize("name, texts, command, findings", INTO, ids=[each[0] for each in INTO])
async def test_into_the_case_as_the_command_line_gives_it(
    stage: Any, kept: Any, tmp_path: Path, name: str, texts: dict[str, str],
    command: list[str], findings: tuple[str, ...],
) -> None:
    path = kept(*CALM)
    other = tmp_path / "other.yaml"
    other.write_bytes(path.read_bytes())
    async with stage(path) as it:
        await it.calculator(name)
        await fill(it, **texts)
        await it.press("f6")
        if name == "runout":
            await it.press("1")
        assert "At which corner?" in it.words
        await it.press("2")
        assert not isinstance(it.app.screen, CalculatorScreen)
        assert set(findings) <= {answer.finding for answer in it.opened.diagnosis.answers}

    assert 0 == main([*command, "--into", str(other), "--corner", "RF"])

    ours, theirs = (
        [(e.kind, e.finding, e.corner, e.value, e.check, e.readings, e.angles)
         for e in store.load(each).case.entries if e.finding in findings]
        for each in (path, other)
    )
    assert theirs == ours and ours


async def test_a_refusal_of_the_case_keeps_everything(
    stage: Any, kept: Any, full_disk: Any
) -> None:
    async with stage(kept(*CALM)) as it:
        screen = await it.calculator("balance")
        await fill(it, inner="35 g at 120", outer="20 g at 300")
        full_disk(True)
        await it.press("f6", "1")
        assert screen is it.app.screen
        assert shown(screen, "word").startswith("! ")
        assert "35 g at 120" == screen.form.field("inner").value

        full_disk(False)
        await it.press("f6", "1")
        assert it.opened.diagnosis.readings


async def test_every_calculator_of_the_rules_has_its_bench(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        named = {check.calculator for check in it.opened.library.checks.values()} - {""}

        assert [] == [name for name in named if shown_for(name) is None]
        assert len(SHOWN) == len({each.name for each in SHOWN})


async def test_bars_are_words_and_can_be_put_away(stage: Any) -> None:
    async with stage() as it:
        screen = await it.calculator("stack")
        await it.press("f5")
        plot = screen.query_one("#calculator-plot", Plot)
        assert "####" in it.text
        await it.press("f7")
        assert not plot.display
