"""Parts that several pages share: driving, causes, readings, checks, remedies, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Level
from vibecheck.metrology.decision import Zone
from vibecheck.metrology.runout.repeats import Repeat
from vibecheck.reasoning.decide import Try
from vibecheck.report.blocks import (
    Banner,
    Block,
    Drawing,
    Heading,
    Item,
    Pair,
    Paragraph,
    Share,
    Tone,
    items,
    section,
)
from vibecheck.report.calculators.judgements import repeats_text
from vibecheck.report.lines import capital, minutes, signed, time_range
from vibecheck.report.names import (
    DRIVE_WORDS,
    LEVELS,
    cause_name,
    chance_word,
    check_name,
    done_name,
    fact_text,
    finding_name,
    ranked_name,
    remedy_name,
    set_name,
    weight_word,
)
from vibecheck.report.sentences import (
    IF_WORSE,
    answer_text,
    bare_unit,
    caution_reason,
    change_text,
    check_cost,
    check_decides,
    check_reason,
    check_value,
    conclusion_text,
    driving_reasons,
    expected_total,
    limit_origin,
    remedy_cost,
    repair_text,
    value_in_words,
    what_would_decide,
)
from vibecheck.report.turns import FROM_OUTSIDE, entry_figure
from vibecheck.report.wording import Wording
from vibecheck.session.advice import Asked, NextCheck
from vibecheck.session.cautions import step_cautions
from vibecheck.session.diagnosis import Answer, Diagnosis, LessLikely, RankedCause
from vibecheck.session.driving import DriveWord
from vibecheck.session.raised import ActiveCaution
from vibecheck.session.ruling_out import RuledOut

REASONS_SHOWN = 3
SETS_MATTER_ABOVE = 0.1
DRIVE_TONES = {
    DriveWord.STOP: Tone.STOP, DriveWord.CAUTION: Tone.WARN, DriveWord.NOT_CHECKED: Tone.WARN,
    DriveWord.NOTHING_FOUND: Tone.PLAIN,
}
_LEVEL_TONES = {Level.STOP: Tone.STOP, Level.WORK: Tone.WARN, Level.NOTE: Tone.PLAIN}
NO_CAUSE = "No cause stands out."


def title_text(found: Diagnosis) -> str:
    """The visit, where the person stands, and whether the case is invented."""
    case = found.case
    return f"{case.title} ({case.place}{', invented' if case.invented else ''})"


def driving_blocks(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """May the car be driven, and what that rests on: it stands first on every page."""
    word = found.driving.word
    first, *others = driving_reasons(found, wording)
    tone = DRIVE_TONES[word]
    careful = word in (DriveWord.CAUTION, DriveWord.NOT_CHECKED)
    more = [*others, IF_WORSE] if careful else others
    return (Banner(DRIVE_WORDS[word].upper(), "DRIVING:", tone, first),
            *(Item(text, "  !", tone) for text in more))


def standing_blocks(
    found: Diagnosis, count: int, least: float = 0.0, mark: str = ""
) -> tuple[Block, ...]:
    """The leading causes in one line each."""
    leading = [each for each in found.faults[:count] if each.probability >= least]
    if not leading:
        return (Paragraph(NO_CAUSE),)
    return tuple(
        Share(each.probability, cause_line(found.library, each), mark) for each in leading
    )


def cause_line(library: Library, cause: RankedCause) -> str:
    """A cause with the word for its chance."""
    return f"{ranked_name(library, cause)} - {chance_word(cause.probability)}"


def evidence_pairs(
    found: Diagnosis, cause: Spot, wording: Wording, count: int = REASONS_SHOWN
) -> tuple[Pair, ...]:
    """The heaviest evidence for and against one cause."""
    pairs: list[Pair] = []
    for label, sign in (("for", 1), ("against", -1)):
        texts = evidence_texts(found, cause, wording, sign)[:count]
        pairs += [Pair(label if n == 0 else "", text) for n, text in enumerate(texts)]
    return tuple(pairs)


def evidence_texts(found: Diagnosis, cause: Spot, wording: Wording, sign: int) -> list[str]:
    """The findings that speak for (+1) or against (-1) a cause, with how strongly they do."""
    return [
        f"{answer_text(found, each.finding, wording)} ({weight_word(each.bits)}, "
        f"{each.bits:+.1f} bit)"
        for each in found.weights(cause) if sign * each.bits > 0
    ]


def set_blocks(found: Diagnosis) -> tuple[Block, ...]:
    """Two causes at once, where that is likely enough to matter."""
    together = [
        each for each in found.sets
        if len(each.causes) > 1 and each.probability > SETS_MATTER_ABOVE
    ]
    return section("More than one at once", (
        Share(each.probability, set_name(found.library, each.causes)) for each in together
    ))


def reading_blocks(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What was measured, against the limit in force and its source."""
    made: list[Block] = []
    for each in found.readings:
        judged = each.judged
        limit = judged.limit if judged else None
        under = (Paragraph(f"limit: {limit_origin(found.library, limit)}", Tone.QUIET),) if (
            limit) else ()
        made.append(Item(answer_text(found, each.spot, wording),
                         under=(*_several(each, wording), *under)))
    return tuple(made)


