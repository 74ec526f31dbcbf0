"""Checks that everything a rule names exists: ids, states, words, facts and their values."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

from vibecheck import calculator_list
from vibecheck.knowledge.book import ONE, Book, Issue
from vibecheck.knowledge.model import USUAL, Cause, Fact, Finding, Fits, Kind, Strength
from vibecheck.knowledge.profile import PARTS
from vibecheck.knowledge.shape import nearest, shown
from vibecheck.knowledge.words import FactKind, Scale, SpeedBy

Part = tuple[str | int, ...]
Saying = tuple[Part, str, str]  # part of the rule, what is wrong, what to write instead

# Which lists of ids a rule of each kind carries, and what kind those ids are.
_LISTS: dict[str, dict[str, str]] = {
    "findings": {"source": "sources"},
    "causes": {
        "source": "sources", "confirm_by": "checks", "remedies": "remedies",
        "cautions": "cautions", "inseparable": "causes", "like": "kinds",
    },
    "kinds": {"source": "sources", "like": "kinds"},
    "fleet": {"source": "sources"},
    "checks": {
        "source": "sources", "tools": "tools", "yields": "findings", "ask_after": "checks",
        "cautions": "cautions",
    },
    "remedies": {"source": "sources", "cautions": "cautions"},
    "cautions": {"source": "sources"},
    "tolerances": {"source": "sources"},
    "resonances": {"source": "sources"},
}  # fmt: skip


def unknown(book: Book, kind: str, name: str) -> tuple[str, str] | None:
    """What to say about an id that does not exist; None if it does."""
    if kind == "access":
        known: Iterable[str] = [state.id for state in book.library.access.states]
        if name in known or ("access", "") in book.lost:
            return None
    elif book.knows(kind, name):
        return None
    else:
        known = book.rules(kind)
    hint = nearest(name, known)
    article = "an" if ONE[kind][0] in "aeiou" else "a"
    add = f"write the id of {article} {ONE[kind]}, or add it"
    instead = f"did you mean '{hint}'?" if hint else add
    return f"there is no {ONE[kind]} {shown(name)}", instead


def ids_exist(book: Book) -> Iterator[Issue]:
    """Ids in the lists of a rule exist, and each stands there once."""
    for kind, lists in _LISTS.items():
        for rule in book.rules(kind).values():
            for key, target in lists.items():
                for place, name in _spots(getattr(rule, key)):
                    if trouble := unknown(book, target, name):
                        yield book.error(kind, rule.id, (key, place), *trouble)
                yield from _repeated(book, kind, rule.id, key, getattr(rule, key))


def _spots(names: list[str] | Mapping[str, object]) -> Iterator[tuple[str | int, str]]:
    if isinstance(names, list):
        yield from enumerate(names)
    else:
        yield from ((name, name) for name in names)


def _repeated(book: Book, kind: str, rule: str, key: str, names: object) -> Iterator[Issue]:
    if isinstance(names, list):
        for place, name in enumerate(names):
            if name in names[:place]:
                what = f"'{name}' stands twice in {key}"
                yield book.error(kind, rule, (key, place), what, "keep one")


def access_exists(book: Book) -> Iterator[Issue]:
    """Access states of checks and remedies exist."""
    for kind in ("checks", "remedies"):
        for rule in book.rules(kind).values():
            if trouble := unknown(book, "access", rule.access):
                yield book.error(kind, rule.id, ("access",), *trouble)


def moves_exist(book: Book) -> Iterator[Issue]:
    """The access graph leads between states that exist, and names a source that exists."""
    for place, rules in book.library.access.places.items():
        if trouble := unknown(book, "access", rules.start):
            yield book.error("access", "", ("places", place.value, "start"), *trouble)
        for index, move in enumerate(rules.moves):
            for key, state in (("start", move.start), ("to", move.to)):
                if trouble := unknown(book, "access", state):
                    part = ("places", place.value, "moves", index, key)
                    yield book.error("access", "", part, *trouble)
    for index, name in enumerate(book.library.access.source):
        if trouble := unknown(book, "sources", name):
            yield book.error("access", "", ("source", index), *trouble)


def limits_exist(book: Book) -> Iterator[Issue]:
    """The tolerance of a measured finding exists; so do the sources of variants."""
    for finding in book.rules("findings").values():
        name = finding.measure.tolerance if finding.measure else None
        if name and (trouble := unknown(book, "tolerances", name)):
            yield book.error("findings", finding.id, ("measure", "tolerance"), *trouble)
    for tolerance in book.rules("tolerances").values():
        for index, variant in enumerate(tolerance.variants):
            for place, name in enumerate(variant.source):
                if trouble := unknown(book, "sources", name):
                    part = ("variants", index, "source", place)
                    yield book.error("tolerances", tolerance.id, part, *trouble)


def calculators_exist(book: Book) -> Iterator[Issue]:
    """The calculator that works out a check's reading exists."""
    for check in book.rules("checks").values():
        if check.calculator and check.calculator not in calculator_list.NAMES:
            hint = nearest(check.calculator, calculator_list.NAMES)
            known = f"write one of {', '.join(calculator_list.NAMES)}"
            yield book.error(
                "checks", check.id, ("calculator",),
                f"there is no calculator {shown(check.calculator)}",
                f"did you mean '{hint}'?" if hint else known,
            )


