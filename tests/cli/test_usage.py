"""How the command line ends: usage, help, Ctrl-C, broken pipes, and light imports."""

from __future__ import annotations

import errno
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

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
            (errors.RulesError([errors.Fault("a", 1, "x")]), ExitCode.RULES_FAULTY),
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
