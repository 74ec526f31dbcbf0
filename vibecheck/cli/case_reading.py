"""Commands that read a case: rank, next, why, show. None of them changes the file."""

from __future__ import annotations

import argparse

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_format, add_units, give, wording_of
from vibecheck.cli.parser import Commands, add_case, add_json, add_rules, command
from vibecheck.cli.terminal import Terminal

CHECKS_SHOWN = 3


def add(commands: Commands) -> None:
    """The commands of this group."""
    rank = command(
        commands, "rank", run_rank, "Rank the causes of a case, with reasons and what to do",
        "  vibecheck rank visit.yaml\n  vibecheck rank visit.yaml --units us\n"
        "  vibecheck rank visit.yaml --format html -o visit.html",
    )
    rank.add_argument("--all", action="store_true", help="every cause and check, not the first few")
    following = command(
        commands, "next", run_next, "Say which check to do next and how to do it",
        "  vibecheck next visit.yaml --count 1",
    )
    following.add_argument(
        "--count", type=int, default=CHECKS_SHOWN, metavar="N", help="how many checks to show"
    )
    why = command(
        commands, "why", run_why, "Explain one cause: the evidence for it and against it",
        "  vibecheck why visit.yaml bent_wheel@LF",
    )
    show = command(commands, "show", run_show, "Show a case, with the ids of its entries")
    for parser in (rank, following, why, show):
        add_case(parser)
        add_units(parser)
        add_format(parser, data=parser is not show)
    why.add_argument("--moves", action="store_true",
                     help="draw how each answer moved it; takes a moment")
    why.add_argument("cause", metavar="CAUSE[@CORNER]", help="a cause, as named by 'rank --json'")
    for parser in (rank, following, why):
        add_json(parser)
        add_rules(parser)


def run_rank(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the ranking."""
    from vibecheck.report.json_view import rank_data
    from vibecheck.report.rank_page import rank_page
    from vibecheck.session.open_case import OpenCase

    wording = wording_of(chosen)
    found = OpenCase.open(chosen.case, chosen.rules).diagnosis
    give(chosen, terminal, found.case.title, lambda: rank_page(found, wording, chosen.all),
         lambda: rank_data(found))
    return ExitCode.FINE


def run_next(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the next checks."""
    from vibecheck.report.json_view import next_data
    from vibecheck.report.rank_page import next_page
    from vibecheck.session.open_case import OpenCase

    wording, count = wording_of(chosen), max(1, chosen.count)
    found = OpenCase.open(chosen.case, chosen.rules).diagnosis
    give(chosen, terminal, found.case.title, lambda: next_page(found, wording, count),
         lambda: next_data(found, count))
    return ExitCode.FINE


def run_why(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print one cause explained."""
    from vibecheck.report.json_view import why_data
    from vibecheck.report.rank_page import moves_drawing, why_page
    from vibecheck.session.open_case import OpenCase

    wording = wording_of(chosen)
    cause, _, at = (part.strip() for part in chosen.cause.partition("@"))
    corner = at or None
    found = OpenCase.open(chosen.case, chosen.rules).diagnosis
    give(chosen, terminal, found.case.title, lambda: (*why_page(found, cause, corner, wording), *(
             moves_drawing(found, cause, corner, wording) if chosen.moves else ())),
         lambda: why_data(found, cause, corner))
    return ExitCode.FINE


def run_show(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the case; the rules are not needed for it."""
    from vibecheck.casebook import store
    from vibecheck.report.case_page import case_page

    wording = wording_of(chosen)
    case = store.load(chosen.case).case
    give(chosen, terminal, case.title, lambda: case_page(case, wording))
    return ExitCode.FINE
