"""Which part runs out: tire, wheel and hub separated by turning them against each other.

The first harmonic read at one place (for instance the tread) is the sum of what each part brings,
each turned as mounted. With angles from the hub's marked stud,

    m = hub + exp(i w) wheel + exp(i (w + t)) tire

w the turn of the wheel on the hub, t the turn of the tire on the wheel, both positive in the
direction of rotation; every part's own vector counts from its own mark (stud, valve stem, and for
the tire the mark made beside the valve stem before it was first turned). On a true-running
spindle the hub term drops out and angles count from the valve stem (w = 0). Readings at enough
different clockings make a linear least-squares problem with complex unknowns.

Uncertainties given and returned are expanded, k = 2 (about 95 %), on an amplitude.

Assumptions: a remount repeats within the uncertainty stated; parts do not deform one another.

References
----------
1. JCGM 100:2008 (GUM), Annex C and 5.2: least squares with covariance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from vibecheck.distributions import chi_square_one_sided_95
from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.vectors import FULL_TURN_DEG, Vector, difference, vector_of

Complexes = NDArray[np.complex128]
K = 2.0
CLOSE_AMPLIFICATION = 2.5  # a part known this much worse than one reading is poorly separated
SINGULAR = 1e-3  # least share of the strongest direction that still separates
TIRE_STEP_DEG = 15.0


class Part(StrEnum):
    """What is stacked."""

    TIRE = "tire"
    WHEEL = "wheel"
    HUB = "hub"


@dataclass(frozen=True)
class Clocking:
    """One measured first harmonic and how the parts stood to each other.

    Attributes
    ----------
    vector : amplitude [mm, or N for force variation] and high spot [deg].
    uncertainty : expanded, of the amplitude [same unit], above 0.
    tire_turn_deg : of the tire on the wheel, from where it stood first [deg].
    wheel_turn_deg : of the wheel on the hub, valve stem from the marked stud [deg].
    tire_on : False if the wheel alone was read (at its bead seat).
    on_hub : False if read on a true-running spindle, angles from the valve stem.
    """

    vector: Vector
    uncertainty: float
    tire_turn_deg: float = 0.0
    wheel_turn_deg: float = 0.0
    tire_on: bool = True
    on_hub: bool = True


@dataclass(frozen=True)
class PartVector:
    """What one part brings: its vector, expanded uncertainties, and whether it is proven."""

    part: Part
    vector: Vector
    uncertainty: float
    angle_uncertainty_deg: float
    proven: bool


@dataclass(frozen=True)
class NextClocking:
    """The clocking that would help most, and the worst part's uncertainty after it."""

    tire_turn_deg: float
    wheel_turn_deg: float
    uncertainty_after: float


@dataclass(frozen=True)
class Separation:
    """The parts told apart.

    Attributes
    ----------
    parts : in the order tire, wheel, hub as far as asked for.
    chi_square, freedom : misfit and its degrees of freedom (2 per reading, less 2 per part).
    chi_square_limit : 95 % quantile; None without degrees of freedom.
    repeated : False if the misfit is beyond it: a remount did not repeat; None if not testable.
    too_close : a part is known far worse than one reading: the clockings lie too close.
    next_clocking : what to read next.
    """

    parts: tuple[PartVector, ...]
    chi_square: float
    freedom: int
    chi_square_limit: float | None
    repeated: bool | None
    too_close: bool
    next_clocking: NextClocking


def separate(
    clockings: Sequence[Clocking], parts: Sequence[Part], stud_count: int | None = None
) -> Separation:
    """Tell the parts apart by weighted least squares.

    Parameters
    ----------
    clockings : readings, at least as many as parts.
    parts : the unknown parts; a part left out is taken to run true.
    stud_count : studs of the hub, for the next clocking; None leaves the wheel where it is.

    Raises
    ------
    ReadingError : too few clockings, impossible numbers, or clockings that cannot separate.
    """
    wanted = tuple(part for part in Part if part in parts)
    _check(clockings, wanted)
    matrix = np.array([_row(each, wanted) for each in clockings])
    readings = np.array([each.vector.xy for each in clockings])
    weights = np.array([(K / each.uncertainty) ** 2 for each in clockings])
    normal = _normal(matrix, weights)
    _refuse_singular(normal, wanted)
    inverse = np.linalg.inv(normal)
    solution = inverse @ (matrix.conj().T @ (weights * readings))
    residuals = readings - matrix @ solution
    chi_square = float(np.sum(weights * np.abs(residuals) ** 2))
    freedom = 2 * (len(clockings) - len(wanted))
    limit = chi_square_one_sided_95(freedom) if freedom else None
    spreads = K * np.sqrt(np.real(np.diag(inverse)))
    found = tuple(
        _part(part, complex(value), float(spread))
        for part, value, spread in zip(wanted, solution, spreads, strict=True)
    )
    usual = float(np.median([each.uncertainty for each in clockings]))
    close = bool(spreads.max() > CLOSE_AMPLIFICATION * usual)
    repeated = None if limit is None else chi_square <= limit
    upcoming = _next(clockings, wanted, normal, stud_count)
    return Separation(found, chi_square, freedom, limit, repeated, close, upcoming)


def _refuse_singular(normal: Complexes, wanted: tuple[Part, ...]) -> None:
    eigenvalues = np.linalg.eigvalsh(normal)
    if eigenvalues[0] <= SINGULAR * eigenvalues[-1]:
        names = " and ".join(part.value for part in wanted)
        raise ReadingError(
            f"these clockings cannot separate {names}", "",
            "turn one part by about half a turn against the next and read again",
        )


