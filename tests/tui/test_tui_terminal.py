"""What only a real terminal shows: hostile titles, another size, few colors or none, its end."""

from __future__ import annotations

import re
from typing import Any

from real_terminal import REAL_TERMINAL

from vibecheck.casebook import store

pytestmark = REAL_TERMINAL


def test_a_hostile_title_and_another_size(real_terminal: Any) -> None:
    it = real_terminal()
    it.begin("van [/bad] [red]x")
    it.keys("1")
    it.wait("Question 2 of at most 13")
    it.keys("b")
    it.wait("Answer so far")
    it.keys("Escape")
    it.wait("Question 2 of at most 13")
    it.keys("r")
    it.wait("1 Causes")
    it.resize(100, 30)
    it.wait("4 Remedies")
    it.keys("Escape")
    it.wait("Question 2 of at most 13")
    it.keys("C-q")
    it.wait("ENDED 0")
    case = store.load(it.case).case
    assert case.title == "van [/bad] [red]x"
    assert len(case.entries) == 1


def test_sixteen_colors(real_terminal: Any) -> None:
    it = real_terminal(TERM="xterm-16color", COLORTERM="", TEXTUAL_COLOR_SYSTEM="standard")
    it.begin("van")
    assert not re.search(r"\x1b\[[0-9;]*[34]8[;:]2", it.screen(escapes=True))
    assert "△ NOT YET CHECKED - DRIVE GENTLY" in it.screen()


def test_no_color(real_terminal: Any) -> None:
    """Without color every shade is a gray: red, green and blue are the same."""
    it = real_terminal(NO_COLOR="1", COLORTERM="truecolor")
    it.begin("van")
    shades = re.findall(r"[34]8[;:]2[;:]+(\d+)[;:](\d+)[;:](\d+)", it.screen(escapes=True))
    assert all(len(set(each)) == 1 for each in shades)
    assert "△ NOT YET CHECKED - DRIVE GENTLY" in it.screen()


def test_closed_terminal_loses_nothing(real_terminal: Any) -> None:
    it = real_terminal()
    it.begin("van")
    it.keys("1")
    it.wait("Question 2 of at most 13")
    it.close()
    assert [entry.kind for entry in store.load(it.case).case.entries] == ["answer"]
