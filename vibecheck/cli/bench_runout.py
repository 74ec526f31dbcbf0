"""The command `runout`: high minus low over one turn, its shape, and what it proves."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, UsageError, add_json, command
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import heading, wrapped

if TYPE_CHECKING:
    from vibecheck.metrology.decision import Decision
    from vibecheck.metrology.localbend import LocalBend
    from vibecheck.metrology.runout import Runout

EXAMPLE = """\
  vibecheck runout --high '7 thou' --low '-2.5 thou' --tolerance '0.5 mm'
  From -2.5 to +7 thou is 9.5 thou (0.24 mm): well within 0.5 mm.

  vibecheck runout --tolerance '0.5 mm' --readings '0 .05 .13 .21 .24 .22 .15 .06 mm'
  Eight readings, evenly round the wheel, start at the valve stem."""
PLOT_WIDTH = 41
MOST_PLOTTED = 72


def add(commands: Commands) -> None:
    """The command of this bench."""
    parser = command(
        commands, "runout", run_runout,
        "Work out a runout from readings, and judge it against a limit", EXAMPLE,
    )
    parser.add_argument("--readings", metavar="LIST", help="readings round one turn, in order")
    parser.add_argument("--angles", metavar="LIST", help="where each was taken (else evenly)")
    parser.add_argument("--high", metavar="VALUE", help="the highest pointer position")
    parser.add_argument("--low", metavar="VALUE", help="the lowest pointer position")
    parser.add_argument("--tir", metavar="VALUE", help="high minus low, if that was noted")
    parser.add_argument("--ignore", metavar="LIST", help="angles where weld or paint was seen")
    parser.add_argument("--division", metavar="VALUE", help="one division of the gauge")
    parser.add_argument("--uncertainty", metavar="VALUE", help="of high minus low, k = 2")
    parser.add_argument("--tolerance", metavar="VALUE", help="the limit to judge against")
    parser.add_argument("--unit", default="mm", help="unit of bare numbers: mm, in, thou")
    add_json(parser)


def run_runout(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the runout, and the decision where a limit is given."""
    found = calculate(chosen)
    decision = judge(chosen, found)
    if chosen.json:
        terminal.json(as_data(found, decision))
    else:
        lines = text_lines(found, decision, terminal.width)
        if chosen.readings:
            lines += plot_lines(*typed_readings(chosen))
        terminal.lines(lines)
    return ExitCode.FINE


def calculate(chosen: argparse.Namespace) -> Runout:
    """The runout from what was typed.

    Raises
    ------
    InputError family : not exactly one kind of input, or readings that cannot be.
    """
    from vibecheck.metrology import runout
    from vibecheck.metrology.roundlist import check_division

    pair = (chosen.high, chosen.low)
    if pair.count(None) == 1:
        raise UsageError("a high needs a low", "vibecheck runout", "give --high and --low")
    kinds = sum([chosen.readings is not None, pair != (None, None), chosen.tir is not None])
    if kinds != 1:
        raise UsageError(
            "give one kind of input", "vibecheck runout",
            "write --readings, or --high and --low, or --tir",
        )
    typed_division = length(chosen, "division")
    division = runout.USUAL_DIVISION_MM if typed_division is None else typed_division
    check_division(division)
    if chosen.readings is not None:
        readings, angles = typed_readings(chosen)
        ignored = angle_list(chosen.ignore, "--ignore") or []
        given = angles if chosen.angles else None
        found = runout.from_readings(readings, given, division, ignore_deg=ignored,
                                     where="--readings")
    elif chosen.tir is not None:
        found = runout.from_tir(measured(chosen, "tir"), division, "--tir")
    else:
        high, low = length(chosen, "high"), length(chosen, "low")
        assert high is not None and low is not None
        found = runout.from_high_low(high, low, division, where="--high and --low")
    spread = length(chosen, "uncertainty")
    if spread is not None and spread < 0.0:
        raise UsageError("an uncertainty cannot be negative", "--uncertainty", "write 0.02")
    return found if spread is None else replace(found, uncertainty_mm=spread)


def typed_readings(chosen: argparse.Namespace) -> tuple[list[float], list[float]]:
    """Readings [mm] and their angles [deg]."""
    from vibecheck.metrology.units import Quantity, parse_list

    typed = parse_list(chosen.readings, Quantity.LENGTH, chosen.unit, "--readings")
    readings = [reading.value for reading in typed]
    angles = angle_list(chosen.angles, "--angles")
    if angles is None:
        angles = [360.0 * place / len(readings) for place in range(len(readings))]
    return readings, angles


