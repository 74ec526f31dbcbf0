"""Numbers of a session as words, bars and short texts; nothing is worked out here."""

from __future__ import annotations

from vibecheck.session.views import DriveWord

CORNERS = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}
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
PARTS = {
    "none": "no parts", "low": "cheap parts", "medium": "parts of a middling price",
    "high": "dear parts",
}
_ALMOST = 0.995
_WEIGHTS = ((3.0, "very strongly"), (1.5, "strongly"), (0.7, "clearly"), (0.3, "somewhat"))


def percent(probability: float) -> str:
    """A probability; certainty is never claimed."""
    if probability > _ALMOST:
        return ">99 %"
    if probability < 1.0 - _ALMOST:
        return "<1 %"
    return f"{100.0 * probability:.0f} %"


def bar(probability: float, width: int) -> str:
    """A probability as a bar that needs no color."""
    full = max(0, min(width, round(probability * width)))
    return "█" * full + "░" * (width - full)


def minutes(value: float) -> str:
    """A time in [min] as people say it."""
    if 0.0 < value < 1.0:
        return "under 1 min"
    if value < 100.0:
        return f"{value:.0f} min"
    hours, left = divmod(round(value / 5.0) * 5, 60)
    return f"{hours} h {left:02d} min" if left else f"{hours} h"


def minutes_range(both: tuple[float, float]) -> str:
    """A range of times in [min]."""
    low, high = both
    if high <= 0.0:
        return "none"
    if minutes(low) == minutes(high):
        return f"about {minutes(high)}"
    if high < 100.0 and low >= 1.0:
        return f"{low:.0f} to {high:.0f} min"
    return f"{minutes(low)} to {minutes(high)}"


def weight_word(bits: float) -> str:
    """How strongly a finding speaks, for a weight of evidence in [bit]."""
    size = abs(bits)
    return next((word for least, word in _WEIGHTS if size >= least), "a little")
