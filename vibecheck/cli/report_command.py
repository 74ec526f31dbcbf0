"""The command `report`: a sheet for one reader, as plain text."""

from __future__ import annotations

import argparse

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, add_case, add_json, add_rules, command
from vibecheck.cli.terminal import Terminal

_READERS = ("counter", "bay", "driveway", "customer")


def add(commands: Commands) -> None:
    """The command."""
    parser = command(
        commands, "report", run_report, "Print a sheet for the counter, bay, driveway or customer",
        "  vibecheck report visit.yaml --for bay\n"
        "  vibecheck report visit.yaml --for customer --width 72 > letter.txt",
    )
    add_case(parser)
    parser.add_argument(
        "--for", dest="reader", choices=_READERS, help="who reads it (else the case's place)"
    )
    parser.add_argument("--width", type=int, metavar="N", help="characters in a line, 40 to 200")
    add_json(parser)
    add_rules(parser)


def run_report(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the sheet."""
    from vibecheck.report.sheets import sheet_lines
    from vibecheck.session.desk import Desk

    desk = Desk.open(chosen.case, chosen.rules)
    reader = chosen.reader or desk.case.place
    width = terminal.width if chosen.width is None else chosen.width
    lines = sheet_lines(desk, reader, width)
    if chosen.json:
        terminal.json({"case": desk.case.id, "for": reader, "lines": lines})
    else:
        terminal.lines(lines)
    return ExitCode.FINE
