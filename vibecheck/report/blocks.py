"""What a page is made of: a few kinds of blocks, that every back end can print.

A page function takes a finished result and a `Wording` (the reader's units) and gives blocks; the
back ends (`report.text`, `report.html`, `report.content`) print them and know nothing of
the results. Texts in blocks are plain and untrusted: every back end makes them harmless for
itself. What a block means is never told by its tone alone: the words say it too.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum

from msgspec import Struct

from vibecheck.report.figures import Figure


class Tone(StrEnum):
    """How a text is to be taken; a back end may color it, the words carry it."""

    PLAIN = "plain"
    QUIET = "quiet"
    STRONG = "strong"
    GOOD = "good"
    WARN = "warn"
    STOP = "stop"


class Heading(Struct, frozen=True):
    """A heading; level 1 is the page's title."""

    text: str
    level: int = 2


class Paragraph(Struct, frozen=True):
    """Running text."""

    text: str
    tone: Tone = Tone.PLAIN


class Item(Struct, frozen=True):
    """One item of a list, with what belongs under it. `mark` leads it: a bullet, a number."""

    text: str
    mark: str = "*"
    tone: Tone = Tone.PLAIN
    under: tuple[Block, ...] = ()


class Pair(Struct, frozen=True):
    """A label and what stands beside it; neighbors share one column."""

    label: str
    text: str
    tone: Tone = Tone.PLAIN


class Share(Struct, frozen=True):
    """A probability [0 to 1] as number, bar and words; `mark` leads it, as a rank."""

    probability: float
    text: str
    mark: str = ""
    under: tuple[Block, ...] = ()


class Banner(Struct, frozen=True):
    """A word that nobody may miss, with its sign and what it rests on."""

    word: str
    sign: str
    tone: Tone
    text: str = ""


class Table(Struct, frozen=True):
    """Rows under a head; cells are texts. `numbers` names the columns that align right."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: frozenset[int] = frozenset()


class Blank(Struct, frozen=True):
    """A line to write on: its label, the unit behind it, and what is known already."""

    label: str
    unit: str = ""
    value: str = ""


class Choice(Struct, frozen=True):
    """A question with boxes to tick."""

    label: str
    options: tuple[str, ...]


class Form(Struct, frozen=True):
    """A table to fill in: a cell that is None is a place to write."""

    head: tuple[str, ...]
    rows: tuple[tuple[str | None, ...], ...]


class Listing(Struct, frozen=True):
    """Short facts close together: in columns on paper, run on in text."""

    texts: tuple[str, ...]
    tone: Tone = Tone.PLAIN


class Columns(Struct, frozen=True):
    """Blocks that may stand side by side where there is room; else one after the other."""

    parts: tuple[tuple[Block, ...], ...]


class Drawing(Struct, frozen=True):
    """A figure with the sentence that says what it shows, for whoever cannot see it."""

    figure: Figure
    caption: str


Block = (
    Heading | Paragraph | Item | Pair | Share | Banner | Table | Blank | Choice | Form | Listing
    | Columns | Drawing
)
Page = Sequence[Block]


def items(texts: Iterable[str], mark: str = "*", tone: Tone = Tone.PLAIN) -> tuple[Item, ...]:
    """Texts as a list."""
    return tuple(Item(text, mark, tone) for text in texts)


def run_on(texts: Iterable[str]) -> str:
    """Short facts as one text: sentences after each other, others parted by semicolons."""
    said = ""
    for text in texts:
        gap = "" if not said else " " if said.endswith((".", "!", "?")) else "; "
        said += gap + text
    return said


def section(title: str, blocks: Iterable[Block], level: int = 2) -> tuple[Block, ...]:
    """Blocks under a heading; nothing at all where there are none."""
    found = tuple(blocks)
    return (Heading(title, level), *found) if found else ()


def figures_of(page: Iterable[Block]) -> list[Drawing]:
    """The figures of a page."""
    return [block for block in page if isinstance(block, Drawing)]


def words_of(page: Iterable[Block]) -> list[Block]:
    """A page without its figures, for where they are drawn by themselves."""
    return [block for block in page if not isinstance(block, Drawing)]
