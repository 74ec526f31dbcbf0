"""The command `record`: an accelerometer file to spectrum, orders, direction and severity."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.cli.benching import add_into, check_into, finish, typed_fields
from vibecheck.cli.driveline_options import add_driveline
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, command
from vibecheck.cli.terminal import Terminal

if TYPE_CHECKING:
    from vibecheck.session.benches.result import BenchView
    from vibecheck.session.open_case import OpenCase

EXAMPLE = """\
  vibecheck record drive.csv --tire 205/55R16 --axle-ratio 3.73
  A file with time, x, y, z and speed, from a phone that lay fast: it says which order
  carries the shake. It prints:
    Over wheel orders
    As people feel it

  vibecheck record drive.csv --into visit.yaml
  Tire size and driveline come from the case; order, direction and severity go into it.
  It prints:
    As people feel it"""
LONG_FILE_BYTES = 4_000_000  # from here on a person is told what is being done
RENAMED = {"file": "FILE"}


def add(commands: Commands) -> None:
    """The command of this bench."""
    parser = command(
        commands, "record", run_record,
        "Read a phone's accelerometer record: which order shakes, where to and how strongly",
        EXAMPLE,
    )
    parser.add_argument("file", metavar="FILE", help="CSV with time, three axes, maybe speed")
    parser.add_argument("--tire", metavar="SIZE", help="such as 205/55R16, for wheel orders")
    parser.add_argument("--speed", metavar="SPEED",
                        help="the one speed that was held, instead of a speed column")
    parser.add_argument("--forward", metavar="AXIS", help="axis of the phone that faced forward")
    add_driveline(parser)
    add_into(parser)


def run_record(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print what the record says; a long one with a word on what is being done."""
    from vibecheck.session.benches import record
    from vibecheck.session.benches.turning import with_facts

    def calculate(desk: OpenCase | None) -> BenchView:
        check_into(chosen, desk, record.RecordView)
        typed = typed_fields(chosen, record.RecordTyped)
        if desk is not None:
            typed = with_facts(typed, desk.diagnosis.facts)
        return record.run(typed, terminal.talk if is_long(chosen.file) else None)

    return finish(chosen, terminal, record.RecordTyped, calculate, RENAMED)


def is_long(name: str) -> bool:
    """Whether a file takes more than a moment; one that cannot be is judged by the reader."""
    from vibecheck.metrology.record.table import MOST_BYTES

    try:
        return LONG_FILE_BYTES <= Path(name).stat().st_size <= MOST_BYTES
    except (OSError, ValueError):
        return False
