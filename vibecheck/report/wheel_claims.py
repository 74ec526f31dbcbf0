"""The claim sheet of one wheel among those that were measured side by side."""

from __future__ import annotations

from collections.abc import Sequence

from vibecheck.casebook.photos import Photo
from vibecheck.errors import InputError
from vibecheck.report.blocks import Block
from vibecheck.report.claim_sheet import Claim, ReadSurface, claim_sheet
from vibecheck.report.wheel_set_sheet import figure_of, judged_by
from vibecheck.report.wheel_words import LOOKS_AT_LENGTH, limit_source, unlooked_text
from vibecheck.report.wording import Wording
from vibecheck.session.wheel_bench import WheelBench
from vibecheck.session.wheel_set import OpenSet
from vibecheck.session.wheel_table import TABLE_ORDER, WheelRow, pattern_of


def wheel_claim(
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
    return claim_sheet(claim_of(bench, row, wording, photos), wording)


def claim_of(
    bench: WheelBench, row: WheelRow, wording: Wording, photos: Sequence[Photo]
) -> Claim:
    """The wheel as plain values."""
    about = bench.about if isinstance(bench, OpenSet) else None
    moments = sorted(entry.at for entries in row.readings.values() for entry in entries)
    return Claim(
        wheel=row.name, belongs_to=bench.case.title,
        surfaces=tuple(
            ReadSurface(surface, row.read[surface],
                        limit_source(bench.library, bench.table.limits[surface],
                                     of_set=about is not None),
                        figure_of(row, surface, bench, wording))
            for surface in TABLE_ORDER if surface in row.read
        ),
        pattern=pattern_of(row), measured_by=about.by if about else "",
        gauge=about.gauge if about else "", first=moments[0] if moments else "",
        last=moments[-1] if moments else "", seen=_seen(bench, row), photos=tuple(photos),
        invented=bench.case.invented, foot=(judged_by(bench),),
    )


def _seen(bench: WheelBench, row: WheelRow) -> tuple[str, ...]:
    said = [LOOKS_AT_LENGTH[row.look]] if row.look is not None else []
    if row.unlooked:
        said.append(unlooked_text(row.unlooked))
    if isinstance(bench, OpenSet):
        state, shipped = bench.about.state, bench.about.shipped
        said += [f"the wheel is {state}"] if state else []
        said += ["it came by carrier"] if shipped == "yes" else []
    return tuple(said)
