"""What confirmed visits propose, as a page and as data for programs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from vibecheck.knowledge.library import Library
from vibecheck.reasoning.shrinkage import COVERAGE, Share
from vibecheck.report.blocks import Block, Heading, Item, Pair, Paragraph, Table, Tone, section
from vibecheck.session.learning import (
    LEAST,
    LEAST_SCORED,
    Held,
    Learned,
    RateProposal,
    StrengthProposal,
    Verdict,
)
from vibecheck.session.outcomes import Standing, Visits

MOST_SHOWN = 15  # strengths on the page; the file holds all of them
_STANDINGS = {
    Standing.CONFIRMED: "confirmed, and counted",
    Standing.NOT_FINISHED: "not finished: no fault is written down at the end",
    Standing.NO_SUCH_FAULT: "a fault that the rules do not know, or that this car cannot have",
    Standing.NOT_ITS_REMEDY: "no remedy of that fault was entered with 'repair'",
    Standing.NOT_LOOKED_AGAIN: "not verified: nothing was measured or driven again",
    Standing.PARTLY_LOOKED_AGAIN: "not verified in full: some of what was wrong was not looked "
                                  "at again",
    Standing.NOT_FIXED: "not fixed by what was done",
    Standing.CAME_BACK: "came back with a complaint",
    Standing.TWICE: "another file of the same visit",
    Standing.INVENTED: "marked as invented",
    Standing.UNREADABLE: "the file cannot be used with these rules",
}
_VERDICTS = {
    Verdict.TOO_FEW: f"Too few to say: a score needs {LEAST_SCORED} confirmed visits.",
    Verdict.BETTER: "The proposals tell the fault of a visit better than what is written.",
    Verdict.NO_DIFFERENCE: "Too few to say: no difference can be told from chance.",
    Verdict.WORSE: "The proposals tell the fault of a visit worse than what is written: leave "
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
            "themselves say how much, and while they are few it is the most."
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
    if score.verdict is not Verdict.TOO_FEW:
        yield Pair("Chance given to the fault that it was, as written",
                   _percent(math.exp(score.before)))
        yield Pair("The same, as proposed from the other visits", _percent(math.exp(score.after)))
        yield Pair("Log score gained per visit",
                   f"{score.gain:+.3f} +/- {score.spread:.3f} nat over {score.visits} visits")
    tone = {Verdict.BETTER: Tone.GOOD, Verdict.WORSE: Tone.WARN}.get(score.verdict, Tone.PLAIN)
    yield Paragraph(_VERDICTS[score.verdict], tone)


def _rates(library: Library, learned: Learned) -> Iterator[Block]:
    told = [each for each in learned.rates if each.held is not Held.TOO_FEW]
    few = len(learned.rates) - len(told)
    if told:
        yield Table(
            ("Fault", "Visits", "Expected", "By the rules", "Proposed", _interval_head(), "Rate"),
            tuple(_rate_row(library, each)
                  for each in sorted(told, key=lambda each: (-each.seen, each.cause))),
            frozenset({1, 2, 3, 4, 5, 6}),
        )  # fmt: skip
        yield Paragraph(f"So {_percent(learned.moved)} of the visits would get another fault "
                        "before anything else is known.")
    if any(each.held is Held.DANGER for each in told):
        yield Paragraph("'kept' is a dangerous fault: counts never lower its rate.")
    if few or not told:
        yield Paragraph(f"Too few to say for {_number(few, 'more fault')}: fewer than {LEAST} "
                        "visits, counted and expected.")


def _rate_row(library: Library, each: RateProposal) -> tuple[str, ...]:
    return (
        library.causes[each.cause].name, str(each.seen), f"{each.expected:.1f}",
        _percent(each.written), _percent(each.share.value), _interval(each.share),
        "kept" if each.held is Held.DANGER else f"x {each.factor:.2f}",
    )


def _strengths(library: Library, learned: Learned) -> Iterator[Block]:
    found = sorted(learned.strengths, key=lambda each: -_weight(each))
    rows = [_strength_row(library, each) for each in found[:MOST_SHOWN]]
    if rows:
        yield Table(("Fault", "Finding", "Counted", "By the rules", "Proposed", _interval_head()),
                    tuple(rows), frozenset({3, 4, 5}))  # fmt: skip
        yield Paragraph(f"{len(found)} in all; the {len(rows)} that move most are shown, each in "
                        "the state that moves most.")
    if learned.few or not rows:
        yield Paragraph(f"Too few to say for {_number(learned.few, 'more strength')}: answered "
                        f"in fewer than {LEAST} visits.")


def _weight(each: StrengthProposal) -> float:
    """How far the proposal moves from what is written, per width of its interval."""
    at = _moved_most(each)
    share = each.shares[at]
    return abs(share.value - float(each.written[at])) * math.sqrt(share.own + share.others)


def _moved_most(each: StrengthProposal) -> int:
    moves = [abs(share.value - float(written))
             for share, written in zip(each.shares, each.written, strict=True)]  # fmt: skip
    return moves.index(max(moves))


def _strength_row(library: Library, each: StrengthProposal) -> tuple[str, ...]:
    at = _moved_most(each)
    finding = library.findings[each.key.finding]
    cause = library.causes[each.key.cause].name
    state = list(finding.states.values())[at]
    return (
        f"{cause}, {each.key.axle.value}" if each.key.axle else cause,
        f"{finding.name}: {state}", f"{float(each.counts[at]):.4g} of {each.cases:.4g}",
        _percent(float(each.written[at])), _percent(each.shares[at].value),
        _interval(each.shares[at]),
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
             "axle": each.key.axle.value if each.key.axle else None,
             "counts": each.counts.tolist(), "written": each.written.tolist(),
             "proposed": [_share_data(share) for share in each.shares]}
            for each in learned.strengths
        ],
        "too_few": learned.few,
    }  # fmt: skip


def _share_data(share: Share) -> dict[str, float]:
    return {"share": share.value, "low": share.low, "high": share.high}


def _interval_head() -> str:
    return f"{100.0 * COVERAGE:.0f}% interval"


def _interval(share: Share) -> str:
    return f"{_percent(share.low)} to {_percent(share.high)}"


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f}%"


def _number(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
