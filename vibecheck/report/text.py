"""Blocks as plain text for a terminal or a printer: wrapped, harmless, readable without color."""

from __future__ import annotations

from collections.abc import Iterable
from functools import singledispatch
from itertools import groupby

from vibecheck.report import blocks
from vibecheck.report.letters import figure_lines
from vibecheck.report.lines import bar, percent, safe, wrapped

_INDENT = 2
_WIDEST_LABEL = 24
_BLANK_LONGEST = 40
_TWO_BLANKS_FROM = 72  # characters of a line that holds two lines to write on side by side
_LONGEST_SHORT_LABEL = 18
FILL = "______"


def text_lines(page: Iterable[blocks.Block], width: int, indent: int = 0) -> list[str]:
    """A page as lines no wider than `width` [characters]."""
    lines: list[str] = []
    for kind, group in groupby(page, key=type):
        together = list(group)
        if kind is blocks.Pair:
            lines += _pairs([each for each in together if isinstance(each, blocks.Pair)],
                            width, indent)  # fmt: skip
        elif kind is blocks.Blank:
            lines += _blanks([each for each in together if isinstance(each, blocks.Blank)],
                             width, indent)
        else:
            for block in together:
                lines += _lines(block, width, indent)
    return lines


@singledispatch
def _lines(block: object, width: int, indent: int) -> list[str]:
    raise TypeError(f"no text for {type(block).__name__}")


@_lines.register
def _heading(block: blocks.Heading, width: int, indent: int) -> list[str]:
    title = wrapped(block.text, width, " " * indent)
    if block.level > 2:
        return ["", *title]
    rule = ("=" if block.level == 1 else "-") * min(width - indent, max(map(len, title)) - indent)
    return ["", *title, " " * indent + rule]


@_lines.register
def _paragraph(block: blocks.Paragraph, width: int, indent: int) -> list[str]:
    return wrapped(block.text, width, " " * indent)


@_lines.register
def _item(block: blocks.Item, width: int, indent: int) -> list[str]:
    lead = f"{' ' * indent}{safe(block.mark)} " if block.mark else " " * indent
    return [*wrapped(block.text, width, lead), *text_lines(block.under, width, len(lead))]


@_lines.register
def _share(block: blocks.Share, width: int, indent: int) -> list[str]:
    mark = f"{safe(block.mark)} " if block.mark else ""
    lead = f"{' ' * indent}{mark}{percent(block.probability)} {bar(block.probability)} "
    return [*wrapped(block.text, width, lead), *text_lines(block.under, width, indent + 4)]


@_lines.register
def _banner(block: blocks.Banner, width: int, indent: int) -> list[str]:
    lines = ["", *wrapped(block.word, width, f"{' ' * indent}{safe(block.sign)} ")]
    return [*lines, *wrapped(block.text, width, " " * (indent + _INDENT))] if block.text else lines


@_lines.register
def _table(block: blocks.Table, width: int, indent: int) -> list[str]:
    lines = _grid((block.head, *block.rows), block.numbers, width, indent)
    return lines or _stacked(block, width, indent)


def _grid(
    rows: tuple[tuple[str, ...], ...], numbers: frozenset[int], width: int, indent: int
) -> list[str]:
    """Rows in columns; nothing where they do not fit."""
    shown = [tuple(safe(cell) for cell in row) for row in rows]
    widths = [max(len(row[column]) for row in shown) for column in range(len(shown[0]))]
    if indent + sum(widths) + 2 * (len(widths) - 1) > width:
        return []
    return [
        (" " * indent + "  ".join(
            cell.rjust(size) if column in numbers else cell.ljust(size)
            for column, (cell, size) in enumerate(zip(row, widths, strict=True))
        )).rstrip()
        for row in shown
    ]


def _stacked(block: blocks.Table, width: int, indent: int) -> list[str]:
    """A table too wide for the page: each row as an item with its cells named."""
    lines: list[str] = []
    for row in block.rows:
        lines += wrapped(row[0], width, f"{' ' * indent}* ")
        cells = [f"{name}: {cell}"
                 for name, cell in zip(block.head[1:], row[1:], strict=True) if cell]
        lines += wrapped("; ".join(cells), width, " " * (indent + 4)) if cells else []
    return lines


