"""The sheet of a set of wheels and its claims: text and page tell the same, nobody is blamed."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser

import pytest

from vibecheck.calculators.wheel_row import slow_turn, turn_texts
from vibecheck.casebook.photos import Photo
from vibecheck.errors import InputError
from vibecheck.metrology.runout.wheel_verdict import Surface
from vibecheck.metrology.units.choice import US
from vibecheck.report.blocks import Block
from vibecheck.report.html import html_page
from vibecheck.report.text import text_lines
from vibecheck.report.wheel_claims import wheel_claim
from vibecheck.report.wheel_set_sheet import set_data, set_sheet, table_page
from vibecheck.report.wheel_words import FATES, LOOKS, WHAT_TO_DO, fate_text
from vibecheck.report.wording import Wording
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import Fate, Look, Reason

METRIC = Wording()
TURN = (  # invented: a dent with a bulge beside it at 4 o'clock
    "6 7 8 8 7 6 5 -55 1 31 -3 -5 -7 -7 -8 -8 -7 -7 -5 -3 -1 0 3 5").split()
HOSTILE = "<b>x</b> [red] \x1b[2J & \u202e"


def filled(**about: str) -> OpenSet:
    """Four wheels: sound, dropped, at 0.49 mm, with a wavy lip."""
    bench = OpenSet.new(None, **{"state": "new", "shipped": "yes", "dial": "0.01 mm"} | about)
    rows = {"1": "14 18 11 12", "2": "12 22 119 31", "3": "49 21 20 18", "4": "16 21 20 18"}
    order = (Surface.INBOARD_RADIAL, Surface.INBOARD_LATERAL, Surface.OUTBOARD_RADIAL,
             Surface.OUTBOARD_LATERAL)
    for key, row in rows.items():
        bench.take(key, {surface: slow_turn(text, "0.01 mm", 0.5)
                         for surface, text in zip(order, row.split(), strict=True)})
    texts = [f"{int(text) / 100:.2f} mm" for text in TURN]
    at = Surface.OUTBOARD_RADIAL
    bench.take("2", {at: turn_texts(texts, [f"{15 * n}" for n in range(24)], "",
                                    bench.slow_turn_of("2", at))}, same_setup=True)
    for key, look in zip("1234", (Look.CLEAN, Look.DENT, Look.CLEAN, Look.LIP), strict=True):
        bench.see(key, look)
    return bench


class _Words(HTMLParser):
    """The words of a page without its style and drawings."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self._skip = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self._skip += tag in ("style", "svg", "title")

    def handle_endtag(self, tag: str) -> None:
        self._skip -= tag in ("style", "svg", "title")

    def handle_data(self, data: str) -> None:
        if not self._skip:
            self.words += data.split()


def facts(words: list[str]) -> set[str]:
    """Numbers, and the words that stand for what becomes of a wheel."""
    text = " ".join(words)
    return {*re.findall(r"\d+\.\d+", text), *re.findall(r"\b[A-Z]{4,}\b", text)}


def in_text(page: tuple[Block, ...]) -> str:
    return "\n".join(text_lines(page, 80))


def in_html(page: tuple[Block, ...]) -> str:
    reader = _Words()
    reader.feed(html_page(page, "x"))
    return " ".join(reader.words)


def test_the_sheet_tells_what_becomes_of_each_wheel_and_why() -> None:
    text = " ".join(in_text(set_sheet(filled(), METRIC)).split())

    for words in (
        "Wheel 1 - KEEP: all four bead surfaces are proven within their limits",
        "Wheel 2 - CLAIM: 1.190 +/- 0.060 mm radial at the outboard bead seat is proven beyond "
        "0.50 mm", "Wheel 3 - NOT SETTLED: 0.490 +/- 0.060 mm", "if it is kept, put it at the rear",
        "Wheel 4 - KEEP", "the scuffed or wavy lip is cosmetic", "To the front: 1 and 4",
        "common practice, no source", "4 o'clock", "a dip with a bulge beside it",
        "needs the right machine and training", "switched off and locked",
        "no inspection: the vehicle maker's manual",
    ):
        assert words in text, words


