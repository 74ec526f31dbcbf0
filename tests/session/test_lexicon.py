"""Answers offered for a person's own words: what is said, denied, doubted, and how fast."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.knowledge.loader import load
from vibecheck.knowledge.words import WordUse
from vibecheck.session.lexicon import LONGEST_TEXT, suggest
from vibecheck.session.open_case import OpenCase, library_at
from vibecheck.session.words.cut import raw_words
from vibecheck.session.words.hear import Ear, hear
from vibecheck.session.words.lexis import lexis_of
from vibecheck.session.words.offered import Offer

HOSTILE = [
    "[/bad] [red]x[/red]", "\x1b[31mred\x1b[0m\x07", "'; DROP TABLE cases; --", "{{7*7}} ${7*7} %s",
    "!!python/object/apply:os.system [ls]", "\x00 nothing", "<shake> <noise> ... <b>at 60</b>",
    "\u202eevil", "a" * 100_000, "* ** ***", "mph 999 mph 000 km/h", "\n\n\t", "",
    "\u0130\u0130 at 60", "at \u00b2 \u0663\u0660",
    "at 70 " * 4000, "shakes " * 4000, "no " * 7000, "70-70-" * 4000, "bulge, no " * 2000,
]  # fmt: skip


def offers(text: str, ear: Ear | None = None) -> tuple[Offer, ...]:
    return hear(library_at(None), text, ear).offers


def offered(finding: str, text: str, ear: Ear | None = None) -> list[Offer]:
    return [each for each in offers(text, ear) if each.finding == finding]


def said(text: str, ear: Ear | None = None) -> dict[str, str]:
    return {each.finding: each.value for each in offers(text, ear)}


@pytest.mark.parametrize(
    ("text", "finding", "value"),
    [
        ("The steering wheel shakes at 65 mph.", "felt_in_steering_wheel", "strong"),
        ("I hit a POTHOLE last week", "recent_pothole", "yes"),
        ("my brake pedal pulses", "felt_in_pedal", "strong"),
        ("Had new tires put on", "new_tires", "yes"),
        ("there is a bulge on the left rear", "danger_seen", "tire"),
        ("I think a lug nut is missing", "danger_seen", "fasteners"),
        ("a slight vibration", "vibration", "slight"),
        ("the seat vibrates a bit", "felt_in_seat", "strong"),
        ("a bit in the seat", "felt_in_seat", "slight"),
        ("vibraton in the stearing wheel", "felt_in_steering_wheel", "strong"),  # one letter wrong
    ],
)
def test_what_words_offer(text: str, finding: str, value: str) -> None:
    assert value == said(text)[finding]


@pytest.mark.parametrize(
    ("text", "finding", "value"),
    [
        ("It shakes at 65 mph", "worst_speed", "65 mph"),
        ("it vibrates at 110km/h", "worst_speed", "110 km/h"),
        ("shakes at 70", "worst_speed", "70 mph"),
        ("shakes at sixty-five", "worst_speed", "65 mph"),
        ("70ish shimmy", "worst_speed", "70 mph"),
        ("from 50 to 65 it shakes", "onset_speed", "50 mph"),
        ("from 50 to 65 it shakes", "worst_speed", "57.5 +/- 7.5 mph"),
        ("over 60 it shakes", "onset_speed", "60 mph"),
        ("fine until 55, then it shakes", "onset_speed", "55 mph"),
        ("shakes at 60, above 80 it's gone", "above_worst_speed", "fades"),
        ("starts at 45, worst at 60", "onset_speed", "45 mph"),
        ("starts at 45, worst at 60", "worst_speed", "60 mph"),
        ("shakes on the brakes from 70", "worst_speed", "70 mph"),
    ],
)
def test_speeds_and_what_they_are(text: str, finding: str, value: str) -> None:
    assert value == said(text)[finding]


@pytest.mark.parametrize(
    "text",
    ["set to 35 psi", "205/55R16 tires", "2 weeks ago", "at 80,000 miles", "20 inch rims",
     "on the 405", "torqued to 80 ft lbs", "hit a bump at 50", "in 2019", "at 999 mph"],
)  # fmt: skip
def test_numbers_that_are_no_speed(text: str) -> None:
    assert not {"worst_speed", "onset_speed"} & set(said(f"it shakes, {text}"))


def test_a_bare_number_is_read_in_the_reader_s_unit_and_marked() -> None:
    [offer] = offered("worst_speed", "shakes at 90", Ear("km/h"))

    assert "90 km/h" == offer.value
    assert offer.speed is not None and offer.speed.bare


@pytest.mark.parametrize(
    ("text", "driver_left", "corner"),
    [
        ("hum from the left front", True, "LF"),
        ("front passenger side hum", True, "RF"),
        ("front passenger side hum", False, "LF"),
        ("driver's side rear, it hums", True, "LR"),
        ("hum n/s/r", False, "LR"),
        ("hum from the offside front", False, "RF"),
        ("RR wheel hums", True, "RR"),
    ],
)
def test_corners(text: str, driver_left: bool, corner: str) -> None:
    """British cars have the driver on the right; nearside is the curb's side (dictionaries)."""
    [offer] = offered("hum", text, Ear(driver_left=driver_left))

    assert corner == offer.beside


