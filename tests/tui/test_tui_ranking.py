"""Ranking, cause, answers, car, facts: what they show is what the diagnosis says."""

from __future__ import annotations

import json
from typing import Any

import pytest
from textual.widgets import Input, OptionList, Static, TabbedContent

from vibecheck.casebook.journal import active_entries
from vibecheck.cli.main import main
from vibecheck.knowledge.place import find_demo_cases
from vibecheck.report.lines import minutes
from vibecheck.report.names import cause_name, chance_word, check_name, remedy_name, set_name
from vibecheck.report.parts import less_likely_reason
from vibecheck.report.sentences import answer_text
from vibecheck.report.wording import Wording
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.answers import AnswersScreen
from vibecheck.tui.phrases import percent
from vibecheck.tui.plain import sentence
from vibecheck.tui.ranking import RankingScreen
from vibecheck.tui.visit import VisitScreen

DEMO = find_demo_cases() / "half_a_millimetre_undecided.yaml"


def content(it: Any, selector: str) -> str:
    """The whole text of one widget, also of what is scrolled out of sight."""
    return " ".join(str(it.app.screen.query_one(selector, Static).content).split())


def listed(it: Any, selector: str) -> str:
    """The whole text of a list."""
    options = it.app.screen.query_one(selector, OptionList).options
    return " ".join(" ".join(str(each.prompt) for each in options).split())


async def test_same_ranking_as_the_command_line(
    stage: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rank", str(DEMO), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["faults"]
    async with stage(DEMO, size=(160, 50)) as it:
        await it.press("r")
        shown = listed(it, "#cause-list")
        at = 0
        for rank, cause in enumerate(told, start=1):
            at = shown.index(f"{rank}. {cause['name']}", at)
            tail = shown[at : at + 400]
            chance = cause["probability"]
            assert f"{percent(chance)} {chance_word(chance)}" in tail


async def test_reasons_for_and_against_with_word_and_number(stage: Any) -> None:
    async with stage(DEMO, size=(120, 40)) as it:
        await it.press("r")
        found = it.opened.diagnosis
        shown = content(it, "#reasons")
        for weight in found.weights(found.ranking[0].spot):
            assert f"{weight.bits:+.1f} bit" in shown
            assert " ".join(answer_text(found, weight.finding, Wording()).split()) in shown


async def test_groups_keep_every_cause(stage: Any) -> None:
    async with stage(DEMO, size=(120, 40)) as it:
        await it.press("r", "g")
        shown = listed(it, "#cause-list")
        for cause in it.opened.diagnosis.ranking:
            assert cause_name(it.opened.library, cause.spot) in shown
        families = {(each.rule.family, each.corner) for each in it.opened.diagnosis.ranking}
        headings = [
            each for each in it.app.screen.query_one("#cause-list", OptionList).options
            if each.disabled
        ]
        assert len(headings) == len(families)


async def test_tabs_hold_sets_ruled_out_remedies_and_checks(stage: Any) -> None:
    async with stage(DEMO, size=(120, 40)) as it:
        view = it.opened.diagnosis
        await it.press("r")
        texts = {
            pane: " ".join(str(each.content) for each in it.app.screen.query(f"#{pane} Static")
                           if isinstance(each, Static))
            for pane in ("sets", "out", "remedies")
        }
        library = it.opened.library
        assert all(set_name(library, each.causes) in texts["sets"] for each in view.sets)
        assert all(cause_name(library, each.cause.spot) in texts["out"]
                   and less_likely_reason(view, each, Wording()) in texts["out"]
                   for each in view.less_likely)
        for remedy in view.remedies:
            assert sentence(remedy_name(library, remedy.spot)) in texts["remedies"]
            assert minutes(remedy.cost_to_resolve) in texts["remedies"]
        await it.press("5")
        assert it.app.screen.query_one(TabbedContent).active == "next"
        assert all(check_name(library, each.spot) in listed(it, "#check-list")
                   for each in view.next_checks)


async def test_cause_explained_and_the_next_one(stage: Any) -> None:
    async with stage(DEMO, size=(120, 40)) as it:
        ranking = it.opened.diagnosis.ranking
        await it.press("x")
        why = it.opened.diagnosis.why(ranking[0].cause, ranking[0].corner)
        assert " ".join(why.cause.rule.says.split()) in content(it, "#why")
        assert f"rank {why.rank}" in content(it, "#why")
        await it.press("right")
        assert cause_name(it.opened.library, ranking[1].spot) in content(it, "#why")
        await it.press("left", "escape")
        assert isinstance(it.app.screen, VisitScreen)


async def test_answer_taken_back_and_brought_back(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong", "feel=hop")) as it:
        before = it.opened.diagnosis.ranking
        await it.press("a")
        assert isinstance(it.app.screen, AnswersScreen)
        await it.press("delete")
        assert [entry.finding for entry in active_entries(it.opened.case)] == ["vibration"]
        await it.press("z")
        assert it.opened.diagnosis.ranking == before


async def test_answer_changed_from_the_list(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=strong", "feel=hop")) as it:
        await it.press("a", "enter")
        assert isinstance(it.app.screen, VisitScreen)
        assert it.app.screen.question.field.finding == "feel"
        await it.press("2")
        assert active_entries(it.opened.case)[-1].value == "waddle"


async def test_fact_refused_stays_in_its_field(stage: Any, kept: Any) -> None:
    path = kept("vibration=strong")
    async with stage(path) as it:
        await it.press("f")
        field = it.app.screen.query_one("#fact-tire_size", Input)
        field.value = "205/55X99"
        await it.press("ctrl+s")
        assert field.value == "205/55X99"
        assert "tire_size" in content(it, "#facts-word")
        field.value = "225/45R17"
        it.app.screen.query_one("#limit-wheel_bead_radial", Input).value = "0.4 mm"
        await it.press("ctrl+s")
        assert it.opened.case.facts["tire_size"] == "225/45R17"
        assert OpenCase.open(path).case.limits == {"wheel_bead_radial": "0.4 mm"}


async def test_own_limit_judges_the_reading(stage: Any, kept: Any) -> None:
    path = kept("bead_radial_inboard@LF=0.45 mm +/- 0.01")
    OpenCase.open(path).set_facts(limits={"wheel_bead_radial": "0.4 mm"})
    async with stage(path, size=(120, 40)) as it:
        await it.press("k")
        assert "■ fail" in content(it, "#car")


async def test_car_shows_the_other_unit(stage: Any, kept: Any) -> None:
    """0.508 mm = 0.0200 in (1 in = 25.4 mm)."""
    async with stage(kept("bead_radial_inboard@RR=0.508 mm"), size=(120, 40)) as it:
        await it.press("k", "f2")
        assert "0.0200 +/- 0.0024 in (typed: 0.508 mm)" in content(it, "#car").replace("│", "")
        assert isinstance(it.app.screen_stack[1], VisitScreen)


async def test_nothing_known_shows_screens_that_stand(stage: Any, kept: Any) -> None:
    async with stage(kept("vibration=none")) as it:
        await it.press("r")
        assert isinstance(it.app.screen, RankingScreen)
        await it.press("escape", "k", "escape", "a", "escape", "x")
        assert isinstance(it.app.screen, VisitScreen)
