"""A claim sheet for one wheel: what the readings show, for a seller or a shipper.

It states what was measured, by whom, with what and when; it alleges nothing about who did what.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from vibecheck.casebook.journal import read_moment
from vibecheck.errors import InputError
from vibecheck.report.blocks import Blank, Block, Item, Pair, Paragraph, Table, Tone, items, section
from vibecheck.report.wheel_set_sheet import foot_blocks, head_blocks, turn_blocks
from vibecheck.report.wheel_words import (
    LONG_SURFACES,
    LOOKS_AT_LENGTH,
    limit_source,
    size_text,
    unlooked_text,
)
from vibecheck.report.wording import Wording
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import TABLE_ORDER, WheelRow

ZONES = {"within": "proven within", "beyond": "proven beyond", "undecided": "not decided"}
NO_SHAPE = "The shape round the wheel was not read."
NOT_ALLEGED = (
    "This sheet says what was seen and measured when, and what shape the readings have. It does "
    "not say who caused it, or when."
)


@dataclass(frozen=True)
class Photo:
    """A picture that belongs to a claim: its file's name and the SHA-256 of its content."""

    name: str
    sha256: str


def claim_sheet(
    bench: WheelBench, key: str, wording: Wording, photos: Sequence[Photo] = ()
) -> tuple[Block, ...]:
    """The whole sheet.

    Raises
    ------
    InputError : no such wheel, or nothing was read or seen of it.
    """
    if key not in bench.names:
        raise InputError(f"there is no wheel '{key[:20]}'", "",
                         f"write one of {', '.join(bench.names)}")
    row = bench.table.row(key)
    if not row.read and row.look is None:
        raise InputError(f"nothing was read or seen of wheel '{row.name}'", "",
                         "measure it first")
    return (
        *head_blocks(bench, "Wheel claim: what was measured"),
        Pair("Wheel:", row.name),
        *section("The four bead surfaces, tire off", _readings(row, bench, wording)),
        *section("The shape", turn_blocks(row, bench, wording) or (Paragraph(NO_SHAPE),)),
        *section("Seen", _seen(row)),
        *section("Photos", _photos(photos)),
        *section("What this sheet says, and what not", (Paragraph(NOT_ALLEGED),)),
        *_signed(bench),
        *foot_blocks(bench.library),
    )


def _readings(row: WheelRow, bench: WheelBench, wording: Wording) -> tuple[Block, ...]:
    of_set = isinstance(bench, OpenSet)
    rows = []
    for surface in TABLE_ORDER:
        found, limit = row.read.get(surface), bench.table.limits[surface]
        size = size_text(found, wording) if found else "not read"
        zone = ZONES[found.judgement.zone.value] if found else ""
        entry = bench.newest(row.key, surface)
        at = f"{read_moment(entry.at).astimezone():%Y-%m-%d %H:%M}" if entry else ""
        rows.append((LONG_SURFACES[surface], size,
                     wording.length(limit.value) if limit else "", zone, at))
    sources = {limit_source(bench.library, limit, of_set)
               for limit in bench.table.limits.values() if limit is not None}
    return (
        Table(("surface", "high minus low", "limit", "", "read"), tuple(rows)),
        Paragraph("The limit: " + "; ".join(sorted(sources)) + ".", Tone.QUIET),
        Paragraph("Uncertainties are expanded, about 95 %; within or beyond is said by ISO 14253-1 "
                  "only past them.", Tone.QUIET),
    )


def _seen(row: WheelRow) -> tuple[Block, ...]:
    said = [LOOKS_AT_LENGTH[row.look]] if row.look is not None else []
    if row.unlooked:
        said.append(unlooked_text(row.unlooked))
    return items(f"{text[0].upper()}{text[1:]}." for text in said)


def _photos(photos: Sequence[Photo]) -> tuple[Block, ...]:
    if not photos:
        return items(("Box, label and packing:", "The whole wheel, with its mark:",
                      "The gauge on the place:"), "[ ]")
    return tuple(Item(each.name, "*", under=(Paragraph(f"SHA-256 {each.sha256}", Tone.QUIET),))
                 for each in photos)


def _signed(bench: WheelBench) -> tuple[Block, ...]:
    about = bench.about if isinstance(bench, OpenSet) else None
    return (
        *(() if about and about.by else (Blank("Measured by"),)),
        *(() if about and about.gauge else (Blank("With (gauge, last checked)"),)),
        Blank("Order or delivery number"),
        Blank("Date and signature"),
    )
