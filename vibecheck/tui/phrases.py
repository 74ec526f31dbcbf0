"""Numbers of a session as words, bars and short texts; nothing is worked out here."""

from __future__ import annotations

from textual.content import Content

from vibecheck.knowledge.library import Library
from vibecheck.metrology.decision import Zone
from vibecheck.report import lines
from vibecheck.report.names import at_corner, axle_text, chance_word, ranked_name
from vibecheck.session.diagnosis import RankedCause, RankedFault
from vibecheck.session.driving import DriveWord
from vibecheck.tui.plain import joined, line, stacked

PLACES = {
    "counter": "Counter - talk with the customer",
    "bay": "Bay - car, lift and gauges",
    "driveway": "Driveway - at home, own tools",
}
DRIVE_SHAPES = {
    DriveWord.STOP: "■■■", DriveWord.CAUTION: "▲", DriveWord.NOT_CHECKED: "△",
    DriveWord.NOTHING_FOUND: "○",
}
DRIVE_CLASSES = {
    DriveWord.STOP: "stop", DriveWord.CAUTION: "caution", DriveWord.NOT_CHECKED: "unchecked",
    DriveWord.NOTHING_FOUND: "open",
}
ZONES = {
    Zone.WITHIN: "○ pass",
    Zone.BEYOND: "■ fail",
    Zone.UNDECIDED: "? too close",
    None: "· noted",
}


def percent(probability: float) -> str:
    """A probability; certainty is never claimed."""
    return lines.percent(probability).strip()


def bar(probability: float, width: int) -> str:
    """A probability as a bar that needs no color."""
    full = max(0, min(width, round(probability * width)))
    return "█" * full + "░" * (width - full)


def cause_text(library: Library, rank: int, cause: RankedCause, width: int) -> Content:
    """A cause with its probability as number, bar and word."""
    head = joined(f"{rank}. ", line(ranked_name(library, cause), "bold", most=90))
    tail = f"   {bar(cause.probability, width)} {percent(cause.probability):>5} "
    return stacked([head, Content(tail + chance_word(cause.probability))])


def brief_cause_text(rank: int, cause: RankedCause, width: int, *, room: bool) -> Content:
    """The same in two short lines: place in few words, the axle where there is room."""
    axle = axle_text(cause)
    open_corner = isinstance(cause, RankedFault) and not cause.told_apart
    corner = None if open_corner else cause.corner
    head = joined(f"{rank}. ", line(at_corner(cause.rule.name, corner), "bold", most=90))
    tail = f"   {bar(cause.probability, width)} {percent(cause.probability):>5} "
    rest = joined(tail + chance_word(cause.probability),
                  line(f", {axle}" if axle and room else "", "$text-muted"))
    return stacked([head, rest])
