"""The ranking: the word on driving first, then causes, checks, remedies and cautions.

Its parts are pages of their own where a front end shows them one by one.
"""

from __future__ import annotations

from vibecheck.report.blocks import (
    Block,
    Drawing,
    Heading,
    Item,
    Pair,
    Paragraph,
    Share,
    Tone,
    section,
)
from vibecheck.report.figures import Figure, FigureKind
from vibecheck.report.lines import capital, percent
from vibecheck.report.names import DANGERS, cause_name, chance_word, set_name
from vibecheck.report.parts import (
    NO_CAUSE,
    REASONS_SHOWN,
    cause_line,
    caution_blocks,
    check_item,
    conclusion_blocks,
    driving_blocks,
    evidence_pairs,
    evidence_texts,
    less_likely_reason,
    less_likely_texts,
    reading_blocks,
    remedy_item,
    repair_blocks,
    ruled_out_texts,
    rules_blocks,
    set_blocks,
    title_text,
)
from vibecheck.report.sentences import conclusion_text, entry_text
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis, RankedCause
from vibecheck.session.moves import Move, moves

ANSWERS_OF_A_STEP = 2
CAUSES_SHOWN = 5
CAUSES_WITH_REASONS = 2
LESS_LIKELY_SHOWN = 6
CHECKS_SHOWN = 3
REMEDIES_SHOWN = 3


def rank_page(found: Diagnosis, wording: Wording, everything: bool = False) -> tuple[Block, ...]:
    """The whole of a diagnosis, as a person reads it from top to bottom."""
    return (
        Paragraph(title_text(found)),
        *driving_blocks(found, wording),
        *repair_blocks(found, wording),
        *_causes(found, wording, everything),
        *set_blocks(found),
        *section("Readings", reading_blocks(found, wording)),
        *section("Ruled out, by a look or a measurement of that part", ruled_out(found, wording)),
        *_less_likely(found, wording, everything),
        *conclusion_blocks(found, wording),
        *_checks(found, wording, everything),
        *_remedies(found, everything),
        *caution_blocks(found, found.cautions, wording),
        *rules_blocks(found),
    )


def next_page(found: Diagnosis, wording: Wording, count: int) -> tuple[Block, ...]:
    """The best check in full and the others in short."""
    head = (Paragraph(title_text(found)), *driving_blocks(found, wording))
    said = capital(conclusion_text(found, wording))
    if not found.next_checks:
        return (*head, Heading("Next checks"),
                Paragraph(f"No check is left that would help. {said}"))
    return (*head, Heading("Next checks"), Paragraph(said), *(
        check_item(found, rank, check, wording, full=rank == 1)
        for rank, check in enumerate(found.next_checks[:count], 1)
    ))


def why_page(
    found: Diagnosis, cause: str, corner: str | None, wording: Wording
) -> tuple[Block, ...]:
    """One cause: what it is, the evidence both ways, and the way to its confirmation.

    Raises
    ------
    InputError : no such cause on this vehicle.
    """
    why = found.why(cause, corner)
    library, rule, spot = found.library, why.cause.rule, why.cause.spot
    name = cause_name(library, spot)
    checks = [library.checks[check].name for check in rule.confirm_by]
    speaks = evidence_texts(found, spot, wording, 1)
    return (
        Paragraph(name, Tone.STRONG),
        Paragraph(rule.says),
        Share(why.cause.probability, f"now, rank {why.rank}"),
        Share(why.prior, "before, with nothing known"),
        *section("Evidence for", _listed(speaks)),
        *section("Evidence against", _listed(evidence_texts(found, spot, wording, -1))),
        *section("From the complaint to the confirmation", (
            Item(f"{text} -> {name} -> {check}") for text in speaks for check in checks[:1])),
        *section("Confirmed by", map(Item, checks)),
        *section("Remedies", (Item(library.remedies[each].name) for each in rule.remedies)),
        *section("Sources", (Item(library.sources[each].title) for each in rule.source)),
        *((Paragraph(rule.note),) if rule.note else ()),
    )


def _listed(texts: list[str]) -> tuple[Item, ...]:
    return tuple(Item(text) for text in texts or ["nothing so far"])


def moves_drawing(
    found: Diagnosis, cause: str, corner: str | None, wording: Wording
) -> tuple[Block, ...]:
    """How each answer moved one cause, as a picture.

    Raises
    ------
    InputError : no such cause on this vehicle.
    """
    spot = found.cause_spot(cause, corner)
    steps = moves(found, spot)
    if not steps:
        return ()
    name = cause_name(found.library, spot)
    return (Drawing(
        Figure(
            FigureKind.STEPS, f"How each answer moved: {name}", y_label=f"chance of: {name}",
            x=tuple(each.before for each in steps), y=tuple(each.after for each in steps),
            labels=tuple(_step_label(found, each, wording) for each in steps),
        ),
        f"How each answer moved it, from top to bottom: {name}. A full bar rose, an empty one "
        "fell.",
    ),)


def _step_label(found: Diagnosis, move: Move, wording: Wording) -> str:
    """The answers of a step in short."""
    texts = [entry_text(found, entry, wording) for entry in move.entries[:ANSWERS_OF_A_STEP]]
    left = len(move.entries) - len(texts)
    return "; ".join(texts) + (f"; and {left} more" if left else "")


