"""Random visits held against what may be said; one sweep serves every law.

A visit is a list of moves at one place: answers (any state of any finding, readings within and
beyond their limits), wheels read round the turn with a gauge, answers changed, taken back, "not
sure", checks skipped or impossible, facts changed. Half of the visits begin with all danger
questions answered. After the last move the whole diagnosis, and what the last move did to it, is
held against the laws. A law gives `KEPT` for everything that it applies to and finds in order, and
a sentence for every breach; the sweep counts both, since a law that never applied proves nothing.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np
from msgspec import structs

from vibecheck.calculators.registry import listed
from vibecheck.calculators.runout import HIGH
from vibecheck.calculators.runout import run as runout_of_texts
from vibecheck.casebook.case import Entry
from vibecheck.casebook.journal import active_entries, readings_together, retracted_ids
from vibecheck.errors import InputError
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Spot
from vibecheck.knowledge.words import CheckKind, Danger, FindingKind, Level, Place, Scope, Worse
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.vectors import Vector
from vibecheck.session.advice import ConclusionKind, GoOn
from vibecheck.session.answers import UNSURE
from vibecheck.session.cautions import step_cautions
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.session.driving import DriveWord
from vibecheck.session.intake import take_in
from vibecheck.session.open_case import OpenCase
from vibecheck.session.repair import as_found
from vibecheck.virtual.dial import Dent, DrawnSurface

RULES = Path(__file__).parents[2] / "rules"
CORNERS = ("LF", "RF", "LR", "RR")
BEADS = ("bead_radial_inboard", "bead_radial_outboard", "bead_lateral_inboard",
         "bead_lateral_outboard")  # fmt: skip
COUNTS = (8, 12, 18, 24)  # readings of one turn
MOVES = (2, 8)  # of a visit, besides danger questions
FACT_SETS = 12  # the rules are built once for each
DANGEROUS_SHARE = 0.15  # of the answers that are drawn among those that stop the car
KEPT = ""
Law = Callable[["Step"], Iterator[str]]


@dataclass(frozen=True)
class Move:
    """One thing that happened: its kind, and what it was."""

    kind: str
    text: str


@dataclass(frozen=True)
class Step:
    """The diagnosis before and after one move, and all moves so far."""

    before: Diagnosis
    after: Diagnosis
    moves: tuple[Move, ...]

    @property
    def move(self) -> Move:
        """The move that led here."""
        return self.moves[-1]


@dataclass
class Counts:
    """What a sweep met: visits, moves, words on driving; how often each law applied, and its
    breaches with an example of each."""

    visits: int = 0
    moves: int = 0
    words: Counter[str] = field(default_factory=Counter)
    applied: Counter[str] = field(default_factory=Counter)
    breaches: Counter[str] = field(default_factory=Counter)
    examples: dict[str, str] = field(default_factory=dict)

    def add(self, law: str, step: Step, sentence: str) -> None:
        """Count a breach."""
        self.breaches[law] += 1
        told = "; ".join(f"{move.kind} {move.text}" for move in step.moves)
        self.examples.setdefault(law, f"{sentence} [{step.after.place.value}: {told}]")


@cache
def library() -> Library:
    """The project's own rules."""
    return OpenCase.new(None, place="bay", rules=RULES).library


def sweep(place: str, visits: int, seed: int, laws: dict[str, Law]) -> Counts:
    """`visits` random visits at a place against the laws."""
    rng = random.Random(f"{place} {seed}")
    counts = Counts()
    for _ in range(visits):
        step = last_step(place, rng)
        if step is None:
            continue
        counts.visits += 1
        counts.moves += len(step.moves)
        counts.words[step.after.driving.word.value] += 1
        for name, law in laws.items():
            for sentence in law(step):
                counts.applied[name] += 1
                if sentence != KEPT:
                    counts.add(name, step, sentence)
    return counts


