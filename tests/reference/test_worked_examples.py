"""Worked examples that others have published, typed as they stand there.

Each was read where it says so; none of them is this project's own sum. What every calculator is
held against stands in `docs/checked_against.md`.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from vibecheck.calculators import (
    bearing,
    beat,
    driveshaft,
    engine,
    fit,
    force,
    hubface,
    moveweight,
    orders,
    rotor,
)
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.orders.engine import Source
from vibecheck.metrology.orders.tire_size import Rolling
from vibecheck.metrology.record.scale import SpeedSource, prior_of, quantile
from vibecheck.metrology.units.values import INCH_MM, POUND_FORCE_N


class TestDriveshaft:
    def test_two_joints_that_cancel(self) -> None:
        """A page on driveline angles (read): output 3, shaft 1, pinion -1 deg: both joints work at
        2 deg and differ by 0.
        """
        found = driveshaft.run({"side": "3 1 -1"})

        assert [2.0, 2.0] == pytest.approx([each.angle.angle_deg for each in found.joints])
        assert found.difference_deg is not None and 0.0 == pytest.approx(found.difference_deg[0])

    def test_a_compound_angle(self) -> None:
        """A shaft maker's installation manual (read): 2.50 deg in the side view and 2.15 in the top
        view are 3.3 deg.
        """
        (joint,) = driveshaft.run({"side": "0 2.50", "plan": "0 2.15"}).joints

        assert 3.3 == pytest.approx(joint.angle.angle_deg, abs=0.05)

    @pytest.mark.parametrize(
        ("rpm", "deg"), [("5000", 3.2), ("4500", 3.7), ("4000", 4.2), ("3500", 5.0)])
    def test_the_largest_angle_by_speed(self, rpm: str, deg: float) -> None:
        """A shaft maker's table of largest angles (read), printed to a tenth of a degree: the law
        of equal acceleration lies within 8 % of it.
        """
        found = driveshaft.run({"side": "3 5 3", "rpm": rpm}).largest_deg

        assert found is not None and abs(found - deg) <= 0.08 * deg + 0.05

    @pytest.mark.parametrize(("side", "zone"), [("0 2 0", Zone.WITHIN), ("0 4 0", Zone.BEYOND)])
    def test_three_degrees_for_a_joint(self, side: str, zone: Zone) -> None:
        """The same maker's rules (read): half a degree at least, three at most."""
        joint = driveshaft.run({"side": side}).joints[0]

        assert joint.most is not None and zone is joint.most.zone
        assert Zone.BEYOND is joint.still


class TestEngine:
    @staticmethod
    def hz(found: Any, source: Source) -> float:
        return float({each.source: each.hz for each in found.engine}[source])

    def test_a_v8_at_1200(self) -> None:
        """Two makers' service manuals, 2008 and 2011 (read): 1,200 rpm are 20 Hz; an engine of
        eight cylinders fires at 80 Hz.
        """
        found = engine.run({"rpm": "1200", "cylinders": "8"})

        assert 20.0 == pytest.approx(self.hz(found, Source.CRANK))
        assert 80.0 == pytest.approx(self.hz(found, Source.FIRING))

    def test_an_accessory(self) -> None:
        """A maker's service manual, 2010 (read): pulleys of 6 and 2 in at 2,400 rpm: 120 Hz."""
        found = engine.run({"rpm": "2400", "crank_pulley": "6 in", "accessory_pulley": "2 in"})

        assert 3.0 == pytest.approx(found.pulley_ratio)
        assert 120.0 == pytest.approx(self.hz(found, Source.ACCESSORY))


class TestOrders:
    def test_tire_orders_at_sixty(self) -> None:
        """A maker's service manual, 2003 (read): P235/60R16, 1.06 or 1.07 Hz for each 5 mph by
        tread, so 12.84 Hz at 60 mph, 26 and 39 Hz twice and three times.
        """
        lines = orders.run({"tire": "P235/60R16", "size_from": "tire", "tread": "8 mm",
                            "speed": "60 mph", "speed_from": "gps"}).orders
        wheel = [each for each in lines if each.part.value == "wheel"]

        for line, printed in zip(wheel, (12.84, 26.0, 39.0), strict=True):
            assert abs(line.hz - printed) <= line.uncertainty_hz + 0.5 * (printed > 13.0)

    def test_a_driveshaft(self) -> None:
        """A maker's service manual, 2010 (read): a tire of 7 Hz and an axle of 3.08: 22 Hz."""
        lines = orders.run({"tire": "P235/75R15", "speed": "35 mph", "axle_ratio": "3.08",
                            "tread": "8 mm", "size_from": "tire", "speed_from": "gps"}).orders
        hz = {each.id: each.hz for each in lines}

        assert 7.0 == pytest.approx(hz["wheel_1"], abs=0.2)
        assert 22.0 == pytest.approx(hz["driveshaft_1"], abs=0.5)


