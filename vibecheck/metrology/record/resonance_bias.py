"""How far a resonance that is passed on the way moves the peak of an order.

What turns reaches the phone through the springs of the car. Beyond a resonance the shake lags up
to half a turn more than below it [1], so while the speed rises through it the phone sees a little
less than the order, and while the speed falls a little more. A lag that grows and a smaller order
look alike, so the phase itself does not tell; but the same resonance shows in the strength. So
every resonance of a family is held against the strength along the record, and the shifts that
they give are averaged by how well each fits.

The family: one mass on a spring with a damper, driven by a force that stays (an eccentric wheel,
a joint) or grows with the square of the speed (imbalance). Assumption: one mode leads near the
speeds driven; the strength may differ from it by a third, for other modes and for the road.

References
----------
1. J. P. den Hartog, Mechanical Vibrations, chapter 2: amplitude and phase of one mass on a spring
   and damper (from memory).
2. P. D. Welch, IEEE Trans. Audio Electroacoust. 15 (1967) 70-73: windowed segments.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

Real = npt.NDArray[np.float64]

MODE_HZ = np.geomspace(5.0, 40.0, 60)  # body to steering column; usual range, from memory
MODE_DAMPING = np.geomspace(0.05, 0.4, 8)
FORCE_POWER = (0.0, 2.0)  # of the speed
MODES, DAMPINGS = (each.reshape(-1, 1) for each in np.meshgrid(
    MODE_HZ, MODE_DAMPING, indexing="ij"))
MODEL_SHARE = 0.3  # standard deviation of a strength from the family's, beside noise
LEAST_POWER = 0.05  # of the mean; a weaker segment counts as uncertain as one of that strength
MOST_GROUPS = 150  # of neighboring segments; more tell no more
# Variance of a tone's power in one Hann segment, for noise of power N a bin and axis: twice the
# cross term 4 sum w^4 / (sum w^2)^2, and the noise of five correlated bins on three axes.
CROSS, OWN = 35.0 / 9.0, 26.0


def shift_of(
    strength: Real, hertz: Real, hertz_a_turn: Real, noise: float
) -> tuple[float, float]:
    """Shift of an order's peak by the resonances on the way, and its standard uncertainty.

    Parameters
    ----------
    strength : (k,) power that each segment shows at the order [(m/s2)^2].
    hertz : (k,) frequency of the order in each segment [Hz].
    hertz_a_turn : (k,) how fast that changes [Hz per wheel turn].
    noise : power of the noise in one bin of one axis [(m/s2)^2].

    Returns
    -------
    Shift and uncertainty [wheel orders]; what the peak shows, less the shift, is the order.
    """
    strength, hertz, hertz_a_turn = _grouped(np.stack([strength, hertz, hertz_a_turn]))
    power = np.maximum(strength, 0.0)
    if not power.any():
        return 0.0, 0.0
    square = (hertz / MODES) ** 2
    answer = 1.0 / ((1.0 - square) ** 2 + 4.0 * DAMPINGS**2 * square)
    lag_a_hertz = 2.0 * DAMPINGS / MODES * (1.0 + square) * answer
    shifts = -(lag_a_hertz @ (power * hertz_a_turn)) / power.sum() / (2.0 * math.pi)
    shifts = np.concatenate([shifts] * len(FORCE_POWER))
    shapes = [(hertz / hertz.mean()) ** (2.0 * rise) * answer for rise in FORCE_POWER]
    weights = _fit(strength, np.concatenate(shapes), power, noise)
    shift = float(weights @ shifts)
    return shift, math.sqrt(float(weights @ (shifts - shift) ** 2))


def _grouped(rows: Real) -> Real:
    """(3, g) means over groups of neighbors as large as each other, of (3, k)."""
    count = rows.shape[1]
    edges = np.arange(0, count, -(-count // MOST_GROUPS))
    return np.asarray(np.add.reduceat(rows, edges, axis=1) / np.diff([*edges, count]))


def _fit(strength: Real, shape: Real, power: Real, noise: float) -> Real:
    """(m,) weight of each member (m, k) of the family by its likelihood, each at its best size."""
    variance = CROSS * power * noise + OWN * noise**2 + (MODEL_SHARE * power) ** 2
    variance += (LEAST_POWER * MODEL_SHARE * float(power.mean())) ** 2
    # At its best size a member takes so much off the sum of squares, each by its variance.
    misfit = -(shape @ (strength / variance)) ** 2 / (shape**2 @ (1.0 / variance))
    likelihood = np.exp(-0.5 * (misfit - misfit.min()))
    return np.asarray(likelihood / likelihood.sum())
