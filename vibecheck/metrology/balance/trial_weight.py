"""Balancing a wheel on the car by trial weights (influence coefficients), one or two planes.

The wheel is run up to one speed, its vibration read as amplitude and phase; a known trial weight
is added and the run repeated. What the trial weight changed tells how the car answers a weight
in that plane, and so which weight brings the vibration to zero. Vibration may be in any one unit
as long as it is the same in all runs; phases are in the angle convention of `vectors`.

Where no phase can be read (a phone has no mark on the wheel), `from_amplitudes` needs three or
more trial positions instead.

No two runs are alike: speed, tire temperature and mounting change a vibration by some percent of
itself, whatever the sensor can do, and a weight never sticks quite where it is meant to. Both are
taken by default.

Assumptions: the car answers in proportion to the weight; all runs are at the same speed; trial
weights are taken off again before the next run. A raised, driven wheel is dangerous: cautions
belong to the caller.

References
----------
1. S. S. Rao, Mechanical Vibrations, chapter 9: one-plane and two-plane balancing (from memory).
2. JCGM 100:2008 (GUM) and JCGM 102:2011: propagation of uncertainty, complex quantities.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from vibecheck.errors import ReadingError
from vibecheck.metrology.balance.two_planes import EXPAND_2D, check_weight
from vibecheck.metrology.places import Way
from vibecheck.metrology.vectors import Vector, vector_of

Complex = npt.NDArray[np.complex128]
Real = npt.NDArray[np.float64]

LEAST_CHANGE = 6.0  # change by the trial weight, in standard uncertainties of that change
LEAST_CHANGE_SHARE = 0.1  # where no uncertainty is known: share of the first vibration
RUN_TO_RUN = 0.03  # standard, of each component, as a share of the vibration; from memory
POSITION_SD_DEG = 5.0  # standard, of a weight stuck on by eye; from memory
WORST_CONDITION = 50.0  # above this the two planes act alike


@dataclass(frozen=True)
class TrialResult:
    """Weights that bring the vibration to zero.

    Attributes
    ----------
    weights : one weight to add for each plane [g, deg], trial weights taken off.
    u_grams : standard uncertainty of each component of each weight [g].
    left : vibration still expected at each sensor (two standard uncertainties of the
        prediction) [unit of the vibration].
    influence : what one gram at 0 deg does, sensors by planes [unit of vibration per g].
    """

    weights: tuple[Vector, ...]
    u_grams: tuple[float, ...]
    left: tuple[float, ...]
    influence: tuple[tuple[complex, ...], ...]

    @property
    def radius_95_grams(self) -> tuple[float, ...]:
        """Radius of the circle about each weight that holds the right one at 95 % [g]."""
        return tuple(EXPAND_2D * u for u in self.u_grams)


def two_planes(
    first: tuple[Vector, Vector],
    with_inner: tuple[Vector, Vector],
    with_outer: tuple[Vector, Vector],
    trials: tuple[Vector, Vector],
    u_vibration: float = 0.0,
    run_to_run: float = RUN_TO_RUN,
) -> TrialResult:
    """Weights for two planes from three runs, read at two sensors.

    Parameters
    ----------
    first : vibration as found at the two sensors [any unit, deg].
    with_inner, with_outer : the same with the trial weight in the inner, then the outer plane.
    trials : the trial weight of the inner and of the outer plane [g, deg].
    u_vibration : standard uncertainty of each component of a vibration reading [same unit].
    run_to_run : standard change of a vibration from one run to the next, a share of it [unitless].

    Raises
    ------
    ReadingError : a reading cannot be, a trial weight changed too little to tell, or the two
        planes act so alike that they cannot be told apart.
    """
    return several_planes(list(first), [list(with_inner), list(with_outer)], list(trials),
                          u_vibration, run_to_run)


def several_planes(
    first: Sequence[Vector],
    runs: Sequence[Sequence[Vector]],
    trials: Sequence[Vector],
    u_vibration: float = 0.0,
    run_to_run: float = RUN_TO_RUN,
) -> TrialResult:
    """Weights for n planes from n + 1 runs at m >= n sensors; see `two_planes`.

    With A = dV/dm the influence matrix and w the weights, A w = -V. An error dV in the readings
    gives, to first order, dw = -A^-1 [dV_0 (1 - sum w_j/t_j) + sum dV_j w_j/t_j] (t_j the trial
    weights): the uncertainty stated.
    """
    start, after, masses = _as_arrays(first, runs, trials)
    for spread in (u_vibration, run_to_run):
        if not (math.isfinite(spread) and spread >= 0.0):
            raise ReadingError(
                f"an uncertainty of {spread:g} cannot be", "trial weight", "write 0 or more"
            )
    change = after - start
    _refuse_small_change(change, start, u_vibration)
    influence = (change / masses[:, None]).T
    _refuse_alike(influence)
    inverse = np.linalg.pinv(influence)
    weights = -inverse @ start
    ratio = weights / masses
    shares = np.concatenate([[abs(1.0 - ratio.sum())], np.abs(ratio)])
    sizes = np.abs(np.vstack([start, after]))  # runs by sensors
    spreads = shares[:, None] * np.hypot(u_vibration, run_to_run * sizes)
    u_sensors = np.sqrt((spreads**2).sum(axis=0))
    u_weights = np.sqrt((abs(inverse) ** 2) @ u_sensors**2)
    left = np.abs(start + influence @ weights) + 2.0 * u_sensors
    return TrialResult(
        weights=tuple(vector_of(complex(weight)) for weight in weights),
        u_grams=tuple(float(u) for u in u_weights),
        left=tuple(float(value) for value in left),
        influence=tuple(tuple(complex(cell) for cell in row) for row in influence),
    )


def from_amplitudes(
    first: float, runs: Sequence[float], positions_deg: Sequence[float], trial_g: float,
    u_vibration: float = 0.0, run_to_run: float = RUN_TO_RUN,
    position_sd_deg: float = POSITION_SD_DEG, counted: Way = Way.CLOCKWISE,
) -> TrialResult:
    """Weight for one plane from amplitudes alone, trial weight at three or more places in turn.

    |V_k|^2 = |V_0|^2 + s + 2 (c cos a_k + d sin a_k), linear in s, c, d; the imbalance is
    (c + i d) / s trial weights.

    Parameters
    ----------
    first : amplitude as found [any unit].
    runs : amplitude with the trial weight at each position [same unit].
    positions_deg : the positions [deg], three or more, well spread.
    trial_g : the one trial weight used [g].
    u_vibration : standard uncertainty of an amplitude [same unit].
    run_to_run : standard change from one run to the next, as a share of an amplitude [unitless].
    position_sd_deg : standard uncertainty of where the trial weight stuck [deg].
    counted : which way the positions count from the valve stem, seen from outside.

    Raises
    ------
    ReadingError : too few or ill-spread positions, a reading cannot be, or the trial weight
        changed too little to tell.
    """
    amplitudes = np.array([first, *runs], dtype=np.float64)
    _check_amplitude_runs(amplitudes, positions_deg, trial_g)
    angles = counted.sign * np.radians(np.array(positions_deg, dtype=np.float64))
    design = np.column_stack([np.ones_like(angles), 2 * np.cos(angles), 2 * np.sin(angles)])
    if np.linalg.cond(design) > WORST_CONDITION:
        raise ReadingError(
            "the trial positions are too close together", "trial weight",
            "use for example 0, 120 and 240 degrees",
        )
    solve = np.linalg.pinv(design)
    square, cos_part, sin_part = solve @ (amplitudes[1:] ** 2 - amplitudes[0] ** 2)
    change = math.sqrt(max(float(square), 0.0))
    # A squared amplitude is uncertain by 2 |V| u; the first run enters every equation.
    by_run = np.column_stack([-2.0 * amplitudes[0] * np.ones(len(runs)),
                              np.diag(2.0 * amplitudes[1:])])
    slopes = solve @ by_run
    u_each_run = np.hypot(u_vibration, run_to_run * amplitudes)
    u_change = u_vibration * float(np.linalg.norm(slopes[0])) / max(2.0 * change, 1e-300)
    if change == 0.0 or change < max(LEAST_CHANGE * u_change, LEAST_CHANGE_SHARE * first):
        raise _changed_too_little(change, "the trial weight")
    direction = complex(cos_part, sin_part) / float(square)
    weight = -trial_g * direction
    by_reading = _of_direction(slopes, direction) / float(square) * u_each_run
    # A weight off its place shifts the squared amplitude of its own run.
    moved = 2.0 * (sin_part * np.cos(angles) - cos_part * np.sin(angles))
    by_place = _of_direction(solve * moved[None, :], direction) / float(square)
    by_place = by_place * math.radians(position_sd_deg)
    u_each = trial_g * math.hypot(
        float(np.linalg.norm(by_reading)), float(np.linalg.norm(by_place))
    ) / math.sqrt(2.0)
    influence = change / trial_g
    return TrialResult((vector_of(weight),), (u_each,), (2.0 * u_each * influence,),
                       ((complex(influence),),))


def _of_direction(slopes: Real, direction: complex) -> Complex:
    """How the ratio (c + i d) / s moves with each cause, times s; `slopes` are of s, c and d."""
    return np.asarray(slopes[1] + 1j * slopes[2] - direction * slopes[0])


def _as_arrays(
    first: Sequence[Vector], runs: Sequence[Sequence[Vector]], trials: Sequence[Vector]
) -> tuple[Complex, Complex, Complex]:
    sensors, planes = len(first), len(trials)
    if planes == 0 or sensors < planes:
        raise ReadingError(
            f"{sensors} sensors cannot steer {planes} planes", "trial weight",
            "read at least one sensor for each plane",
        )
    if len(runs) != planes or any(len(run) != sensors for run in runs):
        raise ReadingError(
            "the runs do not fit the planes and sensors", "trial weight",
            "give one run for each trial weight, each with every sensor's reading",
        )
    for trial in trials:
        check_weight(trial, "trial weight")
        if trial.amplitude == 0.0:
            raise ReadingError("a trial weight of 0 g tells nothing", "trial weight", "write 30")
    start = np.array([reading.xy for reading in first], dtype=np.complex128)
    after = np.array([[reading.xy for reading in run] for run in runs], dtype=np.complex128)
    if not (np.isfinite(start).all() and np.isfinite(after).all()):
        raise ReadingError("a vibration reading is no number", "trial weight", "read it again")
    return start, after, np.array([trial.xy for trial in trials], dtype=np.complex128)


def _refuse_small_change(change: Complex, start: Complex, u_vibration: float) -> None:
    needed = LEAST_CHANGE * math.sqrt(2.0) * u_vibration
    if u_vibration == 0.0:
        needed = LEAST_CHANGE_SHARE * float(np.max(np.abs(start)))
    for index, row in enumerate(change):
        most = float(np.max(np.abs(row)))
        if most <= needed or most == 0.0:
            name = "the trial weight" if len(change) == 1 else f"trial weight {index + 1}"
            raise _changed_too_little(most, name)


def _changed_too_little(change: float, name: str) -> ReadingError:
    return ReadingError(
        f"{name} changed the vibration by only {change:.3g}, too little to tell", "trial weight",
        "use a heavier trial weight or run at the speed that shakes most",
    )


def _refuse_alike(influence: Complex) -> None:
    scaled = influence / np.linalg.norm(influence, axis=0)
    if np.linalg.cond(scaled) > WORST_CONDITION:
        raise ReadingError(
            "the two planes act so alike that they cannot be told apart", "trial weight",
            "correct in one plane only, or move the sensors apart",
        )


def _check_amplitude_runs(
    amplitudes: Real, positions_deg: Sequence[float], trial_g: float
) -> None:
    if len(positions_deg) != len(amplitudes) - 1 or len(positions_deg) < 3:
        raise ReadingError(
            f"{len(positions_deg)} trial positions and {len(amplitudes) - 1} amplitudes do not do",
            "trial weight", "give one amplitude for each of three or more positions",
        )
    check_weight(Vector(trial_g, 0.0), "trial weight")
    fine = np.isfinite(amplitudes).all() and (amplitudes >= 0.0).all()
    if not fine or trial_g == 0.0 or not all(math.isfinite(p) for p in positions_deg):
        raise ReadingError(
            "an amplitude, position or trial weight cannot be", "trial weight",
            "write positive numbers, for example 30 g and 0, 120, 240 degrees",
        )
