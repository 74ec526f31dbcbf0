"""Fields on the driveline, shared by the benches that tie frequencies to parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from vibecheck.session.benches.turning import DrivelineTyped, with_facts
from vibecheck.tui.benches.slots import Slot

_TEXTS = ("axle_ratio", "cylinders", "overall_ratio", "engine_rpm", "motor_reduction")
_FLAGS = ("electric", "no_driveshaft", "no_half_shafts")

DRIVELINE_SLOTS = (
    Slot("axle_ratio", "Axle ratio", "3.73", "Driveshaft turns per wheel turn."),
    Slot("overall_ratio", "Engine ratio", "4.1",
         "Engine turns per wheel turn in the gear driven."),
    Slot("cylinders", "Cylinders", "4", "Of the engine."),
    Slot("engine_rpm", "Engine speed", "2400",
         "As read from the rev counter [rpm], instead of the ratio.", more=True),
    Slot("motor_reduction", "Motor reduction", "9.1",
         "Electric motor turns per wheel turn.", more=True),
    Slot("electric", "No engine: electric car", flag=True, more=True),
    Slot("no_driveshaft", "No driveshaft along the car", flag=True, more=True),
    Slot("no_half_shafts", "No half-shafts with joints", flag=True, more=True),
)


def typed_driveline(texts: Mapping[str, str]) -> dict[str, Any]:
    """The driveline's part of a request."""
    words = {name: texts[name] for name in _TEXTS}
    return {**words, **{name: bool(texts[name]) for name in _FLAGS}}


def known_driveline(empty: DrivelineTyped, facts: Mapping[str, str]) -> dict[str, str]:
    """What the facts of a case fill in, by field."""
    found = with_facts(empty, facts)
    texts = {name: getattr(found, name, "") for name in (*_TEXTS, "tire")}
    flags = {name: "yes" for name in _FLAGS if getattr(found, name)}
    return {name: text for name, text in {**texts, **flags}.items() if text}
