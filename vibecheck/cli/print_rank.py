"""The ranking as text: the drive word first, then causes, checks, remedies and cautions."""

from __future__ import annotations

from vibecheck.cli.print_next import check_lines
from vibecheck.report.lines import (
    PARTS,
    bar,
    capital,
    heading,
    labelled,
    minutes,
    percent,
    safe,
    time_range,
    wrapped,
)
from vibecheck.session.views import (
    CautionShown,
    JudgedReading,
    RankedCause,
    Reason,
    RemedyChoice,
    SessionView,
)

CAUSES_SHOWN = 5
CAUSES_WITH_REASONS = 2
REASONS_SHOWN = 3
RULED_OUT_SHOWN = 6
CHECKS_SHOWN = 3
REMEDIES_SHOWN = 3
SETS_MATTER_ABOVE = 0.1
_LEVELS = {"stop": "STOP", "work": "before you work", "note": "note"}


def rank_lines(view: SessionView, width: int, everything: bool = False) -> list[str]:
    """The whole of a session, as a person reads it from top to bottom."""
    return [
        *title_lines(view, width),
        *drive_lines(view, width),
        *cause_lines(view, width, everything),
        *set_lines(view, width),
        *reading_lines(view.readings, width),
        *ruled_out_lines(view, width, everything),
        *conclusion_lines(view, width),
        *next_lines(view, width, everything),
        *remedy_lines(view, width, everything),
        *caution_lines(view.cautions, width),
        *rules_lines(view, width),
    ]


def title_lines(view: SessionView, width: int) -> list[str]:
    """The visit, where the person stands, and whether the case is invented."""
    about = f"{view.title} ({view.place}{', invented' if view.invented else ''})"
    return wrapped(about, width)


def drive_lines(view: SessionView, width: int) -> list[str]:
    """May the car be driven, and what stops it: never further down than here."""
    lines = ["", *wrapped(view.drive.word.value.upper(), width, "DRIVING: ")]
    lines += wrapped(view.drive.text, width, "  ")
    for caution in view.cautions:
        if caution.level == "stop":
            lines += wrapped(f"{caution.text} ({caution.why})", width, "  ! ")
    return lines


def cause_lines(view: SessionView, width: int, everything: bool) -> list[str]:
    """The live causes, likeliest first, the first of them with their reasons."""
    lines = heading("What it may be", width)
    if not view.ranking:
        lines += wrapped("No cause stands out.", width)
    shown = view.ranking if everything else view.ranking[:CAUSES_SHOWN]
    for rank, cause in enumerate(shown, start=1):
        lines += cause_head(rank, cause, width)
        if everything or rank <= CAUSES_WITH_REASONS:
            lines += reason_lines(cause, width)
    left = len(view.ranking) - len(shown)
    if left > 0:
        lines += wrapped(f"and {left} less likely; --all shows them", width, "    ")
    lines += wrapped(
        f"Nothing at fault that the rules know: {percent(view.no_fault).strip()}.", width
    )
    return lines


def cause_head(rank: int, cause: RankedCause, width: int) -> list[str]:
    """One cause with its probability as number, bar and word."""
    lead = f"{rank:>2}. {percent(cause.probability)} {bar(cause.probability)} "
    return wrapped(f"{cause.name} - {cause.word}", width, lead)


def reason_lines(cause: RankedCause, width: int) -> list[str]:
    """The heaviest reasons for and against one cause."""
    return [
        *labelled("for", map(reason_text, cause.for_[:REASONS_SHOWN]), width, 4, 9),
        *labelled("against", map(reason_text, cause.against[:REASONS_SHOWN]), width, 4, 9),
    ]


def reason_text(reason: Reason) -> str:
    """A reason with its weight of evidence."""
    return f"{reason.text} ({reason.weight:+.1f} bit)"


def set_lines(view: SessionView, width: int) -> list[str]:
    """Two causes at once, where that is likely enough to matter."""
    together = [
        each for each in view.sets if len(each.causes) > 1 and each.probability > SETS_MATTER_ABOVE
    ]
    if not together:
        return []
    lines = heading("More than one at once", width)
    for each in together:
        lines += wrapped(each.name, width, f"    {percent(each.probability)} ")
    return lines


