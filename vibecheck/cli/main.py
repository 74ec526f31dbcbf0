"""The command line: finds the command, runs it, and turns every ending into an exit code."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from vibecheck.cli import (
    archive_commands,
    ask,
    bench_balance,
    bench_match,
    bench_orders,
    bench_record,
    bench_runout,
    bench_stack,
    case_reading,
    case_writing,
    demo,
    report_command,
    rules_commands,
    serve,
    wizard,
)
from vibecheck.cli.exitcodes import ExitCode, code_for, help_text
from vibecheck.cli.parser import Parser, tie_negatives
from vibecheck.cli.terminal import Terminal, width_of
from vibecheck.errors import VibecheckError
from vibecheck.report.lines import safe

ABOUT = """\
From "my car shakes" to a cause proven by a measurement, a remedy that holds,
and a clear word on whether the car may be driven."""
START = """\
The wizard:        vibecheck            (in a terminal; here: vibecheck ask)
Try it:            vibecheck demo
Begin a visit:     vibecheck new visit.yaml drive=front "tire_size=205/55R16"
What can be said:  vibecheck findings
Say it:            vibecheck answer visit.yaml FINDING[@CORNER]=VALUE ...
What it means:     vibecheck rank visit.yaml
All commands:      vibecheck --help"""
_GROUPS = (
    case_reading, case_writing, ask, report_command, bench_runout, bench_stack, bench_match,
    bench_balance, bench_orders, bench_record, rules_commands, demo, wizard, serve,
    archive_commands,
)


def build_parser() -> Parser:
    """The parser of the whole command line."""
    parser = Parser(prog="vibecheck", description=ABOUT, epilog=help_text())
    parser.add_argument("--version", action="store_true", help="print the version and leave")
    parser.add_argument("--cases", metavar="FOLDER", type=Path,
                        help="open the wizard with this folder for visits")
    commands = parser.add_subparsers(
        title="commands", metavar="COMMAND", dest="command", parser_class=Parser
    )
    for group in _GROUPS:
        group.add(commands)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; gives the exit code."""
    terminal = Terminal(sys.stdout, sys.stderr, width_of(sys.stdout))
    arguments = tie_negatives(list(sys.argv[1:] if argv is None else argv))
    try:
        code = _run_command(arguments, terminal)
        terminal.out.flush()
        return code
    except VibecheckError as error:
        terminal.complain(str(error))
        return code_for(error)
    except KeyboardInterrupt:
        terminal.complain("stopped; what was saved before is kept")
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        return ExitCode.PIPE_CLOSED
    except OSError as error:
        terminal.complain(f"the output cannot be written ({error.strerror or error})")
        return ExitCode.NOT_SAVED


def _run_command(arguments: list[str], terminal: Terminal) -> int:
    if not arguments and wizard.can_show():
        return wizard.open_wizard()
    if not arguments:
        terminal.lines([*ABOUT.split("\n"), "", *START.split("\n")])
        return ExitCode.FINE
    try:
        chosen = build_parser().parse_args(arguments)
    except SystemExit as end:  # --help ends this way
        return int(end.code or 0)
    if chosen.version:
        terminal.lines([version_text()])
        return ExitCode.FINE
    if not hasattr(chosen, "run") and chosen.cases is not None:
        chosen.run, chosen.case, chosen.rules = wizard.run_wizard, None, None
    if not hasattr(chosen, "run"):
        terminal.talk(START)
        return ExitCode.WRONG_INPUT
    code: ExitCode = chosen.run(chosen, terminal)
    return code


def version_text() -> str:
    """The installed version, or that this is a source tree."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return f"vibecheck {version('vibecheck')}"
    except PackageNotFoundError:
        return "vibecheck, not installed (a source tree)"


def run() -> None:
    """The installed program: `main`, with a sentence also where the program itself fails."""
    try:
        code = main()
    except Exception as error:
        if os.environ.get("VIBECHECK_TRACEBACK"):
            raise
        kind = type(error).__name__
        sys.stderr.write(
            f"vibecheck itself failed ({kind}: {safe(error)}); please report it, "
            "with what VIBECHECK_TRACEBACK=1 prints\n"
        )
        code = ExitCode.BROKEN
    if code in (ExitCode.PIPE_CLOSED, ExitCode.NOT_SAVED):
        _drop_output()
    sys.exit(code)


def _drop_output() -> None:
    """Lead what is still buffered into nothing, so that leaving the program does not fail."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())


if __name__ == "__main__":
    run()
