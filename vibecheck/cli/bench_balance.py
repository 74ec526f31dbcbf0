"""The command `balance`: two planes on a machine, or trial weights on the car."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from vibecheck.cli.benching import add_into, check_into, finish, typed_fields
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, Parser, UsageError, command
from vibecheck.cli.terminal import Terminal

if TYPE_CHECKING:
    from vibecheck.session.benches.result import BenchView
    from vibecheck.session.open_case import OpenCase

EXAMPLE = """\
  vibecheck balance --inner '35 g at 120' --outer '20 g at 300' --inner-radius '190 mm' \\
      --distance '160 mm' --spokes 5 --first-spoke 36
  Weights hidden behind five spokes; static and couple parted. It prints:
    inner: 30 g at 108 deg and 10 g at 180 deg for 35.0 g at 120 deg; leaves 2.5 g
    static 15.0 g at 120 deg: shakes the wheel up and down

  vibecheck balance --first '8.4 at 30' --trial '30 g at 0' --run '12.1 at 75' \\
      --uncertainty 0.4
  On the car: vibration with its phase, as found and with a trial weight. It prints:
    take the trial weights off and add: 29.4 g at 91 deg

  vibecheck balance --first 8.0 --trial '30 g' --positions '0 120 240' --run '9.6 12.0 4.4'
  Without a phase: the trial weight at three places in turn. It prints:
    take the trial weights off and add: 51.2 g at 264 deg

  vibecheck balance --inner '35 g at 120' --outer '20 g at 300' --again-inner '33 g at 124' \\
      --again-outer '21 g at 296' --into visit.yaml --corner LF
  Read again after turning the wheel on the machine's shaft. It prints:
    the larger change between the two mountings is 3.1 g"""
PLANE_OPTIONS = (
    ("--inner", "'GRAMS at ANGLE'", "weight the machine asks for in the inner plane"),
    ("--outer", "'GRAMS at ANGLE'", "the same in the outer plane"),
    ("--again-inner", "'GRAMS at ANGLE'", "after turning the wheel on the machine's shaft"),
    ("--again-outer", "'GRAMS at ANGLE'", "the same in the outer plane"),
    ("--inner-radius", "LENGTH", "of the weights in the inner plane"),
    ("--outer-radius", "LENGTH", "of the outer plane (else the same)"),
    ("--distance", "LENGTH", "from plane to plane"),
    ("--places", "LIST", "angles where weights can go"),
    ("--spokes", "N", "weights go behind so many even spokes"),
    ("--first-spoke", "ANGLE", "of a spoke from the valve stem"),
    ("--mass", "MASS", "of the wheel, with --speed and --tire for the permissible residual"),
    ("--speed", "SPEED", "highest road speed"),
    ("--tire", "SIZE", "such as 205/55R16"),
    ("--grade", "G", "balance quality grade in mm/s (40)"),
)
RENAMED = {"runs": "--run", "trials": "--trial"}


def add(commands: Commands) -> None:
    """The command of this bench."""
    parser = command(
        commands, "balance", run_balance,
        "Part and place balance weights, or find them by trial weights on the car", EXAMPLE,
    )
    for option, shown, about in PLANE_OPTIONS:
        parser.add_argument(option, metavar=shown, help=about)
    parser.add_argument("--step", metavar="MASS", help="weights come in steps of (5 g)")
    parser.add_argument("--uncertainty", metavar="VALUE", help="of what is read, k = 2")
    parser.add_argument("--unit", default="g", help="unit of bare weights: g, oz")
    add_trials(parser)
    add_into(parser)


def add_trials(parser: Parser) -> None:
    """Options of the trial-weight method."""
    parser.add_argument("--first", metavar="'SIZE at PHASE'",
                        help="vibration as found; of two sensors parted by ';'; size alone if no "
                             "phase is known")
    parser.add_argument("--trial", metavar="'GRAMS at ANGLE'", action="append", default=[],
                        dest="typed_trials", help="a trial weight; once for each plane")
    parser.add_argument("--run", metavar="'SIZE at PHASE'", action="append", default=[],
                        dest="typed_runs", help="vibration with each trial weight on, in order")
    parser.add_argument("--positions", metavar="LIST",
                        help="without phase: where the one trial weight sat in turn")


def run_balance(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the weights to place."""
    from vibecheck.session.benches import balance, trialweight

    trial = bool(chosen.first or chosen.typed_trials or chosen.typed_runs or chosen.positions)
    if trial and (chosen.inner or chosen.outer):
        raise UsageError("give one kind of input", "vibecheck balance",
                         "write --inner and --outer, or --first, --trial and --run")
    if trial and not chosen.first:
        raise UsageError("the first run is missing", "--first", "write '8.4 at 30'")
    if not trial and not (chosen.inner or chosen.outer):
        raise UsageError("there is nothing to balance", "vibecheck balance",
                         "write --inner and --outer, or --first, --trial and --run")

    def calculate(desk: OpenCase | None) -> BenchView:
        if not trial:
            check_into(chosen, desk, balance.BalanceView)
            return balance.run(typed_fields(chosen, balance.BalanceTyped))
        check_into(chosen, desk, trialweight.TrialView)
        return trialweight.run(typed_fields(
            chosen, trialweight.TrialTyped, runs=tuple(chosen.typed_runs),
            trials=tuple(chosen.typed_trials),
        ))

    kind = trialweight.TrialTyped if trial else balance.BalanceTyped
    return finish(chosen, terminal, kind, calculate, RENAMED)
