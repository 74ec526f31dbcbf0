"""How each answer moved a cause: it begins with nothing known and ends with the ranking."""

from __future__ import annotations

import pytest

from vibecheck.knowledge.place import find_demo_cases
from vibecheck.knowledge.words import Corner
from vibecheck.report.letters import figure_lines
from vibecheck.report.rank_page import moves_drawing
from vibecheck.report.svg import svg
from vibecheck.report.wording import Wording
from vibecheck.session.moves import chance, moves
from vibecheck.session.open_case import OpenCase


@pytest.fixture(scope="module")
def pothole() -> OpenCase:
    found = OpenCase.open(find_demo_cases() / "bent_wheel_after_pothole.yaml")
    return OpenCase(None, found.case, found.library)


def test_the_steps_lead_from_nothing_known_to_the_ranking(pothole: OpenCase) -> None:
    found = pothole.diagnosis
    spot = found.cause_spot("bent_wheel", Corner.RF)
    steps = moves(found, spot)

    assert found.why("bent_wheel", "RF").cause.probability == pytest.approx(steps[-1].after)
    for one, other in zip(steps, steps[1:], strict=False):
        assert one.after == other.before
    assert 25 == sum(len(step.entries) for step in steps)
    bead = next(step for step in steps if step.entries[0].finding == "bead_radial_inboard")
    assert bead.after > bead.before + 0.1


def test_an_answer_taken_back_moves_nothing(pothole: OpenCase) -> None:
    opened = OpenCase(None, pothole.case, pothole.library)
    for entry in opened.case.entries:
        if entry.finding.startswith("bead_"):
            opened.retract(entry.id)
    found = opened.diagnosis
    spot = found.cause_spot("bent_wheel", Corner.RF)
    told = {entry.finding for step in moves(found, spot) for entry in step.entries}

    assert not any(name.startswith("bead_") for name in told)
    assert found.why("bent_wheel", "RF").cause.probability == pytest.approx(
        chance(found, found.case, spot))


def test_what_came_after_a_remedy_is_left_out(pothole: OpenCase) -> None:
    opened = OpenCase(None, pothole.case, pothole.library)
    opened.repair("replace_wheel", "RF")
    opened.answer(["bead_radial_inboard@RF=0.1 mm"])
    spot = opened.diagnosis.cause_spot("bent_wheel", Corner.RF)

    assert 25 == sum(len(step.entries) for step in moves(opened.diagnosis, spot))


def test_the_picture_has_a_row_for_each_step_in_both_forms(pothole: OpenCase) -> None:
    found = pothole.diagnosis
    (drawing,) = moves_drawing(found, "bent_wheel", "RF", Wording())
    lines = figure_lines(drawing.figure, 80)
    steps = len(drawing.figure.labels)

    assert max(map(len, lines)) <= 80
    assert steps == sum("->" in line for line in lines) == svg(drawing.figure).count("<rect")
    assert f"{100 * drawing.figure.y[-1]:.0f} %" in svg(drawing.figure)
