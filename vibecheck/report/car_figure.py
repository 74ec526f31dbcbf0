"""The car from above: what was found, and what was looked at and is fine, at each corner."""

from __future__ import annotations

from vibecheck.knowledge.words import Corner as Place
from vibecheck.knowledge.words import Scale
from vibecheck.metrology.decision import Zone
from vibecheck.report.blocks import Block, Drawing
from vibecheck.report.figures import CornerNote, Figure, FigureKind
from vibecheck.report.sentences import shown_answer, value_text
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Answer, Diagnosis

FOUND, FINE, OPEN = "found", "fine", ""
MOST_WORDS = 2
CAPTION = (
    "The car from above, front on top. A full wheel: something was found there; an empty one: "
    "looked at and in order; a dashed one: not looked at, or not decided."
)


def car_drawing(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """The car as a picture, where anything was looked at or measured at a corner."""
    figure = car_figure(found, wording)
    if all(corner.tone == OPEN and not corner.words for corner in figure.corners):
        return ()
    return (Drawing(figure, CAPTION),)


def car_figure(found: Diagnosis, wording: Wording) -> Figure:
    """What is known at the four corners."""
    return Figure(FigureKind.CAR, "The car from above", corners=tuple(
        _corner(found, place, wording) for place in Place
    ))


def _corner(found: Diagnosis, place: Place, wording: Wording) -> CornerNote:
    here = [each for each in found.answers if each.corner is place]
    wrong = sorted((each for each in here if is_wrong(found, each)),
                   key=lambda each: each.judged is None)
    open_ones = [each for each in here if each.zone is Zone.UNDECIDED]
    if wrong:
        return CornerNote(place.value, FOUND, _words(found, wrong, wording))
    if open_ones or not here:
        return CornerNote(place.value, OPEN, _words(found, open_ones, wording))
    return CornerNote(place.value, FINE, ("looked at: in order",))


def is_wrong(found: Diagnosis, answer: Answer) -> bool:
    """Whether an answer is proven not as it should be: beyond its limit, or an abnormal state."""
    if answer.judged is not None:
        return answer.zone is Zone.BEYOND
    rule = found.library.findings[answer.finding]
    return (rule.scale is Scale.GRADED and answer.value in rule.states
            and answer.value != next(iter(rule.states)))


def _words(found: Diagnosis, answers: list[Answer], wording: Wording) -> tuple[str, ...]:
    words = []
    for each in answers[:MOST_WORDS]:
        name = found.library.findings[each.finding].name
        value = value_text(each.judged, wording) if each.judged else shown_answer(
            found, each, wording)
        words.append(f"{name}: {value}")
    left = len(answers) - len(words)
    return (*words, *((f"and {left} more",) if left > 0 else ()))