def last_step(place: str, rng: random.Random) -> Step | None:
    """The last move of one visit; moves that the program refuses are no moves."""
    opened = OpenCase.new(None, place=place, rules=RULES, facts=_facts(rng))  # type: ignore[arg-type]
    moves: list[Move] = []
    if rng.random() < 0.5:
        moves += _nothing_dangerous(opened)
    step = None
    for _ in range(rng.randint(*MOVES)):
        before = opened.diagnosis
        move = rng.choices(
            (_answer, _turn, _again, _unsure, _retract, _pass_over, _fact),
            (60, 8, 8, 10, 8, 8, 6),
        )[0](opened, rng)
        if move is not None:
            moves.append(move)
            step = Step(before, opened.diagnosis, tuple(moves))
    return step


def _nothing_dangerous(opened: OpenCase) -> list[Move]:
    """Every danger question of a visit, answered by its good state."""
    answers = [
        f"{name}={next(iter(library().findings[name].states))}"
        for rule in library().checks.values()
        if rule.safety and rule.scope is Scope.VEHICLE and set(rule.places) == set(Place)
        for name in rule.yields if library().findings[name].scope is Scope.VEHICLE
    ]
    opened.answer(answers)
    return [Move("answer", each) for each in answers]


def _facts(rng: random.Random) -> dict[str, str]:
    """One of a few sets of facts."""
    own = random.Random(rng.randrange(FACT_SETS))
    chosen = own.sample(list(library().facts.values()), own.randint(0, 4))
    return {fact.id: own.choice(list(fact.values)) for fact in chosen if fact.values}


@cache
def stopping_answers() -> tuple[tuple[str, str], ...]:
    """Findings and states that raise a stop caution by themselves."""
    return tuple(
        (trigger.finding, state)
        for caution in library().cautions.values() if caution.level is Level.STOP
        for trigger in caution.triggers if trigger.finding and not trigger.all_of
        for state in trigger.states
    )


def _answer(opened: OpenCase, rng: random.Random) -> Move | None:
    if rng.random() < DANGEROUS_SHARE:
        name, state = rng.choice(stopping_answers())
        return _typed(opened, _at(library().findings[name], rng), state)
    finding = rng.choice(list(library().findings.values()))
    return _typed(opened, _at(finding, rng), _value(finding, rng))


def _turn(opened: OpenCase, rng: random.Random) -> Move | None:
    """A bead seat with an offset and perhaps a dent, read round the turn; some with a slow turn.

    Now and then the tip does not touch, and often it is a surface that was read before.
    """
    known = [(each.finding, each.corner) for each in active_entries(opened.case)
             if each.finding in BEADS and each.corner]  # fmt: skip
    surface, corner = rng.choice(known) if known and rng.random() < 0.4 else (
        rng.choice(BEADS), rng.choice(CORNERS))
    wheel = DrawnSurface(
        Vector(rng.uniform(0.0, 0.3), rng.uniform(0.0, 360.0)),
        dents=(Dent(rng.uniform(0.0, 360.0), rng.uniform(12.0, 60.0), rng.uniform(0.0, 1.2)),),
    )
    count = rng.choice(COUNTS)
    heights = wheel.at(np.arange(count) * 360.0 / count)
    if rng.random() < 0.2:
        heights = np.zeros(count)
    texts = {"readings": " ".join(f"{each:.2f}" for each in heights) + " mm"}
    if rng.random() < 0.4:
        whole = wheel.at(np.arange(720) / 2.0)
        texts |= {"high": f"{whole.max():.2f} mm", "low": f"{whole.min():.2f} mm"}
    runout = listed("runout")
    assert runout is not None
    try:
        take_in(opened, runout.load(), runout_of_texts(texts), "", str(corner), surface)
    except InputError:
        return None
    return Move("turn", f"{surface}@{corner} {texts}")


def _again(opened: OpenCase, rng: random.Random) -> Move | None:
    """Another value for something answered before."""
    entry = _some_entry(opened, rng)
    if entry is None:
        return None
    finding = library().findings[entry.finding]
    at = f"{entry.finding}@{entry.corner}" if entry.corner else entry.finding
    return _typed(opened, at, _value(finding, rng))


