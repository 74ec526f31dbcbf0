"""Header names as people and phones write them."""

from __future__ import annotations

import pytest

from vibecheck.errors import RecordError
from vibecheck.metrology.record.columns import columns_of

HEADERS = [
    ("time,ax,ay,az", (0, 1, 2, 3, None), ("", "")),
    ("Time (s),X (m/s²),Y (m/s²),Z (m/s²)", (0, 1, 2, 3, None), ("s", "m/s2")),
    ("timestamp_ms,acc_x,acc_y,acc_z,speed_kmh", (0, 1, 2, 3, 4), ("ms", "")),
    ("seconds_elapsed,z,y,x", (0, 3, 2, 1, None), ("s", "")),
    ("timestamp,seconds_elapsed,x,y,z", (1, 2, 3, 4, None), ("s", "")),
    ("index,Elapsed time [us],a_x [g],a_y [g],a_z [g],v [km/h]", (1, 2, 3, 4, 5), ("us", "g")),
    ("t;accelX;accelY;accelZ;gyroX;gyroY;gyroZ", (0, 1, 2, 3, None), ("", "")),
    ("Timestamp (ns);x-axis (mg);y-axis (mg);z-axis (mg)", (0, 1, 2, 3, None), ("ns", "mg")),
    ("time,ax_mps2,ay_mps2,az_mps2,speed_mps,speed_accuracy", (0, 1, 2, 3, 4), ("", "m/s2")),
    ("time_s,ax_m_s2,ay_m_s2,az_m_s2,speed_km_h", (0, 1, 2, 3, 4), ("s", "m/s2")),
    ("Time (s),Linear acceleration x (m/s^2),Linear acceleration y (m/s^2),"
     "Linear acceleration z (m/s^2),Absolute (m/s^2)", (0, 1, 2, 3, None), ("s", "m/s2")),
    ("date,time (s),mag_x,mag_y,mag_z,acceleration_x,acceleration_y,acceleration_z,lat,lon,"
     "altitude,speed (mph)", (1, 5, 6, 7, 11), ("s", "")),
    ("rotation rate x,rotation rate y,rotation rate z,x,y,z,milliseconds", (6, 3, 4, 5, None),
     ("ms", "")),
]


@pytest.mark.parametrize(("header", "places", "units"), HEADERS)
def test_header(header: str, places: tuple[int | None, ...], units: tuple[str, str]) -> None:
    names = header.split(";" if ";" in header else ",")

    found = columns_of(names, len(names), "")

    speed = found.speed.index if found.speed else None
    assert (found.clock[0].index, *(axis.index for axis in found.axes), speed) == places
    assert (found.clock[0].unit, found.axes[0].unit) == units


@pytest.mark.parametrize(
    ("header", "words"),
    [
        ("time,ax,az", "the y axis is missing"),
        ("ax,ay,az", "no clock column"),
        ("time,gyro x,gyro y,gyro z", "no acceleration columns"),
        ("time zone,ax,ay,az", "no clock column"),
    ],
)
def test_what_is_missing_is_named(header: str, words: str) -> None:
    names = header.split(",")

    with pytest.raises(RecordError, match=words):
        columns_of(names, len(names), "drive.csv")
