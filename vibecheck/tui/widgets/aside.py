"""On a very wide screen: evidence for the leading causes, and what would tell most."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from vibecheck.report.blocks import Block, Item, Paragraph, Tone, section
from vibecheck.report.lines import minutes
from vibecheck.report.names import cause_name, check_name
from vibecheck.report.parts import cause_line, evidence_texts, less_likely_reason
from vibecheck.report.sentences import check_value
from vibecheck.report.wording import Wording
from vibecheck.session.diagnosis import Diagnosis
from vibecheck.tui.block_text import block_text

_CAUSES, _REASONS, _CHECKS, _OUT = 3, 4, 6, 8


class Aside(VerticalScroll):
    """Shown only where there is room."""

    def __init__(self) -> None:
        super().__init__(id="aside", can_focus=False)

    def compose(self) -> ComposeResult:
        """One text."""
        yield Static(id="aside-text")

    def show(self, found: Diagnosis, wording: Wording) -> None:
        """Show the state of a visit."""
        page = (*_evidence(found, wording), *_checks(found), *_less_likely(found, wording))
        self.query_one("#aside-text", Static).update(block_text(page))


def _evidence(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    return section("Evidence for the leading causes", (
        Item(cause_line(found.library, cause), "", Tone.STRONG, under=tuple(
            Paragraph(text) for text in evidence_texts(found, cause.spot, wording, 1)[:_REASONS]))
        for cause in found.faults[:_CAUSES]
    ))


def _checks(found: Diagnosis) -> tuple[Block, ...]:
    return section("What would change the answer most", (
        Item(f"{check_name(found.library, each.spot)} - {check_value(each.option)}, takes "
             f"{minutes(each.option.minutes)}{'' if each.option.here else ', not here'}")
        for each in found.next_checks[:_CHECKS]
    ))


def _less_likely(found: Diagnosis, wording: Wording) -> tuple[Block, ...]:
    return section("Less likely now", (
        Item(f"{cause_name(found.library, each.cause.spot)} - "
             f"{less_likely_reason(found, each, wording)}")
        for each in found.less_likely[:_OUT]
    ))
