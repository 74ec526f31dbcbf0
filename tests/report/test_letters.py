"""Figures made of letters."""

from __future__ import annotations

import math

from vibecheck.report.figures import Figure, FigureKind, FigureMark
from vibecheck.report.letters import figure_lines


def spectrum(marks: tuple[FigureMark, ...] = ()) -> Figure:
    """A single peak at 1.0 between 0 and 4."""
    places = [place / 16.0 for place in range(65)]
    return Figure(kind=FigureKind.SPECTRUM, title="t", x_label="wheel order", y_label="m/s2",
                x=tuple(places), y=tuple(math.exp(-8.0 * abs(place - 1.0)) for place in places),
                marks=marks)


def test_the_peak_stands_over_its_mark():
    lines = figure_lines(spectrum((FigureMark(at=1.0, label="wheel, 1st order"),)), 80)
    top = next(line for line in lines if "|" in line)
    row = next(line for line in lines if line.strip() == "a")

    assert abs(row.index("a") - top.index("#")) <= 1
    assert any("a 1.00: wheel, 1st order" in line for line in lines)


def test_marks_at_one_place_share_a_letter():
    marks = (FigureMark(at=3.0, label="wheel, 3rd order"),
             FigureMark(at=3.0, label="joint, 3rd order"))
    lines = figure_lines(spectrum(marks), 80)

    assert any("a 3.00: wheel, 3rd order or joint, 3rd order" in line for line in lines)


def test_a_mark_outside_is_left_out():
    lines = figure_lines(spectrum((FigureMark(at=9.0, label="far"),)), 80)

    assert not any("far" in line for line in lines)


def test_no_line_is_wider_than_the_terminal():
    for width in (40, 80, 100):
        assert all(len(line) <= width for line in figure_lines(spectrum(), width))


def test_readings_round_the_turn():
    plot = Figure(kind=FigureKind.ROUND, title="t", x_label="deg", y_label="mm",
                x=(0.0, 90.0, 180.0, 270.0), y=(0.0, 0.2, 0.4, 0.2))
    rows = [line for line in figure_lines(plot, 80) if "|" in line]

    assert rows[0].endswith("|L" + "." * 40 + "|")
    assert rows[1].endswith("|" + "." * 20 + "o" + "." * 20 + "|")
    assert rows[2].endswith("|" + "." * 40 + "H|")


def test_too_many_readings_are_not_drawn():
    many = tuple(float(place) for place in range(100))

    assert [] == figure_lines(
        Figure(kind=FigureKind.ROUND, title="t", x_label="deg", y_label="mm", x=many, y=many), 80)


def test_bars_are_as_long_as_their_values():
    plot = Figure(kind=FigureKind.BARS, title="t", x_label="part", y_label="mm", y=(0.8, 0.4),
                labels=("tire", "wheel\x1b"))
    lines = figure_lines(plot, 80)

    assert lines[-2].count("#") == 2 * lines[-1].count("#")
    assert not any("\x1b" in line for line in lines)


def test_nothing_to_draw():
    flat = Figure(kind=FigureKind.SPECTRUM, title="t", x_label="x", y_label="y",
                  x=(0.0, 1.0), y=(0.0, 0.0))
    empty = Figure(kind=FigureKind.BARS, title="t", x_label="x", y_label="y")

    assert [] == figure_lines(flat, 80) == figure_lines(empty, 80)
