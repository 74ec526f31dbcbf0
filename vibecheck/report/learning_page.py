"""What confirmed visits propose, as a page and as data for programs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.words import Axle, Side
from vibecheck.reasoning.shrinkage import COVERAGE, BetaShare
from vibecheck.report.blocks import Block, Heading, Item, Paragraph, Tone, section
from vibecheck.session.learning import (
    LEAST,
    LEAST_SCORED,
    Held,
    HeldOutWord,
    Learned,
    RateProposal,
    StrengthProposal,
)
from vibecheck.session.outcomes import OutcomeStanding, Visits

MOST_RATES, MOST_STRENGTHS = 30, 15  # on the page; the file holds all of them
_STANDINGS = {
    OutcomeStanding.CONFIRMED: "confirmed, and counted",
    OutcomeStanding.NOT_FINISHED: "not finished: no fault is written down at the end",
    OutcomeStanding.NO_SUCH_FAULT: "a fault that the rules do not know, or that this car cannot "
                                   "have",
    OutcomeStanding.NOT_ITS_REMEDY: "no remedy of that fault was entered with 'repair'",
    OutcomeStanding.NOT_LOOKED_AGAIN: "not verified: nothing was measured or driven again",
    OutcomeStanding.PARTLY_LOOKED_AGAIN: "not verified in full: some of what was wrong was not "
                                         "looked at again",
    OutcomeStanding.NOT_FIXED: "not fixed by what was done",
    OutcomeStanding.CAME_BACK: "came back with a complaint",
    OutcomeStanding.TWICE: "another file of the same visit",
    OutcomeStanding.INVENTED: "marked as invented",
    OutcomeStanding.UNREADABLE: "the file cannot be used with these rules",
}
NOTHING_COUNTED = "Nothing to say: no visit counts yet."
_VERDICTS = {
    HeldOutWord.TOO_FEW: f"Too few to say: a score needs {LEAST_SCORED} confirmed visits.",
    HeldOutWord.BETTER: "The proposals tell the fault of a visit better than what is written.",
    HeldOutWord.NO_DIFFERENCE: "Too few to say, or right as written: no difference that counts can "
                               "be told from chance.",
    HeldOutWord.WORSE: "The proposals tell the fault of a visit worse than what is written: leave "
                   "them.",
}
_NOT_APPLIED = (
    "Nothing is applied, and nothing leaves this machine. With -o FILE the proposals are written "
    "as rules; 'vibecheck rank CASE --rules FILE' tries them on one case, and 'vibecheck rules "
    "check --rules FILE' looks for faults."
)


def learning_page(library: Library, visits: Visits, learned: Learned) -> Iterator[Block]:
    """The proposals, what they rest on, and their held-out score."""
    yield Heading("What the visits teach", 1)
    yield from standing_blocks(visits)
    if learned.visits:
        yield Paragraph(
            f"Each written rate counts as {learned.rate_weight:g} visits with its fault, each "
            f"written row of strengths as {learned.strength_weight:g} answers; the counts "
            "themselves say how much, and while they are few it is the most. Bounds hold "
            f"{100.0 * COVERAGE:.0f} %."
        )
    yield from section("On visits held out", _score(learned))
    yield from section("How often each fault is behind a visit", _rates(library, learned))
    yield from section("What a fault shows", _strengths(library, learned))
    yield Paragraph(_NOT_APPLIED, Tone.QUIET)


def standing_blocks(visits: Visits) -> Iterator[Block]:
    """How many visits count, and why the others do not."""
    yield Paragraph(f"{_number(visits.every, 'visit')} in the folder.")
    for standing, count in visits.standings.items():
        yield Item(f"{count} {_STANDINGS[standing]}")


def _score(learned: Learned) -> Iterator[Block]:
    score = learned.score
    if score.verdict is not HeldOutWord.TOO_FEW:
        yield Paragraph(
            f"The fault that it was gets a chance of {_percent(math.exp(score.before))} as "
            f"written and of {_percent(math.exp(score.after))} as proposed from the other visits "
            f"(geometric mean; log score {score.gain:+.3f} +/- {score.spread:.3f} nat a visit, "
            f"over {score.visits} visits)."
        )
    tones = {HeldOutWord.BETTER: Tone.GOOD, HeldOutWord.WORSE: Tone.WARN}
    yield Paragraph(_VERDICTS[score.verdict], tones.get(score.verdict, Tone.PLAIN))


def _rates(library: Library, learned: Learned) -> Iterator[Block]:
    told = sorted((each for each in learned.rates if each.held is not Held.TOO_FEW),
                  key=lambda each: (-each.seen, -each.expected, each.cause))  # fmt: skip
    few = len(learned.rates) - len(told)
    yield from (Item(_rate_text(library, each)) for each in told[:MOST_RATES])
    if (more := len(told) - MOST_RATES) > 0:
        yield Paragraph(f"{more} more that were met less often are in --json and in the file.")
    if told:
        yield Paragraph(f"So {_percent(learned.moved)} of the visits would get another fault "
                        "before anything else is known.")
    if any(each.held is Held.DANGER for each in told):
        yield Paragraph("A dangerous fault keeps its rate: counts never lower it.")
    if few:
        yield Paragraph(f"Too few to say for {_number(few, 'more fault')}: fewer than {LEAST} "
                        "visits, counted and expected.")
    elif not told:
        yield Paragraph(NOTHING_COUNTED)


def _rate_text(library: Library, each: RateProposal) -> str:
    rate = "kept" if each.held is Held.DANGER else f"times {each.factor:.2f}"
    return (
        f"{library.causes[each.cause].name}: {_number(each.seen, 'visit')}, {each.expected:.1f} "
        f"expected; share {_percent(each.written)} by the rules, "
        f"{_proposed(each.share)}; rate {rate}"
    )


def _strengths(library: Library, learned: Learned) -> Iterator[Block]:
    found = sorted(learned.strengths, key=lambda each: -_weight(each))
    shown = found[:MOST_STRENGTHS]
    yield from (Item(_strength_text(library, each)) for each in shown)
    if shown:
        yield Paragraph(f"{len(found)} in all; the {len(shown)} that move most are shown, each in "
                        "the state that moves most.")
    if learned.few:
        yield Paragraph(f"Too few to say for {_number(learned.few, 'more strength')}: answered "
                        f"in fewer than {LEAST} visits.")
    elif not shown:
        yield Paragraph(NOTHING_COUNTED)


def _weight(each: StrengthProposal) -> float:
    """How far the proposal moves from what is written, per width of its interval."""
    at = _moved_most(each)
    share = each.shares[at]
    return abs(share.value - float(each.written[at])) * math.sqrt(share.own + share.others)


def _moved_most(each: StrengthProposal) -> int:
    moves = [abs(share.value - float(written))
             for share, written in zip(each.shares, each.written, strict=True)]  # fmt: skip
    return moves.index(max(moves))


def _strength_text(library: Library, each: StrengthProposal) -> str:
    at = _moved_most(each)
    finding = library.findings[each.key.finding]
    cause = library.causes[each.key.cause].name
    where = f", {each.key.at.value}" if each.key.at else ""
    return (
        f"{cause}{where} - {finding.name}: {list(finding.states.values())[at]}: "
        f"{float(each.counts[at]):.4g} of {each.cases:.4g}; {_percent(float(each.written[at]))} "
        f"by the rules, {_proposed(each.shares[at])}"
    )


def learning_data(visits: Visits, learned: Learned) -> dict[str, Any]:
    """The same for programs. Shares are unitless, scores in [nat]."""
    score = learned.score
    return {
        "visits": visits.every,
        "standings": {standing.value: count for standing, count in visits.standings.items()},
        "worth": {"rates": learned.rate_weight, "strengths": learned.strength_weight},
        "score": {
            "verdict": score.verdict.value, "visits": score.visits, "before": score.before,
            "after": score.after, "gain": score.gain, "spread": score.spread,
        },
        "moved": learned.moved,
        "rates": [
            {"cause": each.cause, "visits": each.seen, "expected": each.expected,
             "written": each.written, **_share_data(each.share), "factor": each.factor,
             "held": each.held.value if each.held else None}
            for each in learned.rates
        ],
        "strengths": [
            {"cause": each.key.cause, "finding": each.key.finding,
             "axle": each.key.at.value if isinstance(each.key.at, Axle) else None,
             "side": each.key.at.value if isinstance(each.key.at, Side) else None,
             "counts": each.counts.tolist(), "written": each.written.tolist(),
             "proposed": [_share_data(share) for share in each.shares]}
            for each in learned.strengths
        ],
        "too_few": learned.few,
    }  # fmt: skip


def _share_data(share: BetaShare) -> dict[str, float]:
    return {"share": share.value, "low": share.low, "high": share.high}


def _proposed(share: BetaShare) -> str:
    return f"{_percent(share.value)} proposed ({_percent(share.low)} to {_percent(share.high)})"


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f}%"


def _number(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
