"""Sentences as people say them, written before the reading of words was tuned to any of theirs.

`tuned` was looked at while the lexicon was written. `apart` was not: at the first look 195 of its
209 wanted answers were offered (93 %), 0.13 others a sentence, and no danger that was not said.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import pytest

from vibecheck import yamltext
from vibecheck.errors import InputError
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.session.open_case import library_at
from vibecheck.session.words.hear import Ear, hear
from vibecheck.session.words.lexis import dangers

FOLDER = Path(__file__).parent / "phrases"
LEAST_OFFERED = 0.85
MOST_WRONG = 0.3  # answers a sentence that nobody wanted
SAME_SPEED = 5.0  # [km/h]


class Tally(NamedTuple):
    sentences: int
    wanted: int
    offered: int
    wrong: int
    dangers: list[str]


def speed(value: str) -> float | None:
    try:
        return parse(value, Quantity.SPEED, "km/h").value
    except InputError:
        return None


def alike(wanted: str, offered: str) -> bool:
    """The same state, or a speed near enough."""
    if wanted == offered:
        return True
    one, two = speed(wanted), speed(offered)
    return one is not None and two is not None and abs(one - two) < SAME_SPEED


def tally(name: str) -> Tally:
    library = library_at(None)
    path = FOLDER / f"{name}.yaml"
    data, _ = yamltext.read(path.read_text(encoding="utf-8"), path.name, texts=True)
    wanted = offered = wrong = 0
    false: list[str] = []
    for phrase in data["phrases"]:
        want = phrase["want"]
        found = hear(library, phrase["say"], Ear(phrase.get("unit", "mph"))).offers
        met = [each for each in found if alike(want.get(each.finding, ""), each.value)]
        wanted += len(want)
        offered += len({each.finding for each in met})
        rest = [each for each in found if each not in met]
        wrong += len(rest)
        false += [f"{phrase['say']}: {each.finding}" for each in rest
                  if (each.finding, each.value) in dangers(library)]  # fmt: skip
    return Tally(len(data["phrases"]), wanted, offered, wrong, false)


@pytest.mark.parametrize("name", ["tuned", "apart"])
def test_what_people_say_is_offered(name: str) -> None:
    found = tally(name)

    assert found.sentences >= 100
    assert found.offered / found.wanted >= LEAST_OFFERED
    assert found.wrong / found.sentences < MOST_WRONG
    assert [] == found.dangers
