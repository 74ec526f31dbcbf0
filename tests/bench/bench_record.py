"""Time and memory of a record, against reading its numbers with numpy alone.

    python tests/bench/bench_record.py [MINUTES]

The drive is simulated at 200 Hz (240 minutes by default, some 140 MB) and written to a temporary
file; each step runs in a fresh process, so that its memory is its own. Times are of the
processor, since other programs may run beside.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from vibecheck.metrology.orders.rotating_parts import Driveline
from vibecheck.metrology.orders.tire_size import parse_size
from vibecheck.metrology.record.car_orders import car_orders
from vibecheck.metrology.record.even import even
from vibecheck.metrology.record.examine import examine
from vibecheck.metrology.record.load import load
from vibecheck.metrology.record.scale import SpeedSource
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.ride import Pickup, Ride, Vehicle, ride_record
from vibecheck.virtual.shake import Drive, Phone, ShakeFaults, drive_record

MINUTES = 240.0
PIECE_S = 600.0  # simulated at once
HEADER = "time (s),ax (m/s^2),ay (m/s^2),az (m/s^2),speed (m/s)"
RIDES = 20


def megabytes() -> float:
    """Highest memory of this process so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def write(path: Path, minutes: float) -> None:
    """A drive up and down through the speeds with one wheel out of balance."""
    faults = ShakeFaults(imbalance={"left-front": Vector(8000.0, 40.0)})
    rng = np.random.default_rng(1)
    with path.open("w") as file:
        file.write(HEADER + "\n")
        for piece in range(max(round(minutes * 60.0 / PIECE_S), 1)):
            ends = (60.0, 110.0) if piece % 2 else (110.0, 60.0)
            shake = drive_record(Drive(PIECE_S, *ends), faults, Phone(rate_hz=200.0), rng)
            stamps = shake.time_s + piece * (PIECE_S + 1.0)
            np.savetxt(file, np.column_stack([stamps, shake.acceleration, shake.speed_ms]),
                       "%.6f", ",")


def plain(path: Path) -> None:
    """The numbers alone, by numpy."""
    np.loadtxt(path, delimiter=",", skiprows=1)


def everything(path: Path) -> None:
    """All that a calculator does with a record."""
    rolling = parse_size("205/55R16").rolling
    known = Driveline(axle_ratio=3.73, overall_ratio=2.6, cylinders=4)
    examine(load(path), rolling.circumference_m,
            car=car_orders(rolling, known, SpeedSource.GPS))


STEPS = {
    "numpy.loadtxt": plain,
    "load": lambda path: load(path),
    "load, even grid": lambda path: even(load(path)),
    "load, spectrum, orders, every order judged, severity": everything,
}


def measured(step: str, path: Path) -> tuple[float, float]:
    """Seconds and megabytes of one step in a process of its own."""
    said = subprocess.run([sys.executable, __file__, "--one", step, str(path)],
                          capture_output=True, text=True, check=True).stdout.split()
    return float(said[0]), float(said[1])


def ride_s() -> float:
    """Mean time that the forward model takes for a ride of 60 s at 100 Hz [s]."""
    rng = np.random.default_rng(2)
    start = time.process_time()
    for _ in range(RIDES):
        ride_record(Ride(), Vehicle(), Pickup(), rng)
    return (time.process_time() - start) / RIDES


def main(arguments: list[str]) -> None:
    """Print the comparison; with --one STEP FILE only run that step."""
    if arguments[:1] == ["--one"]:
        start = time.process_time()
        STEPS[arguments[1]](Path(arguments[2]))
        print(time.process_time() - start, megabytes())
        return
    minutes = float(arguments[0]) if arguments else MINUTES
    print(f"a simulated ride of 60 s at 100 Hz: {ride_s():.3f} s")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "drive.csv"
        write(path, minutes)
        print(f"{minutes:g} minutes at 200 Hz, {path.stat().st_size / 1e6:.0f} MB")
        base = 0.0
        for step in STEPS:
            took, used = measured(step, path)
            base = base or took
            print(f"{step:54} {took:6.2f} s  {took / base:4.2f}  {used:4.0f} MB")


if __name__ == "__main__":
    main(sys.argv[1:])
