"""The customer's sheet, in plain words: found, proven, ruled out, done or advised, to watch.

Nothing that is the workshop's own stands on it: no note but the customer's own words, no value
as it was typed, no weight of evidence.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from vibecheck.casebook.case import Entry
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner
from vibecheck.metrology.decision import Zone
from vibecheck.reasoning.decide import Try
from vibecheck.report.after_repair import before_and_after
from vibecheck.report.blocks import (
    Block,
    Columns,
    Drawing,
    Item,
    Listing,
    Pair,
    Paragraph,
    Table,
    Tone,
    items,
    section,
)
from vibecheck.report.car_figure import car_drawing, is_wrong
from vibecheck.report.lines import capital, local_date, minutes, percent, time_range
from vibecheck.report.names import (
    PARTS,
    chance_word,
    done_name,
    finding_name,
    ranked_name,
    remedy_name,
    set_name,
)
from vibecheck.report.parts import driving_blocks
from vibecheck.report.sentences import (
    bend_place_text,
    conclusion_text,
    repair_text,
    shown_answer,
    value_text,
)
from vibecheck.report.sheet_parts import (
    Sheet,
    case_lines,
    complaint_blocks,
    former_blocks,
    limit_sources,
    made_good,
    measured,
    outcome_blocks,
    seen,
    sheet_head,
)
from vibecheck.report.turns import FROM_OUTSIDE, entry_figure
from vibecheck.report.wording import Wording
from vibecheck.session.advice import ConclusionKind
from vibecheck.session.diagnosis import Answer, Diagnosis, RankedCause
from vibecheck.session.ending import decided_remedy, remedy_of_the_lead
from vibecheck.session.repair import Change

LEADING = 3
WORTH_NAMING = 0.1
MOST_NAMED = 6
MOST_WAYS = 6
MOST_PROOFS = 6
IN_WORDS = {
    Zone.WITHIN: "in order",
    Zone.BEYOND: "out of order",
    Zone.UNDECIDED: "too close to its limit to say; it has to be measured again",
    None: "noted; there is no limit for it",
}
NOT_THIS = (
    "This sheet is no inspection of the car and no promise that the rest of it is safe. It is no "
    "bill and no quote: times are estimates. A cause counts as proven only where a measurement "
    "proves it; until then it is the likeliest explanation of what is known.",
)
PLUS_MINUS = (
    "The figure behind +/- is how far a reading may be off. In or out of order is said only where "
    "the limit lies outside that range."
)
WATCH_NUTS = (
    "Have the lug nuts or bolts checked for tightness after about 50 km (30 miles): a wheel was "
    "off."
)
NUTS = "work_torque"  # the caution that goes with every remedy for which a wheel comes off
IF_IT_COMES_BACK = (
    "If it comes back or grows: note the speed, what you did just then and where you feel it, and "
    "come back to us with this sheet."
)


def customer_sheet(sheet: Sheet) -> tuple[Block, ...]:
    """The whole sheet."""
    found, wording = sheet.found, sheet.wording
    return (
        *sheet_head(sheet, "What we found on your car"),
        *driving_blocks(found, wording),
        *former_blocks(sheet),
        *complaint_blocks(found, "What you told us", wording, heard_only=True),
        *section("What we found", _found(found, wording)),
        *section("How we know", _proof(found, wording)),
        *section("What we ruled out by looking or measuring", _ruled_out(found, wording)),
        *section("What we did", _did(found)),
        *section("Before and after", before_and_after(found, wording)),
        *outcome_blocks(found),
        *section(_takes_title(found), _takes(found, wording)),
        *section("What to watch, and when to come back", items(_watch(found))),
        *(Paragraph(text, Tone.QUIET) for text in (*NOT_THIS, PLUS_MINUS, *case_lines(found))),
    )


# Found


class _Lead(Struct, frozen=True):
    """What it was, by the outcome that was written down, or by the ranking.

    `repaired` : the remedy that cures it was done, and the same readings are right since.
    """

    spot: Spot
    name: str
    says: str
    chance: float | None
    repaired: bool = False


def _lead(found: Diagnosis) -> _Lead | None:
    ended, library = found.case.outcome, found.library
    if ended is not None and ended.cause in library.causes:
        spot = Spot(ended.cause, Corner(ended.corner) if ended.corner else None)
        rule = library.causes[ended.cause]
        name = f"{rule.name}, {spot.corner.spoken}" if spot.corner else rule.name
        return _Lead(spot, name, rule.says, None)
    worth = _worth_naming(found)
    if not worth:
        return None
    done = [each for each in worth if _put_right(found, each)]
    first = next(iter(done), worth[0])
    return _Lead(first.spot, ranked_name(library, first), first.rule.says, first.probability,
                 repaired=bool(done))


def _put_right(found: Diagnosis, cause: RankedCause) -> bool:
    """Whether a remedy for this cause was done at its place, and the repair is verified."""
    return made_good(found) and found.repair is not None and any(
        entry.remedy in cause.rule.remedies and entry.corner in (None, cause.corner)
        for entry in found.repair.remedies
    )


def _worth_naming(found: Diagnosis) -> list[RankedCause]:
    if not found.answers:
        return []
    return [cause for cause in found.faults[:LEADING] if cause.probability >= WORTH_NAMING]


def _found(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What it is, how sure, what else it may be; beside it the wheel or the car as a picture."""
    lead = _lead(found)
    if lead is None:
        words: tuple[Block, ...] = (
            Paragraph("Nothing stands out yet; more has to be found out."),)
    else:
        words = (
            Paragraph(_lead_text(lead), Tone.STRONG), Paragraph(lead.says),
            *_others(found, lead),
        )
    drawn = _picture(found, lead, wording)
    return (Columns((words, drawn)),) if drawn else words


