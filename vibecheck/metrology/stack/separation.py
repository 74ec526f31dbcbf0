"""Which part runs out: tire, wheel and hub separated by turning them against each other.

The first harmonic read at one place (for instance the tread) is the sum of what each part brings,
each turned as mounted. With angles from the hub's marked stud,

    m = hub + exp(i w) wheel + exp(i (w + t)) tire

w the turn of the wheel on the hub, t the turn of the tire on the wheel, both clockwise seen from
outside; every part's own vector counts from its own mark (stud, valve stem, and for the tire the
mark made beside the valve stem before it was first turned). On a true-running spindle the hub
term drops out and angles count from the valve stem (w = 0). Readings at enough different clockings
make a linear least-squares problem.

A tire never stops quite at its mark: a turn off by a small angle moves its vector across itself.
How much that adds is known once the parts are, so the weights are worked out in a few rounds. A
wheel stands on its studs and is turned exactly.

Where a list was read with its places counted the wrong way round, its vector is the mirror image
of the true one. More clockings than needed show that: see `Mirror`.

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
from vibecheck.metrology.places import Way
from vibecheck.metrology.runout.harmonics import Floats
from vibecheck.metrology.stack.matching import STUDS
from vibecheck.metrology.vectors import FULL_TURN_DEG, Vector, difference, vector_of

Complexes = NDArray[np.complex128]
K = 2.0
CLOSE_AMPLIFICATION = 2.5  # a part known this much worse than one reading is poorly separated
SINGULAR = 1e-3  # least share of the strongest direction that still separates
TIRE_STEP_DEG = 15.0
OFF_THE_MARK_DEG = 12.0  # expanded, of a tire turned to a chalk mark by hand; from memory
ROUNDS = 4  # of weights that depend on the parts; they settle in two or three
MIRROR_GAIN = 9.0  # of chi-square by mirroring, before it is believed: three standard deviations


class Stacked(StrEnum):
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
    turn_uncertainty_deg : expanded, of the tire's turn; None for that of a turn by hand to a chalk
        mark, and for none as long as the tire stands where it stood first [deg].
    counted : which way the angle of the vector counts from its mark, seen from outside.
    """

    vector: Vector
    uncertainty: float
    tire_turn_deg: float = 0.0
    wheel_turn_deg: float = 0.0
    tire_on: bool = True
    on_hub: bool = True
    turn_uncertainty_deg: float | None = None
    counted: Way = Way.CLOCKWISE

    @property
    def xy(self) -> complex:
        """The vector as one complex number, clockwise positive."""
        return self.vector.xy if self.counted is Way.CLOCKWISE else self.vector.xy.conjugate()

    @property
    def turn_sd(self) -> float:
        """Standard uncertainty of the tire's turn [rad]."""
        if not self.tire_on:
            return 0.0
        spread = self.turn_uncertainty_deg
        if spread is None:
            spread = OFF_THE_MARK_DEG if difference(self.tire_turn_deg, 0.0) else 0.0
        return math.radians(spread) / K


class Mirrored(StrEnum):
    """Whether readings look as if their places were counted the wrong way round."""

    NOT_TESTABLE = "not_testable"
    NO = "no"
    ONE = "one"
    ALL = "all"


@dataclass(frozen=True)
class Mirror:
    """What the test for mirrored readings found.

    Attributes
    ----------
    found : one list, all lists, or none.
    clocking : number of the one, from 1; None otherwise.
    chi_square, mirrored_chi_square : misfit as read and as mirrored.
    """

    found: Mirrored
    clocking: int | None = None
    chi_square: float = 0.0
    mirrored_chi_square: float = 0.0


