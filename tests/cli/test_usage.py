"""How the command line ends: usage, help, Ctrl-C, broken pipes, and light imports."""

from __future__ import annotations

import errno
import os
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from cli_helpers import SMALL_RULES, case_in

from vibecheck import errors
from vibecheck.cli import main as main_module
from vibecheck.cli.exitcodes import MEANING, ExitCode, code_for
from vibecheck.cli.main import build_parser, main
from vibecheck.cli.parser import tie_negatives

ROOT = Path(__file__).parents[2]


class TestUsage:
    def test_no_argument_says_how_to_start(self, run: Any):
        ran = run()

        assert ExitCode.FINE == ran.code
        assert "vibecheck demo" in ran.out

    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            (["dance"], "invalid choice: 'dance'"),
            (["rank"], "required: CASE"),
            (["rank", "a.yaml", "--hurry"], "unrecognized arguments: --hurry"),
            (["next", "a.yaml", "--count", "many"], "invalid int value: 'many'"),
            (["new", "a.yaml", "--place", "moon"], "invalid choice: 'moon'"),
            (["rules"], "required: PART"),
            (["answer", "a.yaml"], "required: FINDING"),
            (["orders", "--sp", "5"], "unrecognized arguments: --sp"),  # no shortened options
            (["\x1b[31m"], "\\x1b[31m"),
            (["rank", "a.yaml", "\x1b[31m"], "\\x1b[31m"),
        ],
    )
    def test_wrong_usage_is_one_sentence(self, run: Any, arguments: list[str], says: str):
        ran = run(*arguments, rules=None)

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err
        assert "--help' shows how" in ran.err

    @pytest.mark.parametrize(
        ("given", "missing"), [(("--tire", "205/55R16"), "--speed"), (("--speed", "60"), "--tire")]
    )
    def test_a_field_left_out_is_one_sentence(
        self, run: Any, given: tuple[str, ...], missing: str
    ):
        ran = run("orders", *given, rules=None)

        assert ExitCode.WRONG_INPUT == ran.code
        assert ran.err.startswith(f"{missing}: nothing is given; write ")
        assert 1 == ran.err.count("\n") and not ran.out
        assert 1 == ran.err.count("\n")
        assert "" == ran.out

    def test_help_holds_every_exit_code(self, run: Any):
        ran = run("--help")

        assert 0 == ran.code
        for code, meaning in MEANING.items():
            assert f"{code.value:>3}  {meaning}" in ran.out
        assert set(ExitCode) == set(MEANING)

    def test_version(self, run: Any):
        assert run("--version").out.startswith("vibecheck")

    def test_every_calculator_has_a_worked_example(self, run: Any):
        for bench in ("runout", "orders"):
            assert "example:\n  vibecheck " in run(bench, "--help").out

    def test_negative_readings_are_no_options(self):
        typed = ["runout", "--high", "7thou", "--low", "-2.5thou", "--json", "-h"]

        expected = ["runout", "--high", "7thou", "--low=-2.5thou", "--json", "-h"]
        assert expected == tie_negatives(typed)


class TestEndings:
    @pytest.mark.parametrize(
        ("error", "code"),
        [
            (KeyboardInterrupt(), ExitCode.INTERRUPTED),
            (BrokenPipeError(), ExitCode.PIPE_CLOSED),
            (OSError(errno.ENOSPC, "No space left"), ExitCode.NOT_SAVED),
            (errors.CaseNotSavedError("full"), ExitCode.NOT_SAVED),
            (errors.CaseBusyError("busy"), ExitCode.NOT_SAVED),
            (errors.CaseTooNewError("new"), ExitCode.CASE_UNUSABLE),
            (errors.RulesError([errors.RuleFault("a", 1, "x")]), ExitCode.RULES_FAULTY),
            (errors.AddOnMissingError("x"), ExitCode.ADD_ON_MISSING),
            (errors.ReadingError("x"), ExitCode.WRONG_INPUT),
        ],
    )
    def test_every_ending_has_its_code(
        self, monkeypatch: pytest.MonkeyPatch, error: BaseException, code: ExitCode
    ):
        def fail(arguments: list[str], terminal: Any) -> int:
            raise error

        monkeypatch.setattr(main_module, "_run_command", fail)

        assert code == main(["rank"])

    def test_every_error_of_the_family_has_a_code_that_is_not_fine(self):
        family = [kind for kind in vars(errors).values()
                  if isinstance(kind, type) and issubclass(kind, errors.VibecheckError)]

        for kind in family:
            made = kind([]) if kind in (errors.RulesError, errors.YamlError) else kind("x")
            assert code_for(made) not in (ExitCode.FINE, ExitCode.BROKEN)

    def test_a_mistake_in_the_program_is_a_sentence_too(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ):
        def fail(arguments: list[str], terminal: Any) -> int:
            raise ZeroDivisionError("a\x1b")

        monkeypatch.delenv("VIBECHECK_TRACEBACK", raising=False)
        monkeypatch.setattr(main_module, "_run_command", fail)
        with pytest.raises(SystemExit) as ended:
            main_module.run()

        assert ExitCode.BROKEN == ended.value.code
        assert "vibecheck itself failed (ZeroDivisionError: a\\x1b)" in capsys.readouterr().err


def program(*arguments: str, code: str = "from vibecheck.cli.main import run; run()") -> list[str]:
    return [sys.executable, "-X", "utf8", "-c", code, *arguments]


