"""Words for spots, chances, answers and reasons: the same on every screen and paper."""

from __future__ import annotations

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.reasoning.network import FindingNode, Network
from vibecheck.session.answers import UNSURE
from vibecheck.session.gather import Gathered
from vibecheck.session.judge import spoken_decision

_CHANCE_WORDS = (
    (0.95, "nearly certain"),
    (0.8, "very likely"),
    (0.5, "likely"),
    (0.2, "possible"),
    (0.05, "less likely"),
    (0.0, "unlikely"),
)


def chance_word(probability: float) -> str:
    """A word for a probability."""
    return next(word for least, word in _CHANCE_WORDS if probability >= least)


def at_corner(name: str, spot: Spot) -> str:
    """A name with its corner, where it has one."""
    return f"{name}, {spot.corner.spoken}" if spot.corner else name


def cause_name(library: Library, spot: Spot) -> str:
    """A cause at its corner."""
    return at_corner(library.causes[spot.id].name, spot)


def finding_name(library: Library, spot: Spot) -> str:
    """A finding at its corner."""
    return at_corner(library.findings[spot.id].name, spot)


def answer_text(network: Network, gathered: Gathered, spot: Spot) -> str:
    """An answer in force, in words."""
    name = finding_name(network.library, spot)
    entry = gathered.entries[spot]
    if spot in gathered.judged:
        return spoken_decision(name, gathered.judged[spot])
    return f"{name}: {state_label(network.findings[spot], entry.value)}"


def state_label(node: FindingNode, value: str) -> str:
    """A state in words; what is no state stays as it is."""
    if value == UNSURE:
        return "not sure"
    return node.rule.states.get(value, value)
