"""Trial weights on the simulated rotor: recovery, coverage, refusal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.balance.trial_weight import (
    RUN_TO_RUN,
    TrialResult,
    from_amplitudes,
    several_planes,
    two_planes,
)
from vibecheck.metrology.balance.two_planes import RimPlanes
from vibecheck.metrology.places import Way
from vibecheck.metrology.vectors import Vector, vector_of
from vibecheck.virtual.balancer import Rotor, run_rotor

PLANES = RimPlanes(200.0, 190.0, 170.0)
ROTOR = Rotor()
RPM = 800.0
NOTHING = Vector(0.0, 0.0)
HEAVY = (Vector(35.0, 70.0), Vector(25.0, 200.0))
TRIALS = (Vector(30.0, 0.0), Vector(30.0, 120.0))


def both(one: Vector, other: Vector) -> Vector:
    return vector_of(one.xy + other.xy)


@pytest.fixture(scope="module")
def runs() -> list[tuple[Vector, Vector]]:
    """As found, trial inner, trial outer, then trial inner at 120 and 240 degrees."""
    inner, outer = HEAVY
    states = [
        (inner, outer), (both(inner, TRIALS[0]), outer), (inner, both(outer, TRIALS[1])),
        (both(inner, Vector(30, 120)), outer), (both(inner, Vector(30, 240)), outer),
    ]
    return run_rotor(ROTOR, PLANES, RPM, states)


def noisy(reading: Vector, u: float, rng: np.random.Generator) -> Vector:
    return vector_of(reading.xy + complex(*rng.normal(0.0, u, 2)))


def one_plane(
    first: Vector, with_trial: Vector, trial: Vector, u_vibration: float = 0.0,
    run_to_run: float = RUN_TO_RUN,
) -> TrialResult:
    return several_planes([first], [[with_trial]], [trial], u_vibration, run_to_run)


def test_two_planes_find_the_weights_opposite_to_the_heavy_spots(runs) -> None:
    found = two_planes(runs[0], runs[1], runs[2], TRIALS)

    for weight, heavy in zip(found.weights, HEAVY, strict=True):
        assert abs(weight.xy + heavy.xy) < 1e-3


def test_the_rotor_runs_still_after_the_correction(runs) -> None:
    found = two_planes(runs[0], runs[1], runs[2], TRIALS)
    corrected = (both(HEAVY[0], found.weights[0]), both(HEAVY[1], found.weights[1]))

    after = run_rotor(ROTOR, PLANES, RPM, [corrected])[0]

    assert after[0].amplitude < 1e-3 * runs[0][0].amplitude
    assert after[1].amplitude < 1e-3 * runs[0][1].amplitude


def test_one_plane_stills_the_sensor_it_was_read_at(runs) -> None:
    found = one_plane(runs[0][0], runs[1][0], TRIALS[0])

    after = run_rotor(ROTOR, PLANES, RPM, [(both(HEAVY[0], found.weights[0]), HEAVY[1])])[0]
    assert after[0].amplitude < 1e-3 * runs[0][0].amplitude


def test_amplitudes_alone_find_the_same_weight(runs) -> None:
    with_phase = one_plane(runs[0][0], runs[1][0], TRIALS[0])

    found = from_amplitudes(
        runs[0][0].amplitude, [runs[i][0].amplitude for i in (1, 3, 4)], [0, 120, 240], 30.0
    )

    assert abs(found.weights[0].xy - with_phase.weights[0].xy) < 1e-3


def test_coverage_of_two_plane_circles(runs) -> None:
    """The 95 % circle holds the right weight in 93 to 97 % of 2,000 noisy balances."""
    rng = np.random.default_rng(5)
    u = runs[0][0].amplitude / 60.0
    truth = two_planes(runs[0], runs[1], runs[2], TRIALS)
    hits = np.zeros(2)

    for _ in range(2000):
        shown = [(noisy(a, u, rng), noisy(b, u, rng)) for a, b in runs[:3]]
        found = two_planes(shown[0], shown[1], shown[2], TRIALS, u, run_to_run=0.0)
        hits += [
            abs(found.weights[i].xy - truth.weights[i].xy) <= found.radius_95_grams[i]
            for i in range(2)
        ]

    assert (0.93 <= hits / 2000).all() and (hits / 2000 <= 0.97).all()


@pytest.mark.parametrize("share", [1.0 / 60.0, 1.0 / 25.0])
def test_coverage_of_the_one_plane_circle(runs, share) -> None:
    rng = np.random.default_rng(6)
    u = runs[0][0].amplitude * share
    truth = one_plane(runs[0][0], runs[1][0], TRIALS[0]).weights[0]
    held = 0

    for _ in range(2000):
        found = one_plane(noisy(runs[0][0], u, rng), noisy(runs[1][0], u, rng), TRIALS[0], u, 0.0)
        held += abs(found.weights[0].xy - truth.xy) <= found.radius_95_grams[0]

    assert 0.93 <= held / 2000 <= 0.97


def test_coverage_of_the_amplitude_method(runs) -> None:
    rng = np.random.default_rng(7)
    amplitudes = np.array([runs[i][0].amplitude for i in (0, 1, 3, 4)])
    u = amplitudes[0] / 80.0
    truth = one_plane(runs[0][0], runs[1][0], TRIALS[0]).weights[0].xy
    held = 0

    for _ in range(2000):
        shown = amplitudes + rng.normal(0.0, u, 4)
        found = from_amplitudes(shown[0], list(shown[1:]), [0, 120, 240], 30.0, u, 0.0, 0.0)
        held += abs(found.weights[0].xy - truth) <= found.radius_95_grams[0]

    assert 0.93 <= held / 2000 <= 0.97


@pytest.mark.parametrize("phase_too", [False, True])
def test_coverage_with_runs_that_differ(runs, phase_too) -> None:
    """Each run differs by 3 % of its vibration, in size alone or in phase too: 93 to 99 %."""
    rng = np.random.default_rng(9)
    truth = one_plane(runs[0][0], runs[1][0], TRIALS[0]).weights[0].xy
    u, held = runs[0][0].amplitude / 100.0, 0

    def again(reading: Vector) -> Vector:
        change = rng.normal(0.0, 0.03) + (1j * rng.normal(0.0, 0.03) if phase_too else 0j)
        return noisy(vector_of(reading.xy * (1.0 + change)), u, rng)

    for _ in range(2000):
        found = one_plane(again(runs[0][0]), again(runs[1][0]), TRIALS[0], u)
        held += abs(found.weights[0].xy - truth) <= found.radius_95_grams[0]

    assert 0.93 <= held / 2000 <= 0.99


@pytest.mark.parametrize("places", [3, 4])
def test_coverage_of_the_amplitude_method_with_weights_off_their_place(runs, places) -> None:
    """Weights off by 5 deg, runs by 3 %: the circle holds in 93 to 99 % of draws."""
    rng = np.random.default_rng(10)
    answer = (runs[1][0].xy - runs[0][0].xy) / TRIALS[0].xy
    imbalance = runs[0][0].xy / answer
    positions = [360.0 * place / places for place in range(places)]
    held = 0

    for _ in range(2000):
        sizes = [abs(answer * imbalance)] + [
            abs(answer * (imbalance + Vector(30.0, place + rng.normal(0.0, 5.0)).xy))
            for place in positions
        ]
        shown = [size * (1.0 + rng.normal(0.0, 0.03)) for size in sizes]
        found = from_amplitudes(shown[0], shown[1:], positions, 30.0, 1.0)
        held += abs(found.weights[0].xy + imbalance) <= found.radius_95_grams[0]

    assert 0.93 <= held / 2000 <= 0.99


def test_positions_counted_the_other_way_are_mirrored() -> None:
    """Marks counted counterclockwise from the valve: the weight comes out clockwise."""
    imbalance = Vector(20.0, 70.0).xy
    runs = [abs(imbalance + Vector(30.0, -place).xy) for place in (0.0, 120.0, 240.0)]

    found = from_amplitudes(20.0, runs, [0, 120, 240], 30.0, counted=Way.COUNTERCLOCKWISE)

    assert abs(found.weights[0].xy + imbalance) < 1e-6


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.floats(0.1, 10.0), st.floats(0.0, 360.0), st.floats(1.0, 100.0), st.floats(0.0, 360.0),
       st.floats(10.0, 60.0), st.floats(0.0, 360.0))
def test_any_one_plane_answer_is_recovered(
    gain: float, lag: float, heavy: float, where: float, trial: float, place: float
) -> None:
    """With and without phase: the weight lies opposite the heavy spot and has its size."""
    answer, imbalance = Vector(gain, lag).xy, Vector(heavy, where).xy
    runs = [answer * (imbalance + Vector(trial, place + turn).xy) for turn in (0, 90, 180, 270)]
    first = vector_of(answer * imbalance)

    by_phase = one_plane(first, vector_of(runs[0]), Vector(trial, place))
    by_size = from_amplitudes(
        first.amplitude, [abs(run) for run in runs], [place + t for t in (0, 90, 180, 270)], trial)

    assert abs(by_phase.weights[0].xy + imbalance) < 1e-6 * heavy
    assert abs(by_size.weights[0].xy + imbalance) < 1e-6 * heavy


def test_more_sensors_than_planes_still_give_the_weight(runs) -> None:
    quiet_outer = run_rotor(
        ROTOR, PLANES, RPM, [(HEAVY[0], NOTHING), (both(HEAVY[0], TRIALS[0]), NOTHING)]
    )

    found = several_planes(list(quiet_outer[0]), [list(quiet_outer[1])], [TRIALS[0]])

    assert abs(found.weights[0].xy + HEAVY[0].xy) < 1e-3


A, B = Vector(10.0, 0.0), Vector(10.1, 1.0)
BIG = Vector(20.0, 90.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: one_plane(A, A, Vector(30, 0)), "too little to tell"),
        (lambda: one_plane(A, B, Vector(30, 0), u_vibration=0.5), "too little to tell"),
        (lambda: one_plane(A, BIG, Vector(0, 0)), "0 g tells nothing"),
        (lambda: one_plane(A, BIG, Vector(30, 0), u_vibration=-1.0), "uncertainty of -1"),
        (lambda: one_plane(Vector(float("nan"), 0), BIG, Vector(30, 0)), "no number"),
        (lambda: two_planes((A, A), (BIG, A), (BIG, A), TRIALS), "so alike"),
        (lambda: two_planes((A, A), (BIG, A), (A, A), TRIALS), "trial weight 2 changed"),
        (lambda: several_planes([A], [[BIG], [BIG]], TRIALS), "1 sensors"),
        (lambda: several_planes([A, A], [[BIG]], [A]), "do not fit"),
        (lambda: from_amplitudes(10.0, [10.0, 10.0, 10.0], [0, 120, 240], 30.0), "too little"),
        (lambda: from_amplitudes(0.0, [0.0, 0.0, 0.0], [0, 120, 240], 30.0), "too little"),
        (lambda: from_amplitudes(10.0, [9.0, 12.0], [0, 120], 30.0), "2 trial positions"),
        (lambda: from_amplitudes(10.0, [9.0, 12.0, 11.0], [0, 1, 2], 30.0), "too close"),
        (lambda: from_amplitudes(10.0, [-9.0, 12.0, 11.0], [0, 120, 240], 30.0), "cannot be"),
    ],
)
def test_bad_input_gives_one_sentence(call, words) -> None:
    with pytest.raises(ReadingError) as caught:
        call()

    assert words in str(caught.value) and "\n" not in str(caught.value)
