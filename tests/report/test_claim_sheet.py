"""The claim sheet: four surfaces, pattern, who and when, photos; it alleges nothing."""

from __future__ import annotations

import hashlib
import math
import re
from pathlib import Path
from typing import Any

import pytest

from vibecheck.calculators.runout import CALCULATOR, run
from vibecheck.casebook.photos import photo_of
from vibecheck.errors import InputError
from vibecheck.metrology.runout.readings import Runout, from_tir
from vibecheck.metrology.runout.wheel_verdict import Pattern, Surface, judge_wheel
from vibecheck.metrology.units.choice import units_named
from vibecheck.metrology.units.values import Quantity, parse
from vibecheck.report.claim_sheet import Claim, ReadSurface, claim_sheet
from vibecheck.report.claims import claim_of, wheel_to_claim
from vibecheck.report.html import html_page
from vibecheck.report.text import text_lines
from vibecheck.report.turns import FROM_OUTSIDE
from vibecheck.report.wording import Wording
from vibecheck.session.intake import take_in

HOSTILE = "\x1b[31m<script>alert(1)</script>[/bad]\u202e"
ALLEGES = re.compile(
    r"your fault|fault of|you (?:must|owe)|liable|responsib|neglig|claim|caused by|"
    r"(?:carrier|shipper|seller) (?:dropped|damaged)|was dropped|in transit", re.IGNORECASE)


def typed(text: str) -> Runout:
    return from_tir(parse(text, Quantity.LENGTH))


def dropped(depth: float = 1.0) -> str:
    """A dip with a bulge beside it about 120 deg (4 o'clock), 40 deg wide: as after a fall.

    The shape is common practice of the trade, no source; the numbers are invented.
    """
    texts = []
    for angle in range(0, 360, 10):
        dip = math.exp(-0.5 * ((angle - 110.0) / 5.0) ** 2)
        bulge = math.exp(-0.5 * ((angle - 130.0) / 5.0) ** 2)
        texts.append(0.05 * math.cos(math.radians(angle)) - depth * dip + 0.5 * depth * bulge)
    return " ".join(f"{text:.2f}" for text in texts) + " mm"


def claim(readings: dict[Surface, Runout], **named: Any) -> Claim:
    found = judge_wheel(readings, 0.5, tire_off=True)
    surfaces = tuple(ReadSurface(each.surface, each, "general: common practice")
                     for each in found.surfaces)
    return Claim("wheel 2", "a set of four", surfaces, found.pattern, **named)


def words(sheet: Claim, units: str = "metric") -> str:
    lines = text_lines(claim_sheet(sheet, Wording(units_named(units))), 80)
    assert max(map(len, lines)) <= 80
    return " ".join(" ".join(lines).split())


FOUR = {surface: typed("0.12 mm +/- 0.02") for surface in Surface}


def test_four_surfaces_within_are_stated() -> None:
    text = words(claim(FOUR))

    assert "All four surfaces are proven within the limit." in text
    assert 4 == text.count("within, proven")


@pytest.mark.parametrize(
    ("tir", "said"),
    [("1.19 mm +/- 0.02", "One surface is proven beyond the limit: outboard radial 1.190"),
     ("0.50 mm +/- 0.02", "One surface is too close to the limit to say"),
     # 49 CFR 570.10(b): more than 1/8 in at a bead area rejects a wheel.
     ("3.5 mm +/- 0.02", "49 CFR 570.10(b) rejects a wheel")],
)
def test_what_one_surface_shows(tir: str, said: str) -> None:
    assert said in words(claim({**FOUR, Surface.OUTBOARD_RADIAL: typed(tir)}))


def test_a_surface_not_read_is_no_good_surface() -> None:
    text = words(claim({Surface.INBOARD_RADIAL: typed("0.1 mm +/- 0.02")}))

    assert "One surface is proven within the limit. Three surfaces are not read." in text
    assert 3 == text.count("not read") - text.count("are not read")


@pytest.mark.parametrize("pattern", list(Pattern))
def test_it_alleges_nothing(pattern: Pattern) -> None:
    made = claim({**FOUR, Surface.OUTBOARD_RADIAL: typed("1.19 mm +/- 0.02")})
    text = words(Claim(made.wheel, made.belongs_to, made.surfaces, pattern))

    assert ALLEGES.findall(text) == []
    assert "It does not say when, where or in whose hands a bend came about." in text