class TestWear:
    """Tread that is gone shortens the roll; this is how a record and an order table count it."""

    def test_a_bald_tire(self) -> None:
        """A newspaper column (read): half an inch of tread gone all round takes a tire from 25 to
        24 in: its turns rise by 4 %; here 12 mm of a truck's tread, 24/25.4 of that.
        """
        around = math.pi * 25.0 * INCH_MM / 1000.0
        tire = Rolling(around, around, around)
        new, bald = (prior_of(tire, SpeedSource.GPS, tread_mm=depth, truck=True)
                     for depth in (12.0, 0.0))

        rise = quantile(bald.usual, 0.5) / quantile(new.usual, 0.5)
        assert 24.0 / 25.4 * (25.0 / 24.0 - 1.0) == pytest.approx(rise - 1.0, rel=0.03)

    def test_a_radius_less_by_a_few_millimeters(self) -> None:
        """A physics exercise (read): 15 mm less of radius is 30 pi mm less of roll; 5 mm here."""
        tire = Rolling(1.95, 1.95, 1.95)
        new, worn = (prior_of(tire, SpeedSource.GPS, tread_mm=depth) for depth in (8.0, 3.0))

        rolls = [1950.0 / quantile(each.usual, 0.5) for each in (new, worn)]
        assert 30.0 * math.pi * 5.0 / 15.0 == pytest.approx(rolls[0] - rolls[1], abs=0.6)


class TestBeat:
    def test_twenty_beats_a_minute(self) -> None:
        """A vibration school's page (read): 3,580 and 3,600 turns a minute beat 20 times a minute.
        A roll of a meter at 60 m/s turns 3,600 times a minute.
        """
        found = beat.run({"speed": "60 m/s", "roll": "1000 mm", "roll2": f"{3600 / 3.58:.4f} mm"})

        assert 60.0 / 20.0 == pytest.approx(found.beat.period_s, rel=1e-4)

    def test_difference_of_two_frequencies(self) -> None:
        """A mechanics' page (read): frequency A less frequency B is the beat. Tires of 1.07 and
        1.06 Hz for each 5 mph (service manual, 2003, read) beat 0.12 times a second at 60 mph.
        """
        around = [8.04672 / 3.6 / hz * 1000.0 for hz in (1.07, 1.06)]
        found = beat.run({"speed": "60 mph", "roll": f"{around[0]:.3f} mm",
                          "roll2": f"{around[1]:.3f} mm"})

        assert 12.0 * (1.07 - 1.06) == pytest.approx(1.0 / found.beat.period_s, rel=1e-4)


class TestForce:
    def test_a_pound_for_a_thousandth_of_an_inch(self) -> None:
        """A rule of thumb (owners' forum, read): 0.001 in of runout at the bead brings about a
        pound. It lies within what is stated for a usual tire.
        """
        (first,) = force.run({"runout": "0.020 in +/- 0.001"}).harmonics

        assert abs(first.force_n - 20.0 * POUND_FORCE_N) <= first.uncertainty_n

    def test_spring_rate_is_load_over_deflection(self) -> None:
        """A tire maker's page (read): spring rate = load / deflection, loaded radius = free radius
        less deflection.
        """
        found = force.run({"runout": "0 mm", "load": "4000 N", "pressed": "20 mm",
                           "diameter": "632 mm"})

        assert 200.0 == pytest.approx(found.stiffness_n_mm)
        assert found.loaded_radius_mm is not None
        assert 316.0 - 20.0 == pytest.approx(found.loaded_radius_mm[0])


class TestHubface:
    @pytest.mark.parametrize(
        ("tip", "shown", "true"),
        [("10", 0.200, 0.196), ("20", 0.200, 0.188), ("30", 0.200, 0.174),  # a maker's guide
         ("30", 0.050, 0.0435),  # another maker's page
         ("60", 0.004 * 25.4, 0.002 * 25.4)],  # a machinists' page
    )
    def test_a_lever_that_stands_aslant(self, tip: str, shown: float, true: float) -> None:
        """Examples of two gauge makers and of a machinists' page (read)."""
        turn = np.radians(np.arange(12) * 30.0)
        wheel = " ".join(f"{shown / 2.0 * math.cos(each):.6f}" for each in turn)
        found = hubface.run({"wheel": f"{wheel} mm", "hub": " ".join(["0"] * 12) + " mm",
                             "wheel_radius": "180 mm", "hub_radius": "60 mm", "tip": tip})

        assert true == pytest.approx(found.less.wheel.tir, rel=6e-3)


