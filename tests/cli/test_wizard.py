"""When `vibecheck` opens the screens, and what it says where it cannot."""

from __future__ import annotations

import sys
from types import SimpleNamespace

import pytest

from vibecheck.cli import wizard
from vibecheck.cli.exitcodes import ExitCode


@pytest.fixture
def opened(monkeypatch):
    """What the screens were run with, where this process counts as a terminal."""
    seen = []

    def run(cases, rules, case):
        seen.append((cases, rules, case))
        return 0

    monkeypatch.setattr(wizard, "can_show", lambda: True)
    monkeypatch.setattr(wizard, "import_module", lambda name: SimpleNamespace(run=run))
    return seen


def test_alone_in_a_terminal_it_opens_the_screens(run, opened):
    assert ExitCode.FINE == run().code
    assert [(None, None, None)] == opened


def test_case_folder_and_rules_reach_the_screens(run, opened, tmp_path):
    run("wizard", tmp_path / "v.yaml", "--cases", tmp_path, "--rules", tmp_path / "r")
    run("--cases", tmp_path)
    run("--cases", tmp_path, "wizard")

    assert [(tmp_path, tmp_path / "r", tmp_path / "v.yaml"), (tmp_path, None, None),
            (tmp_path, None, None)] == opened


@pytest.mark.parametrize("arguments", [("wizard",), ("--cases", "folder")])
def test_where_no_screen_can_be_shown_it_names_the_plain_interview(run, arguments):
    done = run(*arguments)

    assert ExitCode.WRONG_INPUT == done.code
    assert "vibecheck ask" in done.err and 1 == done.err.count("\n")


def test_alone_in_a_pipe_it_says_how_to_begin(run):
    assert "vibecheck ask" in run().out


class Screen:
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("piped", [None, "stdin", "stdout", "stderr"])
def test_all_three_streams_must_be_a_terminal(monkeypatch, piped):
    """The screens are drawn on standard error: a log in its place would swallow them."""
    monkeypatch.delenv("TEXTUAL_DRIVER", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name in ("stdin", "stdout", "stderr"):
        if name != piped:
            monkeypatch.setattr(sys, name, Screen())

    assert (piped is None) == wizard.can_show()
    monkeypatch.setenv("TERM", "dumb")
    assert not wizard.can_show()


def test_a_browser_stands_in_for_a_terminal(monkeypatch):
    monkeypatch.setenv("TEXTUAL_DRIVER", "textual.drivers.web_driver:WebDriver")

    assert wizard.can_show()
