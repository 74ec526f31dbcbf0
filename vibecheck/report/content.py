"""Blocks as Textual content, for the wizard's screens.

Figures are left to the screen's own plot. What a tone means is told by the words too, so no color
is used here: only bold, dim and reverse.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import singledispatch

from textual.content import Content

from vibecheck.report import blocks
from vibecheck.report.blocks import Tone
from vibecheck.report.lines import percent, safe

_STYLES = {Tone.STRONG: "bold", Tone.QUIET: "dim", Tone.GOOD: "bold", Tone.STOP: "bold reverse"}


def page_content(page: Iterable[blocks.Block]) -> Content:
    """A page as one content; figures are left out."""
    return Content("\n").join(content_rows(page))


def content_rows(page: Iterable[blocks.Block]) -> list[Content]:
    """A page as rows; long ones are wrapped by whoever shows them."""
    rows: list[Content] = []
    for block in page:
        rows += _rows(block)
    return rows


def figures_of(page: Iterable[blocks.Block]) -> list[blocks.Drawing]:
    """The figures of a page, for the plot."""
    return [block for block in page if isinstance(block, blocks.Drawing)]


def _said(text: object, tone: Tone = Tone.PLAIN) -> Content:
    return Content.styled(safe(text), _STYLES.get(tone, ""))


@singledispatch
def _rows(block: object) -> list[Content]:
    raise TypeError(f"no content for {type(block).__name__}")


@_rows.register
def _heading(block: blocks.Heading) -> list[Content]:
    return [Content.styled(safe(block.text), "bold underline" if block.level < 3 else "bold")]


@_rows.register
def _paragraph(block: blocks.Paragraph) -> list[Content]:
    return [_said(block.text, block.tone)]


@_rows.register
def _item(block: blocks.Item) -> list[Content]:
    lead = f"{safe(block.mark)} " if block.mark else ""
    return [Content.assemble(lead, _said(block.text, block.tone)), *_under(block.under)]


@_rows.register
def _share(block: blocks.Share) -> list[Content]:
    mark = f"{safe(block.mark)} " if block.mark else ""
    return [_said(f"{mark}{percent(block.probability)} {block.text}"), *_under(block.under)]


@_rows.register
def _banner(block: blocks.Banner) -> list[Content]:
    word = _said(f"{block.sign} {block.word}", block.tone)
    return [word, _said(block.text)] if block.text else [word]


@_rows.register
def _pair(block: blocks.Pair) -> list[Content]:
    return [Content.assemble(Content.styled(f"{safe(block.label)}: ", "bold"),
                             _said(block.text, block.tone))]


@_rows.register
def _table(block: blocks.Table) -> list[Content]:
    rows = [tuple(safe(cell) for cell in row) for row in (block.head, *block.rows)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(block.head))]
    last = len(widths) - 1
    shown = []
    for number, row in enumerate(rows):
        cells = "  ".join(
            cell.rjust(widths[column]) if column in block.numbers
            else cell if column == last else cell.ljust(widths[column])
            for column, cell in enumerate(row))
        shown.append(Content.styled(cells, "" if number else "bold"))
    return shown


@_rows.register
def _blank(block: blocks.Blank) -> list[Content]:
    return [_said(f"{block.label}: ____ {block.unit}".rstrip())]


@_rows.register
def _drawing(block: blocks.Drawing) -> list[Content]:
    return []


def _under(page: Iterable[blocks.Block]) -> list[Content]:
    return [Content.assemble("  ", row) for row in content_rows(page)]
