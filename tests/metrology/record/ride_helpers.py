"""Drawn rides judged, and the count of what was named in a population of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import beta

from vibecheck.metrology.record.car_orders import CarOrders, car_orders
from vibecheck.metrology.record.even import even
from vibecheck.metrology.record.judge import RecordJudgement, judge
from vibecheck.metrology.record.order_tracking import with_constant_speed
from vibecheck.metrology.record.scale import SizeSource, SpeedSource
from vibecheck.virtual.drawn_rides import (
    AROUND_M,
    DRIVELINE,
    PART_OF,
    ROLLING,
    Drawn,
    Population,
    drawn_ride,
)


def judged(drawn: Drawn, car: CarOrders) -> RecordJudgement:
    record = even(drawn.record)
    if drawn.typed_kmh is not None:
        record = with_constant_speed(record, drawn.typed_kmh)
    return judge(record, AROUND_M, car.turning, car.prior, unknown=car.unknown,
                 speed_recorded=drawn.typed_kmh is None)


@dataclass(frozen=True)
class Tally:
    """What was named in a population, and how the scale's interval held."""

    count: int
    right: int
    wrong: int
    held: int
    stated: int
    scales: int
    scales_held: int

    @property
    def wrong_bound(self) -> float:
        """Upper 95 % bound of the share of rides with a wrong part (Clopper and Pearson)."""
        return float(beta.ppf(0.95, self.wrong + 1, self.count - self.wrong))


def tallied(
    population: Population, count: int, seed: int, size_from: SizeSource = SizeSource.TIRE
) -> Tally:
    rng = np.random.default_rng(seed)
    car = car_orders(ROLLING, DRIVELINE, SpeedSource.DASH if population.dash else SpeedSource.GPS,
                     size_from=size_from)
    right = wrong = held = stated = scales = scales_held = 0
    for _ in range(count):
        drawn = drawn_ride(population, rng)
        found = judged(drawn, car)
        at_fault = PART_OF.get(population.wrong)
        named = {(each.turning.part, each.turning.order) for each in found.orders if each.named}
        right += at_fault in named
        wrong += bool(named - {at_fault})
        for each in found.orders:
            if (each.turning.part, each.turning.order) == at_fault and each.named:
                stated += 1
                held += each.low <= each.turning.per_wheel_turn <= each.high
                scales += 1
                scales_held += found.scale.low <= drawn.scale <= found.scale.high
    return Tally(count, right, wrong, held, stated, scales, scales_held)
