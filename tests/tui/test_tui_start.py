"""The start: usable at once, lists that follow, demos that are never written."""

from __future__ import annotations

import asyncio
import threading
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from textual.css.query import NoMatches
from textual.widgets import Input, OptionList
from textual.worker import WorkerFailed

from vibecheck.casebook import store
from vibecheck.casebook.case import Customer
from vibecheck.knowledge.place import find_demo_cases
from vibecheck.session.open_case import OpenCase
from vibecheck.tui import app as app_module
from vibecheck.tui.folders import fresh_path, kept_visits
from vibecheck.tui.newvisit import NewVisitScreen
from vibecheck.tui.start import StartScreen
from vibecheck.tui.visit import VisitScreen


def visits(it: Any) -> list[str]:
    """The rows of the list of visits."""
    return [str(each.prompt) for each in it.app.screen.query_one("#visits", OptionList).options]


async def test_places_are_marked_in_text(stage: Any) -> None:
    async with stage() as it:
        assert "(x) 2 Bay" in it.words
        await it.press("3")
        assert "(x) 3 Driveway" in it.words and "( ) 2 Bay" in it.words
        await it.pilot.click("#place-counter")
        await it.settle()
        assert "(x) 1 Counter" in it.words


async def test_new_visit_is_a_file_with_its_facts(stage: Any, tmp_path: Path) -> None:
    async with stage() as it:
        await it.press("n")
        assert isinstance(it.app.screen, NewVisitScreen)
        await it.type("van")
        it.app.screen.query_one("#fact-tire_size", Input).value = "205/55R16"
        await it.press("ctrl+s")
        await it.past_opening()
        assert isinstance(it.app.screen, VisitScreen)
        case = store.load(it.opened.path).case
        assert (case.title, case.place, case.facts) == ("van", "bay", {"tire_size": "205/55R16"})
        assert it.opened.path.parent == tmp_path / "visits"


async def test_whose_car_it_is_is_asked_folded_and_can_be_corrected(
    stage: Any, tmp_path: Path
) -> None:
    async with stage() as it:
        await it.press("n")
        it.app.screen.query_one("#customer-plate", Input).value = " XY 482 "
        await it.press("ctrl+s")
        await it.past_opening()
        await it.press("f")
        field = it.app.screen.query_one("#customer-plate", Input)
        assert field.value == "XY 482"
        field.value = "XY 483"
        it.app.screen.query_one("#customer-name", Input).value = "[b]Ms Sample[/b]"
        await it.press("ctrl+s")
        kept = store.load(it.opened.path).case.customer
        assert kept is not None and (kept.plate, kept.name) == ("XY 483", "[b]Ms Sample[/b]")


async def test_wrong_tire_size_is_refused_and_kept(stage: Any, tmp_path: Path) -> None:
    async with stage() as it:
        await it.press("n")
        field = it.app.screen.query_one("#fact-tire_size", Input)
        field.value = "205/55X16"
        await it.press("ctrl+s")
        assert isinstance(it.app.screen, NewVisitScreen)
        assert field.value == "205/55X16"
        assert "tire_size" in it.words
        assert not list((tmp_path / "visits").glob("*.yaml"))


async def test_visits_newest_first_and_damaged_ones_told(stage: Any, tmp_path: Path) -> None:
    folder = tmp_path / "visits"
    folder.mkdir()
    demo = sorted(find_demo_cases().glob("*.yaml"))[0]
    (folder / "good.yaml").write_bytes(demo.read_bytes())
    (folder / "cut.yaml").write_text("vibecheck_case: 1\nid: [", encoding="utf-8")
    (folder / "newer.yaml").write_text("vibecheck_case: 99\nid: x\n", encoding="utf-8")
    async with stage() as it:
        rows = visits(it)
        assert len(rows) == 3
        assert sum(row.startswith("! ") for row in rows) == 2
        assert store.load(demo).case.title in " ".join(rows)
        await it.press("o", "enter")
        assert isinstance(it.app.screen, VisitScreen)
        await it.press("q")
        assert isinstance(it.app.screen, StartScreen)


