"""Trial weight: a wheel balanced on the car from runs with a known weight."""

from __future__ import annotations

from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.fields import Field, Group, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field, size_at
from vibecheck.errors import ReadingError
from vibecheck.metrology.balance import trial_weight
from vibecheck.metrology.balance.trial_weight import TrialResult
from vibecheck.metrology.balance.weights import DEFAULT_STEP_G, in_steps
from vibecheck.metrology.places import Way
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import Vector

LARGEST_VIBRATION = 1e6  # in whatever unit was read; more is a slip of the keys
_MASS = Quantity.MASS


@dataclass(frozen=True)
class TrialWeightResult:
    """The weights to add, trial weights taken off.

    Attributes
    ----------
    found : weights, their circles of 95 % [g], and what is left [unit read].
    in_steps : each as weights that can be had.
    uncertainty_known : whether one was typed; without it the circles are empty.
    unit : of the first trial weight, as typed.
    readings : as typed.
    """

    found: TrialResult
    in_steps: tuple[tuple[Vector, ...], ...]
    uncertainty_known: bool
    unit: str
    readings: tuple[tuple[str, str], ...]


def run(texts: Texts, tell: Tell | None = None) -> TrialWeightResult:
    """Find the weights.

    Raises
    ------
    ReadingError : runs and trials that do not fit, or that changed too little to tell.
    """
    typed = Typed(texts)
    if not typed.text("first"):
        raise ReadingError("the first run is missing", "first", "write for example 8.4 at 30")
    trials, runs = _given(typed, "trial"), _given(typed, "run")
    alone = bool(typed.text("positions"))
    if not alone and typed.text("counted"):
        raise ReadingError("with a phase there are no positions to count", "counted",
                           "leave it empty, or give the positions of the weight")
    found = (_from_amplitudes if alone else _from_vectors)(typed, trials, runs)
    step = typed.above_zero("step", _MASS) or DEFAULT_STEP_G
    with at_field("step"):
        placed = tuple(in_steps(weight, step).weights for weight in found.weights)
    first = trials[0]
    weight = typed.value(first, _MASS) if alone else typed.size_at(first, _MASS)
    assert weight is not None
    unit = weight.size.unit if hasattr(weight, "size") else weight.unit
    names = ["first", *trials, *runs]
    return TrialWeightResult(found, placed, bool(typed.text("uncertainty")), unit,
                             tuple((name, typed.text(name)) for name in names))


def answers(result: TrialWeightResult, surface: str) -> tuple[FindingAnswer, ...]:
    """The larger of the weights wanted; without an uncertainty the rules' own counts."""
    weights = result.found.weights
    place = max(range(len(weights)), key=lambda each: weights[each].amplitude)
    spread = result.found.radius_95_grams[place] if result.uncertainty_known else None
    return (FindingAnswer("on_car_weight", "", weights[place].amplitude, spread, _MASS, result.unit,
                          tuple(f"{name} {text}" for name, text in result.readings)),)


def _given(typed: Typed, name: str) -> list[str]:
    """The fields of this name that have a text."""
    return [field for number in range(1, PLANES.most + 1)
            if typed.text(field := f"{name}{number}")]


def _from_vectors(typed: Typed, trials: list[str], runs: list[str]) -> TrialResult:
    first = _sensors(typed, "first")
    shaken = [_sensors(typed, name) for name in runs]
    weights = []
    for name in trials:
        found = size_at(typed.text(name), _MASS, name)
        weights.append(Vector(found.size.value, found.angle_deg))
    if not weights:
        raise ReadingError("the trial weight is missing", "trial1", "write for example 30 g at 0")
    if not runs:
        raise ReadingError("the run with the weight on is missing", "run1",
                           "write for example 12.1 at 75")
    with at_field("run1"):
        return trial_weight.several_planes(first, shaken, weights, _standard(typed))


def _from_amplitudes(typed: Typed, trials: list[str], runs: list[str]) -> TrialResult:
    first = typed.number("first")
    positions = typed.angles("positions") or []
    amplitudes = [each.value for name in runs for each in typed.values(name, Quantity.NUMBER)]
    for size, field in ((first or 0.0, "first"), *((each, "run1") for each in amplitudes)):
        _check_size(size, field)
    trial = typed.above_zero("trial1", _MASS)
    if first is None or trial is None or len(trials) != 1:
        raise ReadingError(
            "amplitudes alone need a first run and one trial weight", "trial1",
            "write the weight as 30 g and move it to each position",
        )
    counted = _counted(typed)
    with at_field("positions"):
        return trial_weight.from_amplitudes(first, amplitudes, positions, trial, _standard(typed),
                                            counted=counted)


