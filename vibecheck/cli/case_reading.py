"""Commands that read a case: rank, next, why, show. None of them changes the file."""

from __future__ import annotations

import argparse

from vibecheck.cli import print_case, print_next, print_rank, print_why
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, add_case, add_json, add_rules, command
from vibecheck.cli.terminal import Terminal

CHECKS_IN_FULL = 3


def add(commands: Commands) -> None:
    """The commands of this group."""
    rank = command(
        commands, "rank", run_rank, "Rank the causes of a case, with reasons and what to do",
        "  vibecheck rank visit.yaml\n  vibecheck rank visit.yaml --json",
    )
    rank.add_argument("--all", action="store_true", help="every cause and check, not the first few")
    following = command(
        commands, "next", run_next, "Say which check to do next and how to do it",
        "  vibecheck next visit.yaml --count 1",
    )
    following.add_argument(
        "--count", type=int, default=CHECKS_IN_FULL, metavar="N", help="how many checks to show"
    )
    why = command(
        commands, "why", run_why, "Explain one cause: what speaks for it and against it",
        "  vibecheck why visit.yaml bent_wheel@LF",
    )
    show = command(commands, "show", run_show, "Show a case, with the ids of its entries")
    for parser in (rank, following, why, show):
        add_case(parser)
    why.add_argument("cause", metavar="CAUSE[@CORNER]", help="a cause, as named by 'rank --json'")
    for parser in (rank, following, why):
        add_json(parser)
        add_rules(parser)


def run_rank(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the ranking."""
    from msgspec import to_builtins

    from vibecheck.session.desk import Desk

    view = Desk.open(chosen.case, chosen.rules).view()
    if chosen.json:
        terminal.json(to_builtins(view))
    else:
        terminal.lines(print_rank.rank_lines(view, terminal.width, chosen.all))
    return ExitCode.FINE


def run_next(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the next checks."""
    from msgspec import to_builtins

    from vibecheck.session.desk import Desk

    view = Desk.open(chosen.case, chosen.rules).view()
    count = max(1, chosen.count)
    if chosen.json:
        wanted = to_builtins(view)
        keys = ("case", "place", "drive", "conclusion", "next", "cautions", "rules")
        terminal.json({key: wanted[key] for key in keys} | {"next": wanted["next"][:count]})
    else:
        lines = print_rank.title_lines(view, terminal.width)
        lines += print_rank.drive_lines(view, terminal.width)
        terminal.lines([*lines, "", *print_next.next_lines(view, terminal.width, count)])
    return ExitCode.FINE


def run_why(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print one cause explained."""
    from msgspec import to_builtins

    from vibecheck.session.desk import Desk

    cause, _, corner = chosen.cause.partition("@")
    view = Desk.open(chosen.case, chosen.rules).why(cause.strip(), corner.strip() or None)
    if chosen.json:
        terminal.json(to_builtins(view))
    else:
        terminal.lines(print_why.why_lines(view, terminal.width))
    return ExitCode.FINE


def run_show(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the case; the rules are not needed for it."""
    from vibecheck.casebook import store

    case = store.load(chosen.case).case
    terminal.lines(print_case.case_lines(case, terminal.width))
    return ExitCode.FINE