def put_away(folder: Path, name: str, note: str, plate: str) -> None:
    """A visit with a note and a plate, invented."""
    opened = OpenCase.new(None, place="bay", title=f"car {name}")
    opened.note(note)
    case = replace(opened.case, customer=Customer(plate=plate))
    store.create(folder / f"{name}.yaml", case)


async def test_a_slash_finds_visits_by_plate_and_by_any_words(stage: Any, tmp_path: Path) -> None:
    folder = tmp_path / "visits"
    folder.mkdir()
    put_away(folder, "one", "waddles since the curb", "XY 482")
    put_away(folder, "two", "[b]shimmies[/b] since the curb", "XY 777")
    async with stage() as it:
        assert len(visits(it)) == 2
        await it.press("slash")
        await it.type("xy-777")
        await it.settle()
        [row] = visits(it)
        assert "car two" in row and "XY 777" in row

        it.app.screen.query_one("#find", Input).value = "curb waddles"
        await it.settle()
        assert ["car one" in row for row in visits(it)] == [True]
        it.app.screen.query_one("#find", Input).value = "[b]shimmies"
        await it.settle()
        assert ["car two" in row for row in visits(it)] == [True]
        it.app.screen.query_one("#find", Input).value = "no such words"
        await it.settle()
        assert ["No visit holds all of these words." in row for row in visits(it)] == [True]

        await it.press("escape")
        await it.settle()
        assert len(visits(it)) == 2
        await it.press("slash")
        await it.type("waddles")
        await it.settle()
        await it.press("enter", "enter")
        assert isinstance(it.app.screen, VisitScreen)
        assert it.opened.case.title == "car one"


async def test_demo_is_copied_and_can_be_kept(stage: Any, tmp_path: Path) -> None:
    before = {path: path.read_bytes() for path in find_demo_cases().glob("*.yaml")}
    async with stage() as it:
        await it.press("d", "enter")
        assert isinstance(it.app.screen, VisitScreen)
        assert "not kept on disk" in it.words
        it.opened.note("tried out")
        it.app.keep_visit()
        await it.settle()
        assert it.opened.path.parent == tmp_path / "visits"
        assert store.load(it.opened.path).case.entries[-1].text == "tried out"
    assert before == {path: path.read_bytes() for path in find_demo_cases().glob("*.yaml")}


async def test_missing_case_is_said_at_the_start(stage: Any, tmp_path: Path) -> None:
    async with stage(tmp_path / "nowhere.yaml") as it:
        assert isinstance(it.app.screen, StartScreen)
        await it.until("there is no such file")  # in several lines: the screen is laid out anew


async def test_faulty_rules_are_said_and_the_start_stands(stage: Any, tmp_path: Path) -> None:
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "broken.yaml").write_text("causes: 3\n", encoding="utf-8")
    async with stage(rules=rules) as it:
        await it.press("n")
        assert isinstance(it.app.screen, StartScreen)
        assert "broken.yaml" in it.words


async def test_folder_that_cannot_be_made_is_said(stage: Any, tmp_path: Path) -> None:
    (tmp_path / "visits").write_text("a file where the folder should be", encoding="utf-8")
    async with stage() as it:
        await it.press("n", "ctrl+s")
        assert isinstance(it.app.screen, NewVisitScreen)
        assert "folder for visits cannot be made" in it.words


async def test_unknown_bench_is_a_word(stage: Any) -> None:
    async with stage() as it:
        it.app.open_calculator("[/bad]")
        await it.settle()
        assert isinstance(it.app.screen, StartScreen)


def test_fresh_name_never_meets_a_file(tmp_path: Path) -> None:
    first = fresh_path(tmp_path, "../../Ms Weber's car: [/bad]")
    first.write_text("", encoding="utf-8")
    second = fresh_path(tmp_path, "../../Ms Weber's car: [/bad]")
    assert first.parent == second.parent == tmp_path
    assert first != second


