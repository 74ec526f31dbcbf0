"""The visit screen: every way to answer, to go back, and to be refused without loss."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from textual.widgets import Input, OptionList, Static, TextArea

from vibecheck.casebook import store
from vibecheck.report.lines import capital
from vibecheck.report.names import DRIVE_WORDS, at_corner, axle_text, chance_word
from vibecheck.report.sentences import check_value
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.phrases import percent
from vibecheck.tui.ranking import RankingScreen
from vibecheck.tui.visit import VisitScreen

CALM = (
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no", "fumes_inside=no",
)
SHAKES = ("vibration=strong", "feel=shimmy", "felt_in_steering_wheel=strong")


def values(opened: OpenCase) -> dict[str, str]:
    """The answers in force, by finding and corner."""
    return {
        answer.finding + (f"@{answer.corner}" if answer.corner else ""): answer.value
        for answer in opened.diagnosis.answers
    }


async def to_question(stage: Any, finding: str, corner: str | None = None) -> Input:
    """Show one question by jumping to it; gives its field."""
    visit = stage.app.screen
    assert isinstance(visit, VisitScreen)
    visit.interview.jump(finding, corner)
    visit.show_all()
    await stage.settle()
    return visit.query_one("#entry", Input)


async def test_number_key_answers_and_is_on_disk(stage: Any, kept: Any) -> None:
    path = kept()
    async with stage(path) as it:
        question = it.app.screen.question
        assert question.check.rule.safety

        await it.press("1")

        first = next(iter(question.field.rule.states))
        assert values(it.opened)[question.field.finding] == first
        assert store.load(path).case.entries[-1].value == first
        assert it.app.screen.question.field.finding != question.field.finding


async def test_check_in_hand_is_finished_before_another_begins(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        seen = []
        for _ in range(6):
            seen.append(it.app.screen.question.check.check)
            await it.press("u")

        runs = [check for at, check in enumerate(seen) if at == 0 or seen[at - 1] != check]
        assert len(runs) == len(set(runs))


async def test_unsure_skip_and_cannot(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        first = it.app.screen.question.field.finding
        await it.press("u")
        assert values(it.opened)[first] == "unsure"

        skipped = it.app.screen.question.check.check
        await it.press("s")
        assert it.opened.case.entries[-1].check == skipped
        assert it.opened.case.entries[-1].value == "skipped"

        cannot = it.app.screen.question.check.check
        await it.press("c")
        assert it.opened.case.entries[-1].value == "cannot"
        assert cannot not in (check.check for check in it.opened.diagnosis.next_checks)


async def test_changing_the_answer_before_takes_two_keys(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        while it.app.screen.question.check.option.urgent:
            await it.press("s")
        spot = it.app.screen.question.field.spot
        states = list(it.app.screen.question.field.rule.states)
        await it.press("1")
        now = it.app.screen.question.field.spot

        await it.press("b")
        assert it.app.screen.question.field.spot == spot
        assert "Answer so far" in it.words
        await it.press("2")

        assert values(it.opened)[str(spot)] == states[1]
        assert it.app.screen.question.field.spot == now


async def test_skipped_check_comes_back_when_answered_after_all(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        check = it.app.screen.question.check.check
        await it.press("s", "b")
        assert it.app.screen.question.check.check == check

        await it.press("1")

        assert all(
            entry.check != check or entry.kind != "step"
            for entry in it.opened.case.entries
            if entry.id not in {e.retracts for e in it.opened.case.entries}
        )


async def test_escape_leaves_an_earlier_answer_as_it_is(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        now = it.app.screen.question.field.finding
        entries = it.opened.case.entries

        await it.press("b", "b", "b", "escape")

        assert it.app.screen.question.field.finding == now
        assert it.opened.case.entries == entries


async def test_measured_value_is_typed_and_judged(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES), size=(120, 40)) as it:
        await to_question(it, "bead_radial_inboard", "LF")
        await it.type("1.2 mm")
        await it.press("enter")

        reading = it.opened.diagnosis.readings[0]
        assert (reading.value, reading.corner, reading.zone) == ("1.2 mm", "LF", "beyond")
        assert "1 fail" in it.words


async def test_refused_entry_stays_with_its_sentence(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        for bad in ("1..2", "12,345", "3 apples", "0.4 0.5"):
            entry = await to_question(it, "bead_radial_inboard", "LF")
            entry.value = bad
            await it.press("enter")

            assert entry.value == bad
            assert str(it.app.screen.query_one("#refusal", Static).content).startswith("! ")
            assert not it.opened.diagnosis.readings


async def test_runout_larger_than_the_wheel_is_refused(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        entry = await to_question(it, "bead_radial_inboard", "LF")
        entry.value = "400 mm"
        await it.press("enter")

        assert "impossible" in it.words
        assert entry.value == "400 mm"


async def test_unit_wrong_by_an_inch_is_asked_for(stage: Any, kept: Any) -> None:
    """0.018 typed for inches in a field of millimeters: 0.018 in = 0.4572 mm (1 in = 25.4 mm)."""
    async with stage(kept(*CALM, *SHAKES)) as it:
        entry = await to_question(it, "bead_radial_inboard", "LF")
        entry.value = "0.018"
        await it.press("enter")
        assert "Which unit was meant?" in it.words
        assert not it.opened.diagnosis.readings

        await it.press("2")

        reading = it.opened.diagnosis.readings[0]
        assert reading.value == "0.018 in"
        assert abs(reading.judged.measured.value - 0.4572) < 1e-9


async def test_doubt_left_open_keeps_the_entry(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        entry = await to_question(it, "bead_radial_inboard", "LF")
        entry.value = "18"
        await it.press("enter", "escape")

        assert entry.value == "18"
        assert not it.opened.diagnosis.readings


async def test_unit_switch_loses_no_digit(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        entry = await to_question(it, "bead_radial_inboard", "LF")
        entry.value = "0.4900"
        await it.press("f2")
        assert entry.value == "0.4900 mm"
        assert it.app.units.length == "in"
        await it.press("enter")
        assert it.opened.diagnosis.readings[0].value == "0.4900 mm"

        entry = await to_question(it, "bead_radial_inboard", "RF")
        entry.value = "0.019"
        await it.press("enter")
        assert it.opened.diagnosis.readings[1].value == "0.019 in"


async def test_speed_counts_in_the_unit_chosen(stage: Any, kept: Any) -> None:
    """65 mph = 104.6 km/h (1 mi = 1.609344 km)."""
    async with stage(kept(*CALM, *SHAKES)) as it:
        await it.press("f3")
        entry = await to_question(it, "worst_speed")
        entry.value = "65"
        await it.press("enter")

        found = it.opened.diagnosis
        reading = next(each for each in found.readings if each.finding == "worst_speed")
        assert reading.value == "65 mph"
        assert abs(reading.judged.measured.value - 65 * 1.609344) < 1e-9


async def test_letters_are_commands_only_before_a_digit(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        entry = await to_question(it, "bead_radial_inboard", "LF")
        await it.type("18 thou")
        assert entry.value == "18 thou"

        entry.value = ""
        await it.press("u")
        assert values(it.opened)["bead_radial_inboard@LF"] == "unsure"


async def test_pasted_text_with_more_lines_keeps_the_first(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        entry = await to_question(it, "bead_radial_inboard", "LF")
        entry.insert_text_at_cursor("0.31 mm")
        await it.press("enter")
        assert it.opened.diagnosis.readings[0].value == "0.31 mm"


async def test_shows_the_numbers_of_the_diagnosis(stage: Any, kept: Any) -> None:
    path = kept(*CALM, *SHAKES)
    async with stage(path, size=(120, 40)) as it:
        view = OpenCase.open(path).diagnosis
        assert view.ranking
        rows = it.app.screen.query_one("#ranked", OptionList).options
        for cause, row in zip(view.faults[:5], rows, strict=False):
            shown = " ".join(str(row.prompt).split())
            assert at_corner(cause.rule.name, cause.corner if cause.told_apart else None) in shown
            assert ", front" not in shown or "front" == axle_text(cause)
            assert f"{percent(cause.probability)} {chance_word(cause.probability)}" in shown
        assert DRIVE_WORDS[view.driving.word].upper() in it.words


async def test_the_last_answer_says_what_it_moved(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, "felt_in_steering_wheel=strong"), size=(120, 40)) as it:
        assert not it.app.screen.query_one("#moved").display
        was = {each.cause: each.probability for each in it.opened.diagnosis.faults}
        await to_question(it, "onset", None)
        await it.press("1")
        moved = str(it.app.screen.query_one("#moved", Static).content)
        now = {each.cause: each.probability for each in it.opened.diagnosis.faults}
        most = max(now, key=lambda cause: abs(now[cause] - was.get(cause, 0.0)))
        before = was.get(most, 0.0)
        assert abs(now[most] - before) > 0.02
        arrow = "↑" if now[most] > before else "↓"
        told = f"{arrow} {it.opened.library.causes[most].name} {percent(before)} to "
        assert told in " ".join(moved.split())


async def test_why_this_question(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        check = it.app.screen.question.check
        await it.press("w")
        assert capital(check_value(check.option)) in it.words
        assert " bit" not in it.words
        await it.press("escape")
        assert isinstance(it.app.screen, VisitScreen)


async def test_note_is_kept_and_suggests_answers(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        await it.press("n")
        it.app.screen.query_one("#note", TextArea).text = "the steering wheel shakes at 70 mph"
        await it.press("ctrl+s")
        assert it.opened.case.entries[-1].text == "the steering wheel shakes at 70 mph"
        before = len(it.opened.case.entries)
        assert '"at 70 mph"' in it.words

        await it.press("enter")
        assert len(it.opened.case.entries) > before
        assert values(it.opened)["worst_speed"] == "70 mph"


async def test_note_left_open_waits(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM)) as it:
        await it.press("n")
        it.app.screen.query_one("#note", TextArea).text = "half a sent"
        await it.press("escape", "n")
        assert it.app.screen.query_one("#note", TextArea).text == "half a sent"
        assert not [entry for entry in it.opened.case.entries if entry.kind == "note"]


async def test_another_check_can_be_chosen(stage: Any, kept: Any) -> None:
    async with stage(kept(*CALM, *SHAKES)) as it:
        other = it.opened.diagnosis.next_checks[2]
        await it.press("r")
        assert isinstance(it.app.screen, RankingScreen)
        await it.press("5", "down", "down", "enter")
        question = it.app.screen.question
        assert (question.check.check, question.check.corner) == (other.check, other.corner)


async def test_full_disk_is_said_and_nothing_believed(
    stage: Any, kept: Any, full_disk: Any
) -> None:
    path = kept(*CALM)
    async with stage(path) as it:
        before, question = it.opened.case, it.app.screen.question
        full_disk(True)
        await it.press("1")
        assert "NOT saved" in it.words
        assert it.opened.case == before
        assert it.app.screen.question.field == question.field

        full_disk(False)
        await it.press("1")
        assert len(store.load(path).case.entries) == len(before.entries) + 1


async def test_change_underneath_is_taken_in(stage: Any, kept: Any) -> None:
    path = kept(*CALM)
    async with stage(path) as it:
        OpenCase.open(path).answer(["vibration=slight"])
        it.app.screen.check_file()
        await it.settle()
        assert values(it.opened)["vibration"] == "slight"


async def test_damage_underneath_is_said(stage: Any, kept: Any) -> None:
    path: Path = kept(*CALM)
    async with stage(path) as it:
        before = it.opened.case
        path.write_text("vibecheck_case: [", encoding="utf-8")
        it.app.screen.check_file()
        await it.settle()
        assert "visit.yaml" in str(it.app.screen.query_one("#refusal", Static).content)
        assert it.opened.case == before
