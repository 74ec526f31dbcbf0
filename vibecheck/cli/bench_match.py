"""The command `match`: the best turn of tire on wheel, or of wheel on hub."""

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
  vibecheck match --carrier '0.60 mm +/- 0.05 at 110' --part '0.80 mm +/- 0.05 at 20'
  A wheel of 0.60 mm with its high spot at 110 deg carries a tire of 0.80 mm with its
  high spot at 20 deg: put the tire's high spot where the wheel is low. It prints:
    worth doing: from 1.00 to 0.20 +/- 0.19 mm high to low by a turn of 270 deg

  vibecheck match --carrier '0.30 at 250' --part '0.60 at 110' --studs 5
  A wheel on a hub can only be turned from stud to stud. It prints:
    Every turn that the studs allow

  vibecheck match --force --carrier '60 N +/- 10 at 40' --part '90 N +/- 10 at 75' \\
      --into visit.yaml --corner LF
  The same for radial force variation, 1st harmonic. It prints:
    N high to low by a turn of 145 deg"""


def add(commands: Commands) -> None:
    """The command of this bench."""
    parser = command(
        commands, "match", run_match,
        "Find the best turn of tire on wheel or wheel on hub, and what it brings", EXAMPLE,
    )
    parser.add_argument("--carrier", required=True, metavar="'SIZE at ANGLE'",
                        help="what carries: high to low and high spot, from its own mark")
    parser.add_argument("--part", required=True, metavar="'SIZE at ANGLE'",
                        help="what is turned on it, angle from the same mark as it stands now")
    parser.add_argument("--studs", metavar="N", help="for a wheel on a hub: studs of the hub")
    parser.add_argument("--limit", metavar="VALUE", help="high to low accepted")
    parser.add_argument("--force", action="store_true", help="radial force variation, 1st harmonic")
    parser.add_argument("--unit", help="unit of bare numbers: mm, in, thou; N or lb with --force")
    add_into(parser)


def run_match(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the best turn."""
    from vibecheck.session.benches import match

    def calculate(desk: OpenCase | None) -> BenchView:
        check_into(chosen, desk, match.MatchView)
        return match.run(typed_fields(chosen, match.MatchTyped))

    return finish(chosen, terminal, match.MatchTyped, calculate)
