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
from vibecheck.report.svg import svg

_ONE_COLUMN = 3  # short facts that stand under each other

_STYLE = """\
@page { margin: 11mm 14mm 12mm; @bottom-right { content: counter(page) " / " counter(pages);
 font: 8pt sans-serif; color: #555; } }
* { box-sizing: border-box; }
body { font: 16px/1.4 "Helvetica Neue", Arial, "Liberation Sans", sans-serif; color: #111;
 background: #fff; max-width: 52em; margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 1.5em; margin: 0 0 .4em; border-bottom: 2px solid #111; padding-bottom: .15em; }
h2 { font-size: 1.08em; margin: .9em 0 .25em; border-bottom: 1px solid #999; }
h3 { font-size: 1em; margin: .7em 0 .15em; }
h1, h2, h3 { break-after: avoid; line-height: 1.2; }
p { margin: .3em 0; }
h1, h2, h3, p, dd, dt, td, th, li, .item, .share, .banner, figcaption { overflow-wrap: anywhere; }
.quiet { color: #444; font-size: .82em; line-height: 1.3; }
.strong { font-weight: bold; }
.stop { font-weight: bold; color: #a40000; } .warn { color: #6b4200; } .good { color: #1d5e20; }
.banner { border: 2.5px solid; padding: .35em .7em; margin: .5em 0; font-weight: normal; }
.banner strong { font-size: 1.08em; }
.item { margin: .22em 0; padding-left: 1.4em; text-indent: -1.4em; }
.item > *, .share > * { text-indent: 0; }
.share { margin: .25em 0; } meter { width: 8em; vertical-align: middle; }
dl { display: grid; grid-template-columns: minmax(5.5em, max-content) 1fr; gap: .1em 1em;
 margin: .3em 0; }
dt { color: #444; } dd { margin: 0; }
table { border-collapse: collapse; margin: .4em 0; font-size: .94em; }
th, td { border: 1px solid #888; padding: .15em .5em; text-align: left; vertical-align: top; }
th { background: #eee; font-weight: bold; } td.number { text-align: right; }
table.form td, table.form th { white-space: nowrap; overflow-wrap: normal; }
td.fill { min-width: 4.6em; padding: 0; }
ul.listing { margin: .25em 0; padding-left: 1.1em; } ul.many { columns: 2; column-gap: 2em; }
ul.listing li { break-inside: avoid; margin: .05em 0; }
.columns { display: flex; flex-wrap: wrap; gap: 0 1.6em; align-items: flex-start; }
.columns > div { flex: 1 1 15em; min-width: 0; } .columns > .drawn { flex: 0 1 auto; }
.blanks { display: grid; grid-template-columns: repeat(auto-fit, minmax(15em, 1fr));
 gap: .15em 1.6em; margin: .4em 0; }
label.blank { display: flex; align-items: flex-end; gap: .4em; min-height: 1.75em; }
label.blank span { color: #444; }
input[type=text] { font: inherit; color: inherit; background: none; border: 0; min-width: 3em;
 border-bottom: 1px solid #444; border-radius: 0; flex: 1; padding: 0 .2em; }
td.fill input { border: 0; width: 100%; min-height: 1.3em; padding: 0 .2em; }
.choice { margin: .2em 0; } .choice label { white-space: nowrap; margin-right: 1em; }
input[type=checkbox] { margin: 0 .3em 0 0; vertical-align: -.1em; }
figure { margin: .3em 0; break-inside: avoid; } figure svg { max-width: 100%; height: auto; }
figcaption { color: #444; font-size: .82em; max-width: 34em; }
.item, .share, .banner, .columns, .blanks, .choice, tr { break-inside: avoid; }
@media print {
 body { font-size: 9.2pt; line-height: 1.25; margin: 0; padding: 0; max-width: none; }
 h2 { margin-top: .6em; } p { margin: .18em 0; } .item { margin: .12em 0; }
 label.blank { min-height: 1.65em; } .blanks { margin: .25em 0; } .banner { margin: .35em 0; }
 .stop, .warn, .good { color: #000; } }"""


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
        around = _AROUND.get(kind)
        parts.append(f"<{around}>\n{inner}\n</{around.partition(' ')[0]}>" if around else inner)
    return "\n".join(parts)


_AROUND: dict[type, str] = {blocks.Pair: "dl", blocks.Blank: 'div class="blanks"'}


def plain(text: object) -> str:
    """Any text, harmless in a document: escaped, control and direction marks spelled out."""
    whole = str(text)
    return escape(whole if whole.isprintable() else "".join(_visible(ch) for ch in whole))


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
    mark = f"{_mark(block.mark)} " if block.mark else ""
    under = f"\n{fragment(block.under)}" if block.under else ""
    return f'<div class="item {block.tone.value}">{mark}{plain(block.text)}{under}</div>'


def _mark(mark: str) -> str:
    """What leads an item: a bullet, a number, a box to tick."""
    shown = plain("\u2022" if mark == "*" else mark)
    return shown.replace("[ ]", '<input type="checkbox">')


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
    unit = f" <span>{plain(block.unit)}</span>" if block.unit else ""
    return (f'<label class="blank"><span>{plain(block.label)}</span> '
            f'<input type="text" value="{plain(block.value)}">{unit}</label>')


@_html.register
def _choice(block: blocks.Choice) -> str:
    boxes = " ".join(
        f'<label><input type="checkbox">{plain(option)}</label>' for option in block.options
    )
    return f'<div class="choice">{plain(block.label)}: {boxes}</div>'


@_html.register
def _form(block: blocks.Form) -> str:
    head = "".join(f"<th>{plain(cell)}</th>" for cell in block.head)
    rows = "".join(
        f"<tr>{''.join(_place(block, row, column) for column in range(len(row)))}</tr>\n"
        for row in block.rows
    )
    return f'<table class="form">\n<tr>{head}</tr>\n{rows}</table>'


def _place(block: blocks.Form, row: tuple[str | None, ...], column: int) -> str:
    cell = row[column]
    if cell is not None:
        return f"<td>{plain(cell)}</td>"
    name = f"{row[0] or ''} {block.head[column]}".strip()
    return f'<td class="fill"><input type="text" aria-label="{plain(name)}"></td>'


@_html.register
def _listing(block: blocks.Listing) -> str:
    if not block.texts:
        return ""
    items = "".join(f"<li>{plain(text)}</li>" for text in block.texts)
    many = " many" if len(block.texts) > _ONE_COLUMN else ""
    return f'<ul class="listing{many} {block.tone.value}">{items}</ul>'


@_html.register
def _columns(block: blocks.Columns) -> str:
    parts = "\n".join(f"<div{_drawn(part)}>{fragment(part)}</div>" for part in block.parts if part)
    return f'<div class="columns">\n{parts}\n</div>'


def _drawn(part: tuple[blocks.Block, ...]) -> str:
    return ' class="drawn"' if all(isinstance(each, blocks.Drawing) for each in part) else ""


@_html.register
def _drawing(block: blocks.Drawing) -> str:
    return f"<figure>{svg(block.figure)}<figcaption>{plain(block.caption)}</figcaption></figure>"
