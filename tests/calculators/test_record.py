"""Records: simulated phones (invented data) to order, direction, severity; bad files."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from calculator_helpers import IMBALANCE, WITH_SPEED, refusal, said, values_of, written

from vibecheck.calculators.record import CALCULATOR, Working, run
from vibecheck.errors import InputError, RecordError
from vibecheck.metrology.note import Note
from vibecheck.report.blocks import figures_of
from vibecheck.report.calculators.record import page, working_text
from vibecheck.report.wording import Wording
from vibecheck.virtual.shake import Dialect, Phone, ShakeFaults

TIRE = "205/55R16"
BARE = Dialect()


answers_of = CALCULATOR.answers_of


def typed(path: Path, **others: str) -> dict[str, str]:
    return {"file": str(path), "tire": TIRE, **others}


class TestSweep:
    def test_the_order_stands_still_while_the_plain_spectrum_smears(self, sweep: Path):
        """From 60 to 110 km/h the wheel turns 8.6 to 15.9 times a second."""
        found = run(typed(sweep))
        first = found.orders[0]

        assert 1.0 == pytest.approx(first.order, abs=0.02)
        assert "wheel_1" == first.line
        assert first.confidence > 0.9
        assert all(first.rms_m_s2 > shown.peak.rms for shown in found.peaks)
        assert (60.0, 110.0) == pytest.approx((found.slowest_kmh, found.fastest_kmh), abs=1.0)

    def test_a_speed_that_lags_stays_within_what_is_said_of_it(self, tmp_path: Path):
        """A position sensor's speed comes up to a second late (common practice, no source)."""
        late = Phone(rate_hz=200.0, speed_lag_s=1.0, speed_step_s=0.0)

        first = run(typed(written(tmp_path / "late.csv", IMBALANCE, late))).orders[0]

        assert first.low <= 1.0 <= first.high

    def test_findings(self, sweep: Path):
        made = values_of(answers_of(run(typed(sweep))))

        assert ("wheel_first", "vertical") == (made["record_order"], made["record_axis"])
        assert " m/s2 +/- " in made["record_severity"]

    def test_a_sound_car_shows_no_clear_order(self, quiet: Path):
        """Every order of this car lies below 4: 63 Hz at 110 km/h, seen at 200 samples a second."""
        whole = {"no_driveshaft": "yes", "overall_ratio": "2", "cylinders": "4"}
        found = run(typed(quiet, **whole))

        assert "none_clear" == values_of(answers_of(found))["record_order"]
        assert "none carries more than people can feel" in said("record", found)

    def test_a_part_of_unknown_ratio_is_not_cleared(self, quiet: Path):
        """An unknown driveshaft may shake 9.8 times a wheel turn: 154 Hz at 110 km/h."""
        found = run(typed(quiet))

        assert "record_order" not in values_of(answers_of(found))
        assert "driveshaft of unknown ratio" in said("record", found)

    def test_what_a_slow_phone_cannot_show_is_not_taken_for_nothing(self, tmp_path: Path):
        """100 samples a second show up to 50 Hz: order 3.15 at 110 km/h (sampling theorem)."""
        found = run(typed(written(tmp_path / "slow.csv", ShakeFaults(), Phone())))

        assert "" == found.order_state
        assert "not seen at every speed driven, so nothing speaks against" in said("record", found)
        assert "samples a second instead of 100" in said("record", found)

    @pytest.mark.parametrize(
        ("faults", "ratios", "state"),
        [
            (ShakeFaults(oval_mm={"left-front": 0.8}), {}, "wheel_second"),
            (ShakeFaults(driveshaft=(3.73, 0.3)), {"axle_ratio": "3.73"}, "driveshaft_first"),
            (ShakeFaults(engine=(2.6, 2.0, 0.3)),
             {"overall_ratio": "2.6", "cylinders": "4"}, "engine"),
        ],
    )
    def test_other_parts(
        self, tmp_path: Path, faults: ShakeFaults, ratios: dict[str, str], state: str
    ):
        path = written(tmp_path / "drive.csv", faults, Phone(rate_hz=200.0))

        assert state == run(typed(path, **ratios)).order_state

    def test_a_part_that_was_not_named_is_not_taken_for_nothing(self, tmp_path: Path):
        path = written(tmp_path / "drive.csv", ShakeFaults(driveshaft=(3.73, 0.3)),
                       Phone(rate_hz=200.0))
        found = run(typed(path))

        assert "" == found.order_state
        assert found.others[0].low <= 3.73 <= found.others[0].high
        assert "where no part that is known has one" in said("record", found)
        assert "give the axle ratio" in said("record", found)
        assert "record_order" not in values_of(answers_of(found))

    def test_the_plot_marks_every_order_it_shows(self, sweep: Path):
        [drawing] = figures_of(page(run(typed(sweep)), Wording()))
        plot = drawing.figure

        assert {"wheel, 1st order", "wheel, 2nd order"} <= {mark.label for mark in plot.marks}
        assert len(plot.x) == len(plot.y) > 20
        assert 1.0 == pytest.approx(plot.x[int(np.argmax(plot.y))], abs=0.1)


