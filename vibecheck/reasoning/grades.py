"""From a measured value with its uncertainty to a likelihood over the states of a finding.

A state such as "within" is a class of parts, not a hard interval: the true values of each class
are taken as log-normal about the middle of its interval, all with the same spread, so that the
likelihood ratio of neighbours is 1 at their bound and grows steadily away from it. The reading's
own uncertainty then widens it. Hence 0.49 mm against 0.50 mm does not act like 0.10 mm.

Assumptions
-----------
spread of a class        `CLASS_SPREAD`, unitless (standard deviation of ln value)
lowest and highest class as wide, on the log scale, as `EDGE_RATIO`
blunder share            `BLUNDER`: chance that a reading says nothing (wrong spot, slipped gauge)
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

CLASS_SPREAD = 0.35
EDGE_RATIO = 2.0
BLUNDER = 0.004
_GRID = 161
_REACH = 4.5


def graded_likelihood(
    value: float, uncertainty: float, bounds: Array | list[float], *, lower_is_worse: bool = False
) -> Array:
    """Likelihood of the reading under each state, scaled to a highest value of 1.

    Parameters
    ----------
    value : reading, >= 0 [any unit].
    uncertainty : standard uncertainty of the reading, > 0 [same unit].
    bounds : values at which the next worse state begins, rising (falling if
        `lower_is_worse`), all > 0 [same unit]; n bounds make n + 1 states.

    Returns
    -------
    likelihood : shape (n + 1,), first state normal, each > 0, unitless.
    """
    edges = np.log(np.asarray(bounds, dtype=float))
    if lower_is_worse:
        edges = edges[::-1]
    middles = _middles(edges)
    floor = max(uncertainty, 1e-9)
    logs = np.array([_class_likelihood(abs(value), floor, middle) for middle in middles])
    scaled = np.exp(logs - logs.max())
    if lower_is_worse:
        scaled = scaled[::-1]
    mixed: Array = (1.0 - BLUNDER) * scaled + BLUNDER
    return np.asarray(mixed / mixed.max(), dtype=np.float64)


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
    scale = max(uncertainty, 1e-9) * math.sqrt(2.0)
    inner = [0.5 * (1.0 + math.erf((edge - value) / scale)) for edge in list(edges)[1:-1]]
    shares = np.diff(np.array([0.0, *inner, 1.0]))
    mixed: Array = (1.0 - BLUNDER) * shares / shares.max() + BLUNDER
    return np.asarray(mixed / mixed.max(), dtype=np.float64)


def _middles(edges: Array) -> Array:
    """Middle of each class on the log scale, each as far from a bound as its neighbour."""
    half = math.log(EDGE_RATIO) / 2.0
    if len(edges) > 1:
        half = min(half, float(np.diff(edges).min()) / 2.0)
    middles = [float(edges[0]) - half]
    for edge in edges:
        middles.append(2.0 * float(edge) - middles[-1])
    return np.array(middles)


def _class_likelihood(value: float, uncertainty: float, middle: float) -> float:
    """Log of the chance density of the reading for a class, by a sum over true values."""
    spots = np.linspace(-_REACH, _REACH, _GRID)
    true = np.exp(middle + CLASS_SPREAD * spots)
    near = np.linspace(value - _REACH * uncertainty, value + _REACH * uncertainty, _GRID)
    near = near[near > 0]
    if uncertainty < 0.05 * value and len(near):
        shape = -0.5 * ((np.log(near) - middle) / CLASS_SPREAD) ** 2 - np.log(near)
        error = -0.5 * ((near - value) / uncertainty) ** 2
        return _log_sum(shape + error)
    terms = -0.5 * spots**2 - 0.5 * ((true - value) / uncertainty) ** 2
    return _log_sum(terms)


def _log_sum(terms: Array) -> float:
    top = float(terms.max())
    return top + math.log(float(np.exp(terms - top).sum()))
