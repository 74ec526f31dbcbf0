"""Numbers of a session as words, bars and short texts; nothing is worked out here."""

from __future__ import annotations

from vibecheck.report import lines
from vibecheck.session.views import DriveWord

PLACES = {
    "counter": "Counter - talk with the customer",
    "bay": "Bay - car, lift and gauges",
    "driveway": "Driveway - at home, own tools",
}
DRIVE_SHAPES = {DriveWord.STOP: "■■■", DriveWord.GENTLY: "▲", DriveWord.OPEN: "○"}
DRIVE_CLASSES = {DriveWord.STOP: "stop", DriveWord.GENTLY: "gently", DriveWord.OPEN: "open"}
LEVELS = {"stop": "■ STOP", "work": "▲ before you work", "note": "· note"}
DECISIONS = {
    "within": ("in", "○ in"),
    "beyond": ("out", "■ out"),
    "undecided": ("undecided", "? undecided"),
    "no limit": ("noted", "· noted"),
}
_WEIGHTS = ((3.0, "very strongly"), (1.5, "strongly"), (0.7, "clearly"), (0.3, "somewhat"))


def percent(probability: float) -> str:
    """A probability; certainty is never claimed."""
    return lines.percent(probability).strip()


def bar(probability: float, width: int) -> str:
    """A probability as a bar that needs no color."""
    full = max(0, min(width, round(probability * width)))
    return "█" * full + "░" * (width - full)


def minutes_range(both: tuple[float, float]) -> str:
    """A range of times in [min]."""
    return lines.time_range(both) if both[1] > 0.0 else "none"


def weight_word(bits: float) -> str:
    """How strongly a finding speaks, for a weight of evidence in [bit]."""
    size = abs(bits)
    return next((word for least, word in _WEIGHTS if size >= least), "a little")
