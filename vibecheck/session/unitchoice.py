"""The units a person wants to see and type; nothing that is kept depends on them."""

from __future__ import annotations

from dataclasses import dataclass, replace

LENGTHS = ("mm", "in")
SPEEDS = ("km/h", "mph")


@dataclass(frozen=True)
class Units:
    """The unit of a bare number and of what is shown, for lengths and for speeds."""

    length: str = "mm"
    speed: str = "km/h"

    def other_length(self) -> Units:
        """The same with the other unit of length."""
        return replace(self, length=_other(self.length, LENGTHS))

    def other_speed(self) -> Units:
        """The same with the other unit of speed."""
        return replace(self, speed=_other(self.speed, SPEEDS))

    def of(self, quantity: str, usual: str) -> str:
        """The unit for a quantity; `usual` where there is no choice."""
        return {"length": self.length, "speed": self.speed}.get(quantity, usual)


def _other(now: str, both: tuple[str, str]) -> str:
    return both[1] if now == both[0] else both[0]
