"""The command `ask`: the interview line by line, for plain terminals, screen readers, pipes."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.pages import add_units, wording_of
from vibecheck.cli.parser import PLACES, Commands, add_rules, command
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import NARROWEST, safe

if TYPE_CHECKING:
    from vibecheck.session.open_case import OpenCase


def add(commands: Commands) -> None:
    """The command."""
    parser = command(
        commands, "ask", run_ask, "Interview line by line: plain terminal, screen reader, pipe",
        "  vibecheck ask visit.yaml --place counter\n"
        "  printf '1\\n1\\n2\\nq\\n' | vibecheck ask visit.yaml",
    )
    parser.add_argument("case", metavar="CASE", type=Path, nargs="?",
                        help="the case file; begun if missing (else a new one in this folder)")
    parser.add_argument("--place", choices=PLACES, help="where (else the case's place, or bay)")
    parser.add_argument("--title", default="", help="a name for a new visit")
    parser.add_argument("--fact", action="append", default=[], metavar="NAME=VALUE",
                        help="a fact of the vehicle; may be given again")
    add_units(parser)
    parser.add_argument("--ascii", action="store_true", help="say everything in plain ASCII")
    add_rules(parser)


def run_ask(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Ask until the person stops or the input ends; every answer is saved at once."""
    from vibecheck.cli.dialogue import Dialogue
    from vibecheck.cli.talk import standard_talk

    wording = wording_of(chosen)
    open_case = _open_case(chosen)
    talk = standard_talk(max(NARROWEST, terminal.width), chosen.ascii)
    Dialogue(open_case, talk, wording).run()
    talk.say([f"Everything is saved in {safe(open_case.path)}"])
    return ExitCode.FINE


def _open_case(chosen: argparse.Namespace) -> OpenCase:
    """The case of this talk, opened or begun, with what the options say of it."""
    from vibecheck.cli.case_writing import pairs
    from vibecheck.session.open_case import OpenCase

    facts, limits, customer = pairs(chosen.fact)
    path = chosen.case or fresh_name(Path.cwd())
    if not path.exists():
        return OpenCase.new(path, place=chosen.place or "bay", title=chosen.title or path.stem,
                        facts=facts, limits=limits, rules=chosen.rules, customer=customer)
    open_case = OpenCase.open(path, chosen.rules)
    open_case.set_facts(facts, limits=limits, customer=customer)
    if chosen.place and chosen.place != open_case.case.place:
        open_case.move(chosen.place)
    return open_case


def fresh_name(folder: Path) -> Path:
    """A case file of today that does not exist yet."""
    stem = f"visit-{datetime.now():%Y-%m-%d}"
    path, number = folder / f"{stem}.yaml", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}.yaml", number + 1
    return path
