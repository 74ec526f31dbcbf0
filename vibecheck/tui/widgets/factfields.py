"""Fields for the facts of a vehicle; the useful ones first, the rest folded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Collapsible, Input, Select, Static

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.model import Fact
from vibecheck.knowledge.words import FactKind
from vibecheck.tui.plain import line, plain
from vibecheck.tui.widgets.entry import PlainInput

USEFUL = ("tire_size", "drive", "propulsion")


class FactFields(Vertical):
    """One field for each fact; an empty one means: not known."""

    def __init__(self, library: Library, known: Mapping[str, str], *, unfold: bool = False) -> None:
        super().__init__(id="facts")
        self._library, self._known, self._unfold = library, dict(known), unfold

    def compose(self) -> ComposeResult:
        """Useful facts, then the others."""
        facts = self._library.facts
        useful = [facts[name] for name in USEFUL if name in facts]
        rest = [fact for name, fact in facts.items() if name not in USEFUL]
        for fact in useful:
            yield self._row(fact)
        with Collapsible(title="More about the car (all optional)", collapsed=not self._unfold):
            for fact in rest:
                yield self._row(fact)

    def values(self) -> dict[str, str]:
        """What is filled in, by the id of the fact; "" where nothing is."""
        found: dict[str, str] = {}
        for name, fact in self._library.facts.items():
            field = self.query_one(f"#fact-{name}")
            if fact.kind is FactKind.CHOICE:
                value = cast("Select[str]", field).value
                found[name] = value if isinstance(value, str) else ""
            else:
                found[name] = cast("Input", field).value.strip()
        return found

    def filled(self) -> dict[str, str]:
        """What is filled in."""
        return {name: value for name, value in self.values().items() if value}

    def _row(self, fact: Fact) -> Widget:
        return Vertical(
            Static(plain(fact.question, "$text-muted")),
            Horizontal(Static(line(fact.name), classes="fact-name"), self._field(fact)),
            classes="fact",
        )

    def _field(self, fact: Fact) -> Widget:
        known = self._known.get(fact.id, "")
        if fact.kind is FactKind.CHOICE:
            # Select shows a Content as it is; its annotation knows only str.
            options = [
                (cast("str", line(label)), value) for value, label in fact.values.items()
            ]
            return Select[str](
                options, prompt="not known", id=f"fact-{fact.id}", compact=True,
                value=known if known in fact.values else Select.NULL,
            )
        example = f"not known; for example {fact.example}" if fact.example else "not known"
        return PlainInput(known, placeholder=example, name_id=f"fact-{fact.id}")