def angle_list(typed: str | None, where: str) -> list[float] | None:
    """Typed angles [deg]."""
    from vibecheck.metrology.units import Quantity, parse_list

    if typed is None:
        return None
    return [angle.value for angle in parse_list(typed, Quantity.ANGLE, None, where)]


def measured(chosen: argparse.Namespace, option: str) -> Any:
    """One typed length with what it says of itself."""
    from vibecheck.metrology.units import Quantity, parse

    return parse(getattr(chosen, option), Quantity.LENGTH, chosen.unit, f"--{option}")


def length(chosen: argparse.Namespace, option: str) -> float | None:
    """One typed length [mm], or None where nothing was typed."""
    if getattr(chosen, option) is None:
        return None
    value: float = measured(chosen, option).value
    return value


def judge(chosen: argparse.Namespace, found: Runout) -> Decision | None:
    """The runout against the limit, if one is given."""
    from vibecheck.metrology.decision import decide

    limit = length(chosen, "tolerance")
    return None if limit is None else decide(found.tir_mm, found.uncertainty_mm, limit)


def as_data(found: Runout, decision: Decision | None) -> dict[str, Any]:
    """The result for programs."""
    from msgspec import to_builtins

    whole: dict[str, Any] = to_builtins(found)
    whole["eccentricity_mm"] = found.eccentricity_mm
    whole["decision"] = to_builtins(decision)
    return whole


def text_lines(found: Runout, decision: Decision | None, width: int) -> list[str]:
    """The result for people."""
    lines = [f"runout {found.tir_mm:.3f} mm +/- {found.uncertainty_mm:.3f} "
             f"({found.tir_mm / 25.4:.4f} in), from {found.count} readings"]
    if found.high_deg is not None and found.low_deg is not None:
        lines.append(f"high {found.high_mm:+.3f} mm at {found.high_deg:.0f} deg, "
                     f"low {found.low_mm:+.3f} mm at {found.low_deg:.0f} deg")
    for harmonic in found.harmonics:
        lines.append(
            f"  {harmonic.order} x per turn: {harmonic.amplitude_mm:.3f} mm "
            f"+/- {harmonic.uncertainty_mm:.3f}, high spot at {harmonic.angle_deg:.0f} deg"
        )
    if found.local_bend is not None:
        bend = found.local_bend
        lines += wrapped(bend_text(bend), width, "  ! ")
    for note in found.notes:
        lines += wrapped(note.text, width, "  * ")
    return lines + (decision_lines(decision, width) if decision else [])


def bend_text(bend: LocalBend) -> str:
    """A sharp bend in words."""
    shape = "a dip with a bulge beside it" if bend.dip_and_bulge else "to one side"
    return (f"a sharp bend of {bend.height_mm:.2f} mm at {bend.center_deg:.0f} deg, "
            f"{bend.width_deg:.0f} deg wide, {shape}")


def decision_lines(decision: Decision, width: int) -> list[str]:
    """What the value proves against the limit."""
    lines = heading(f"Against {decision.limit:.3f} mm: {decision.zone.value}", width)
    if decision.zone != "undecided":
        text = f"proven with an uncertainty of {decision.uncertainty:.3f} mm"
        return [*lines, *wrapped(text, width)]
    text = (f"the distance to the limit is {decision.needed_uncertainty:.3f} mm, the uncertainty "
            f"{decision.uncertainty:.3f} mm: measure with less")
    if decision.repeats_needed is not None:
        text += f", or take the mean of {decision.repeats_needed} whole measurements"
    return [*lines, *wrapped(text, width)]


def plot_lines(readings: list[float], angles: list[float]) -> list[str]:
    """Readings round the turn as a picture made of letters, low on the left."""
    low, high = min(readings), max(readings)
    span = (high - low) or 1.0
    if len(readings) > MOST_PLOTTED:
        return []
    lines = ["", f"{'deg':>6} {'mm':>8}   {'low':<{PLOT_WIDTH - 4}}high"]
    for angle, reading in sorted(zip(angles, readings, strict=True)):
        place = round((reading - low) / span * (PLOT_WIDTH - 1))
        mark = "L" if reading == low else "H" if reading == high else "o"
        row = "." * place + mark + "." * (PLOT_WIDTH - 1 - place)
        lines.append(f"{angle:6.0f} {reading:+8.3f}  |{row}|")
    return lines
