"""Stated probabilities after vague complaints alone are near the true shares.

The truth is the project's own network: this tests the sums (search, folding, mixing), and that
complaints alone never give more than they support. How the ranking fares when the strengths are
wrong is printed in docs/calibration.md.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import simulation
from simulation import LEAST_IN_BAND, WIDEST, Band

from vibecheck.knowledge.library import Library
from vibecheck.session.inference import network_of
from vibecheck.session.rule_simulation import chances


def off(found: list[Band]) -> list[Band]:
    """Bands with enough statements whose true share is too far from the stated."""
    return [
        band for band in found
        if band.count >= LEAST_IN_BAND and abs(band.stated - band.true) > WIDEST
    ]  # fmt: skip


def test_vague_complaints_are_calibrated(library: Library) -> None:
    network = network_of(library, {})
    every, leading = simulation.run(network, network)

    assert simulation.VISITS == sum(band.count for band in leading)
    assert [] == off(every)
    assert [] == off(leading)
    assert sum(band.count >= LEAST_IN_BAND for band in every) >= 3


def test_a_boastful_teller_is_found_out(library: Library) -> None:
    """The same with rates six times as high as they are: stated too much, and seen."""
    network = network_of(library, {})
    loud = replace(network, causes=tuple(
        replace(node, odds=6.0 * node.odds) for node in network.causes
    ))  # fmt: skip
    every, leading = simulation.run(loud, network, visits=60)

    assert [] != off(every) + off(leading)


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
