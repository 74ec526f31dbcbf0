"""Pictures of surfaces that were read round a turn, from the single readings kept in a case."""

from __future__ import annotations

from msgspec.structs import replace

from vibecheck.errors import InputError
from vibecheck.metrology.units.values import Quantity, to_unit
from vibecheck.report.figures import Figure, FigureMark
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Answer
from vibecheck.session.judge import turn_texts

FROM_OUTSIDE = "seen from outside the car, clockwise from the valve stem at 12 o'clock"


def entry_figure(answer: Answer, wording: Wording) -> Figure | None:
    """The readings of an answer round the turn, its limit, high, low and bend marked.

    None where the newest entry holds no turn.
    """
    judged = answer.judged
    if judged is None or judged.round_turn is None:
        return None
    texts = turn_texts(answer.entry)
    if texts is None:
        return None
    from vibecheck.calculators.runout import run
    from vibecheck.report.calculators.runout import turn_figure

    limit = judged.limit
    if limit is not None:
        texts["tolerance"] = f"{to_unit(limit.value, Quantity.LENGTH, 'mm'):.9g} mm"
    try:
        figure = turn_figure(run(texts), wording)
    except InputError:  # readings written by hand into the file
        return None
    bend = judged.round_turn.bend_place
    marks = figure.marks if bend is None else (
        *figure.marks, FigureMark(bend.angle_deg, f"bend at {wording.place(bend)}"))
    return replace(figure, short=True, marks=marks)
