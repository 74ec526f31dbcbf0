"""The stack bench: which part runs out, from readings before and after turning the parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import ClassVar

from msgspec import Struct

from vibecheck.errors import ReadingError
from vibecheck.metrology.runout.readings import USUAL_DIVISION_MM
from vibecheck.metrology.runout.turn_list import check_division
from vibecheck.metrology.stack import separation as stack
from vibecheck.metrology.stack.matching import Match, best_turn
from vibecheck.metrology.stack.separation import Clocking, Follows, NextClocking, Part, Separation
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity
from vibecheck.metrology.vectors import FULL_TURN_DEG, add, difference, turned
from vibecheck.session.answers import Assignment
from vibecheck.session.benches import clockings, fields
from vibecheck.session.benches.clockings import ClockingTyped
from vibecheck.session.benches.result import BenchView, Plot, Section, no_surface
from vibecheck.session.benches.told import Lengths

REMOUNT_MM = 0.02  # expanded, how well the 1st harmonic repeats after a careful remount; memory
FOLLOWS_FROM_DEG = 90.0  # a turn of the tire from which the shortcut is worth telling
_FINDING = {Part.TIRE: "runout_vector_tire", Part.WHEEL: "runout_vector_wheel",
            Part.HUB: "runout_vector_hub"}


class StackTyped(Struct, frozen=True, kw_only=True):
    """What a person types: clockings, or the high spot `before` and `after` a turn of the tire.

    `parts` : which parts to tell apart, as "tire wheel hub"; else those that were turned.
    `studs` : of the hub. `remount` : how well a mounting repeats, k = 2. `unit` : of bare numbers.
    `told_in` : of the lengths in the result's texts.
    """

    clockings: tuple[ClockingTyped, ...] = ()
    parts: str = ""
    studs: str = ""
    remount: str = ""
    division: str = ""
    unit: str = "mm"
    told_in: str = "mm"
    before: str = ""
    after: str = ""
    turned: str = "180"


class PartShown(Struct, frozen=True, kw_only=True):
    """One part's own runout, high minus low, with its high spot from its own mark."""

    part: str
    name: str
    tir_mm: float
    uncertainty_mm: float
    angle_deg: float
    angle_uncertainty_deg: float
    proven: bool


class Turn(Struct, frozen=True, kw_only=True):
    """Where to turn a part, and what total is to be expected then, high minus low."""

    what: str
    turn_deg: float
    before_mm: float
    after_mm: float
    uncertainty_mm: float
    sentence: str


class StackView(BenchView, frozen=True, kw_only=True):
    """Parts told apart, how well they fit, and what to read or turn next."""

    calculator: ClassVar[str] = "stack"

    parts: tuple[PartShown, ...] = ()
    chi_square: float | None = None
    freedom: int = 0
    repeated: bool | None = None
    too_close: bool = False
    next_clocking: NextClocking | None = None
    turns: tuple[Turn, ...] = ()
    follows: Follows | None = None
    clean: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()
    angles: tuple[str, ...] = ()

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """A share for each part told apart alone, or what the high spot follows.

        One set of readings gives one or the other: what the high spot follows adds nothing to
        the shares.
        """
        no_surface(surface)
        if self.follows is not None and not self.parts:
            return (Assignment("high_spot_follows", self.follows.value, corner,
                               self.readings, self.angles),)
        return tuple(
            Assignment(
                _FINDING[Part(each.part)],
                fields.spoken(each.tir_mm, each.uncertainty_mm, Quantity.LENGTH, "mm"),
                corner, self.readings, self.angles,
            )
            for each in self.parts if each.part in self.clean
        )


def run(typed: StackTyped) -> StackView:
    """Tell the parts apart.

    Raises
    ------
    ReadingError : too few clockings, readings that cannot be, clockings that cannot separate.
    """
    shortcut = typed.before.strip() or typed.after.strip()
    if bool(shortcut) == bool(typed.clockings):
        raise ReadingError(
            "give one kind of input", "clockings",
            "write clockings, or where the high spot was before and after",
        )
    return _shortcut(typed) if shortcut else _separated(typed)


