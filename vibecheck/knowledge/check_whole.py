"""Checks of how the rules hang together; they need every rule."""

from __future__ import annotations

from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter

from vibecheck.knowledge.book import Book, Issue
from vibecheck.knowledge.check_single import limit_texts
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Cause
from vibecheck.knowledge.profile import all_shown, follows_resonance
from vibecheck.knowledge.quantities import UNITS, limit_unit
from vibecheck.knowledge.words import Danger, FindingKind, Level, Parts, Place

TOLD = (FindingKind.COMPLAINT, FindingKind.HISTORY)  # the driver can say it without a check


def shown_findings(book: Book, cause: Cause) -> set[str]:
    """Every finding that a cause speaks to, anywhere on the car, computed ones included."""
    found = book.meant("findings", {*all_shown(cause)})
    if follows_resonance(cause):
        rules = book.library.findings.items()
        found |= {name for name, rule in rules if rule.computed is not None}
    return found


def triggering_findings(library: Library) -> set[str]:
    """Every finding that raises a caution, alone or with others."""
    triggers = [each for caution in library.cautions.values() for each in caution.triggers]
    found = {each.finding for each in triggers if each.finding}
    return found | {seen.finding for each in triggers for seen in each.all_of}


def reachable_states(library: Library, place: Place) -> set[str]:
    """The access states that can be reached at a place."""
    rules = library.access.places.get(place)
    if rules is None:
        return set()
    found: set[str] = set()
    waiting = {rules.start}
    while waiting:
        state = waiting.pop()
        found.add(state)
        waiting |= {move.to for move in rules.moves if move.start == state} - found
    return found


def obtained_findings(book: Book) -> set[str]:
    """Every finding that a check yields or a driver can tell."""
    library = book.library
    found = {name for name, rule in library.findings.items() if rule.kind in TOLD}
    return found.union(*(book.meant("findings", each.yields) for each in library.checks.values()))


def causes_are_reached(book: Book) -> Iterator[Issue]:
    """Every cause shows something that a check yields or a driver says."""
    obtained = obtained_findings(book)
    for cause in book.library.causes.values():
        shown = shown_findings(book, cause)
        if shown and shown.isdisjoint(obtained):
            yield book.error("causes", cause.id, ("shows",),
                             "nothing leads to it: no check yields anything it shows",
                             "add a finding it shows to the yields of a check")  # fmt: skip


def findings_are_obtained(book: Book) -> Iterator[Issue]:
    """Every finding is yielded by a check or can be told."""
    obtained = obtained_findings(book)
    for name in book.library.findings:
        if name not in obtained:
            yield book.error("findings", name, (), "no check yields it",
                             "add it to the yields of a check")  # fmt: skip


def causes_are_confirmed(book: Book) -> Iterator[Issue]:
    """Every cause names a check that can confirm it, and each of them speaks to it."""
    for cause in book.library.causes.values():
        if not cause.confirm_by:
            yield book.error("causes", cause.id, ("confirm_by",), "no check confirms it",
                             "write for example confirm_by: [measure_bead_seats]")  # fmt: skip
        shown = shown_findings(book, cause)
        for index, name in enumerate(cause.confirm_by):
            check = book.library.checks.get(name)
            yields = book.meant("findings", check.yields) if check else set()
            if check and shown and yields and shown.isdisjoint(yields):
                findings = ", ".join(check.yields)
                yield book.error("causes", cause.id, ("confirm_by", index),
                                 f"the check '{name}' yields nothing that this cause shows",
                                 f"give a strength for what it yields: {findings}")  # fmt: skip


