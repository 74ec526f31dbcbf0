"""Simulated visits, one for every cause: which checks are ever the one to do next.

In each visit one fault is there; every check that is asked for gets an answer drawn from the
strengths, or "not sure" to some questions, until enough is known or nothing is left to ask. A
check that no visit asks for earns its place in the rules only if it is wanted for a reason that
the sums do not know.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vibecheck.casebook.case import Case, CornerName
from vibecheck.casebook.journal import Draft, append
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause, Spot
from vibecheck.knowledge.words import CheckKind, FindingKind
from vibecheck.reasoning.network import FindingNode, Network
from vibecheck.reasoning.nextcheck import Option
from vibecheck.session.answers import UNSURE
from vibecheck.session.inference import network_of
from vibecheck.session.plan import Plan

MOST_STEPS = 30  # checks in one visit, at most
UNSURE_SHARE = 0.4  # of the questions that a customer cannot answer; reasoned, no source
Array = NDArray[np.float64]
Rng = np.random.Generator


@dataclass(frozen=True)
class Tally:
    """What the visits asked for: visits, checks asked in all, how often each was asked, and
    those that were never asked."""

    visits: int
    steps: int
    asked: dict[str, int]
    never: tuple[str, ...]


def chances(node: FindingNode, present: Collection[int]) -> Array:
    """Chance of every state given the causes present: noisy-max, or the mean of those who speak.

    Parameters
    ----------
    present : indices into network.causes.

    Returns
    -------
    shape (states,), summing to 1 [unitless].
    """
    rows = [node.rows[index] for index in present if index in node.rows]
    if not node.graded:
        return np.asarray(np.mean(rows, axis=0) if rows else node.base, dtype=np.float64)
    cumulative: Array = np.prod([node.base, *rows], axis=0)
    shares: Array = np.maximum(np.diff(cumulative, prepend=0.0), 0.0)
    shares /= shares.sum()
    return shares


def draw_state(network: Network, spot: Spot, present: Collection[int], rng: Rng) -> str:
    """A state of a finding, drawn for the causes present."""
    node = network.findings[spot]
    shares = chances(node, present)
    return node.states[int(rng.choice(len(shares), p=shares))]


def simulate(
    library: Library, causes: Sequence[str] | None = None, seed: int = 1,
    heard: Callable[[str], None] = lambda cause: None,
) -> Tally:  # fmt: skip
    """One visit for each cause, or for those named.

    Parameters
    ----------
    seed : of the random numbers; the same seed gives the same tally.
    heard : is told the cause before its visit.
    """
    rng = np.random.default_rng(seed)
    asked: Counter[str] = Counter()
    chosen = [library.causes[name] for name in causes or library.causes]
    for cause in chosen:
        heard(cause.id)
        asked.update(_visit(library, cause, rng))
    never = tuple(name for name in library.checks if name not in asked)
    return Tally(len(chosen), asked.total(), dict(asked), never)


def _visit(library: Library, cause: Cause, rng: Rng) -> list[str]:
    """The checks asked for, in order, while this cause is there at one of its corners."""
    facts = {fact: values[0] for fact, values in cause.fits.items()}
    network = network_of(library, facts)
    places = [index for spot, index in network.index.items() if spot.id == cause.id]
    present = [int(rng.choice(places))]
    case = Case(id="simulated", title="simulated", place="bay", facts=facts)
    case = _complain(case, network, present, rng)
    asked: list[str] = []
    while len(asked) < MOST_STEPS:
        plan = Plan(case, library, facts)
        option = next((each for each in plan.checks if each.here), None)
        if option is None or plan.decided:
            break
        asked.append(option.spot.id)
        case = _answer(case, network, option, present, rng)
    return asked


def _complain(case: Case, network: Network, present: Collection[int], rng: Rng) -> Case:
    """The case with the one complaint that the cause is most likely to bring."""
    complaints = [
        (chances(node, present)[0], str(spot), spot) for spot, node in network.findings.items()
        if node.graded and node.rule.kind is FindingKind.COMPLAINT
    ]  # fmt: skip
    spot = min(complaints)[2]
    state = draw_state(network, spot, present, rng)
    return append(case, [_draft(spot, state)])[0]


def _answer(
    case: Case, network: Network, option: Option, present: Collection[int], rng: Rng
) -> Case:
    """The case with an answer to all that a check asks; to a question it may be "not sure"."""
    question = option.rule.kind is CheckKind.QUESTION
    made = []
    for spot in option.asks:
        state = draw_state(network, spot, present, rng)
        vague = question and rng.random() < UNSURE_SHARE
        made.append(_draft(spot, UNSURE if vague else state, option.spot.id))
    return append(case, made)[0]


def _draft(spot: Spot, state: str, check: str = "") -> Draft:
    corner: CornerName | None = spot.corner.value if spot.corner else None
    return Draft(kind="answer", finding=spot.id, corner=corner, value=state, check=check)
