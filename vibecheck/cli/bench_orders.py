"""The command `orders`: what shakes at which frequency, and which parts fit a measured one."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from vibecheck.cli.benching import add_into, check_into, finish, typed_fields
from vibecheck.cli.driveline_options import add_driveline
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, command
from vibecheck.cli.terminal import Terminal

if TYPE_CHECKING:
    from vibecheck.session.benches.result import BenchView
    from vibecheck.session.desk import Desk

EXAMPLE = """\
  vibecheck orders --tire 205/55R16 --speed '105 km/h' --axle-ratio 3.73 \\
      --measured '14.9 Hz +/- 0.3'
  A wheel of this tire turns about 15 times a second at 105 km/h: a shake measured at
  14.9 Hz comes once per turn of a wheel, the driveshaft would shake near 56 Hz. It prints:
    wheel, 1st order fits: -0.23 Hz off"""
RENAMED = {"gears": "--gear"}


def add(commands: Commands) -> None:
    """The command of this bench."""
    parser = command(
        commands, "orders", run_orders,
        "Say which part shakes at which frequency, and which parts fit a measured one", EXAMPLE,
    )
    parser.add_argument("--tire", required=True, metavar="SIZE", help="such as 205/55R16")
    parser.add_argument("--speed", required=True, help="road speed, such as '65 mph'")
    parser.add_argument("--speed-uncertainty", metavar="SPEED",
                        help="how well the speed is known, k = 2 (else 2 km/h)")
    add_driveline(parser)
    parser.add_argument(
        "--gear", metavar="NAME=RATIO", action="append", default=[], dest="typed_gears",
        help="another gear: engine turns per wheel turn; may be given often",
    )
    parser.add_argument("--measured", metavar="HZ", help="a shake as measured: '14.2 Hz +/- 0.2'")
    add_into(parser)


def run_orders(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the order table, and the fits of a measured frequency."""
    from vibecheck.session.benches import orders
    from vibecheck.session.benches.turning import with_facts

    def calculate(desk: Desk | None) -> BenchView:
        check_into(chosen, desk, orders.OrdersView)
        typed = typed_fields(chosen, orders.OrdersTyped, gears=tuple(chosen.typed_gears))
        return orders.run(typed if desk is None else with_facts(typed, desk.workbench.facts))

    return finish(chosen, terminal, orders.OrdersTyped, calculate, RENAMED, draw=False)
