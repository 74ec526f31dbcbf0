"""The command `orders`: what shakes at which frequency, and which parts fit a measured one."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.cli.parser import Commands, Parser, UsageError, add_json, command
from vibecheck.cli.terminal import Terminal
from vibecheck.report.lines import heading, wrapped

if TYPE_CHECKING:
    from vibecheck.metrology.orders import Driveline, Fit, OrderLine, Pair
    from vibecheck.metrology.tiresize import TireSize

EXAMPLE = """\
  vibecheck orders --tire 205/55R16 --speed '105 km/h' --axle-ratio 3.73 \\
      --measured '14.9 Hz +/- 0.3'
  A wheel of this tire turns about 15 times a second at 105 km/h: a shake measured at
  14.9 Hz comes once per turn of a wheel, the propshaft would shake near 56 Hz."""
USUAL_PEAK_HZ = 0.3  # expanded uncertainty of a peak if none is typed
OPTIONS = (
    ("--axle-ratio", "RATIO", "propshaft turns per wheel turn"),
    ("--cylinders", "N", "of the engine"),
    ("--overall-ratio", "RATIO", "engine turns per wheel turn in the gear driven"),
    ("--engine-rpm", "RPM", "engine speed as read from the rev counter"),
    ("--motor-reduction", "RATIO", "electric motor turns per wheel turn"),
)


def add(commands: Commands) -> None:
    """The command of this bench."""
    parser = command(
        commands, "orders", run_orders,
        "Say which part shakes at which frequency, and which parts fit a measured one", EXAMPLE,
    )
    parser.add_argument("--tire", required=True, metavar="SIZE", help="such as 205/55R16")
    parser.add_argument("--speed", required=True, help="road speed, such as '65 mph'")
    parser.add_argument("--speed-uncertainty", metavar="SPEED",
                        help="how well the speed is known, k = 2 (else 2 km/h)")
    for option, shown, about in OPTIONS:
        parser.add_argument(option, metavar=shown, help=about)
    parser.add_argument("--electric", action="store_true", help="no engine")
    parser.add_argument("--no-propshaft", action="store_true", help="no shaft along the car")
    parser.add_argument("--no-half-shafts", action="store_true", help="a rigid driven axle")
    add_gears(parser)
    parser.add_argument("--measured", metavar="HZ", help="a shake as measured: '14.2 Hz +/- 0.2'")
    add_json(parser)


def add_gears(parser: Parser) -> None:
    """Other gears, so that the tool can say which of them tells two parts apart."""
    parser.add_argument(
        "--gear", metavar="NAME=RATIO", action="append", default=[],
        help="another gear: engine turns per wheel turn; may be given often",
    )


def run_orders(chosen: argparse.Namespace, terminal: Terminal) -> ExitCode:
    """Print the order table, and the fits of a measured frequency."""
    found = calculate(chosen)
    if chosen.json:
        terminal.json(as_data(found))
    else:
        terminal.lines(text_lines(found, terminal.width))
    return ExitCode.FINE


def calculate(chosen: argparse.Namespace) -> dict[str, Any]:
    """Everything the command says, from what was typed.

    Raises
    ------
    InputError family : a size, speed, ratio or frequency that cannot be.
    """
    from vibecheck.metrology import orders, tiresize
    from vibecheck.metrology.units import Quantity, parse

    size = tiresize.parse_size(chosen.tire, "--tire")
    speed = parse(chosen.speed, Quantity.SPEED, None, "--speed")
    spread = speed.uncertainty if speed.uncertainty is not None else orders.SPEEDOMETER_KMH
    if chosen.speed_uncertainty is not None:
        where = "--speed-uncertainty"
        spread = parse(chosen.speed_uncertainty, Quantity.SPEED, None, where).value
    table = orders.order_table(speed.value, size.rolling, driveline(chosen), spread)
    found = {"tire": size, "speed_kmh": speed.value, "speed_uncertainty_kmh": spread,
             "orders": table, "measured": None, "fits": (), "inseparable": ()}
    peak_spread = USUAL_PEAK_HZ
    if chosen.measured is not None:
        peak = parse(chosen.measured, Quantity.FREQUENCY, None, "--measured")
        peak_spread = USUAL_PEAK_HZ if peak.uncertainty is None else peak.uncertainty
        found["measured"] = {"hz": peak.value, "uncertainty_hz": peak_spread}
        found["fits"] = orders.parts_that_fit(peak.value, peak_spread, table)
    found["inseparable"] = orders.inseparable(
        table, speed.value, peak_spread, size.rolling, spread, gears(chosen.gear)
    )
    return found


def driveline(chosen: argparse.Namespace) -> Driveline:
    """What was said of the driveline."""
    from vibecheck.metrology.orders import Driveline

    cylinders = number(chosen.cylinders, "--cylinders")
    if cylinders is not None and cylinders != int(cylinders):
        raise UsageError(f"'{chosen.cylinders}' is not a count", "--cylinders", "write 4")
    return Driveline(
        axle_ratio=number(chosen.axle_ratio, "--axle-ratio"),
        has_propshaft=False if chosen.no_propshaft else None,
        has_half_shafts=False if chosen.no_half_shafts else None,
        cylinders=None if cylinders is None else int(cylinders),
        overall_ratio=number(chosen.overall_ratio, "--overall-ratio"),
        engine_rpm=number(chosen.engine_rpm, "--engine-rpm"),
        electric=True if chosen.electric else None,
        motor_reduction=number(chosen.motor_reduction, "--motor-reduction"),
    )


def gears(typed: list[str]) -> dict[str, float]:
    """Gears by name from NAME=RATIO."""
    found: dict[str, float] = {}
    for text in typed:
        name, _, ratio = text.partition("=")
        value = number(ratio or None, f"--gear {name}"[:60])
        if not name or value is None or value <= 0.0:
            raise UsageError(f"'{text[:60]}' is not a gear", "--gear", "write --gear fourth=3.9")
        found[name] = value
    return found


def number(typed: str | None, where: str) -> float | None:
    """A typed number, or None where nothing was typed."""
    from vibecheck.metrology.units import Quantity, parse

    return None if typed is None else parse(typed, Quantity.NUMBER, None, where).value


def as_data(found: dict[str, Any]) -> dict[str, Any]:
    """The result for programs."""
    from msgspec import to_builtins

    size: TireSize = found["tire"]
    whole: dict[str, Any] = to_builtins(found)
    whole["rolling"] = to_builtins(size.rolling)
    return whole


def text_lines(found: dict[str, Any], width: int) -> list[str]:
    """The result for people."""
    size: TireSize = found["tire"]
    rolling = size.rolling
    lines = wrapped(
        f"{size.designation}: diameter {size.diameter_mm:.1f} mm, rolls "
        f"{rolling.circumference_m:.3f} m a turn ({rolling.low_m:.3f} to {rolling.high_m:.3f})",
        width,
    )
    lines += heading(f"At {found['speed_kmh']:.1f} km/h", width)
    lines += [order_line(line) for line in found["orders"]]
    if found["measured"]:
        lines += fit_lines(found, width)
    if found["inseparable"]:
        lines += heading("Cannot be told apart at this speed", width)
        for pair in found["inseparable"]:
            lines += pair_lines(pair, width)
    return lines


def order_line(line: OrderLine) -> str:
    """One row of the table."""
    return f"  {line.hz:7.2f} Hz +/- {line.uncertainty_hz:5.2f}  {line.name}"


def fit_lines(found: dict[str, Any], width: int) -> list[str]:
    """The parts that fit what was measured, the closest first."""
    measured = found["measured"]
    title = f"Measured {measured['hz']:.2f} Hz +/- {measured['uncertainty_hz']:.2f}"
    fitting: list[Fit] = [fit for fit in found["fits"] if fit.fits]
    lines = heading(title, width)
    for fit in fitting:
        lines += wrapped(
            f"{fit.line.name} fits: {fit.gap_hz:+.2f} Hz off, {fit.allowed_hz:.2f} allowed",
            width, "  * ",
        )
    if not fitting:
        nearest: Fit = found["fits"][0]
        lines += wrapped(
            f"nothing that turns fits; nearest is {nearest.line.name}, "
            f"{nearest.gap_hz:+.2f} Hz off where {nearest.allowed_hz:.2f} are allowed",
            width, "  * ",
        )
    return lines


def pair_lines(pair: Pair, width: int) -> list[str]:
    """Two orders that are one to the ear, and what parts them."""
    return wrapped(pair.advice, width, "  * ")
