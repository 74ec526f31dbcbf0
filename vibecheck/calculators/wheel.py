"""The wheel so far: verdicts by limit in force, joined over the bead surfaces of one wheel."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from vibecheck.metrology.runout.wheel_verdict import Surface, Verdict, WheelVerdict

SURFACES = {
    "bead_radial_inboard": Surface.INBOARD_RADIAL,
    "bead_lateral_inboard": Surface.INBOARD_LATERAL,
    "bead_radial_outboard": Surface.OUTBOARD_RADIAL,
    "bead_lateral_outboard": Surface.OUTBOARD_LATERAL,
}
GRAVEST_FIRST = (Verdict.REJECT, Verdict.OUT_OF_TOLERANCE, Verdict.UNDECIDED,
                 Verdict.INCOMPLETE, Verdict.SOUND)
COMPLETE = (Verdict.INCOMPLETE, Verdict.SOUND)


class WheelResult(Struct, frozen=True):
    """What the bead surfaces of one wheel say together.

    Attributes
    ----------
    verdict : the gravest; sound only if all four surfaces are measured.
    judged : by the limit in force, the gravest first.
    measured, missing : surfaces.
    """

    verdict: Verdict
    judged: tuple[WheelVerdict, ...]
    measured: tuple[Surface, ...]
    missing: tuple[Surface, ...]

    @property
    def carrier_claim(self) -> bool:
        """Whether it is a damage claim against the carrier."""
        return any(each.carrier_claim for each in self.judged)


def joined(judged: Sequence[WheelVerdict], measured: Sequence[Surface]) -> WheelResult:
    """Verdicts on surfaces that have different limits, as one.

    Parameters
    ----------
    judged : at least one.
    measured : all the surfaces that they judge.
    """
    by_gravity = tuple(sorted(judged, key=lambda one: GRAVEST_FIRST.index(one.verdict)))
    missing = tuple(surface for surface in Surface if surface not in measured)
    verdict = by_gravity[0].verdict
    if verdict in COMPLETE:
        verdict = Verdict.INCOMPLETE if missing else Verdict.SOUND
    return WheelResult(verdict, by_gravity, tuple(measured), missing)
