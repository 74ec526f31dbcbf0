"""The form of a calculator: its fields under each other, each on one line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Checkbox, Collapsible, Input, Static

from vibecheck.calculators.fields import Field, Shape
from vibecheck.calculators.written_units import written_units
from vibecheck.report.wording import Wording
from vibecheck.tui.plain import joined, line, plain
from vibecheck.tui.widgets.entry import PlainInput

LONGEST = 20_000  # characters of a field; a pasted list is long


class CalculatorForm(VerticalScroll):
    """The fields of a calculator. Posts `Changed` when one of them changes."""

    class Changed(Message):
        """A field has another text."""

    class Entered(Message):
        """A field has the focus, or Enter was pressed in it (`done`)."""

        def __init__(self, name: str, done: bool) -> None:
            super().__init__()
            self.field, self.done = name, done

    def __init__(self, fields: Sequence[Field]) -> None:
        super().__init__(id="calculator-form", can_focus=False)
        self.fields = tuple(fields)
        self._by_name = {field.name: field for field in fields}
        self._inputs: dict[str, FieldInput | Tick] = {}
        self._labels: dict[str, Static] = {}
        self._marked = ""
        self._told = True

    def compose(self) -> ComposeResult:
        """The fields; rarely wanted ones in a fold."""
        yield from self._rows(field for field in self.fields if not field.folded)
        folded = [field for field in self.fields if field.folded]
        if folded:
            # The class from the start: set later, all that is inside is styled once more.
            with Collapsible(title="More, where it is known", collapsed=True,
                             id="calculator-more", classes="-collapsed"):
                yield from self._rows(folded)

    def _rows(self, fields: Iterable[Field]) -> Iterable[Widget]:
        for field in fields:
            if field.heading:
                yield Static(line(field.heading, "bold"), classes="field-heading")
            yield self._row(field)

    def _row(self, field: Field) -> Widget:
        name = f"field-{field.name}"
        if field.shape is Shape.FLAG:
            tick = self._inputs[field.name] = Tick(line(field.label), id=name, compact=True)
            return Vertical(tick, classes="field")
        entry = self._inputs[field.name] = FieldInput(
            name_id=name, placeholder=_hint(field, ""), most=LONGEST)
        label = self._labels[field.name] = Static(
            line(field.label), id=f"label-{field.name}", classes="field-label")
        return Horizontal(label, entry, classes="field")

    def texts(self) -> dict[str, str]:
        """Every field as typed; "yes" or "" for a box to tick."""
        return {field.name: self._text(field) for field in self.fields}

    def clear_texts(self, wording: Wording) -> dict[str, str]:
        """Every field with its unit written out."""
        return written_units(self.fields, self.texts(), wording.units.of)

    def write(self, texts: Mapping[str, str]) -> None:
        """Write texts into their fields; those not named stay as they are."""
        for name, text in texts.items():
            entry = self._inputs.get(name)
            if isinstance(entry, Tick):
                entry.value = bool(text)
            elif entry is not None:
                entry.value = text

    def field(self, name: str) -> Input:
        """The field of this name."""
        entry = self._inputs[name]
        assert isinstance(entry, FieldInput)
        return entry

    def show_units(self, wording: Wording) -> None:
        """Show in every field how a value is written in the units chosen."""
        texts = self.texts()
        for field in self.fields:
            if field.shape is not Shape.FLAG:
                quantity = field.quantity_in(texts)
                unit = wording.unit(quantity) if quantity else ""
                self.field(field.name).placeholder = _hint(field, unit)

    def mark(self, name: str) -> None:
        """Mark the field that a complaint is about, in words and shape; "" marks none."""
        if name == self._marked:
            return
        for each in (self._marked, name):
            if each in self._labels:
                label = line(self._by_name[each].label)
                self._labels[each].update(joined("! " if each == name else "", label))
        self._marked = name

    def holds(self, name: str) -> bool:
        """True if the field of this name has a text."""
        field = self._by_name.get(name)
        return field is not None and bool(self._text(field).strip())

    def says(self, name: str) -> Content:
        """What a field is."""
        field = self._by_name.get(name)
        return plain(field.help or field.label) if field else plain("")

    def open_fold(self) -> None:
        """Open or close the fold of rarely wanted fields."""
        for fold in self.query("#calculator-more").results(Collapsible):
            fold.collapsed = not fold.collapsed

    def _text(self, field: Field) -> str:
        entry = self._inputs.get(field.name)
        if entry is None:  # not composed yet
            return ""
        if isinstance(entry, Tick):
            return "yes" if entry.value else ""
        return entry.value

    @on(Input.Changed)
    @on(Checkbox.Changed)
    def _changed(self, event: Input.Changed | Checkbox.Changed) -> None:
        """Fields that are filled in together are told as one change."""
        event.stop()
        if self._told:
            self._told = False
            self.call_later(self._tell)

    def _tell(self) -> None:
        self._told = True
        self.post_message(self.Changed())

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.post_message(self.Entered((event.input.id or "").removeprefix("field-"), done=True))

    def on_descendant_focus(self) -> None:
        """Tell which field is in hand."""
        focused = self.screen.focused
        name = (focused.id or "") if focused is not None else ""
        if name.startswith("field-"):
            self.post_message(self.Entered(name.removeprefix("field-"), done=False))


def _hint(field: Field, unit: str) -> str:
    shown = field.hint.replace("{unit}", unit).strip()
    return f"e.g. {shown}" if shown else ""


class Tick(Checkbox):
    """A box to tick that says yes or no by its shape."""

    BUTTON_LEFT, BUTTON_RIGHT = "[", "]"

    def render(self) -> Content:
        """The box as it is now."""
        self.BUTTON_INNER = "x" if self.value else " "
        return super().render()


class FieldInput(PlainInput):
    """A field into which a whole column can be pasted: its lines become one list."""

    def _on_paste(self, event: events.Paste) -> None:
        """Further lines of a pasted text follow after semicolons."""
        lines = [each.strip() for each in event.text.splitlines() if each.strip()]
        self.replace("; ".join(lines), *self.selection)
        event.prevent_default()
        event.stop()