def checks_are_asked(book: Book) -> Iterator[Issue]:
    """Every check serves a cause, another check or a caution."""
    library = book.library
    causes, checks = library.causes.values(), library.checks.values()
    wanted = book.meant("checks", (name for cause in causes for name in cause.confirm_by))
    wanted |= book.meant("checks", (name for check in checks for name in check.ask_after))
    heeded = {name for cause in causes for name in shown_findings(book, cause)}
    heeded |= book.meant("findings", triggering_findings(library))
    for check in checks:
        yields = book.meant("findings", check.yields)
        if check.id not in wanted and yields and heeded.isdisjoint(yields):
            yield book.error("checks", check.id, (), "nobody asks for it",
                             "name it in confirm_by of a cause, or take it out")  # fmt: skip


def asking_has_no_cycle(book: Book) -> Iterator[Issue]:
    """No check waits for itself by way of others."""
    checks = book.library.checks
    waiting = {name: {*check.ask_after} for name, check in checks.items()}
    try:
        TopologicalSorter(waiting).prepare()
    except CycleError as error:
        ring = [name for name in reversed(error.args[1]) if name in checks]
        yield book.error("checks", ring[0], ("ask_after",),
                         f"ask_after runs in a ring: {' after '.join(ring)}",
                         "take one of them out of ask_after")  # fmt: skip


def danger_has_caution(book: Book) -> Iterator[Issue]:
    """A cause with which the car must not be driven raises a caution that says so."""
    stops = {
        caution.id: {trigger.cause for trigger in caution.triggers}
        for caution in book.library.cautions.values()
        if caution.level is Level.STOP
    }
    for cause in book.library.causes.values():
        warned = not stops.keys().isdisjoint(book.meant("cautions", cause.cautions))
        warned = warned or any(cause.id in triggers for triggers in stops.values())
        if cause.danger is Danger.STOP and not warned:
            yield book.error("causes", cause.id, ("danger",),
                             "danger is stop, but no caution of level stop goes with it",
                             "name one in its cautions, or this cause in a trigger")  # fmt: skip


def places_can_be_opened(book: Book) -> Iterator[Issue]:
    """What is offered at a place can be reached there."""
    library = book.library
    reach = {place: reachable_states(library, place) for place in Place}
    states = {state.id for state in library.access.states}
    if any(not found <= states for found in reach.values()):
        return  # a move to a state that does not exist is reported by its name
    for kind in ("checks", "remedies"):
        for rule in book.rules(kind).values():
            for index, place in enumerate(rule.places):
                if rule.access in states and rule.access not in reach[place]:
                    yield book.error(kind, rule.id, ("places", index),
                                     f"the {place.value} cannot reach '{rule.access}'",
                                     f"take {place.value} out of its places")  # fmt: skip


def places_are_described(book: Book) -> Iterator[Issue]:
    """The access graph speaks of every place and of the cost of every class of parts."""
    access = book.library.access
    for place in Place:
        if place not in access.places:
            yield book.error("access", "", ("places",), f"the place {place.value} is missing",
                             f"write {place.value}: {{start: parked, moves: [...]}}")  # fmt: skip
    for parts in Parts:
        if parts not in access.parts_minutes:
            yield book.error("access", "", ("parts_minutes",),
                             f"the minutes for parts of class {parts.value} are missing",
                             f"write for example {parts.value}: 15")  # fmt: skip


def limits_fit_measures(book: Book) -> Iterator[Issue]:
    """A tolerance has a unit of the quantity that it limits."""
    for finding in book.library.findings.values():
        measure = finding.measure
        limit = book.library.tolerances.get(measure.tolerance or "") if measure else None
        if measure is None or limit is None or measure.quantity not in UNITS:
            continue
        for part, value in limit_texts(limit):
            unit = limit_unit(value)
            if unit is not None and unit not in UNITS[measure.quantity]:
                yield book.error("tolerances", limit.id, part,
                                 f"'{value}' is no {measure.quantity}, as {finding.id} needs it",
                                 f"give the limit in {measure.unit}")  # fmt: skip


CHECKS = [
    causes_are_reached, findings_are_obtained, causes_are_confirmed, checks_are_asked,
    asking_has_no_cycle, danger_has_caution, places_can_be_opened, places_are_described,
    limits_fit_measures,
]  # fmt: skip
