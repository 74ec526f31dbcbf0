"""Half an hour at 200 Hz: seconds and memory, side by side with numpy.loadtxt of the same file.

    python tests/bench/bench_record.py
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from vibecheck.metrology.record.even import even
from vibecheck.metrology.record.load import load
from vibecheck.metrology.record.order_tracking import order_peaks, order_spectrum
from vibecheck.metrology.record.peaks import peaks_of
from vibecheck.metrology.record.severity import severity_of
from vibecheck.metrology.record.spectrum import spectrum_of
from vibecheck.metrology.vectors import Vector
from vibecheck.virtual.shake import (
    Dialect,
    Drive,
    Phone,
    ShakeFaults,
    as_csv,
    drive_record,
)

REPEATS = 3
POINT = Dialect(("time (s)", "ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)", "speed (m/s)"))
COMMA = Dialect(
    ("timestamp", "Acceleration x (g)", "Acceleration y (g)", "Acceleration z (g)", ""),
    delimiter=";", decimal=",", per_second=1e3, per_m_s2=1 / 9.80665,
)


def best(task: Callable[[], object]) -> float:
    """Shortest of some runs [s]."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        task()
        times.append(time.perf_counter() - start)
    return min(times)


def megabytes() -> float:
    """Highest memory of this process so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def write(folder: Path) -> tuple[Path, Path]:
    """Two files of the same drive."""
    drive = Drive(1800.0, 60.0, 110.0)
    faults = ShakeFaults(imbalance={"left-front": Vector(8000.0, 40.0)})
    shake = drive_record(drive, faults, Phone(rate_hz=200.0), np.random.default_rng(1))
    paths = folder / "point.csv", folder / "comma.csv"
    for path, dialect in zip(paths, (POINT, COMMA), strict=True):
        path.write_text(as_csv(shake, dialect))
    return paths


def all_steps(path: Path) -> None:
    """Everything that the record command does."""
    record = even(load(path))
    peaks_of(spectrum_of(record))
    severity_of(record)
    if record.stretches[0].speed_ms is not None:
        order_peaks(order_spectrum(record, 1.95), 0.4)


def main(arguments: list[str]) -> None:
    """Print the comparison; with --one FILE only run that file (for its memory)."""
    if arguments[:1] == ["--one"]:
        all_steps(Path(arguments[1]))
        print(f"{megabytes():.0f}")
        return
    import subprocess

    with tempfile.TemporaryDirectory() as name:
        point, comma = write(Path(name))
        size = point.stat().st_size / 1e6
        plain = best(lambda: np.loadtxt(point, delimiter=",", skiprows=1))
        print(f"360,000 rows, {size:.0f} MB; best of {REPEATS}")
        print(f"{'numpy.loadtxt of the file':44} {plain:6.2f} s   1.00")
        record = load(point)
        steady = even(record)
        for label, task in (
            ("load", lambda: load(point)),
            ("load, decimal commas and semicolons", lambda: load(comma)),
            ("load and spectrum", lambda: spectrum_of(even(load(point)))),
            ("even grid alone", lambda: even(record)),
            ("spectrum alone", lambda: spectrum_of(steady)),
            ("order spectrum alone", lambda: order_spectrum(steady, 1.95)),
            ("severity alone", lambda: severity_of(steady)),
            ("load, spectrum, orders, severity", lambda: all_steps(point)),
        ):
            took = best(task)
            print(f"{label:44} {took:6.2f} s   {took / plain:4.2f}")
        used = subprocess.run(
            [sys.executable, __file__, "--one", str(point)], capture_output=True, text=True,
            check=True,
        ).stdout.strip()
        print(f"highest memory of a fresh process doing it all: {used} MB")


if __name__ == "__main__":
    main(sys.argv[1:])