@_lines.register
def _form(block: blocks.Form, width: int, indent: int) -> list[str]:
    rows = tuple(tuple(FILL if cell is None else cell for cell in row) for row in block.rows)
    lines = _grid((block.head, *rows), frozenset(), width, indent)
    return lines or _stacked(blocks.Table(block.head, rows), width, indent)


@_lines.register
def _choice(block: blocks.Choice, width: int, indent: int) -> list[str]:
    whole = f"{' ' * indent}{safe(block.label)}:  {'   '.join(_ticks(block))}"
    if len(whole) <= width:
        return [whole]
    return [*wrapped(f"{block.label}:", width, " " * indent),
            *_run_on(_ticks(block), "   ", width, indent + _INDENT)]


def _ticks(block: blocks.Choice) -> list[str]:
    return [f"[ ] {safe(option)}" for option in block.options]


def _run_on(texts: list[str], gap: str, width: int, indent: int) -> list[str]:
    """Short texts after each other, broken between them where that goes."""
    lines: list[str] = []
    for text in texts:
        if lines and len(lines[-1]) + len(gap) + len(text) <= width:
            lines[-1] += gap + text
        else:
            lines += wrapped(text, width, " " * indent)
    return lines


@_lines.register
def _listing(block: blocks.Listing, width: int, indent: int) -> list[str]:
    return wrapped(blocks.run_on(block.texts), width, " " * indent) if block.texts else []


@_lines.register
def _columns(block: blocks.Columns, width: int, indent: int) -> list[str]:
    return [line for part in block.parts for line in text_lines(part, width, indent)]


def _blanks(group: list[blocks.Blank], width: int, indent: int) -> list[str]:
    """Lines to write on, short ones two beside each other where there is room."""
    lines: list[str] = []
    half = (width - indent - 2) // 2
    while group:
        pair = group[:2]
        if width >= _TWO_BLANKS_FROM and len(pair) == 2 and all(
            len(safe(each.label)) <= _LONGEST_SHORT_LABEL for each in pair
        ):
            both = [_blank(each, half, 0) for each in pair]
            if all(len(each) == 1 for each in both):
                lines.append(f"{' ' * indent}{both[0][0]:<{half}}  {both[1][0]}".rstrip())
                group = group[2:]
                continue
        lines += _blank(group[0], width, indent)
        group = group[1:]
    return lines


@_lines.register
def _blank(block: blocks.Blank, width: int, indent: int) -> list[str]:
    if block.value:
        return wrapped(f"{block.label}: {block.value} {block.unit}", width, " " * indent)
    tail = f" {safe(block.unit)}" if block.unit else ""
    room = width - indent - len(safe(block.label)) - 2 - len(tail)
    if room >= 8:
        return [f"{' ' * indent}{safe(block.label)}: {'_' * min(room, _BLANK_LONGEST)}{tail}"]
    room = width - indent - 4 - len(tail)
    lines = wrapped(f"{block.label}:", width, " " * indent)
    return [*lines, f"{' ' * (indent + 4)}{'_' * min(room, _BLANK_LONGEST)}{tail}"]


@_lines.register
def _drawing(block: blocks.Drawing, width: int, indent: int) -> list[str]:
    drawn = figure_lines(block.figure, width - indent)
    return ["", *wrapped(block.caption, width, " " * indent),
            *(" " * indent + line for line in drawn[1:])]


def _pairs(pairs: list[blocks.Pair], width: int, indent: int) -> list[str]:
    """Labels in one column, texts in the next."""
    longest = max(len(safe(each.label)) for each in pairs)
    pad = min(longest, _WIDEST_LABEL, width // 3) + 2
    lines: list[str] = []
    for each in pairs:
        label = safe(each.label)
        lead = " " * indent + label.ljust(pad)
        if len(label) >= pad:
            lines += wrapped(label, width, " " * indent)
            lead = " " * (indent + pad)
        lines += wrapped(each.text, width, lead, " " * (indent + pad))
    return lines
