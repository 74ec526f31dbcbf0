"""The opening of a new visit: words heard, meanings ticked or not, the kind by its number."""

from __future__ import annotations

from typing import Any

import pytest
from textual.widgets import Input

from vibecheck.casebook import store
from vibecheck.report.opening_page import ASKS, NOTHING
from vibecheck.session.open_case import library_at
from vibecheck.session.opening import KIND
from vibecheck.tui.opening import MeaningsDialog, OpeningScreen, TickList
from vibecheck.tui.visit import VisitScreen

SAID = "it shimmies at 70 since they put the winter tires on, goes away above 80, doesn't pull"
SIZES = [(80, 24), (120, 40)]
HOSTILE = "[/bad] [red]shimmies[/red] at 70 [@click=app.quit]y \u202e"
PLACE_KEYS = {"counter": "1", "bay": "2", "driveway": "3"}


async def say(it: Any, words: str) -> None:
    """Write the customer's words and press Enter."""
    assert isinstance(it.app.screen, OpeningScreen)
    it.app.screen.query_one("#said", Input).insert_text_at_cursor(words)
    await it.press("enter")


def answers(it: Any) -> dict[str, str]:
    """The answers in the case, by finding."""
    return {each.finding: each.value for each in it.opened.diagnosis.answers}


def ticks(it: Any) -> TickList:
    return it.app.screen.query_one(TickList)


def place_of(it: Any, finding: str) -> int:
    """Where the meaning for a finding stands in the list."""
    return next(at for at, each in enumerate(ticks(it).said.meanings)
                if each.offer.finding == finding)


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("place", list(PLACE_KEYS))
async def test_a_new_visit_opens_with_the_words(
    stage: Any, place: str, size: tuple[int, int]
) -> None:
    async with stage(size=size, opening=True) as it:
        await it.press(PLACE_KEYS[place], "n", "ctrl+s")
        assert isinstance(it.app.screen, OpeningScreen)
        assert ASKS[it.opened.diagnosis.place] in it.words
        assert "Enter Go on" in it.words and "Esc To the questions" in it.words

        await it.press("f3")  # a bare speed counts in mph
        await say(it, SAID)

        assert "I understood" in it.words
        assert "Space Tick or untick" in it.words
        for each in ticks(it).said.meanings:
            assert f'"{each.words}"' in it.words
        await it.press("enter")

        assert not isinstance(it.app.screen, OpeningScreen)
        case = store.load(it.opened.path).case
        assert SAID == case.entries[0].text
        found = answers(it)
        assert ("shake", "shimmy", "70 mph", "no") == tuple(
            found[name] for name in (KIND, "feel", "worst_speed", "pulls"))
        await it.press("escape")
        assert isinstance(it.app.screen, VisitScreen)
        assert it.app.screen.question.field.finding not in found


async def test_what_is_unticked_is_not_taken(stage: Any, kept: Any) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, SAID)
        at = place_of(it, "pulls")
        await it.press(*["down"] * at, "space")
        assert at not in ticks(it).ticked
        assert "[ ] " in it.text and "[x] " in it.text
        await it.press("enter")
        assert "pulls" not in answers(it)
        assert "feel" in answers(it)


async def test_a_click_unticks_and_the_button_takes(stage: Any, kept: Any) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, SAID)
        await it.pilot.click(TickList, offset=(2, 0))
        await it.settle()
        first = ticks(it).said.meanings[0].offer.finding
        assert 0 not in ticks(it).ticked
        await it.pilot.click("#go-on")
        await it.settle()
        assert first not in answers(it)
        assert it.opened.case.entries


@pytest.mark.parametrize("key", ["enter", "escape"])
async def test_an_empty_field_or_escape_goes_on_to_the_questions(
    stage: Any, kept: Any, key: str
) -> None:
    async with stage(kept(), opening=True) as it:
        await it.press(key)
        assert isinstance(it.app.screen, VisitScreen)
        assert not it.opened.case.entries
        assert it.app.screen.question.number == 1


@pytest.mark.parametrize("number", [1, 4, 8])
async def test_the_kind_is_asked_where_it_was_not_heard(
    stage: Any, kept: Any, number: int
) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, "zzz qqq")
        assert NOTHING.split(";")[0] in it.words
        for at, (_, text) in enumerate(_kinds(), 1):
            assert f"{at} {text}" in it.words
        await it.press(str(number))
        assert isinstance(it.app.screen, VisitScreen)
        assert _kinds()[number - 1][0] == answers(it)[KIND]
        assert "zzz qqq" == it.opened.case.entries[0].text


