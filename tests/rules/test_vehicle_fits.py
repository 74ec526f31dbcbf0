"""Which causes a vehicle can have: brakes by axle, drive layout, propulsion, tire size."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.words import Family
from vibecheck.session.facts import rolling
from vibecheck.session.inference import network_of

DISC = {"rotor_thickness_varies", "rotor_runout_high", "rotor_hot_spots", "pad_deposits",
        "rotor_rust_standing", "seized_caliper"}  # fmt: skip
DRIVESHAFT = {"driveshaft_imbalance", "driveshaft_bent", "driveshaft_dented", "driveshaft_loose",
             "driveshaft_out_of_phase", "universal_joint_worn", "center_support_bearing_worn",
             "operating_angle_wrong", "pinion_flange_off"}  # fmt: skip


def causes(library: Library, facts: Mapping[str, str]) -> set[str]:
    return {spot.id for spot in network_of(library, facts).index}


def corners(library: Library, facts: Mapping[str, str], cause: str) -> set[str]:
    return {str(spot.corner) for spot in network_of(library, facts).index if spot.id == cause}


@pytest.mark.parametrize("cause", sorted(DISC))
def test_known_drums_remove_disc_causes_on_their_axle_only(library: Library, cause: str) -> None:
    assert {"LF", "RF", "LR", "RR"} == corners(library, {}, cause)
    assert {"LF", "RF"} == corners(library, {"rear_brake": "drum"}, cause)
    assert {"LR", "RR"} == corners(library, {"front_brake": "drum"}, cause)
    assert {"LF", "RF", "LR", "RR"} == corners(library, {"rear_brake": "disc"}, cause)
    assert set() == corners(library, {"front_brake": "drum", "rear_brake": "drum"}, cause)


def test_a_drum_is_at_the_rear_and_only_where_it_can_be(library: Library) -> None:
    assert {"LR", "RR"} == corners(library, {}, "drum_out_of_round")
    assert set() == corners(library, {"rear_brake": "disc"}, "drum_out_of_round")


def test_an_electric_car_has_no_engine_cause(library: Library) -> None:
    engine = {name for name, rule in library.causes.items() if rule.family is Family.ENGINE}

    assert len(engine) >= 5
    assert engine.isdisjoint(causes(library, {"propulsion": "electric"}))
    assert "motor_mount_torn" in causes(library, {"propulsion": "electric"})
    assert "motor_mount_torn" not in causes(library, {"propulsion": "combustion"})


def test_a_front_driver_has_no_driveshaft_and_an_unknown_layout_keeps_both(
    library: Library,
) -> None:
    assert DRIVESHAFT <= set(library.causes)
    assert DRIVESHAFT.isdisjoint(causes(library, {"drive": "front"}))
    assert "inner_joint_worn" not in causes(library, {"drive": "rear"})
    assert DRIVESHAFT | {"inner_joint_worn"} <= causes(library, {})


def test_a_larger_tire_moves_the_worst_speed_up(library: Library) -> None:
    """The shake of a wheel comes at a frequency; a larger tire turns slower at one speed.

    Rolling circumferences follow from the size designations (ISO 4000-1, from memory).
    """
    sizes = ("185/65R15", "LT285/75R16")
    small, large = ({"tire_size": size} for size in sizes)
    assert rolling(large).circumference_m > 1.25 * rolling(small).circumference_m
    means = []
    for facts in (small, large):
        network = network_of(library, facts)
        node = next(node for spot, node in network.findings.items() if spot.id == "worst_speed")
        index = next(i for spot, i in network.index.items() if spot.id == "tire_radial_runout")
        means.append(float(node.rows[index] @ np.arange(len(node.states))))

    assert means[1] > means[0] + 0.3
