"""Stated probabilities after vague complaints alone are near the true shares.

The truth is the project's own network: this tests the sums (search, folding, mixing), and that
complaints alone never give more than they support. How the ranking fares when the strengths are
wrong is printed in docs/calibration.md.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pytest
import simulation
from simulation import LEAST_IN_BAND, WIDEST, Band, Statement

from vibecheck.knowledge.library import Library
from vibecheck.session.inference import network_of
from vibecheck.session.rule_simulation import chances

FOUND_OUT = 4.0  # standard deviations; by chance once in 30,000 [unitless]


def off(found: list[Band]) -> list[Band]:
    """Bands with enough statements whose true share is too far from the stated."""
    return [
        band for band in found
        if band.count >= LEAST_IN_BAND and abs(band.stated - band.true) > WIDEST
    ]  # fmt: skip


def surprise(said: Sequence[Statement]) -> float:
    """How far statements are from calibrated, in standard deviations [unitless].

    Above 0: the unlikely comes true more often, or the likely less often, than is stated.

    References
    ----------
    1. D. J. Spiegelhalter, Probabilistic prediction in patient management and clinical trials,
       Stat. Med. 5 (1986) 421-433: the statistic Z (from memory).
    """
    stated, true = np.array(said, dtype=float).T
    stated = np.clip(stated, 1e-9, 1.0 - 1e-9)
    off_by = ((true - stated) * (1.0 - 2.0 * stated)).sum()
    spread = np.sqrt(((1.0 - 2.0 * stated) ** 2 * stated * (1.0 - stated)).sum())
    return float(off_by / spread)


@pytest.fixture(scope="module")
def visits(library: Library) -> tuple[list[Statement], list[Statement]]:
    """What is stated of all causes and of the leading one after vague complaints."""
    network = network_of(library, {})
    return simulation.statements(network, network)


def test_vague_complaints_are_calibrated(
    visits: tuple[list[Statement], list[Statement]]
) -> None:
    every, leading = (simulation.bands(said) for said in visits)

    assert simulation.VISITS == sum(band.count for band in leading)
    assert [] == off(every)
    assert [] == off(leading)
    assert sum(band.count >= LEAST_IN_BAND for band in every) >= 3
    assert abs(surprise(visits[0])) < FOUND_OUT


@pytest.mark.parametrize("times", [6.0, 1.0 / 6.0])
def test_who_boasts_or_mumbles_is_found_out(
    visits: tuple[list[Statement], list[Statement]], times: float
) -> None:
    """The same statements at six times their odds, or a sixth: by the bands and by the sum."""
    wrong = [[(times * p / (1.0 - p + times * p), true) for p, true in said] for said in visits]

    assert [] != off(simulation.bands(wrong[0])) + off(simulation.bands(wrong[1]))
    assert abs(surprise(wrong[0])) > FOUND_OUT


def test_states_are_drawn_as_the_strengths_say(library: Library) -> None:
    """Noisy-max by its definition: no more than the leak without causes, rows multiply."""
    network = network_of(library, {})
    node = network.findings[simulation.VIBRATION]
    one, other = [*node.rows][:2]
    both = chances(node, [one, other])

    assert np.allclose(chances(node, []).cumsum(), node.base)
    assert np.allclose(both.cumsum(), node.base * node.rows[one] * node.rows[other])


def test_the_page_holds_many_visits_within_the_same_bounds() -> None:
    text = simulation.DOCUMENT.read_text(encoding="utf-8")
    own = text.partition(f"## {simulation.MANY} visits drawn from the rules")[2].partition("## ")[0]
    lines = re.findall(r"\| (\d+) \| ([0-9.]+) \| ([0-9.]+) \|", own)

    assert len(lines) >= 4
    assert [] == off([Band(int(n), float(stated), float(true)) for n, stated, true in lines])
