"""Humps of a spectrum over frequency: what rings instead of turning.

A part of the car on its springs (body, wheel, a phone in its holder) rings at a frequency of its
own and answers the road with a hump some hertz wide; what turns at a steady speed is as narrow as
the record's segments allow. So a peak's width tells, held against the width of the window.

References
----------
1. F. J. Harris, On the use of windows for harmonic analysis, Proc. IEEE 66 (1978) 51-83: half-power
   width of a Hann window, 1.44 bins.
2. J. P. den Hartog, Mechanical Vibrations, chapter 2: half-power width 2 zeta f of a resonance.
3. TRL SR12UC and Automotive Chassis Engineering (read): body 1 to 2 Hz, wheel hop 10 to 15 Hz.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from vibecheck.metrology.record.fine import HANN_HALF_POWER
from vibecheck.metrology.record.spectrum import Spectrum

Real = npt.NDArray[np.float64]

WIDE = 2.0  # times what the window allows; wider is no line
STANDS_OUT = 2.0  # times the lower level on both sides; less is no hump
NOISE_ROOM = 4.0  # standard deviations of the evened spectrum beyond that
SMOOTH_HZ = 0.75  # over which the spectrum is evened out before humps are looked for
MOST_HUMPS = 6
LOWEST_HZ = 0.8
BODY_HZ, HOP_HZ = (0.8, 2.5), (8.0, 17.0)  # usual ranges [3], with some room


class Rings(StrEnum):
    """What a hump may be, by where it stands."""

    BODY = "body"
    HOP_OR_HOLDER = "hop_or_holder"
    HOLDER_OR_OTHER = "holder_or_other"


@dataclass(frozen=True)
class Hump:
    """A resonance.

    Attributes
    ----------
    at_hz : its top [Hz].
    width_hz : half-power width, the window's share taken off [Hz].
    allowed_hz : the width that a line would show in this record [Hz].
    rms : root mean square over the width, axes together [m/s2].
    rings : what it may be.
    """

    at_hz: float
    width_hz: float
    allowed_hz: float
    rms: float
    rings: Rings


def humps_of(spectrum: Spectrum, highest_hz: float) -> tuple[Hump, ...]:
    """Humps that are wider than the record's segments would show a line, strongest first.

    Parameters
    ----------
    spectrum : over frequency.
    highest_hz : to look up to [Hz].
    """
    step = spectrum.step
    reach = max(round(SMOOTH_HZ / step / 2.0), 1)
    kernel = np.hanning(2 * reach + 3)[1:-1]
    inside = (spectrum.at >= LOWEST_HZ) & (spectrum.at <= highest_hz)
    # Held level beyond what is looked at, so that no end falls off by itself.
    held = np.interp(spectrum.at, spectrum.at[inside], spectrum.total[inside])
    half = len(kernel) // 2
    smooth = np.convolve(np.pad(held, half, mode="edge"), kernel / kernel.sum(), mode="valid")
    found: list[Hump] = []
    for top in np.flatnonzero(inside[1:-1] & (smooth[1:-1] > smooth[:-2])
                              & (smooth[1:-1] >= smooth[2:])) + 1:
        hump = _hump(spectrum, smooth, int(top), kernel)
        if hump is not None and all(
                abs(hump.at_hz - other.at_hz) > (hump.width_hz + other.width_hz) / 2.0
                for other in found):
            found.append(hump)
    return tuple(sorted(found, key=lambda hump: -hump.rms)[:MOST_HUMPS])


def rings_at(hertz: float) -> Rings:
    """What usually rings there."""
    if BODY_HZ[0] <= hertz <= BODY_HZ[1]:
        return Rings.BODY
    return Rings.HOP_OR_HOLDER if HOP_HZ[0] <= hertz <= HOP_HZ[1] else Rings.HOLDER_OR_OTHER


def _hump(spectrum: Spectrum, smooth: Real, top: int, kernel: Real) -> Hump | None:
    left, right = _foot(smooth, top, -1), _foot(smooth, top, 1)
    noise = 1.0 / math.sqrt(spectrum.independent * len(kernel))
    base = max(float(smooth[left]), float(smooth[right]))
    if smooth[top] < STANDS_OUT * (1.0 + NOISE_ROOM * noise) * base:
        return None
    half = smooth[top] / 2.0
    low, high = top, top
    while low > left and smooth[low] > half:
        low -= 1
    while high < right and smooth[high] > half:
        high += 1
    step = spectrum.step
    seen = (high - low - (half - smooth[low]) / max(smooth[low + 1] - smooth[low], 1e-300)
            - (half - smooth[high]) / max(smooth[high - 1] - smooth[high], 1e-300)) * step
    bins = np.arange(len(kernel)) - len(kernel) // 2
    evened = 2.355 * math.sqrt(float((kernel * bins**2).sum() / kernel.sum())) * step
    allowed = math.hypot(HANN_HALF_POWER * step, evened)
    width = math.sqrt(max(seen**2 - allowed**2, 0.0))
    if seen < WIDE / 1.4 * allowed or width < WIDE * HANN_HALF_POWER * step / 2.0:
        return None
    rms = math.sqrt(float(spectrum.total[low: high + 1].sum()) * step)
    at = float(spectrum.at[top])
    return Hump(at, width, HANN_HALF_POWER * step, rms, rings_at(at))


def _foot(smooth: Real, top: int, direction: int) -> int:
    """Where the level stops falling by more than noise, going away from the top."""
    lowest = top
    place = top
    while 0 < place < len(smooth) - 1:
        place += direction
        if smooth[place] < smooth[lowest]:
            lowest = place
        elif smooth[place] > STANDS_OUT / 1.3 * smooth[lowest]:
            break
    return lowest
