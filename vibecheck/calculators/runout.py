"""Runout: high minus low over one turn, its shape, and what it proves against a limit."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.calculators.calculator import Calculator, Example, FindingAnswer, Tell
from vibecheck.calculators.fields import Field, Shape, Texts
from vibecheck.calculators.typed import Typed, at_field, single
from vibecheck.errors import ReadingError
from vibecheck.metrology.decision import Decision
from vibecheck.metrology.places import CarSide, WheelTurn, clockwise_deg, rolled_forward
from vibecheck.metrology.runout import readings as runout
from vibecheck.metrology.runout.hub_carry import CarriedRunout, face_at_bead, pilot_at_bead
from vibecheck.metrology.runout.judgement import Judgement, judge_runout
from vibecheck.metrology.runout.local_bend import FEWEST
from vibecheck.metrology.runout.reading_uncertainty import SETUP_SD_MM, K, of_high_minus_low
from vibecheck.metrology.runout.readings import Runout
from vibecheck.metrology.runout.slow_turn import with_slow_turn
from vibecheck.metrology.runout.turn_list import check_division
from vibecheck.metrology.runout.wheel_verdict import DEEP_MM, SMALL_ARC_DEG
from vibecheck.metrology.units.values import Measured, Quantity, parse_high_low

BEAD = "bead_"  # surfaces at which the shape of the readings tells of the wheel
BEAD_RADIAL = "bead_radial"
NO_BEND_MM = 0.25  # a bend that may hide between readings by more than this is not denied
_LENGTH = Quantity.LENGTH
FORWARD = "forward"
TURNS = {
    "marks": WheelTurn.GAUGE_MOVED, "clockwise": WheelTurn.CLOCKWISE,
    "counterclockwise": WheelTurn.COUNTERCLOCKWISE,
}
HIGH, LOW, CONTACT = "slow turn high", "slow turn low", "tip lifted"  # in place of an angle


class RunoutResult(Struct, frozen=True):
    """A runout, what it proves, and what a hub that runs out so does at the bead.

    Attributes
    ----------
    runout : as worked out.
    decision : against the limit, if one was given.
    judgement : the same with what leaves it open and what decides it.
    carried : to the bead, if radii or a clearance were given.
    unit : the one that was typed.
    readings, angles : single readings as typed, and where each was taken [deg]; the high and the
        low of a slow turn beside them have a word in place of the angle.
    turn : (angle, reading) by angle [deg, mm]; empty without readings round the turn.
    turned : how the places of the list came under the tip.
    side : of the car, where it was said.
    slow_turn_excess_mm : by how much the readings reach farther than the slow turn, beyond what
        both are uncertain by [mm]; 0 if they agree.
    """

    runout: Runout
    decision: Decision | None
    carried: CarriedRunout | None
    unit: str
    readings: tuple[str, ...]
    angles: tuple[str, ...] = ()
    turn: tuple[tuple[float, float], ...] = ()
    judgement: Judgement | None = None
    turned: WheelTurn = WheelTurn.GAUGE_MOVED
    side: CarSide | None = None
    slow_turn_excess_mm: float = 0.0

    @property
    def bend_shape(self) -> str:
        """State of the finding `local_bend_shape`; "" where the readings do not tell."""
        bend = self.runout.local_bend
        if bend is None:
            enough = len(self.turn) >= FEWEST and not self.runout.spikes
            seen = not self.runout.still and self.runout.hidden_mm <= NO_BEND_MM
            return "none" if enough and seen else ""
        if bend.width_deg <= SMALL_ARC_DEG and bend.dip_and_bulge:
            return "dip_and_bulge"
        wide = bend.width_deg > SMALL_ARC_DEG and bend.height_mm >= DEEP_MM
        return "wide_and_deep" if wide else ""


def run(texts: Texts, tell: Tell | None = None) -> RunoutResult:
    """Work out and judge a runout.

    Raises
    ------
    ReadingError : not exactly one kind of input, or readings that cannot be.
    """
    typed = Typed(texts)
    _one_kind(typed)
    found, excess = _measured(typed)
    readings = typed.values("readings", _LENGTH)
    turned, side = _turned(typed)
    angles = clockwise_deg(_angles(typed, len(readings)), turned.counts)
    judgement = _judgement(typed, found)
    kept, places = _record(typed, found, angles)
    turn = zip(angles, (each.value for each in readings), strict=True) if readings else ()
    return RunoutResult(
        found, _decision(judgement), _carried(typed, found), _unit(typed), kept, places,
        tuple(sorted(dict(reversed(list(turn))).items())), judgement, turned, side, excess,
    )


def measure(texts: Texts) -> Runout:
    """The runout alone. See `run` for what is raised."""
    typed = Typed(texts)
    _one_kind(typed)
    return _measured(typed)[0]


def recorded(readings: Sequence[str], angles: Sequence[str]) -> dict[str, str]:
    """The texts behind a result that was kept as its single readings, see `RunoutResult`."""
    pairs = list(zip(readings, angles, strict=True))
    words = {place: reading for reading, place in pairs if place in (HIGH, LOW, CONTACT)}
    turn = [(reading, place) for reading, place in pairs if place not in words]
    return {
        "readings": "; ".join(reading for reading, _ in turn),
        "angles": "; ".join(place for _, place in turn),
        "high": words.get(HIGH, ""), "low": words.get(LOW, ""),
        "contact": words.get(CONTACT, ""),
    }


def _measured(typed: Typed) -> tuple[Runout, float]:
    """The runout, and by how much readings reach beyond a slow turn that they contradict."""
    division = _division(typed)
    readings = typed.values("readings", _LENGTH)
    setup = typed.uncertainty("setup", _LENGTH)
    setup = SETUP_SD_MM if setup is None else setup
    found, excess = _found(typed, readings, division, setup), 0.0
    if readings and (turn := _slow_turn(typed, division, setup)) is not None:
        both = with_slow_turn(found, turn)
        found, excess = both.runout, 0.0 if both.agree else both.excess_mm
    spread = typed.uncertainty("uncertainty", _LENGTH)
    if spread is None:
        return found, excess
    least = K * of_high_minus_low(division, 0.0, 0.0)
    return replace(found, uncertainty_mm=max(spread, least)), excess


def answers(result: RunoutResult, surface: str) -> tuple[FindingAnswer, ...]:
    """The surface's runout; at a bead seat also its oval share and the shape of a bend."""

    def sized(finding: str, value: float, uncertainty: float) -> FindingAnswer:
        return FindingAnswer(finding, "", value, uncertainty, _LENGTH, result.unit, result.readings,
                             result.angles)

    found = [sized(surface, *result.runout.judged_mm)]
    shaped = len(result.runout.harmonics) > 1 and not result.runout.still
    if surface.startswith(BEAD_RADIAL) and shaped:
        oval = result.runout.harmonics[1]
        found.append(sized("bead_oval", 2.0 * oval.amplitude_mm, 2.0 * oval.uncertainty_mm))
    if surface.startswith(BEAD) and (shape := result.bend_shape):
        found.append(FindingAnswer("local_bend_shape", shape, readings=result.readings,
                                   angles=result.angles))
    return tuple(found)


