"""The ranking as a whole: causes, combinations, what is ruled out, remedies, next checks."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import OptionList, Static, TabbedContent, TabPane
from textual.widgets.option_list import Option

from vibecheck.session.desk import Desk
from vibecheck.session.views import RankedCause
from vibecheck.tui import ranking_texts as texts
from vibecheck.tui.base import BaseScreen
from vibecheck.tui.cause import CauseScreen, Tell
from vibecheck.tui.widgets.choices import ChoiceList
from vibecheck.tui.widgets.keyline import KeyLine

_TABS = ("causes", "sets", "out", "remedies", "next")
Chosen = tuple[str, str | None]


class RankingScreen(BaseScreen[Chosen | None]):
    """Gives the check that the person wants to do next, or None."""

    ABOUT_TITLE = "the ranking"
    ABOUT = (
        "All causes that are possible now, with probability as number, bar and word; beside the "
        "list what speaks for and against the one under the cursor, Enter explains it in full. "
        "The other tabs show combinations of causes, what was ruled out and by which answer, the "
        "remedies in the order to try, and the checks that would change the ranking most; Enter "
        "on a check does that one next."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,r", "dismiss", "Back", key_display="Esc"),
        Binding("g", "group", "Group / by chance"),
        *(Binding(str(n), f"tab({n})", "Tab", show=False) for n in range(1, len(_TABS) + 1)),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self.grouped = False
        self._rows: list[RankedCause | None] = []

    def compose(self) -> ComposeResult:
        """Five tabs."""
        view = self.desk.view()
        with TabbedContent(initial="causes"):
            with TabPane("1 Causes", id="causes"), Horizontal():
                yield OptionList(id="cause-list", markup=False, compact=True)
                with VerticalScroll(id="cause-reasons", can_focus=False):
                    yield Static(id="reasons")
            with TabPane("2 Together", id="sets"), VerticalScroll():
                yield Static(texts.sets_text(view))
            with TabPane("3 Ruled out", id="out"), VerticalScroll():
                yield Static(texts.ruled_out_text(view, self._tell()), id="ruled-out")
            with TabPane("4 Remedies", id="remedies"), VerticalScroll():
                yield Static(texts.remedies_text(view))
            with TabPane("5 Next checks", id="next"):
                yield ChoiceList(texts.check_choices(view), name_id="check-list")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the causes."""
        self._show_causes()
        self._focus_tab("causes")

    def _show_causes(self) -> None:
        listed = self.query_one("#cause-list", OptionList)
        listed.clear_options()
        self._rows = []
        for cause, text in texts.cause_rows(self.desk.view().ranking, self.grouped):
            self._rows.append(cause)
            listed.add_option(Option(text, disabled=cause is None))
        first = next((n for n, cause in enumerate(self._rows) if cause is not None), None)
        listed.highlighted = first
        if first is None:
            self.query_one("#reasons", Static).update("No cause stands out.")

    def _tell(self) -> Tell:
        return self.vibecheck.tell_in(self.desk)

    def units_changed(self) -> None:
        """Tell readings in the other unit."""
        out = texts.ruled_out_text(self.desk.view(), self._tell())
        self.query_one("#ruled-out", Static).update(out)
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
            self.query_one("#reasons", Static).update(texts.cause_detail(cause, self._tell()))
            self.query_one("#cause-reasons").scroll_home(animate=False)

    @on(OptionList.OptionSelected, "#cause-list")
    def _cause_chosen(self, event: OptionList.OptionSelected) -> None:
        cause = self._rows[event.option_index]
        if cause is not None:
            self.app.push_screen(CauseScreen(self.desk, cause.cause, cause.corner))

    @on(OptionList.OptionSelected, "#check-list")
    def _check_chosen(self, event: OptionList.OptionSelected) -> None:
        check = self.desk.view().next[event.option_index]
        self.dismiss((check.check, check.corner))
