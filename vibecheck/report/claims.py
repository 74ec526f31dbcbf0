"""The claim sheet of a wheel in a case, from its four bead surfaces as they were found."""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.calculators.wheel import SURFACES, WheelResult
from vibecheck.casebook.case import CornerName
from vibecheck.casebook.photos import Photo
from vibecheck.errors import InputError
from vibecheck.knowledge.words import Corner
from vibecheck.metrology.runout.wheel_verdict import Pattern
from vibecheck.report.claim_sheet import Claim, ReadSurface
from vibecheck.report.corners import CORNERS
from vibecheck.report.names import finding_name, state_name
from vibecheck.report.sentences import limit_origin
from vibecheck.report.sheet_parts import case_lines
from vibecheck.report.turns import entry_figure
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Answer, Diagnosis
from vibecheck.session.open_case import OpenCase
from vibecheck.session.repair import as_found
from vibecheck.session.wheel import wheel_so_far

ROLES = {"writer": "service writer", "technician": "technician", "owner": "the owner"}
_SEEN = ("impact_mark", "wheel_shipped", "new_wheels", "wheel_damage_seen", "local_bend_shape")


def wheels_read(found: Diagnosis) -> list[CornerName]:
    """Corners whose wheel has a bead surface that was read, as the car was found."""
    read = {each.corner for each in found.readings if each.finding in SURFACES}
    return [corner.value for corner in Corner if corner in read]


def wheel_to_claim(found: Diagnosis, named: str = "") -> CornerName:
    """The wheel that a claim is about: the one named, or the only one that was read.

    Raises
    ------
    InputError : no wheel was read, several were and none is named, or no such corner.
    """
    read = wheels_read(found)
    if named:
        corner = next((each for each in Corner if each.value == named.strip().upper()), None)
        if corner is None:
            raise InputError(f"'{named[:40]}' is no corner", "--wheel",
                             f"write one of {', '.join(CORNERS)}")
        if corner.value not in read:
            raise InputError(f"no bead surface of the {corner.spoken} wheel was read", "--wheel",
                             "measure the bare wheel first, tire off")
        return corner.value
    if not read:
        raise InputError("no bead surface of any wheel was read", "",
                         "measure the bare wheel first, tire off; then print its claim sheet")
    if len(read) > 1:
        raise InputError("bead surfaces of several wheels were read", "",
                         f"name one: --wheel {' or '.join(read)}")
    return read[0]


def claim_of(
    opened: OpenCase, corner: CornerName, wording: Wording, *, photos: Sequence[Photo] = (),
    measured_by: str = "", gauge: str = "",
) -> Claim:
    """The wheel at a corner as it was found, before any remedy.

    Raises
    ------
    InputError : no bead surface of that wheel was read.
    """
    before = OpenCase(None, as_found(opened.case), opened.library)
    found, wheel = before.diagnosis, wheel_so_far(before, corner)
    if wheel is None:
        raise InputError(f"no bead surface of the {CORNERS[corner]} wheel was read",
                         found.case.title, "measure the bare wheel first, tire off")
    answers = {SURFACES[each.finding]: each for each in found.readings
               if each.finding in SURFACES and each.corner == corner}
    verdicts = {each.surface: each for one in wheel.judged for each in one.surfaces}
    moments = sorted(each.entry.at for each in answers.values())
    roles = dict.fromkeys(ROLES[each.entry.by] for each in answers.values())
    return Claim(
        wheel=CORNERS[corner], belongs_to=found.case.title,
        surfaces=tuple(
            ReadSurface(surface, verdicts[surface], _limit_from(found, answers[surface]),
                        entry_figure(answers[surface], wording))
            for surface in verdicts
        ),
        pattern=_pattern(wheel), measured_by=measured_by or ", ".join(roles), gauge=gauge,
        first=moments[0], last=moments[-1], seen=_seen(found, corner), photos=tuple(photos),
        invented=found.case.invented, foot=case_lines(found),
    )


def _pattern(wheel: WheelResult) -> Pattern:
    """The shape that tells most: a bend before an offset, before none."""
    told = [each.pattern for each in wheel.judged]
    order = (Pattern.DROP, Pattern.STRIKE, Pattern.LOCAL, Pattern.OFFSET, Pattern.UNKNOWN)
    return next((each for each in order if each in told), Pattern.NONE)


def _limit_from(found: Diagnosis, answer: Answer) -> str:
    limit = answer.judged.limit if answer.judged else None
    return limit_origin(found.library, limit) if limit is not None else ""


def _seen(found: Diagnosis, corner: CornerName) -> tuple[str, ...]:
    """What was seen of this wheel, and what is known of where it came from."""
    return tuple(
        f"{finding_name(found.library, each.spot)}: "
        f"{state_name(found.library.findings[each.finding], each.value)}"
        for each in found.answers
        if each.finding in _SEEN and each.corner in (None, corner) and each.judged is None
    )
