"""The ranking as a whole: causes, combinations, what is ruled out, remedies, next checks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static, TabbedContent, TabPane
from textual.widgets.option_list import Option

from vibecheck.report import rank_page
from vibecheck.report.lines import minutes
from vibecheck.report.names import check_name
from vibecheck.report.sentences import check_value
from vibecheck.session.diagnosis import Diagnosis, RankedCause
from vibecheck.session.open_case import OpenCase
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.block_text import block_text
from vibecheck.tui.cause import CauseScreen
from vibecheck.tui.phrases import cause_text
from vibecheck.tui.plain import line
from vibecheck.tui.widgets.choices import Choice, ChoiceList
from vibecheck.tui.widgets.keyline import KeyLine

_TABS = ("causes", "sets", "out", "remedies", "next")
_BAR = 12
Chosen = tuple[str, str | None]


class RankingScreen(BaseScreen[Chosen | None]):
    """Gives the check that the person wants to do next, or None."""

    ABOUT_TITLE = "the ranking"
    ABOUT = (
        "All causes that are possible now, with probability as number, bar and word; beside the "
        "list the evidence for and against the one under the cursor, Enter explains it in full. "
        "The other tabs show combinations of causes, what is less likely now and by which answer, "
        "the remedies in the order to try, and the checks that would change the ranking most; "
        "Enter on a check does that one next."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,r", "dismiss", "Back", key_display="Esc"),
        Binding("g", "group", "Group / by chance"),
        *(Binding(str(n), f"tab({n})", "Tab", show=False) for n in range(1, len(_TABS) + 1)),
    ]

    def __init__(self, opened: OpenCase) -> None:
        super().__init__()
        self.opened = opened
        self.grouped = False
        self._rows: list[RankedCause | None] = []

    def compose(self) -> ComposeResult:
        """Five tabs."""
        with TabbedContent(initial="causes"):
            with TabPane("1 Causes", id="causes"), Horizontal():
                yield OptionList(id="cause-list", markup=False, compact=True)
                with VerticalScroll(id="cause-reasons", can_focus=False):
                    yield Static(id="reasons")
            with TabPane("2 Together", id="sets"), VerticalScroll():
                yield Static(id="sets-text")
            with TabPane("3 Less likely", id="out"), VerticalScroll():
                yield Static(id="less-likely")
            with TabPane("4 Remedies", id="remedies"), VerticalScroll():
                yield Static(id="remedies-text")
            with TabPane("5 Next checks", id="next"):
                yield ChoiceList(_check_choices(self.opened.diagnosis), name_id="check-list")
        yield KeyLine()

    def _show_texts(self) -> None:
        found, wording = self.opened.diagnosis, self.vibecheck.wording
        for name, page in (
            ("sets-text", rank_page.sets_page(found)),
            ("less-likely", rank_page.less_likely_page(found, wording)),
            ("remedies-text", rank_page.remedies_page(found)),
        ):
            self.query_one(f"#{name}", Static).update(block_text(page))

    def on_mount(self) -> None:
        """Show the causes."""
        self._show_texts()
        self._show_causes()
        self._focus_tab("causes")

    def _show_causes(self) -> None:
        listed = self.query_one("#cause-list", OptionList)
        listed.clear_options()
        self._rows = []
        for cause, text in _cause_rows(self.opened.diagnosis, self.grouped):
            self._rows.append(cause)
            listed.add_option(Option(text, disabled=cause is None))
        first = next((n for n, cause in enumerate(self._rows) if cause is not None), None)
        listed.highlighted = first
        if first is None:
            self.query_one("#reasons", Static).update("No cause stands out.")

    def units_changed(self) -> None:
        """Tell readings in the other unit."""
        self._show_texts()
        at = self.query_one("#cause-list", OptionList).highlighted
        if at is not None:
            self._show_reasons(at)

    def action_group(self) -> None:
        """By family and corner, or by chance."""
        self.grouped = not self.grouped
        self._show_causes()

    def action_tab(self, number: int) -> None:
        """Another tab."""
        self.query_one(TabbedContent).active = _TABS[number - 1]

    @on(TabbedContent.TabActivated)
    def _tab_shown(self, event: TabbedContent.TabActivated) -> None:
        if event.pane.id:
            self._focus_tab(event.pane.id)

    def _focus_tab(self, name: str) -> None:
        pane = self.query_one(f"#{name}", TabPane)
        targets = [each for each in pane.query("OptionList, VerticalScroll") if each.focusable]
        if targets:
            targets[0].focus(scroll_visible=False)

    @on(OptionList.OptionHighlighted, "#cause-list")
    def _highlighted(self, event: OptionList.OptionHighlighted) -> None:
        self._show_reasons(event.option_index)

    def _show_reasons(self, at: int) -> None:
        cause = self._rows[at] if at < len(self._rows) else None
        if cause is not None:
            page = rank_page.cause_page(self.opened.diagnosis, cause, self.vibecheck.wording)
            self.query_one("#reasons", Static).update(block_text(page))
            self.query_one("#cause-reasons").scroll_home(animate=False)

    @on(OptionList.OptionSelected, "#cause-list")
    def _cause_chosen(self, event: OptionList.OptionSelected) -> None:
        cause = self._rows[event.option_index]
        if cause is not None:
            self.app.push_screen(CauseScreen(self.opened, cause.cause, cause.corner))

    @on(OptionList.OptionSelected, "#check-list")
    def _check_chosen(self, event: OptionList.OptionSelected) -> None:
        check = self.opened.diagnosis.next_checks[event.option_index]
        self.dismiss((check.check, check.corner))


def _cause_rows(
    found: Diagnosis, grouped: bool
) -> Iterator[tuple[RankedCause | None, Content]]:
    """Rows of the list; a heading has no cause."""
    numbered = list(enumerate(found.ranking if grouped else found.faults, start=1))
    if not grouped:
        for number, cause in numbered:
            yield cause, cause_text(found.library, number, cause, _BAR)
        return
    groups: dict[str, list[tuple[int, RankedCause]]] = {}
    for number, cause in numbered:
        where = f" - {cause.corner.spoken}" if cause.corner else ""
        groups.setdefault(f"{cause.rule.family.value}{where}", []).append((number, cause))
    for title, members in groups.items():
        yield None, line(title, "bold underline")
        for number, cause in members:
            yield cause, cause_text(found.library, number, cause, _BAR)


def _check_choices(found: Diagnosis) -> list[Choice]:
    """The checks that would change the answer most."""
    made = []
    for number, check in enumerate(found.next_checks):
        option = check.option
        setup = f" and {minutes(option.access_minutes)} setup" if option.access_minutes else ""
        parts = ["safety first"] if option.urgent else []
        parts += [check_value(option), f"takes {minutes(option.minutes)}{setup}"]
        parts += [] if option.here else ["not here"]
        parts += ["near tie"] if option.near_tie else []
        name = check_name(found.library, check.spot)
        made.append(Choice(str(number), name, remark="- " + ", ".join(parts)))
    return made