@dataclass(frozen=True)
class PartVector:
    """What one part brings: its vector, expanded uncertainties, and whether it is proven."""

    part: Stacked
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
    mirror : whether places were counted the wrong way round.
    """

    parts: tuple[PartVector, ...]
    chi_square: float
    freedom: int
    chi_square_limit: float | None
    repeated: bool | None
    too_close: bool
    next_clocking: NextClocking
    mirror: Mirror


@dataclass(frozen=True, eq=False)
class _Fit:
    """Parts as (x, y) pairs, their covariance, and the misfit."""

    solution: Floats
    covariance: Floats
    chi_square: float

    def part(self, place: int) -> complex:
        return complex(self.solution[2 * place], self.solution[2 * place + 1])


def separate(
    clockings: Sequence[Clocking], parts: Sequence[Stacked], stud_count: int | None = None
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
    wanted = tuple(part for part in Stacked if part in parts)
    _check(clockings, wanted)
    if stud_count is not None and not STUDS[0] <= stud_count <= STUDS[1]:
        raise ReadingError(
            f"{stud_count} studs are on no hub", "studs", f"write {STUDS[0]} to {STUDS[1]}"
        )
    matrix = np.array([_row(each, wanted) for each in clockings])
    weights = np.array([(K / each.uncertainty) ** 2 for each in clockings])
    normal = _normal(matrix, weights)
    _refuse_singular(normal, wanted)
    readings = np.array([each.xy for each in clockings])
    fitted = _fit(clockings, wanted, matrix, readings)
    freedom = 2 * (len(clockings) - len(wanted))
    limit = chi_square_one_sided_95(freedom) if freedom else None
    found = tuple(_part(part, fitted, place) for place, part in enumerate(wanted))
    usual = float(np.median([each.uncertainty for each in clockings]))
    worst = K * float(np.sqrt(np.real(np.diag(np.linalg.inv(normal))).max()))
    close = worst > CLOSE_AMPLIFICATION * usual
    repeated = None if limit is None else fitted.chi_square <= limit
    upcoming = _next(clockings, wanted, normal, stud_count)
    mirror = _mirror(clockings, wanted, matrix, readings, fitted, limit)
    return Separation(
        found, fitted.chi_square, freedom, limit, repeated, close, upcoming, mirror
    )


def _fit(
    clockings: Sequence[Clocking], wanted: tuple[Stacked, ...], matrix: Complexes,
    readings: Complexes,
) -> _Fit:
    """Least squares in x and y, the tire's turn uncertain across its vector [1]."""
    columns = np.vstack([_real(row) for row in matrix])
    values = np.ravel(np.column_stack([readings.real, readings.imag]))
    tire = wanted.index(Stacked.TIRE) if Stacked.TIRE in wanted else None
    across = np.zeros(len(clockings), dtype=complex)
    for _ in range(ROUNDS):
        inverse = _weights(clockings, across)
        covariance = np.linalg.inv(columns.T @ inverse @ columns)
        solution = covariance @ (columns.T @ inverse @ values)
        if tire is None or not any(each.turn_sd for each in clockings):
            break
        vector = complex(solution[2 * tire], solution[2 * tire + 1])
        across = 1j * matrix[:, tire] * vector * [each.turn_sd for each in clockings]
    left = values - columns @ solution
    return _Fit(
        np.asarray(solution, dtype=np.float64), np.asarray(covariance, dtype=np.float64),
        float(left @ inverse @ left),
    )


def _real(row: Complexes) -> Floats:
    """A row of complex factors as two rows on (x, y) pairs."""
    pair = np.empty((2, 2 * len(row)))
    pair[0, 0::2], pair[0, 1::2] = row.real, -row.imag
    pair[1, 0::2], pair[1, 1::2] = row.imag, row.real
    return pair


def _weights(clockings: Sequence[Clocking], across: Complexes) -> Floats:
    """Inverse covariance of all readings: their own spread, and the tire's turn along `across`."""
    size = len(clockings)
    lines = np.stack([across.real, across.imag], axis=1)
    own = np.array([(each.uncertainty / K) ** 2 for each in clockings])
    blocks = own[:, None, None] * np.eye(2) + lines[:, :, None] * lines[:, None, :]
    found = np.zeros((size, 2, size, 2))
    found[np.arange(size), :, np.arange(size), :] = np.linalg.inv(blocks)
    return found.reshape(2 * size, 2 * size)


