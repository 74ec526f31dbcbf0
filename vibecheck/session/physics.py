"""Strengths that follow from physics: at which speed a cause is felt worst, and from when on.

Each cause says which order it excites, by what law and along which path; with the tire's rolling
circumference and the resonance windows this gives a chance for every speed bin. Nothing here
knows a speed in advance: another tire size moves the bins.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Excites, Finding
from vibecheck.knowledge.words import Computed, Path, Turning
from vibecheck.metrology.orders.resonance import (
    Law,
    Window,
    onset_weights,
    worst_speed_weights,
)
from vibecheck.reasoning.network import fits
from vibecheck.session.facts import number, rolling

Array = NDArray[np.float64]

TYPICAL_AXLE_RATIO = 3.5  # unitless, from memory; used while the vehicle's own is unknown
TYPICAL_MOTOR_REDUCTION = 9.0  # unitless, from memory
_WEIGHTS = {Computed.WORST_SPEED: worst_speed_weights, Computed.ONSET_SPEED: onset_weights}


def rows(library: Library, facts: Mapping[str, str]) -> dict[tuple[str, str], Array]:
    """Chance of each speed bin for every cause that shakes with speed.

    Returns
    -------
    (cause id, finding id) -> shape (bins,), summing to 1 [unitless].
    """
    found: dict[tuple[str, str], Array] = {}
    for finding in library.findings.values():
        if finding.computed is None or finding.measure is None:
            continue
        for cause in library.causes.values():
            if cause.excites and fits(cause.fits, facts):
                row = speed_row(library, facts, finding, cause)
                if row is not None:
                    found[cause.id, finding.id] = row
    return found


def speed_row(
    library: Library, facts: Mapping[str, str], finding: Finding, cause: Cause
) -> Array | None:
    """Chance of each speed bin for one cause, or None if it does not follow road speed."""
    if finding.computed is None or finding.measure is None:
        return None
    bins = np.array(finding.measure.edges)
    single = [
        _WEIGHTS[finding.computed](
            per_wheel_turn,
            Law(excites.law.value),
            rolling(facts).circumference_m,
            windows(library, excites.path),
            bins,
        )
        for excites in cause.excites
        if (per_wheel_turn := orders_per_wheel_turn(excites, facts)) is not None
    ]
    if not single:
        return None
    mean: Array = np.mean(single, axis=0)
    return np.asarray(mean / mean.sum(), dtype=np.float64)


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
