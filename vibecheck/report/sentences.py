"""Results of a session in sentences: readings, reasons, cautions, driving, and what to do."""

from __future__ import annotations

from vibecheck.casebook.case import Entry
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Finding, Spot
from vibecheck.knowledge.words import Corner, Danger, Place, Standing
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.judgement import Open
from vibecheck.metrology.runout.repeats import NextReading, Repeat
from vibecheck.metrology.units.values import Quantity, parse, show, unit_named
from vibecheck.reasoning.decide import Stopping, Try
from vibecheck.reasoning.nextcheck import Option
from vibecheck.report.calculators.judgements import NEXT, WHY, decides_text, repeats_text
from vibecheck.report.lines import capital, minutes, percent
from vibecheck.report.names import (
    DRIVE_WORDS,
    PARTS,
    ZONES,
    access_name,
    cause_name,
    chance_word,
    check_name,
    fact_text,
    finding_name,
    ranked_name,
    remedy_name,
    state_name,
    value_word,
)
from vibecheck.report.wording import Wording
from vibecheck.session.advice import (
    Asked,
    CheckReason,
    Conclusion,
    ConclusionKind,
    GoOn,
    NextCheck,
)
from vibecheck.session.answers import UNSURE, measured
from vibecheck.session.diagnosis import Answer, Diagnosis
from vibecheck.session.driving import (
    DriveWord,
    HeldDanger,
    LiftedDanger,
    LikelyDanger,
    Unchecked,
    WhyUnchecked,
)
from vibecheck.session.ending import Ending, EndingKind
from vibecheck.session.interview import Ended
from vibecheck.session.judge import Judged
from vibecheck.session.limits import Limit, LimitOrigin, limit_in_force
from vibecheck.session.raised import ActiveCaution, Raised, RaisedBy
from vibecheck.session.repair import Change, Compared, Repair, as_found

VERDICTS = {
    Stopping.GO_ON: "more has to be found out",
    Stopping.SAME_REMEDY: "the one remedy for nearly all that is left",
    Stopping.ACTING_CHEAPER: "doing it costs less than measuring more",
    Stopping.NOTHING_LEFT: "no check is left that could tell more",
    Stopping.NO_FAULT: "no known fault is likely",
}
ENDED = {
    Ended.STOP: "the car must not be driven",
    Ended.DECIDED: "enough is known to act",
    Ended.MOST: "the interview has had all its questions",
    Ended.ELSEWHERE: "what would tell most cannot be done here",
    Ended.ASKED: "this is how it stands now",
    Ended.NOTHING: "nothing that can be asked or done here would tell more",
}
HEADLINES = {
    EndingKind.STOP: "Do not drive this car",
    EndingKind.FIX: "You can fix this here",
    EndingKind.TRIAL: "Try this first: it is the quickest test",
    EndingKind.WATCH: "Watch it",
    EndingKind.SHOP: "Visit a shop, ask for exactly this",
    EndingKind.BAY: "Send the car to the bay",
    EndingKind.GO_ON: "Not decided yet",
}
OPEN_REQUEST = "Please diagnose the complaint below and measure before replacing parts."
IF_IT_GROWS = (
    "If it comes back or grows, note the speed, what you did just then and where you felt it, and "
    "answer the questions again."
)
NO_INSPECTION = "This is no safety inspection. If it gets worse or the car pulls, stop."
IF_WORSE = "If it gets worse, or the car pulls or grinds: stop and ask."


# Readings


def value_text(judged: Judged, wording: Wording) -> str:
    """A reading with its expanded uncertainty, where one counts."""
    value, spread = judged.measured.value, judged.expanded
    if judged.limit is None and judged.measured.uncertainty is None:
        return wording.size(value, judged.quantity)
    return wording.spread(value, spread, judged.quantity)


def reading_text(judged: Judged, wording: Wording) -> str:
    """A reading, with what was typed where that was in another unit."""
    shown = value_text(judged, wording)
    unit = unit_named(wording.unit(judged.quantity), judged.quantity).name
    return shown if judged.measured.unit == unit else f"{shown} (typed: {judged.measured.typed})"


