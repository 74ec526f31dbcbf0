"""Blocks as one plain HTML page: no script, nothing from outside, every text escaped.

The page prints in black on white and reads well without its style sheet; colors are told in words
as well.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import singledispatch
from html import escape
from itertools import groupby

from vibecheck.report import blocks
from vibecheck.report.lines import percent

_STYLE = """\
body { font: 16px/1.45 sans-serif; max-width: 46em; margin: 2em auto; padding: 0 1em; }
.quiet { opacity: .75 } .strong { font-weight: bold } .stop { font-weight: bold; color: #a40000 }
.warn { color: #7a4b00 } .good { color: #1d5e20 }
.banner { border: 3px solid; padding: .4em .8em; }
.item { margin: .3em 0; padding-left: 1.4em; text-indent: -1.4em; }
.item > *, .share > * { text-indent: 0; }
.share { margin: .6em 0; } meter { width: 10em; }
dl { display: grid; grid-template-columns: minmax(6em, max-content) 1fr; gap: .15em 1em; }
dd { margin: 0; } table { border-collapse: collapse; }
th, td { border: 1px solid #888; padding: .2em .6em; text-align: left; }
td.number { text-align: right; } .blank { border-bottom: 1px solid; padding-left: 12em; }
@media print { body { margin: 0; } }"""


def html_page(page: Iterable[blocks.Block], title: str) -> str:
    """A page as a whole document."""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{plain(title)}</title>\n<style>\n{_STYLE}\n</style>\n</head>\n<body>\n"
        f"{fragment(page)}\n</body>\n</html>\n"
    )


def fragment(page: Iterable[blocks.Block]) -> str:
    """Blocks as the inside of a document."""
    parts: list[str] = []
    for kind, group in groupby(page, key=type):
        inner = "\n".join(_html(block) for block in group)
        parts.append(f"<dl>\n{inner}\n</dl>" if kind is blocks.Pair else inner)
    return "\n".join(parts)


def plain(text: object) -> str:
    """Any text, harmless in a document: escaped, control and direction marks spelled out."""
    return escape("".join(_visible(ch) for ch in str(text)))


def _visible(ch: str) -> str:
    if ch.isprintable() or ch == "\n":
        return ch
    return " " if ch == "\t" or unicodedata.category(ch) == "Zs" else repr(ch)[1:-1]


@singledispatch
def _html(block: object) -> str:
    raise TypeError(f"no HTML for {type(block).__name__}")


@_html.register
def _heading(block: blocks.Heading) -> str:
    level = max(1, min(6, block.level))
    return f"<h{level}>{plain(block.text)}</h{level}>"


@_html.register
def _paragraph(block: blocks.Paragraph) -> str:
    return f'<p class="{block.tone.value}">{plain(block.text)}</p>'


@_html.register
def _item(block: blocks.Item) -> str:
    mark = f"{plain(block.mark)} " if block.mark else ""
    under = f"\n{fragment(block.under)}" if block.under else ""
    return f'<div class="item {block.tone.value}">{mark}{plain(block.text)}{under}</div>'


@_html.register
def _pair(block: blocks.Pair) -> str:
    tone = block.tone.value
    return f'<dt>{plain(block.label)}</dt><dd class="{tone}">{plain(block.text)}</dd>'


@_html.register
def _share(block: blocks.Share) -> str:
    share = max(0.0, min(1.0, block.probability))
    mark = f"{plain(block.mark)} " if block.mark else ""
    under = f"\n{fragment(block.under)}" if block.under else ""
    return (
        f'<div class="share">{mark}{plain(percent(share).strip())} '
        f'<meter value="{share:.4f}"></meter> {plain(block.text)}{under}</div>'
    )


@_html.register
def _banner(block: blocks.Banner) -> str:
    text = f"<br>{plain(block.text)}" if block.text else ""
    return (
        f'<p class="banner {block.tone.value}"><strong>{plain(block.sign)} {plain(block.word)}'
        f"</strong>{text}</p>"
    )


@_html.register
def _table(block: blocks.Table) -> str:
    head = "".join(f"<th>{plain(cell)}</th>" for cell in block.head)
    rows = "".join(f"<tr>{_cells(block, row)}</tr>\n" for row in block.rows)
    return f"<table>\n<tr>{head}</tr>\n{rows}</table>"


def _cells(block: blocks.Table, row: tuple[str, ...]) -> str:
    return "".join(
        f'<td class="number">{plain(cell)}</td>' if column in block.numbers
        else f"<td>{plain(cell)}</td>"
        for column, cell in enumerate(row)
    )


@_html.register
def _blank(block: blocks.Blank) -> str:
    return f'<p>{plain(block.label)}: <span class="blank"></span> {plain(block.unit)}</p>'


@_html.register
def _drawing(block: blocks.Drawing) -> str:
    return f"<p>{plain(block.caption)}</p>"
