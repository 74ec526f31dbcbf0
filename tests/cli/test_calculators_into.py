"""Results into a case from the command line, and the ranking that follows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from cli_helpers import case_in
from drives import drive_file

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.virtual.shake import ShakeFaults

WHEEL_IMBALANCE = ("imbalance", "thrown_weight")
DRIVELINE_AND_ENGINE = ("driveshaft_imbalance", "driveshaft_bent", "engine_misfire", "engine_mount")


@pytest.fixture
def rear_drive(tmp_path: Path, run: Any) -> Path:
    """A rear-drive car that shakes at speed, with the project's own rules."""
    path = tmp_path / "visit.yaml"
    begun = run("new", path, "tire_size=205/55R16", "drive=rear", "axle_ratio=3.73",
                "propulsion=combustion", "cylinders=4", rules=None)
    assert 0 == begun.code, begun.err
    assert 0 == run("answer", path, "vibration=strong", rules=None).code
    return path


def chances(run: Any, path: Path, causes: tuple[str, ...]) -> dict[str, float]:
    """Probability of each cause at its likeliest corner."""
    return {cause: run("why", path, cause, "--json", rules=None).data["probability"]
            for cause in causes}


def test_a_sweep_raises_wheel_imbalance_and_lowers_driveline_and_engine(
    run: Any, rear_drive: Path, tmp_path: Path
):
    """A phone on a car with an imbalanced wheel, 60 to 110 km/h (simulated)."""
    everything = WHEEL_IMBALANCE + DRIVELINE_AND_ENGINE
    before = chances(run, rear_drive, everything)
    ran = run("record", drive_file(tmp_path / "drive.csv"), "--into", rear_drive, "--json")
    after = chances(run, rear_drive, everything)

    assert 0 == ran.code, ran.err
    saved = {each["finding"]: each["value"] for each in ran.data["saved"]}
    assert ("wheel_first", "vertical") == (saved["record_order"], saved["record_axis"])
    for cause in WHEEL_IMBALANCE:
        assert after[cause] > 1.1 * before[cause], cause
    for cause in DRIVELINE_AND_ENGINE:
        assert after[cause] < 0.5 * before[cause], cause
    ranking = run("rank", rear_drive, "--json", rules=None).data["ranking"]
    assert ranking[0]["family"] in ("tire", "wheel")


def test_a_shake_of_the_driveshaft_goes_the_other_way(
    run: Any, rear_drive: Path, tmp_path: Path
):
    before = chances(run, rear_drive, ("imbalance", "driveshaft_imbalance"))
    path = drive_file(tmp_path / "drive.csv", ShakeFaults(driveshaft=(3.73, 0.3)), 200.0)
    ran = run("record", path, "--into", rear_drive)
    after = chances(run, rear_drive, ("imbalance", "driveshaft_imbalance"))

    assert "record_order = driveshaft_first" in ran.err
    assert after["driveshaft_imbalance"] > 3.0 * before["driveshaft_imbalance"]
    assert after["imbalance"] < 0.5 * before["imbalance"]


def test_tire_and_ratio_come_from_the_case(run: Any, rear_drive: Path, tmp_path: Path):
    path = drive_file(tmp_path / "drive.csv", rate_hz=200.0)
    ran = run("record", path, "--into", rear_drive, "--json")
    marks = [line for _, line in ran.data["curve"]["marks"]]

    assert "driveshaft_1" in marks
    assert "tire" == ran.data["size_from"]


def test_the_case_says_nothing_of_a_size_that_is_typed(run: Any, rear_drive: Path, tmp_path: Path):
    """Its size was read off the tire's side; another one that is typed was not."""
    path = drive_file(tmp_path / "drive.csv")
    other = run("record", path, "--tire", "215/55R16", "--into", rear_drive, "--json")

    assert "unknown" == other.data["size_from"]


def test_a_runout_with_its_readings(run: Any, rear_drive: Path):
    typed = ["runout", "--readings", "0 5 13 21 24 22 15 6 thou", "--angles",
             "10 55 100 145 190 235 280 325", "--into", rear_drive, "--corner", "left front",
             "--surface", "assembly_radial", "--by", "technician"]
    ran = run(*typed)
    entry = case_in(rear_drive).entries[-1]

    assert 0 == ran.code, ran.err
    assert ("assembly_radial", "LF", "measure_assembly_runout", "technician") == (
        entry.finding, entry.corner, entry.check, entry.by)
    assert entry.value.startswith("24 thou +/- ")
    assert (["0 thou", "5 thou"], ["10", "55"]) == (entry.readings[:2], entry.angles[:2])
    assert "runout 24.0 +/- " in ran.out and " thou, from 8 readings" in ran.out


def test_the_wheel_so_far_is_said_beside_a_bead_reading(run: Any, rear_drive: Path):
    """47 thou is a plain bend (common practice); one surface does not clear the others."""
    typed = ["runout", "--tir", "47 thou +/- 1", "--into", rear_drive, "--corner", "LF",
             "--surface", "bead_lateral_inboard"]
    found = run(*typed, "--json").data["wheel"]
    ran = run(*typed)

    assert ("out_of_tolerance", 3) == (found["verdict"], len(found["missing"]))
    assert "The wheel at LF so far: out of tolerance" in ran.out
    assert run("runout", "--tir", "0.3", "--json").data["wheel"] is None


def test_nothing_is_printed_or_saved_when_the_corner_is_missing(run: Any, rear_drive: Path):
    before = rear_drive.read_bytes()
    ran = run("balance", "--inner", "20 at 0", "--outer", "10 at 0", "--into", rear_drive)

    assert ExitCode.WRONG_INPUT == ran.code
    assert ("", 1) == (ran.out, ran.err.count("\n"))
    assert "needs a corner" in ran.err
    assert before == rear_drive.read_bytes()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--corner", "LF"], "--corner: --corner says where a result goes"),
        (["--surface", "assembly_radial"], "--surface: --surface says"),
        (["--into", "CASE", "--corner", "LF"], "--surface: a runout alone"),
        (["--into", "CASE", "--surface", "assembly_radial"], "--corner: "),
        (["--into", "CASE", "--surface", "felt_in_seat"], "--surface: a runout cannot be read as"),
        (["--into", "CASE", "--corner", "XX", "--surface", "assembly_radial"], "--corner: "),
        (["--into", "none.yaml", "--corner", "LF"], "there is no such file"),
        (["--into", "CASE", "--corner", "LF", "--surface", "stall"], "--surface: "),
    ],
)
def test_where_a_result_goes_is_checked_first(
    run: Any, rear_drive: Path, arguments: list[str], says: str
):
    before = rear_drive.read_bytes()
    ran = run("runout", "--tir", "0.3",
              *(str(rear_drive) if each == "CASE" else each for each in arguments))

    assert ran.code in (ExitCode.WRONG_INPUT, ExitCode.CASE_UNUSABLE)
    assert says in ran.err
    assert 1 == ran.err.count("\n")
    assert before == rear_drive.read_bytes()


def test_a_match_in_mm_is_kept_as_a_note(run: Any, rear_drive: Path):
    ran = run("match", "--carrier", "0.6 at 110", "--part", "0.8 at 20", "--into", rear_drive)
    entry = case_in(rear_drive).entries[-1]

    assert 0 == ran.code, ran.err
    assert "note" == entry.kind
    assert entry.text.startswith("match: worth doing: from 1.00 to 0.20")