@pytest.mark.parametrize("units", [Wording(), Wording(US)])
def test_text_and_page_tell_the_same(units: Wording) -> None:
    """Numbers in drawings apart, which text draws in another way."""
    bench = filled(by="Ida", gauge="two dials")
    for page in (set_sheet(bench, units), table_page(bench, units), wheel_claim(bench, "3", units)):
        assert facts(in_text(page).split()) >= facts(in_html(page).split())
        drawn = re.sub(r"(?m)^ +\d+ +[+-].*$", "", in_text(page))
        assert facts(drawn.split()) == facts(in_html(page).split())


def test_a_claim_states_and_alleges_nothing() -> None:
    text = " ".join(in_text(wheel_claim(filled(), "2", METRIC, (
        Photo("dent.jpg", 1234, "ab" * 32),))).split())

    for words in ("1.190 +/- 0.060 mm", "beyond, proven", "within, proven", "dent.jpg", "ab" * 32,
                  "a dent, a flat or a bend line was seen", "low spot with a high spot beside it",
                  "does not say when, where or in whose hands", "Measured by: ____"):
        assert words in text, words
    for words in ("dropped by", "fault of", "claim against", "careless"):
        assert words not in text


def test_what_was_not_done_is_said() -> None:
    bench = OpenSet.new(None, state="new", shipped="yes", dial="0.01 mm")
    bench.see("1", Look.CRACKED)
    claim = " ".join(in_text(wheel_claim(bench, "1", METRIC)).split())
    sheet = " ".join(in_text(set_sheet(bench, METRIC)).split())

    assert "No surface of this wheel was read" in claim
    assert "not looked at for welds and filler, dents and marks" in claim
    assert "A cracked wheel can lose air at once" in sheet
    assert "no wheel is to keep so far" in sheet
    with pytest.raises(InputError, match="nothing was read or seen of wheel '2'"):
        wheel_claim(bench, "2", METRIC)
    with pytest.raises(InputError, match="no wheel"):
        wheel_claim(bench, "7", METRIC)


def test_hostile_words_are_shown_as_words() -> None:
    bench = filled(title=HOSTILE, by=HOSTILE, gauge=HOSTILE)
    bench.set_all(title=HOSTILE, names=["<i>1</i>", "2", "3", "4"], limits={})
    for page in (set_sheet(bench, METRIC), wheel_claim(bench, "2", METRIC),
                 wheel_claim(bench, "1", METRIC)):
        text, made = in_text(page), html_page(page, bench.case.title)
        assert "\x1b" not in text + made and "\u202e" not in text + made
        assert "<b>" not in made and "<i>" not in made and "<script" not in made
        assert html.escape("<b>x</b>") in made


def test_the_page_needs_nothing_from_outside() -> None:
    made = html_page(set_sheet(filled(), METRIC), "x")

    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)|src=|@import|url\(", made)
    assert "<svg" in made


def test_every_word_of_the_judgement_has_words() -> None:
    assert {*Fate} == {*FATES} == {*WHAT_TO_DO}
    assert {*Look} == {*LOOKS}
    bench = filled()
    row = bench.table.row("2")
    for reason in Reason:
        if reason not in (Reason.TO_DECIDE, Reason.TOO_CLOSE):
            fresh = type(row)(**{**vars(row), "why": (reason,)})
            assert len(fate_text(fresh, METRIC)) > 20


def test_the_data_for_programs() -> None:
    found = set_data(filled())

    assert ["keep", "claim", "open", "keep"] == [each["fate"] for each in found["wheels"]]
    assert 1.19 == pytest.approx(
        found["wheels"][1]["surfaces"]["outboard_radial"]["runout_mm"])
    assert ["1", "4"] == found["front"]
