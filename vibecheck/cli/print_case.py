"""A case and its journal as text."""

from __future__ import annotations

from vibecheck.casebook import journal
from vibecheck.casebook.case import Case, Entry, Outcome
from vibecheck.report.lines import heading, safe, signed, wrapped


def case_lines(case: Case, width: int) -> list[str]:
    """What is known of the visit, and every entry with its id and whether it counts."""
    mark = ", invented" if case.invented else ""
    lines = wrapped(f"{case.title} ({case.place}{mark}, case {case.id})", width)
    if case.story:
        lines += ["", *wrapped(case.story, width, "  ")]
    lines += _pairs("Vehicle", case.facts, width)
    lines += _pairs("The vehicle's own limits", case.limits, width)
    if case.tools:
        lines += [*heading("Tools at hand", width), *wrapped(", ".join(case.tools), width, "  ")]
    lines += heading("Entries", width)
    counting = {entry.id for entry in journal.active_entries(case)}
    counting |= {entry.id for entry in journal.active_steps(case)}
    taken_back = journal.retracted_ids(case)
    for entry in journal.ordered(case.entries):
        lines += entry_lines(entry, _standing(entry, counting, taken_back), width)
    if not case.entries:
        lines += wrapped("nothing has been said or measured yet", width, "  ")
    if case.outcome is not None:
        lines += heading("How it ended", width)
        lines += wrapped(outcome_text(case.outcome), width, "  ")
    return lines


def outcome_text(outcome: Outcome) -> str:
    """What was written down of the end of a visit."""
    parts = [signed(outcome.cause, outcome.corner)] if outcome.cause else []
    parts += [f"remedy {outcome.remedy}"] if outcome.remedy else []
    parts += [f"confirmed: {outcome.confirmed}"] if outcome.confirmed else []
    return "; ".join(parts)


def entry_lines(entry: Entry, standing: str, width: int) -> list[str]:
    """One entry: id, time, who said it, and what."""
    lead = f"  {safe(entry.id):<11} {safe(entry.at)[:16].replace('T', ' ')} "
    return wrapped(f"{entry.by}: {entry_text(entry)}{standing}", width, lead, " " * 14)


def entry_text(entry: Entry) -> str:
    """What an entry says."""
    if entry.kind == "note":
        return f"note: {entry.text}"
    if entry.kind == "retraction":
        return f"takes back {entry.retracts}"
    if entry.kind == "step":
        return f"{signed(entry.check, entry.corner)}: {entry.value}"
    return f"{signed(entry.finding, entry.corner)} = {entry.value}"


def _standing(entry: Entry, counting: set[str], taken_back: frozenset[str]) -> str:
    if entry.id in taken_back:
        return " [taken back]"
    if entry.kind in ("answer", "reading", "step") and entry.id not in counting:
        return " [answered anew since]"
    return ""


def _pairs(title: str, pairs: dict[str, str], width: int) -> list[str]:
    if not pairs:
        return []
    lines = heading(title, width)
    for name, value in pairs.items():
        lines += wrapped(f"{name} = {value}", width, "  ")
    return lines
