"""The argument parser: one sentence for each wrong usage, and the arguments commands share."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.terminal import Terminal
from vibecheck.errors import InputError

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

    from vibecheck.casebook.case import PlaceName, Role

    Commands = argparse._SubParsersAction["Parser"]
else:
    Commands = Any

Handler = Callable[[argparse.Namespace, Terminal], ExitCode]
PLACES: tuple[PlaceName, ...] = ("counter", "bay", "driveway")
ROLES: tuple[Role, ...] = ("writer", "technician", "owner")
_NEGATIVE = re.compile(r"[-−–][0-9.,]")


class UsageError(InputError):
    """The command line is not understood."""


class Parser(argparse.ArgumentParser):
    """Raises a sentence instead of printing the whole usage and leaving the program."""

    def __init__(self, **named: Any) -> None:
        named.setdefault("allow_abbrev", False)
        named.setdefault("formatter_class", argparse.RawDescriptionHelpFormatter)
        super().__init__(**named)
        self.mixes = False  # whether options may stand between the parts of a list
        self._mixing = False

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """As usual, and with options anywhere among the arguments where `mixes` is set."""
        if not self.mixes or self._mixing:
            return super().parse_known_args(args, namespace)
        self._mixing = True
        try:
            return self.parse_known_intermixed_args(args, namespace)
        finally:
            self._mixing = False

    def error(self, message: str) -> NoReturn:
        raise UsageError(message, self.prog, f"'{self.prog} --help' shows how")

    def print_help(self, file: SupportsWrite[str] | None = None) -> None:
        """The help, without argparse's habit of passing over a failed write."""
        (file or sys.stdout).write(self.format_help())


def command(
    commands: Commands, name: str, handler: Handler, about: str, example: str = ""
) -> Parser:
    """A command with its one-line help and a worked example."""
    epilog = f"example:\n{example}" if example else None
    made = commands.add_parser(name, help=about, description=f"{about}.", epilog=epilog)
    made.set_defaults(run=handler)
    made.mixes = True
    return made


def add_case(parser: Parser) -> None:
    """The case file a command works on."""
    parser.add_argument("case", metavar="CASE", type=Path, help="the case file")


def add_rules(parser: Parser) -> None:
    """Other rules than the usual ones, or more."""
    parser.add_argument("--rules", metavar="PATH", type=Path,
                        help="a folder of rules to use, or a file to lay over the usual ones")


def add_json(parser: Parser) -> None:
    """Output for programs."""
    parser.add_argument("--json", action="store_true", help="print JSON for programs")


def add_by(parser: Parser) -> None:
    """Who says it; follows from the place if not given."""
    parser.add_argument("--by", choices=ROLES, help="who says so (else who works at that place)")


def tie_negatives(arguments: list[str]) -> list[str]:
    """`--low -2.5thou` as `--low=-2.5thou`: a negative reading is not an option."""
    tied: list[str] = []
    for argument in arguments:
        before = tied[-1] if tied else ""
        if _NEGATIVE.match(argument) and re.fullmatch(r"--[a-z-]+", before):
            tied[-1] = f"{before}={argument}"
        else:
            tied.append(argument)
    return tied
