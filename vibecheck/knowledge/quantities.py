"""Units that a rule may write, and limits such as `0.5 mm` or `0.020 in`.

Only what a rule file needs is read here; what people type is read by the measuring room, and a
test holds that it knows every unit named here.
"""

from __future__ import annotations

import re

UNITS: dict[str, tuple[str, ...]] = {
    "length": ("mm", "in", "thou", "um"),
    "speed": ("km/h", "mph", "m/s"),
    "force": ("N", "kN"),
    "mass": ("g", "kg", "oz"),
    "frequency": ("Hz", "rpm"),
    "angle": ("deg",),
    "pressure": ("kPa", "bar", "psi"),
    "torque": ("Nm", "lb-ft"),
    "acceleration": ("m/s2",),
    "number": ("",),
}
_LIMIT = re.compile(
    r"(?P<number>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?: (?P<unit>[A-Za-z][A-Za-z0-9/-]*))?"
)


def limit_unit(text: str) -> str | None:
    """The unit of a limit ("" for a bare number), or None if the text is not a limit above zero."""
    match = _LIMIT.fullmatch(text)
    if not match or float(match["number"]) == 0.0:
        return None
    unit = match["unit"] or ""
    return unit if any(unit in units for units in UNITS.values()) else None
