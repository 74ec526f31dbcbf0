"""How a calculator's fields are declared; options, forms, help and docs follow from it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from vibecheck.metrology.units.values import Quantity

Texts = Mapping[str, str]


class Shape(StrEnum):
    """How a field is written."""

    VALUE = "value"  # one value with its unit
    LIST = "list"  # values parted by blanks or semicolons
    SIZE_AT = "size_at"  # "35 g at 120"
    EITHER = "either"  # one of the two before
    TEXT = "text"
    FLAG = "flag"  # "yes" or ""
    CHOICE = "choice"  # one of `choices`
    FILE = "file"


class Field(Struct, frozen=True):
    """One field.

    Attributes
    ----------
    name : of the typed text, of the option, and in complaints.
    label : beside the field in a form.
    hint : how it is written; `{unit}` stands for the unit chosen.
    help : what it is.
    quantity : of the value, or of each value of a list; None for words.
    quantity_if : (flag, quantity) : the quantity while that flag is ticked.
    own_unit : unit of a bare number where no choice of units counts.
    choices : the words of a choice.
    heading : stands above the field in a form.
    folded : in a form it stands in the fold of rarely wanted fields.
    often : on the command line it may be given more than once; its texts are joined by ";".
    about : the field whose text this one tells of: a case fills it in beside its own text alone.
    """

    name: str
    label: str
    hint: str = ""
    help: str = ""
    quantity: Quantity | None = None
    shape: Shape = Shape.VALUE
    quantity_if: tuple[str, Quantity] | None = None
    own_unit: str = ""
    choices: tuple[str, ...] = ()
    heading: str = ""
    folded: bool = False
    often: bool = False
    about: str = ""

    def quantity_in(self, texts: Texts) -> Quantity | None:
        """Its quantity, as the other fields stand."""
        if self.quantity_if is not None and texts.get(self.quantity_if[0], ""):
            return self.quantity_if[1]
        return self.quantity


class Group(Struct, frozen=True):
    """Fields that come several times, numbered from 1: `read1`, `tire1`, `read2` ...

    Attributes
    ----------
    name : of the group; on the command line the option that is given once for each of them.
    label : above its fields in a form, with the number; "" for no heading.
    members : the fields, their names without number.
    most, open : how many there are, and how many stand outside the fold.
    least : fewer than this are not wrong, but not enough yet.
    hint, help : of the option that holds all members in one text.
    split : the members' texts from such a text; None if each member is an option by itself.
    joined : the other way round.
    """

    name: str
    label: str
    members: tuple[Field, ...]
    most: int
    open: int
    least: int = 1
    hint: str = ""
    help: str = ""
    split: Callable[[str, str], dict[str, str]] | None = None
    joined: Callable[[Texts], str] | None = None

    def numbered(self, number: int) -> tuple[Field, ...]:
        """The fields of one number."""
        return tuple(
            replace(each, name=f"{each.name}{number}", folded=each.folded or number > self.open,
                    heading=f"{self.label} {number}" if self.label and not place else "",
                    label=each.label if self.label or number == 1 else f"{each.label}, {number}")
            for place, each in enumerate(self.members)
        )

    def filled(self, texts: Texts) -> list[int]:
        """The numbers of which the first member has a text."""
        first = self.members[0].name
        return [number for number in range(1, self.most + 1)
                if texts.get(f"{first}{number}", "").strip()]


def single_fields(entries: Iterable[Field | Group]) -> tuple[Field, ...]:
    """Every field, those of groups numbered."""
    found: list[Field] = []
    for each in entries:
        if isinstance(each, Field):
            found.append(each)
        else:
            for number in range(1, each.most + 1):
                found += each.numbered(number)
    return tuple(found)