def _shortcut(typed: StackTyped) -> StackView:
    angles = {name: fields.angle(getattr(typed, name), name)
              for name in ("before", "after", "turned")}
    missing = next((name for name, angle in angles.items() if angle is None), None)
    if missing is not None:
        raise ReadingError("an angle is missing", missing, "write it in degrees, as 120")
    before, after, turn = (float(angle) for angle in angles.values() if angle is not None)
    with fields.at_field("turned"):
        follows = stack.high_spot_follows(before, after, turn)
    return StackView(
        headline=f"the high spot follows {_follows_words(follows)}", follows=follows,
        sections=(Section(title="", lines=(
            f"it moved {difference(after, before):+.0f} deg on the wheel while the tire was "
            f"turned {turn:.0f} deg",
        )),),
        notes=("this says which part leads, not how much either runs out",),
        next=("readings round the turn at each clocking give the shares of both",),
        readings=(f"high spot before {before:g} deg", f"high spot after {after:g} deg"),
        angles=(f"tire turned {turn:g} deg",) * 2,
    )


def _follows_words(follows: Follows) -> str:
    return "both tire and wheel in part" if follows is Follows.BOTH else f"the {follows.value}"


def _separated(typed: StackTyped) -> StackView:
    bench = _bench(typed)
    read = [clockings.read(each, bench, f"clockings, {place}")
            for place, each in enumerate(typed.clockings, start=1)]
    studs = fields.count(typed.studs, "studs")
    parts = _parts(typed, read)
    with fields.at_field("clockings"):
        found = stack.separate(read, parts, studs)
    names = {part: _name(part, parts, read) for part in parts}
    told = Lengths(typed.told_in)
    turns = _turns(found, read, studs, told)
    shown = tuple(
        PartShown(
            part=each.part.value, name=names[each.part], tir_mm=each.vector.tir,
            uncertainty_mm=2.0 * each.uncertainty, angle_deg=each.vector.angle_deg,
            angle_uncertainty_deg=each.angle_uncertainty_deg, proven=each.proven,
        ) for each in found.parts
    )
    lead = max(shown, key=lambda each: each.tir_mm)
    readings, angles = clockings.raw(typed.clockings, typed.unit)
    return StackView(
        headline=f"the largest share comes from the {lead.name}: "
                 f"{told.spread(lead.tir_mm, lead.uncertainty_mm, 2)} high to low",
        sections=(Section(title="Shares, high to low", lines=tuple(
            _share(each, told) for each in shown)),),
        notes=_notes(found, shown, names), next=tuple(each.sentence for each in turns),
        plot=Plot(kind="bars", title="Shares of the radial runout", x_label="part",
                  y_label="mm high to low", y=tuple(each.tir_mm for each in shown),
                  labels=tuple(each.name for each in shown)),
        parts=shown, chi_square=found.chi_square, freedom=found.freedom,
        repeated=found.repeated, too_close=found.too_close, next_clocking=found.next_clocking,
        turns=turns, follows=_pair_follows(read),
        clean=tuple(part.value for part in parts if names[part] == part.value),
        readings=readings, angles=angles,
    )


def _bench(typed: StackTyped) -> clockings.Bench:
    remount = fields.uncertainty(typed.remount, Quantity.LENGTH, "remount", typed.unit)
    division = fields.above_zero(typed.division, Quantity.LENGTH, "division", typed.unit)
    with fields.at_field("division"):
        check_division(division or USUAL_DIVISION_MM)
    return clockings.Bench(
        typed.unit, division or USUAL_DIVISION_MM, REMOUNT_MM if remount is None else remount
    )


