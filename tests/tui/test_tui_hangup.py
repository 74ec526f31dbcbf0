"""A signal or a closed terminal: the terminal as it was found, and a half-typed note kept.

And a case file that another car's visit took the place of.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

import pytest
from real_terminal import PATIENCE_S, PROGRAM, REAL_TERMINAL
from textual.widgets import TextArea

from vibecheck.casebook import store
from vibecheck.cli.exitcodes import ExitCode
from vibecheck.session.open_case import OpenCase

WORDS = "it hums on the freew"


def note_half_typed(real_terminal: Any, case: Path) -> Any:
    """A terminal in which somebody is typing a note."""
    it = real_terminal()
    wizard = shlex.join([str(PROGRAM), "wizard", "--cases", str(it.visits), str(case)])
    it.run("sh", "-c", f"stty -g > before; echo $$ > pid; {wizard}; code=$?; stty -g > after; "
           "echo ENDED $code")
    it.wait("What is on the order?")
    it.keys("Escape")
    it.wait("Question 1")
    it.keys("n")
    it.wait("A note, in the customer's own words")
    it.type(WORDS)
    it.wait(WORDS)
    return it


def wizard_of(it: Any) -> int:
    """The process id of the wizard under the terminal's shell."""
    shell = (it.folder / "pid").read_text("utf-8").strip()
    done = subprocess.run(["pgrep", "-P", shell], capture_output=True, text=True, check=True)
    return int(done.stdout.split()[0])


def drafts(it: Any) -> dict[str, Any]:
    """What is kept beside the visits; waits until something is."""
    path, until = it.visits / "unfinished.json", time.monotonic() + PATIENCE_S
    while not (path.exists() and WORDS in path.read_text("utf-8")):
        assert time.monotonic() < until, "the note was not kept"
        time.sleep(0.02)
    found: dict[str, Any] = json.loads(path.read_text("utf-8"))["drafts"]
    return found


@pytest.mark.tmux
@REAL_TERMINAL[1]
@pytest.mark.parametrize(
    ("number", "code"),
    [(signal.SIGTERM, ExitCode.TERMINATED), (signal.SIGHUP, ExitCode.HUNG_UP)],
)
def test_a_signal_gives_the_terminal_back_and_keeps_the_note(
    real_terminal: Any, kept: Any, number: int, code: int
) -> None:
    it = note_half_typed(real_terminal, kept())
    os.kill(wizard_of(it), number)
    it.wait(f"ENDED {code}")

    assert (it.folder / "before").read_text() == (it.folder / "after").read_text()
    assert it.flag("cursor_flag") and not it.flag("alternate_on")
    assert [{"text": WORDS}] == list(drafts(it).values())


@pytest.mark.tmux
@REAL_TERMINAL[1]
def test_a_closed_terminal_keeps_the_note_and_leaves_no_program(
    real_terminal: Any, kept: Any
) -> None:
    it = note_half_typed(real_terminal, kept())
    wizard = wizard_of(it)
    it.close()

    assert [{"text": WORDS}] == list(drafts(it).values())
    until = time.monotonic() + PATIENCE_S
    status = Path(f"/proc/{wizard}/status")
    while status.exists() and not re.search(r"^State:\s*Z", status.read_text(), re.MULTILINE):
        assert time.monotonic() < until, "the program runs on without a terminal"
        time.sleep(0.02)


async def test_a_half_typed_note_is_there_in_the_next_run_and_only_in_its_own_visit(
    stage: Any, kept: Any
) -> None:
    path = kept()
    async with stage(path) as it:
        await it.press("n")
        it.app.screen.query_one("#note", TextArea).text = WORDS
        await it.settle()

    async with stage(path) as it:
        await it.press("n")
        assert WORDS == it.app.screen.query_one("#note", TextArea).text
        await it.press("ctrl+s")
        assert WORDS == it.opened.case.entries[-1].text
        await it.press("escape", "n")
        assert "" == it.app.screen.query_one("#note", TextArea).text


async def replaced(it: Any, path: Path) -> str:
    """Put another car's visit in the place of the one that is open; the id of the open one."""
    own = it.opened.case.id
    path.unlink()
    OpenCase.new(path, place="bay", title="Red van").answer(["vibration=strong"])
    it.app.screen.check_file()
    await it.settle()
    assert "Another visit stands in this file now" in it.words
    assert (own, "Blue estate") == (it.opened.case.id, it.opened.case.title)
    return str(own)


async def test_another_visit_in_the_file_is_opened_only_when_asked_for(
    stage: Any, kept: Any
) -> None:
    path = kept()
    async with stage(path) as it:
        await replaced(it, path)
        await it.press("1")
        await it.come_to_rest()

        assert "Red van" == it.opened.case.title
        assert "Red van" in it.words


async def test_the_open_visit_can_be_kept_under_another_name(stage: Any, kept: Any) -> None:
    path = kept("pulls=no")
    async with stage(path) as it:
        own = await replaced(it, path)
        await it.press("2")

        assert it.opened.path != path and own == store.load(it.opened.path).case.id
        it.opened.note("goes on")
    assert "Red van" == store.load(path).case.title
    assert 2 == len(store.load(it.opened.path).case.entries)


async def test_nothing_is_saved_over_another_visit_while_nothing_is_chosen(
    stage: Any, kept: Any
) -> None:
    path = kept()
    async with stage(path) as it:
        await replaced(it, path)
        before = path.read_bytes()
        await it.press("escape", "1")
        it.app.screen.check_file()
        await it.settle()

        assert "another case by now" in it.words or "another visit by now" in it.words
        assert before == path.read_bytes()
