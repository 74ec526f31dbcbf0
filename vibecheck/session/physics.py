"""Strengths that follow from physics: at which speed a shake is felt worst, and from when on.

Each cause says which order it excites, by what law and along which path; with the tire's rolling
circumference and the resonance windows this gives a chance for every speed bin. Nothing here
knows a speed in advance: another tire size moves the bins. A cause whose rule says `speed: own`
(a noise, a drag, a swing that keeps itself going) is left out: resonance does not make it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Excites, Finding, Measure
from vibecheck.knowledge.profile import follows_resonance
from vibecheck.knowledge.words import Computed, Path, Turning
from vibecheck.metrology.orders.resonance import (
    FULL_TORQUE_KMH,
    ForceLaw,
    Window,
    onset_weights,
    worst_speed_weights,
)
from vibecheck.metrology.orders.tire_size import parse_size
from vibecheck.reasoning.rates import fits
from vibecheck.session.facts import number, rolling
from vibecheck.session.limits import base_edges

Array = NDArray[np.float64]

TYPICAL_AXLE_RATIO = 3.5  # unitless, from memory; used while the vehicle's own is unknown
TYPICAL_MOTOR_REDUCTION = 9.0  # unitless, from memory
# An electric motor holds full torque further up than an engine in the gear it is driven in; drivers
# meet its shudder at 65 to 110 km/h under power (from the trade).
ELECTRIC_FULL_TORQUE_KMH = 100.0
PROFILE = "tire_profile"  # the fact whose value follows from the tire size
LOW_PROFILE_PERCENT = 45.0  # section height over width from which down a tire counts as low
_WEIGHTS = {Computed.WORST_SPEED: worst_speed_weights, Computed.ONSET_SPEED: onset_weights}


def rows(library: Library, facts: Mapping[str, str]) -> dict[tuple[str, str], Array]:
    """Chance of each speed bin for every cause that shakes with speed.

    Returns
    -------
    (cause id, finding id) -> shape (bins,), summing to 1 [unitless]. Causes that shake alike share
    one array, which cannot be written to.
    """
    shaking = [
        cause for cause in library.causes.values()
        if follows_resonance(cause) and fits(cause.fits, facts)
    ]
    found: dict[tuple[str, str], Array] = {}
    for finding in library.findings.values():
        if finding.computed is None or finding.measure is None:
            continue
        weigh = _Weigher(library, facts, finding.computed, finding.measure)
        for cause in shaking:
            row = weigh.row(cause)
            if row is not None:
                found[cause.id, finding.id] = row
    return found


def speed_row(
    library: Library, facts: Mapping[str, str], finding: Finding, cause: Cause
) -> Array | None:
    """Chance of each speed bin for one cause, or None if it does not follow road speed."""
    if finding.computed is None or finding.measure is None:
        return None
    return _Weigher(library, facts, finding.computed, finding.measure).row(cause)


class _Weigher:
    """Rows of one finding on one vehicle, each distinct one worked out once."""

    def __init__(
        self, library: Library, facts: Mapping[str, str], computed: Computed, measure: Measure
    ) -> None:
        self._facts = facts
        self._paths = {path: windows(library, path) for path in Path}
        self._car = _Car(computed, rolling(facts).circumference_m, tuple(base_edges(measure)),
                         full_torque_kmh(facts))
        self._rows: dict[tuple[_Shake, ...], Array] = {}

    def row(self, cause: Cause) -> Array | None:
        """Chance of each speed bin, or None where the cause does not follow road speed."""
        shakes = tuple(
            (excites.share, per_turn, ForceLaw(excites.law.value), self._paths[excites.path])
            for excites in cause.excites
            if (per_turn := orders_per_wheel_turn(excites, self._facts)) is not None
        )
        if not shakes:
            return None
        if shakes not in self._rows:
            mean: Array = sum((share * _weights(self._car, *shake) for share, *shake in shakes),
                              np.zeros(len(self._car.bins_kmh) - 1))
            self._rows[shakes] = mean / mean.sum()
            self._rows[shakes].setflags(write=False)
        return self._rows[shakes]


_Shake = tuple[float, float, ForceLaw, tuple[Window, ...]]


class _Car(NamedTuple):
    """What the speeds of every cause rest on: [m], [km/h]."""

    computed: Computed
    circumference_m: float
    bins_kmh: tuple[float, ...]
    full_torque_kmh: float


@lru_cache(maxsize=2000)  # the distinct ones of a few dozen vehicles
def _weights(car: _Car, per_turn: float, law: ForceLaw, bands: tuple[Window, ...]) -> Array:
    return _WEIGHTS[car.computed](
        per_turn, law, car.circumference_m, bands, car.bins_kmh, car.full_torque_kmh
    )


def full_torque_kmh(facts: Mapping[str, str]) -> float:
    """The speed up to which full torque is at hand [km/h]."""
    electric = facts.get("propulsion") == "electric"
    return ELECTRIC_FULL_TORQUE_KMH if electric else FULL_TORQUE_KMH


def with_derived(library: Library, facts: Mapping[str, str]) -> dict[str, str]:
    """The facts, with those that follow from the tire size."""
    known = dict(facts)
    if PROFILE in library.facts and PROFILE not in facts and "tire_size" in facts:
        low = parse_size(facts["tire_size"]).aspect_percent <= LOW_PROFILE_PERCENT
        known[PROFILE] = "low" if low else "tall"
    return known


def windows(library: Library, path: Path) -> tuple[Window, ...]:
    """The resonance windows of one path."""
    return tuple(
        Window(each.name, each.low_hz, each.high_hz, each.gain)
        for each in library.resonances.values()
        if each.path is path
    )


def orders_per_wheel_turn(excites: Excites, facts: Mapping[str, str]) -> float | None:
    """Events per turn of the wheel, or None where the part does not follow the wheels."""
    if excites.of in (Turning.WHEEL, Turning.HALF_SHAFT):
        return excites.order
    if excites.of is Turning.DRIVESHAFT:
        return excites.order * (number(facts, "axle_ratio") or TYPICAL_AXLE_RATIO)
    if excites.of is Turning.MOTOR:
        return excites.order * (number(facts, "motor_reduction") or TYPICAL_MOTOR_REDUCTION)
    return None
