"""One cause explained, as text."""

from __future__ import annotations

from vibecheck.cli.print_rank import reason_text
from vibecheck.report.lines import bar, heading, percent, wrapped
from vibecheck.session.views import Reason, WhyView


def why_lines(view: WhyView, width: int) -> list[str]:
    """What the cause is, the reasons both ways, and the path to its proof."""
    lines = wrapped(view.name, width)
    lines += wrapped(view.says, width, "  ")
    place = f"number {view.rank} of the ranking" if view.rank else "not in the ranking"
    lines += ["", f"now    {percent(view.probability)} {bar(view.probability)} {place}"]
    lines += [f"before {percent(view.prior)} {bar(view.prior)} with nothing known"]
    lines += _reasons("What speaks for it", view.for_, width)
    lines += _reasons("What speaks against it", view.against, width)
    lines += _listed("From the complaint to the proof", view.paths, width)
    lines += _listed("Proved by", view.confirm_by, width)
    lines += _listed("Remedies", view.remedies, width)
    lines += _listed("Where this comes from", view.sources, width)
    if view.note:
        lines += ["", *wrapped(view.note, width)]
    return lines


def _reasons(title: str, reasons: tuple[Reason, ...], width: int) -> list[str]:
    return _listed(title, tuple(map(reason_text, reasons)) or ("nothing so far",), width)


def _listed(title: str, texts: tuple[str, ...], width: int) -> list[str]:
    if not texts:
        return []
    lines = heading(title, width)
    for text in texts:
        lines += wrapped(text, width, "  * ")
    return lines