def _one_kind(typed: Typed) -> None:
    pair = _pair(typed)
    high, low = bool(typed.text("high")), bool(typed.text("low"))
    if high != low and pair is None:
        given, missing = ("high", "low") if high else ("low", "high")
        raise ReadingError(f"a {given} needs a {missing}", missing, "give both")
    if high and typed.text("tir") or not (high or typed.text("tir") or typed.text("readings")):
        raise ReadingError(
            "give one kind of input", "readings",
            "write readings round one turn, or a high and a low, or high minus low",
        )


def _pair(typed: Typed) -> tuple[Measured, Measured] | None:
    """A high and a low: in two fields, or as one text in either of the fields for one value."""
    if typed.text("low"):
        high, low = typed.value("high", _LENGTH), typed.value("low", _LENGTH)
        return (high, low) if high is not None and low is not None else None
    for name in ("high", "tir"):
        text = typed.text(name)
        if text and (found := parse_high_low(text, _LENGTH, None, name)) is not None:
            return found
    return None


def _slow_turn(typed: Typed, division: float, setup_sd: float) -> Runout | None:
    """High and low, or high minus low, of one slow turn."""
    pair = _pair(typed)
    if pair is not None:
        return runout.from_high_low(
            pair[0].value, pair[1].value, division, where="high", setup_sd_mm=setup_sd)
    tir = typed.value("tir", _LENGTH)
    return None if tir is None else runout.from_tir(tir, division, "tir", setup_sd)


