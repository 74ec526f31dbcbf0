"""US English and US trade words, one word for one part, in every rule and every page.

The list is the trade's own usage in the United States, common practice, no source. British words
stay where people type them: in rules/lexicon/, which matches what customers say.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from vibecheck.session.lexicon import suggest
from vibecheck.session.open_case import library_at

ROOT = Path(__file__).parents[2]
INSTEAD = {
    r"tyres?": "tire",
    r"kerb(s|ed)?": "curb",
    r"centre[ds]?|centring": "center",
    r"colours?": "color",
    r"grey": "gray",
    r"spigots?": "pilot",
    r"gear ?boxe?s?": "transmission",
    r"prop ?shafts?": "driveshaft",
    r"propeller shafts?": "driveshaft",
    r"halfshafts?": "half-shaft",
    r"anti-roll bars?": "sway bar",
    r"castor": "caster",
    r"track rods?": "tie rod",
    r"wheel nuts?": "lug nut",
    r"wheel (brace|wrench)": "lug wrench",
    r"trolley jacks?": "floor jack",
    r"split pins?": "cotter pin",
    r"gear (lever|stick)s?": "shifter",
    r"motorways?": "highway",
    r"petrol": "gasoline",
    r"lorr(y|ies)": "truck",
    r"licences?": "license",
    r"aluminium": "aluminum",
    r"windscreens?": "windshield",
    r"handbrakes?": "parking brake",
    r"nose weight": "tongue weight",
    r"neighbours?(ing)?": "neighbor",
    r"(milli|kilo)metres?": "-meter",
    r"litres?": "liter",
    r"labour": "labor",
    r"behaviours?": "behavior",
    r"overrun": "coast",
    r"stud circle": "bolt circle",
    r"axle flange runout": "pinion flange",
    r"analyse[ds]?": "analyze",
    r"brake discs?": "rotor",
    r"mudguards?": "fender",
    r"silencers?": "muffler",
    r"made dead": "shut down",
    r"drawn home": "fully seated",
}
LEFT = {  # words that stand where they must
    "rules/README.md": r"tyre",  # shown as a word that people type
    "docs/published_statements.md": r"brake discs?|propeller shafts?",  # titles as published
}
FILES = sorted(
    path
    for folder, kind in (
        ("rules", "**/*.yaml"), ("rules", "*.md"), ("docs", "*.md"), ("demo_cases", "*.yaml"),
    )
    for path in (ROOT / folder).glob(kind)
) + [ROOT / "README.md"]  # fmt: skip


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(ROOT)) for path in FILES])
def test_words_are_those_of_the_trade_in_the_united_states(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace("_", " ").lower()
    name = str(path.relative_to(ROOT))
    left = r".*" if name.startswith("rules/lexicon/") else LEFT.get(name, r"(?!)")
    found = [
        f"{match.group()} (write {word})"
        for pattern, word in INSTEAD.items()
        for match in re.finditer(rf"({pattern})\b", text)  # a leading \b would cost ten times
        if not text[match.start() - 1: match.start()].isalnum()
        and not re.fullmatch(left, match.group())
    ]

    assert [] == found


@pytest.mark.parametrize(
    ("british", "american"),
    [
        ("it began with new tyres", "it began with new tires"),
        ("I hit a kerb", "I hit a curb"),
        ("brake judder from 60 mph", "brake shudder from 60 mph"),
        ("new propshaft last month", "new driveshaft last month"),
        ("never changed gearbox oil", "never changed transmission oil"),
        ("the bonnet shakes", "the hood shakes"),
        ("it knocks over bumps, new anti-roll bar link", "it knocks over bumps, new sway bar link"),
    ],
)
def test_british_words_are_understood_like_those_of_the_trade(british: str, american: str) -> None:
    library = library_at(None)
    heard = {(each.finding, each.value) for each in suggest(library, british)}

    assert heard
    assert {(each.finding, each.value) for each in suggest(library, american)} == heard