def verdict_text(judged: Judged, wording: Wording) -> str:
    """A reading, its limit and what that proves."""
    value = reading_text(judged, wording)
    if judged.limit is None or judged.zone is None:
        return value
    limit = wording.size(judged.limit.value, judged.quantity)
    text = f"{value} against {limit}: {ZONES[judged.zone]}"
    why = judged.judgement.open[0] if judged.judgement and judged.judgement.open else None
    if why is not None and why.why is not Open.UNCERTAINTY:
        text += f" ({WHY[why.why]})"
    elif judged.disagree:
        text += f" ({WHY[Open.REPEATS_DISAGREE]})"
    at = bend_place_text(judged, wording)
    return f"{text}; {at}" if at else text


def taken_text(found: Diagnosis, entry: Entry) -> str:
    """How a reading was taken: a bare number as read, a repeat as what it says with the others."""
    rule = found.library.findings.get(entry.finding)
    if entry.kind != "reading" or rule is None or rule.measure is None:
        return ""
    text, quantity = "", Quantity(rule.measure.quantity)
    read = parse(entry.value, quantity, rule.measure.unit or None)
    if read.bare or read.unit not in entry.value:
        text = f" (read as {show(read.value, quantity, read.unit)})"
    if entry not in as_found(found.case).entries:
        return f"{text}; read after the repair, it tells how the car is now"
    judged = found.case_evidence.judged.get(entry_spot(entry))
    if judged and judged.repeats is not None and judged.repeats.repeat is not Repeat.SINGLE:
        several = repeats_text(judged.repeats, quantity, Wording())
        text += f"; a repeat, nothing is replaced: {several}"
    return text


def entry_spot(entry: Entry) -> Spot:
    """Where an answer or a reading belongs."""
    return Spot(entry.finding, Corner(entry.corner) if entry.corner else None)


def bend_place_text(judged: Judged, wording: Wording) -> str:
    """Where the surface is bent, or where it is high and low; "" if no turn was read."""
    found = judged.round_turn
    if found is None:
        return ""
    if found.bend_place is not None:
        return f"bent at {wording.place(found.bend_place)}"
    if found.still or found.high_place is None or found.low_place is None:
        return ""
    return (f"high at {wording.place(found.high_place)}, low at "
            f"{wording.place(found.low_place)}")


def answer_text(found: Diagnosis, spot: Spot, wording: Wording) -> str:
    """An answer in force, in words."""
    evidence = found.case_evidence
    name = finding_name(found.library, spot)
    if spot in evidence.judged:
        return f"{name}: {verdict_text(evidence.judged[spot], wording)}"
    rule = found.network.findings[spot].rule
    return f"{name}: {state_name(rule, evidence.entries[spot].value)}"


def shown_answer(found: Diagnosis, answer: Answer, wording: Wording) -> str:
    """What an answer says, without its name and its limit."""
    if answer.judged is not None:
        return reading_text(answer.judged, wording)
    return state_name(found.library.findings[answer.finding], answer.value)


_STANDINGS = {  # what a reader has to know of how well a figure is known
    Standing.READ: "", Standing.COMMON_PRACTICE: ", no source",
    Standing.MEMORY: " (from memory, not looked up)", Standing.CALCULATED: " (calculated)",
    Standing.REASONED: " (reasoned, not measured)",
}


def limit_origin(library: Library, limit: Limit) -> str:
    """Where a limit comes from."""
    if limit.origin is LimitOrigin.OWN:
        return "the vehicle's own specification, typed into the case"
    kind = "for this kind of vehicle" if limit.origin is LimitOrigin.VARIANT else "general"
    first = library.sources[limit.sources[0]]
    year = f", {first.year}" if first.year else ""
    more = f" and {len(limit.sources) - 1} more" if limit.sources[1:] else ""
    return f"{kind}: {first.title}{year}{_STANDINGS[first.standing]}{more}"


def limit_of(found: Diagnosis, finding: str) -> Limit | None:
    """The limit in force that a measured finding is judged by; None without one."""
    measure = found.library.findings[finding].measure
    if measure is None:
        return None
    return limit_in_force(found.library, found.case.limits, found.facts, measure,
                          Quantity(measure.quantity))


def limit_text(found: Diagnosis, finding: str, wording: Wording) -> str:
    """The limit that a measured finding is judged by, and where it comes from; "" without one."""
    limit, size = limit_of(found, finding), limit_size(found, finding, wording)
    return f"{size} ({limit_origin(found.library, limit)})" if limit is not None else ""


