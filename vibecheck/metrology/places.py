"""Places round a wheel as they can be chalked, and the one way in which marks count.

A wheel is looked at from outside the car. The valve stem stands at the top: 0 deg, 12 o'clock.
Marks count clockwise: 90 deg is 3 o'clock. That holds on either side of the car and for the
inboard surfaces too; a hub counts from its marked stud in the same way.

What follows from this is plain geometry:
a wheel turned clockwise past a fixed gauge brings to the gauge places that lie farther and farther
counterclockwise from the first one, so a list read that way counts backward. Rolling forward,
the left wheels turn counterclockwise seen from outside, the right wheels clockwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from msgspec import Struct

from vibecheck.metrology.vectors import FULL_TURN_DEG, difference, wrap

HOURS = 12
HOUR_DEG = FULL_TURN_DEG / HOURS


class Way(StrEnum):
    """A sense of turning or counting, seen from outside the car."""

    CLOCKWISE = "clockwise"
    COUNTERCLOCKWISE = "counterclockwise"

    @property
    def sign(self) -> float:
        """+1 clockwise, -1 counterclockwise [unitless]."""
        return 1.0 if self is Way.CLOCKWISE else -1.0

    @property
    def opposite(self) -> Way:
        """The other sense."""
        return Way.COUNTERCLOCKWISE if self is Way.CLOCKWISE else Way.CLOCKWISE


class WheelTurn(StrEnum):
    """How the places of a list came under the tip."""

    GAUGE_MOVED = "gauge_moved"
    CLOCKWISE = "clockwise"
    COUNTERCLOCKWISE = "counterclockwise"

    @property
    def counts(self) -> Way:
        """The sense in which the places read one after the other lie on the wheel."""
        return Way.COUNTERCLOCKWISE if self is WheelTurn.CLOCKWISE else Way.CLOCKWISE


class CarSide(StrEnum):
    """Side of the car, as the driver sits."""

    LEFT = "left"
    RIGHT = "right"


class Mark(StrEnum):
    """What an angle counts from."""

    VALVE_STEM = "valve_stem"
    TIRE_MARK = "tire_mark"
    MARKED_STUD = "marked_stud"


class ClockPlace(Struct, frozen=True):
    """A place as on the face of a clock, to the half hour: hour 1 to 12, half past or not."""

    hour: int
    half: bool

    @property
    def degrees(self) -> float:
        """Clockwise from 12 o'clock [deg]."""
        return wrap(self.hour * HOUR_DEG + (HOUR_DEG / 2.0 if self.half else 0.0))


class WheelPlace(Struct, frozen=True):
    """A place or an arc round a wheel.

    Attributes
    ----------
    angle_deg : its middle, clockwise from the mark, seen from outside, in [0, 360) [deg].
    width_deg : whole width of the arc; 0 for a point [deg].
    mark : what the angle counts from.
    """

    angle_deg: float
    width_deg: float = 0.0
    mark: Mark = Mark.VALVE_STEM

    @property
    def clock(self) -> ClockPlace:
        """The nearest half hour."""
        return clock_place(self.angle_deg)


class PartTurn(Struct, frozen=True):
    """A turn of one part on another, as a person does it.

    Attributes
    ----------
    degrees : how far, 0 to 180 [deg].
    way : which way, seen from outside the car.
    mark : on the part that stays, from where the turn is measured.
    """

    degrees: float
    way: Way
    mark: Mark


def clock_place(angle_deg: float) -> ClockPlace:
    """The half hour nearest to an angle clockwise from the top [deg]."""
    halves = round(wrap(angle_deg) / (HOUR_DEG / 2.0)) % (2 * HOURS)
    return ClockPlace(halves // 2 or HOURS, bool(halves % 2))


def clockwise_deg(angles_deg: Sequence[float], counted: Way) -> list[float]:
    """Angles counted either way from the mark, as the one convention has them [deg]."""
    return [wrap(counted.sign * angle) for angle in angles_deg]


def rolled_forward(side: CarSide) -> WheelTurn:
    """How a wheel turns, seen from outside, when the car rolls forward."""
    return WheelTurn.COUNTERCLOCKWISE if side is CarSide.LEFT else WheelTurn.CLOCKWISE


def turning(turn_deg: float, mark: Mark) -> PartTurn:
    """A clockwise turn of any size as the shorter way to the same place [deg]."""
    short = difference(turn_deg, 0.0)
    return PartTurn(abs(short), Way.CLOCKWISE if short >= 0.0 else Way.COUNTERCLOCKWISE, mark)
