"""Pages that the rules make: rules show, table, behind and seen."""

from __future__ import annotations

import argparse

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import UsageError
from vibecheck.cli.rule_folders import library_of
from vibecheck.cli.terminal import Terminal


def run_show(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """One cause whole, with where each of its words comes from."""
    from vibecheck.knowledge.shape import nearest
    from vibecheck.report.rule_pages import cause_lines

    library = library_of(chosen)
    cause = library.causes.get(chosen.cause)
    if cause is None:
        near = nearest(chosen.cause, library.causes)
        raise UsageError(f"there is no cause '{chosen.cause[:60]}'", "vibecheck rules show",
                         f"did you mean '{near}'?" if near else
                         "list them with 'vibecheck rules list'")  # fmt: skip
    terminal.lines(cause_lines(library, cause, terminal.width))
    return ExitCode.FINE


def run_page(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """One of the pages of the documentation."""
    from vibecheck.report import rule_pages

    make = {
        "table": rule_pages.core_table,
        "behind": rule_pages.behind_page,
        "seen": rule_pages.seen_page,
    }[chosen.part]
    terminal.raw(make(library_of(chosen)))
    return ExitCode.FINE
