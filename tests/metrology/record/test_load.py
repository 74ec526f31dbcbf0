"""Records as phones write them: the same drive in many dialects, and every refusal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import RecordError
from vibecheck.metrology.record.load import load, read_record
from vibecheck.metrology.record.notes import RecordNote
from vibecheck.metrology.vectors import Vector
from vibecheck.report.calculators.notes import note_text
from vibecheck.report.wording import Wording
from vibecheck.virtual.shake import Dialect, Drive, Phone, ShakeFaults, as_csv
from vibecheck.virtual.shake import drive_record as record_a_drive

G = 9.80665
SHAKE = record_a_drive(
    Drive(12.0, 80.0, 100.0), ShakeFaults(imbalance={"left-front": Vector(9000.0, 10.0)}),
    Phone(), np.random.default_rng(2),
)
METERS = ("ax (m/s^2)", "ay (m/s^2)", "az (m/s^2)")
DIALECTS = {
    "plain": Dialect(("time", *METERS, "")),
    "elapsed and speed": Dialect(("seconds_elapsed", "x", "y", "z", "speed (m/s)")),
    "g, nanoseconds since 1970": Dialect(
        ("timestamp", "Acceleration x (g)", "Acceleration y (g)", "Acceleration z (g)", ""),
        per_second=1e9, per_m_s2=1 / G, start=1.7e18),
    "g not named": Dialect(("time", "ax", "ay", "az", ""), per_m_s2=1 / G),
    "milliseconds, semicolons, commas": Dialect(
        ("Time [ms]", "Acc X [m/s²]", "Acc Y [m/s²]", "Acc Z [m/s²]", "Speed [km/h]"),
        delimiter=";", decimal=",", per_second=1e3, per_m_s=3.6),
    "microseconds, tabs": Dialect(
        ("timestamp_us", "accelerometerX", "accelerometerY", "accelerometerZ", "speed_mph"),
        delimiter="\t", per_second=1e6, per_m_s=3.6 / 1.609344),
    "tabs and decimal commas": Dialect(
        ("t", "acc_x_ms2", "acc_y_ms2", "acc_z_ms2", ""), delimiter="\t", decimal=","),
    "blanks": Dialect(("time", "x", "y", "z", ""), delimiter=" "),
    "extra columns": Dialect(
        ("Elapsed (s)", "AccX (mg)", "AccY (mg)", "AccZ (mg)", "speed"), per_m_s2=1000 / G,
        extra=("gyro_x", "gyro_y", "gyro_z", "lat", "speed_accuracy")),
}


@pytest.mark.parametrize("name", DIALECTS)
def test_every_dialect_gives_the_same_drive(name: str) -> None:
    dialect = DIALECTS[name]

    record = read_record(as_csv(SHAKE, dialect))

    assert record.rate_hz == pytest.approx(100.0, rel=1e-3)
    assert record.acceleration == pytest.approx(SHAKE.acceleration, abs=2e-5)
    assert record.time_s == pytest.approx(SHAKE.time_s - SHAKE.time_s[0], abs=2e-6)
    assert np.linalg.norm(record.gravity) == pytest.approx(G, abs=0.05)
    assert record.warnings == ()
    if dialect.names[4]:
        assert record.speed_ms is not None
        assert record.speed_ms[0] * 3.6 == pytest.approx(80.0, abs=0.1)
        assert record.speed_ms[1000] * 3.6 == pytest.approx(80.0 + 20.0 * 10 / 12, abs=0.3)
    else:
        assert record.speed_ms is None


def said(record) -> str:
    return " | ".join(
        note_text(note, Wording()) for note in (*record.assumed, *record.warnings))


def test_what_was_assumed_is_told() -> None:
    text = said(read_record(as_csv(SHAKE, DIALECTS["g not named"])))

    assert "columns taken: time, ax, ay, az" in text
    assert "names no time unit; the steps fit s" in text
    assert "names no unit; gravity reads" in text and "g was taken" in text
    assert "jitters by" in text


def table(columns: dict[str, np.ndarray], delimiter: str = ",") -> str:
    rows = zip(*(column.tolist() for column in columns.values()), strict=True)
    lines = [delimiter.join(columns), *(delimiter.join(map(str, row)) for row in rows)]
    return "\n".join(lines) + "\n"


def plain_columns(count: int = 1000, rate: float = 100.0) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(4)
    noise = rng.normal(0.0, 0.3, (count, 3)) + [0.0, 0.0, G]
    return {"time (s)": np.arange(count) / rate, **dict(zip(METERS, noise.T, strict=True))}


def test_header_that_says_g_but_reads_meters_is_corrected() -> None:
    columns = plain_columns()
    renamed = {name.replace("m/s^2", "g"): column for name, column in columns.items()}

    record = read_record(table(renamed))

    assert np.linalg.norm(record.gravity) == pytest.approx(G, abs=0.1)
    assert "says g, but gravity reads" in said(record)


def test_gravity_removed_by_the_phone_is_noticed() -> None:
    columns = plain_columns()
    columns[METERS[2]] = columns[METERS[2]] - G

    record = read_record(table(columns))

    assert record.gravity is None and "gravity was removed" in said(record)


def test_total_acceleration_is_preferred_and_other_sensors_passed_over() -> None:
    base = plain_columns()
    columns = {"time (s)": base["time (s)"]}
    for letter in "xyz":
        columns[f"gyroscope {letter} (rad/s)"] = np.zeros(1000)
        columns[f"linear acceleration {letter} (m/s^2)"] = np.ones(1000)
    for letter, name in zip("xyz", METERS, strict=True):
        columns[f"acceleration {letter} (m/s^2)"] = base[name]

    record = read_record(table(columns))

    assert record.acceleration[:, 2] == pytest.approx(base[METERS[2]])


def test_gravity_given_apart_tells_up() -> None:
    base = plain_columns()
    columns = {"time (s)": base["time (s)"]}
    for letter, name in zip("xyz", METERS, strict=True):
        columns[f"user_acceleration_{letter} (g)"] = (base[name] - base[name].mean()) / G
    for letter, value in zip("xyz", (0.0, 1.0, 0.0), strict=True):
        columns[f"gravity_{letter} (g)"] = np.full(1000, value)

    record = read_record(table(columns))

    assert record.gravity == pytest.approx([0.0, 1.0, 0.0])


def test_no_header_is_taken_as_time_x_y_z() -> None:
    text = table(plain_columns()).split("\n", 1)[1]

    record = read_record(text)

    assert "there is no header" in said(record)
    assert record.acceleration.shape == (1000, 3)


def test_remarks_above_the_header_and_a_line_of_units_below_it() -> None:
    body = table(plain_columns(), ";").split("\n", 1)[1]
    text = "# a drive\nsensor: 3\n\ntime;ax;ay;az\ns;m/s²;m/s²;m/s²\n" + body

    record = read_record(text)

    assert record.rate_hz == pytest.approx(100.0)
    assert "names no" not in said(record)


def test_quoted_cells_with_decimal_commas() -> None:
    lines = table(plain_columns(), ";").replace(".", ",").splitlines()
    text = "\n".join('"' + line.replace(";", '","') + '"' for line in lines)

    record = read_record(text)

    assert record.acceleration[:, 2].mean() == pytest.approx(G, abs=0.05)


def test_dates_as_clock() -> None:
    columns = plain_columns()
    start = np.datetime64("2024-05-01T10:00:00.000")
    columns["time (s)"] = start + (np.arange(1000) * 10).astype("timedelta64[ms]")
    renamed = {"time": columns.pop("time (s)"), **columns}

    record = read_record(table(renamed))

    assert record.rate_hz == pytest.approx(100.0)
    assert record.length_s == pytest.approx(9.99)


def test_a_date_of_whole_seconds_gives_way_to_a_finer_count_beside_it() -> None:
    """Columns of a published set of phone drives (read; the rows here are invented): a date in
    whole seconds, then nanoseconds since the phone was switched on, then three bare axes.
    """
    count = 900
    seconds = np.arange(count) * 0.0196
    values = np.random.default_rng(4).normal((0.0, 0.0, G), 0.3, (count, 3))
    rows = [f"14/05/2016 11:17:{9 + int(at):02d},{12893233616460 + round(at * 1e9)},"
            f"{x!r},{y!r},{z!r}" for at, (x, y, z) in zip(seconds, values.tolist(), strict=True)]

    record = read_record("\n".join(["timestamp,uptimeNanos,x,y,z", *rows]))

    assert 1.0 / 0.0196 == pytest.approx(record.rate_hz, rel=1e-6)
    assert record.time_s == pytest.approx(seconds, abs=1e-6)
    assert record.acceleration == pytest.approx(values)


def test_a_gap_is_told_and_not_filled() -> None:
    phone = Phone(gaps=((4.0, 1.5), (8.0, 0.5)))
    shake = record_a_drive(Drive(20.0), ShakeFaults(), phone, np.random.default_rng(1))

    record = read_record(as_csv(shake, DIALECTS["plain"]))

    assert len(record.gaps) == 2
    assert record.gaps[0] == pytest.approx((4.0, 5.5), abs=0.05)
    assert "2 gaps" in said(record)


def test_rows_cut_short_blank_cells_and_repeats_are_passed_over() -> None:
    lines = table(plain_columns()).splitlines()
    lines[100] = lines[100].rsplit(",", 2)[0]
    lines[200] = lines[200].split(",", 1)[0] + ",,,"
    lines[300] = lines[299]
    lines[-1] = lines[-1][:9]

    record = read_record("\n".join(lines))

    assert len(record.time_s) == 1000 - 4
    assert "2 rows were not numbers" in said(record)
    assert "1 rows without a full acceleration" in said(record)
    assert "1 rows repeat the time" in said(record)


def test_blank_and_negative_speed_is_bridged() -> None:
    columns = plain_columns()
    speed = np.linspace(20.0, 30.0, 1000).round(3).astype(object)
    speed[np.arange(1000) % 100 != 0] = ""
    speed[500] = -1.0

    record = read_record(table({**columns, "speed (m/s)": speed}))

    assert record.speed_ms[500] == pytest.approx(25.0, abs=0.02)


def test_a_utf16_file(tmp_path) -> None:
    path = tmp_path / "record.csv"
    path.write_text(table(plain_columns(), "\t"), encoding="utf-16")

    assert load(path).rate_hz == pytest.approx(100.0)


def changed(**changes: np.ndarray) -> str:
    columns = plain_columns()
    for name, column in changes.items():
        columns[{"t": "time (s)", "x": METERS[0], "y": METERS[1], "z": METERS[2]}[name]] = column
    return table(columns)


def without(*names: str) -> str:
    return table({name: c for name, c in plain_columns().items() if name not in names})


def clipped() -> np.ndarray:
    return np.clip(np.random.default_rng(3).normal(0.0, 20.0, 1000), -19.6, 19.6)


REFUSALS = {
    "empty": ("", "the file is empty"),
    "only a header": ("time,ax,ay,az\n", "no rows of numbers"),
    "words": ("dear sir\nplease find\nmy drive\n", "no rows of numbers"),
    "no clock": (without("time (s)"), "no clock column"),
    "one axis missing": (without(METERS[1]), "the y axis is missing"),
    "two axes missing": (without(METERS[1], METERS[2]), "the y and z axes are missing"),
    "no axes": (table({"time": np.arange(300.0), "speed": np.arange(300.0)}), "no acceleration"),
    "constant": (changed(x=np.ones(1000), y=np.ones(1000), z=np.ones(1000)), "never changes"),
    "one axis dead": (changed(y=np.zeros(1000)), "the y axis never changes"),
    "saturated": (changed(x=clipped()), "the x axis is saturated at"),
    "clock stands": (changed(t=np.ones(1000)), "the clock never advances"),
    "clock runs back": (changed(t=np.arange(1000.0)[::-1] / 100), "runs backward"),
    "whole seconds": (changed(t=np.floor(np.arange(1000.0) / 100)), "repeat the time"),
    "odd steps": (changed(t=np.arange(1000.0) * 0.5).replace("time (s)", "time"),
                  "steps of 0.5 fit no unit of time"),
    "slow": (changed(t=np.arange(1000.0) * 0.1), "only 10 samples a second"),
    "once a second": (changed(t=np.arange(1000.0)), "one sample every 1 s"),
    "too short": (table(plain_columns(200)), "only 2.0 s long"),
    "few rows": (table(plain_columns(40)), "only 40 usable rows"),
    "raw counts": (table({n.replace(" (m/s^2)", ""): c * (1000 if n != "time (s)" else 1)
                          for n, c in plain_columns().items()}), "gravity in no unit"),
    "huge": (changed(x=np.full(1000, 1e300) * np.arange(1000)), "cannot be"),
    "speed zero": (table({**plain_columns(), "speed (m/s)": np.zeros(1000)}),
                   "speed column is zero throughout"),
    "speed of a rocket": (table({**plain_columns(), "speed (m/s)": np.full(1000, 900.0)}),
                          "3240 km/h cannot be"),
    "commas twice": (table(plain_columns(), ";").replace(".", ",").replace(";", ","),
                     "names 4 columns but the rows have 8 cells"),
    "both marks": ("\n".join(line.replace(".", ",", 1) for line in
                             table(plain_columns(), ";").splitlines()), "one decimal mark"),
    "non-numeric rows": ("\n".join(
        line if i % 3 else "pause,pause,pause,pause"
        for i, line in enumerate(table(plain_columns()).splitlines(), 1)), "are not numbers"),
    "three columns, no header": (without(METERS[1]).split("\n", 1)[1], "without header"),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_bad_records_give_one_sentence(name: str) -> None:
    text, words = REFUSALS[name]

    with pytest.raises(RecordError) as caught:
        read_record(text, "drive.csv")

    assert words in str(caught.value)
    assert str(caught.value).startswith("drive.csv: ") and "\n" not in str(caught.value)


def test_a_useless_speed_can_be_left_out() -> None:
    record = read_record(REFUSALS["speed zero"][0], use_speed=False)

    assert record.speed_ms is None


def test_a_huge_file_is_refused_by_its_size_alone(tmp_path) -> None:
    """2 GB that are never written to disk, let alone read."""
    path = tmp_path / "huge.csv"
    with path.open("wb") as file:
        file.truncate(2_000_000_000)

    with pytest.raises(RecordError, match="2,000 MB, more than 600 MB"):
        load(path)


def test_files_that_are_none(tmp_path) -> None:
    binary = tmp_path / "binary.csv"
    binary.write_bytes(b"\x00\x01\x02" * 100)

    for path, words in ((tmp_path, "not a file"), (tmp_path / "no.csv", "cannot be read"),
                        ("a\0b", "cannot be read"), (binary, "not text")):
        with pytest.raises(RecordError, match=words):
            load(path)


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.data())
def test_damaged_text_never_gives_anything_but_a_record_or_a_sentence(data) -> None:
    """Characters of a good record overwritten at random places."""
    letters = list(data.draw(st.sampled_from(DAMAGED)))
    places = data.draw(st.lists(st.integers(0, len(letters) - 1), max_size=40))
    for place in places:
        letters[place] = data.draw(st.sampled_from(' ,;\t"\n.-e9x[#\x00é'))
    text = "".join(letters)[: data.draw(st.integers(0, len(letters)))]

    try:
        record = read_record(text)
    except RecordError as error:
        assert "\n" not in str(error)
    else:
        assert np.isfinite(record.acceleration).all() and (np.diff(record.time_s) > 0).all()


@settings(max_examples=150, derandomize=True, deadline=None)
@given(st.lists(st.lists(st.one_of(
    st.floats().map(str), st.integers().map(str), st.text(max_size=6),
    st.sampled_from(["time", "ax", "ay (g)", "az", "x", "", '"', "1,5", "speed"])),
    max_size=6), max_size=8), st.sampled_from([",", ";", "\t", " "]), st.integers(1, 60))
def test_any_text_gives_a_record_or_a_sentence(rows, delimiter: str, repeat: int) -> None:
    lines = [delimiter.join(row) for row in rows]

    try:
        read_record("\n".join(lines + lines[-2:] * repeat))
    except RecordError as error:
        assert "\n" not in str(error)


DAMAGED = [table(plain_columns(450)), table(plain_columns(450), ";").replace(".", ",")]


def clock_times(start_s: float, count: int, rate: float = 50.0) -> list[str]:
    """Hours, minutes, seconds and ten-thousandths, parted by colons."""
    times = []
    for at in start_s + np.arange(count) / rate:
        whole, part = divmod(round(float(at) * 1e4), 10_000)
        times.append(f"{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}:{part:04d}")
    return times


@pytest.mark.parametrize("start_s", [19 * 3600.0 + 25.016, 86_395.0])
def test_a_clock_of_the_day_and_axes_in_g_along_letters(start_s: float) -> None:
    """`time;gFx;gFy;gFz;TgF` with `19:00:25:0160`, also past midnight."""
    rng = np.random.default_rng(12)
    values = rng.normal(0.0, 0.02, (1000, 3)) + [0.0, 0.0, 1.0]
    rows = [f"{time};{x:.4f};{y:.4f};{z:.4f};{(x * x + y * y + z * z) ** 0.5:.4f}"
            for time, (x, y, z) in zip(clock_times(start_s, 1000), values, strict=True)]

    record = read_record("\n".join(["time;gFx;gFy;gFz;TgF", *rows]))

    assert record.rate_hz == pytest.approx(50.0, rel=1e-3)
    assert record.length_s == pytest.approx(999 / 50.0, abs=1e-3)
    assert np.linalg.norm(record.gravity) == pytest.approx(G, abs=0.05)


@pytest.mark.parametrize("rate", [50.0, 98.0, 400.0])
def test_milliseconds_that_are_padded_to_four_digits(rate: float) -> None:
    """A common date pattern of phones, hours:minutes:seconds:SSSS, pads 160 ms to 0160 (the
    language's reference: S counts milliseconds, letters the least digits; from memory).
    """
    at = 68_425.016 + np.arange(3000) / rate
    times = []
    for each in at:
        whole, part = divmod(round(float(each) * 1e3), 1000)
        times.append(f"{whole // 3600 % 24:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}:{part:04d}")
    values = np.random.default_rng(12).normal(0.0, 0.02, (3000, 3)) + [0.0, 0.0, 1.0]
    rows = [f"{time};{x:.4f};{y:.4f};{z:.4f}" for time, (x, y, z) in zip(times, values,
                                                                         strict=True)]

    record = read_record("\n".join(["time;gFx;gFy;gFz", *rows]))

    assert record.rate_hz == pytest.approx(rate, rel=1e-3)
    assert record.length_s == pytest.approx(2999 / rate, abs=2e-3)
    assert "taken as milliseconds" in said(record)


@pytest.mark.parametrize("cell", ["25:00:00:0000", "19:61:25:0160", "19:00", "noon"])
def test_what_is_no_clock_time_is_refused(cell: str) -> None:
    rows = [f"{cell};0.0{place % 7};0.1;1.0" for place in range(400)]

    with pytest.raises(RecordError, match="clock column holds no numbers"):
        read_record("\n".join(["time;gFx;gFy;gFz", *rows]))


@pytest.mark.parametrize(
    ("highest", "units"),
    [
        (25.0, ("m/s",)),  # 90 km/h
        (110.0, ("km/h",)),
        (50.0, ("mph", "km/h")),  # 80 or 50 km/h, but not 180
        (65.0, ("km/h", "mph")),  # 65 or 105 km/h
    ],
)
def test_a_bare_speed_is_told_by_its_range_or_asked(
    highest: float, units: tuple[str, ...]
) -> None:
    columns = {**plain_columns(), "speed": np.linspace(0.7 * highest, highest, 1000)}

    record = read_record(table(columns))

    assert set(units) == set(record.speed_units)
    ambiguous = [each for each in record.assumed
                 if each.kind is RecordNote.SPEED_UNIT_AMBIGUOUS]
    assert bool(ambiguous) == (len(units) > 1)


def test_the_answer_settles_the_unit() -> None:
    columns = {**plain_columns(), "speed": np.linspace(40.0, 50.0, 1000)}

    record = read_record(table(columns), speed_unit="mph")

    assert ("mph",) == record.speed_units
    assert 50.0 * 1.609344 / 3.6 == pytest.approx(record.speed_ms[-1], rel=1e-5)


def test_a_record_longer_than_a_block_is_read_whole() -> None:
    """Some blocks of text, a bad row and a blank cell in the later ones."""
    count = 120_000
    columns = plain_columns(count)
    lines = table(columns).splitlines()
    lines[90_000] = "oops,1,2,3"
    lines[100_000] = lines[100_000].split(",", 1)[0] + ",,,"

    record = read_record("\n".join(lines))

    assert count - 2 == len(record.time_s)
    assert np.float32 == record.acceleration.dtype
    assert record.acceleration[-1] == pytest.approx(
        [columns[name][-1] for name in METERS], abs=2e-5)


def test_a_block_that_ends_inside_a_letter_is_read(tmp_path) -> None:
    """Two bytes of one letter on either side of the edge between two blocks."""
    lines = table(plain_columns(60_000)).splitlines()
    head = "time (s),ax (m/s²),ay (m/s²),az (m/s²),place"
    body = [f"{line},{'é' * 9}" for line in lines[1:]]
    path = tmp_path / "long.csv"
    path.write_text("\n".join([head, *body]), encoding="utf-8")

    record = load(path)

    assert 60_000 == len(record.time_s) and not record.warnings