def limit_size(found: Diagnosis, finding: str, wording: Wording) -> str:
    """The limit of a measured finding alone; "" without one."""
    limit, measure = limit_of(found, finding), found.library.findings[finding].measure
    if limit is None or measure is None:
        return ""
    return wording.size(limit.value, Quantity(measure.quantity))


def what_would_decide(judged: Judged, wording: Wording) -> str:
    """What would decide a reading that is too close to call; "" for any other."""
    if judged.decision is None or judged.limit is None:
        return ""
    points = judged.judgement.open if judged.judgement else ()
    if points and points[0].why is not Open.UNCERTAINTY:
        return decides_text(points[0], wording)
    if judged.disagree and judged.repeats is not None:
        return NEXT[judged.repeats.upcoming]
    if judged.zone is not Zone.UNDECIDED and not judged.repeated:
        return f"it rests on one reading: {NEXT[NextReading.REPEAT]}"
    needed = judged.decision.needed_uncertainty
    if needed <= 0.0:
        return "the reading lies on the limit: reseat the gauge and measure again"
    repeats = judged.decision.repeats_needed
    mean = f", or take the mean of {repeats} whole repeats" if repeats else ""
    spread = wording.size(needed, judged.quantity, needed)
    return (
        f"measure again with an uncertainty of {spread} or less "
        f"(a finer indicator, a firmer base){mean}"
    )


def bare_unit(asked: Asked, wording: Wording) -> str:
    """The unit in which a number typed bare counts."""
    if asked.quantity is None:
        return ""
    return wording.units.of(Quantity(asked.quantity), asked.unit or "")


def bare_unit_of(library: Library, finding: str, wording: Wording) -> str:
    """The unit in which a number typed bare for a finding counts; "" of a state."""
    measure = library.findings[finding].measure
    return wording.units.of(Quantity(measure.quantity), measure.unit) if measure else ""


def unit_of(library: Library, finding: str, wording: Wording) -> str:
    """The reader's unit of a measured finding; "" of a state or a plain number."""
    measure = library.findings[finding].measure
    return wording.unit(Quantity(measure.quantity)) if measure else ""


def value_in_words(rule: Finding, value: str, wording: Wording) -> str:
    """The value of an answer: a state in words, or a reading in the reader's units."""
    if rule.measure is None or value == UNSURE or value in rule.states:
        return state_name(rule, value)
    return wording.size(measured(rule.measure, value).value, Quantity(rule.measure.quantity))


# Reasons


def raised_text(found: Diagnosis, raised: Raised, wording: Wording) -> str:
    """What raised a caution."""
    library, spot = found.library, raised.spot
    if raised.by is RaisedBy.ANSWER:
        return answer_text(found, spot, wording)
    if raised.by is RaisedBy.POSSIBLE_CAUSE:
        return f"{cause_name(library, spot)} is possible"
    if raised.by is RaisedBy.LIKELY_CAUSE:
        return f"for: {cause_name(library, spot)}"
    if raised.by is RaisedBy.NEXT_CHECK:
        return f"for the next check: {library.checks[spot.id].name}"
    if raised.by is RaisedBy.REMEDY:
        return f"for the remedy: {library.remedies[spot.id].name}"
    if raised.by is RaisedBy.PLACE:
        return f"at the {spot.id}"
    return fact_text(library, spot.id, found.network.facts[spot.id])


def caution_reason(found: Diagnosis, caution: ActiveCaution, wording: Wording) -> str:
    """All that raised a caution."""
    return "; ".join(raised_text(found, each, wording) for each in caution.raised)


def check_reason(library: Library, check: NextCheck) -> str:
    """Why a check is proposed."""
    if check.reason is CheckReason.SAFETY:
        return "safety comes first"
    if check.reason is CheckReason.SEPARATES:
        return "tells several causes apart"
    return f"confirms or clears: {'; '.join(cause_name(library, spot) for spot in check.causes)}"


def check_decides(library: Library, check: NextCheck, wording: Wording) -> str:
    """What would decide the readings that a check takes again; "" where there are none."""
    return "; ".join(
        f"{finding_name(library, spot)}: {what_would_decide(judged, wording)}"
        for spot, judged in check.undecided
    )


def check_cost(library: Library, check: NextCheck) -> str:
    """What a check takes."""
    setup = f"{minutes(check.option.access_minutes)} setup" if check.option.access_minutes else (
        "no setup")
    access = access_name(library, check.rule.access)
    return f"{minutes(check.option.minutes)}, {setup} ({access})"