def _several(answer: Answer, wording: Wording) -> tuple[Paragraph, ...]:
    """What repeats of a reading say together, and what decides what is open."""
    judged = answer.judged
    if judged is None:
        return ()
    made = []
    if judged.repeats is not None and judged.repeats.repeat is not Repeat.SINGLE:
        made.append(Paragraph(repeats_text(judged.repeats, judged.quantity, wording)))
    if judged.zone is Zone.UNDECIDED:
        made.append(Paragraph(f"to decide: {what_would_decide(judged, wording)}"))
    return tuple(made)


def turn_drawings(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """A picture of every surface that was read round a turn, with its limit and its places."""
    made: list[Block] = []
    for each in found.readings:
        if each.judged is None or each.judged.round_turn is None:
            continue
        figure = entry_figure(each, wording)
        if figure is not None:
            name = finding_name(found.library, each.spot)
            made.append(Drawing(figure, f"{name}, {FROM_OUTSIDE}"))
    return tuple(made)


def ruled_out_texts(
    found: Diagnosis, gone: Sequence[RuledOut], wording: Wording
) -> dict[str, list[str]]:
    """Names of causes under the look or the measurement that ruled them out."""
    by_answer: dict[str, list[str]] = {}
    for each in gone:
        text = answer_text(found, each.finding, wording)
        by_answer.setdefault(text, []).append(cause_name(found.library, each.cause))
    return by_answer


def less_likely_texts(
    found: Diagnosis, shown: Iterable[LessLikely], wording: Wording
) -> dict[str, list[str]]:
    """Names of causes under the answer that made them less likely."""
    by_answer: dict[str, list[str]] = {}
    for each in shown:
        name = cause_name(found.library, each.cause.spot)
        by_answer.setdefault(less_likely_reason(found, each, wording), []).append(name)
    return by_answer


def less_likely_reason(found: Diagnosis, each: LessLikely, wording: Wording) -> str:
    """The check and its answer that made a cause less likely."""
    check = found.library.checks[each.check].name if each.check else "an answer"
    return f"{check} - {answer_text(found, each.weight.finding, wording)}"


def conclusion_blocks(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """Whether there is more to find out, and the time it took."""
    decided = found.conclusion.decided
    return (
        Heading("Decided" if decided else "Not decided yet"),
        Paragraph(capital(conclusion_text(found, wording))),
        Paragraph(time_text(found)),
    )


def time_text(found: Diagnosis) -> str:
    """Minutes so far and left."""
    so_far = f"{minutes(found.case_evidence.minutes)} so far"
    if found.conclusion.decided:
        return f"{so_far}."
    return f"{so_far}, left: {time_range(found.minutes_expected)}."


def check_item(
    found: Diagnosis, rank: int, check: NextCheck, wording: Wording, *, full: bool = False
) -> Item:
    """One check: what, how long, what it brings; `full` with how it is done and answered."""
    library, option = found.library, check.option
    marks = " [safety first]" if option.urgent else ""
    marks += " [nearly as good as the one above]" if option.near_tie and rank > 1 else ""
    under: list[Block] = [
        Paragraph(capital(f"{check_cost(library, check)}; {check_value(option)}.")),
        Pair("why", check_reason(library, check)),
    ]
    if check.also_at:
        under.append(Pair("also at", f"{corner_list(check)}: worth nearly the same there"))
    if check.undecided:
        under.append(Pair("decides", check_decides(library, check, wording)))
    if not option.here:
        under.append(Pair("shop", check.rule.shop_request or "not possible here"))
    if full:
        under += [*procedure_blocks(found, check), *typed_blocks(check, wording)]
    return Item(check_name(library, check.spot) + marks, f"{rank:>2}.", under=tuple(under))


def corner_list(check: NextCheck) -> str:
    """The other corners at which a check is worth nearly the same."""
    return ", ".join(corner.spoken for corner in check.also_at)


def procedure_blocks(found: Diagnosis, check: NextCheck, box: str = "") -> tuple[Block, ...]:
    """Tools, cautions and steps of a check; `box` leads each step."""
    library, rule = found.library, check.rule
    tools = ", ".join(library.tools[tool].name for tool in rule.tools)
    return (
        *((Pair("tools", tools),) if tools else ()),
        *items((each.text for each in step_cautions(library, found.place, rule)), "!", Tone.WARN),
        *(Item(step, f"{box}{number}.") for number, step in enumerate(rule.steps, 1)),
    )


def typed_blocks(check: NextCheck, wording: Wording) -> tuple[Block, ...]:
    """What a check asks for, and how its answers are typed."""
    return tuple(Item(each.question, "?", under=_typed(each, wording)) for each in check.asked)


def _typed(asked: Asked, wording: Wording) -> tuple[Block, ...]:
    name = signed(asked.finding, asked.corner)
    how = f"{name}=... {bare_unit(asked, wording)}".rstrip() if asked.quantity else (
        f"{name}={'|'.join(asked.rule.states)}")
    made: tuple[Block, ...] = (Paragraph(how),)
    if asked.entry is not None:
        made += (Paragraph(
            f"answered so far: {value_in_words(asked.rule, asked.entry.value, wording)}"),)
    return made


def remedy_item(
    found: Diagnosis, mark: str, each: Try, *, steps: bool = False, cautions: bool = True,
    box: str = "",
) -> Item:
    """One remedy: its chance, its effort, how to do it and verify it, what to ask a shop for."""
    library = found.library
    rule = library.remedies[each.spot.id]
    under: list[Block] = [
        Paragraph(capital(f"{remedy_cost(library, each)}; {expected_total(each)}."))
    ]
    if cautions:
        said = step_cautions(library, found.place, rule)
        under += items((one.text for one in said), "!", Tone.WARN)
    if steps:
        under += [Item(step, f"{box}{number}.") for number, step in enumerate(rule.steps, 1)]
    under.append(Pair("Verify the repair", rule.verify))
    if steps:
        under.append(Pair("If it comes back", rule.comeback))
    if not each.here and rule.shop_request:
        under.append(Pair("Ask a shop for", rule.shop_request))
    return Item(capital(remedy_name(library, each.spot)), mark, under=tuple(under))


def caution_blocks(
    found: Diagnosis, cautions: Sequence[ActiveCaution], wording: Wording, *, why: bool = False
) -> tuple[Block, ...]:
    """Cautions in force, the loudest first; `why` with what raised them."""
    return section("Cautions", (
        Item(f"{LEVELS[each.rule.level]}: {each.rule.text}"
             + (f" ({caution_reason(found, each, wording)})" if why else ""),
             "!", _LEVEL_TONES[each.rule.level])
        for each in cautions
    ))


def repair_blocks(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What was done, the same readings and drives before and after, and what is still to verify."""
    done = found.repair
    if done is None:
        return ()
    rows: list[Block] = []
    for entry in done.remedies:
        spent = f", {entry.minutes} min" if entry.minutes else ""
        rows.append(Item(capital(f"{done_name(found.library, entry)}{spent}")))
    rows += items((change_text(found, each, wording) for each in done.compared), "-")
    rows.append(Paragraph(repair_text(found, done), Tone.STRONG))
    if done.wanted:
        names = "; ".join(finding_name(found.library, spot) for spot in done.wanted)
        rows.append(Paragraph(f"To verify it, answer or measure again: {names}."))
    return section("Done, and what it changed", rows)


def rules_blocks(found: Diagnosis) -> tuple[Block, ...]:
    """Which rules ranked this."""
    settings = found.library.settings
    text = f"Ranked with {settings.name} {settings.version} ({found.library.digest[:12]})."
    if not found.same_rules:
        text += " The case was begun with other rules."
    return (Paragraph(text, Tone.QUIET),)


def fact_blocks(found: Diagnosis) -> tuple[Block, ...]:
    """What is known of the vehicle, in words."""
    facts = [fact_text(found.library, name, value) for name, value in found.facts.items()]
    return section("Vehicle", items(facts) or (Paragraph("nothing is noted"),))