def _mirror(
    clockings: Sequence[Clocking], wanted: tuple[Stacked, ...], matrix: Complexes,
    readings: Complexes, as_read: _Fit, limit: float | None,
) -> Mirror:
    """Whether one list or all fit far better mirrored: with a clocking more than is needed."""
    if limit is None:
        return Mirror(Mirrored.NOT_TESTABLE)
    if as_read.chi_square <= limit:
        return Mirror(Mirrored.NO, None, as_read.chi_square, as_read.chi_square)
    cases: list[tuple[Mirrored, int | None, float]] = []
    for place in range(len(clockings)):
        one = readings.copy()
        one[place] = one[place].conjugate()
        fitted = _fit(clockings, wanted, matrix, one)
        cases.append((Mirrored.ONE, place + 1, fitted.chi_square))
    fitted = _fit(clockings, wanted, matrix, readings.conj())
    cases.append((Mirrored.ALL, None, fitted.chi_square))
    found, clocking, best = min(cases, key=lambda case: case[2])
    if best > limit or as_read.chi_square - best < MIRROR_GAIN:
        return Mirror(Mirrored.NO, None, as_read.chi_square, best)
    return Mirror(found, clocking, as_read.chi_square, best)


def _refuse_singular(normal: Complexes, wanted: tuple[Stacked, ...]) -> None:
    eigenvalues = np.linalg.eigvalsh(normal)
    if eigenvalues[0] <= SINGULAR * eigenvalues[-1]:
        names = " and ".join(part.value for part in wanted)
        raise ReadingError(
            f"these clockings cannot separate {names}", "",
            "turn one part by about half a turn against the next and read again",
        )


def _row(clocking: Clocking, wanted: tuple[Stacked, ...]) -> list[complex]:
    wheel_turn = clocking.wheel_turn_deg if clocking.on_hub else 0.0
    factors = {
        Stacked.HUB: 1.0 + 0j if clocking.on_hub else 0j,
        Stacked.WHEEL: _unit(wheel_turn),
        Stacked.TIRE: _unit(wheel_turn + clocking.tire_turn_deg) if clocking.tire_on else 0j,
    }
    return [factors[part] for part in wanted]


def _unit(angle_deg: float) -> complex:
    return Vector(1.0, angle_deg).xy


def _normal(matrix: Complexes, weights: Floats) -> Complexes:
    return np.asarray(matrix.conj().T @ (weights[:, None] * matrix))


def _part(part: Stacked, fitted: _Fit, place: int) -> PartVector:
    """Along its vector a part is uncertain in size, across it in direction."""
    vector = vector_of(fitted.part(place))
    block = fitted.covariance[2 * place:2 * place + 2, 2 * place:2 * place + 2]
    radians = math.radians(vector.angle_deg)
    along = np.array([math.cos(radians), math.sin(radians)])
    aside = np.array([-along[1], along[0]])
    spread = K * math.sqrt(float(along @ block @ along))
    sideways = K * math.sqrt(float(aside @ block @ aside))
    turn = 180.0
    if vector.amplitude > max(spread, sideways):
        turn = math.degrees(math.asin(sideways / vector.amplitude))
    return PartVector(part, vector, spread, turn, vector.amplitude > max(spread, sideways))


def _next(
    clockings: Sequence[Clocking], wanted: tuple[Stacked, ...], normal: Complexes,
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
    last: Clocking, wanted: tuple[Stacked, ...], stud_count: int | None
) -> list[tuple[float, float]]:
    """Turns of tire and wheel that a person can set next [deg]."""
    tire_turns, wheel_turns = [last.tire_turn_deg], [last.wheel_turn_deg]
    if Stacked.TIRE in wanted and last.tire_on:
        tire_turns = list(np.arange(0.0, FULL_TURN_DEG, TIRE_STEP_DEG).tolist())
    if stud_count and last.on_hub and Stacked.HUB in wanted:
        wheel_turns = [place * FULL_TURN_DEG / stud_count for place in range(stud_count)]
    return [(tire, wheel) for tire in tire_turns for wheel in wheel_turns]


def _check(clockings: Sequence[Clocking], wanted: tuple[Stacked, ...]) -> None:
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
        spread = each.turn_uncertainty_deg
        if spread is not None and not 0.0 <= spread < 90.0:
            raise ReadingError(
                f"a turn uncertain by {spread:g} deg cannot be", f"clocking {number}",
                "write 0 to 90 deg",
            )
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
    turned_deg : how far the tire was turned on the wheel, counted the same way [deg].
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
