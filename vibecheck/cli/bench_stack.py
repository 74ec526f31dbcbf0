"""The command `stack`: which part runs out, from readings before and after turning the parts."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from vibecheck.cli.benching import add_into, check_into, finish, typed_fields
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, command
from vibecheck.cli.terminal import Terminal

if TYPE_CHECKING:
    from vibecheck.session.benches.result import BenchView
    from vibecheck.session.open_case import OpenCase

EXAMPLE = """\
  vibecheck stack --clocking 'tire 0, spindle: 1.00 mm at 57' \\
      --clocking 'tire 180, spindle: 1.00 mm at 163'
  The tire was turned half a turn on its wheel, on a true-running spindle: the high
  spot went halfway with it. It prints:
    tire: 0.80 mm +/- 0.13, high spot at 20 deg +/- 9 from its mark
    wheel: 0.60 mm +/- 0.13, high spot at 110 deg +/- 12 from its mark

  vibecheck stack --before 40 --after 215
  The shop's shortcut: the tire was turned half a turn. It prints:
    the high spot follows the tire

  vibecheck stack --studs 5 --clocking 'tire 0, wheel 0: 0.60 mm at 40' \\
      --clocking 'tire 0, wheel 144: 0.58 mm at 172' --into visit.yaml --corner RF
  Wheel with tire turned by two studs on the hub. It prints:
    the largest share comes from the wheel with its tire"""
RENAMED = {"clockings": "--clocking"}


def add(commands: Commands) -> None:
    """The command of this bench."""
    parser = command(
        commands, "stack", run_stack,
        "Tell tire, wheel and hub apart by turning them against each other", EXAMPLE,
    )
    parser.add_argument(
        "--clocking", metavar="TEXT", action="append", default=[], dest="typed_clockings",
        help="'tire ANGLE, wheel ANGLE: READINGS' or '...: SIZE at ANGLE'; words before the "
             "colon: bare (no tire on it), spindle (not on the hub), valve (angles from the valve "
             "stem, not from the hub's marked stud); give it once for each clocking",
    )
    parser.add_argument("--parts", metavar="LIST", help="parts to tell apart (else those turned)")
    parser.add_argument("--studs", metavar="N", help="studs of the hub")
    parser.add_argument("--remount", metavar="VALUE", help="how well a mounting repeats, k = 2")
    parser.add_argument("--division", metavar="VALUE", help="one division of the gauge")
    parser.add_argument("--before", metavar="ANGLE", help="high spot from the valve stem before")
    parser.add_argument("--after", metavar="ANGLE", help="high spot after the tire was turned")
    parser.add_argument("--turned", metavar="ANGLE", help="how far the tire was turned (180)")
    parser.add_argument("--unit", default="mm", help="unit of bare numbers: mm, in, thou")
    add_into(parser)


def run_stack(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the shares of the parts, or what the high spot follows."""
    from vibecheck.session.benches import clockings, stack

    def calculate(desk: OpenCase | None) -> BenchView:
        check_into(chosen, desk, stack.StackView)
        typed = tuple(
            clockings.clocking_of(text, f"clockings, {place}")
            for place, text in enumerate(chosen.typed_clockings, start=1)
        )
        return stack.run(typed_fields(chosen, stack.StackTyped, clockings=typed))

    return finish(chosen, terminal, stack.StackTyped, calculate, RENAMED)
