"""From the size on a tire's sidewall to its diameter and rolling circumference.

Metric (`205/55R16 91V`, `P225/50R16`, `HL275/35R21`, `205/55VR16`), light truck
(`LT245/75R16 120/116S`, `LT285/70R17/E`, `195/65R15C`), full-profile (`185R14C`) and flotation
(`31x10.50R15LT`) sizes are read, with the usual marks behind them (XL, RFT, M+S, 3PMSF, N0, *).
Millimetric rims are not.

A loaded tire rolls less than pi times its diameter per turn. The ratio differs with load,
pressure and make, so a rolling circumference is given with its spread.

References
----------
1. ISO 4000-1, Passenger car tyres and rims: the diameter formula. Formula as read on two public
   size pages (205/55R16: 631.9 mm).
2. ETRTO Standards Manual: rolling circumference of a radial tire about 3.05 times its diameter
   (ratio 0.971); from memory. Ratios of 0.963 and 0.977 follow from the Hz table of a maker's
   service manual of 2000 (read), an average of 0.969 from an owners' page (read).
3. ETRTO Standards Manual, diameters of full-profile sizes: 185R14C 650 mm, 195R14C 666 mm, 175R14
   634 mm, 155R13 578 mm; all within 1 % of a section height of 80 % (from memory).
"""

from __future__ import annotations

import math
import re
from enum import StrEnum

from msgspec import Struct

from vibecheck.errors import VehicleError
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import INCH_MM

ROLLING_RATIO = 0.971  # rolling circumference / (pi * outer diameter), unitless
ROLLING_RATIO_LOW = 0.96
ROLLING_RATIO_HIGH = 0.98
WIDTH_MM = (105, 455)
ASPECT_PERCENT = (20, 95)
RIM_IN = (10.0, 30.0)
FULL_PROFILE_PERCENT = 80  # of a size that names no aspect ratio [3]
FLOTATION_DIAMETER_IN = (22.0, 50.0)
FLOTATION_WIDTH_IN = (6.0, 18.0)
LONGEST_TEXT = 60


class TireKind(StrEnum):
    """How a size is written."""

    METRIC = "metric"
    LIGHT_TRUCK = "light_truck"
    FLOTATION = "flotation"


class TireSize(Struct, frozen=True):
    """A tire size.

    Attributes
    ----------
    designation : the size in one spelling, without load and speed.
    kind : how it is written.
    width_mm : nominal section width [mm].
    aspect_percent : section height over width [%]; for flotation sizes it follows from the rest.
    rim_in : rim diameter [in].
    diameter_mm : outer diameter, new and unloaded [mm].
    load_index : "91", "120/116" or "" if not typed.
    speed_symbol : "V" or "" if not typed.
    """

    designation: str
    kind: TireKind
    width_mm: float
    aspect_percent: float
    rim_in: float
    diameter_mm: float
    load_index: str = ""
    speed_symbol: str = ""

    @property
    def rolling(self) -> Rolling:
        """How far it rolls in one turn, with spread."""
        geometric_m = math.pi * self.diameter_mm / 1000.0
        return Rolling(
            geometric_m * ROLLING_RATIO,
            geometric_m * ROLLING_RATIO_LOW,
            geometric_m * ROLLING_RATIO_HIGH,
        )


class Rolling(Struct, frozen=True):
    """How far a tire rolls in one turn: usual, lowest and highest value [m]."""

    circumference_m: float
    low_m: float
    high_m: float

    @property
    def uncertainty_m(self) -> float:
        """Expanded uncertainty, k = 2, of a rectangular spread from low to high [m]."""
        return 2.0 * (self.high_m - self.low_m) / 2.0 / math.sqrt(3.0)


