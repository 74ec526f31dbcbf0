"""The trial-weight bench: a wheel balanced on the car from runs with a known weight."""

from __future__ import annotations

from typing import ClassVar

from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.balance import trial_weight as trialweight
from vibecheck.metrology.balance.trial_weight import TrialResult
from vibecheck.metrology.balance.weights import DEFAULT_STEP_G, in_steps
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import Vector
from vibecheck.session.answers import Assignment
from vibecheck.session.benches import fields
from vibecheck.session.benches.result import BenchView, Section, no_surface

RAISED_WHEEL = (
    "a raised wheel under power can kill: follow the vehicle maker's manual for stands and drive "
    "modes, keep everybody out of the wheel's plane, and never exceed the speed it allows"
)
MOST_PLANES = 2
LARGEST_VIBRATION = 1e6  # in whatever unit was read; more is a slip of the keys


class TrialTyped(Struct, frozen=True, kw_only=True):
    """What a person types.

    With phase: `first` as "8.4 at 30", or "8.4 at 30; 5.1 at 120" for two sensors; one of `runs`
    in the same form for each of `trials`, which are weights as "30 g at 0". Without phase:
    `first` and `runs` are amplitudes alone, one run for each of `positions`, and `trials` is the
    one weight "30 g". `uncertainty` : of an amplitude, k = 2, in its unit.
    """

    first: str
    runs: tuple[str, ...]
    trials: tuple[str, ...]
    positions: str = ""
    uncertainty: str = ""
    step: str = ""
    unit: str = "g"


class TrialView(BenchView, frozen=True, kw_only=True):
    """The weights to add, trial weights taken off; circles of 95 % [g]; what is left.

    `uncertainty_known` : whether one was typed; without it the circles are empty.
    """

    calculator: ClassVar[str] = "trialweight"

    weights: tuple[Vector, ...]
    radius_95_g: tuple[float, ...]
    left: tuple[float, ...]
    in_steps: tuple[tuple[Vector, ...], ...]
    uncertainty_known: bool
    unit: str
    readings: tuple[str, ...]

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """The larger of the weights wanted; without an uncertainty the rules' own counts."""
        no_surface(surface)
        place = max(range(len(self.weights)), key=lambda each: self.weights[each].amplitude)
        typed = fields.spoken(self.weights[place].amplitude, self.radius_95_g[place],
                              Quantity.MASS, self.unit)
        if not self.uncertainty_known:
            typed = typed.partition(" +/- ")[0]
        return (Assignment("on_car_weight", typed, corner, self.readings),)


def run(typed: TrialTyped) -> TrialView:
    """Find the weights.

    Raises
    ------
    ReadingError : runs and trials that do not fit, or that changed too little to tell.
    """
    found = _from_amplitudes(typed) if typed.positions.strip() else _from_vectors(typed)
    step = fields.above_zero(typed.step, Quantity.MASS, "step", typed.unit) or DEFAULT_STEP_G
    with fields.at_field("step"):
        placed = tuple(in_steps(weight, step).weights for weight in found.weights)
    known = bool(typed.uncertainty.strip())
    return TrialView(
        headline="take the trial weights off and add: " + "; ".join(
            f"{weight.amplitude:.1f} g at {weight.angle_deg:.0f} deg" for weight in found.weights),
        sections=(Section(title="Weights", lines=_weight_lines(found, placed, known)),),
        notes=(RAISED_WHEEL, _left_text(found, known)),
        next=("run once more with the weights on and read again",),
        weights=found.weights, radius_95_g=found.radius_95_grams, left=found.left,
        in_steps=placed, uncertainty_known=known, unit=_unit(typed),
        readings=(f"as found: {typed.first}", *(f"trial weight {each}" for each in typed.trials),
                  *(f"then: {each}" for each in typed.runs)),
    )