def check_value(option: Option) -> str:
    """What a check is worth."""
    if option.urgent:
        return "a safety check"
    worth = f"value: {value_word(option.score)}"
    saves = f"likely to save about {minutes(option.saves)}"
    return f"{worth}; {saves}" if option.saves >= 1.0 else worth


def remedy_cost(library: Library, each: Try) -> str:
    """Chance, labor and parts of a remedy."""
    parts = PARTS[library.remedies[each.spot.id].parts]
    return (
        f"{percent(each.chance).strip()} chance of a fix; labor {minutes(each.effort)}; {parts}"
    )


def expected_total(each: Try) -> str:
    """Time until the complaint is gone, beginning with a remedy."""
    return f"expected total, including retries: {minutes(each.cost_to_resolve)}"


# Driving


def danger_text(found: Diagnosis, likely: LikelyDanger) -> str:
    """What a likely danger asks for, with the chance that the ranking shows; it has a corner only
    where one stands out."""
    fault = next((each for each in found.faults if each.cause == likely.spot.id), None)
    chance = fault.probability if fault is not None else likely.probability
    alike = fault is not None and not fault.told_apart
    name = found.library.causes[likely.spot.id].name if alike else (
        cause_name(found.library, likely.spot))
    share = percent(chance).strip()
    if likely.danger is Danger.STOP:
        return (
            f"{name}: {chance_word(chance)} ({share}), and dangerous. Have it checked "
            "before the car moves again."
        )
    return (
        f"{name}: {chance_word(chance)} ({share}). No fast or long drive until it is "
        "fixed."
    )


def driving_reasons(found: Diagnosis, wording: Wording) -> list[str]:
    """What the word on driving rests on, the gravest first."""
    driving = found.driving
    reasons = [
        f"{each.rule.text} ({caution_reason(found, each, wording)})" for each in driving.seen
    ]
    stopped = driving.word is DriveWord.STOP
    reasons += [held_text(found, each, wording) for each in driving.held]
    reasons += [
        danger_text(found, each) for each in driving.likely
        if not stopped or each.danger is Danger.STOP
    ]
    if stopped:
        reasons.append(UNDER_A_STOP)
    elif driving.unchecked:
        names = dict.fromkeys(unchecked_text(found, each) for each in driving.unchecked)
        reasons.append(f"Safety check still open: {'; '.join(names)}.")
    reasons += [lifted_text(found, each, wording) for each in driving.lifted[-LIFTED_SHOWN:]]
    return reasons if driving.word is not DriveWord.NOTHING_FOUND else [NO_INSPECTION, *reasons]


UNDER_A_STOP = (
    "Until this is repaired the car is not driven, and no wheel is run under power: have it towed, "
    "or repaired where it stands."
)
LIFTED_SHOWN = 2
_WHY_UNCHECKED = {
    WhyUnchecked.NOT_ASKED: "",
    WhyUnchecked.UNSURE: " (answered: not sure)",
    WhyUnchecked.SKIPPED: " (skipped)",
    WhyUnchecked.CANNOT: " (could not be done here)",
}


def unchecked_text(found: Diagnosis, each: Unchecked) -> str:
    """A danger check without a real answer, and why it has none."""
    return f"{check_name(found.library, each.check)}{_WHY_UNCHECKED[each.why]}"


def held_text(found: Diagnosis, held: HeldDanger, wording: Wording) -> str:
    """A danger that was likely enough and that no look has lifted."""
    by = entry_text(found, held.entry, wording)
    return (
        f"{cause_name(found.library, held.spot)} was likely enough to stop the car ({by}), and "
        "nothing that looks at that part has cleared it: have it checked before the car moves "
        "again."
    )


def lifted_text(found: Diagnosis, lifted: LiftedDanger, wording: Wording) -> str:
    """What no longer stops the car, and the answer that lifted it."""
    by = entry_text(found, lifted.lifted_by, wording)
    if lifted.cause is not None:
        return f"{cause_name(found.library, lifted.cause)} no longer stops the car: {by}."
    return f"{entry_text(found, lifted.entry, wording)} no longer stands: {by}."


def entry_text(found: Diagnosis, entry: Entry, wording: Wording) -> str:
    """An entry of the journal as one answer, also one that is no longer in force."""
    spot = entry_spot(entry)
    rule = found.library.findings.get(entry.finding)
    name = finding_name(found.library, spot) if rule is not None else entry.finding
    said = rule.states.get(entry.value, entry.value) if rule is not None else entry.value
    return f"{name}: {said}"