def test_turning_left_is_no_corner() -> None:
    assert {None} == {each.beside for each in offers("turning left the rear hums")}


@pytest.mark.parametrize(
    ("us", "uk"),
    [
        ("new tires, shakes at 60", "new tyres, shakes at 60"),
        ("hit a curb", "clipped the kerb"),
        ("shakes on the freeway", "shakes on the motorway"),
        ("new rotors and pads", "new discs and pads"),
        ("the shifter shakes", "the gear lever shakes"),
        ("trunk full of luggage, it shakes", "boot full of luggage, it shakes"),
        ("lug nuts loose", "wheel nuts loose"),
        ("hood shakes", "bonnet shakes"),
        ("driveshaft replaced", "propshaft replaced"),
    ],
)
def test_us_and_uk_words_mean_the_same(us: str, uk: str) -> None:
    assert said(us) and said(us) == said(uk)


@pytest.mark.parametrize(
    ("text", "finding", "value"),
    [
        ("I did not hit a pothole", "recent_pothole", "no"),
        ("never hit a pothole or a curb", "recent_curb", "no"),
        ("It doesn\u2019t hum", "hum", "no"),
        ("doesn't pull", "pulls", "no"),
        ("no vibration in the seat", "felt_in_seat", "none"),
        ("not when braking", "under_braking", "no"),
        ("fine when braking", "under_braking", "no"),
        ("smooth at idle", "at_standstill", "no"),
        ("no vibration, it just hums", "vibration", "none"),
        ("braking makes no difference", "under_braking", "no"),
    ],
)
def test_what_is_denied_is_offered_as_such(text: str, finding: str, value: str) -> None:
    assert value == said(text)[finding]


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("no vibration in the seat", "vibration"),  # only the seat is denied
        ("doesn't shake when braking", "vibration"),
        ("doesn't shake at 40", "vibration"),
        ("doesn't shake at 40", "worst_speed"),
        ("not sure if it pulls", "pulls"),
        ("it does not go away when braking", "under_braking"),
        ("a pothole, not a bump", "shakes_after_bump"),
    ],
)
def test_a_denial_reaches_no_further_than_it_says(text: str, finding: str) -> None:
    assert finding not in said(text)


@pytest.mark.parametrize(
    ("there", "denied"),
    [
        ("there is a bulge in the tire", "there is no bulge in the tire"),
        ("bulge on the sidewall", "checked for bulges, nothing"),
        ("a lug nut is loose", "no lug nuts are loose"),
        ("loose lug nuts", "no bulges, lumps or loose lug nuts"),
        ("loose lug nuts", "they tightened the loose lug nuts"),
        ("the rim is cracked", "the rim isn't cracked"),
        ("brake warning light on", "no brake warning light"),
        ("the brake pedal is soft", "the brake pedal is not soft"),
        ("steering is loose", "steering is not loose"),
        ("burning smell", "no burning smell"),
        ("engine light flashing", "engine light is not flashing"),
    ],
)
def test_a_danger_is_offered_where_it_is_said_and_nowhere_else(there: str, denied: str) -> None:
    assert any(each.danger for each in offers(there)) or "engine" in there
    assert not any(each.danger for each in offers(denied))