def _lead_text(lead: _Lead) -> str:
    if lead.chance is None:
        return f"{lead.name}."
    if lead.repaired:
        return f"Most likely it was: {lead.name}. What was done put it right."
    share = f"about {100.0 * min(0.99, lead.chance):.0f} in 100"
    return f"Most likely: {lead.name} ({chance_word(lead.chance)}, {share})."


def _others(found: Diagnosis, lead: _Lead) -> tuple[Block, ...]:
    if lead.repaired:
        return ()
    others = [each for each in _worth_naming(found) if each.spot != lead.spot]
    said: list[Block] = []
    if others and lead.chance is not None:
        names = "; ".join(
            f"{ranked_name(found.library, each)} ({percent(each.probability).strip()})"
            for each in others)
        said.append(Paragraph(f"Also possible: {names}."))
    both = found.sets[0].causes if found.sets else ()
    if lead.chance is not None and len(both) > 1:
        said.append(Paragraph(
            f"Both at once explains it best: {set_name(found.library, both)}."))
    return tuple(said)


def _picture(found: Diagnosis, lead: _Lead | None, wording: Wording) -> tuple[Block, ...]:
    """The worst surface that was read round the turn at the place; else the car from above."""
    turns = [each for each in found.readings if each.judged and each.judged.round_turn]
    corner = lead.spot.corner if lead else None
    turns.sort(key=lambda each: (each.corner is not corner, -_share_of_limit(each)))
    for each in turns[:1]:
        figure = entry_figure(each, wording)
        if figure is not None:
            name = finding_name(found.library, each.spot)
            return (Drawing(figure, f"{name}, {FROM_OUTSIDE}. {_dashed(each, wording)}"),)
    return car_drawing(found, wording)


def _share_of_limit(answer: Answer) -> float:
    judged = answer.judged
    if judged is None or judged.limit is None:
        return 0.0
    return judged.measured.value / judged.limit.value


