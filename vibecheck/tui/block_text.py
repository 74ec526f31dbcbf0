"""Blocks as the text of a widget: the same pages as on the command line, never any markup."""

from __future__ import annotations

from collections.abc import Iterable
from functools import singledispatch

from textual.content import Content

from vibecheck.report import blocks
from vibecheck.report.blocks import Tone
from vibecheck.report.lines import percent
from vibecheck.tui.phrases import bar
from vibecheck.tui.plain import joined, line, plain, stacked

_STYLES = {
    Tone.PLAIN: "", Tone.QUIET: "$text-muted", Tone.STRONG: "bold", Tone.GOOD: "$success",
    Tone.WARN: "$warning", Tone.STOP: "bold $error",
}
_BAR = 20


def block_text(page: Iterable[blocks.Block]) -> Content:
    """A page as one text, lists close together and an empty line above each heading but the first.
    """
    rows = [part for block in page for part in _rows(block)]
    if rows and not rows[0].plain:
        del rows[0]
    return Content("\n").join(rows)


def _under(page: Iterable[blocks.Block]) -> list[Content]:
    return [_indented(part) for block in page for part in _rows(block)]


def _indented(content: Content) -> Content:
    return Content("\n").join([joined("   ", part) for part in content.split("\n")])


@singledispatch
def _rows(block: object) -> list[Content]:
    raise TypeError(f"no text for {type(block).__name__}")


@_rows.register
def _heading(block: blocks.Heading) -> list[Content]:
    return [Content(""), line(block.text, "bold underline")]


@_rows.register
def _paragraph(block: blocks.Paragraph) -> list[Content]:
    return [plain(block.text, _STYLES[block.tone])]


@_rows.register
def _item(block: blocks.Item) -> list[Content]:
    mark = "·" if block.mark == "*" else block.mark.strip()
    lead = joined(line(mark), " ") if mark else Content("")
    return [joined(lead, plain(block.text, _STYLES[block.tone])), *_under(block.under)]


@_rows.register
def _pair(block: blocks.Pair) -> list[Content]:
    label = joined(line(block.label.rstrip(":")), ": ") if block.label else Content("  ")
    return [joined(label, plain(block.text, _STYLES[block.tone]))]


@_rows.register
def _share(block: blocks.Share) -> list[Content]:
    share = percent(block.probability).strip()
    lead = joined(line(f"{block.mark.strip()} ") if block.mark else "",
                  f"{share:>5} {bar(block.probability, _BAR)} ")
    return [joined(lead, line(block.text)), *_under(block.under)]


@_rows.register
def _banner(block: blocks.Banner) -> list[Content]:
    word = joined(line(block.sign), " ", line(block.word, _STYLES[block.tone] or "bold"))
    return [Content(""), word, *([plain(block.text)] if block.text else [])]


@_rows.register
def _table(block: blocks.Table) -> list[Content]:
    rows = [block.head, *block.rows]
    widths = [max(len(row[column]) for row in rows) for column in range(len(block.head))]
    return [stacked([
        plain("  ".join(cell.rjust(size) if column in block.numbers else cell.ljust(size)
                        for column, (cell, size) in enumerate(zip(row, widths, strict=True))))
        for row in rows
    ])]


@_rows.register
def _blank(block: blocks.Blank) -> list[Content]:
    return [joined(line(block.label), ": ", line(block.value or "____"), " ", line(block.unit))]


@_rows.register
def _choice(block: blocks.Choice) -> list[Content]:
    ticks = "   ".join(f"[ ] {option}" for option in block.options)
    return [joined(line(block.label), ":  ", line(ticks))]


@_rows.register
def _form(block: blocks.Form) -> list[Content]:
    rows = tuple(tuple("____" if cell is None else cell for cell in row) for row in block.rows)
    return _table(blocks.Table(block.head, rows))


@_rows.register
def _listing(block: blocks.Listing) -> list[Content]:
    return [plain(blocks.run_on(block.texts), _STYLES[block.tone])]


@_rows.register
def _columns(block: blocks.Columns) -> list[Content]:
    return [row for part in block.parts for each in part for row in _rows(each)]


@_rows.register
def _drawing(block: blocks.Drawing) -> list[Content]:
    return [plain(block.caption)]
