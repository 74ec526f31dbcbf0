"""Options that say what is known of a driveline, shared by `orders` and `record`."""

from __future__ import annotations

from vibecheck.cli.parser import Parser

OPTIONS = (
    ("--axle-ratio", "RATIO", "driveshaft turns per wheel turn"),
    ("--cylinders", "N", "of the engine"),
    ("--overall-ratio", "RATIO", "engine turns per wheel turn in the gear driven"),
    ("--engine-rpm", "RPM", "engine speed as read from the rev counter"),
    ("--motor-reduction", "RATIO", "electric motor turns per wheel turn"),
)


def add_driveline(parser: Parser) -> None:
    """What is known of the driveline."""
    for option, shown, about in OPTIONS:
        parser.add_argument(option, metavar=shown, help=about)
    parser.add_argument("--electric", action="store_true", help="no engine")
    parser.add_argument("--no-driveshaft", action="store_true", help="no shaft along the car")
    parser.add_argument("--no-half-shafts", action="store_true", help="a rigid driven axle")