def _dashed(answer: Answer, wording: Wording) -> str:
    judged = answer.judged
    if judged is None or judged.limit is None:
        return ""
    return (f"The dashed circles are {wording.length(judged.limit.value)} apart: the line may lie "
            "between them.")


# Proof


def _proof(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """The readings that prove it, against their limits; then whatever else was looked at."""
    lead = _lead(found)
    speaks = {each.finding for each in found.weights(lead.spot) if each.bits > 0} if (
        lead is not None and lead.spot in found.network.index) else set()
    readings = [each for each in measured(found) if each.judged is not None]
    proofs = [each for each in readings
              if each.judged and each.judged.limit
              and (each.spot in speaks or each.zone is not Zone.WITHIN)]
    proofs.sort(key=lambda each: (each.spot not in speaks, -_share_of_limit(each)))
    proofs = proofs[:MOST_PROOFS]
    rest = [each for each in (*readings, *seen(found)) if each not in proofs]
    looked = [each for each in rest if each.judged is None and is_wrong(found, each)]
    others = [each for each in rest if each not in looked]
    made: list[Block] = []
    if proofs:
        made += [_proof_table(found, proofs, wording), *limit_sources(found, proofs)]
        made += [Paragraph(text) for text in _places(found, proofs, wording)]
    if looked:
        made.append(Paragraph(f"Seen: {'; '.join(_texts(found, looked, wording))}."))
    if others:
        made.append(Paragraph("Also measured or looked at:" if made else "Measured or looked at:"))
        made.append(Listing(tuple(_texts(found, others, wording))))
    return tuple(made) or (Paragraph("Nothing has been measured or looked at yet."),)


def _proof_table(found: Diagnosis, proofs: list[Answer], wording: Wording) -> Table:
    corners = {each.corner for each in proofs}
    corner = corners.pop() if len(corners) == 1 else None
    head = f"Measured, {corner.spoken}" if corner else "Measured"
    known = found.library.findings
    return Table((head, "Read", "Limit", "This is"), tuple(
        (known[each.finding].name if corner else finding_name(found.library, each.spot),
         value_text(each.judged, wording),
         wording.size(each.judged.limit.value, each.judged.quantity), IN_WORDS[each.zone])
        for each in proofs if each.judged and each.judged.limit
    ))


def _places(found: Diagnosis, proofs: Iterable[Answer], wording: Wording) -> list[str]:
    """Where the surfaces are bent, or high and low."""
    return [
        f"{finding_name(found.library, each.spot)}: {at}."
        for each in proofs if each.judged and (at := bend_place_text(each.judged, wording))
    ]


def _texts(found: Diagnosis, answers: Iterable[Answer], wording: Wording) -> list[str]:
    made = []
    for each in answers:
        name = finding_name(found.library, each.spot)
        if each.judged is None:
            made.append(f"{name}: {shown_answer(found, each, wording)}")
        else:
            made.append(f"{name}: {value_text(each.judged, wording)}, {IN_WORDS[each.zone]}")
    return made


def _ruled_out(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """Only what a look or a measurement of that part has ruled out, with its result."""
    rows = []
    for text, names in list(by_answer(found, wording).items())[:MOST_WAYS]:
        left = len(names) - MOST_NAMED
        more = f"; and {left} more" if left > 0 else ""
        rows.append(Item(f"{'; '.join(names[:MOST_NAMED])}{more} - by: {text}"))
    return tuple(rows)


def by_answer(found: Diagnosis, wording: Wording) -> dict[str, list[str]]:
    """Names of causes with their corners, under the result that ruled them out."""
    answers = {each.spot: each for each in found.answers}
    corners: dict[tuple[str, str], list[str]] = {}
    for each in found.ruled_out:
        text = _texts(found, [answers[each.finding]], wording)[0]
        at = corners.setdefault((text, each.cause.id), [])
        if each.cause.corner:
            at.append(each.cause.corner.spoken)
    causes: dict[str, list[str]] = {}
    for (text, cause), at in corners.items():
        where = f" ({', '.join(at)})" if at else ""
        causes.setdefault(text, []).append(found.library.causes[cause].name + where)
    return causes


# Done, advised, to watch


def _did(found: Diagnosis) -> tuple[Block, ...]:
    """The remedies done, with day, time and parts class; what that shows."""
    done = found.repair
    if done is None:
        return ()
    return (*(Item(_done_text(found, entry)) for entry in done.remedies),
            Paragraph(repair_text(found, done), Tone.STRONG))


def _done_text(found: Diagnosis, entry: Entry) -> str:
    known = found.library.remedies
    name = capital(done_name(found.library, entry))
    parts = PARTS[known[entry.remedy].parts] if entry.remedy in known else ""
    spent = minutes(float(entry.minutes)) if entry.minutes else ""
    more = ", ".join(filter(None, (local_date(entry.at), spent, parts)))
    return f"{name} ({more})"


def _takes_title(found: Diagnosis) -> str:
    return "What is left to do" if found.repair is not None else (
        "What it will take, and how to be sure")


def _takes(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    done = found.repair
    if done is not None:
        return _left(found)
    said, made = found.conclusion, list[Block]()
    if not said.decided:
        made.append(Paragraph(f"Not decided yet. {capital(conclusion_text(found, wording))}"))
        expected = time_range(found.in_the_bay.minutes_expected)
        made.append(Paragraph(f"Time to find the cause in the workshop: {expected}."))
    decided = decided_remedy(found)
    remedy = decided or remedy_of_the_lead(found)
    if said.kind is not ConclusionKind.NO_FAULT and found.answers and remedy is not None:
        made += _remedy(found, remedy, decided=decided is not None)
    return tuple(made) or (Paragraph(capital(conclusion_text(found, wording))),)


def _left(found: Diagnosis) -> tuple[Block, ...]:
    """After a remedy: what is still to be verified, or which remedy comes next."""
    done = found.repair
    if done is None or made_good(found):
        return (Paragraph("Nothing: the same was measured and looked at again, and it is right."),)
    made: list[Block] = []
    if done.change in (Change.UNCHANGED, Change.WORSE) and found.work_left:
        nxt = found.work_left[0]
        made.append(Paragraph(f"Next in line: {ranked_name(found.library, nxt)}."))
    if done.wanted:
        names = "; ".join(finding_name(found.library, spot) for spot in done.wanted)
        made.append(Paragraph(f"Still to verify, by reading or driving the same again: {names}."))
    if not made:
        made.append(Paragraph("It is better, but not shown to be right: have it measured again."))
    return tuple(made)


def _remedy(found: Diagnosis, remedy: Try, *, decided: bool) -> tuple[Block, ...]:
    rule = found.library.remedies[remedy.spot.id]
    lead = found.faults[0] if found.faults else None
    alike = not decided and lead is not None and not lead.told_apart
    name = remedy_name(found.library, Spot(remedy.spot.id) if alike else remedy.spot)
    effort = f"({minutes(remedy.effort)}, {PARTS[rule.parts]})"
    return (
        Pair("What to do:" if decided else "If it turns out so:", f"{name} {effort}"),
        Pair("Verify the repair:", capital(rule.verify)),
        Pair("If it comes back:", capital(rule.comeback)),
    )


def _watch(found: Diagnosis) -> tuple[str, ...]:
    """What a customer can do: the nuts after a wheel was off, and what to note if it comes back."""
    done = found.repair.remedies if found.repair else ()
    known = found.library.remedies
    rules = [known[entry.remedy] for entry in done if entry.remedy in known]
    nuts = any(NUTS in rule.cautions for rule in rules)
    back = [f"If it comes back, this is where we go on: {rule.comeback}" for rule in rules[-1:]]
    return (*((WATCH_NUTS,) if nuts else ()), IF_IT_COMES_BACK, *back)
