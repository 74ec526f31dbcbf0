"""Proposals as a file of rules: laid over the rules, the network is the proposed one, no more."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules
from vibecheck.reasoning.network import FindingNode, Network, build
from vibecheck.report.learning_page import learning_data, learning_page
from vibecheck.report.overlay import overlay_text
from vibecheck.report.text import text_lines
from vibecheck.session.learning import Key, Learned, key_of, learn
from vibecheck.session.outcomes import Closed, Visits

sys.path.insert(0, str(Path(__file__).parents[1] / "session"))
from learning_visits import draw, world_of

VISITS = 250


@pytest.fixture(scope="module")
def library() -> Library:
    return load(find_rules())


@pytest.fixture(scope="module")
def visits(library: Library) -> list[Closed]:
    return draw(world_of(library, seed=11, off=1.2), VISITS)


@pytest.fixture(scope="module")
def learned(library: Library, visits: list[Closed]) -> Learned:
    return learn(library, visits)


@pytest.fixture(scope="module")
def laid(library: Library, learned: Learned, tmp_path_factory: pytest.TempPathFactory) -> Library:
    file = tmp_path_factory.mktemp("overlay") / "counted.yaml"
    file.write_text(overlay_text(library, learned), encoding="utf-8")
    return load(find_rules(), (file,))


def rows(node: FindingNode, index: int) -> np.ndarray:
    row = node.rows[index]
    return np.diff(row, prepend=0.0) if node.graded else row


def test_the_network_is_the_proposed_one(
    library: Library, laid: Library, learned: Learned
) -> None:
    old, new = build(library, {}), build(laid, {})
    factors = {each.cause: each.factor for each in learned.changes}
    strengths = {each.key: each.strength for each in learned.strengths}
    asked = 0
    for index, cause in enumerate(old.causes):
        factor = factors.get(cause.spot.id, 1.0)
        before, after = (each.odds / (1.0 + each.odds) for each in (cause, new.causes[index]))
        assert after == pytest.approx(before * factor, rel=0.01), cause.spot
    for spot, node in old.findings.items():
        for index in set(node.rows) - node.usual:
            key = key_of(old.causes[index].rule, old.causes[index].spot, spot.id)
            proposed = strengths.get(key)
            expected = rows(node, index) if proposed is None else proposed
            assert np.abs(expected - rows(new.findings[spot], index)).max() <= 2e-3, key
            asked += proposed is not None

    assert factors and strengths and asked >= len(strengths)


def test_silence_stays_silence(library: Library, laid: Library) -> None:
    old, new = build(library, {}), build(laid, {})

    assert {spot: node.usual for spot, node in old.findings.items()} == {
        spot: node.usual for spot, node in new.findings.items()
    }


def test_counts_stand_beside_each_value(library: Library, learned: Learned) -> None:
    text = overlay_text(library, learned)
    lines = text.splitlines()
    beside = [line for line in lines if "  # " in line]

    assert len(learned.strengths) == len(beside)
    for each in learned.changes:
        said = f"{each.seen} of the counted visits, {each.expected:.1f} expected"
        assert said in " ".join(text.split()), each
    for each in learned.strengths[:40]:
        states = library.findings[each.key.finding].states
        counts = ", ".join(f"{state} {count:.4g}"
                           for state, count in zip(states, each.counts, strict=True))  # fmt: skip
        assert any(each.key.finding in line and line.endswith(f"# {counts}") for line in beside)


def test_nothing_to_propose_changes_nothing(
    library: Library, visits: list[Closed], tmp_path: Path
) -> None:
    text = overlay_text(library, learn(library, visits[:5]))

    assert "too few" in text
    assert all(line.startswith("#") for line in text.splitlines())


def test_the_page_says_what_the_data_say(library: Library, learned: Learned) -> None:
    visits = Visits(VISITS, ())
    page = " ".join(" ".join(text_lines(learning_page(library, visits, learned), 100)).split())
    data = learning_data(visits, learned)

    assert f"{learned.score.gain:+.3f} +/- {learned.score.spread:.3f} nat" in page
    for each in data["rates"]:
        if each["held"] != "too_few":
            assert library.causes[each["cause"]].name.split()[0] in page
    assert "Nothing is applied" in page
    assert len(data["strengths"]) == len(learned.strengths)
    told = {Key(each["cause"], each["finding"], each["axle"] or each["side"])
            for each in data["strengths"]}
    assert told == {each.key for each in learned.strengths}


def test_networks_of_one_vehicle_have_one_order(library: Library, laid: Library) -> None:
    def order(network: Network) -> list[str]:
        return [str(each.spot) for each in network.causes]

    assert order(build(library, {})) == order(build(laid, {}))