def _unsure(opened: OpenCase, rng: random.Random) -> Move | None:
    entry = _some_entry(opened, rng) if rng.random() < 0.7 else None
    if entry is not None:
        at = f"{entry.finding}@{entry.corner}" if entry.corner else entry.finding
    else:
        at = _at(rng.choice(list(library().findings.values())), rng)
    return _typed(opened, at, UNSURE, "unsure")


def _retract(opened: OpenCase, rng: random.Random) -> Move | None:
    entry = _some_entry(opened, rng)
    if entry is None:
        return None
    opened.retract(entry.id)
    return Move("retract", f"{entry.finding}={entry.value}")


def _pass_over(opened: OpenCase, rng: random.Random) -> Move | None:
    checks = opened.diagnosis.next_checks
    if not checks:
        return None
    check = rng.choice(checks)
    corner = check.corner.value if check.corner else None
    how = rng.choice(("skipped", "cannot"))
    opened.step(check.check, corner, how)
    return Move(how, check.check)


def _fact(opened: OpenCase, rng: random.Random) -> Move | None:
    facts = {name: "" for name in opened.case.facts} | _facts(rng)
    try:
        opened.set_facts(facts)
    except InputError:
        return None
    return Move("fact", str(facts))


def _some_entry(opened: OpenCase, rng: random.Random) -> Entry | None:
    gone = retracted_ids(opened.case)
    kept = [each for each in opened.case.entries
            if each.kind in ("answer", "reading") and each.id not in gone]  # fmt: skip
    return rng.choice(kept) if kept else None


def _at(finding: Finding, rng: random.Random) -> str:
    return f"{finding.id}@{rng.choice(CORNERS)}" if finding.scope is Scope.CORNER else finding.id


def _value(finding: Finding, rng: random.Random) -> str:
    """A state, or a reading from far within to far beyond the limit."""
    measure = finding.measure
    if measure is None or rng.random() < 0.3:
        return rng.choice(list(finding.states))
    tolerance = library().tolerances.get(measure.tolerance or "")
    limit = float(tolerance.value.split()[0]) if tolerance else 50.0
    return f"{limit * rng.choice((0.1, 0.5, 0.95, 1.05, 2.0, 4.0)):.4g} {measure.unit}".strip()


def _typed(opened: OpenCase, at: str, value: str, kind: str = "answer") -> Move | None:
    try:
        opened.answer([f"{at}={value}"])
    except InputError:
        return None
    return Move(kind, f"{at}={value}")


# The laws


def stops_are_lifted_by_a_look_alone(step: Step) -> Iterator[str]:
    """No stop lifted by "not sure", a passed check, a fact, or an answer to something else."""
    was, now = step.before.driving, step.after.driving
    if was.word is not DriveWord.STOP:
        return
    yield KEPT
    if now.word is DriveWord.STOP:
        return
    if step.move.kind in ("unsure", "skipped", "cannot", "fact"):
        yield f"lifted by {step.move.kind}"
    if step.move.kind == "answer" and not _looks_at(step):
        yield "lifted by an unrelated answer"


def _looks_at(step: Step) -> bool:
    """Whether the answer is about something that stopped the car."""
    name = step.move.text.partition("=")[0].partition("@")[0]
    was = step.before.driving
    seen = {raised.spot.id for each in was.seen for raised in each.raised}
    causes = {each.spot.id for each in was.likely if each.danger is Danger.STOP}
    causes |= {each.spot.id for each in was.held}
    looked = {
        finding for cause in causes for check in library().causes[cause].confirm_by
        for finding in library().checks[check].yields
    }
    return name in seen or name in looked


def what_was_ruled_out_stays_so(step: Step) -> Iterator[str]:
    """A danger that a look has ruled out stops the car again only by a look at that part."""
    if step.move.kind not in ("answer", "turn"):
        return
    gone = {each.cause for each in step.before.ruled_out}
    if gone:
        yield KEPT
    name = step.move.text.partition("=")[0].partition("@")[0]
    for each in step.after.driving.likely:
        rule = library().causes[each.spot.id]
        looks = {one for check in rule.confirm_by for one in library().checks[check].yields}
        if each.danger is Danger.STOP and each.spot in gone and name not in looks:
            yield f"{each.spot} is back by {name}"


