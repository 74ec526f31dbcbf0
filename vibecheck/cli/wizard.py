"""The command `wizard`, which is also what `vibecheck` alone does in a terminal: the screens.

The screens are loaded by name, when they are wanted: no other command pays for them, and this
room knows of them no more than that they can be run.
"""

from __future__ import annotations

import os
import sys
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.terminal import Terminal

if TYPE_CHECKING:
    import argparse

    from vibecheck.cli.parser import Commands

_SCREENS = "vibecheck.tui.app"


def add(commands: Commands) -> None:
    """The command; only where there are words to read is the parser loaded."""
    from argparse import SUPPRESS

    from vibecheck.cli.parser import add_rules, command

    parser = command(
        commands, "wizard", run_wizard, "Open the wizard's screens (as 'vibecheck' alone does)",
        "  vibecheck wizard\n  vibecheck wizard visit.yaml",
    )
    parser.add_argument("case", metavar="CASE", type=Path, nargs="?", help="a case to open at once")
    parser.add_argument("--cases", metavar="FOLDER", type=Path, default=SUPPRESS,
                        help="where visits are kept (else the user's data folder)")
    add_rules(parser)


def run_wizard(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Show the screens until the person leaves."""
    from vibecheck.cli.parser import UsageError

    if not can_show():
        raise UsageError(
            "the wizard needs a terminal that can place text", "",
            "'vibecheck ask' asks the same line by line",
        )
    terminal.out.flush()
    return open_wizard(chosen.cases, chosen.rules, chosen.case)


def open_wizard(
    cases: Path | None = None, rules: Path | None = None, case: Path | None = None
) -> ExitCode:
    """Load the screens and run them; behind a server, end with it."""
    from vibecheck.cli.browser.parent import end_with_parent

    end_with_parent()
    code: int = import_module(_SCREENS).run(cases, rules, case)
    return ExitCode(code)


def can_show() -> bool:
    """True in a terminal, and where a browser stands in for one."""
    if os.environ.get("TEXTUAL_DRIVER"):
        return True
    if os.environ.get("TERM") == "dumb":
        return False
    return all(each.isatty() for each in (sys.stdin, sys.stdout, sys.stderr))
