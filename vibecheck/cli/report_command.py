"""The command `report`: a sheet for one reader, as plain text or as one HTML page."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_format, add_units, give, wording_of
from vibecheck.cli.parser import Commands, UsageError, add_case, add_json, add_rules, command
from vibecheck.cli.terminal import Terminal

if TYPE_CHECKING:
    from vibecheck.report.blocks import Block
    from vibecheck.session.open_case import OpenCase

CLAIM = "claim"
_READERS = ("counter", "bay", "driveway", "customer")
_OF_A_CLAIM = ("wheel", "photo", "measured_by", "gauge")


def add(commands: Commands) -> None:
    """The command."""
    parser = command(
        commands, "report", run_report,
        "Print a sheet for the counter, bay, driveway or customer, or a wheel's claim sheet",
        "  vibecheck report visit.yaml --for bay\n"
        "  vibecheck report visit.yaml --for customer --width 72 > letter.txt\n"
        "  vibecheck report visit.yaml --for customer --units us --format html -o letter.html\n"
        "  vibecheck report visit.yaml --for claim --wheel LF --photo dent.jpg -o claim.txt",
    )
    add_case(parser)
    parser.add_argument("--for", dest="reader", choices=(*_READERS, CLAIM),
                        help="who reads it (else the case's place)")
    parser.add_argument("--width", type=int, metavar="N", help="characters in a line, 40 to 200")
    claim = parser.add_argument_group("for a claim sheet")
    claim.add_argument("--wheel", default="", metavar="CORNER",
                       help="which wheel, LF, RF, LR or RR, if several were read")
    claim.add_argument("--photo", action="append", default=[], metavar="FILE", type=Path,
                       help="a photo to name with its hash; may be given several times")
    claim.add_argument("--measured-by", default="", metavar="NAME", help="who measured it")
    claim.add_argument("--gauge", default="", metavar="TEXT", help="with which gauge")
    add_units(parser)
    add_format(parser)
    add_json(parser)
    add_rules(parser)


def claim_page(chosen: argparse.Namespace, opened: OpenCase) -> tuple[Block, ...]:
    """The claim sheet of the wheel asked for.

    Raises
    ------
    InputError : which wheel is not clear, none was read, or a photo cannot be read.
    """
    from vibecheck.casebook.photos import photo_of
    from vibecheck.report.claim_sheet import claim_sheet
    from vibecheck.report.claims import claim_of, wheel_to_claim

    wording = wording_of(chosen)
    photos = [photo_of(path) for path in chosen.photo]
    corner = wheel_to_claim(opened.diagnosis, chosen.wheel)
    return claim_sheet(claim_of(opened, corner, wording, photos=photos, gauge=chosen.gauge,
                                measured_by=chosen.measured_by), wording)


def run_report(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the sheet."""
    from vibecheck.report.sheets import check_width, sheet_page, trimmed
    from vibecheck.report.text import text_lines
    from vibecheck.session.former import former_of
    from vibecheck.session.open_case import OpenCase

    given = [name for name in _OF_A_CLAIM if getattr(chosen, name)]
    if given and chosen.reader != CLAIM:
        option = f"--{given[0].replace('_', '-')}"
        raise UsageError("only a claim sheet takes it", option, "add --for claim")
    wording = wording_of(chosen)
    width = terminal.width if chosen.width is None else chosen.width
    check_width(width)
    opened = OpenCase.open(chosen.case, chosen.rules)
    reader = chosen.reader or opened.case.place
    if reader == CLAIM:
        page = claim_page(chosen, opened)
    else:
        former = former_of(opened.path, opened.case)
        page = sheet_page(opened.diagnosis, reader, wording, former)
    give(chosen, terminal, f"{opened.case.title} - {reader}", lambda: page,
         lambda: {"case": opened.case.id, "for": reader,
                  "lines": trimmed(text_lines(page, width))}, width)
    return ExitCode.FINE