def in_shell(
    where: str, *words: str, cwd: Path, first: str = ":"
) -> subprocess.CompletedProcess[str]:
    """Run the program on the small rules with its streams led elsewhere by a shell."""
    command = shlex.join([*program(), *words, "--rules", str(SMALL_RULES)])
    return subprocess.run(
        ["sh", "-c", f"{first}; {command} {where}"], capture_output=True, text=True, cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


class TestRealProcess:
    def test_a_reader_that_stops_reading_is_no_error(self):
        process = subprocess.Popen(
            program("--help"), cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        said = process.stderr.read()
        process.stderr.close()

        assert ExitCode.PIPE_CLOSED == process.wait()
        assert b"" == said

    @pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is full")
    def test_an_output_that_is_full_is_said(self):
        with open("/dev/full", "w") as full:
            ended = subprocess.run(
                program("--help"), cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True
            )

        assert ExitCode.NOT_SAVED == ended.returncode
        assert "the output cannot be written (No space left on device)\n" == ended.stderr

    @pytest.mark.parametrize(
        ("words", "code", "says"),
        [
            (("note", "visit.yaml", "it hums"), ExitCode.SAVED_NOT_PRINTED, "saved, but the"),
            (("rank", "visit.yaml"), ExitCode.NOT_SAVED, "the output cannot be written"),
        ],
    )
    @pytest.mark.parametrize("where", [">/dev/full", ">&-"])
    def test_the_code_tells_whether_it_was_saved(
        self, visit: Path, words: tuple[str, ...], code: ExitCode, says: str, where: str
    ):
        """A full disk behind the output, and an output that is closed."""
        before = len(case_in(visit).entries)
        ended = in_shell(where, *words, cwd=visit.parent)

        assert code == ended.returncode
        assert ended.stderr.startswith(says) and 1 == ended.stderr.count("\n")
        saved = code == ExitCode.SAVED_NOT_PRINTED
        assert before + saved == len(case_in(visit).entries)

    def test_a_disk_that_takes_no_more_leaves_the_case_as_it_was(self, visit: Path):
        """The system refuses every byte of every file (POSIX, `ulimit -f 0`)."""
        before = visit.read_bytes()
        ended = in_shell("", "note", "visit.yaml", "it hums", cwd=visit.parent, first="ulimit -f 0")

        assert ExitCode.NOT_SAVED == ended.returncode
        assert "the case is NOT saved" in ended.stderr and 1 == ended.stderr.count("\n")
        assert ("", before) == (ended.stdout, visit.read_bytes())

    @pytest.mark.parametrize("where", ["2>/dev/full", "2>&-"])
    def test_a_word_that_nobody_can_hear_harms_nothing(self, visit: Path, where: str):
        ended = in_shell(where, "answer", "visit.yaml", "shake=strong", cwd=visit.parent)

        assert ExitCode.FINE == ended.returncode
        assert "shake" in ended.stdout
        assert "strong" == case_in(visit).entries[-1].value

    def test_a_complaint_that_nobody_can_hear_keeps_its_code(self, visit: Path):
        ended = in_shell("2>/dev/full", "answer", "visit.yaml", "shake=so", cwd=visit.parent)

        assert ExitCode.WRONG_INPUT == ended.returncode

    def test_a_closed_input_is_its_end(self, visit: Path):
        ended = in_shell("<&-", "ask", "visit.yaml", cwd=visit.parent)

        assert ExitCode.FINE == ended.returncode, ended.stderr
        assert "Everything is saved in visit.yaml" in ended.stdout

    def test_all_three_closed(self, visit: Path):
        ended = in_shell("<&- >&- 2>&-", "note", "visit.yaml", "it hums", cwd=visit.parent)

        assert ExitCode.SAVED_NOT_PRINTED == ended.returncode
        assert "it hums" == case_in(visit).entries[-1].text

    def test_help_loads_nothing_heavy(self):
        code = (
            "import sys; from vibecheck.cli.main import main; main(['--help']); "
            "heavy = {'numpy', 'networkx', 'textual', 'rich', 'yaml', 'scipy', 'filelock'}; "
            "sys.exit(','.join(sorted(heavy & set(sys.modules))) or 0)"
        )
        ended = subprocess.run(
            program(code=code), cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
            text=True,
        )

        assert ("", 0) == (ended.stderr, ended.returncode)

    def test_no_command_ever_loads_the_wizard(self):
        """Every module of the command line and all that the handlers import when they run."""
        code = (
            "import sys, pkgutil, importlib, vibecheck.cli as cli; "
            "[importlib.import_module('vibecheck.cli.' + m.name) "
            "for m in pkgutil.iter_modules(cli.__path__)]; import vibecheck.session.open_case; "
            "sys.exit(','.join(sorted({'textual', 'rich'} & set(sys.modules))) or 0)"
        )
        ended = subprocess.run(program(code=code), cwd=ROOT, stderr=subprocess.PIPE, text=True)

        assert ("", 0) == (ended.stderr, ended.returncode)


def test_every_command_is_in_the_help_with_a_line_about_it():
    text = build_parser().format_help()

    for name in ("rank", "next", "why", "show", "new", "answer", "retract", "note", "facts",
                 "finish", "runout", "orders", "rules", "findings", "demo"):
        assert f"\n    {name:<9} " in text
