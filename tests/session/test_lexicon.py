"""Answers suggested by a customer's own words; never applied, and safe with any text."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.session.desk import Desk, library_at
from vibecheck.session.lexicon import LONGEST_TEXT, suggest

HOSTILE = [
    "[/bad] [red]x[/red]", "\x1b[31mred\x1b[0m\x07", "'; DROP TABLE cases; --", "{{7*7}} ${7*7} %s",
    "!!python/object/apply:os.system [ls]", "\x00 nothing",
    "\u202eevil", "a" * 100_000, "* ** ***", "mph 999 mph 000 km/h", "\n\n\t", "",
]


def said(text: str) -> dict[str, str]:
    return {each.finding: each.value for each in suggest(library_at(None), text)}


@pytest.mark.parametrize(
    ("text", "finding", "value"),
    [
        ("The steering wheel shakes at 65 mph.", "felt_in_steering_wheel", "strong"),
        ("It shakes at 65 mph", "worst_speed", "65 mph"),
        ("ab 110 km/h zittert es: it vibrates at 110km/h", "worst_speed", "110 km/h"),
        ("I hit a POTHOLE last week", "recent_pothole", "yes"),
        ("my brake pedal pulses", "felt_in_pedal", "strong"),
        ("Had new tires put on", "new_tires", "yes"),
        ("there is a bulge on the left rear", "danger_seen", "tire"),
        ("I think a lug nut is missing, missing lug nut", "danger_seen", "fasteners"),
        ("a slight vibration", "vibration", "slight"),
        ("barely noticeable", "vibration", "slight"),  # a starred word
    ],
)
def test_what_words_suggest(text: str, finding: str, value: str) -> None:
    assert value == said(text)[finding]


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("I did not hit a pothole", "recent_pothole"),
        ("no new tires", "new_tires"),
        ("It doesn\u2019t hum", "hum"),
        ("never hit a curb", "recent_curb"),
    ],
)
def test_a_denial_shortly_before_leaves_it_out(text: str, finding: str) -> None:
    assert finding not in said(text)


def test_a_denial_far_away_or_after_does_not() -> None:
    assert "yes" == said("not at all sure about the car but a pothole it was")["recent_pothole"]
    assert "yes" == said("a pothole, not a curb stone on that evening")["recent_pothole"]


def test_the_longer_phrase_is_believed() -> None:
    """"slight vibration" holds the word of a strong one."""
    found = suggest(library_at(None), "a slight vibration")
    answers = {each.finding: each for each in found}

    assert "slight" == answers["vibration"].value
    assert "slight vibration" == answers["vibration"].because


def test_each_finding_once_and_all_of_them_known() -> None:
    library = library_at(None)
    found = suggest(library, "It shakes and vibrates and shakes at 60 mph, 70 mph and 100 km/h")
    names = [each.finding for each in found]

    assert len(names) == len(set(names))
    assert "60 mph" == {each.finding: each.value for each in found}["worst_speed"]
    assert set(names) <= set(library.findings)


def test_an_impossible_speed_is_not_offered() -> None:
    assert "worst_speed" not in said("at 999 mph it shakes")


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_suggests_only_what_can_be_answered(text: str) -> None:
    desk = Desk.new(None, place="counter")
    for each in suggest(desk.library, text):
        desk.answer([f"{each.finding}={each.value}"])


def test_only_so_much_text_is_read() -> None:
    assert {} == said("x " * LONGEST_TEXT + "pothole")


@given(st.text(max_size=300))
@settings(derandomize=True, max_examples=60, deadline=None)
def test_any_text_at_all(text: str) -> None:
    library = library_at(None)
    for each in suggest(library, text):
        assert each.value in library.findings[each.finding].states or each.finding == "worst_speed"
        assert each.because


def test_every_phrase_of_the_lexicon_suggests_something() -> None:
    library = library_at(None)
    silent = [
        phrase
        for hint in library.lexicon
        for phrase in hint.words
        if not suggest(library, phrase.replace("*", ""))
    ]

    assert [] == silent
