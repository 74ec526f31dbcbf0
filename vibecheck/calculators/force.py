"""Force: radial force variation that a runout makes, and the loaded radius."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.driveline import TIRE
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field
from vibecheck.errors import ReadingError
from vibecheck.metrology.runout import force_variation
from vibecheck.metrology.runout.force_variation import ForceHarmonic
from vibecheck.metrology.runout.harmonics import Harmonic
from vibecheck.metrology.runout.readings import from_readings, from_tir
from vibecheck.metrology.units.values import Measured, Quantity

LARGEST_MM = 2_000.0
SOFTEST, STIFFEST = 20.0, 2_000.0  # radial stiffness of a tire [N/mm]
HEAVIEST_N = 100_000.0
MEASURED_SHARE = 0.1  # expanded, of a stiffness typed or measured without its own; from memory
_LENGTH, _FORCE = Quantity.LENGTH, Quantity.FORCE


@dataclass(frozen=True)
class ForceResult:
    """What radial runout does to the force on the axle.

    Attributes
    ----------
    harmonics : order by order; the first alone where only high minus low was typed.
    stiffness_n_mm, stiffness_uncertainty : k = 2 [N/mm].
    stiffness_known : whether it was typed or measured, and not taken as usual.
    loaded_radius_mm : with k = 2; None without load and diameter.
    """

    harmonics: tuple[ForceHarmonic, ...]
    stiffness_n_mm: float
    stiffness_uncertainty: float
    stiffness_known: bool
    loaded_radius_mm: tuple[float, float] | None


def run(texts: Texts, tell: Tell | None = None) -> ForceResult:
    """Work out force variation, loaded radius, or both.

    Raises
    ------
    InputError family : readings, a load, stiffness or diameter that cannot be.
    """
    typed = Typed(texts)
    stiffness, spread, known = _stiffness(typed)
    harmonics = force_variation.from_runout(_harmonics(typed), stiffness, spread)
    diameter, load = _diameter(typed), typed.up_to("load", _FORCE, HEAVIEST_N)
    loaded = None
    if diameter is not None and load is not None:
        with at_field("load"):
            loaded = force_variation.loaded_radius(diameter, load, stiffness, spread)
    if not harmonics and loaded is None:
        raise ReadingError("neither a runout nor load and diameter are given", "runout",
                           "write 0.5 mm, or readings round the turn")
    return ForceResult(harmonics, stiffness, spread, known, loaded)


def answers(result: ForceResult, surface: str) -> tuple[FindingAnswer, ...]:
    """No finding: what follows from a runout is the most that the runout can do, not a reading."""
    return ()


def _harmonics(typed: Typed) -> tuple[Harmonic, ...]:
    readings, total = typed.values("readings", _LENGTH), typed.value("runout", _LENGTH)
    if readings and total is not None:
        raise ReadingError("high minus low and readings say the same twice", "runout",
                           "give one of them")
    if readings:
        return from_readings([each.value for each in readings], where="readings").harmonics
    if total is None:
        return ()
    found = from_tir(total, where="runout")
    return (Harmonic(1, found.tir_mm / 2.0, found.uncertainty_mm / 2.0, 0.0, 0.0),)


def _stiffness(typed: Typed) -> tuple[float, float, bool]:
    """Radial stiffness and its spread, k = 2 [N/mm], and whether it is this tire's own."""
    given = typed.value("stiffness", Quantity.NUMBER)
    load, pressed = typed.value("load", _FORCE), typed.value("pressed", _LENGTH)
    if given is not None and pressed is not None:
        raise ReadingError("a stiffness follows from load and pressing-in", "stiffness",
                           "leave one of them empty")
    if given is not None:
        return _possible(given.value, "stiffness"), _own(given, given.value), True
    if pressed is None:
        return (force_variation.USUAL_STIFFNESS_N_MM, force_variation.USUAL_STIFFNESS_SPREAD,
                False)
    if load is None or not pressed.value > 0.0:
        raise ReadingError("a pressing-in needs the load that does it", "load" if load is None
                           else "pressed", "write 4000 N and 18 mm")
    found = _possible(load.value / pressed.value, "pressed")
    return found, MEASURED_SHARE * found, True


def _possible(stiffness: float, name: str) -> float:
    if not SOFTEST <= stiffness <= STIFFEST:
        raise ReadingError(f"a tire of {stiffness:.3g} N/mm cannot be", name,
                           f"{SOFTEST:g} to {STIFFEST:g} N/mm; a car's is about 220")
    return stiffness


def _own(given: Measured, value: float) -> float:
    spread = MEASURED_SHARE * value if given.uncertainty is None else given.uncertainty
    if not spread <= STIFFEST:
        raise ReadingError("an uncertainty larger than any stiffness cannot be", "stiffness",
                           "write 220 +/- 20")
    return spread


def _diameter(typed: Typed) -> float | None:
    diameter, size = typed.up_to("diameter", _LENGTH, LARGEST_MM), typed.tire()
    return diameter if diameter is not None or size is None else size.diameter_mm


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    return {"tire": facts["tire_size"]} if facts.get("tire_size") else {}


CALCULATOR = Calculator(
    name="force",
    about=(
        "A tire that runs out pushes harder on the road where it is high: its stiffness times "
        "its runout. Type the radial runout at the tread, or readings round the turn for every "
        "order, and the tire's stiffness if it is known, or load and how far the load presses "
        "the tire in. It says the most that the runout does to the force, order by order, and "
        "the loaded radius."
    ),
    empty="Type the radial runout at the tread, as 0.5 mm.",
    entries=(
        Field("runout", "Radial runout", "0.5 {unit}", "High minus low at the tread.", _LENGTH),
        Field("readings", "Or readings", "0 .03 .08 ... {unit}",
              "Round one turn at the tread, evenly spaced.", _LENGTH, Shape.LIST),
        Field("stiffness", "Stiffness", "220 +/- 20",
              "Radial, of the tire at its pressure [N/mm]; 220 +/- 60 if empty."),
        Field("load", "Load on the wheel", "4000 {unit}",
              "For the loaded radius, or with the pressing-in for the stiffness.", _FORCE),
        Field("pressed", "Pressed in by", "18 {unit}",
              "How much nearer the axle is to the road under that load.", _LENGTH),
        TIRE,
        Field("diameter", "Or diameter", "632 {unit}", "Outside, free of load.", _LENGTH,
              folded=True),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"runout": "0.5 mm +/- 0.05", "stiffness": "200 +/- 20"},
                "Half a millimeter on a usual tire.",
                ("up to 100 +/- 14 N",)),
        Example({"load": "4000 N", "tire": "205/55R16", "stiffness": "150 +/- 15"},
                "The loaded radius of a soft tire.",
                ("loaded radius",)),
        Example({"runout": "0.020 in", "load": "900 lb", "pressed": "0.70 in"},
                "Stiffness from load and pressing-in, in pounds and inches.",
                ("1st order",)),
    ),
)