# After a repair

CHANGES = {
    Change.FIXED: "fixed",
    Change.BETTER: "better, not yet right",
    Change.UNCHANGED: "unchanged",
    Change.WORSE: "worse",
}


def change_text(found: Diagnosis, each: Compared, wording: Wording) -> str:
    """One finding before and after a remedy."""
    values = [
        reading_text(judged, wording) if judged else found.library.findings[entry.finding].states[
            entry.value]
        for entry, judged in ((each.before, each.judged_before), (each.after, each.judged_after))
    ]
    name = finding_name(found.library, each.finding)
    return f"{name}: before {values[0]}; after {values[1]} - {CHANGES[each.change]}"


def repair_text(found: Diagnosis, done: Repair) -> str:
    """What the remedies have changed, in one sentence."""
    if done.change is None:
        return "Nothing was measured or driven again yet, so the repair is not verified."
    said = {
        Change.FIXED: "The repair is verified: what was wrong before is right now.",
        Change.BETTER: "It is better, but not all of it is shown to be right yet.",
        Change.UNCHANGED: "Unchanged: this was not the cause, or not the only one.",
        Change.WORSE: "It is worse than before: stop and look at what was done.",
    }[done.change]
    left = found.work_left if done.change in (Change.UNCHANGED, Change.WORSE) else ()
    if not left:
        return said
    return f"{said} Next in line: {cause_name(found.library, left[0].spot)}."


# What to do


def conclusion_text(found: Diagnosis, wording: Wording) -> str:
    """Whether to go on asking, and why, in one sentence."""
    said = found.conclusion
    if said.caution is not None:
        return said.caution.rule.text
    if said.kind is ConclusionKind.NO_FAULT:
        return "None of the known faults is likely on these answers."
    return _decided(found, said) if said.decided else _open(found, said)


def _decided(found: Diagnosis, said: Conclusion) -> str:
    if said.remedy is None or said.verdict is None:
        raise ValueError("a decided conclusion names its remedy")
    name = remedy_name(found.library, said.remedy)
    if said.kind is ConclusionKind.TRIAL:
        verify = found.library.remedies[said.remedy.id].verify
        return (
            f"Try this: {name}. It is about as quick as proving the cause, and it is the test. "
            f"Verify: {verify}"
        )
    text = f"{name}: {VERDICTS[said.verdict]}"
    request = found.library.remedies[said.remedy.id].shop_request
    return f"{text}; ask for: {request}" if request and said.kind is not ConclusionKind.FIX else (
        f"{text}.")


def _open(found: Diagnosis, said: Conclusion) -> str:
    if said.go_on is GoOn.NOTHING_FITS:
        return (
            "The check that should show the likeliest cause speaks against it; go over the "
            "answers again."
        )
    if said.go_on is GoOn.NOTHING_LEFT and said.remedy is not None:
        return (
            "No check is left here that would tell more, and the likeliest cause is not shown: do "
            "what was skipped or could not be done here, before you "
            f"{remedy_name(found.library, said.remedy)}."
        )
    if said.check is None:
        return "Not enough is known yet."
    name = check_name(found.library, said.check.spot)
    if said.go_on is GoOn.ELSEWHERE and found.place is Place.COUNTER:
        return f"Send the car to the bay; first check there: {name}."
    if said.go_on is GoOn.ELSEWHERE:
        return f"Visit a shop and ask for this: {said.check.rule.shop_request or name}"
    if said.go_on is GoOn.CONFIRM_FIRST and said.remedy is not None:
        return f"Confirm it first: {name}; then {remedy_name(found.library, said.remedy)}."
    return f"Next: {name}."


def ending_text(found: Diagnosis, end: Ending, wording: Wording) -> str:
    """What an ending rests on."""
    if end.kind is EndingKind.STOP:
        return driving_reasons(found, wording)[0]
    return capital(conclusion_text(found, wording))


def leading_line(found: Diagnosis) -> str:
    """The word on driving and the leading cause, in one line."""
    lead = "no cause stands out"
    if found.faults:
        first = found.faults[0]
        share = percent(first.probability).strip()
        lead = f"most likely now: {ranked_name(found.library, first)} ({share})"
    return f"{DRIVE_WORDS[found.driving.word]}; {lead}"