def _turned(typed: Typed) -> tuple[WheelTurn, CarSide | None]:
    word, side = typed.text("turned").lower(), typed.text("side").lower()
    if side and side not in list(CarSide):
        raise ReadingError(f"'{side[:20]}' is no side of the car", "side", "write left or right")
    at = CarSide(side) if side else None
    if not word:
        return WheelTurn.GAUGE_MOVED, at
    if word == FORWARD:
        if at is None:
            raise ReadingError("rolling forward turns the two sides opposite ways", "side",
                               "write left or right")
        return rolled_forward(at), at
    if word not in TURNS:
        raise ReadingError(f"'{word[:20]}' is no way to turn a wheel", "turned",
                           f"write {', '.join(TURNS)} or {FORWARD}")
    return TURNS[word], at


def _record(
    typed: Typed, found: Runout, angles: Sequence[float]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Single readings as typed and their places; of a slow turn alone without places."""
    pair, tir = _pair(typed), None
    slow: list[Measured] = list(pair or ())
    if pair is None and (tir := typed.value("tir", _LENGTH)) is not None:
        slow = [tir]
    readings = typed.values("readings", _LENGTH)
    passed = [float(str(note.values["angle_deg"])) for note in found.notes
              if note.kind is runout.Caveat.SPIKE_IGNORED]
    ignored = {f"{angle:.6g}" for angle in clockwise_deg(passed, _turned(typed)[0].counts)}
    if not readings:
        return single(slow), ()
    if tir is not None:
        slow = [replace(tir, typed=f"{tir.typed}"),
                replace(tir, value=0.0, typed=f"0 {tir.unit}", uncertainty=None)]
    kept = [(text, place) for text, angle in zip(single(readings), angles, strict=True)
            if (place := f"{angle:.6g}") not in ignored]
    kept += zip(single(slow), (HIGH, LOW), strict=False)
    if typed.flag("contact"):
        kept.append(("yes", CONTACT))
    return tuple(text for text, _ in kept), tuple(place for _, place in kept)


def _unit(typed: Typed) -> str:
    """The unit that was typed."""
    readings = typed.values("readings", _LENGTH)
    found = readings[0] if readings else (_pair(typed) or (typed.value("tir", _LENGTH),))[0]
    assert found is not None
    return found.unit


def _division(typed: Typed) -> float:
    found = typed.size("division", _LENGTH)
    if found is None:
        return runout.USUAL_DIVISION_MM
    with at_field("division"):
        check_division(found)
    return found


def _angles(typed: Typed, count: int) -> list[float]:
    angles = typed.angles("angles")
    if angles is not None:
        return angles
    places = count - 1 if typed.flag("closed") else count
    return [360.0 * place / places for place in range(count)] if places > 0 else []


def _found(
    typed: Typed, readings: Sequence[Measured], division: float, setup_sd: float
) -> Runout:
    if readings:
        return runout.from_readings(
            [reading.value for reading in readings], typed.angles("angles"), division,
            ignore_deg=typed.angles("ignore") or [], where="readings", setup_sd_mm=setup_sd,
            closed=typed.flag("closed"), counted=_turned(typed)[0].counts)
    found = _slow_turn(typed, division, setup_sd)
    assert found is not None
    return found


def _judgement(typed: Typed, found: Runout) -> Judgement | None:
    limit = typed.size("tolerance", _LENGTH)
    if limit is None:
        return None
    with at_field("tolerance"):
        return judge_runout(found, limit, typed.flag("contact"))


def _decision(judged: Judgement | None) -> Decision | None:
    return None if judged is None else replace(judged.numbers, zone=judged.zone)


def _carried(typed: Typed, found: Runout) -> CarriedRunout | None:
    """What a hub face or pilot that runs out so does at the bead."""
    face, bead, offset, clearance = (
        typed.size(name, _LENGTH)
        for name in ("face_radius", "bead_radius", "bead_offset", "clearance"))
    if clearance is not None:
        if face is not None or bead is not None:
            raise ReadingError("a pilot has no face radius", "clearance", "give one of them")
        with at_field("clearance"):
            return pilot_at_bead(*found.judged_mm, clearance)
    if face is None and bead is None:
        return None
    if face is None or bead is None:
        missing = "face_radius" if face is None else "bead_radius"
        raise ReadingError("a radius is missing", missing, "give both, for example 60 and 203 mm")
    with at_field("face_radius"):
        return face_at_bead(*found.judged_mm, face, bead, offset or 0.0)


CALCULATOR = Calculator(
    name="runout",
    about=(
        "Runout is high minus low over one full turn. Type the high and the low of the pointer, "
        "or high minus low alone, or a list of readings round the turn; a column can be pasted. "
        "A bare number counts in the unit shown; 18 thou or 0.46 mm work as well. With a limit "
        "it says whether the runout is proven within it, proven beyond it, or undecided. A "
        "list and the high and low of a slow turn together show the shape and miss no bend. For a "
        "hub, the radii say what it does at the bead. Angles are seen from outside the car, "
        "clockwise from the valve stem at 12 o'clock."
    ),
    empty=(
        "Type the high and the low of the pointer over one turn, or high minus low, or a list of "
        "readings."
    ),
    entries=(
        Field("high", "High", "0.18 {unit}", "The highest pointer position.", _LENGTH),
        Field("low", "Low", "-0.06 {unit}", "The lowest pointer position.", _LENGTH),
        Field("tir", "Or high minus low", "0.24 {unit}", "If only the difference was noted.",
              _LENGTH),
        Field("readings", "Or a list", "0 .05 .13 .21 ... {unit}",
              "Readings round one turn, in order, the first at the valve stem.", _LENGTH,
              Shape.LIST),
        Field("tolerance", "Limit", "0.5 {unit}",
              "What the runout is judged by: the vehicle maker's figure.", _LENGTH),
        Field("closed", "Closed turn", help="The last reading of the list was taken at the first "
              "place again: it shows what the gauge crept by.", shape=Shape.FLAG),
        Field("contact", "Tip lifted", help="The pointer was seen to move when the tip was lifted "
              "and let down.", shape=Shape.FLAG),
        Field("turned", "Wheel turned", "forward",
              "How the places came under the tip, seen from outside the car: marks (the gauge "
              "went along marks that count clockwise), clockwise or counterclockwise (the wheel "
              "was turned past the gauge), forward (as the car rolls forward).",
              shape=Shape.CHOICE, choices=(*TURNS, FORWARD), folded=True),
        Field("side", "Side of the car", "left", "Left or right, as the driver sits.",
              shape=Shape.CHOICE, choices=tuple(CarSide), folded=True),
        Field("angles", "Angles", "0 20 40 ... deg",
              "Where each reading of the list was taken; else evenly spaced.", Quantity.ANGLE,
              Shape.LIST, folded=True),
        Field("ignore", "Leave out at", "140 deg",
              "Angles of readings at weld, paint or a scratch.", Quantity.ANGLE, Shape.LIST,
              folded=True),
        Field("division", "Gauge division", "0.01 {unit}", "One division of the gauge.", _LENGTH,
              folded=True),
        Field("uncertainty", "Uncertainty", "0.02 {unit}",
              "Of high minus low, at about 95 %, if it is known.", _LENGTH, folded=True),
        Field("setup", "Set-up spread", "0.03 {unit}",
              "Standard deviation from one setting-up of gauge and wheel to the next.", _LENGTH,
              folded=True),
        Field("face_radius", "Hub face read at", "60 {unit}",
              "For a hub face: the radius at which it was read; says what it does at the bead.",
              _LENGTH, heading="For a hub", folded=True),
        Field("bead_radius", "Bead radius", "203 {unit}",
              "Of the wheel's bead seat, with the radius of the hub face.", _LENGTH, folded=True),
        Field("bead_offset", "Bead offset", "40 {unit}",
              "Of the bead from the mounting face, along the axle.", _LENGTH, folded=True),
        Field("clearance", "Pilot clearance", "0.05 {unit}",
              "For a hub pilot: of the wheel's bore on it.", _LENGTH, folded=True),
    ),
    run=run,
    answers=answers,
    examples=(
        Example({"readings": "0 .05 .13 .21 .24 .22 .15 .06 mm", "tolerance": "0.5 mm"},
                "Eight readings, evenly round the wheel, start at the valve stem.",
                ("high +0.24 mm at 180 deg (6 o'clock), low 0.00 mm at 0 deg (12 o'clock)",)),
        Example({"high": "7 thou", "low": "-2.5 thou", "tolerance": "0.5 mm"},
                "From -2.5 to +7 thou is 9.5 thou, well within 0.5 mm.",
                ("runout 0.241 +/- 0.061 mm, from 2 readings", "Against 0.50 mm: within")),
        Example({"tir": "0.12 mm +/- 0.01", "face_radius": "60 mm", "bead_radius": "203 mm"},
                "A hub face read 60 mm from its axis tilts the whole wheel.",
                ("lateral 0.406 +/- 0.034 mm",)),
        Example({"tir": "0.49 mm +/- 0.02"}, "The reading goes into a case.",
                ("runout 0.490 +/- 0.020 mm, from one reading",),
                "--into visit.yaml --corner LF --surface bead_radial_inboard"),
    ),
    takes_surface=True,
)
