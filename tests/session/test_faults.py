"""One line a fault: its corners inside, its share that of any corner, told apart by evidence."""

from __future__ import annotations

from pathlib import Path

import pytest

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.report.names import ranked_name, remedy_name
from vibecheck.report.sentences import driving_reasons
from vibecheck.report.sheets import sheet_page
from vibecheck.report.text import text_lines
from vibecheck.report.wording import Wording
from vibecheck.session.ending import decided_remedy, remedy_of_the_lead
from vibecheck.session.open_case import OpenCase

RULES = Path(__file__).parents[2] / "rules"


@pytest.fixture
def opened() -> OpenCase:
    made = OpenCase.new(None, place="bay", rules=RULES)
    made.answer(["felt_in_steering_wheel=strong", "worst_speed=105 km/h"])
    return made


def test_every_fault_stands_once_with_all_its_corners(opened: OpenCase) -> None:
    found = opened.diagnosis
    names = [each.cause for each in found.faults]

    assert len(names) == len(set(names))
    assert {each.cause for each in found.ranking} == set(names)
    for fault in found.faults:
        single = [chance for _, chance in fault.corners]
        if single:
            dead = 4 * found.library.settings.prune_below  # corners under the threshold
            assert max(single) - 1e-9 <= fault.probability <= sum(single) + dead
    shares = [each.probability for each in found.faults]
    assert shares == sorted(shares, reverse=True)


def test_a_fault_with_like_corners_leads_as_one(opened: OpenCase) -> None:
    """Out of balance at any of four wheels outweighs each single corner."""
    fault = next(each for each in opened.diagnosis.faults if each.cause == "imbalance")

    assert not fault.told_apart
    assert fault.probability > 1.5 * fault.corners[0][1]
    name = ranked_name(opened.library, fault)
    assert "front" in name and "each side" in name


def test_a_reading_gives_one_corner_a_line_of_its_own(opened: OpenCase) -> None:
    opened.answer(["bead_radial_inboard@RF=1.2 mm"])
    fault = opened.diagnosis.faults[0]

    assert ("bent_wheel", Corner.RF, True) == (fault.cause, fault.corner, fault.told_apart)
    assert "right front" in ranked_name(opened.library, fault)


def test_a_likely_danger_names_a_corner_only_where_one_stands_out(opened: OpenCase) -> None:
    """Nobody knows yet at which wheel; a reader would look at the one that is named alone."""
    opened.answer(["danger_seen=fasteners"])
    reasons = [each for each in driving_reasons(opened.diagnosis, Wording())
               if each.startswith("Wheel fasteners loose")]  # fmt: skip
    opened.answer(["nuts_loose@RF=loose"])
    told = [each for each in driving_reasons(opened.diagnosis, Wording())
            if each.startswith("Wheel fasteners loose")]  # fmt: skip

    assert 1 == len(reasons) and reasons[0].startswith("Wheel fasteners loose: ")
    assert any(each.startswith("Wheel fasteners loose, right front: ") for each in told)


@pytest.mark.parametrize("answers", [
    ["hum=clearly", "vibration=none", "worst_speed=100 km/h"],
    ["vibration=strong", "worst_speed=110 km/h"],
    ["under_braking=clearly", "complaint_kind=braking"],
])
def test_what_is_done_if_it_turns_out_so_is_for_the_leading_fault(answers: list[str]) -> None:
    """A cheaper remedy of a less likely fault is no answer to the one that was named."""
    made = OpenCase.new(None, place="counter", rules=RULES)
    made.answer(answers)
    found = made.diagnosis
    remedy = remedy_of_the_lead(found)
    page = "\n".join(text_lines(sheet_page(found, "customer"), 200))
    [told] = [line for line in page.splitlines() if "turns out so" in line]

    assert remedy is not None and not found.conclusion.decided
    assert remedy.spot.id in found.library.causes[found.faults[0].cause].remedies
    assert remedy_name(found.library, Spot(remedy.spot.id)) in told
    assert ("front" in told or "rear" in told) == (
        found.faults[0].told_apart and remedy.spot.corner is not None)


@pytest.mark.parametrize("reader", ["customer", "driveway", "bay"])
def test_a_stop_alone_decides_no_remedy(reader: str) -> None:
    """A loose nut somewhere: which wheel is to be taken off nobody can say yet."""
    made = OpenCase.new(None, place="driveway", rules=RULES)
    made.answer(["danger_seen=fasteners", "vibration=strong"])
    found = made.diagnosis
    text = " ".join(" ".join(text_lines(sheet_page(found, reader), 200)).split())

    assert found.conclusion.decided and decided_remedy(found) is None
    for not_yet in ("What to do:", "look why it does not sit flat", "Remedy:"):
        assert not_yet not in text
    made.answer(["nuts_loose@RF=loose"])
    told = " ".join(text_lines(sheet_page(made.diagnosis, "customer"), 200))
    assert decided_remedy(made.diagnosis) is not None
    assert "What to do:" in told and "right front" in told.split("What to do:")[1][:120]
