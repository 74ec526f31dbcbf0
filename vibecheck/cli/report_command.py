"""The command `report`: a sheet for one reader, as plain text or as one HTML page."""

from __future__ import annotations

import argparse

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_format, add_units, give, wording_of
from vibecheck.cli.parser import Commands, add_case, add_json, add_rules, command
from vibecheck.cli.terminal import Terminal

_READERS = ("counter", "bay", "driveway", "customer")


def add(commands: Commands) -> None:
    """The command."""
    parser = command(
        commands, "report", run_report, "Print a sheet for the counter, bay, driveway or customer",
        "  vibecheck report visit.yaml --for bay\n"
        "  vibecheck report visit.yaml --for customer --width 72 > letter.txt\n"
        "  vibecheck report visit.yaml --for customer --units us --format html -o letter.html",
    )
    add_case(parser)
    parser.add_argument(
        "--for", dest="reader", choices=_READERS, help="who reads it (else the case's place)"
    )
    parser.add_argument("--width", type=int, metavar="N", help="characters in a line, 40 to 200")
    add_units(parser)
    add_format(parser)
    add_json(parser)
    add_rules(parser)


def run_report(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the sheet."""
    from vibecheck.report.sheets import sheet_lines, sheet_page
    from vibecheck.session.open_case import OpenCase

    wording = wording_of(chosen)
    found = OpenCase.open(chosen.case, chosen.rules).diagnosis
    reader = chosen.reader or found.case.place
    width = terminal.width if chosen.width is None else chosen.width
    lines = sheet_lines(found, reader, width, wording)  # refuses a width that no sheet fits
    give(chosen, terminal, f"{found.case.title} - {reader}",
         lambda: sheet_page(found, reader, wording),
         lambda: {"case": found.case.id, "for": reader, "lines": lines}, width)
    return ExitCode.FINE
