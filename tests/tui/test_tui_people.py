"""Three people, each from the start to the result: service writer, technician, owner."""

from __future__ import annotations

from typing import Any

from textual.widgets import Input, Static

from vibecheck.casebook import store
from vibecheck.knowledge.words import Place
from vibecheck.report.names import DRIVE_WORDS
from vibecheck.report.sentences import HEADLINES
from vibecheck.report.sheets import sheet_text
from vibecheck.session.driving import DriveWord
from vibecheck.session.interview import MOST_AT, Question
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.newvisit import NewVisitScreen
from vibecheck.tui.start import StartScreen
from vibecheck.tui.tools import ToolsScreen
from vibecheck.tui.visit import VisitScreen
from vibecheck.tui.widgets.choices import ChoiceList

SHAKES = {  # a shake at highway speed that came over weeks
    "vibration": "strong", "feel": "shimmy", "felt_in_steering_wheel": "strong",
    "felt_in_seat": "none", "started": "gradually",
}


async def begin(it: Any, place_key: str, title: str) -> None:
    """From the start screen into a new visit."""
    assert isinstance(it.app.screen, StartScreen)
    await it.press(place_key, "n")
    assert isinstance(it.app.screen, NewVisitScreen)
    it.app.screen.query_one("#visit-title", Input).value = title
    it.app.screen.query_one("#fact-tire_size", Input).value = "205/55R16"
    await it.press("ctrl+s")
    await it.past_opening()


async def interview(it: Any, said: dict[str, str], most: int = 60) -> list[Question]:
    """Answer by keys: what was said or read, else the first answer; gives what was asked."""
    asked: list[Question] = []
    while it.app.screen.question is not None and len(asked) < most:
        question = it.app.screen.question
        states = list(question.field.rule.states)
        state = said.get(question.field.finding)
        if question.field.quantity is None:
            await it.press(str(states.index(state) + 1 if state in states else 1))
        elif state is None:
            await it.press("u")
        else:
            await it.type(state)
            await it.press("enter")
        asked.append(question)
    return asked


def ended(it: Any) -> str:
    """The end page as text."""
    page = it.app.screen
    return f"{page.query_one('#headline', Static).content}\n" + str(
        page.query_one("#ending-text", Static).content
    )


async def test_writer_ends_within_twelve_questions_with_word_and_bay_time(stage: Any) -> None:
    async with stage() as it:
        await begin(it, "1", "Ms Weber, blue estate")
        assert isinstance(it.app.screen, VisitScreen)

        asked = await interview(it, SHAKES)

        ordinary = [each for each in asked if not each.check.rule.safety]
        assert 5 <= len(ordinary) <= MOST_AT[Place.COUNTER]
        text = ended(it)
        assert "Time in the bay to find the cause" in text
        assert "min" in text
        assert DRIVE_WORDS[it.opened.diagnosis.driving.word].upper() in it.words
        assert store.load(it.opened.path).case.place == "counter"

        await it.press("p")
        sheet = str(it.app.screen.query_one("#sheet", Static).content)
        assert sheet == sheet_text(it.opened.diagnosis, "counter")
        await it.press("k", "c", "k", "escape")
        kept = it.opened.path.with_name(f"{it.opened.path.stem}-counter.txt")
        assert kept.read_text(encoding="utf-8") == sheet
        assert kept.with_name(kept.name.replace("counter", "customer")).is_file()

        await it.press("m", "2")
        assert it.opened.case.place == "bay"
        assert it.app.screen.question is not None
        await it.press("q")
        assert isinstance(it.app.screen, StartScreen)
        assert "Ms Weber" in it.words


async def test_writer_learns_at_once_that_the_car_must_stand(stage: Any) -> None:
    """A loose wheel or steering ends the drive (common practice, no source)."""
    async with stage() as it:
        await begin(it, "1", "pickup")
        await interview(it, {"danger_seen": "danger", "steering_loose": "clearly"}, most=1)
        it.opened.answer(["nuts_missing@LF=yes"])
        it.app.screen.show_all()
        await it.settle()

        assert it.opened.diagnosis.driving.word is DriveWord.STOP
        assert HEADLINES["stop"] in ended(it)
        assert "DO NOT DRIVE" in it.words


