"""What every bench gives: a headline, sections, notes, what to do next, and data for a plot.

The command line and the wizard show the same object. `assignments` says which findings of a case
the result yields; they go into the case as any other answer.
"""

from __future__ import annotations

from typing import ClassVar, Literal

from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.session.answers import Assignment


class View(Struct, frozen=True, kw_only=True):
    """Base of every view of a bench."""


class Mark(View, frozen=True, kw_only=True):
    """A named place on the horizontal axis of a plot."""

    at: float
    label: str


class Plot(View, frozen=True, kw_only=True):
    """Data of a picture.

    `kind`: "round" has one value for each angle of a turn [deg], "spectrum" a density over
    frequency or order, "bars" one bar for each of `labels`.
    """

    kind: Literal["round", "spectrum", "bars"]
    title: str
    x_label: str
    y_label: str
    x: tuple[float, ...] = ()
    y: tuple[float, ...] = ()
    labels: tuple[str, ...] = ()
    marks: tuple[Mark, ...] = ()


class Section(View, frozen=True, kw_only=True):
    """Lines under one title; `bullets` if each stands for itself."""

    title: str
    lines: tuple[str, ...]
    bullets: bool = False


class BenchView(View, frozen=True, kw_only=True):
    """Base of every bench's result; see the module's docstring."""

    calculator: ClassVar[str] = ""

    headline: str
    sections: tuple[Section, ...] = ()
    notes: tuple[str, ...] = ()
    next: tuple[str, ...] = ()
    plot: Plot | None = None

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """The findings that this result yields; none where it has none to give.

        Parameters
        ----------
        corner : where it was measured; None for the whole vehicle.
        surface : the finding that was measured, for a runout.

        Raises
        ------
        ReadingError : `surface` is wanted and missing, or given and not wanted.
        """
        no_surface(surface)
        return ()


def no_surface(surface: str) -> None:
    """Refuse a surface where a result says by itself which findings it yields."""
    if surface:
        raise ReadingError(
            "this result belongs to no single surface", "surface", "leave the surface out"
        )
