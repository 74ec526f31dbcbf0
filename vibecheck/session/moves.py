"""How each answer moved one cause: its chance after every step of the visit, replayed in order.

Answers that one check gave in a row count as one step. What came after a remedy is left out: the
ranking stays as it was found.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, structs

from vibecheck.casebook.case import Case, Entry
from vibecheck.casebook.journal import active_entries, readings_together
from vibecheck.knowledge.model import Spot
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.repair import as_found


class Move(Struct, frozen=True):
    """One step: its answers, and the cause's chance before and after it [unitless]."""

    entries: tuple[Entry, ...]
    before: float
    after: float


def moves(found: Diagnosis, cause: Spot) -> tuple[Move, ...]:
    """The steps of a visit in order, each with what it did to a cause.

    The first chance is the one with nothing known, the last one that of now.
    """
    case = as_found(found.case)
    before = chance(found, structs.replace(case, entries=[]), cause)
    made: list[Move] = []
    kept: list[Entry] = []
    for step in _steps(case):
        kept = [*kept, *step]
        after = chance(found, structs.replace(case, entries=kept), cause)
        made.append(Move(step, before, after))
        before = after
    return tuple(made)


def chance(found: Diagnosis, case: Case, cause: Spot) -> float:
    """A cause's chance in a case of the same car [unitless]; 0 where the car cannot have it."""
    at = Diagnosis(case, found.library, found.facts, found.judged)
    index = at.network.index.get(cause)
    return 0.0 if index is None else float(at.belief.chances[index])


def _steps(case: Case) -> Iterator[tuple[Entry, ...]]:
    """Answers in force in the order given, those of one check at one corner together."""
    active = {entry.id for entry in active_entries(case)}
    active |= {entry.id for several in readings_together(case).values() for entry in several}
    step: list[Entry] = []
    for entry in case.in_order:
        if entry.id not in active:
            continue
        if step and (entry.check, entry.corner) != (step[-1].check, step[-1].corner):
            yield tuple(step)
            step = []
        step.append(entry)
    if step:
        yield tuple(step)
