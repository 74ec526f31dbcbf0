"""Fields for whose car it is; every one may stay empty."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Collapsible, Input, Static

from vibecheck.casebook.case import CUSTOMER, Customer
from vibecheck.report.sheet_parts import CUSTOMER_LABELS
from vibecheck.tui.plain import line, plain
from vibecheck.tui.widgets.entry import PlainInput

KEPT = "Kept in this visit's file and in the index that searches the visits; sheets show it."


class CustomerFields(Vertical):
    """Name, phone, plate, odometer and VIN."""

    def __init__(self, known: Customer | None, *, unfold: bool = False) -> None:
        super().__init__(id="customer")
        self._known, self._unfold = known or Customer(), unfold

    def compose(self) -> ComposeResult:
        """One row for each, folded."""
        with Collapsible(title="Customer (all optional)", collapsed=not self._unfold):
            yield Static(plain(KEPT, "$text-muted"))
            for name in CUSTOMER:
                with Vertical(classes="fact"), Horizontal():
                    yield Static(line(CUSTOMER_LABELS[name]), classes="fact-name")
                    yield PlainInput(getattr(self._known, name), name_id=f"customer-{name}")

    def values(self) -> dict[str, str]:
        """What is filled in, by the name of the field; "" where nothing is."""
        return {name: self.query_one(f"#customer-{name}", Input).value.strip()
                for name in CUSTOMER}
