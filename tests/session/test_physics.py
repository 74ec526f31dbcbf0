"""Speed bins that follow from tire size, order and resonance, against figures worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from vibecheck.knowledge.model import Excites
from vibecheck.knowledge.profile import follows_resonance
from vibecheck.knowledge.words import Computed
from vibecheck.session import physics
from vibecheck.session.facts import rolling
from vibecheck.session.open_case import library_at

LIBRARY = library_at(None)
SIZE = {"tire_size": "205/55R16"}


def row(cause: str, finding: str = "worst_speed", **facts: str) -> np.ndarray:
    found = physics.speed_row(LIBRARY, facts, LIBRARY.findings[finding], LIBRARY.causes[cause])
    assert found is not None
    return found


def middle(shares: np.ndarray) -> float:
    """Mean speed of the bins [km/h]."""
    measure = LIBRARY.findings["worst_speed"].measure
    assert measure is not None
    edges = np.array(measure.edges)
    return float(shares @ ((edges[:-1] + edges[1:]) / 2.0))


def test_every_row_is_a_distribution() -> None:
    rows = physics.rows(LIBRARY, SIZE)

    assert len(rows) > 60
    for shares in rows.values():
        assert shares.sum() == pytest.approx(1.0)
        assert (shares >= 0.0).all() and np.isfinite(shares).all()


def test_no_shake_names_a_speed_itself() -> None:
    """What a shake says about speed comes from its order alone; a noise has its own words."""
    speeds = {id_ for id_, each in LIBRARY.findings.items() if each.computed}

    assert {Computed.WORST_SPEED, Computed.ONSET_SPEED} == {
        LIBRARY.findings[id_].computed for id_ in speeds
    }
    shakes = [cause for cause in LIBRARY.causes.values() if follows_resonance(cause)]
    assert shakes
    for cause in shakes:
        assert not speeds & {*cause.shows, *cause.shows_front, *cause.shows_rear}


def test_a_wheel_of_205_55_r16_turns_fourteen_times_a_second_at_100() -> None:
    """Diameter 16 in + 2 x 0.55 x 205 mm = 631.9 mm; it rolls 2 to 5 % less far (from memory)."""
    turns = (100.0 / 3.6) / rolling(SIZE).circumference_m
    unloaded = (100.0 / 3.6) / (math.pi * 0.6319)

    assert unloaded < turns < 1.06 * unloaded
    assert turns == pytest.approx(14.4, abs=0.4)


def test_an_imbalance_is_worst_where_wheels_hop_and_steering_shimmies() -> None:
    """10 to 20 Hz of the 1st order lie between 70 and 140 km/h on this tire."""
    shares = row("imbalance", **SIZE)

    assert shares[2:].sum() > 0.85
    assert shares[0] < 0.05


def test_a_bent_wheel_sideways_is_felt_at_lower_speed_than_an_imbalance() -> None:
    """Waddle of low speed (read in a maker's manual; see the resonance's source)."""
    assert middle(row("buckled_wheel", **SIZE)) < middle(row("imbalance", **SIZE))


def test_two_or_three_events_a_turn_come_at_lower_speed_than_one() -> None:
    assert middle(row("oval_wheel", **SIZE)) < middle(row("eccentric_wheel", **SIZE))


def test_flat_spots_from_standing_are_felt_on_the_main_road() -> None:
    """The hop comes between 50 and 70 mph, 80 to 113 km/h (common practice, no source)."""
    shares = row("flat_spot_parked", tire_size="225/45R17")

    assert shares[2:5].sum() > 0.6
    assert 3 == int(shares.argmax())


def test_a_hot_brake_judders_from_any_speed_of_a_stop() -> None:
    """Hot judder: from about 120 km/h down to 60 km/h (source of the rule); no resonance."""
    assert not follows_resonance(LIBRARY.causes["rotor_hot_spots"])


def test_a_larger_tire_shifts_everything_up() -> None:
    small, large = ({"tire_size": size} for size in ("155/65R13", "35x12.5R20"))
    for cause in ("imbalance", "bent_wheel", "tire_radial_runout"):
        assert middle(row(cause, **small)) < middle(row(cause, **large)), cause


def test_a_shorter_axle_makes_the_driveshaft_speak_earlier() -> None:
    facts = {"drive": "rear", **SIZE}

    assert middle(row("driveshaft_imbalance", axle_ratio="4.6", **facts)) < middle(
        row("driveshaft_imbalance", axle_ratio="2.6", **facts)
    )


def test_orders_per_turn_of_the_wheel() -> None:
    shaft = LIBRARY.causes["driveshaft_imbalance"].excites[0]
    crank = LIBRARY.causes["engine_misfire"].excites[0]

    assert 3.73 == physics.orders_per_wheel_turn(shaft, {"axle_ratio": "3.73"})
    assert physics.TYPICAL_AXLE_RATIO == physics.orders_per_wheel_turn(shaft, {})
    assert physics.orders_per_wheel_turn(crank, {}) is None


def test_what_follows_the_engine_has_no_row() -> None:
    cause = LIBRARY.causes["engine_misfire"]

    assert all(isinstance(each, Excites) for each in cause.excites)
    assert physics.speed_row(LIBRARY, {}, LIBRARY.findings["worst_speed"], cause) is None
    assert physics.speed_row(LIBRARY, {}, LIBRARY.findings["vibration"], cause) is None


def test_onset_lies_below_the_worst_speed() -> None:
    for cause in ("imbalance", "bent_wheel", "driveshaft_imbalance"):
        assert middle(row(cause, "onset_speed", **SIZE)) < middle(row(cause, **SIZE)), cause