def _unit(typed: TrialTyped) -> str:
    """The unit that the first trial weight was written in."""
    if typed.positions.strip():
        size = fields.value(typed.trials[0], Quantity.MASS, "trials", typed.unit)
        return typed.unit if size is None else size.unit
    spot = fields.spot(typed.trials[0], Quantity.MASS, "trials, 1", typed.unit)
    return typed.unit if spot is None else spot.size.unit


def _weight_lines(
    found: TrialResult, placed: tuple[tuple[Vector, ...], ...], known: bool
) -> tuple[str, ...]:
    lines = []
    for index, name in enumerate(_names(len(found.weights))):
        weight = found.weights[index]
        steps = " and ".join(f"{each.amplitude:g} g" for each in placed[index]) or "nothing"
        line = f"{name}: {weight.amplitude:.1f} g at {weight.angle_deg:.0f} deg; in steps {steps}"
        if known:
            line += f"; the right weight lies within {found.radius_95_grams[index]:.1f} g of it"
        lines.append(line)
    return tuple(lines)


def _left_text(found: TrialResult, known: bool) -> str:
    if not known:
        return "how sure this is cannot be said: repeat a run and give the uncertainty"
    left = " and ".join(f"{size:.2g}" for size in found.left)
    return f"vibration still to be expected: {left} at most, in the unit read"


def _names(planes: int) -> tuple[str, ...]:
    return ("the plane",) if planes == 1 else ("inner plane", "outer plane")


def _from_vectors(typed: TrialTyped) -> TrialResult:
    first = _sensors(typed.first, "first")
    runs = [_sensors(each, f"runs, {place}") for place, each in enumerate(typed.runs, start=1)]
    trials = []
    for place, each in enumerate(typed.trials, start=1):
        found = fields.spot(each, Quantity.MASS, f"trials, {place}", typed.unit)
        if found is not None:
            trials.append(Vector(found.size.value, found.angle_deg))
    if not 1 <= len(trials) <= MOST_PLANES:
        raise ReadingError(f"{len(trials)} trial weights do not do", "trials",
                           "give one for each plane, one or two")
    with fields.at_field("runs"):
        return trialweight.several_planes(first, runs, trials, _standard(typed))


def _from_amplitudes(typed: TrialTyped) -> TrialResult:
    first = fields.number(typed.first, "first")
    positions = fields.angles(typed.positions, "positions") or []
    amplitudes = [each.value for text in typed.runs
                  for each in fields.values(text, Quantity.NUMBER, "runs")]
    for size, field in ((first or 0.0, "first"), *((each, "runs") for each in amplitudes)):
        _check_size(size, field)
    if first is None or len(typed.trials) != 1:
        raise ReadingError(
            "amplitudes alone need a first run and one trial weight", "trials",
            "write the weight as 30 g and move it to each position",
        )
    trial = fields.above_zero(typed.trials[0], Quantity.MASS, "trials", typed.unit)
    if trial is None:
        raise ReadingError("the trial weight is missing", "trials", "write for example 30 g")
    with fields.at_field("positions"):
        return trialweight.from_amplitudes(
            first, amplitudes, positions, trial, _standard(typed)
        )


def _sensors(typed: str, field: str) -> list[Vector]:
    found = [fields.spot(each, Quantity.NUMBER, field) for each in typed.split(";")]
    vectors = [Vector(each.size.value, each.angle_deg) for each in found if each is not None]
    for vector in vectors:
        _check_size(vector.amplitude, field)
    if not vectors:
        raise ReadingError("there is no reading", field, "write for example 8.4 at 30")
    return vectors


def _check_size(size: float, field: str) -> None:
    if not abs(size) <= LARGEST_VIBRATION:
        raise ReadingError(f"a vibration of {size:g} cannot be", field, "check the number")


def _standard(typed: TrialTyped) -> float:
    """Standard uncertainty of each component of a reading, from the expanded one typed."""
    expanded = fields.uncertainty(typed.uncertainty, Quantity.NUMBER, "uncertainty")
    _check_size(expanded or 0.0, "uncertainty")
    return 0.0 if expanded is None else expanded / 2.0