def words_exist(book: Book) -> Iterator[Issue]:
    """Words for how likely a thing is are words of the closed lists."""
    for cause in book.rules("causes").values():
        if trouble := unknown(book, "rates", cause.rate):
            yield book.error("causes", cause.id, ("rate",), *trouble)
        for index, case in enumerate(cause.rates):
            if trouble := unknown(book, "rates", case.rate):
                yield book.error("causes", cause.id, ("rates", index, "rate"), *trouble)
        for remedy, word in cause.remedies.items():
            if trouble := unknown(book, "strengths", word):
                yield book.error("causes", cause.id, ("remedies", remedy), *trouble)
    for finding in book.rules("findings").values():
        if trouble := unknown(book, "strengths", finding.leak):
            yield book.error("findings", finding.id, ("leak",), *trouble)
        for saying in _states(book, finding, finding.background, ("background",)):
            yield book.error("findings", finding.id, *saying)


def strengths_fit(book: Book) -> Iterator[Issue]:
    """What causes and kinds show are findings, in states they have, by words that exist."""
    for kind, rules in (("causes", book.library.written), ("kinds", book.library.written_kinds)):
        for name, rule in rules.items():
            for saying in _shown(book, rule):
                yield book.error(kind, name, *saying)


def parted_once(book: Book) -> Iterator[Issue]:
    """A finding is parted by axle or by side: what would hold at a corner is else not said."""
    for kind, rules in (("causes", book.library.causes), ("kinds", book.library.kinds)):
        for name, rule in rules.items():
            for key in ("shows_left", "shows_right"):
                for finding in getattr(rule, key):
                    if finding in rule.shows_front or finding in rule.shows_rear:
                        yield book.error(kind, name, (key, finding),
                                         f"'{finding}' is parted by axle and by side",
                                         "part it by one of the two")  # fmt: skip


def _shown(book: Book, rule: Cause | Kind) -> Iterator[Saying]:
    for key in PARTS:
        for name, strength in getattr(rule, key).items():
            if trouble := unknown(book, "findings", name):
                yield ((key, name), *trouble)
            elif finding := book.library.findings.get(name):
                yield from _strength(book, finding, strength, (key, name))
                if strength != USUAL:
                    yield from _computed(book, finding, rule, (key, name))


def _strength(book: Book, finding: Finding, strength: Strength, part: Part) -> Iterator[Saying]:
    if isinstance(strength, dict):
        yield from _states(book, finding, strength, part)
        if not strength:
            yield part, f"no strength is given for '{finding.id}'", "write a word such as usually"
    elif strength == USUAL:
        if finding.id not in book.library.core:
            what = f"'{finding.id}' is not in the core profile, so nothing is usual for it"
            yield part, what, "leave it out"
    elif trouble := unknown(book, "strengths", strength):
        yield (part, *trouble)
    elif finding.scale is Scale.WHICH:
        states = ", ".join(finding.states)
        what = f"'{finding.id}' has states without order, so one word does not say which"
        yield part, what, f"write a word for each state it can have: {states}"


def _computed(book: Book, finding: Finding, rule: Cause | Kind, part: Part) -> Iterator[Saying]:
    """A speed has words only where no resonance gives it."""
    if finding.computed is None:
        return
    library = book.library
    whole = library.causes[rule.id] if isinstance(rule, Cause) else library.kinds[rule.id]
    if whole.speed is not SpeedBy.OWN:
        what = f"'{finding.id}' is computed from what the cause excites"
        yield part, what, "leave it out and write excites, or write speed: own"


def _states(
    book: Book, finding: Finding, words: Mapping[str, str], part: Part
) -> Iterator[Saying]:
    for state, word in words.items():
        if state not in finding.states:
            yield ((*part, state), *no_state(finding, state))
        if trouble := unknown(book, "strengths", word):
            yield ((*part, state), *trouble)


def no_state(finding: Finding, state: str) -> tuple[str, str]:
    """What to say about a state that a finding does not have."""
    what = f"the finding '{finding.id}' has no state {shown(state)}"
    return what, f"write one of {', '.join(finding.states)}"


