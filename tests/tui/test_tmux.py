"""The installed program in a real terminal, from the start to leaving it, beside the same case
on the screen."""

from __future__ import annotations

import time

import pytest
from real_terminal import PATIENCE_S, PROGRAM, REAL_TERMINAL, RealTerminal

from vibecheck.report.names import chance_word
from vibecheck.session.interview import Interview
from vibecheck.session.open_case import OpenCase

pytestmark = REAL_TERMINAL


def saved(it: RealTerminal, entries: int) -> OpenCase:
    """The case as it is on disk, once it has that many entries."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        path = it.case
        if path is not None and len((opened := OpenCase.open(path)).case.entries) >= entries:
            return opened
        time.sleep(0.1)
    pytest.fail(f"{entries} entries were never saved")


def fills(screen: str, size: tuple[int, int]) -> bool:
    """True if what stands on the screen uses its whole width and height."""
    lines = screen.removesuffix("\n").split("\n")
    return len(lines) == size[1] and bool(lines[-1]) and max(map(len, lines)) > size[0] - 12


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_a_counter_visit_from_the_start_to_leaving(real_terminal, size):
    it = real_terminal(size)
    it.begin("hatch")
    it.wait_until(lambda screen: fills(screen, size))
    mirror = Interview(saved(it, 0))
    entries = answered = 0
    before = mirror.open_case.diagnosis.faults[0]
    while answered < 3:
        question = mirror.current()
        it.wait(f"Question {question.number} of at most {question.most}")
        if question.check.rule.safety:
            it.keys("s")
        else:
            if not answered:
                before = mirror.open_case.diagnosis.faults[0]
            it.keys("2")
            answered += 1
        entries += 1
        mirror = Interview(saved(it, entries))
    after = mirror.open_case.diagnosis.faults[0]

    assert after.probability > before.probability
    percent = f"{100.0 * after.probability:.0f}% {chance_word(after.probability)}"
    cautions = ["Cautions"] if mirror.open_case.diagnosis.cautions else []
    it.wait(f"1. {after.rule.name[:20]}", percent, *cautions)
    it.keys("q")
    it.wait("Begin a new visit", "hatch")
    it.keys("q")
    it.wait("ENDED 0")
    assert entries == len(saved(it, entries).case.entries)
    assert it.flag("cursor_flag")
    assert not it.flag("alternate_on")


OPENINGS = ((1, "Counter", "What does the customer say?"), (2, "Bay", "What is on the order?"),
            (3, "Driveway", "What do you notice?"))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("number, place, asks", OPENINGS, ids=[each[1] for each in OPENINGS])
def test_the_opening_hears_a_sentence_and_asks_nothing_of_it_again(
    real_terminal, size, number, place, asks
):
    it = real_terminal(size)
    it.to_the_opening("hatch", number, place, asks)
    it.type("the seat shakes at 65 mph")
    it.keys("Enter")
    it.wait("I understood", "[x]", "65 mph", '"at 65 mph"')
    it.keys("Enter")
    said = {each.finding for each in saved(it, 2).diagnosis.answers}
    assert {"felt_in_seat", "worst_speed"} <= said
    it.wait_until(lambda screen: "I understood" not in screen)
    mirror = Interview(saved(it, 2))
    assert mirror.current().field.finding not in said


def test_the_plain_interview_in_the_same_terminal(real_terminal):
    """Leaving the wizard gives the terminal back as it was: a plain program writes on it."""
    it = real_terminal()
    it.begin("hatch")
    it.keys("C-q")
    it.wait("ENDED 0")
    it.run(str(PROGRAM), "ask", str(it.case.relative_to(it.folder)))
    it.wait_until(lambda screen: "What does the customer say?" in screen and "\n>" in screen)
    it.keys("Enter")
    question = Interview(saved(it, 0)).current()
    it.wait(f"Question 1 of at most {question.most}")
    it.keys("s", "Enter")
    question = Interview(saved(it, 1)).current()
    it.wait(f"Question 2 of at most {question.most}")
    it.keys("C-d")
    it.wait("Everything is saved in")
    assert 1 == len(saved(it, 1).case.entries)