@pytest.fixture(scope="module")
def lengthwise(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A phone with its x axis forward on a car that shakes lengthwise, 100 km/h."""
    generator = np.random.default_rng(8)
    time_s = np.arange(6000) / 100.0
    turns = time_s * 100.0 / 3.6 / 1.9276
    car = generator.normal(0.0, 0.05, (6000, 3))
    car[:, 0] += 0.5 * np.cos(2 * np.pi * turns)
    car[:, 2] += 9.81
    path = tmp_path_factory.mktemp("axis") / "drive.csv"
    np.savetxt(path, np.column_stack([time_s, car]), "%.5f", ",",
               header="time,ax (m/s^2),ay (m/s^2),az (m/s^2)", comments="")
    return path


class TestDirection:
    def test_forward_axis_parts_lengthwise_from_sideways(self, lengthwise: Path):
        assert "lengthwise" == run(typed(lengthwise, speed="100", forward="x")).axis
        assert "sideways" == run(typed(lengthwise, speed="100", forward="y")).axis

    def test_without_it_the_direction_is_left_open(self, lengthwise: Path):
        found = run(typed(lengthwise, speed="100"))

        assert "" == found.axis
        assert "which axis" in said("record", found)
        assert "record_axis" not in values_of(answers_of(found))


class TestLacking:
    def test_without_speed_or_tire_there_are_frequencies_only(self, tmp_path: Path):
        path = written(tmp_path / "drive.csv", IMBALANCE, Phone(), BARE)
        found = run(typed(path))

        assert () == found.orders
        assert "" == found.order_state
        assert "give the speed, so that peaks can be tied to what turns" in said("record", found)
        assert 1 == len(found.next)
        assert {"record_severity", "record_axis"} >= set(values_of(answers_of(found)))

    def test_a_long_record_says_what_it_is_doing(self, sweep: Path):
        told: list[Note] = []
        run(typed(sweep), told.append)

        assert [Working.READING, Working.SPECTRUM] == [note.kind for note in told]
        assert "reading the file" == working_text(told[0])
        assert "120 s of record" in working_text(told[1])


def bad(folder: Path, header: str, rows: list[str]) -> Path:
    path = folder / "bad.csv"
    path.write_text("\n".join([header, *rows]) + "\n", encoding="utf-8")
    return path


def moving(count: int = 2000) -> list[str]:
    generator = np.random.default_rng(2)
    return [f"{place / 100:.2f},{x:.4f},{y:.4f},{9.81 + z:.4f}"
            for place, (x, y, z) in enumerate(generator.normal(0.0, 0.3, (count, 3)))]


class TestBadFiles:
    HEADER = "time,ax (m/s^2),ay (m/s^2),az (m/s^2)"

    def test_no_clock(self, tmp_path: Path):
        rows = [row.partition(",")[2] for row in moving()]
        error = refusal(lambda: run(typed(bad(tmp_path, self.HEADER.partition(",")[2], rows))))

        assert "time" in str(error) or "clock" in str(error)

    def test_constant_signal(self, tmp_path: Path):
        rows = [f"{place / 100:.2f},0.1,0.2,9.81" for place in range(600)]

        assert "never changes" in refusal(
            lambda: run(typed(bad(tmp_path, self.HEADER, rows)))).what

    def test_one_axis_still(self, tmp_path: Path):
        rows = [",".join([*row.split(",")[:2], "0", row.split(",")[3]]) for row in moving()]

        assert "the y axis never changes" == refusal(
            lambda: run(typed(bad(tmp_path, self.HEADER, rows)))).what

    def test_one_axis_missing(self, tmp_path: Path):
        rows = [row.rpartition(",")[0] for row in moving()]
        error = refusal(lambda: run(typed(bad(tmp_path, "time,ax (m/s^2),ay (m/s^2)", rows))))

        assert isinstance(error, RecordError)

    def test_saturated(self, tmp_path: Path):
        path = written(tmp_path / "hot.csv", ShakeFaults(imbalance=IMBALANCE.imbalance),
                       Phone(limit=9.4, tilt_deg=(0.0, 0.0)))

        assert "saturated" in refusal(lambda: run(typed(path))).what

    def test_speed_all_zero(self, tmp_path: Path):
        rows = [f"{row},0" for row in moving()]
        path = bad(tmp_path, f"{self.HEADER},speed (m/s)", rows)

        assert "the speed column is zero throughout" == refusal(lambda: run(typed(path))).what
        assert run(typed(path, speed="100 km/h")).length_s > 5.0

    def test_two_gigabytes_are_refused_unread(self, tmp_path: Path):
        path = tmp_path / "huge.csv"
        with path.open("wb") as file:
            file.truncate(2_000_000_000)

        assert "the file is 2,000 MB" in refusal(lambda: run(typed(path))).what

    @pytest.mark.parametrize(
        ("content", "says"),
        [(b"", "empty"), (b"\x00\x01\x02", "not text"), (b"hello\nworld\n", "")],
    )
    def test_no_record_at_all(self, tmp_path: Path, content: bytes, says: str):
        path = tmp_path / "bad.csv"
        path.write_bytes(content)

        assert says in refusal(lambda: run(typed(path))).what

    def test_no_such_file_or_a_folder(self, tmp_path: Path):
        assert "cannot be read" in refusal(lambda: run(typed(tmp_path / "none.csv"))).what
        assert "not a file" in refusal(lambda: run(typed(tmp_path))).what


@pytest.mark.parametrize(
    ("others", "field", "says"),
    [
        ({"speed": "0"}, "speed", "not above zero"),
        ({"speed": "fast"}, "speed", "fast"),
        ({"engine_rpm": "2500"}, "engine_rpm", "one engine speed"),
        ({"axle_ratio": "x"}, "axle_ratio", "x"),
        ({"forward": "z"}, "forward", "'z'"),
        ({"file": " "}, "file", "no file"),
        ({"tire": "big"}, "tire", "'big'"),
        ({"speed_from": "radar"}, "speed_from", "'radar'"),
        ({"size_from": "invoice"}, "size_from", "'invoice'"),
        ({"speed_unit": "knots"}, "speed_unit", "'knots'"),
        ({"tread": "80 mm"}, "tread", "none a tire has"),
        ({"roll_out": "76"}, "roll_out", "not one turn"),
        ({"roll_out": "3.86 m"}, "roll_out", "not one turn of 205/55R16"),
        ({"axle_ratio": "100"}, "axle_ratio", "an axle ratio of 100"),
        ({"speed": "900 km/h"}, "speed", "900 km/h"),
    ],
)
def test_bad_fields_are_named(sweep: Path, others: dict[str, str], field: str, says: str):
    fields = {"file": str(sweep), "tire": TIRE, **others}
    error = refusal(lambda: run(fields))

    assert isinstance(error, InputError)
    assert field == error.where
    assert says in error.what


def test_an_axis_that_points_up_does_not_point_forward(tmp_path: Path):
    path = written(tmp_path / "drive.csv", IMBALANCE, Phone(tilt_deg=(85.0, 0.0)), WITH_SPEED)

    assert "points up or down" in refusal(lambda: run(typed(path, forward="x"))).what