def _row(clocking: Clocking, wanted: tuple[Part, ...]) -> list[complex]:
    wheel_turn = clocking.wheel_turn_deg if clocking.on_hub else 0.0
    factors = {
        Part.HUB: 1.0 + 0j if clocking.on_hub else 0j,
        Part.WHEEL: _unit(wheel_turn),
        Part.TIRE: _unit(wheel_turn + clocking.tire_turn_deg) if clocking.tire_on else 0j,
    }
    return [factors[part] for part in wanted]


def _unit(angle_deg: float) -> complex:
    return Vector(1.0, angle_deg).xy


def _normal(matrix: Complexes, weights: Floats) -> Complexes:
    return np.asarray(matrix.conj().T @ (weights[:, None] * matrix))


def _part(part: Part, value: complex, spread: float) -> PartVector:
    vector = vector_of(value)
    turn = 180.0
    if vector.amplitude > spread:
        turn = math.degrees(math.asin(spread / vector.amplitude))
    return PartVector(part, vector, spread, turn, vector.amplitude > spread)


def _next(
    clockings: Sequence[Clocking], wanted: tuple[Part, ...], normal: Complexes,
    stud_count: int | None,
) -> NextClocking:
    """Of all clockings that can be set, the one that leaves the least variance."""
    usual = float(np.median([each.uncertainty for each in clockings]))
    last = clockings[-1]
    turns = _settable(last, wanted, stud_count)
    rows = np.array([
        _row(replace(last, tire_turn_deg=tire, wheel_turn_deg=wheel), wanted)
        for tire, wheel in turns
    ])
    gained = (K / usual) ** 2 * rows.conj()[:, :, None] * rows[:, None, :]
    after = np.real(np.einsum("gkk->gk", np.linalg.inv(normal[None] + gained)))
    moved = [
        (tire != last.tire_turn_deg) + (wheel != last.wheel_turn_deg) for tire, wheel in turns
    ]
    worth = np.round(after.sum(axis=1) / usual**2, 9)
    best = min(range(len(turns)), key=lambda place: (worth[place], moved[place], turns[place]))
    return NextClocking(*turns[best], K * math.sqrt(float(after[best].max())))


def _settable(
    last: Clocking, wanted: tuple[Part, ...], stud_count: int | None
) -> list[tuple[float, float]]:
    """Turns of tire and wheel that a person can set next [deg]."""
    tire_turns, wheel_turns = [last.tire_turn_deg], [last.wheel_turn_deg]
    if Part.TIRE in wanted and last.tire_on:
        tire_turns = list(np.arange(0.0, FULL_TURN_DEG, TIRE_STEP_DEG).tolist())
    if stud_count and last.on_hub and Part.HUB in wanted:
        wheel_turns = [place * FULL_TURN_DEG / stud_count for place in range(stud_count)]
    return [(tire, wheel) for tire in tire_turns for wheel in wheel_turns]


def _check(clockings: Sequence[Clocking], wanted: tuple[Part, ...]) -> None:
    if not wanted:
        raise ReadingError("there is no part to separate", "", "name tire, wheel or hub")
    if len(clockings) < len(wanted):
        raise ReadingError(
            f"{len(clockings)} clockings cannot separate {len(wanted)} parts", "",
            f"read at {len(wanted)} clockings or more",
        )
    for number, each in enumerate(clockings, start=1):
        numbers = (each.vector.amplitude, each.vector.angle_deg, each.tire_turn_deg,
                   each.wheel_turn_deg, each.uncertainty)
        if not all(math.isfinite(value) for value in numbers) or each.vector.amplitude < 0.0:
            raise ReadingError("an amplitude or angle cannot be", f"clocking {number}")
        if each.uncertainty <= 0.0:
            raise ReadingError(
                f"an uncertainty of {each.uncertainty:g} cannot be", f"clocking {number}",
                "write a number above 0",
            )


class Follows(StrEnum):
    """What the high spot went with when the tire was turned on the wheel."""

    TIRE = "tire"
    WHEEL = "wheel"
    BOTH = "both"


def high_spot_follows(
    before_deg: float, after_deg: float, turned_deg: float = 180.0, uncertainty_deg: float = 30.0
) -> Follows:
    """The shop's shortcut: turn the tire on the wheel and see what the high spot follows.

    Parameters
    ----------
    before_deg, after_deg : high spot from the valve stem before and after [deg].
    turned_deg : how far the tire was turned on the wheel [deg].
    uncertainty_deg : how surely a high spot is found, expanded [deg].

    Raises
    ------
    ReadingError : a turn too small to tell (not above twice the uncertainty), or no number.
    """
    numbers = (before_deg, after_deg, turned_deg, uncertainty_deg)
    if not all(math.isfinite(value) for value in numbers) or uncertainty_deg <= 0.0:
        raise ReadingError("an angle cannot be", "", "write angles in degrees")
    if abs(difference(turned_deg, 0.0)) <= 2.0 * uncertainty_deg:
        raise ReadingError(
            f"a turn of {turned_deg:g} deg is too small to tell", "", "turn the tire half a turn"
        )
    moved = difference(after_deg, before_deg)
    if abs(moved) <= uncertainty_deg:
        return Follows.WHEEL
    if abs(difference(moved, turned_deg)) <= uncertainty_deg:
        return Follows.TIRE
    return Follows.BOTH