def reading_lines(readings: tuple[JudgedReading, ...], width: int) -> list[str]:
    """What was measured, against the limit in force."""
    if not readings:
        return []
    lines = heading("Readings", width)
    for reading in readings:
        limit = f" (limit: {reading.limit_from})" if reading.limit_from else ""
        lines += wrapped(f"{reading.text}{limit}", width, "  * ")
    return lines


def ruled_out_lines(view: SessionView, width: int, everything: bool) -> list[str]:
    """What fell under the threshold, and the check that did it."""
    if not view.ruled_out:
        return []
    lines = heading(f"Ruled out for now (under {view.prune_below:.1%})", width)
    shown = view.ruled_out if everything else view.ruled_out[:RULED_OUT_SHOWN]
    by_answer: dict[str, list[str]] = {}
    for each in shown:
        by_answer.setdefault(each.text, []).append(each.name)
    for text, names in by_answer.items():
        lines += wrapped(f"{text}; speaks against: {'; '.join(names)}", width, "  * ")
    left = len(view.ruled_out) - len(shown)
    if left > 0:
        lines += wrapped(f"and {left} more; --all shows them", width, "    ")
    return lines


def conclusion_lines(view: SessionView, width: int) -> list[str]:
    """Whether there is more to find out, and the time it took."""
    word = "Decided" if view.conclusion.decided else "Not decided yet"
    spent = f"Spent {minutes(view.minutes_spent)}"
    if not view.conclusion.decided:
        spent += f", still to expect: {time_range(view.minutes_expected)}"
    return [*heading(word, width), *wrapped(capital(view.conclusion.text), width),
            *wrapped(f"{spent}.", width)]


def next_lines(view: SessionView, width: int, everything: bool) -> list[str]:
    """The checks to do next."""
    if not view.next:
        return []
    lines = heading("Checks still open" if view.conclusion.decided else "Next checks", width)
    shown = view.next if everything else view.next[:CHECKS_SHOWN]
    for rank, check in enumerate(shown, start=1):
        lines += check_lines(rank, check, width)
    return lines


def remedy_lines(view: SessionView, width: int, everything: bool) -> list[str]:
    """The remedies in the order to try."""
    if not view.remedies:
        return []
    lines = heading("Remedies, in the order to try", width)
    shown = view.remedies if everything else view.remedies[:REMEDIES_SHOWN]
    said = {caution.text for caution in view.cautions}
    for rank, remedy in enumerate(shown, start=1):
        lines += one_remedy(rank, remedy, width)
        for caution in remedy.cautions:
            if caution not in said:
                lines += wrapped(caution, width, "    ! ")
        said |= set(remedy.cautions)
    return lines


def one_remedy(rank: int, remedy: RemedyChoice, width: int) -> list[str]:
    """One remedy: its chance, its effort, how to prove it, what to ask a shop for."""
    lines = wrapped(capital(remedy.name), width, f"{rank:>2}. ")
    parts = PARTS.get(remedy.parts, remedy.parts)
    lines += wrapped(
        f"cures it with {percent(remedy.chance).strip()}, {minutes(remedy.minutes)}, {parts}; "
        f"{minutes(remedy.cost_to_resolve)} until it is resolved, on average", width, "    ",
    )
    lines += labelled("prove it", [remedy.verify], width, 4, 10)
    if not remedy.here and remedy.shop_request:
        lines += labelled("ask shop", [remedy.shop_request], width, 4, 10)
    return lines


def caution_lines(cautions: tuple[CautionShown, ...], width: int) -> list[str]:
    """Every caution in force, the loudest first; what a remedy adds stands beside the remedy."""
    if not cautions:
        return []
    lines = heading("Cautions", width)
    for caution in cautions:
        level = _LEVELS.get(caution.level, caution.level)
        lines += wrapped(f"{level}: {caution.text}", width, "  ! ")
    return lines


def rules_lines(view: SessionView, width: int) -> list[str]:
    """Which rules ranked this."""
    stamp = view.rules
    text = f"Ranked with {stamp.name} {stamp.version} ({safe(stamp.hash)[:12]})."
    if not stamp.same_as_case:
        text += " The case was begun with other rules."
    return ["", *wrapped(text, width)]
