"""Which part runs out: tire, wheel and hub told apart by readings at several mountings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.fields import Field, Group, Shape, Texts
from vibecheck.calculators.typed import (
    AT,
    MARKED_BY_HAND_DEG,
    Typed,
    at_field,
    single,
)
from vibecheck.errors import ReadingError
from vibecheck.metrology.runout import readings as runout
from vibecheck.metrology.runout.turn_list import check_division
from vibecheck.metrology.stack.matching import BestTurn, best_turn
from vibecheck.metrology.stack.separation import (
    Clocking,
    Follows,
    Separation,
    Stacked,
    high_spot_follows,
    separate,
)
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import FULL_TURN_DEG, Vector, add, difference, turned

REMOUNT_MM = 0.02  # expanded, how well the 1st harmonic repeats after a careful remount; memory
FOLLOWS_FROM_DEG = 90.0  # a turn of the tire from which the shortcut is worth telling
HALF_TURN = "180"
_FINDING = {Stacked.TIRE: "runout_vector_tire", Stacked.WHEEL: "runout_vector_wheel",
            Stacked.HUB: "runout_vector_hub"}
_FLAGS = ("bare", "spindle", "valve")
_LENGTH = Quantity.LENGTH


@dataclass(frozen=True)
class QuickResult:
    """The shop's shortcut: what the high spot followed when the tire was turned [deg].

    `readings` are its places before and after, `angles` how the tire stood on its wheel then.
    """

    follows: Follows
    moved_deg: float
    turned_deg: float
    readings: tuple[str, ...]
    angles: tuple[str, ...]


@dataclass(frozen=True)
class StackResult:
    """Parts told apart, and the best turns that follow.

    Attributes
    ----------
    separation : the parts with their vectors, and how well they fit.
    rotor : a brake rotor was read where the wheel would be.
    with_tire, with_hub : the wheel was read as one with its tire, or its hub.
    tire_turn : of the tire on the wheel from where it stood first.
    wheel_turn : of the wheel on the hub, valve stem from the marked stud.
    follows : what the high spot followed, where two of the mountings tell.
    readings, angles : single readings as typed, and where and at which mounting.
    """

    separation: Separation
    rotor: bool
    with_tire: bool
    with_hub: bool
    tire_turn: BestTurn | None
    wheel_turn: BestTurn | None
    follows: Follows | None
    readings: tuple[str, ...]
    angles: tuple[str, ...]

    def is_alone(self, part: Stacked) -> bool:
        """Whether a share stands for that part alone."""
        return part is not Stacked.WHEEL or not (self.with_tire or self.with_hub)


@dataclass(frozen=True)
class _Mounting:
    """One mounting as typed; `field` is that of its reading."""

    field: str
    read: str
    tire: str
    wheel: str
    tire_on: bool
    on_hub: bool
    from_valve: bool


def run(texts: Texts, tell: Tell | None = None) -> StackResult | QuickResult:
    """Tell the parts apart, or say what the high spot follows.

    Raises
    ------
    ReadingError : too few mountings, readings that cannot be, mountings that cannot separate.
    """
    typed = Typed(texts)
    quick = bool(typed.text("before") or typed.text("after"))
    if quick == bool(MOUNTINGS.filled(texts)):
        raise ReadingError(
            "give one kind of input", MOUNTINGS.name,
            "write what was read at each mounting, or where the high spot was before and after",
        )
    return _quick(typed) if quick else _separated(typed)


def answers(result: StackResult | QuickResult, surface: str) -> tuple[FindingAnswer, ...]:
    """A share for each part told apart alone, or what the high spot follows.

    One set of readings gives one or the other: what the high spot follows adds nothing to the
    shares. Those of a brake rotor on its hub are no wheel's.
    """
    if isinstance(result, StackResult) and result.rotor:
        return ()
    if isinstance(result, QuickResult):
        return (FindingAnswer("high_spot_follows", result.follows.value, readings=result.readings,
                              angles=result.angles),)
    return tuple(
        FindingAnswer(_FINDING[each.part], "", each.vector.tir, 2.0 * each.uncertainty, _LENGTH,
                      "mm", result.readings, result.angles)
        for each in result.separation.parts if result.is_alone(each.part)
    )


def split_clocking(text: str, field: str) -> dict[str, str]:
    """A mounting as one text: "tire 180, wheel 72: 0 .05 ... mm" or "tire 180: 0.42 mm at 120".

    Words before the colon: `tire ANGLE`, `wheel ANGLE`, and those of "how it was read".

    Raises
    ------
    ReadingError : no colon, or another word before it.
    """
    head, colon, body = text.partition(":")
    if not colon or not body.strip():
        raise ReadingError(f"'{short(text)}' is not a clocking", field,
                           "write for example 'tire 180: 0.42 mm at 120'")
    words = head.replace(",", " ").replace("=", " ").lower().split()
    found = {"read": body.strip(), "tire": "", "wheel": "", "how": ""}
    while words:
        word = words.pop(0)
        if word in ("tire", "wheel") and words:
            found[word] = words.pop(0)
        else:
            _check_how(word, field)
            found["how"] = f"{found['how']} {word}".strip()
    return found


def joined_clocking(texts: Texts) -> str:
    """A mounting as one text, from its fields."""
    turns = [f"{name} {texts[name]}" for name in ("tire", "wheel") if texts[name]]
    return f"{', '.join([*turns, *texts['how'].split()])}: {texts['read']}"


def _check_how(word: str, field: str) -> None:
    if word not in _FLAGS:
        raise ReadingError(f"'{short(word)}' says nothing about a clocking", field,
                           "write tire ANGLE, wheel ANGLE, bare, spindle or valve")


def _quick(typed: Typed) -> QuickResult:
    angles = {name: typed.angle(name) for name in ("before", "after")}
    missing = next((name for name, angle in angles.items() if angle is None), None)
    if missing is not None:
        raise ReadingError("an angle is missing", missing, "write it in degrees, as 120")
    before, after = (float(angle) for angle in angles.values() if angle is not None)
    turn = typed.angle("turned")
    turn = float(HALF_TURN) if turn is None else turn
    with at_field("turned"):
        follows = high_spot_follows(before, after, turn)
    return QuickResult(
        follows, difference(after, before), turn,
        (f"{before:g} deg", f"{after:g} deg"), ("tire 0", f"tire {turn:g}"),
    )


def _separated(typed: Typed) -> StackResult:
    mountings = [_mounting(typed, number) for number in MOUNTINGS.filled(typed.texts)]
    division, remount = _gauge(typed)
    read = [_clocking(typed, each, division, remount) for each in mountings]
    studs = typed.count("studs")
    parts = _parts(typed, read)
    with at_field(MOUNTINGS.name):
        found = separate(read, parts, studs)
    readings, angles = _single_readings(typed, mountings)
    tire_turn, wheel_turn = _turns(found, read, studs)
    return StackResult(
        found, typed.flag("rotor"),
        Stacked.TIRE not in parts and any(each.tire_on for each in read),
        Stacked.HUB not in parts and any(each.on_hub for each in read),
        tire_turn, wheel_turn, _pair_follows(read), readings, angles,
    )


def _mounting(typed: Typed, number: int) -> _Mounting:
    how = typed.text(f"how{number}").replace(",", " ").lower().split()
    for word in how:
        _check_how(word, f"how{number}")
    return _Mounting(
        f"read{number}", typed.text(f"read{number}"), typed.text(f"tire{number}") or "0",
        typed.text(f"wheel{number}") or "0",
        "bare" not in how and not typed.flag("rotor"), "spindle" not in how,
        "valve" in how,
    )


def _gauge(typed: Typed) -> tuple[float, float]:
    """Division and remount spread [mm]."""
    remount = typed.uncertainty("remount", _LENGTH)
    division = typed.above_zero("division", _LENGTH) or runout.USUAL_DIVISION_MM
    with at_field("division"):
        check_division(division)
    return division, REMOUNT_MM if remount is None else remount


def _clocking(typed: Typed, each: _Mounting, division: float, remount: float) -> Clocking:
    number = each.field.removeprefix("read")
    tire_turn = typed.angle(f"tire{number}") or 0.0
    wheel_turn = typed.angle(f"wheel{number}") or 0.0
    vector, spread = _vector(typed, each, division)
    if each.from_valve and each.on_hub:
        vector = turned(vector, wheel_turn)
    return Clocking(vector, math.hypot(spread, remount), tire_turn, wheel_turn, each.tire_on,
                    each.on_hub)


def _vector(typed: Typed, each: _Mounting, division: float) -> tuple[Vector, float]:
    """First harmonic and the expanded uncertainty of its amplitude, without the remount [mm]."""
    if AT.search(each.read) is not None:
        marked = typed.size_at(each.field, _LENGTH)
        assert marked is not None
        with at_field(each.field):
            found = runout.from_tir(marked.size, division)
        by_hand = math.radians(MARKED_BY_HAND_DEG) * found.tir_mm / 2.0
        spread = math.hypot(found.uncertainty_mm / 2.0, by_hand)
        return Vector(found.tir_mm / 2.0, marked.angle_deg), spread
    values = [reading.value for reading in typed.values(each.field, _LENGTH)]
    first = runout.from_readings(values, None, division, where=each.field).harmonics[0]
    return Vector(first.amplitude_mm, first.angle_deg), first.uncertainty_mm


def _single_readings(
    typed: Typed, mountings: Sequence[_Mounting]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Every single reading, and where and at which mounting it was taken."""
    readings: list[str] = []
    places: list[str] = []
    for each in mountings:
        how = (f"tire {each.tire} wheel {each.wheel}{'' if each.tire_on else ' bare'}"
               f"{'' if each.on_hub else ' spindle'}{' valve' if each.from_valve else ''}")
        if AT.search(each.read) is not None:
            readings.append(each.read)
            places.append(how)
            continue
        found = single(typed.values(each.field, _LENGTH))
        readings += found
        places += [f"{how}: {FULL_TURN_DEG * place / len(found):g}" for place in range(len(found))]
    return tuple(readings), tuple(places)


