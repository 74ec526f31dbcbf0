"""Engine and motor: what they and their accessories excite, and what a measured Hz fits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import TIRE
from vibecheck.calculators.fields import Field, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.orders import engine
from vibecheck.metrology.orders.engine import Excitation
from vibecheck.metrology.orders.rotating_parts import SPEEDOMETER_KMH
from vibecheck.metrology.orders.tire_size import Rolling
from vibecheck.metrology.units.values import Measured, Quantity

USUAL_PEAK_HZ = 0.3  # expanded, of a measured frequency without its own; from memory
REV_COUNTER_SHARE = 0.03  # expanded, of a rev counter's reading; from memory
FASTEST_KMH = 400.0
LEAST_HZ = 0.01  # nothing is known closer than this
_RPM = "rpm"


@dataclass(frozen=True)
class Named:
    """One source against the measured frequency: how far off, and how far is allowed [Hz]."""

    line: Excitation
    gap_hz: float
    allowed_hz: float

    @property
    def fits(self) -> bool:
        """Whether it can be what was measured."""
        return abs(self.gap_hz) <= self.allowed_hz


@dataclass(frozen=True)
class EngineResult:
    """What an engine or a motor excites, slowest first.

    Attributes
    ----------
    rpm : of the crank; None where only a motor was given.
    speed_kmh : None where none was given.
    overall_ratio : turns of the engine per turn of the wheel; None without speed and tire.
    pulley_ratio : turns of the accessory per turn of the crank; None without pulleys.
    engine, motor : the sources.
    measured_hz, measured_uncertainty_hz : None where nothing was measured.
    named : every source against it, nearest first.
    """

    rpm: float | None
    speed_kmh: float | None
    overall_ratio: float | None
    pulley_ratio: float | None
    engine: tuple[Excitation, ...]
    motor: tuple[Excitation, ...]
    measured_hz: float | None
    measured_uncertainty_hz: float | None
    named: tuple[Named, ...]

    @property
    def fitting(self) -> tuple[Named, ...]:
        """The sources that fit what was measured."""
        return tuple(each for each in self.named if each.fits)


def run(texts: Texts, tell: Tell | None = None) -> EngineResult:
    """Work out the sources, and name a measured frequency.

    Raises
    ------
    InputError family : a speed, ratio, count or frequency that cannot be, or nothing given.
    """
    typed = Typed(texts)
    rpm = typed.value("rpm", Quantity.FREQUENCY, _RPM)
    speed, rolling = typed.up_to("speed", Quantity.SPEED, FASTEST_KMH), typed.rolling()
    turns = None if rpm is None else 60.0 * rpm.value
    pulleys = _pulleys(typed)
    sources = _engine(typed, turns, pulleys)
    roll = None if rolling is None else rolling.circumference_m
    motor = _motor(typed, speed, roll)
    if not sources and not motor:
        raise ReadingError("neither an engine speed nor a motor is given", "rpm",
                           "write 750 rpm, or speed, tire and gear ratio of the motor")
    overall = None
    if turns is not None and speed is not None and roll is not None:
        with at_field("rpm"):
            overall = engine.overall_ratio(turns, speed, roll)
    hz, spread = _peak(typed.value("measured", Quantity.FREQUENCY))
    named: tuple[Named, ...] = ()
    if hz is not None and spread is not None:
        known = [*((line, _engine_share(rpm)) for line in sources),
                 *((line, _motor_share(speed, rolling)) for line in motor)]
        named = tuple(sorted(
            (Named(line, line.hz - hz, max(LEAST_HZ, math.hypot(spread, share * line.hz)))
             for line, share in known), key=lambda each: abs(each.gap_hz) / each.allowed_hz))
    return EngineResult(turns, speed, overall, pulleys, sources, motor, hz, spread, named)


def answers(result: EngineResult, surface: str) -> tuple[FindingAnswer, ...]:
    """No finding: a frequency is tied to parts where the whole car is known."""
    return ()


def _engine(
    typed: Typed, turns: float | None, pulleys: float | None
) -> tuple[Excitation, ...]:
    cylinders = typed.count("cylinders")
    if turns is None:
        if pulleys is not None and not typed.text("gear_ratio"):
            raise ReadingError("pulleys need the engine speed", "rpm", "write 750 rpm")
        return ()
    where = "cylinders" if cylinders is not None and not 1 <= cylinders <= 16 else (
        "rpm" if not 0.0 < turns <= 12_000.0 else "pulley_ratio")
    with at_field(where):
        return engine.engine_excitations(turns, cylinders, pulleys)


def _pulleys(typed: Typed) -> float | None:
    ratio = typed.up_to("pulley_ratio", Quantity.NUMBER, 10.0)
    sizes = [typed.up_to(name, Quantity.LENGTH, 500.0)
             for name in ("crank_pulley", "accessory_pulley")]
    if sizes == [None, None]:
        return ratio
    if ratio is not None:
        raise ReadingError("pulley ratio and diameters say the same twice", "pulley_ratio",
                           "give one of them")
    crank, accessory = sizes
    if crank is None or accessory is None:
        missing = "crank_pulley" if crank is None else "accessory_pulley"
        raise ReadingError("one pulley alone gives no ratio", missing, "write both diameters")
    return engine.pulley_ratio(crank, accessory)


def _motor(typed: Typed, speed: float | None, roll: float | None) -> tuple[Excitation, ...]:
    ratio = typed.up_to("gear_ratio", Quantity.NUMBER, 30.0)
    pairs, teeth = typed.count("pole_pairs"), typed.count("teeth")
    if ratio is None:
        for name, count in (("pole_pairs", pairs), ("teeth", teeth)):
            if count is not None:
                raise ReadingError("a motor needs its gear ratio", "gear_ratio",
                                   f"write 9.1, or leave {name.replace('_', ' ')} empty")
        return ()
    if speed is None or roll is None:
        raise ReadingError("a motor needs road speed and tire size",
                           "speed" if speed is None else "tire", "write 105 km/h and 205/55R16")
    where = "pole_pairs" if pairs is not None and not 0 < pairs <= 20 else "teeth"
    with at_field(where):
        return engine.electric_excitations(speed, roll, ratio, pairs, teeth)


def _peak(measured: Measured | None) -> tuple[float | None, float | None]:
    if measured is None:
        return None, None
    if not 0.0 < measured.value <= 20_000.0:
        raise ReadingError(f"a frequency of {measured.value:g} Hz cannot be", "measured",
                           "write for example 12.5 Hz")
    return measured.value, USUAL_PEAK_HZ if measured.uncertainty is None else measured.uncertainty


def _engine_share(rpm: Measured | None) -> float:
    """How well the crank's turning is known, as a share."""
    if rpm is None or rpm.uncertainty is None or not rpm.value > 0.0:
        return REV_COUNTER_SHARE
    return rpm.uncertainty / rpm.value


