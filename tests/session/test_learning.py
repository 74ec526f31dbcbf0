"""What confirmed visits teach: 2,000 drawn visits give the world's own rates and strengths back,
20 leave what is written; what may never be learned is not.

Outside reference for the sums: scipy, in `tests/reasoning/test_shrinkage.py`. Coverage is counted
over all proposals with data, some thousands of strengths and some dozens of rates: intervals of
95 % should hold the truth in 93 to 97 %, or more, since each is the wider of two.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.place import find_rules
from vibecheck.knowledge.words import Danger
from vibecheck.reasoning.belief import believe
from vibecheck.session.inference import network_of
from vibecheck.session.learning import (
    FOLDS,
    LEAST,
    Held,
    HeldOutWord,
    Learned,
    StrengthProposal,
    _World,
    fold_of,
    key_of,
    learn,
)
from vibecheck.session.outcomes import Closed, OutcomeStanding

sys.path.insert(0, str(Path(__file__).parent))
from learning_visits import World, draw, world_of

MANY = 2000


@pytest.fixture(scope="module")
def library() -> Library:
    return load(find_rules())


@pytest.fixture(scope="module")
def world(library: Library) -> World:
    return world_of(library, seed=1)


@pytest.fixture(scope="module")
def visits(world: World) -> list[Closed]:
    return draw(world, MANY)


@pytest.fixture(scope="module")
def learned(library: Library, visits: list[Closed]) -> Learned:
    return learn(library, visits)


def true_row(world: World, proposal: StrengthProposal) -> np.ndarray:
    network = world.network()
    for spot, node in network.findings.items():
        if spot.id != proposal.key.finding:
            continue
        for index in node.rows:
            cause = network.causes[index]
            alike = key_of(cause.rule, cause.spot, spot.id) == proposal.key
            if cause.spot.id == proposal.key.cause and alike and index not in node.usual:
                return world.row(network, index, node)
    raise AssertionError(proposal.key)


def test_the_intervals_of_strengths_hold_the_truth(world: World, learned: Learned) -> None:
    held = [
        share.low <= true <= share.high
        for each in learned.strengths
        for share, true in zip(each.shares, true_row(world, each), strict=True)
    ]

    assert len(held) > 2000
    assert 0.945 <= np.mean(held) <= 0.995


def test_the_intervals_of_rates_hold_the_truth(
    library: Library, world: World, visits: list[Closed], learned: Learned
) -> None:
    """The share of each fault among visits like these, by the own rates of two worlds."""
    other = world_of(library, seed=2)
    drawn = draw(other, MANY)
    tables = _World(library)
    held, written, proposed = [], [], []
    for made, seen, found in ((world, visits, learned), (other, drawn, learn(library, drawn))):
        true = tables.shares(seen) * np.array([made.factors[name] for name in tables.names])
        shares = dict(zip(tables.names, (true / true.sum(axis=1, keepdims=True)).mean(axis=0),
                          strict=True))  # fmt: skip
        told = [each for each in found.rates if each.held is not Held.TOO_FEW]
        held += [each.share.low <= shares[each.cause] <= each.share.high for each in told]
        written += [abs(each.written - shares[each.cause]) for each in told]
        proposed += [abs(each.share.value - shares[each.cause]) for each in told]

    assert len(held) > 100
    assert 0.93 <= np.mean(held) <= 1.0
    assert sum(proposed) < 0.6 * sum(written)


def test_proposals_tell_held_out_visits_better(learned: Learned) -> None:
    score = learned.score

    assert MANY == score.visits
    assert HeldOutWord.BETTER is score.verdict
    assert score.gain - score.spread > 0.1  # nat a visit
    assert score.gain == pytest.approx(score.after - score.before)


def test_twenty_visits_change_next_to_nothing(library: Library, visits: list[Closed]) -> None:
    """Fewer than 2 % of the visits would get another fault, and few strengths move at all."""
    found = learn(library, visits[:20])
    moves = [abs(share.value - float(written)) for each in found.strengths
             for share, written in zip(each.shares, each.written, strict=True)]  # fmt: skip

    assert found.moved < 0.02
    assert len(found.strengths) < 20
    assert max(moves, default=0.0) < 0.02
    assert HeldOutWord.TOO_FEW is found.score.verdict


def test_a_world_as_written_is_left_as_written(library: Library) -> None:
    found = learn(library, draw(world_of(library, seed=5, off=0.0), 600))

    assert found.moved < 0.03
    assert HeldOutWord.NO_DIFFERENCE is found.score.verdict
    assert found.strength_weight >= 160.0


def test_no_visits_propose_nothing(library: Library) -> None:
    found = learn(library, [])

    assert () == found.rates == found.strengths
    assert HeldOutWord.TOO_FEW is found.score.verdict and 0.0 == found.moved


def test_the_score_is_that_of_the_network_for_one_fault(
    library: Library, visits: list[Closed]
) -> None:
    """The search over sets of causes, asked for the sets of one cause alone, as reference."""
    tables = _World(library)
    for visit in [each for each in visits if not each.facts][:5]:
        network = network_of(library, {}, visit.complaint)
        belief = believe(network, visit.evidence)
        alone = {
            belief.set_spots(row)[0]: float(belief.sets.weights[row])
            for row in range(len(belief.sets.weights)) if len(belief.set_spots(row)) == 1
        }
        # Faults that the search leaves out of its sets are folded into the odds and are rare.
        whole = sum(alone.values())
        if visit.cause in alone and alone[visit.cause] / whole > 0.01:
            said = np.exp(tables.log_chance(visit, None, {}))
            assert said == pytest.approx(alone[visit.cause] / whole, rel=0.05)


def test_a_danger_is_never_made_less_likely(library: Library, learned: Learned) -> None:
    stops = {name for name, cause in library.causes.items() if cause.danger is Danger.STOP}
    told = [each for each in learned.rates if each.cause in stops]

    assert all(each.factor >= 1.0 for each in told)
    assert any(each.held is Held.DANGER and each.factor == 1.0 for each in told)
    assert not stops & {each.key.cause for each in learned.strengths}


def test_what_is_not_learned(library: Library, learned: Learned) -> None:
    keys = {each.key for each in learned.strengths}

    assert not any(key.finding == library.complaint for key in keys)
    assert not any(key.finding in library.causes[key.cause].seen_as for key in keys)
    assert all(each.cases >= LEAST for each in learned.strengths)


def test_rates_keep_their_sum(library: Library, learned: Learned) -> None:
    """Only proportions carry weight; but for dangers, which are only ever raised."""
    tables = _World(library)
    rates = dict(zip(tables.names, tables.network.odds @ tables.sums, strict=True))
    changed = [each for each in learned.rates if each.held is None]
    before = sum(rates[each.cause] for each in changed)
    after = sum(rates[each.cause] * each.factor for each in changed)

    assert after == pytest.approx(before, rel=0.1)


def test_a_visit_has_its_fold_by_its_id_alone(visits: list[Closed]) -> None:
    folds = [fold_of(each.id) for each in visits]

    assert set(range(FOLDS)) == set(folds)
    assert min(folds.count(each) for each in range(FOLDS)) > MANY / FOLDS * 0.85
    assert fold_of("v7") == fold_of(replace(visits[7], id="v7", complaint=None).id)


def test_readings_between_states_are_shared_out(library: Library) -> None:
    """A reading that fits two states alike counts for each by its written share."""
    network = network_of(library, {}, "shake")
    finding = Spot("felt_in_steering_wheel")
    cause = next(each.spot for each in network.causes if each.spot.id == "imbalance")
    even = np.ones(len(network.findings[finding].states))
    told = [Closed(f"a{n}", OutcomeStanding.CONFIRMED, "shake", cause, {}, {finding: even})
            for n in range(LEAST)]  # fmt: skip
    (found,) = learn(library, told).strengths

    assert found.written * LEAST == pytest.approx(found.counts)
    assert found.written == pytest.approx([share.value for share in found.shares])