def _parts(typed: Typed, read: Sequence[Clocking]) -> tuple[Stacked, ...]:
    words = typed.text("parts").replace(",", " ").lower().split()
    if words:
        unknown = [word for word in words if word not in [part.value for part in Stacked]]
        if unknown:
            raise ReadingError(f"'{short(unknown[0])}' is no part", "parts",
                               "write tire, wheel or hub")
        return tuple(Stacked(word) for word in dict.fromkeys(words))
    with_tire = {each.tire_turn_deg % FULL_TURN_DEG for each in read if each.tire_on}
    on_hub = {each.wheel_turn_deg % FULL_TURN_DEG for each in read if each.on_hub}
    found = [Stacked.WHEEL]
    if len(with_tire) > 1 or len({each.tire_on for each in read}) > 1:
        found.append(Stacked.TIRE)
    if len(on_hub) > 1 or len({each.on_hub for each in read}) > 1:
        found.append(Stacked.HUB)
    if len(found) == 1:
        raise ReadingError(
            "no part was turned between the readings, so nothing can be told apart",
            MOUNTINGS.name,
            "turn the tire on the wheel, or the wheel on the hub, by about half a turn",
        )
    return tuple(found)


def _turns(
    found: Separation, read: Sequence[Clocking], studs: int | None
) -> tuple[BestTurn | None, BestTurn | None]:
    """The best turn of the tire and of the wheel, as they follow from the shares."""
    vector = {each.part: each.vector for each in found.parts}
    spread = {each.part: each.uncertainty for each in found.parts}
    tire_turn = wheel_turn = None
    if Stacked.WHEEL in vector and Stacked.TIRE in vector:
        carrier, ways = vector[Stacked.WHEEL], [spread[Stacked.WHEEL]]
        if Stacked.HUB in vector:
            carrier = add((carrier, turned(vector[Stacked.HUB], -read[0].wheel_turn_deg)))
            ways.append(spread[Stacked.HUB])
        tire_turn = best_turn(
            carrier, vector[Stacked.TIRE], math.hypot(*ways), spread[Stacked.TIRE])
    if Stacked.WHEEL in vector and Stacked.HUB in vector and studs is not None:
        both = [part for part in (Stacked.TIRE, Stacked.WHEEL) if part in vector]
        wheel_turn = best_turn(
            vector[Stacked.HUB], add(vector[part] for part in both), spread[Stacked.HUB],
            math.hypot(*(spread[part] for part in both)), studs)
    return tire_turn, wheel_turn


