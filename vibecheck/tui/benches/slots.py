"""The form of a bench: named fields under each other, each on one line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Checkbox, Collapsible, Input, Static

from vibecheck.metrology.units.values import Quantity
from vibecheck.session.keepunit import Shape, keep_unit
from vibecheck.session.unitchoice import Units
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.entry import PlainInput

LONGEST = 20_000  # characters of a field; a pasted list is long


@dataclass(frozen=True)
class Slot:
    """One field.

    `name` is that of the calculator's field, so that a complaint finds it. `hint` shows how it
    is written, `says` what it is. `heading` stands above the field; `more` puts it into a fold.
    """

    name: str
    label: str
    hint: str = ""
    says: str = ""
    quantity: Quantity | None = None
    shape: Shape = "value"
    flag: bool = False
    heading: str = ""
    more: bool = False


class BenchForm(VerticalScroll):
    """The fields of a bench. Posts `Changed` when one of them changes."""

    class Changed(Message):
        """A field has another text."""

    class Entered(Message):
        """A field has the focus, or Enter was pressed in it (`done`)."""

        def __init__(self, name: str, done: bool) -> None:
            super().__init__()
            self.field, self.done = name, done

    def __init__(self, slots: Sequence[Slot]) -> None:
        super().__init__(id="bench-form", can_focus=False)
        self.slots = tuple(slots)
        self._by_name = {slot.name: slot for slot in slots}

    def compose(self) -> ComposeResult:
        """The fields; rarely wanted ones in a fold."""
        yield from self._rows(slot for slot in self.slots if not slot.more)
        folded = [slot for slot in self.slots if slot.more]
        if folded:
            with Collapsible(title="More, where it is known", collapsed=True, id="bench-more"):
                yield from self._rows(folded)

    def _rows(self, slots: Iterable[Slot]) -> Iterable[Widget]:
        for slot in slots:
            if slot.heading:
                yield Static(line(slot.heading, "bold"), classes="slot-heading")
            yield _row(slot)

    def texts(self) -> dict[str, str]:
        """Every field as typed; "yes" or "" for a box to tick."""
        return {slot.name: self._text(slot) for slot in self.slots}

    def clear_texts(self, units: Units) -> dict[str, str]:
        """Every field with its unit written out."""
        return {
            slot.name: keep_unit(self._text(slot), slot.shape, slot.quantity, units)
            for slot in self.slots
        }

    def write(self, texts: Mapping[str, str]) -> None:
        """Write texts into their fields; those not named stay as they are."""
        for name, text in texts.items():
            slot = self._by_name.get(name)
            if slot is None:
                continue
            if slot.flag:
                self.query_one(f"#slot-{name}", Checkbox).value = bool(text)
            else:
                self.field(name).value = text

    def field(self, name: str) -> Input:
        """The field of this name."""
        return self.query_one(f"#slot-{name}", Input)

    def show_units(self, units: Units) -> None:
        """Show in every field how a value is written in the units chosen."""
        for slot in self.slots:
            if not slot.flag:
                unit = units.of(slot.quantity.value, "") if slot.quantity else ""
                self.field(slot.name).placeholder = _hint(slot, unit)

    def mark(self, name: str) -> None:
        """Mark the field that a complaint is about, in words and shape; "" marks none."""
        for slot in self.slots:
            wrong = slot.name == name
            label = joined("! " if wrong else "", line(slot.label))
            if not slot.flag:
                self.query_one(f"#label-{slot.name}", Static).update(label)

    def holds(self, name: str) -> bool:
        """True if the field of this name has a text."""
        slot = self._by_name.get(name)
        return slot is not None and bool(self._text(slot).strip())

    def says(self, name: str) -> Content:
        """What a field is."""
        slot = self._by_name.get(name)
        return plain(slot.says or slot.label) if slot else plain("")

    def open_fold(self) -> None:
        """Open or close the fold of rarely wanted fields."""
        for fold in self.query("#bench-more").results(Collapsible):
            fold.collapsed = not fold.collapsed

    def _text(self, slot: Slot) -> str:
        if slot.flag:
            return "yes" if self.query_one(f"#slot-{slot.name}", Checkbox).value else ""
        return self.field(slot.name).value

    @on(Input.Changed)
    @on(Checkbox.Changed)
    def _changed(self, event: Input.Changed | Checkbox.Changed) -> None:
        event.stop()
        self.post_message(self.Changed())

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.post_message(self.Entered((event.input.id or "").removeprefix("slot-"), done=True))

    def on_descendant_focus(self) -> None:
        """Tell which field is in hand."""
        focused = self.screen.focused
        name = (focused.id or "") if focused is not None else ""
        if name.startswith("slot-"):
            self.post_message(self.Entered(name.removeprefix("slot-"), done=False))


def _row(slot: Slot) -> Widget:
    if slot.flag:
        return Vertical(
            Tick(line(slot.label), id=f"slot-{slot.name}", compact=True), classes="slot"
        )
    return Horizontal(
        Static(line(slot.label), id=f"label-{slot.name}", classes="slot-label"),
        SlotInput(name_id=f"slot-{slot.name}", placeholder=_hint(slot, ""), most=LONGEST),
        classes="slot",
    )


def _hint(slot: Slot, unit: str) -> str:
    shown = slot.hint.replace("{unit}", unit).strip()
    return f"e.g. {shown}" if shown else ""


class Tick(Checkbox):
    """A box to tick that says yes or no by its shape."""

    BUTTON_LEFT, BUTTON_RIGHT = "[", "]"

    def render(self) -> Content:
        """The box as it is now."""
        self.BUTTON_INNER = "x" if self.value else " "
        return super().render()


class SlotInput(PlainInput):
    """A field into which a whole column can be pasted: its lines become one list."""

    def _on_paste(self, event: events.Paste) -> None:
        """Further lines of a pasted text follow after semicolons."""
        lines = [each.strip() for each in event.text.splitlines() if each.strip()]
        self.replace("; ".join(lines), *self.selection)
        event.prevent_default()
        event.stop()
