"""How values are said: the reader's units and the digits that a value deserves.

The one place where a number becomes text, in the units chosen (`metrology/units/choice.py`). A
value with an uncertainty is rounded where the uncertainty's second digit stands; one without is
rounded to the step of its quantity (`STEPS`), carried into the unit shown.

References
----------
1. JCGM 100:2008 (GUM), 7.2.6: an uncertainty is stated with at most two digits, and the value
   is rounded to agree with it.
"""

from __future__ import annotations

import math

from vibecheck.metrology.places import WheelPlace, clock_place
from vibecheck.metrology.units.choice import METRIC, Units
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.metrology.vectors import wrap

# The finest step worth saying where no uncertainty is known [base unit of the quantity].
STEPS: dict[Quantity, float] = {
    Quantity.LENGTH: 0.01,
    Quantity.SPEED: 1.0,
    Quantity.TORQUE: 1.0,
    Quantity.MASS: 1.0,
    Quantity.FREQUENCY: 0.1,
    Quantity.ANGLE: 1.0,
    Quantity.PRESSURE: 1.0,
    Quantity.FORCE: 1.0,
    Quantity.ACCELERATION: 0.01,
    Quantity.NUMBER: 0.01,
}
_MOST_DIGITS = 6
_BASE = {
    Quantity.LENGTH: "mm", Quantity.SPEED: "km/h", Quantity.TORQUE: "Nm", Quantity.MASS: "g",
    Quantity.FREQUENCY: "Hz", Quantity.ANGLE: "deg", Quantity.PRESSURE: "kPa",
    Quantity.FORCE: "N", Quantity.ACCELERATION: "m/s2", Quantity.NUMBER: "",
}  # fmt: skip


class Wording:
    """Says values in the reader's units. All values come in their base unit."""

    def __init__(self, units: Units = METRIC) -> None:
        self.units = units

    def unit(self, quantity: Quantity) -> str:
        """The name of the unit in which a quantity is said."""
        return self.units.of(quantity, _BASE[quantity])

    def number(
        self, value: float, quantity: Quantity, uncertainty: float | None = None, sign: str = ""
    ) -> str:
        """The number alone, rounded as it deserves; `sign` is "+" to show both signs."""
        unit = self.unit(quantity)
        digits = self._digits(quantity, uncertainty)
        shown = f"{to_unit(value, quantity, unit):{sign}.{digits}f}"
        return shown.removeprefix("-") if not float(shown) else shown

    def size(
        self, value: float, quantity: Quantity, uncertainty: float | None = None, sign: str = ""
    ) -> str:
        """The number with its unit."""
        return f"{self.number(value, quantity, uncertainty, sign)} {self.unit(quantity)}".strip()

    def spread(self, value: float, uncertainty: float, quantity: Quantity) -> str:
        """A value with its expanded uncertainty and their unit: `0.49 +/- 0.02 mm`."""
        both = (
            f"{self.number(value, quantity, uncertainty)} +/- "
            f"{self.number(uncertainty, quantity, uncertainty)}"
        )
        return f"{both} {self.unit(quantity)}".strip()

    def length(self, value_mm: float, uncertainty_mm: float | None = None) -> str:
        """A length [mm] with its unit."""
        return self.size(value_mm, Quantity.LENGTH, uncertainty_mm)

    def speed(self, value_kmh: float) -> str:
        """A speed [km/h] with its unit."""
        return self.size(value_kmh, Quantity.SPEED)

    def angle(self, angle_deg: float) -> str:
        """A place round the wheel [deg], in degrees and as on a clock with the mark at 12."""
        clock = clock_place(angle_deg)
        return f"{wrap(round(angle_deg)):.0f} deg ({clock.hour}{':30' * clock.half} o'clock)"

    def place(self, place: WheelPlace) -> str:
        """A place or an arc, to be chalked on the wheel."""
        if not place.width_deg:
            return self.angle(place.angle_deg)
        return f"{self.angle(place.angle_deg)} over {place.width_deg:.0f} deg"

    def _digits(self, quantity: Quantity, uncertainty: float | None) -> int:
        unit = self.unit(quantity)
        known = uncertainty is not None and math.isfinite(uncertainty) and uncertainty > 0.0
        step = to_unit(STEPS[quantity], quantity, unit)
        if known and uncertainty is not None:
            size = abs(to_unit(uncertainty, quantity, unit))
            step = 10.0 ** (math.floor(math.log10(size) + 1e-9) - 1)
            return min(_MOST_DIGITS, max(0, round(-math.log10(step))))
        # Up to twice the step is fine enough: 1 km/h is said to the whole mph.
        return min(_MOST_DIGITS, max(0, math.ceil(-math.log10(2.0 * step) - 1e-9)))
