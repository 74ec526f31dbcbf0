"""Published statements of makers, handbooks and the trade, held against the ranking.

The sources stand beside each statement in published/*.yaml; the page in docs shows every one of
them, met or missed.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules
from vibecheck.session.answers import drafts, parse_assignment
from vibecheck.session.facts import read_facts

sys.path.insert(0, str(Path(__file__).parent))

import published_statements as published  # noqa: E402

LEAST_STATEMENTS = 32


@pytest.fixture(scope="module")
def library() -> Library:
    return load(find_rules())


@pytest.fixture(scope="module")
def held(library: Library) -> tuple[published.Held, ...]:
    return published.hold_all(library)


@pytest.fixture(scope="module")
def document() -> str:
    return published.DOCUMENT.read_text(encoding="utf-8")


def test_every_statement_can_be_used(library: Library) -> None:
    every = published.statements()

    assert len(every) >= LEAST_STATEMENTS
    assert len({each.id for each in every}) == len(every)
    for each in every:
        assert {each.cause, *each.also} <= set(library.causes), each.id
        assert each.standing in ("read", "memory"), each.id
        assert each.answers and drafts(
            library, read_facts(library, each.facts), [parse_assignment(a) for a in each.answers]
        )


def test_the_hit_rate_is_not_below_what_the_page_states(
    held: tuple[published.Held, ...], document: str
) -> None:
    stated = re.search(r"\*\*(\d+) of (\d+) statements are met; in (\d+) of them", document)
    assert stated is not None
    met, count, first = map(int, stated.groups())

    assert len(held) == count
    assert sum(each.met for each in held) >= met
    assert sum(each.named_first for each in held) >= first


def test_the_page_shows_every_statement_and_every_miss(
    held: tuple[published.Held, ...], document: str
) -> None:
    misses = document.partition("## Misses")[2]
    for each in held:
        assert published.said(each.statement) in document, each.statement.id
        if not each.met:
            assert f"- `{each.statement.id}` names" in misses


def test_a_cause_that_nobody_named_is_a_miss(library: Library) -> None:
    """The count is not blind."""
    wrong = published.Statement(
        id="wrong", publisher="", title="", read_at="", standing="memory", says="",
        answers=["vibration=strong", "felt_in_steering_wheel=strong"], cause="engine_mount",
        also=[],
    )  # fmt: skip

    assert not published.hold(library, wrong).met
