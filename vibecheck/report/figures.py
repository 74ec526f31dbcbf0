"""Data of pictures, free of any way to draw them: round a turn, a spectrum, bars, the car."""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct


class FigureKind(StrEnum):
    """What a picture shows."""

    ROUND = "round"  # one value for each angle of a turn [deg from the valve stem, clockwise]
    SPECTRUM = "spectrum"  # strength over frequency or order
    BARS = "bars"  # one bar for each label
    STEPS = "steps"  # a value before and after each labeled step, shares of 1: `x` to `y`
    CAR = "car"  # the car from above, with what is known at its corners


class FigureMark(Struct, frozen=True):
    """A named place on the horizontal axis (or round the turn), at `y` or all the way up."""

    at: float
    label: str
    y: float | None = None


class CornerNote(Struct, frozen=True):
    """What is known at a corner of the car: `at` is LF, RF, LR or RR.

    `tone` is "found" where something is wrong, "fine" where it was looked at and is not, "" where
    nothing was looked at; `words` stand beside it.
    """

    at: str
    tone: str = ""
    words: tuple[str, ...] = ()


class Figure(Struct, frozen=True):
    """Values ready to draw, in the reader's units; the labels name them.

    `limit` is a limit of high minus low: two circles about the middle of a turn, in the unit of
    `y`. `corners` belong to the car alone. `short` : in text a small circle instead of a row for
    each reading.
    """

    kind: FigureKind
    title: str
    x_label: str = ""
    y_label: str = ""
    x: tuple[float, ...] = ()
    y: tuple[float, ...] = ()
    labels: tuple[str, ...] = ()
    marks: tuple[FigureMark, ...] = ()
    limit: float | None = None
    corners: tuple[CornerNote, ...] = ()
    short: bool = False
