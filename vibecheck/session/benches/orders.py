"""The orders bench: what shakes at which frequency, and which parts fit a measured one."""

from __future__ import annotations

from typing import ClassVar

from msgspec import Struct

from vibecheck.errors import InputError, ReadingError
from vibecheck.metrology.orders import rotating_parts as orders
from vibecheck.metrology.orders.rotating_parts import Fit, OrderLine, Pair
from vibecheck.metrology.orders.tire_size import Rolling, TireSize
from vibecheck.metrology.units.numerals import short
from vibecheck.metrology.units.values import Quantity, show
from vibecheck.session.answers import Assignment
from vibecheck.session.benches import fields
from vibecheck.session.benches.result import BenchView, Mark, Plot, Section, no_surface
from vibecheck.session.benches.told import Lengths
from vibecheck.session.benches.turning import DrivelineTyped, driveline, order_state

USUAL_PEAK_HZ = 0.3  # expanded uncertainty of a peak if none is typed


class OrdersTyped(DrivelineTyped, frozen=True, kw_only=True):
    """What a person types: tire and speed; `measured` as "14.9 Hz +/- 0.3"; other `gears` as
    "third=4.8", engine turns per wheel turn; `told_in` and `told_speed_in` are the units of
    lengths and speeds in the result's texts."""

    tire: str
    speed: str
    speed_uncertainty: str = ""
    measured: str = ""
    gears: tuple[str, ...] = ()
    told_in: str = "mm"
    told_speed_in: str = "km/h"


class Shake(Struct, frozen=True, kw_only=True):
    """A measured frequency with its expanded uncertainty [Hz]."""

    hz: float
    uncertainty_hz: float


class OrdersView(BenchView, frozen=True, kw_only=True):
    """The order table, the fits of a measured frequency, and what cannot be told apart."""

    calculator: ClassVar[str] = "orders"

    tire: TireSize
    rolling: Rolling
    speed_kmh: float
    speed_uncertainty_kmh: float
    orders: tuple[OrderLine, ...]
    measured: Shake | None
    fits: tuple[Fit, ...]
    inseparable: tuple[Pair, ...]
    typed: str

    @property
    def states(self) -> tuple[str, ...]:
        """States of `record_order` that fit what was measured."""
        return tuple(dict.fromkeys(order_state(fit.line) for fit in self.fits if fit.fits))

    def assignments(self, corner: str | None, surface: str = "") -> tuple[Assignment, ...]:
        """The order that fits, where one alone does."""
        no_surface(surface)
        if len(self.states) != 1:
            return ()
        at = f"{self.speed_kmh:g} km/h"
        return (Assignment("record_order", self.states[0], None, (self.typed,), (at,)),)


def run(typed: OrdersTyped) -> OrdersView:
    """The table at this speed, and the parts that fit.

    Raises
    ------
    InputError family : a size, speed, ratio or frequency that cannot be.
    """
    size = fields.tire(typed.tire)
    speed = fields.value(typed.speed, Quantity.SPEED, "speed")
    if size is None or speed is None:
        missing = "tire" if size is None else "speed"
        raise ReadingError("nothing is given", missing, "write 205/55R16 and 105 km/h")
    spread = fields.uncertainty(typed.speed_uncertainty, Quantity.SPEED, "speed_uncertainty")
    if spread is None:
        spread = speed.uncertainty if speed.uncertainty is not None else orders.SPEEDOMETER_KMH
    known = driveline(typed)
    with fields.at_field(_suspect(typed)):
        table = orders.order_table(speed.value, size.rolling, known, spread)
    measured = _measured(typed)
    fits: tuple[Fit, ...] = ()
    if measured is not None:
        with fields.at_field("measured"):
            fits = orders.parts_that_fit(measured.hz, measured.uncertainty_hz, table)
    peak = USUAL_PEAK_HZ if measured is None else measured.uncertainty_hz
    pairs = orders.inseparable(table, speed.value, peak, size.rolling, spread, _gears(typed))
    return OrdersView(
        headline=f"{size.designation}: diameter "
                 f"{Lengths(typed.told_in).size(size.diameter_mm, 1)}, rolls "
                 f"{size.rolling.circumference_m:.3f} m a turn ({size.rolling.low_m:.3f} to "
                 f"{size.rolling.high_m:.3f})",
        sections=_sections(
            show(speed.value, Quantity.SPEED, typed.told_speed_in, 1), table, measured, fits),
        next=tuple(pair.advice for pair in pairs), plot=_plot(table, measured),
        tire=size, rolling=size.rolling, speed_kmh=speed.value, speed_uncertainty_kmh=spread,
        orders=table, measured=measured, fits=fits, inseparable=pairs, typed=typed.measured,
    )


def _suspect(typed: OrdersTyped) -> str:
    """The field that the order table refuses: the only one that it can."""
    known = driveline(typed)
    for name, low, high in (
        ("axle_ratio", *orders.RATIO), ("overall_ratio", *orders.RATIO),
        ("motor_reduction", *orders.RATIO), ("cylinders", *orders.CYLINDERS),
        ("engine_rpm", *orders.ENGINE_RPM),
    ):
        value = getattr(known, name)
        if value is not None and not low <= value <= high:
            return name
    return "speed"


def _measured(typed: OrdersTyped) -> Shake | None:
    found = fields.value(typed.measured, Quantity.FREQUENCY, "measured")
    if found is None:
        return None
    spread = USUAL_PEAK_HZ if found.uncertainty is None else found.uncertainty
    return Shake(hz=found.value, uncertainty_hz=spread)


def _gears(typed: OrdersTyped) -> dict[str, float]:
    found: dict[str, float] = {}
    for text in typed.gears:
        name, _, ratio = text.partition("=")
        try:
            value = fields.number(ratio, "gears")
        except InputError:
            value = None
        if not name.strip() or value is None or value <= 0.0:
            raise ReadingError(f"'{short(text)}' is not a gear", "gears", "write fourth=3.9")
        found[name.strip()] = value
    return found


def _sections(
    speed: str, table: tuple[OrderLine, ...], measured: Shake | None, fits: tuple[Fit, ...]
) -> tuple[Section, ...]:
    rows = tuple(f"{line.hz:7.2f} Hz +/- {line.uncertainty_hz:5.2f}  {line.name}" for line in table)
    sections = [Section(title=f"At {speed}", lines=rows)]
    if measured is not None:
        title = f"Measured {measured.hz:.2f} Hz +/- {measured.uncertainty_hz:.2f}"
        sections.append(Section(title=title, lines=_fit_lines(fits), bullets=True))
    return tuple(sections)


def _fit_lines(fits: tuple[Fit, ...]) -> tuple[str, ...]:
    fitting = tuple(
        f"{fit.line.name} fits: {fit.gap_hz:+.2f} Hz off, {fit.allowed_hz:.2f} allowed"
        for fit in fits if fit.fits
    )
    if fitting:
        return fitting
    nearest = fits[0]
    return (f"nothing that turns fits; nearest is {nearest.line.name}, {nearest.gap_hz:+.2f} Hz "
            f"off where {nearest.allowed_hz:.2f} are allowed",)


def _plot(table: tuple[OrderLine, ...], measured: Shake | None) -> Plot:
    marks = [] if measured is None else [Mark(at=measured.hz, label="measured")]
    return Plot(
        kind="bars", title="Orders at this speed", x_label="order", y_label="Hz",
        y=tuple(line.hz for line in table), labels=tuple(line.name for line in table),
        marks=tuple(marks),
    )
