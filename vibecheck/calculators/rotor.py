"""Rotor: thickness round the turn, what is left to wear, and the shake it makes in a stop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import TIRE
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, single
from vibecheck.errors import ReadingError
from vibecheck.metrology.brakes import rotor
from vibecheck.metrology.brakes.rotor import Thickness
from vibecheck.metrology.decision import Decision, Zone, decide
from vibecheck.metrology.units.values import Quantity

VARIATION_FINDING = "rotor_thickness_variation"  # ids of the rules
THIN_FINDING = "rotor_below_minimum"
USUAL_RUNOUT_UNCERTAINTY_MM = 0.01  # expanded, of a lateral runout without its own; from memory
THICKEST_MM = 100.0
FASTEST_KMH = 400.0
FASTEST_HZ = 1000.0
WAVES = (1, 2, 3)  # thick places round the turn for which it is said what the places can miss
_LENGTH = Quantity.LENGTH


@dataclass(frozen=True)
class WaveSeen:
    """What the places show of a wave: at least this share of it, so it is this high at most."""

    waves: int
    least_share: float
    most_mm: float | None  # None where nothing at all may show


@dataclass(frozen=True)
class Pulse:
    """A pulse that was felt in a stop [Hz], its order as found, and the nearest whole one."""

    hz: float
    order: float
    nearest: int


@dataclass(frozen=True)
class RotorResult:
    """A rotor measured round one turn.

    Attributes
    ----------
    thickness : as worked out.
    varies : the variation against the limit typed; None without one.
    worn : the thinnest place against the least thickness, "beyond" is too thin; None without one.
    seen : what so many places can miss.
    speed_kmh, orders : (order, Hz) of the pulse in a stop at that speed; None and empty without.
    pulse : a pulse that was felt.
    runout_mm, runout : lateral, high minus low, and against its limit; None where not typed.
    unit, readings, values_mm : the unit typed, the thicknesses as typed, and in [mm].
    """

    thickness: Thickness
    varies: Decision | None
    worn: Decision | None
    seen: tuple[WaveSeen, ...]
    speed_kmh: float | None
    orders: tuple[tuple[int, float], ...]
    pulse: Pulse | None
    runout_mm: float | None
    runout: Decision | None
    unit: str
    readings: tuple[str, ...]
    values_mm: tuple[float, ...]

    @property
    def angles(self) -> tuple[float, ...]:
        """Where each place lies, counted from the first [deg]."""
        return tuple(360.0 * at / self.thickness.places for at in range(self.thickness.places))


def run(texts: Texts, tell: Tell | None = None) -> RotorResult:
    """Work out and judge a rotor.

    Raises
    ------
    InputError family : thicknesses, limits, a speed or a tire size that cannot be.
    """
    typed = Typed(texts)
    readings = typed.values("thicknesses", _LENGTH)
    spread = typed.up_to("uncertainty", _LENGTH, 1.0) or rotor.USUAL_UNCERTAINTY_MM
    found = rotor.thickness([each.value for each in readings], spread)
    limit = typed.up_to("limit", _LENGTH, THICKEST_MM)
    least = typed.up_to("least", _LENGTH, THICKEST_MM)
    speed, orders, pulse = _judder(typed)
    runout_mm, runout = _runout(typed)
    return RotorResult(
        found, None if limit is None else found.varies(limit),
        None if least is None else found.worn(least), _seen(found), speed, orders, pulse,
        runout_mm, runout, readings[0].unit, single(readings),
        tuple(each.value for each in readings),
    )


def answers(result: RotorResult, surface: str) -> tuple[FindingAnswer, ...]:
    """The thickness variation as read; and whether it is too thin, where that is told."""
    found = result.thickness
    angles = tuple(f"{angle:g}" for angle in result.angles)
    made = [FindingAnswer(VARIATION_FINDING, "", found.variation_mm, found.variation_uncertainty_mm,
                          _LENGTH, result.unit, result.readings, angles)]
    worn = result.worn
    if worn is not None and (worn.zone is Zone.WITHIN or worn.value >= worn.limit):
        made.append(FindingAnswer(THIN_FINDING, "no" if worn.zone is Zone.WITHIN else "yes",
                                  readings=result.readings, angles=angles))
    return tuple(made)


def _seen(found: Thickness) -> tuple[WaveSeen, ...]:
    shares = ((waves, rotor.share_seen(found.places, waves)) for waves in WAVES)
    return tuple(
        WaveSeen(waves, share, found.variation_mm / share if share > 1e-9 else None)
        for waves, share in shares
    )


def _judder(typed: Typed) -> tuple[float | None, tuple[tuple[int, float], ...], Pulse | None]:
    speed, rolling = typed.up_to("speed", Quantity.SPEED, FASTEST_KMH), typed.rolling()
    hz = typed.up_to("measured", Quantity.FREQUENCY, FASTEST_HZ)
    if speed is None:
        if hz is not None:
            raise ReadingError("a pulse needs the speed it was felt at", "speed",
                               "write 100 km/h and the tire size")
        return None, (), None
    if rolling is None:
        raise ReadingError("a speed needs the tire size", "tire", "write 205/55R16")
    roll = rolling.circumference_m
    orders = tuple((order, rotor.judder_hz(speed, roll, order))
                   for order in rotor.USUAL_JUDDER_ORDERS)
    pulse = None if hz is None else Pulse(hz, *rotor.judder_orders(hz, speed, roll))
    return speed, orders, pulse


def _runout(typed: Typed) -> tuple[float | None, Decision | None]:
    found = typed.value("runout", _LENGTH)
    limit = typed.up_to("runout_limit", _LENGTH, THICKEST_MM)
    size = typed.up_to("runout", _LENGTH, THICKEST_MM)
    if found is None or size is None or limit is None:
        return size, None
    spread = USUAL_RUNOUT_UNCERTAINTY_MM if found.uncertainty is None else found.uncertainty
    return size, decide(size, spread, limit)


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    return {"tire": facts["tire_size"]} if facts.get("tire_size") else {}


CALCULATOR = Calculator(
    name="rotor",
    about=(
        "A rotor that is not everywhere alike thick pulses in every stop. Read its thickness with "
        "a micrometer at eight or more places evenly round the turn, all at the same distance "
        "from the edge. It says how much the thickness varies, whether that is proven too much, "
        "whether the thinnest place is below the figure cast into the rotor, what so many places "
        "can miss, and how fast it pulses at a speed. Brake dust is not to be blown off or "
        "breathed; keep to the maker's manual for stands and torque."
    ),
    empty="Type the thicknesses in order round the turn, as 22.01 22.02 22.03 and so on.",
    entries=(
        Field("thicknesses", "Thicknesses", "22.01 22.02 ... {unit}",
              "In order round one turn, at even places, all at the same distance from the edge.",
              _LENGTH, Shape.LIST),
        Field("least", "Least thickness", "20.4 {unit}",
              "The discard figure cast into the rotor or given by its maker.", _LENGTH),
        Field("limit", "Variation limit", "0.015 {unit}",
              "Thickest less thinnest that the maker accepts.", _LENGTH),
        Field("speed", "Speed of the stop", "100 {unit}", "For the pulse; with the tire size.",
              Quantity.SPEED),
        TIRE,
        Field("measured", "Pulse felt", "29 Hz", "If it was measured, at that speed.",
              Quantity.FREQUENCY),
        Field("runout", "Lateral runout", "0.08 {unit}",
              "Of the rotor on the car, high minus low: it wears in a variation.", _LENGTH,
              folded=True),
        Field("runout_limit", "Runout limit", "0.05 {unit}", "The maker's figure.", _LENGTH,
              folded=True),
        Field("uncertainty", "Uncertainty", "0.005 {unit}",
              "Of one thickness, at about 95 %; 0.005 mm if empty.", _LENGTH, folded=True),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"thicknesses": "22.010 22.012 22.020 22.031 22.034 22.030 22.018 22.011 mm",
                 "limit": "0.013 mm", "least": "20.4 mm", "speed": "100 km/h",
                 "tire": "205/55R16", "uncertainty": "0.002 mm"},
                "Eight places, one thick side: it pulses once per turn of the wheel.",
                ("proven beyond the limit",)),
        Example({"thicknesses": "0.8070 0.8072 0.8068 0.8071 0.8069 0.8070 0.8072 0.8071 in",
                 "least": "0.810 in", "runout": "0.004 in", "runout_limit": "0.002 in"},
                "A rotor worn below the figure cast into it, read in inches.",
                ("proven too thin",)),
        Example({"thicknesses": "24.02 24.05 24.03 24.06 24.02 24.05 24.03 24.06 mm",
                 "limit": "0.015 mm"},
                "Into the case of a visit.",
                ("thickness varies by 0.0400 +/- 0.0071",), "--into visit.yaml --corner LF"),
    ),
)