def nothing_found_is_earned(step: Step) -> Iterator[str]:
    """"Nothing found" with every danger question of this place really answered."""
    found = step.after
    if found.driving.word is not DriveWord.NOTHING_FOUND:
        return
    yield KEPT
    for rule in library().checks.values():
        quick = rule.safety and rule.scope is Scope.VEHICLE and set(rule.places) == set(Place)
        if not quick:
            continue
        for name in rule.yields:
            if not any(spot.id == name for spot in found.case_evidence.standing) and any(
                spot.id == name for spot in found.network.findings
            ):
                yield f"{name} has no real answer"
    settings = library().settings
    chances = dict(zip(found.network.index, found.belief.chances, strict=True))
    for spot, chance in chances.items():
        if library().causes[spot.id].danger is Danger.STOP and (
            chance >= settings.stop_driving_above
        ):
            yield f"{spot} at {chance:.2f}"


def nothing_drives_under_a_stop(step: Step) -> Iterator[str]:
    """Under a stop no check and no remedy that drives, spins or loads the car, at any place."""
    for found in (step.after, step.after.in_the_bay):
        if found.driving.word is not DriveWord.STOP:
            continue
        yield KEPT
        for check in found.next_checks:
            if check.rule.access == "rolling" or (
                check.rule.kind is CheckKind.TRIAL and check.rule.drives is not False
            ):
                yield f"check {check.check}"
        for remedy in found.remedies:
            if library().remedies[remedy.spot.id].moves_car:
                yield f"remedy {remedy.spot.id}"
        said = found.conclusion.remedy
        if said is not None and library().remedies[said.id].moves_car:
            yield f"conclusion {said.id}"


def ruled_out_by_a_look(step: Step) -> Iterator[str]:
    """Ruled out by a look at, or a measurement of, that very part at that very place."""
    found = step.after
    for each in found.ruled_out:
        yield KEPT
        kind = library().findings[each.finding.id].kind
        if kind in (FindingKind.COMPLAINT, FindingKind.HISTORY):
            yield f"{each.cause} by what was said: {each.finding}"
        if each.finding.corner is not each.cause.corner:
            yield f"{each.cause} by {each.finding} at another place"
        yields = {
            one for check in library().causes[each.cause.id].confirm_by
            for one in library().checks[check].yields
        }
        if each.finding.id not in yields:
            yield f"{each.cause} by {each.finding}, which does not look at it"
        if found.belief.chances[found.network.index[each.cause]] >= (
            library().settings.prune_below
        ):
            yield f"{each.cause} is still likely"


def enough_to_act_is_confirmed(step: Step) -> Iterator[str]:
    """"Fix it" only once the leading fault's own check was done; else it is called a trial.

    Its own check is the first that it names; a later one only where those before were passed over.
    """
    found = step.after
    said = found.conclusion
    if said.kind is not ConclusionKind.FIX or said.remedy is None:
        return
    yield KEPT
    cured = next(each.cures for each in found.tries if each.spot == said.remedy)
    chances = found.belief.chances
    cause = max(cured, key=lambda spot: float(chances[found.network.index[spot]]))
    for name in library().causes[cause.id].confirm_by:
        rule = library().checks[name]
        corner = cause.corner if rule.scope is Scope.CORNER else None
        if rule.kind is CheckKind.QUESTION or (rule.scope is Scope.CORNER and corner is None):
            continue
        looked = {
            (one, cause.corner if library().findings[one].scope is Scope.CORNER else None)
            for one in rule.yields
        }
        if any((spot.id, spot.corner) in looked for spot in found.case_evidence.evidence):
            return
        askable = {(spot.id, spot.corner) for spot in found.network.findings} & looked
        closed = {(spot.id, spot.corner) for spot in found.case_evidence.closed}
        if Spot(name, corner) not in found.case_evidence.done and askable - closed:
            break
    yield f"{said.remedy} for {cause}, whose own check was not done"