_RIM = r"(?P<rim>[0-9]{2}(?:\.[05])?)"
_TAIL = (
    r"(?P<suffix> ?(?:LT|C))?"
    r"(?: ?\(?(?P<load>[0-9]{2,3}(?:/[0-9]{2,3})?) ?(?P<speed>A[1-8]|[B-Z])\)?)?"
    r"(?:[ /]?(?:\*|XL|RFT|RF|ROF|SL|TL|EXTRA LOAD|REINFORCED|RUN ?FLAT|M\+S|3PMSF|N[0-6]|"
    r"(?:LR ?|LOAD RANGE )?[B-H](?: ?1)?))*"
)
_METRIC = (
    r"(?P<prefix>P|LT|HL|T)? ?(?P<width>[0-9]{3})(?: ?/ ?| )(?P<aspect>[0-9]{2,3}) ?"
    rf"(?P<build>[A-Z]?RF?|[BD/-])? ?{_RIM}{_TAIL}"
)
_FULL_PROFILE = (
    rf"(?P<prefix>P|LT)? ?(?P<width>[0-9]{{3}}) ?(?P<build>[A-Z]?R) ?{_RIM}{_TAIL}"
)
_FLOTATION = (
    r"(?:LT)? ?(?P<diameter>[0-9]{2}(?:\.[0-9]{1,2})?) ?[X×] ?"
    rf"(?P<width>[0-9]{{1,2}}(?:\.[0-9]{{1,2}})?) ?(?:Z?R|[BD-]) ?{_RIM}{_TAIL}"
)


def parse_size(text: str, where: str = "") -> TireSize:
    """Read a size from a sidewall or a door-jamb label.

    Raises
    ------
    VehicleError : the text is no tire size, or a part of it cannot be.
    """
    plain = " ".join(text.upper().replace(",", ".").split())
    if len(plain) <= LONGEST_TEXT:
        metric = re.fullmatch(_METRIC, plain)
        if metric is not None:
            return _metric(metric, where)
        full = re.fullmatch(_FULL_PROFILE, plain)
        if full is not None:
            return _metric(full, where)
        flotation = re.fullmatch(_FLOTATION, plain)
        if flotation is not None:
            return _flotation(flotation, where)
    raise _refusal(f"'{short(text)}' is not a tire size", where)


def wheel_hz(speed_kmh: float, circumference_m: float) -> float:
    """Turns per second of a wheel [Hz] at a road speed [km/h], no slip."""
    return speed_kmh / 3.6 / circumference_m


def _metric(match: re.Match[str], where: str) -> TireSize:
    named = match.groupdict().get("aspect")
    width, rim = int(match["width"]), float(match["rim"])
    aspect = FULL_PROFILE_PERCENT if named is None else int(named)
    _within(width, WIDTH_MM, "a width", "mm", where)
    _within(aspect, ASPECT_PERCENT, "an aspect ratio", "%", where)
    _within(rim, RIM_IN, "a rim", "in", where)
    if width % 5 or aspect % 5:
        odd = width if width % 5 else aspect
        raise _refusal(f"{odd} in a tire size is not a multiple of 5", where)
    truck = match["prefix"] == "LT" or match["suffix"] is not None
    prefix = match["prefix"] or ""
    commercial = "C" if (match["suffix"] or "").strip() == "C" else ""
    build = match["build"] if match["build"] in ("B", "D") else "R"
    return TireSize(
        f"{prefix}{width}{'' if named is None else f'/{aspect}'}{build}{rim:g}{commercial}",
        TireKind.LIGHT_TRUCK if truck else TireKind.METRIC,
        float(width), float(aspect), rim,
        INCH_MM * rim + 2.0 * width * aspect / 100.0,
        match["load"] or "", match["speed"] or "",
    )


def _flotation(match: re.Match[str], where: str) -> TireSize:
    diameter, width, rim = float(match["diameter"]), float(match["width"]), float(match["rim"])
    _within(diameter, FLOTATION_DIAMETER_IN, "an outer diameter", "in", where)
    _within(width, FLOTATION_WIDTH_IN, "a width", "in", where)
    _within(rim, RIM_IN, "a rim", "in", where)
    aspect = 100.0 * (diameter - rim) / 2.0 / width
    if not ASPECT_PERCENT[0] <= aspect <= ASPECT_PERCENT[1]:
        raise _refusal(
            f"a tire of {diameter:g} in on a rim of {rim:g} in cannot be {width:g} in wide", where
        )
    return TireSize(
        f"{diameter:g}x{width:.2f}R{rim:g}", TireKind.FLOTATION,
        width * INCH_MM, aspect, rim, diameter * INCH_MM,
        match["load"] or "", match["speed"] or "",
    )


def _within(
    value: float, limits: tuple[float, float], what: str, unit: str, where: str
) -> None:
    low, high = limits
    if not low <= value <= high:
        raise _refusal(f"{what} of {value:g} {unit} is none a tire has", where)


def _refusal(what: str, where: str) -> VehicleError:
    return VehicleError(
        what, where, "write it as on the sidewall, for example 205/55R16 or 31x10.50R15"
    )
