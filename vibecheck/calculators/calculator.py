"""What a calculator is, and what its result answers in a case."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, Protocol

from msgspec import Struct

from vibecheck.calculators.fields import Field, Group, Texts, single_fields
from vibecheck.errors import ReadingError
from vibecheck.metrology.note import Note
from vibecheck.metrology.units.values import Quantity, show, to_unit

AS_TYPED_DIGITS = 9  # a number with no more significant digits stands as it is
BELOW_UNCERTAINTY = 1000.0  # longer ones are rounded so far below their uncertainty

Tell = Callable[[Note], None]


class FindingAnswer(Struct, frozen=True):
    """What a result answers to one finding: a state, or a value with its expanded uncertainty.

    Attributes
    ----------
    finding, state : ids of the rules; the state is "" for a value.
    value, uncertainty : in the base unit of `quantity`; uncertainty None if not known.
    unit : in which the value is written into the case.
    readings, angles : the single readings behind it, as typed, and where each was taken.
    """

    finding: str
    state: str = ""
    value: float = 0.0
    uncertainty: float | None = None
    quantity: Quantity = Quantity.NUMBER
    unit: str = ""
    readings: tuple[str, ...] = ()
    angles: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """As a person would type it; a typed value keeps every digit."""
        if self.state:
            return self.state
        text = show(self._rounded, self.quantity, self.unit)
        if self.uncertainty is None:
            return text
        spread = f"{to_unit(self.uncertainty, self.quantity, self.unit):.3g}"
        return f"{text} +/- {Decimal(spread):f}"

    @property
    def _rounded(self) -> float:
        number = to_unit(self.value, self.quantity, self.unit)
        digits = f"{Decimal(f'{number:.12g}'):f}".replace(".", "").strip("-0")
        if len(digits) <= AS_TYPED_DIGITS or not self.uncertainty:
            return self.value
        step = Decimal(to_unit(self.uncertainty, self.quantity, self.unit) / BELOW_UNCERTAINTY)
        return self.value * round(number, -step.adjusted()) / number


class Run(Protocol):
    """Works a result out of typed texts."""

    def __call__(self, texts: Texts, tell: Tell | None = None) -> Any:
        """The result. `tell` hears what is being done, where that takes long.

        Raises
        ------
        InputError family : a text that cannot be; `where` begins with the field's or group's name.
        """


class Example(Struct, frozen=True):
    """Worked texts.

    `texts` : by field name. `says` : what is shown, one or two sentences. `into` : words of the
    command line that take it into a case. `prints` : a part of what the command line prints then,
    in the usual units.
    """

    texts: Mapping[str, str]
    says: str
    prints: tuple[str, ...] = ()
    into: str = ""


def nothing_known(facts: Mapping[str, str]) -> dict[str, str]:
    """No field follows from the facts of a vehicle."""
    return {}


class Calculator(Struct, frozen=True):
    """One calculator.

    Attributes
    ----------
    name : as rules name it, and its command.
    about : what it is for, what to type, what comes of it.
    empty : what to type first.
    entries : its fields and groups of fields, in the order of a form.
    run : the result of typed texts.
    answers : the findings that a result answers, given the surface that was read or "".
    examples : the first one fills the form.
    known : texts of fields that follow from the facts of a vehicle.
    takes_surface : a result belongs to the surface that was read, and to nothing without it.
    reads_file : the work is slow and begins when it is asked for.
    """

    name: str
    about: str
    empty: str
    entries: tuple[Field | Group, ...]
    run: Run
    answers: Callable[[Any, str], tuple[FindingAnswer, ...]]
    examples: tuple[Example, ...]
    known: Callable[[Mapping[str, str]], dict[str, str]] = nothing_known
    takes_surface: bool = False
    reads_file: bool = False

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every field, those of groups numbered."""
        return single_fields(self.entries)

    @property
    def groups(self) -> tuple[Group, ...]:
        """Its groups of fields."""
        return tuple(each for each in self.entries if isinstance(each, Group))

    def known_beside(self, facts: Mapping[str, str], texts: Texts) -> dict[str, str]:
        """What a vehicle's facts fill in beside typed texts.

        A field that tells of another's text is left out where another text is typed there.
        """
        known = self.known(facts)
        other = {each.name for each in self.fields if each.about
                 and texts.get(each.about, "") not in ("", known.get(each.about, ""))}
        return {name: text for name, text in known.items() if name not in other}

    def answers_of(self, result: Any, surface: str = "") -> tuple[FindingAnswer, ...]:
        """The findings that a result answers.

        Raises
        ------
        ReadingError : a surface is wanted and missing, or given and not wanted.
        """
        if self.takes_surface and not surface:
            raise ReadingError(
                "a runout alone does not say where it was read", "surface",
                "write the finding, for example bead_radial_inboard or assembly_radial",
            )
        if surface and not self.takes_surface:
            raise ReadingError(
                "this result belongs to no single surface", "surface", "leave the surface out"
            )
        return self.answers(result, surface)