def _motor_share(speed: float | None, rolling: Rolling | None) -> float:
    """How well a motor's turning is known, as a share: from road speed and tire."""
    if speed is None or rolling is None:
        return 0.0
    return math.hypot(SPEEDOMETER_KMH / speed, rolling.uncertainty_m / rolling.circumference_m)


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    pairs = (("tire", "tire_size"), ("cylinders", "cylinders"), ("gear_ratio", "motor_reduction"))
    return {name: facts[fact] for name, fact in pairs if facts.get(fact)}


CALCULATOR = Calculator(
    name="engine",
    about=(
        "What turns with the engine shakes with the engine's speed, whatever the road speed. From "
        "the rev counter follow the frequencies of the crank, of firing, of one dead cylinder "
        "and, with the two pulleys, of an accessory. With the road speed it says the overall "
        "ratio, which tells the gear and a slipping clutch or converter. For an electric drive it "
        "gives the motor, its poles and its gears. A frequency that was measured is named "
        "against all of them. Keep hands, hair and clothes away from belts and fans."
    ),
    empty="Type the engine speed, as 750 rpm. A bare number counts in rpm.",
    entries=(
        Field("rpm", "Engine speed", "750 rpm", "From the rev counter or a scan tool.",
              Quantity.FREQUENCY, own_unit=_RPM),
        Field("cylinders", "Cylinders", "4", "Of a four-stroke engine that fires evenly."),
        Field("measured", "Measured shake", "12.5 Hz +/- 0.3", "If one was measured.",
              Quantity.FREQUENCY),
        Field("crank_pulley", "Crank pulley", "150 {unit}", "Diameter where the belt runs.",
              Quantity.LENGTH),
        Field("accessory_pulley", "Accessory pulley", "55 {unit}",
              "Diameter of the pulley that the belt drives.", Quantity.LENGTH),
        Field("speed", "Road speed", "100 {unit}", "For the overall ratio, and for a motor.",
              Quantity.SPEED),
        TIRE,
        Field("pulley_ratio", "Or pulley ratio", "2.73", "Accessory turns per crank turn.",
              folded=True),
        Field("gear_ratio", "Motor gear ratio", "9.1", "Electric motor turns per wheel turn.",
              folded=True),
        Field("pole_pairs", "Pole pairs", "4", "Of the electric motor.", folded=True),
        Field("teeth", "Pinion teeth", "23", "Of the gear on the motor's shaft.", folded=True),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"rpm": "700 rpm", "cylinders": "4", "measured": "5.8 Hz"},
                "An idle that rocks 5.8 times a second: half the crank's turning.",
                ("half order, as of one dead cylinder",)),
        Example({"rpm": "1100 rpm", "measured": "50 Hz", "crank_pulley": "150 mm",
                 "accessory_pulley": "55 mm"},
                "An alternator on a pulley of 55 mm.",
                ("an accessory on the belt",)),
        Example({"speed": "90 km/h", "tire": "205/55R16", "gear_ratio": "9", "pole_pairs": "4",
                 "teeth": "23"},
                "An electric drive: motor, poles and gear mesh at a road speed.",
                ("gear mesh at the motor's pinion",)),
    ),
)