async def test_technician_proves_a_bent_wheel(stage: Any) -> None:
    """Bead seats out with the tire off leave the wheel leading (common practice)."""
    async with stage(size=(120, 40)) as it:
        await begin(it, "2", "estate")
        await interview(it, SHAKES, most=14)
        screen = it.app.screen
        beads = {
            "bead_radial_inboard": "1.4 mm", "bead_radial_outboard": "0.9 mm",
            "bead_lateral_inboard": "0.2 mm", "bead_lateral_outboard": "0.2 mm",
        }
        for finding, typed in beads.items():
            screen.interview.jump(finding, "LF")
            screen.show_all()
            await it.settle()
            await it.type(typed)
            await it.press("enter")

        top = it.opened.diagnosis.ranking[0]
        assert (top.rule.family, top.corner) == ("wheel", "LF")
        assert "2 fail 2 pass" in it.words
        await it.press("k")
        car = " ".join(str(it.app.screen.query_one("#car", Static).content).split())
        assert "■ fail Radial runout at the inboard bead seat: 1.40" in car
        await it.press("escape")
        asked = await interview(it, {**SHAKES, **beads}, most=40)

        again = [each.field.finding for each in asked if each.again]
        assert again == ["bead_radial_inboard", "bead_radial_outboard"]  # one reading is no proof
        assert it.opened.diagnosis.conclusion.kind == "fix"
        assert HEADLINES["fix"] in ended(it)
        assert "Verify the repair" in ended(it)


async def test_owner_ticks_tools_and_ends_with_a_plain_word(stage: Any) -> None:
    async with stage() as it:
        await begin(it, "3", "my car")
        assert isinstance(it.app.screen, ToolsScreen)
        tools = it.app.screen.query_one("#tools", ChoiceList)
        for at, tool in enumerate(tools.shown):
            ticked = tool.text.startswith("[x] ")
            assert ticked or tool.text.startswith("[ ] ")
            if ticked != (tool.value == "flashlight"):
                tools.highlighted = at
                await it.press("space" if at % 2 else "enter")
        marks = [tool.text[:4] for tool in tools.shown]
        assert marks.count("[x] ") == 1 and "[ ] " in it.text
        await it.press("k")
        assert it.opened.case.tools == ["flashlight"]

        seen: list[tuple[str, ...]] = []
        while it.app.screen.question is not None and len(seen) < 60:
            check = it.app.screen.question.check
            seen.append(tuple(check.rule.tools))
            assert "driveway" in it.opened.library.checks[check.check].places
            await interview(it, SHAKES, most=1)

        assert all(set(tools) <= {"flashlight"} for tools in seen)
        headline = ended(it).splitlines()[0]
        assert headline in (HEADLINES["fix"], HEADLINES["watch"], HEADLINES["shop"])


async def test_owner_is_told_what_exactly_to_ask_for(stage: Any, kept: Any) -> None:
    """A wheel out at both bead seats is not put right in a driveway (common practice)."""
    answers = [f"{name}={value}" for name, value in SHAKES.items()]
    beads = ("bead_radial_inboard@LF=1.4 mm", "bead_radial_outboard@LF=0.9 mm")
    path = kept(*answers, *beads, place="driveway")
    OpenCase.open(path).set_tools(["flashlight"])
    async with stage(path, size=(100, 40)) as it:
        await interview(it, {})

        remedy = it.opened.library.remedies[it.opened.diagnosis.remedies[0].spot.id]
        assert HEADLINES["shop"] in ended(it)
        assert remedy.shop_request and remedy.shop_request in ended(it)


async def test_owner_of_a_quiet_car_is_told_to_watch_it(stage: Any, kept: Any) -> None:
    path = kept("vibration=none", place="driveway")
    OpenCase.open(path).set_tools(["flashlight"])
    async with stage(path, size=(100, 40)) as it:
        await interview(it, {})
        assert HEADLINES["watch"] in ended(it)


async def test_owner_can_fix_what_needs_no_shop(stage: Any, kept: Any) -> None:
    """Snow packed in a wheel is washed out at home (common practice)."""
    path = kept("vibration=strong", "snow_or_mud=yes", "mud_or_ice_in_wheel@LF=yes",
                place="driveway")
    OpenCase.open(path).set_tools(["flashlight", "wire_brush", "jack_and_stands", "lug_wrench"])
    async with stage(path, size=(100, 40)) as it:
        await interview(it, SHAKES)
        assert HEADLINES["fix"] in ended(it)
        assert "Verify the repair" in ended(it)
