"""Before and after a remedy: every finding that was looked at again, side by side."""

from __future__ import annotations

from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import FindingKind
from vibecheck.metrology.decision import Zone
from vibecheck.report.blocks import Block, Columns, Drawing, Table
from vibecheck.report.names import finding_name, state_name
from vibecheck.report.sentences import CHANGES, value_text
from vibecheck.report.turns import entry_figure
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Answer, Diagnosis
from vibecheck.session.repair import Repair, as_repaired

SAID = (FindingKind.COMPLAINT, FindingKind.HISTORY)
NOT_READ, AGAIN = "not read", "to be looked at again"
STANDS = {
    Zone.WITHIN: "in order", Zone.BEYOND: "out of order", Zone.UNDECIDED: "too close to say",
    None: "noted",
}


def after_answers(found: Diagnosis) -> tuple[Answer, ...]:
    """What was answered and read after the newest remedy, judged as it stands by itself."""
    case = as_repaired(found.case)
    if case is None:
        return ()
    return Diagnosis(case, found.library, found.facts).answers


def before_and_after(
    found: Diagnosis, wording: Wording, *, drawn: bool = True
) -> tuple[Block, ...]:
    """A table of what was found before and after; `drawn` with both turns as pictures, if known."""
    done = found.repair
    if done is None:
        return ()
    before = {each.spot: each for each in found.answers}
    after = {each.spot: each for each in after_answers(found)}
    compared = {each.finding for each in done.compared}
    shown = {spot: each for spot, each in after.items()
             if spot in compared or found.library.findings[spot.id].kind not in SAID}
    wanted = [spot for spot in done.wanted if spot in before]
    if not shown and not wanted:
        return ()
    corners = {spot.corner for spot in (*shown, *wanted)} - {None}
    one = corners.pop() if len(corners) == 1 else None
    rows = [_row(found, spot, before.get(spot), each, done, wording)
            for spot, each in shown.items()]
    rows += [(finding_name(found.library, spot), _value(found, before[spot], wording), NOT_READ,
              AGAIN) for spot in wanted]
    if one is not None:  # named once, in the head
        rows = [(row[0].removesuffix(f", {one.spoken}"), *row[1:]) for row in rows]
    head = f"What ({one.spoken})" if one is not None else "What"
    return (Table((head, "Before", "After", "Result"), tuple(rows)),
            *(_turns(found, before, after, wording) if drawn else ()))


def _row(
    found: Diagnosis, spot: Spot, before: Answer | None, after: Answer, done: Repair,
    wording: Wording,
) -> tuple[str, ...]:
    change = next((each.change for each in done.compared if each.finding == spot), None)
    result = CHANGES[change] if change is not None else _stands(after)
    return (finding_name(found.library, spot),
            _value(found, before, wording) if before else NOT_READ,
            _value(found, after, wording), result)


def _stands(after: Answer) -> str:
    return "as it was" if after.judged is None else STANDS[after.zone]


def _value(found: Diagnosis, answer: Answer, wording: Wording) -> str:
    if answer.judged is not None:
        return value_text(answer.judged, wording)
    return state_name(found.library.findings[answer.finding], answer.value)


def _turns(
    found: Diagnosis, before: dict[Spot, Answer], after: dict[Spot, Answer], wording: Wording
) -> tuple[Block, ...]:
    """The first surface that was read round a turn before and after, side by side."""
    for spot, each in after.items():
        if spot not in before:
            continue
        both = (entry_figure(before[spot], wording), entry_figure(each, wording))
        if both[0] is not None and both[1] is not None:
            name = finding_name(found.library, spot)
            return (Columns((
                (Drawing(both[0], f"{name}, before"),), (Drawing(both[1], f"{name}, after"),))),)
    return ()