def _parts(typed: StackTyped, read: Sequence[Clocking]) -> tuple[Part, ...]:
    if typed.parts.strip():
        words = typed.parts.replace(",", " ").lower().split()
        unknown = [word for word in words if word not in [part.value for part in Part]]
        if unknown:
            raise ReadingError(f"'{short(unknown[0])}' is no part", "parts",
                               "write tire, wheel or hub")
        return tuple(Part(word) for word in dict.fromkeys(words))
    with_tire = {each.tire_turn_deg % FULL_TURN_DEG for each in read if each.tire_on}
    on_hub = {each.wheel_turn_deg % FULL_TURN_DEG for each in read if each.on_hub}
    found = [Part.WHEEL]
    if len(with_tire) > 1 or len({each.tire_on for each in read}) > 1:
        found.append(Part.TIRE)
    if len(on_hub) > 1 or len({each.on_hub for each in read}) > 1:
        found.append(Part.HUB)
    if len(found) == 1:
        raise ReadingError(
            "no part was turned between the readings, so nothing can be told apart", "clockings",
            "turn the tire on the wheel, or the wheel on the hub, by about half a turn",
        )
    return tuple(found)


def _name(part: Part, parts: Sequence[Part], read: Sequence[Clocking]) -> str:
    """What a share stands for: what was never turned against the wheel counts with it."""
    if part is not Part.WHEEL:
        return part.value
    name = "wheel"
    if Part.TIRE not in parts and any(each.tire_on for each in read):
        name += " with its tire"
    if Part.HUB not in parts and any(each.on_hub for each in read):
        name += " with its hub"
    return name


def _share(each: PartShown, told: Lengths) -> str:
    if not each.proven:
        most = told.size(each.tir_mm + each.uncertainty_mm, 2)
        return f"{each.name}: {most} at most, within uncertainty of none"
    return (f"{each.name}: {told.spread(each.tir_mm, each.uncertainty_mm, 2)}, high spot at "
            f"{each.angle_deg:.0f} deg +/- {each.angle_uncertainty_deg:.0f} from its mark")


def _notes(
    found: Separation, shown: Sequence[PartShown], names: dict[Part, str]
) -> tuple[str, ...]:
    notes = list(found.notes[len(shown):])
    joined = [name for name in names.values() if " with its " in name]
    notes += [f"the {name} was read as one: it is not told apart" for name in joined]
    return tuple(notes)


def _turns(
    found: Separation, read: Sequence[Clocking], studs: int | None, told: Lengths
) -> tuple[Turn, ...]:
    """The best turn of each part that can be turned, as it follows from the shares."""
    vector = {each.part: each.vector for each in found.parts}
    spread = {each.part: each.uncertainty for each in found.parts}
    turns: list[Turn] = []
    if Part.WHEEL not in vector:
        return ()
    if Part.TIRE in vector:
        carrier = vector[Part.WHEEL]
        ways = [spread[Part.WHEEL]]
        if Part.HUB in vector:
            carrier = add((carrier, turned(vector[Part.HUB], -read[0].wheel_turn_deg)))
            ways.append(spread[Part.HUB])
        match = best_turn(carrier, vector[Part.TIRE], math.hypot(*ways), spread[Part.TIRE])
        turns.append(_turn("tire on the wheel, from where it stood first", match, told))
    if Part.HUB in vector and studs is not None:
        both = [part for part in (Part.TIRE, Part.WHEEL) if part in vector]
        upper = add(vector[part] for part in both)
        ways = [spread[part] for part in both]
        match = best_turn(vector[Part.HUB], upper, spread[Part.HUB], math.hypot(*ways), studs)
        turns.append(_turn("wheel on the hub, valve stem from the marked stud", match, told))
    return tuple(turns)


def _turn(what: str, match: Match, told: Lengths) -> Turn:
    return Turn(
        what=what, turn_deg=match.turn_deg, before_mm=match.before.tir, after_mm=match.after.tir,
        uncertainty_mm=2.0 * match.uncertainty_after, sentence=f"{what}: {told.turn(match)}",
    )


def _pair_follows(read: Sequence[Clocking]) -> Follows | None:
    """The shortcut from the first two clockings that differ in the tire's turn alone."""
    for first in read:
        for second in read:
            turn = difference(second.tire_turn_deg, first.tire_turn_deg)
            alike = (first.wheel_turn_deg, first.on_hub) == (second.wheel_turn_deg, second.on_hub)
            if alike and first.tire_on and second.tire_on and abs(turn) >= FOLLOWS_FROM_DEG:
                angles = (first.vector.angle_deg, second.vector.angle_deg)
                return stack.high_spot_follows(*angles, turn)
    return None