class TestMoveweight:
    def test_another_radius(self) -> None:
        """A trade article (read): 2.2 oz at 14 in are 1.925 oz at 16 in, at the same angle."""
        (after,) = moveweight.run({"inner": "2.2 oz at 250", "inner_radius": "14 in",
                                   "new_inner_radius": "16 in"}).after

        assert 1.925 == pytest.approx(after.amplitude / 28.349523125, rel=1e-4)
        assert 250.0 == pytest.approx(after.angle_deg)

    def test_one_weight_into_two_planes(self) -> None:
        """The law of the lever (any text of statics): midway, half of a load bears on each side."""
        inner, outer = moveweight.run({
            "inner": "0 g at 0", "outer": "20 g at 90", "inner_radius": "200 mm",
            "distance": "150 mm", "new_distance": "300 mm"}).after

        assert [10.0, 10.0] == pytest.approx([inner.amplitude, outer.amplitude])
        assert [90.0, 90.0] == pytest.approx([inner.angle_deg, outer.angle_deg])


class TestFit:
    def test_a_spacer_is_less_offset(self) -> None:
        """Two fitment pages (read): 15 mm of spacer on ET45 sit as ET30."""
        spacer = fit.run({"width": "7.5", "offset": "45", "spacer": "15 mm"}).stance
        less = fit.run({"width": "7.5", "offset": "45", "new_offset": "30"}).stance

        assert spacer == less and spacer is not None
        assert [15.0, -15.0, 30.0] == pytest.approx(
            [spacer.outboard_mm, spacer.inboard_mm, spacer.track_mm])

    def test_ten_millimeters_of_offset(self) -> None:
        """A fitment page (read): ET35 sits 10 mm farther out than ET45."""
        found = fit.run({"width": "8", "offset": "45", "new_offset": "35"}).stance

        assert found is not None and 10.0 == pytest.approx(found.outboard_mm)

    def test_a_bore_that_centers(self) -> None:
        """A workshop manual (read): a wheel that its bore centers has 0.003 to 0.004 in of
        clearance; half of that is the most it can hang off center.
        """
        found = fit.run({"bore": f"{66.6 + 0.0035 * INCH_MM:.4f}", "pilot": "66.6",
                         "limit": "0.2"})

        assert found.fit is not None and found.gap is not None
        assert 0.003 <= found.fit.clearance_mm / INCH_MM <= 0.004
        assert Zone.WITHIN is found.gap.zone


class TestBearing:
    def test_eight_balls(self) -> None:
        """A published table (read): 8 balls of 10 on 50 mm at 1,800 rpm: cage 12, outer ring 96,
        inner ring 144 Hz; a ball spins 72 times a second and strikes both rings in each spin.
        """
        found = bearing.run({"balls": "8", "ball": "10", "pitch": "50", "rpm": "1800"})
        hz = {each.part: each.hz for each in found.strikes}

        assert [12.0, 96.0, 144.0, 2.0 * 72.0] == pytest.approx(
            [hz[each] for each in (bearing.BearingPart.CAGE, bearing.BearingPart.OUTER_RING,
                                   bearing.BearingPart.INNER_RING, bearing.BearingPart.BALL)])

    @pytest.mark.parametrize(("balls", "ball", "pitch"), [
        ("9", "0.3126 in", "1.537 in"), ("8", "0.2656 in", "1.122 in"), ("8", "10", "50")])
    def test_rules_of_thumb(self, balls: str, ball: str, pitch: str) -> None:
        """A maker's quick guide (read): cage 0.4, outer ring 0.4 N, inner ring 0.6 N, all within
        20 %.
        """
        found = bearing.run({"balls": balls, "ball": ball, "pitch": pitch})
        order = {each.part: each.order for each in found.strikes}

        assert 0.4 == pytest.approx(order[bearing.BearingPart.CAGE], rel=0.2)
        assert 0.4 * int(balls) == pytest.approx(order[bearing.BearingPart.OUTER_RING], rel=0.2)
        assert 0.6 * int(balls) == pytest.approx(order[bearing.BearingPart.INNER_RING], rel=0.2)


class TestRotor:
    def test_three_hundredths_at_ten_places(self) -> None:
        """A brake maker's bulletin (read): ten places or more, none more than 0.03 mm apart."""
        good = "22.000 22.004 22.008 22.010 22.008 22.004 22.000 21.998 21.996 21.998"
        bad = "22.00 22.02 22.04 22.05 22.04 22.02 22.00 21.99 21.98 21.99"
        zones = [rotor.run({"thicknesses": each, "limit": "0.03 mm"}).varies
                 for each in (good, bad)]

        assert [Zone.WITHIN, Zone.BEYOND] == [None if each is None else each.zone
                                              for each in zones]

    def test_a_pulse_turns_with_the_wheel(self) -> None:
        """A maker's service manual, 2003 (read): P235/60R16 turns 12.84 times a second at 60 mph;
        two thick places pulse at twice that.
        """
        found = rotor.run({"thicknesses": "22 22.01 22 22 22 22.01 22 22", "speed": "60 mph",
                           "tire": "P235/60R16"})

        assert [(1, pytest.approx(12.84, rel=0.012)), (2, pytest.approx(25.68, rel=0.012))] == list(
            found.orders)
