"""Figures as SVG and in braille: places where a person expects them, texts harmless."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from vibecheck.report.braille import round_lines
from vibecheck.report.figures import CornerNote, Figure, FigureKind, FigureMark
from vibecheck.report.letters import figure_lines
from vibecheck.report.svg import SIDE, svg

NAMES = {"s": "http://www.w3.org/2000/svg"}
BUMP = Figure(
    FigureKind.ROUND, "inboard, radial", y_label="mm", x=tuple(range(0, 360, 30)),
    y=(0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0), limit=0.5,
    marks=(FigureMark(90.0, "bend"),),
)
TEXTS = st.text(max_size=20)


def parsed(figure: Figure) -> ElementTree.Element:
    return ElementTree.fromstring(svg(figure))


def test_a_bump_at_ninety_degrees_stands_at_three_o_clock() -> None:
    """Clockwise from the valve on top, seen from outside: 90 deg is 3 o'clock, to the right."""
    dots = [each for each in parsed(BUMP).findall("s:circle", NAMES) if each.get("r") == "2.4"]
    far = max(dots, key=lambda dot: math.hypot(float(dot.get("cx", 0)) - SIDE / 2,
                                               float(dot.get("cy", 0)) - SIDE / 2))

    assert 12 == len(dots)
    assert float(far.get("cx", 0)) > SIDE / 2 + 100
    assert SIDE / 2 == pytest.approx(float(far.get("cy", 0)), abs=0.5)


def test_the_limit_is_two_dashed_circles_that_far_apart() -> None:
    radii = sorted(float(each.get("r", 0)) for each in parsed(BUMP).findall("s:circle", NAMES)
                   if each.get("stroke-dasharray"))

    assert 44.0 * 0.5 == pytest.approx(radii[1] - radii[0], abs=0.2)


@given(title=TEXTS, label=TEXTS, kind=st.sampled_from(list(FigureKind)))
def test_no_text_breaks_out(title: str, label: str, kind: FigureKind) -> None:
    clean = "".join(ch for ch in title + label if ch.isprintable())
    figure = Figure(
        kind, clean + "<script>", x_label=clean, y_label=clean, x=(0.0, 90.0), y=(0.0, 1.0),
        labels=(clean, "</text><script>"), marks=(FigureMark(1.0, clean + "&"),),
        corners=(CornerNote("LF", "found", (clean,)), CornerNote("RR")),
    )
    root = parsed(figure)

    assert [] == root.findall(".//s:script", NAMES)
    assert clean + "<script>" == root.findtext("s:title", namespaces=NAMES)


def test_corners_are_told_by_shape_and_word() -> None:
    car = Figure(FigureKind.CAR, "car", corners=(
        CornerNote("LF", "found", ("bent wheel",)), CornerNote("RF", "fine"), CornerNote("LR"),
    ))
    text = svg(car)

    assert "bent wheel" in text
    wheels = [each for each in parsed(car).findall("s:rect", NAMES) if each.get("width") == "16"]
    shapes = {(each.get("fill"), each.get("stroke-dasharray")) for each in wheels}
    assert 3 == len(shapes)


def test_the_car_in_letters_tells_the_corners_side_by_side() -> None:
    """The driver's left is on the left, the front on top (United States, left-hand drive)."""
    car = Figure(FigureKind.CAR, "car", corners=(
        CornerNote("LF", "found", ("bent wheel at the inboard bead seat",)),
        CornerNote("RF", "fine"), CornerNote("LR"), CornerNote("RR", "found", ("\x1b[31m",)),
    ))
    wide, narrow = figure_lines(car, 80), figure_lines(car, 40)
    first = next(line for line in wide if "LF" in line)

    assert first.index("LF") < first.index("RF") and "[#] LF bent" in first and "in order" in first
    assert next(n for n, line in enumerate(wide) if "LF" in line) < next(
        n for n, line in enumerate(wide) if "RR" in line)
    assert "[ ] LR not looked at" in "".join(narrow)
    for lines, width in ((wide, 80), (narrow, 40)):
        assert max(map(len, lines)) <= width and "\x1b" not in "".join(lines)


def test_a_turn_on_a_sheet_is_a_circle_with_its_marks_in_words() -> None:
    lines = figure_lines(replace(BUMP, short=True), 80)
    narrow = figure_lines(replace(BUMP, short=True), 40)

    assert "12" in lines[1] and "valve at 12" in "".join(lines)
    assert "bend" in "".join(lines) and "limit, 0.5 mm" in "".join(lines)
    assert max(map(len, lines)) <= 80 and max(map(len, narrow)) <= 40


@pytest.mark.parametrize("kind", list(FigureKind))
def test_pictures_are_grey(kind: FigureKind) -> None:
    figure = replace(BUMP, kind=kind, labels=("a",) * 12,
                     corners=(CornerNote("LF", "found", ("x",)),))
    for color in re.findall("#[0-9a-f]{3,6}", svg(figure)):
        digits = color[1:]
        assert len(set(digits)) == 1, color


def test_braille_stands_as_on_paper() -> None:
    """The bump of 90 deg pushes the line outward on the right, at the middle row."""
    lines = round_lines(BUMP, rows=11)
    plain = round_lines(Figure(FigureKind.ROUND, "", x=BUMP.x, y=(0.0,) * 12), rows=11)

    assert 13 == len(lines) and "12" in lines[0] and "6" in lines[-1]
    middle = 1 + 11 // 2
    assert lines[middle].startswith("9 ") and lines[middle].endswith(" 3")
    assert lines[middle] != plain[middle]
    empty = chr(0x2800)
    assert len(lines[middle].rstrip(" 3").rstrip(empty)) > len(
        plain[middle].rstrip(" 3").rstrip(empty)
    )


@given(st.lists(st.floats(-5, 5), min_size=1, max_size=30), st.integers(1, 40))
def test_braille_never_fails_and_keeps_its_size(values: list[float], rows: int) -> None:
    places = tuple(360.0 * at / len(values) for at in range(len(values)))
    lines = round_lines(Figure(FigureKind.ROUND, "", x=places, y=tuple(values)), rows)

    assert max(5, rows) + 2 == len(lines)


def test_an_order_spectrum_marks_each_order_at_its_place() -> None:
    """A mark at twice the order stands twice as far along the axis from zero."""
    figure = Figure(
        FigureKind.SPECTRUM, "by order", x_label="wheel order", y_label="m/s2",
        x=(0.0, 1.0, 2.0, 3.0, 4.0), y=(0.0, 0.4, 0.1, 0.05, 0.0),
        marks=(FigureMark(1.0, "wheel, 1st order"), FigureMark(2.0, "wheel, 2nd order")),
    )
    root = parsed(figure)
    places = {each.text: float(each.get("x", 0)) for each in root.findall("s:text", NAMES)}
    zero = float(next(each.get("d", "") for each in root.findall("s:path", NAMES))[1:].split()[0])

    assert places["wheel, 2nd order"] - zero == pytest.approx(
        2.0 * (places["wheel, 1st order"] - zero))
    assert "wheel order" in places and "wheel, 1st order" in " ".join(figure_lines(figure, 80))