def _counted(typed: Typed) -> Way:
    """Which way the positions count from the valve stem, seen from outside."""
    word = typed.text("counted").lower()
    if word and word not in list(Way):
        raise ReadingError(f"'{word[:20]}' is no way to count", "counted",
                           f"write {' or '.join(Way)}")
    return Way(word) if word else Way.CLOCKWISE


def _sensors(typed: Typed, field: str) -> list[Vector]:
    found = [size_at(each, Quantity.NUMBER, field)
             for each in typed.text(field).split(";") if each.strip()]
    for each in found:
        _check_size(each.size.value, field)
    return [Vector(each.size.value, each.angle_deg) for each in found]


def _check_size(size: float, field: str) -> None:
    if not abs(size) <= LARGEST_VIBRATION:
        raise ReadingError(f"a vibration of {size:g} cannot be", field, "check the number")


def _standard(typed: Typed) -> float:
    """Standard uncertainty of each component of a reading, from the expanded one typed."""
    expanded = typed.uncertainty("uncertainty", Quantity.NUMBER) or 0.0
    _check_size(expanded, "uncertainty")
    return expanded / 2.0


PLANES = Group(
    "plane", "",
    (
        Field("trial", "Trial weight", "30 {unit} at 0",
              "Its mass, and its angle on the rim. For two planes and two sensors a second one, "
              "the first one taken off.", _MASS, Shape.SIZE_AT),
        Field("run", "With weight on", "12.1 at 75",
              "The same speed with that trial weight on, and nothing else changed.",
              shape=Shape.TEXT),
    ),
    most=2, open=1,
)
CALCULATOR = Calculator(
    name="trialweight",
    about=(
        "Run the wheel on the car at one steady speed and read the vibration, once as found and "
        "once with a known weight fixed to the rim. From the change follows the weight that all "
        "that turns wants together: tire, wheel, hub and disc. With a phase, one trial run for "
        "each plane does; without, the same weight is tried at three places in turn. A raised "
        "wheel under power can kill: keep to the vehicle maker's manual for stands and drive "
        "modes, and keep everybody out of the wheel's plane."
    ),
    empty="Type the vibration as found, the trial weight, and the vibration with it on.",
    entries=(
        Field("first", "Shake as found", "8.4 at 30",
              "Size and phase at one steady speed, in any unit. One sensor, or two parted by a "
              "semicolon, as 8.4 at 30; 5.1 at 120.", shape=Shape.TEXT),
        PLANES,
        Field("uncertainty", "Uncertainty", "0.4", "Of a size read, at about 95 %.",
              Quantity.NUMBER),
        Field("positions", "Weight sat at", "0 120 240",
              "Without a phase: where the one weight sat in turn. Then write sizes alone, the "
              "runs in one list: 9.6 12.0 4.4.", Quantity.ANGLE, Shape.LIST, folded=True),
        Field("counted", "Positions count", "clockwise",
              "Which way they count from the valve stem, seen from outside the car: clockwise "
              "(also if empty) or counterclockwise. The weight is told clockwise.",
              shape=Shape.CHOICE, choices=tuple(Way), folded=True),
        Field("step", "Weights in steps", "5 {unit}",
              "The smallest step of the weights at hand; 5 g if empty.", _MASS, folded=True),
    ),
    run=run,
    answers=answers,
    examples=(
        Example({"first": "8.4 at 30", "trial1": "30 g at 0", "run1": "12.1 at 75",
                 "uncertainty": "0.4"},
                "Vibration with its phase, as found and with a trial weight.",
                ("take the trial weights off and add: 29.4 g at 91 deg",)),
        Example({"first": "8.0", "trial1": "30 g", "positions": "0 120 240",
                 "run1": "9.6 12.0 4.4"},
                "Without a phase: the trial weight at three places in turn.",
                ("take the trial weights off and add: 51.2 g at 264 deg",)),
    ),
)