def test_who_with_what_and_when_or_a_line_to_write_on() -> None:
    bare = words(claim(FOUR))
    full = words(claim(FOUR, measured_by="A. Reader", gauge="lever indicator, 0.01 mm",
                       first="2026-03-06T12:00:00Z", last="2026-03-06T12:00:00Z"))

    for label in ("Measured on", "Measured by", "Gauge, with its division"):
        assert f"{label}: ____" in bare
        assert f"{label}: ____" not in full
    assert "Measured by A. Reader" in full and "lever indicator, 0.01 mm" in full


def test_photos_stand_by_name_and_hash(tmp_path: Path) -> None:
    """The hash is that of FIPS 180-4 as Python's hashlib gives it over the whole file."""
    picture = tmp_path / "flange.jpg"
    picture.write_bytes(b"\xff\xd8 no real picture" * 100_000)
    photo = photo_of(picture)
    text = words(claim(FOUR, photos=(photo,))).replace(" ", "")

    assert hashlib.sha256(picture.read_bytes()).hexdigest() in text
    assert "flange.jpg" in text and str(tmp_path) not in text


@pytest.mark.parametrize("name", ["missing.jpg", "empty.jpg", ""])
def test_a_photo_that_cannot_be_used_gets_one_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / "empty.jpg").touch()
    with pytest.raises(InputError) as raised:
        photo_of(tmp_path / name)

    assert "\n" not in str(raised.value)


def test_hostile_text_is_text_in_both_forms() -> None:
    made = claim(FOUR, measured_by=HOSTILE, gauge=HOSTILE, seen=(HOSTILE,), foot=(HOSTILE,))
    sheet = claim_sheet(Claim(HOSTILE, HOSTILE, made.surfaces, made.pattern, made.measured_by,
                              made.gauge, seen=made.seen, foot=made.foot), Wording())
    page = html_page(sheet, HOSTILE)

    assert "<script" not in page and "\x1b" not in page and "\u202e" not in page
    assert "&lt;script&gt;alert(1)" in page
    assert all(ch.isprintable() for line in text_lines(sheet, 80) for ch in line)


def test_a_wheel_of_a_case_with_its_pattern_place_and_picture(real: Any) -> None:
    opened = real()
    for surface, text in (("bead_radial_outboard", dropped()), ("bead_radial_inboard", "0.1 mm"),
                          ("bead_lateral_inboard", "0.1 mm"), ("bead_lateral_outboard", "0.1 mm")):
        named = {"readings": text} if len(text) > 20 else {"tir": f"{text} +/- 0.02"}
        take_in(opened, CALCULATOR, run(named), "", "RF", surface)
    sheet = claim_of(opened, wheel_to_claim(opened.diagnosis), Wording())
    page = html_page(claim_sheet(sheet, Wording()), "claim")
    text = words(sheet)

    assert sheet.pattern is Pattern.DROP
    assert "right front" in text and "Measured by technician" in text
    assert re.search(r"outboard radial: a low spot with a high spot beside it, .*o'clock\)", text)
    assert "<svg" in page and FROM_OUTSIDE in text
    assert opened.case.id in text.split("It does not say")[1]


def test_after_a_new_wheel_the_claim_is_still_of_the_old_one(real: Any) -> None:
    opened = real("bead_radial_inboard@LF=1.19 mm +/- 0.02")
    opened.repair("replace_wheel", "LF")
    opened.answer(["bead_radial_inboard@LF=0.10 mm +/- 0.02"])

    assert "1.190" in words(claim_of(opened, "LF", Wording()))


def test_which_wheel_is_asked_only_where_several_were_read(real: Any) -> None:
    one = real("bead_radial_inboard@LF=1.1 mm")
    two = real("bead_radial_inboard@LF=1.1 mm", "bead_radial_inboard@RR=0.1 mm")

    assert "LF" == wheel_to_claim(one.diagnosis)
    assert "RR" == wheel_to_claim(two.diagnosis, "rr")
    for opened, named, complaint in ((real(), "", "no bead surface"), (two, "", "--wheel LF or RR"),
                                   (two, "left", "write one of LF"), (one, "RR", "right rear")):
        with pytest.raises(InputError, match=complaint):
            wheel_to_claim(opened.diagnosis, named)
