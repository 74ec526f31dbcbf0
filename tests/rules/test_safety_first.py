"""Checks that can end the drive come first where there is reason, and do not drown the rest.

That danger is looked for before the cause, and where it is looked for, is common practice without
a source; what is rejected then is in tests/reference/test_inspection_rules.py.
"""

from __future__ import annotations

import re

import pytest

from vibecheck.knowledge.library import Library
from vibecheck.session.proving import diagnosis_of

ALWAYS = {"ask_danger", "walk_round"}
CALM = ["danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no"]
MOST = 4  # urgent steps with the car as it stands, for an everyday complaint
EVERYDAY = [
    ["vibration=strong"],
    ["vibration=strong", "worst_speed=110 km/h"],
    ["vibration=strong", "felt_in_steering_wheel=strong", "feel=shimmy"],
    ["vibration=slight", "felt_in_seat=slight"],
    ["vibration=strong", "under_braking=clearly", "felt_in_pedal=strong"],
    ["vibration=strong", "under_acceleration=clearly"],
    ["vibration=strong", "at_standstill=clearly"],
    ["hum=clearly"],
]
REASONS = [
    ("wheels were off and the steering is vague",
     ["vibration=strong", "recent_wheel_work=yes", "steering_loose=slightly"], "check_fasteners"),
    ("the steering is vague", ["vibration=strong", "steering_loose=slightly"], "rock_steering"),
    ("the steering is vague and it hums",
     ["vibration=strong", "steering_loose=slightly", "hum=clearly"], "measure_bearing_play"),
    ("a pothole, and something was seen at a wheel",
     ["vibration=strong", "recent_pothole=yes", "danger_seen=wheel"], "look_at_wheel"),
    ("braking with the lamp on", ["under_braking=clearly", "brake_warning=lamp"],
     "look_at_brake_limits"),
    ("a thump, and something was seen at a tire",
     ["vibration=strong", "thump=clearly", "danger_seen=tire"], "look_at_tire"),
    ("it shimmies after a bump and the rack may move",
     ["feel=shimmy", "steering_loose=clearly", "clunk=yes"], "look_at_rack"),
]  # fmt: skip


def urgent(library: Library, answers: list[str], **facts: str) -> list[str]:
    bench = diagnosis_of(library, {"drive": "front", **facts}, answers)
    return [option.spot.id for option in bench.checks if option.urgent]


@pytest.mark.parametrize("answers", EVERYDAY, ids=lambda answers: " ".join(answers))
def test_an_everyday_complaint_asks_the_quick_two_and_little_more(
    library: Library, answers: list[str]
) -> None:
    found = urgent(library, answers)
    parked = [each for each in found if library.checks[each].access == "parked"]

    assert ALWAYS <= set(found)
    assert len(parked) <= MOST
    assert "ask_danger" == found[0]


@pytest.mark.parametrize("answers", EVERYDAY, ids=lambda answers: " ".join(answers))
def test_calm_answers_clear_the_way_to_the_diagnosis(library: Library, answers: list[str]) -> None:
    assert [] == urgent(library, answers + CALM)


@pytest.mark.parametrize(
    ("reason", "answers", "check"), REASONS, ids=[reason for reason, _, _ in REASONS]
)
def test_where_there_is_reason_the_look_comes_first(
    library: Library, reason: str, answers: list[str], check: str
) -> None:
    assert check in urgent(library, answers)


def test_what_is_found_is_not_looked_for_again(library: Library) -> None:
    """The car stands still already; the other looks keep their ordinary place."""
    loose = ["vibration=strong", "recent_wheel_work=yes", "steering_loose=slightly", "pulls=no",
             "brake_warning=no", "danger_seen=fasteners"]  # fmt: skip

    assert "check_fasteners" in urgent(library, loose)
    assert [] == urgent(library, [*loose, "nuts_loose@LF=loose"])


def test_a_look_for_danger_is_marked_in_the_rules(library: Library) -> None:
    marked = {check.id for check in library.checks.values() if check.safety}

    assert ALWAYS | {check for _, _, check in REASONS} <= marked


ORDERS = re.compile(
    r"(?:^|[.;:] |\b(?:and|then) )(?:drive|ride(?! height)|brake gently)\b|road test",
    re.IGNORECASE,
)


def test_what_is_offered_under_a_stop_orders_no_drive(library: Library) -> None:
    """A step or question that drives says so in its rule, and is not offered under a stop."""
    told = []
    for check in library.checks.values():
        if not check.moves_car:
            asks = [library.findings[name] for name in check.yields]
            told += [(check.id, text) for text in (*check.steps, check.shop_request)]
            told += [(check.id, text) for each in asks for text in (
                each.ask.plain, each.ask.counter, each.ask.bay, each.ask.driveway, each.help)]
    for remedy in library.remedies.values():
        if not remedy.moves_car:
            told += [(remedy.id, text) for text in (*remedy.steps, remedy.shop_request)]

    assert [] == [each for each in told if ORDERS.search(each[1] or "")]