def open_ends_have_a_way_on(step: Step) -> Iterator[str]:
    """Where it is not decided what to do, a next check is offered, or it is said why none is."""
    found = step.after
    said = found.conclusion
    if not said.decided:
        yield KEPT
    if said.decided or found.next_checks:
        return
    reasons = (GoOn.NOT_ENOUGH, GoOn.NOTHING_FITS, GoOn.NOTHING_LEFT)
    if said.go_on not in reasons:
        yield f"{said.kind}: no check, and no reason"
    if said.go_on is GoOn.NOT_ENOUGH and found.weighed_checks:
        yield "checks are left that would tell more"


def within_is_proven(step: Step) -> Iterator[str]:
    """"Within, proven" has room for its uncertainty, repeats that agree, a tip that touched, and
    a slow turn where a dent of 12 degrees fits between the readings.

    Dents of 15 to 25 deg passed 24 readings round the turn in half of the draws of a simulation.
    """
    found = step.after
    real = [entry for entry in found.case.entries if entry.value != UNSURE]  # it replaces nothing
    groups = readings_together(as_found(structs.replace(found.case, entries=real)))
    for spot, judged in found.case_evidence.judged.items():
        if judged.limit is None or judged.zone is not Zone.WITHIN:
            continue
        yield KEPT
        measure = library().findings[spot.id].measure
        sign = -1.0 if measure and measure.worse is Worse.LOWER else 1.0
        room = sign * (judged.limit.value - judged.measured.value)
        if not 0.0 < judged.expanded <= room * (1.0 + 1e-9):
            yield f"{spot}: {room:.3g} of room for {judged.expanded:.3g}"
        if judged.disagree:
            yield f"{spot}: its readings do not repeat"
        entries = groups.get((spot.id, spot.corner.value if spot.corner else None), ())
        if judged.repeats is not None:  # the others stand out, and are not what it rests on
            entries = [entries[place] for place in judged.repeats.used]
        if any(len(each.readings) > 1 and len(set(each.readings)) == 1 for each in entries):
            yield f"{spot}: the pointer never moved"
        if entries and spot.id in BEADS and all(_round_only(each) for each in entries):
            yield f"{spot}: no slow turn"


def _round_only(entry: Entry) -> bool:
    """Whether an entry holds readings at a few places of a turn and nothing else."""
    return bool(entry.readings) and HIGH not in entry.angles


def every_step_has_its_cautions(step: Step) -> Iterator[str]:
    """No check or remedy with a raised car or a wheel off without the cautions of that access."""
    found = step.after
    rules = [each.rule for each in found.next_checks]
    rules += [library().remedies[each.spot.id] for each in found.remedies]  # type: ignore[misc]
    for rule in rules:
        said = {caution.id for caution in step_cautions(library(), found.place, rule)}
        if rule.access in ("raised", "wheel_off", "tire_off", "rotor_off"):
            yield KEPT
        raised = rule.access in ("raised", "wheel_off", "tire_off", "rotor_off")
        if raised and found.place is Place.DRIVEWAY and "work_stands" not in said:
            yield f"{rule.id} raised without stands"
        if rule.access in ("wheel_off", "tire_off", "rotor_off") and "work_torque" not in said:
            yield f"{rule.id} with a wheel off and no word on torque"


LAWS: dict[str, Law] = {
    "an undecided visit has a next check or a reason why none is left": open_ends_have_a_way_on,
    "enough to act only when the fault's own check was done": enough_to_act_is_confirmed,
    "within only where it is proven": within_is_proven,
    "no raised or wheel-off step without its cautions": every_step_has_its_cautions,
    "a stop is lifted by a look at that danger alone": stops_are_lifted_by_a_look_alone,
    "a danger that was ruled out is back by a look alone": what_was_ruled_out_stays_so,
    "nothing found only after every danger question": nothing_found_is_earned,
    "nothing drives, spins or loads the car under a stop": nothing_drives_under_a_stop,
    "ruled out by a look or a measurement of that part": ruled_out_by_a_look,
}
