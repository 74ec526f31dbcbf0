"""What may condemn a wheel: only readings with the tire off, judged where the tire sits.

Facts of the trade (common practice, no source): out of round is judged at the bead seats with the
tire off; a wobble seen with the tire on is a reason to measure; 47 thou is a plain bend, 9.5 thou
is within, 0.49 mm lies at the very edge of 0.5 mm.
"""

from __future__ import annotations

import pytest

from vibecheck.knowledge.model import Finding
from vibecheck.knowledge.words import Scope
from vibecheck.metrology.decision import Zone
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.open_case import OpenCase, library_at

CERTAIN = 0.9
SUSPECT = (  # all that speaks for a bent wheel before anybody has measured
    "danger_seen=none", "pulls=no", "steering_loose=no", "brake_warning=no",
    "vibration=strong", "felt_in_steering_wheel=strong", "worst_speed=100 km/h",
    "recent_pothole=yes", "balance_history=no_change",
)
FACTS = {"drive": "rear", "propulsion": "combustion", "wheel_material": "alloy"}


def tire_on() -> list[Finding]:
    """Every measured finding that some check yields without taking the tire off."""
    library = library_at(None)
    return [
        finding
        for finding in library.findings.values()
        if finding.measure is not None
        and any(
            library.checks[check].access != "tire_off"
            for check in library.checks_yielding.get(finding.id, ())
        )
    ]


def bent(view: Diagnosis) -> float:
    chances = [each.probability for each in view.ranking if each.cause == "bent_wheel"]
    return max(chances, default=0.0)


def ranked(
    *answers: str, before: tuple[str, ...] = SUSPECT, facts: dict[str, str] | None = None
) -> Diagnosis:
    opened = OpenCase.new(None, place="bay", facts=FACTS | (facts or {}))
    opened.answer([*before, *answers])
    return opened.diagnosis


def test_the_sweep_is_not_empty() -> None:
    names = {finding.id for finding in tire_on()}

    assert {"assembly_radial", "assembly_lateral", "radial_force", "balance_residual"} <= names
    assert not {name for name in names if name.startswith("bead_")}


@pytest.mark.parametrize("finding", tire_on(), ids=lambda finding: finding.id)
def test_no_reading_with_the_tire_on_makes_a_bent_wheel_certain(finding: Finding) -> None:
    measure = finding.measure
    assert measure is not None
    at = "@RF" if finding.scope is Scope.CORNER else ""
    known = tuple(each for each in SUSPECT if not each.startswith(f"{finding.id}="))
    needed = {fact: values[0] for fact, values in finding.fits.items()}
    for value in (measure.highest, measure.lowest):
        reading = f"{finding.id}{at}={value:g} {measure.unit}".strip()
        view = ranked(reading, before=known, facts=needed)

        assert bent(view) < CERTAIN


def test_all_runout_readings_together_with_the_tire_on_do_not_either() -> None:
    view = ranked(
        "assembly_radial@RF=40 mm", "assembly_lateral@RF=40 mm", "radial_force@RF=3000 N",
        "wheel_wobble_on_spindle@RF=strong", "tread_hop_seen@RF=strong",
    )

    assert bent(view) < CERTAIN


def test_a_wobble_on_the_spindle_barely_moves_it() -> None:
    """The odds at that corner change by less than a factor of three."""
    quiet, wobbling = ranked(), ranked("wheel_wobble_on_spindle@RF=strong")
    before, after = chance(quiet, "bent_wheel", "RF"), chance(wobbling, "bent_wheel", "RF")

    assert 1.0 <= odds(after) / odds(before) < 3.0


def test_tire_off_and_47_thou_names_the_corner() -> None:
    view = ranked("bead_radial_inboard@LR=47 thou", before=())

    assert ("bent_wheel", "LR") == (view.ranking[0].cause, view.ranking[0].corner)
    reading = view.readings[0]
    assert reading.judged and Zone.BEYOND is reading.zone
    # 47 thou in mm, by definition of the inch
    assert reading.judged.measured.value == pytest.approx(1.1938)


def test_half_a_millimetre_is_undecided_and_asks_for_a_better_reading() -> None:
    """ISO 14253-1: inside the uncertainty zone neither within nor beyond is proven."""
    view = ranked("bead_radial_inboard@RF=0.49 mm +/- 0.02")
    reading = next(each for each in view.readings if each.finding == "bead_radial_inboard")
    again = view.next_checks[0]

    assert Zone.UNDECIDED is reading.zone
    assert ("measure_bead_seats", "RF") == (again.check, again.corner)
    ((spot, judged),) = again.undecided
    assert ("bead_radial_inboard", "RF") == spot and judged.decision
    assert judged.decision.needed_uncertainty == pytest.approx(0.01)


def test_at_the_edge_is_neither_good_nor_condemned() -> None:
    edge = ranked("bead_radial_inboard@RF=0.49 mm +/- 0.02")
    good = ranked("bead_radial_inboard@RF=0.10 mm +/- 0.02")
    bad = ranked("bead_radial_inboard@RF=1.2 mm +/- 0.02")
    chances = [chance(view, "bent_wheel", "RF") for view in (good, edge, bad)]

    assert chances[0] < chances[1] < chances[2]
    assert ("bent_wheel", "RF") == (bad.ranking[0].cause, bad.ranking[0].corner)


def test_a_scraped_lip_says_next_to_nothing() -> None:
    plain, scraped = ranked(), ranked("impact_mark@RF=lip_scuff")
    ratio = odds(chance(scraped, "bent_wheel", "RF")) / odds(chance(plain, "bent_wheel", "RF"))

    assert ratio < 3.0
    assert "note_lip_is_cosmetic" in {each.rule.id for each in scraped.cautions}


def chance(view: Diagnosis, cause: str, corner: str) -> float:
    found = [
        each.probability
        for each in (*view.ranking, *(one.cause for one in view.less_likely))
        if (each.cause, each.corner) == (cause, corner)
    ]
    return found[0]


def odds(probability: float) -> float:
    return probability / (1.0 - probability)
