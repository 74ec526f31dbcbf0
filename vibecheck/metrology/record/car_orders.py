"""What judging a record needs of a car and its speed: its orders and the prior of their scale."""

from __future__ import annotations

from dataclasses import dataclass

from vibecheck.metrology.orders.rotating_parts import Driveline, Part, order_table
from vibecheck.metrology.orders.tire_size import Rolling
from vibecheck.metrology.record.judge import PartOrder, turning_of
from vibecheck.metrology.record.scale import Prior, SizeSource, SpeedSource, prior_of

ANY_KMH = 100.0  # places over the wheel do not depend on it
# Orders over the wheel that parts of a usual car may have where the ratio is not known, memory.
DRIVESHAFT_MAY = (2.2, 4.9)
CRANK_MAY = (1.4, 5.0)
FIRING_MAY = (2.0, 20.0)
MOTOR_MAY = (6.0, 14.0)


@dataclass(frozen=True, eq=False)
class CarOrders:
    """A car's orders and what is known of their scale.

    Attributes
    ----------
    turning : every order that the car is known to have.
    prior : of the scale.
    unknown : parts of unknown ratio, with the orders between which they may stand.
    """

    turning: tuple[PartOrder, ...]
    prior: Prior
    unknown: tuple[tuple[Part, float, float], ...]


def car_orders(
    rolling: Rolling, driveline: Driveline, source: SpeedSource, tread_mm: float | None = None,
    truck: bool = False, speed_share: float | None = None, measured_u_m: float | None = None,
    size_from: SizeSource = SizeSource.UNKNOWN,
) -> CarOrders:
    """A car's orders; for the parameters see `scale.prior_of`.

    Raises
    ------
    VehicleError : a ratio or count that no road vehicle has.
    """
    turning = turning_of(order_table(ANY_KMH, rolling, driveline))
    prior = prior_of(rolling, source, tread_mm, truck, speed_share, measured_u_m,
                     size_from=size_from)
    return CarOrders(turning, prior, _unknown(driveline))


def _unknown(known: Driveline) -> tuple[tuple[Part, float, float], ...]:
    open_parts: list[tuple[Part, float, float]] = []
    if known.axle_ratio is None and known.has_driveshaft is not False:
        open_parts.append((Part.DRIVESHAFT, *DRIVESHAFT_MAY))
    if known.overall_ratio is None and not known.electric:
        open_parts += [(Part.ENGINE_CRANK, *CRANK_MAY), (Part.ENGINE_FIRING, *FIRING_MAY)]
    if known.motor_reduction is None and known.electric:
        open_parts.append((Part.MOTOR, *MOTOR_MAY))
    return tuple(open_parts)
