"""Data of pictures, free of any way to draw them: round a turn, a spectrum, bars."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class FigureKind(StrEnum):
    """What a picture shows."""

    ROUND = "round"  # one value for each angle of a turn [deg from the valve stem, clockwise]
    SPECTRUM = "spectrum"  # strength over frequency or order
    BARS = "bars"  # one bar for each label


@dataclass(frozen=True)
class Mark:
    """A named place on the horizontal axis (or round the turn), at `y` or all the way up."""

    at: float
    label: str
    y: float | None = None


@dataclass(frozen=True)
class Figure:
    """Values ready to draw, in the reader's units; the labels name them.

    `limit` is a limit to draw along (a circle for a turn), in the unit of `y`.
    """

    kind: FigureKind
    title: str
    x_label: str = ""
    y_label: str = ""
    x: tuple[float, ...] = ()
    y: tuple[float, ...] = ()
    labels: tuple[str, ...] = ()
    marks: tuple[Mark, ...] = ()
    limit: float | None = None
