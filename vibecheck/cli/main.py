"""The command line: finds the command, runs it, and turns every ending into an exit code.

Only the module of the command that is called is loaded; `--help` loads them all.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from vibecheck.calculator_list import NAMES
from vibecheck.casebook import saves
from vibecheck.cli.exitcodes import ExitCode, code_for, help_text
from vibecheck.cli.terminal import Terminal, width_of
from vibecheck.errors import VibecheckError, sentence

if TYPE_CHECKING:
    from vibecheck.cli.parser import Parser

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
# The modules with the commands that each adds, in the order of the help.
GROUPS: dict[str, tuple[str, ...]] = {
    "case_reading": ("rank", "next", "why", "show"),
    "case_writing": (
        "new", "hear", "answer", "retract", "note", "facts", "finish", "repair"),
    "ask": ("ask",),
    "report_command": ("report",),
    "calculator_commands": NAMES,
    "rules_commands": ("rules", "findings"),
    "demo": ("demo",),
    "wizard": ("wizard",),
    "serve": ("serve",),
    "archive_commands": ("cases", "archive", "export"),
    "learning_commands": ("learn", "shop"),
    "wheels_command": ("wheels",),
}
_YOUNG_OBJECTS = 50_000  # made before the collector looks for rings; most commands make fewer


def build_parser(command: str = "") -> Parser:
    """The parser of one command, or of the whole command line where it is no command."""
    from vibecheck.cli.parser import Parser

    parser = Parser(prog="vibecheck", description=ABOUT, epilog=help_text())
    parser.add_argument("--version", action="store_true", help="print the version and leave")
    parser.add_argument("--cases", metavar="FOLDER", type=Path,
                        help="open the wizard with this folder for visits")
    commands = parser.add_subparsers(
        title="commands", metavar="COMMAND", dest="command", parser_class=Parser
    )
    chosen = [group for group, names in GROUPS.items() if command in names]
    for group in chosen or GROUPS:
        import_module(f"vibecheck.cli.{group}").add(commands)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; gives the exit code."""
    terminal = Terminal(sys.stdout, sys.stderr, width_of(sys.stdout))
    arguments = list(sys.argv[1:] if argv is None else argv)
    before = saves.count()
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
        return _refused(error, terminal, saved=saves.count() > before)


def _refused(error: OSError, terminal: Terminal, *, saved: bool) -> ExitCode:
    """The word and the code where the system refuses: what is saved is saved."""
    what = "the output cannot be written" if error.filename is None else "the system refuses"
    where = "" if error.filename is None else str(error.filename)
    first = "saved, but " if saved else ""
    terminal.complain(sentence(f"{first}{what} ({error.strerror or error})", where))
    return ExitCode.SAVED_NOT_PRINTED if saved else ExitCode.NOT_SAVED


def _run_command(arguments: list[str], terminal: Terminal) -> int:
    if not arguments:
        from vibecheck.cli import wizard

        if wizard.can_show():
            return wizard.open_wizard()
        terminal.lines([*ABOUT.split("\n"), "", *START.split("\n")])
        return ExitCode.FINE
    from vibecheck.cli.parser import tie_negatives

    arguments = tie_negatives(arguments)
    try:
        chosen = build_parser(arguments[0]).parse_args(arguments)
    except SystemExit as end:  # --help ends this way
        return int(end.code or 0)
    if chosen.version:
        terminal.lines([version_text()])
        return ExitCode.FINE
    if not hasattr(chosen, "run") and chosen.cases is not None:
        from vibecheck.cli.wizard import run_wizard

        chosen.run, chosen.case, chosen.rules = run_wizard, None, None
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
    gc.set_threshold(_YOUNG_OBJECTS)
    # The products are small: a second thread would cost more than it brings.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _open_streams()
    try:
        code = main()
    except Exception as error:
        if os.environ.get("VIBECHECK_TRACEBACK"):
            raise
        kind = type(error).__name__
        Terminal(sys.stdout, sys.stderr).complain(sentence(
            f"vibecheck itself failed ({kind}: {error})", "",
            "please report it, with what VIBECHECK_TRACEBACK=1 prints",
        ))
        code = ExitCode.BROKEN
    _drop_unwritten()
    sys.exit(code)


def _open_streams() -> None:
    """Put a stream where the program was begun with a closed one.

    What is written to a closed output is refused, as by the system; a closed input has ended.
    """
    if sys.stdin is None:
        sys.stdin = open(os.open(os.devnull, os.O_RDONLY), encoding="utf-8")
    if sys.stdout is None:
        sys.stdout = open(os.open(os.devnull, os.O_RDONLY), "w", encoding="utf-8")
    if sys.stderr is None:
        sys.stderr = open(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8")


def _drop_unwritten() -> None:
    """Lead what cannot be written into nothing, so that leaving the program does not fail."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


if __name__ == "__main__":
    run()