def cause_page(found: Diagnosis, cause: RankedCause, wording: Wording) -> tuple[Block, ...]:
    """A cause of the ranking in short, with all of its evidence."""
    danger = DANGERS[cause.rule.danger]
    return (
        Paragraph(cause_name(found.library, cause.spot), Tone.STRONG),
        Share(cause.probability, chance_word(cause.probability)),
        *((Paragraph(danger, Tone.WARN),) if danger else ()),
        Pair("part of the car", cause.rule.family.value),
        *section("Evidence for", _listed(evidence_texts(found, cause.spot, wording, 1)), 3),
        *section("Evidence against", _listed(evidence_texts(found, cause.spot, wording, -1)), 3),
    )


def sets_page(found: Diagnosis) -> tuple[Block, ...]:
    """Combinations of causes, and none at all."""
    together = bool(set_blocks(found))
    word = "Two causes together matter here." if together else (
        "One cause alone explains nearly everything so far.")
    apart = 100.0 * found.belief.sets.apart
    return (
        Paragraph(word, Tone.STRONG),
        *(Share(each.probability, set_name(found.library, each.causes)) for each in found.sets),
        Paragraph(_no_fault(found)),
        Paragraph(f"Looking into still more combinations may move a chance by {apart:.1f} "
                  "percentage points, hardly ever by more.", Tone.QUIET),
    )


def less_likely_page(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """Causes that an answer put under the threshold, and that answer."""
    threshold = f"{found.library.settings.prune_below:.1%}"
    gone = section("Ruled out, by a look or a measurement of that part", ruled_out(found, wording))
    head = Paragraph(
        f"Below {threshold} a cause counts as less likely now. It comes back when the answer is "
        "changed.", Tone.STRONG,
    )
    rows = tuple(
        Item(f"{cause_name(found.library, each.cause.spot)} "
             f"{percent(each.cause.probability).strip()}",
             under=(Paragraph(f"by: {less_likely_reason(found, each, wording)}"),))
        for each in found.less_likely
    )
    return (*gone, head, *(rows or (Paragraph("No cause was made less likely yet."),)))


def remedies_page(found: Diagnosis) -> tuple[Block, ...]:
    """Remedies in the order to try, each with its steps."""
    rows = tuple(
        remedy_item(found, f"{number}.", each, steps=True)
        for number, each in enumerate(found.remedies, 1)
    )
    return rows or (Paragraph("There is nothing to try yet."),)


def _no_fault(found: Diagnosis) -> str:
    return f"None of the known causes: {percent(found.belief.no_fault).strip()}."


def _causes(found: Diagnosis, wording: Wording, everything: bool) -> tuple[Block, ...]:
    shown = found.faults if everything else found.faults[:CAUSES_SHOWN]
    made: list[Block] = [Heading("Possible causes")]
    if not shown:
        made.append(Paragraph(NO_CAUSE))
    for rank, cause in enumerate(shown, 1):
        reasons = everything or rank <= CAUSES_WITH_REASONS
        under = evidence_pairs(found, cause.spot, wording, REASONS_SHOWN) if reasons else ()
        made.append(Share(
            cause.probability, cause_line(found.library, cause), f"{rank:>2}.", under
        ))
    made += _left(len(found.faults) - len(shown), "less likely")
    return (*made, Paragraph(_no_fault(found)))


def ruled_out(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    """What is ruled out, under the result that did it."""
    return tuple(
        Item(f"{text} - rules out: {'; '.join(names)}")
        for text, names in ruled_out_texts(found, found.ruled_out, wording).items()
    )


def _less_likely(found: Diagnosis, wording: Wording, everything: bool) -> tuple[Block, ...]:
    threshold = f"{found.library.settings.prune_below:.1%}"
    shown = found.less_likely if everything else found.less_likely[:LESS_LIKELY_SHOWN]
    rows = [
        Item(f"{text}; speaks against: {'; '.join(names)}")
        for text, names in less_likely_texts(found, shown, wording).items()
    ]
    rest = _left(len(found.less_likely) - len(shown), "more")
    return section(f"Less likely now (under {threshold})", (*rows, *rest))


def _left(count: int, what: str) -> list[Block]:
    return [Paragraph(f"    and {count} {what}; --all shows them", Tone.QUIET)] if count > 0 else []


def _checks(found: Diagnosis, wording: Wording, everything: bool) -> tuple[Block, ...]:
    shown = found.next_checks if everything else found.next_checks[:CHECKS_SHOWN]
    title = "Checks still open" if found.conclusion.decided else "Next checks"
    rows = [check_item(found, rank, check, wording) for rank, check in enumerate(shown, 1)]
    return section(title, (*rows, *_left(len(found.next_checks) - len(shown), "more")))


def _remedies(found: Diagnosis, everything: bool) -> tuple[Block, ...]:
    """Remedies in the order to try; a caution stands by the first remedy that names it."""
    shown = found.remedies if everything else found.remedies[:REMEDIES_SHOWN]
    made: list[Block] = []
    said = {each.rule.id for each in found.cautions}
    for rank, each in enumerate(shown, 1):
        item = remedy_item(found, f"{rank:>2}.", each, cautions=False)
        names = found.library.remedies[each.spot.id].cautions
        fresh = [name for name in names if name not in said]
        said |= set(names)
        more = (Item(found.library.cautions[name].text, "!", Tone.WARN) for name in fresh)
        made.append(Item(item.text, item.mark, under=(*item.under, *more)))
    made += _left(len(found.remedies) - len(shown), "more")
    return section("Remedies, in the order to try", made)