def _kinds() -> list[tuple[str, str]]:
    return list(library_at(None).findings[KIND].states.items())


async def test_the_kind_is_asked_where_it_was_unticked(stage: Any, kept: Any) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, SAID)
        await it.press(*["down"] * place_of(it, KIND), "space", "enter")
        assert isinstance(it.app.screen, OpeningScreen)
        assert KIND not in answers(it)
        await it.press("down", "enter")
        assert _kinds()[1][0] == answers(it)[KIND]


async def test_the_kind_may_be_left_open(stage: Any, kept: Any) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, "zzz")
        await it.press("9", "escape")
        assert isinstance(it.app.screen, VisitScreen)
        assert ["zzz"] == [each.text for each in it.opened.case.entries]


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_hostile_words_stand_as_text(
    stage: Any, kept: Any, size: tuple[int, int]
) -> None:
    async with stage(kept(), size=size, opening=True) as it:
        await say(it, HOSTILE)
        assert "[/bad] [red]shimmies" in it.words
        assert "\u202e" not in it.text and "\x1b" not in it.text
        await it.press("enter")
        assert HOSTILE.strip() == it.opened.case.entries[0].text
        assert it.app.is_running


async def test_a_danger_is_told_by_word_and_shape(stage: Any, kept: Any) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, "a lug nut is missing and it shimmies")
        danger = [each for each in ticks(it).said.meanings if each.offer.danger]
        assert danger
        assert len(danger) == it.words.count("■■■ danger")


async def test_of_two_that_contradict_each_other_one_is_ticked(stage: Any, kept: Any) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, "front left, it pulls, no it does not pull")
        both = [at for at, each in enumerate(ticks(it).said.meanings)
                if each.offer.finding == "pulls"]
        assert len(both) == 2 and not ticks(it).ticked & set(both)
        assert "tick what was meant" in it.words
        for at in both:
            ticks(it).highlighted = at
            await it.press("space")
            assert {at} == ticks(it).ticked & set(both)
        wanted = ticks(it).said.meanings[both[1]].offer.value
        await it.press("enter")
        assert wanted == answers(it)["pulls"]


async def test_the_unit_key_reads_a_bare_speed_again_and_keeps_the_ticks(
    stage: Any, kept: Any
) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, SAID)
        at = place_of(it, "feel")
        await it.press(*["down"] * at, "space", "f3")
        assert "(read as mph)" in it.words
        assert at not in ticks(it).ticked
        await it.press("enter")
        assert "70 mph" == answers(it)["worst_speed"]


async def test_words_written_otherwise_are_heard_again(stage: Any, kept: Any) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, "it shimmies")
        await it.press("escape")
        assert it.app.screen.query_one("#said", Input).has_focus
        assert "I understood" not in it.words
        await it.type(" and it pulls to the left")
        await it.press("enter", "enter")
        assert {"feel", "pulls"} <= set(answers(it))
        assert "it shimmies and it pulls to the left" == it.opened.case.entries[0].text


async def test_words_left_behind_wait_for_the_note(stage: Any, kept: Any) -> None:
    path = kept()
    async with stage(path, opening=True) as it:
        await it.type("it shim")
        await it.press("escape", "n")
        assert "it shim" in it.words
        assert not it.opened.case.entries


async def test_a_full_disk_is_said_and_the_words_stay(
    stage: Any, kept: Any, full_disk: Any
) -> None:
    async with stage(kept(), opening=True) as it:
        await say(it, SAID)
        full_disk(True)
        await it.press("enter")
        assert isinstance(it.app.screen, OpeningScreen)
        assert "NOT saved" in it.words
        assert SAID == it.app.screen.query_one("#said", Input).value
        full_disk(False)
        await it.press("enter")
        assert 1 == sum(each.kind == "note" for each in it.opened.case.entries)


async def test_a_note_offers_what_is_not_answered_yet(stage: Any, kept: Any) -> None:
    async with stage(kept("pulls=no")) as it:
        await it.press("n")
        it.app.screen.query_one("#note").text = f"{SAID} [/bad]"
        await it.press("ctrl+s")
        assert isinstance(it.app.screen, MeaningsDialog)
        assert "pulls" not in {each.offer.finding for each in ticks(it).said.meanings}
        at = place_of(it, "feel")
        await it.press(*["down"] * at, "space", "enter")
        assert isinstance(it.app.screen, VisitScreen)
        assert "feel" not in answers(it)
        assert "fades" == answers(it)["above_worst_speed"]
