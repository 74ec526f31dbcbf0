"""The command `runout`: high minus low over one turn, its shape, and what it proves."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING

from vibecheck.cli.benching import add_into, check_into, finish, typed_fields
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, command
from vibecheck.cli.terminal import Terminal

if TYPE_CHECKING:
    from vibecheck.session.benches.result import BenchView
    from vibecheck.session.benches.wheel import WheelView
    from vibecheck.session.desk import Desk

EXAMPLE = """\
  vibecheck runout --high '7 thou' --low '-2.5 thou' --tolerance '0.5 mm'
  From -2.5 to +7 thou is 9.5 thou, well within 0.5 mm. It prints:
    runout 0.241 mm +/- 0.008 (0.0095 in), from 2 readings
    Against 0.500 mm: within

  vibecheck runout --tolerance '0.5 mm' --readings '0 .05 .13 .21 .24 .22 .15 .06 mm'
  Eight readings, evenly round the wheel, start at the valve stem. It prints:
    high +0.240 mm at 180 deg, low +0.000 mm at 0 deg

  vibecheck runout --tir '0.12 mm +/- 0.01' --face-radius '60 mm' --bead-radius '203 mm'
  A hub face read 60 mm from its axis tilts the whole wheel. It prints:
    lateral 0.41 mm +/- 0.03

  vibecheck runout --tir '0.49 mm +/- 0.02' --into visit.yaml --corner LF \\
      --surface bead_radial_inboard
  The reading goes into a case. It prints:
    runout 0.490 mm +/- 0.020 (0.0193 in), from one reading"""

HUB_OPTIONS = (
    ("--face-radius", "where a hub face was read: says what it does at the bead"),
    ("--bead-radius", "of the wheel's bead seat, with --face-radius"),
    ("--bead-offset", "of the bead from the mounting face, along the axle"),
    ("--clearance", "for a hub pilot: of the wheel's bore on it"),
)


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
    for option, about in HUB_OPTIONS:
        parser.add_argument(option, metavar="LENGTH", help=about)
    parser.add_argument("--unit", default="mm", help="unit of bare numbers: mm, in, thou")
    add_into(parser, surface=True)


def run_runout(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the runout, and the decision where a limit is given."""
    from vibecheck.session.benches import runout

    def calculate(desk: Desk | None) -> BenchView:
        check_into(chosen, desk, runout.RunoutView)
        return runout.run(typed_fields(chosen, runout.RunoutTyped))

    return finish(chosen, terminal, runout.RunoutTyped, calculate, wheel=wheel_of(chosen))


def wheel_of(chosen: argparse.Namespace) -> Callable[[Desk], WheelView | None] | None:
    """What tells of the whole wheel, where a bead surface was read."""
    from vibecheck.session.answers import corner_named
    from vibecheck.session.benches.wheel import SURFACES, wheel_so_far

    if chosen.surface not in SURFACES or not chosen.corner:
        return None
    return lambda desk: wheel_so_far(desk, corner_named(chosen.corner, "corner"))