def test_folder_of_the_working_place_lists_cases_only(tmp_path: Path) -> None:
    (tmp_path / "other.yaml").write_text("a: 1\n", encoding="utf-8")
    (tmp_path / "case.yaml").write_text("vibecheck_case: 1\n", encoding="utf-8")
    assert [visit.path.name for visit in kept_visits(tmp_path)] == ["case.yaml"]


async def test_a_case_opened_at_once_is_seen_first_and_the_start_is_whole_behind_it(
    stage: Any, tmp_path: Path
) -> None:
    (tmp_path / "visits").mkdir()
    put_away(tmp_path / "visits", "one", "waddles", "XY 482")
    async with stage(tmp_path / "visits" / "one.yaml") as it:
        assert isinstance(it.app.screen, VisitScreen)
        await it.press("q")
        await it.settle()
        assert isinstance(it.app.screen, StartScreen)
        assert "(x) 2 Bay" in it.words and len(visits(it)) == 1
        assert it.app.focused is it.app.screen.query_one("#doings")
        await it.press("w")
        assert not isinstance(it.app.screen, StartScreen)


async def test_while_a_case_is_being_opened_nothing_else_is_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_away(tmp_path, "one", "waddles", "XY 482")
    go_on, opened = threading.Event(), app_module._opened

    def slowly(path: Path, rules: Path | None) -> Any:
        assert go_on.wait(20)
        return opened(path, rules)

    monkeypatch.setattr(app_module, "_opened", slowly)
    app = app_module.VibecheckApp(tmp_path, None, tmp_path / "one.yaml")
    async with app.run_test() as pilot:
        await pilot.press("1", "n", "w", "o", "d", "slash", "escape")
        assert isinstance(app.screen, StartScreen)
        go_on.set()
        for _ in range(200):
            await pilot.pause(0.05)
            if isinstance(app.screen, VisitScreen):
                break
        assert isinstance(app.screen, VisitScreen)
        assert app.screen_stack[-2:-1] == [each for each in app.screen_stack
                                           if isinstance(each, StartScreen)]


@pytest.mark.parametrize("told", [True, False], ids=["told to leave", "taken down at once"])
@pytest.mark.parametrize("screen", ["visit", "calculator"])
async def test_leaving_while_a_screen_comes_up_is_no_fault(
    tmp_path: Path, screen: str, told: bool
) -> None:
    opened = app_module._copy(sorted(find_demo_cases().glob("*.yaml"))[0], None)
    for steps in range(8):
        app = app_module.VibecheckApp(tmp_path)
        async with app.run_test():
            if screen == "visit":
                app._show_visit(opened)
            else:
                app.open_calculator("runout")
            for _ in range(steps):
                await asyncio.sleep(0)
            if told:
                app.exit()
        assert not app.return_code


@pytest.mark.parametrize("error", [
    NoMatches("gone"), WorkerFailed(NoMatches("gone")),
], ids=["on the screen", "read beside it"])
async def test_what_comes_for_a_screen_that_is_gone_is_no_fault(
    tmp_path: Path, error: Exception
) -> None:
    app = app_module.VibecheckApp(tmp_path)
    async with app.run_test():
        app.exit()
        app._handle_exception(error)
    assert not app.return_code


async def test_a_fault_of_a_screen_that_stands_is_not_hidden(tmp_path: Path) -> None:
    app = app_module.VibecheckApp(tmp_path)
    with pytest.raises(NoMatches):
        async with app.run_test() as pilot:
            app.call_later(lambda: app.screen.query_one("#not-there"))
            await pilot.pause()
    assert app.return_code == 1


async def test_where_it_cannot_be_opened_the_start_is_whole_and_says_why(
    stage: Any, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.yaml"
    broken.write_text("waddles")
    async with stage(broken) as it:
        await it.settle()
        assert isinstance(it.app.screen, StartScreen)
        assert "not a case" in it.words and "(x) 2 Bay" in it.words
        assert visits(it)