@pytest.mark.parametrize(
    "text",
    ["wheel bearing is loose", "wheel cover came loose", "windscreen cracked, wheel wobbles",
     "heard a crack when I turned the wheel", "brake light bulb is out",
     "wires showing under the dash", "bubble gum on the tire", "it won't budge",
     "loose change in the door", "crack of dawn"],
)  # fmt: skip
def test_words_of_a_danger_beside_another_thing_are_none(text: str) -> None:
    assert not any(each.danger for each in offers(text))


def test_the_longer_phrase_is_believed() -> None:
    """A lump on the sidewall is no lump that thumps, and a brake pedal that shakes no shake."""
    assert "thump" not in said("lump on the sidewall")
    assert "felt_in_pedal" in said("the brake pedal vibrates")


def test_answers_that_contradict_each_other_are_both_offered_and_marked() -> None:
    found = offered("hum", "it hums. it does not hum")

    assert {"clearly", "no"} == {each.value for each in found}
    assert all(each.clash for each in found)


def test_only_is_marked() -> None:
    [offer] = offered("under_braking", "shakes only when braking")

    assert offer.only


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("shakes at 70", "shake"),
        ("shakes only when braking", "braking"),
        ("it hums", "noise"),
        ("shudders when pulling away", "pulling"),
        ("shakes at idle", "standing"),
        ("hit a bump and it goes on shaking, death wobble", "bump_swing"),
        ("a bulge in the tire", "worry"),
        ("just an inspection, nothing wrong", "none"),
        ("hello", None),
    ],
)
def test_the_kind_of_complaint(text: str, kind: str | None) -> None:
    assert kind == hear(library_at(None), text).kind


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_offers_only_what_can_be_answered(text: str) -> None:
    opened = OpenCase.new(None, place="counter")
    for each in suggest(opened.library, text):
        opened.answer([f"{each.finding}={each.value}"])


def test_only_so_much_text_is_read() -> None:
    assert {} == said("x " * LONGEST_TEXT + "pothole")


_WORDS = st.sampled_from(
    "shakes at 70 no not bulge the steering wheel , . but and when braking left front from to 50 "
    "gone above it's or lug nut loose 110 km/h since tires changed ? - \u2019 ish".split()
)


@given(st.text(max_size=300) | st.lists(_WORDS, max_size=40).map(" ".join))
@settings(derandomize=True, max_examples=150, deadline=None)
def test_any_text_at_all(text: str) -> None:
    """No text fails, and every offer names a part of the text that is there."""
    library = library_at(None)
    heard = hear(library, text)
    for each in heard.offers:
        finding = library.findings[each.finding]
        assert each.value in finding.states or each.speed is not None
        assert each.spans
        assert all(0 <= start < end <= len(text) for start, end in each.spans)
        assert heard.words(text, each).strip()


def test_every_phrase_of_the_lexicon_offers_something() -> None:
    library = library_at(None)
    silent = [
        phrase
        for hint in library.lexicon
        for phrase in hint.words
        if hint.reads != "denied" and not hint.with_ and "<" not in phrase
        and not offers(f"left front: {phrase.replace('...', '')}")
    ]

    assert [] == silent


def test_no_phrase_is_made_of_little_words_alone() -> None:
    """Words that are passed over or only hold the order would match nearly every sentence."""
    lexis = lexis_of(library_at(None))
    little = lexis.used[WordUse.LINK] | lexis.used[WordUse.FILLER]
    phrases = {phrase for found in lexis.phrases.values() for phrase in found}

    assert [] == [each.hint.finding for each in phrases if all(w <= little for w in each.wants)]


def test_several_words_for_one_keep_two_words_of_their_own() -> None:
    """Else "drive the car" would make every "drive" stand for it."""
    library = library_at(None)
    lexis = lexis_of(library)
    shrunk = [
        text
        for each in library.word_lists
        if each.use is WordUse.SAME
        for text in each.words
        if len(raw_words(text)) > 1 and 1 == len(lexis.content(raw_words(text)))
    ]

    assert [] == shrunk


def test_a_lexicon_of_an_overlay_is_read_beside_the_other(tmp_path: Path) -> None:
    """A shop adds its own words in a file of its own."""
    lines = "lexicon:\n  - {finding: hum, state: clearly, words: [frobbles]}\n"
    (tmp_path / "ours.yaml").write_text(lines, encoding="utf-8")
    library = load(Path("rules"), [tmp_path])

    assert "hum" in {each.finding for each in hear(library, "the rear frobbles").offers}
