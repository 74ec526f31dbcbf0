"""Tire, wheel and hub told apart by turning them against each other."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.places import Way
from vibecheck.metrology.runout.hub_carry import face_at_bead, pilot_at_bead
from vibecheck.metrology.stack.separation import (
    Clocking,
    Follows,
    Mirrored,
    Separation,
    Stacked,
    high_spot_follows,
    separate,
)
from vibecheck.metrology.vectors import Vector, difference, vector_of
from vibecheck.virtual.dial import mounted

TIRE, WHEEL, HUB = Vector(0.40, 20.0), Vector(0.30, 110.0), Vector(0.06, 250.0)
ALL = (Stacked.TIRE, Stacked.WHEEL, Stacked.HUB)
QUICK = settings(max_examples=50, derandomize=True, deadline=None)


def read(
    tire_turn: float, wheel_turn: float, error: complex = 0j, uncertainty: float = 0.02
) -> Clocking:
    """A reading of the three parts on the hub, with an error vector added; turned exactly."""
    truth = mounted(TIRE, WHEEL, HUB, tire_turn, wheel_turn)
    return Clocking(vector_of(truth.xy + error), uncertainty, tire_turn, wheel_turn,
                    turn_uncertainty_deg=0.0)


def by_part(found: Separation) -> dict[Stacked, Vector]:
    """The vector of each part."""
    return {each.part: each.vector for each in found.parts}


def test_three_clockings_separate_three_parts() -> None:
    """As mounted, tire half a turn on, wheel three studs on: each part comes back."""
    found = separate([read(0, 0), read(180, 0), read(0, 216)], ALL, stud_count=5)
    for part, true in zip(ALL, (TIRE, WHEEL, HUB), strict=True):
        assert by_part(found)[part].xy == pytest.approx(true.xy)
    assert found.freedom == 0 and found.repeated is None


@QUICK
@given(
    turns=st.lists(
        st.tuples(st.integers(0, 23), st.integers(0, 4)), min_size=4, max_size=8, unique=True
    )
)
def test_any_clockings_that_separate_recover(turns: list[tuple[int, int]]) -> None:
    """Clean readings at any clockings give back the parts, or are refused as inseparable."""
    clockings = [read(15.0 * tire, 72.0 * wheel) for tire, wheel in turns]
    try:
        found = separate(clockings, ALL)
    except ReadingError as refused:
        assert "cannot separate" in str(refused)
        return
    assert by_part(found)[Stacked.TIRE].xy == pytest.approx(TIRE.xy, abs=1e-9)
    assert by_part(found)[Stacked.HUB].xy == pytest.approx(HUB.xy, abs=1e-9)
    assert found.repeated and found.chi_square == pytest.approx(0.0, abs=1e-12)


def test_spindle_and_bare_wheel_readings_join_in() -> None:
    """On a spindle the hub drops out; the bare wheel alone gives the wheel."""
    on_spindle = mounted(TIRE, WHEEL, Vector(0.0, 0.0))
    clockings = [
        Clocking(on_spindle, 0.02, on_hub=False),
        Clocking(WHEEL, 0.02, tire_on=False, on_hub=False),
        read(0, 0),
    ]
    found = by_part(separate(clockings, ALL))
    assert found[Stacked.TIRE].xy == pytest.approx(TIRE.xy)
    assert found[Stacked.HUB].xy == pytest.approx(HUB.xy)


def test_coverage_with_unequal_uncertainty() -> None:
    """A 95 % interval of amplitude and angle of each part holds 93 to 97 % of 2,000 draws."""
    rng = np.random.default_rng(21)
    setup = [(0.0, 0.0, 0.02), (180.0, 0.0, 0.02), (0.0, 216.0, 0.04), (90.0, 144.0, 0.03)]
    truths = {Stacked.TIRE: TIRE, Stacked.WHEEL: WHEEL, Stacked.HUB: Vector(0.06 * 3, 250.0)}
    sizes, angles, repeats = dict.fromkeys(ALL, 0), dict.fromkeys(ALL, 0), 0
    draws = 2000
    errors = rng.normal(size=(draws, 4, 2))
    clean = [
        mounted(*(truths[part] for part in ALL), tire, wheel).xy for tire, wheel, _ in setup
    ]
    for draw in errors:
        clockings = [
            Clocking(vector_of(true + spread / 2.0 * complex(*error)), spread, tire, wheel,
                     turn_uncertainty_deg=0.0)
            for true, error, (tire, wheel, spread) in zip(clean, draw, setup, strict=True)
        ]
        found = separate(clockings, ALL)
        repeats += bool(found.repeated)
        for each in found.parts:
            true = truths[each.part]
            sizes[each.part] += abs(each.vector.amplitude - true.amplitude) <= each.uncertainty
            off = abs(difference(each.vector.angle_deg, true.angle_deg))
            angles[each.part] += off <= each.angle_uncertainty_deg
    for hits in (*sizes.values(), *angles.values(), repeats):
        assert 0.93 <= hits / draws <= 0.97


@pytest.mark.parametrize("clockings", [3, 4, 5])
def test_coverage_with_a_tire_turned_past_its_mark(clockings: int) -> None:
    """Turned by hand, off by 6 deg at one standard deviation: 93 to 99 % of draws are held."""
    rng = np.random.default_rng(clockings)
    setup = [(0.0, 0.0), (180.0, 0.0), (90.0, 144.0), (270.0, 216.0), (120.0, 72.0)][:clockings]
    truths = {Stacked.TIRE: TIRE, Stacked.WHEEL: WHEEL, Stacked.HUB: Vector(0.15, 250.0)}
    wanted = ALL if clockings > 3 else (Stacked.TIRE, Stacked.WHEEL)
    hub = truths[Stacked.HUB] if clockings > 3 else Vector(0.0, 0.0)
    sizes, angles = dict.fromkeys(wanted, 0), dict.fromkeys(wanted, 0)
    draws = 600
    for _ in range(draws):
        read_off = []
        for tire, wheel in setup:
            off = rng.normal(0.0, 6.0) if tire else 0.0
            true = mounted(TIRE, WHEEL, hub, tire + off, wheel).xy
            noise = 0.01 * complex(*rng.normal(size=2))
            read_off.append(Clocking(vector_of(true + noise), 0.02, tire, wheel))
        for each in separate(read_off, wanted).parts:
            true_part = truths[each.part]
            sizes[each.part] += abs(each.vector.amplitude - true_part.amplitude) <= each.uncertainty
            off = abs(difference(each.vector.angle_deg, true_part.angle_deg))
            angles[each.part] += off <= each.angle_uncertainty_deg
    for hits in (*sizes.values(), *angles.values()):
        assert 0.93 <= hits / draws <= 0.995


def test_mirrored_readings_are_noticed() -> None:
    """Places counted counterclockwise in all lists, or in one of them: found in 8 of 10 draws;
    honest readings are hardly ever called mirrored.
    """
    rng = np.random.default_rng(23)
    setup = [(0.0, 0.0), (90.0, 0.0), (210.0, 72.0), (300.0, 216.0), (60.0, 144.0)]
    found = {name: 0 for name in ("honest", "all", "one")}
    draws = 100
    for _ in range(draws):
        tire = Vector(rng.uniform(0.2, 0.5), rng.uniform(0.0, 360.0))
        wheel = Vector(rng.uniform(0.2, 0.5), rng.uniform(0.0, 360.0))
        true = [
            mounted(tire, wheel, Vector(0.0, 0.0), t + (t > 0.0) * rng.normal(0.0, 3.0), w).xy
            + 0.01 * complex(*rng.normal(size=2)) for t, w in setup
        ]
        for name in found:
            given = [each.conjugate() if name == "all" or (name == "one" and place == 2) else each
                     for place, each in enumerate(true)]
            mirror = separate(
                [Clocking(vector_of(each), 0.02, t, w) for each, (t, w) in
                 zip(given, setup, strict=True)], (Stacked.TIRE, Stacked.WHEEL)).mirror
            wanted = {"honest": Mirrored.NO, "all": Mirrored.ALL, "one": Mirrored.ONE}[name]
            found[name] += mirror.found is wanted and (name != "one" or mirror.clocking == 3)
    assert found["honest"] >= 0.98 * draws
    assert found["all"] >= 0.8 * draws and found["one"] >= 0.6 * draws


def test_mirrored_readings_cannot_be_told_from_two_clockings() -> None:
    assert separate([read(0, 0), read(180, 0)], (Stacked.TIRE, Stacked.WHEEL)).mirror.found is (
        Mirrored.NOT_TESTABLE)


def test_angles_counted_the_other_way_are_turned_round() -> None:
    """The same reading with its angle counted counterclockwise gives the same parts."""
    plain = [read(0, 0), read(180, 0), read(90, 72)]
    other = [
        Clocking(Vector(each.vector.amplitude, -each.vector.angle_deg), 0.02, each.tire_turn_deg,
                 each.wheel_turn_deg, turn_uncertainty_deg=0.0, counted=Way.COUNTERCLOCKWISE)
        for each in plain
    ]
    one, two = (by_part(separate(each, (Stacked.TIRE, Stacked.WHEEL))) for each in (plain, other))
    assert one[Stacked.TIRE].xy == pytest.approx(two[Stacked.TIRE].xy)


def test_a_remount_that_did_not_repeat_is_said() -> None:
    """One reading off by five uncertainties fails the chi-square test."""
    clockings = [read(0, 0), read(180, 0, 0.1j), read(90, 0), read(270, 0)]
    found = separate(clockings, (Stacked.TIRE, Stacked.WHEEL))
    assert found.repeated is False


def test_close_clockings_are_said_and_the_next_one_helps() -> None:
    """A turn of 20 deg tells little; the clocking proposed tells much more."""
    pair = (Stacked.TIRE, Stacked.WHEEL)
    found = separate([read(0, 0), read(20, 0)], pair)
    assert found.too_close
    ahead = found.next_clocking
    assert 150.0 <= ahead.tire_turn_deg <= 225.0
    after = separate([read(0, 0), read(20, 0), read(ahead.tire_turn_deg, 0)], pair)
    worst = max(each.uncertainty for each in after.parts)
    assert worst == pytest.approx(ahead.uncertainty_after)
    assert worst < 0.5 * max(each.uncertainty for each in found.parts)


@pytest.mark.parametrize(
    ("clockings", "parts", "said"),
    [
        ([read(0, 0), read(0, 0)], (Stacked.TIRE, Stacked.WHEEL), "cannot separate tire and wheel"),
        ([read(0, 0), read(360, 0)], (Stacked.TIRE, Stacked.WHEEL), "cannot separate"),
        ([read(0, 0), read(180, 0), read(90, 0)], ALL, "cannot separate"),
        ([read(0, 0)], (Stacked.TIRE, Stacked.WHEEL), "1 clockings cannot separate 2"),
        ([read(0, 0)], (), "no part"),
        ([read(0, 0, uncertainty=0.0), read(180, 0)], (Stacked.TIRE, Stacked.WHEEL),
         "clocking 1: an un"),
        ([read(0, 0), Clocking(Vector(-1.0, 0.0), 0.1)], (Stacked.TIRE, Stacked.WHEEL),
         "clocking 2"),
        ([read(0, 0), Clocking(Vector(math.nan, 0.0), 0.1)], (Stacked.WHEEL,), "clocking 2"),
    ],
)
def test_refusals(clockings: list[Clocking], parts: tuple[Stacked, ...], said: str) -> None:
    """Clockings that cannot tell, and numbers that cannot be, are refused in one sentence."""
    with pytest.raises(ReadingError, match=said):
        separate(clockings, parts)


def test_small_part_is_not_claimed() -> None:
    """A part within its uncertainty of nothing is not proven, and the note says so."""
    clockings = [Clocking(mounted(TIRE, Vector(0.005, 0.0), Vector(0.0, 0.0), turn), 0.02, turn)
                 for turn in (0.0, 180.0)]
    found = {each.part: each for each in separate(clockings, (Stacked.TIRE, Stacked.WHEEL)).parts}
    assert found[Stacked.TIRE].proven and not found[Stacked.WHEEL].proven
    assert found[Stacked.WHEEL].angle_uncertainty_deg == 180.0


def test_high_spot_shortcut() -> None:
    """Half a turn of the tire: the high spot goes with the tire, stays, or lands between."""
    assert high_spot_follows(10.0, 195.0) is Follows.TIRE
    assert high_spot_follows(10.0, 355.0) is Follows.WHEEL
    assert high_spot_follows(10.0, 100.0) is Follows.BOTH
    assert high_spot_follows(350.0, 85.0, turned_deg=90.0) is Follows.TIRE
    with pytest.raises(ReadingError, match="too small to tell"):
        high_spot_follows(10.0, 40.0, turned_deg=30.0)
    with pytest.raises(ReadingError, match="an angle"):
        high_spot_follows(math.nan, 40.0)


def test_shortcut_agrees_with_the_forward_model() -> None:
    """A bad tire on a fair wheel moves its high spot; a bad wheel under a fair tire keeps it."""
    still = Vector(0.0, 0.0)
    for tire, wheel, expected in (
        (Vector(0.5, 40.0), Vector(0.08, 100.0), Follows.TIRE),
        (Vector(0.08, 40.0), Vector(0.5, 100.0), Follows.WHEEL),
    ):
        before, after = (mounted(tire, wheel, still, turn).angle_deg for turn in (0.0, 180.0))
        assert high_spot_follows(before, after) is expected


def test_hub_face_and_pilot_carried_to_the_bead() -> None:
    """0.05 mm at 70 mm is 0.157 mm lateral at a 220 mm bead; a true tilted plane agrees."""
    carried = face_at_bead(0.05, 0.01, 70.0, 220.0, bead_offset_mm=-100.0)
    assert carried.lateral_mm == pytest.approx(0.05 * 220 / 70)
    assert carried.lateral_uncertainty_mm == pytest.approx(0.01 * 220 / 70)
    tilt = math.atan2(0.05, 140.0)
    angles = np.deg2rad(np.arange(360))
    x, z = 220.0 * np.cos(angles), np.full(360, -100.0)
    lateral = x * math.sin(tilt) + z * math.cos(tilt)
    assert np.ptp(lateral) == pytest.approx(carried.lateral_mm, rel=1e-6)
    shifted = x * math.cos(tilt) - z * math.sin(tilt)
    radii = np.hypot(shifted, 220.0 * np.sin(angles))
    assert np.ptp(radii) == pytest.approx(carried.radial_mm, rel=1e-3)
    assert pilot_at_bead(0.06, 0.01).radial_mm == 0.06
    assert pilot_at_bead(0.06, 0.01, 0.1).radial_uncertainty_mm > 0.1
    with pytest.raises(ReadingError, match="radius"):
        face_at_bead(0.05, 0.01, 0.0, 220.0)
    with pytest.raises(ReadingError, match="runout"):
        pilot_at_bead(-0.05, 0.01)
