"""From a measured value with its uncertainty to a likelihood over the states of a finding.

A state such as "within" is a class of parts, not a hard interval. At each bound the parts on
either side are taken as log-normal with equal spread, their middles as far below and above the
bound, so that the likelihood ratio of neighbouring states is 1 at their bound and grows steadily
away from it. The reading's own uncertainty then widens it. Hence 0.49 mm against 0.50 mm does
not act like 0.10 mm. Ratios of neighbours multiply up over the states, so a larger value never
favours a better state over a worse one.

Assumptions
-----------
spread of a class        `CLASS_SPREAD`, unitless (standard deviation of ln value)
distance of the middles  `EDGE_RATIO`, unitless (one middle over the other)
blunder share            `BLUNDER`: chance that a reading says nothing (wrong spot, slipped
                         gauge); no ratio of neighbours goes beyond it
blunder that repeats     `REPEATS_ITSELF`: share of blunders that a fresh setting-up shows again
                         alike; reasoned, no source
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from vibecheck.distributions import normal_cdf

Array = NDArray[np.float64]

CLASS_SPREAD = 0.25
EDGE_RATIO = 2.0
BLUNDER = 0.001
REPEATS_ITSELF = 0.1
_SPOTS: Array = np.linspace(-10.0, 10.0, 501)  # in standard deviations


def blunder_of(agreeing: int) -> float:
    """Chance that so many readings of one thing, which agree, all say nothing [unitless]."""
    return float(BLUNDER * REPEATS_ITSELF ** max(agreeing - 1, 0))


def graded_likelihood(
    value: float, uncertainty: float, bounds: Array | list[float], *,
    lower_is_worse: bool = False, blunder: float = BLUNDER,
) -> Array:
    """Likelihood of the reading under each state, scaled to a highest value of 1.

    Parameters
    ----------
    value : reading, >= 0 [any unit].
    uncertainty : standard uncertainty of the reading, > 0 [same unit].
    bounds : values at which the next worse state begins, rising (falling if
        `lower_is_worse`), all > 0 [same unit]; n bounds make n + 1 states.
    blunder : chance that the reading says nothing [unitless].

    Returns
    -------
    likelihood : shape (n + 1,), first state normal, each > 0, unitless.
    """
    edges = [float(bound) for bound in bounds]
    if lower_is_worse:
        edges = edges[::-1]
    floor = max(uncertainty, 1e-9)
    ratios = [_log_ratio(abs(value), floor, edge, blunder) for edge in edges]
    logs = np.cumsum([0.0, *ratios])
    likelihood: Array = np.exp(logs - logs.max())
    return likelihood[::-1] if lower_is_worse else likelihood


def binned_likelihood(value: float, uncertainty: float, edges: Array | list[float]) -> Array:
    """Likelihood that the true value lies in each bin, for a normal reading error.

    Parameters
    ----------
    value : reading [any unit].
    uncertainty : standard uncertainty, > 0 [same unit].
    edges : rising bounds of the bins, shape (n + 1,) [same unit]; the outer ones are open.

    Returns
    -------
    likelihood : shape (n,), scaled to a highest value of 1, unitless.
    """
    scale = max(uncertainty, 1e-9)
    inner = [normal_cdf((edge - value) / scale) for edge in list(edges)[1:-1]]
    shares = np.diff(np.array([0.0, *inner, 1.0]))
    mixed: Array = (1.0 - BLUNDER) * shares / shares.max() + BLUNDER
    return np.asarray(mixed / mixed.max(), dtype=np.float64)


def _log_ratio(value: float, uncertainty: float, bound: float, share: float) -> float:
    """Log of the likelihood ratio of the state above a bound to the one below [nat]."""
    half = 0.5 * math.log(EDGE_RATIO)
    below = _class_likelihood(value, uncertainty, math.log(bound) - half)
    above = _class_likelihood(value, uncertainty, math.log(bound) + half)
    plain, blunder = math.log1p(-share), math.log(share)
    return float(
        np.logaddexp(plain + above - below, blunder) - np.logaddexp(plain, blunder + above - below)
    )


def _class_likelihood(value: float, uncertainty: float, middle: float) -> float:
    """Log of the chance density of the reading for a class, by a sum over true values."""
    if uncertainty < 0.05 * value:
        true = value + uncertainty * _SPOTS
        shape = -0.5 * ((np.log(true) - middle) / CLASS_SPREAD) ** 2 - np.log(true)
        return _log_sum(shape - 0.5 * _SPOTS**2)
    true = np.exp(middle + CLASS_SPREAD * _SPOTS)
    return _log_sum(-0.5 * _SPOTS**2 - 0.5 * ((true - value) / uncertainty) ** 2)


def _log_sum(terms: Array) -> float:
    top = float(terms.max())
    return top + math.log(float(np.exp(terms - top).sum()))
