"""What the exit code of `vibecheck` says."""

from __future__ import annotations

from enum import IntEnum

from vibecheck.errors import (
    AddOnMissingError,
    CaseBusyError,
    CaseError,
    CaseNotSavedError,
    RulesError,
    VibecheckError,
    YamlError,
)


class ExitCode(IntEnum):
    """Every way a command can end."""

    FINE = 0
    BROKEN = 1
    WRONG_INPUT = 2
    RULES_FAULTY = 3
    CASE_UNUSABLE = 4
    NOT_SAVED = 5
    ADD_ON_MISSING = 6
    SAVED_NOT_PRINTED = 7
    HUNG_UP = 129
    INTERRUPTED = 130
    PIPE_CLOSED = 141
    TERMINATED = 143


MEANING = {
    ExitCode.FINE: "done",
    ExitCode.BROKEN: "vibecheck itself failed: a mistake in the program",
    ExitCode.WRONG_INPUT: "wrong usage, or something typed cannot be used",
    ExitCode.RULES_FAULTY: "the rules have faults",
    ExitCode.CASE_UNUSABLE: "the case file is missing, damaged or too new",
    ExitCode.NOT_SAVED: "nothing was saved or written (disk full, not permitted, in use)",
    ExitCode.ADD_ON_MISSING: "an optional package is not installed",
    ExitCode.SAVED_NOT_PRINTED: "saved, but the output could not be written",
    ExitCode.HUNG_UP: "the terminal was closed; what was saved before is kept",
    ExitCode.INTERRUPTED: "stopped with Ctrl-C; what was saved before is kept",
    ExitCode.PIPE_CLOSED: "whoever read the output stopped reading; what was saved is kept",
    ExitCode.TERMINATED: "stopped by the system; what was saved before is kept",
}

_BY_ERROR: tuple[tuple[type[VibecheckError], ExitCode], ...] = (
    (RulesError, ExitCode.RULES_FAULTY),
    (YamlError, ExitCode.RULES_FAULTY),
    (CaseNotSavedError, ExitCode.NOT_SAVED),
    (CaseBusyError, ExitCode.NOT_SAVED),
    (CaseError, ExitCode.CASE_UNUSABLE),
    (AddOnMissingError, ExitCode.ADD_ON_MISSING),
)


def code_for(error: VibecheckError) -> ExitCode:
    """The exit code that an error ends a command with."""
    for kind, code in _BY_ERROR:
        if isinstance(error, kind):
            return code
    return ExitCode.WRONG_INPUT


def help_text() -> str:
    """The table of exit codes for `--help`."""
    rows = [f"  {code.value:>3}  {meaning}" for code, meaning in MEANING.items()]
    return "\n".join(["exit codes:", *rows])
