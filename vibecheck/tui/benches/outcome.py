"""A bench's result as text and picture for the screen; nothing is worked out here."""

from __future__ import annotations

from textual.content import Content

from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.session.benches.result import BenchView, Plot
from vibecheck.session.unitchoice import Units
from vibecheck.tui.plain import joined, plain, stacked
from vibecheck.tui.widgets.picture import Mark, Picture, Trace

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_DIGITS = {"mm": 3, "in": 4}
_TURN_TICKS = (0.0, 90.0, 180.0, 270.0, 360.0)


def outcome_text(view: BenchView, most_lines: int | None = None) -> Content:
    """Headline, sections, what to mind and what to do next."""
    rows = [plain(view.headline, "bold")]
    for section in view.sections:
        if section.title:
            rows.append(plain(section.title, "bold underline"))
        mark = "· " if section.bullets else ""
        rows += [joined(mark, plain(each)) for each in section.lines]
    rows += [joined(Content.styled("Mind: ", "bold"), plain(note)) for note in view.notes]
    rows += [joined(Content.styled("Next: ", "bold"), plain(step)) for step in view.next]
    return stacked(rows[:most_lines])


def picture_of(plot: Plot | None, units: Units) -> Picture | None:
    """What is drawn for a result."""
    if plot is None or not plot.y:
        return None
    if plot.kind == "round":
        return _round(plot, units)
    if plot.kind == "bars":
        return _bars(plot, units)
    return _spectrum(plot)


def _bars(plot: Plot, units: Units) -> Picture:
    """A bar for each label, its unit in the title."""
    unit, of, what = plot.y_label.partition(" ")
    y = plot.y
    if unit == "mm":
        unit = units.length
        digits = _DIGITS[unit]
        y = tuple(round(to_unit(value, Quantity.LENGTH, unit), digits) for value in y)
    return Picture(f"{plot.title}, {unit}{of}{what}", plot.x_label, unit, (Trace((), y),),
                   labels=plot.labels)


def _round(plot: Plot, units: Units) -> Picture:
    """Values round the turn, with the highest and the lowest named."""
    shown, y = plot.y_label, plot.y
    if plot.y_label == "mm" and units.length != "mm":
        shown = units.length
        y = tuple(to_unit(value, Quantity.LENGTH, units.length) for value in plot.y)
    high, low = y.index(max(y)), y.index(min(y))
    marks: tuple[Mark, ...] = ()
    if high != low:
        marks = tuple(
            Mark(letter, plot.x[at],
                 f"{word} {y[at]:.{_DIGITS.get(shown, 1)}f} {shown} at {plot.x[at]:.0f} deg", y[at])
            for letter, word, at in (("H", "high", high), ("L", "low", low))
        )
    return Picture(plot.title, plot.x_label, shown,
                   (Trace(plot.x, y), Trace(plot.x, y, "o")), marks, (0.0, 360.0), _TURN_TICKS)


def _spectrum(plot: Plot) -> Picture:
    """A line, with a letter at each order."""
    marks = tuple(
        Mark(letter, each.at, each.label)
        for letter, each in zip(_LETTERS, plot.marks, strict=False)
    )
    return Picture(plot.title, plot.x_label, plot.y_label, (Trace(plot.x, plot.y),), marks)