def _pair_follows(read: Sequence[Clocking]) -> Follows | None:
    """The shortcut from the first two mountings that differ in the tire's turn alone."""
    for first in read:
        for second in read:
            turn = difference(second.tire_turn_deg, first.tire_turn_deg)
            alike = (first.wheel_turn_deg, first.on_hub) == (second.wheel_turn_deg, second.on_hub)
            if alike and first.tire_on and second.tire_on and abs(turn) >= FOLLOWS_FROM_DEG:
                return high_spot_follows(first.vector.angle_deg, second.vector.angle_deg, turn)
    return None


def _known(facts: Mapping[str, str]) -> dict[str, str]:
    return {"studs": facts["stud_count"]} if facts.get("stud_count") else {}


MOUNTINGS = Group(
    "clocking", "Mounting",
    (
        Field("read", "Read", "0.42 {unit} at 120, or a list",
              "High minus low at the angle of the high spot, or readings round the turn.",
              _LENGTH, Shape.EITHER),
        Field("tire", "Tire turned by", "180",
              "Turn of the tire on the wheel from where it stood first [deg]; empty for none.",
              Quantity.ANGLE),
        Field("wheel", "Wheel turned by", "0",
              "Turn of the wheel on the hub, valve stem from the marked stud [deg].",
              Quantity.ANGLE),
        Field("how", "How read", "bare, spindle, valve",
              "Words, if they fit: bare (no tire on it), spindle (on a true spindle, not on the "
              "hub), valve (angles count from the valve stem, not from the stud).",
              shape=Shape.TEXT, folded=True),
    ),
    most=8, open=3, least=2, hint="'tire ANGLE, wheel ANGLE: READINGS'",
    help="One mounting, 'tire ANGLE, wheel ANGLE: READINGS' or '...: SIZE at ANGLE'; words before "
         "the colon: bare (no tire on it), spindle (not on the hub), valve (angles from the valve "
         "stem, not from the hub's marked stud). Give it once for each mounting.",
    split=split_clocking, joined=joined_clocking,
)
CALCULATOR = Calculator(
    name="stack",
    about=(
        "Tire, wheel and hub add up. Turn one against the other, measure again at each mounting, "
        "and the shares come apart. For each mounting type what was read, as 0.42 at 120 or as a "
        "list round the turn, and by how much tire and wheel were turned. The quick way: type "
        "only where the high spot was before and after the tire was turned half a turn. A brake "
        "rotor's lateral runout parts from its hub's in the same way."
    ),
    empty=(
        "Type what was read at two or more mountings, and by how much the tire or the wheel was "
        "turned; or only where the high spot was before and after."
    ),
    entries=(
        Field("before", "High spot before", "120", "Angle of the high spot on the wheel [deg].",
              Quantity.ANGLE, heading="The quick way"),
        Field("after", "High spot after", "300", "The same after the tire was turned [deg].",
              Quantity.ANGLE),
        Field("turned", "Tire turned by", HALF_TURN,
              f"How far the tire was turned [deg]; {HALF_TURN} if empty.", Quantity.ANGLE),
        MOUNTINGS,
        Field("parts", "Parts to part", "tire wheel hub", "Else those that were turned.",
              shape=Shape.TEXT, heading="About the readings", folded=True),
        Field("rotor", "A brake rotor on its hub",
              help="Lateral runout of a rotor was read, clamped as in use; 'wheel turned by' is "
                   "then the rotor's turn on the hub.", shape=Shape.FLAG, folded=True),
        Field("studs", "Studs", "5", "Of the hub.", folded=True),
        Field("remount", "Remount", "0.02 {unit}",
              "How well a mounting repeats, at about 95 %.", _LENGTH, folded=True),
        Field("division", "Gauge division", "0.01 {unit}", "One division of the gauge.", _LENGTH,
              folded=True),
    ),
    run=run,
    answers=answers,
    known=_known,
    examples=(
        Example({"read1": "0.94 mm at 101", "tire1": "0", "read2": "0.18 mm at 105",
                 "tire2": "120", "read3": "0.86 mm at 51", "tire3": "240"},
                "The tire was turned by a third of a turn twice.",
                ("the largest share comes from the wheel with its hub",)),
        Example({"read1": "1.00 mm at 57", "tire1": "0", "how1": "spindle",
                 "read2": "1.00 mm at 163", "tire2": "180", "how2": "spindle"},
                "The tire was turned half a turn on its wheel, on a true-running spindle: the "
                "high spot went halfway with it.",
                ("tire: 0.80 +/- 0.13 mm, high spot at 20 deg (12:30 o'clock) +/- 11 deg from",
                 "wheel: 0.60 +/- 0.16 mm, high spot at 110 deg (3:30 o'clock) +/- 13 deg from")),
        Example({"before": "40", "after": "215"},
                "The shop's shortcut: the tire was turned half a turn.",
                ("the high spot follows the tire",)),
        Example({"studs": "5", "read1": "0.60 mm at 40", "tire1": "0", "wheel1": "0",
                 "read2": "0.58 mm at 172", "tire2": "0", "wheel2": "144"},
                "Wheel with tire turned by two studs on the hub.",
                ("the largest share comes from the wheel with its tire",),
                "--into visit.yaml --corner RF"),
        Example({"rotor": "yes", "studs": "5", "division": "0.002 mm", "remount": "0.005 mm",
                 "read1": "0.174 mm at 77", "wheel1": "0", "read2": "0.151 mm at 132",
                 "wheel2": "144", "read3": "0.089 mm at 58", "wheel3": "288"},
                "A brake rotor turned by two studs on its hub, twice: its own share, the hub's, "
                "and the stud at which it runs truest.",
                ("the largest share comes from the hub: 0.120",
                 "rotor on the hub, its mark from the marked stud: worth doing")),
    ),
)