def fits_exist(book: Book) -> Iterator[Issue]:
    """Vehicle facts and their values exist."""
    for kind in ("findings", "causes", "checks"):
        for rule in book.rules(kind).values():
            for saying in fits(book, rule.fits, ("fits",)):
                yield book.error(kind, rule.id, *saying)
    for cause in book.rules("causes").values():
        for index, case in enumerate(cause.rates):
            for saying in fits(book, case.when, ("rates", index, "when")):
                yield book.error("causes", cause.id, *saying)
    for tolerance in book.rules("tolerances").values():
        for index, variant in enumerate(tolerance.variants):
            for saying in fits(book, variant.when, ("variants", index, "when")):
                yield book.error("tolerances", tolerance.id, *saying)


def fits(book: Book, asked: Fits, part: Part) -> Iterator[Saying]:
    """What is wrong with a mapping of facts to values."""
    for name, values in asked.items():
        if trouble := unknown(book, "facts", name):
            yield ((*part, name), *trouble)
        fact = book.library.facts.get(name)
        if not values:
            yield (*part, name), f"no value of '{name}' is named", "name one or more values"
        for index, value in enumerate(values if fact else []):
            if fact and (saying := _no_value(fact, value)):
                yield ((*part, name, index), *saying)


def _no_value(fact: Fact, value: str) -> tuple[str, str] | None:
    """What to say about a value that a fact cannot have; None if it can."""
    if fact.kind is FactKind.CHOICE and fact.values and value not in fact.values:
        what = f"the vehicle fact '{fact.id}' has no value {shown(value)}"
        return what, f"write one of {', '.join(fact.values)}"
    if fact.kind is FactKind.NUMBER and not _within(fact, value):
        what = f"{shown(value)} is no number that '{fact.id}' can be"
        return what, f"write a number from {fact.lowest:g} to {fact.highest:g}"
    return None


def _within(fact: Fact, value: str) -> bool:
    try:
        return fact.lowest <= float(value) <= fact.highest
    except ValueError:
        return False


def core_exists(book: Book) -> Iterator[Issue]:
    """The findings of the core profile exist."""
    for name in book.library.core:
        if trouble := unknown(book, "findings", name):
            yield book.error("core", name, ("id",), *trouble)


def kinds_have_no_ring(book: Book) -> Iterator[Issue]:
    """No kind is like itself by way of others."""
    kinds = book.library.written_kinds
    likes = {name: {each for each in kind.like if each in kinds} for name, kind in kinds.items()}
    try:
        TopologicalSorter(likes).prepare()
    except CycleError as error:
        ring = list(reversed(error.args[1]))
        yield book.error("kinds", ring[0], ("like",),
                         f"kinds are like each other in a ring: {' like '.join(ring)}",
                         "take one of them out of like")  # fmt: skip


def seen_parts_exist(book: Book) -> Iterator[Issue]:
    """A finding that is its cause exists, in states that are not its normal one."""
    for cause in book.rules("causes").values():
        for name, states in cause.seen_as.items():
            part: Part = ("seen_as", name)
            finding = book.library.findings.get(name)
            if trouble := unknown(book, "findings", name):
                yield book.error("causes", cause.id, part, *trouble)
            if finding is None:
                continue
            normal = next(iter(finding.states))
            for index, state in enumerate(states):
                if state not in finding.states:
                    saying = no_state(finding, state)
                    yield book.error("causes", cause.id, (*part, index), *saying)
                elif state == normal and finding.scale is Scale.GRADED:
                    yield book.error("causes", cause.id, (*part, index),
                                     f"'{state}' is the normal state of '{name}'",
                                     "name the states in which the fault is seen")  # fmt: skip


def fleet_exists(book: Book) -> Iterator[Issue]:
    """Shares of cars are of facts that exist, over all of their values, and sum to one."""
    for fleet in book.rules("fleet").values():
        if trouble := unknown(book, "facts", fleet.id):
            yield book.error("fleet", fleet.id, ("id",), *trouble)
        for index, case in enumerate(fleet.given):
            for saying in fits(book, case.when, ("given", index, "when")):
                yield book.error("fleet", fleet.id, *saying)
            yield from _shares(book, fleet.id, case.shares, ("given", index, "shares"))
        yield from _shares(book, fleet.id, fleet.shares, ("shares",))


def _shares(book: Book, name: str, shares: Mapping[str, float], part: Part) -> Iterator[Issue]:
    fact = book.library.facts.get(name)
    for value in shares if fact else ():
        if fact and (saying := _no_value(fact, value)):
            yield book.error("fleet", name, (*part, value), *saying)
    total = sum(shares.values())
    if abs(total - 1.0) > 0.005:
        yield book.error("fleet", name, part, f"the shares sum to {total:g}",
                         "let them sum to 1")  # fmt: skip


CHECKS = [
    ids_exist, access_exists, moves_exist, limits_exist, calculators_exist, words_exist,
    strengths_fit, parted_once, fits_exist, core_exists, kinds_have_no_ring, seen_parts_exist,
    fleet_exists,
]  # fmt: skip
