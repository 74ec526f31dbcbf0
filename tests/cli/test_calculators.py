"""The calculators on the command line: trade facts, published figures, and bad input."""

from __future__ import annotations

from typing import Any

import pytest

from vibecheck.cli.exitcodes import ExitCode


class TestRunout:
    @pytest.mark.parametrize(
        ("high", "low", "tir_mm", "zone"),
        [
            # Facts of the trade (common practice, no source): -2.5 to +7 thou is 9.5 thou, 0.24 mm,
            # within; 47 thou is 1.19 mm, a plain bend.
            ("7 thou", "-2.5 thou", 0.24, "within"),
            ("47thou", "0thou", 1.19, "beyond"),
        ],
    )
    def test_high_and_low(self, run: Any, high: str, low: str, tir_mm: float, zone: str):
        ran = run("runout", "--high", high, "--low", low, "--tolerance", "0.5mm", "--json")

        assert tir_mm == pytest.approx(ran.data["runout"]["tir_mm"], abs=0.005)
        assert zone == ran.data["decision"]["zone"]

    def test_at_the_edge_is_undecided_and_says_what_would_decide(self, run: Any):
        """About 18 to 19 thou (0.49 mm) is at the very edge of 0.5 mm (common practice)."""
        typed = ["runout", "--tir", "0.49 mm +/- 0.02", "--tolerance", "0.5 mm"]
        ran = run(*typed)

        assert 0 == ran.code
        assert "undecided" in ran.out
        assert "take the mean of 4 whole measurements" in " ".join(ran.out.split())
        assert "undecided" == run(*typed, "--json").data["decision"]["zone"]

    def test_a_typed_uncertainty_goes_before_the_gauges(self, run: Any):
        ran = run("runout", "--tir", "0.45", "--uncertainty", "0.1", "--tolerance", "0.5", "--json")

        assert 0.1 == ran.data["runout"]["uncertainty_mm"]
        assert "undecided" == ran.data["decision"]["zone"]

    def test_readings_are_drawn_round_the_turn(self, run: Any):
        ran = run("runout", "--readings", "0 .05 .13 .21 .24 .22 .15 .06 mm")

        assert "high +0.24 mm at 180 deg (6 o'clock), low 0.00 mm at 0 deg (12 o'clock)" in ran.out
        rows = [line for line in ran.out.split("\n") if "|" in line]
        assert 8 == len(rows)
        assert rows[0].endswith("|L" + "." * 40 + "|")
        assert rows[4].endswith("|" + "." * 40 + "H|")

    def test_first_harmonic_is_the_eccentricity(self, run: Any):
        """A surface only offset by e has a runout of 2 e (ISO 1101, ASME Y14.5)."""
        import math

        readings = [0.3 * math.cos(math.radians(20 * n - 40)) for n in range(18)]
        typed = " ".join(f"{value:.4f}" for value in readings)
        ran = run("runout", "--readings", typed, "--division", "0.0001", "--json")

        assert 0.3 == pytest.approx(ran.data["runout"]["harmonics"][0]["amplitude_mm"], abs=0.001)
        assert 0.6 == pytest.approx(ran.data["runout"]["tir_mm"], abs=0.01)
        assert 40.0 == pytest.approx(ran.data["runout"]["harmonics"][0]["angle_deg"], abs=0.5)

    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            ([], "give one kind of input"),
            (["--tir", "1", "--high", "1", "--low", "0"], "give one kind of input"),
            (["--high", "1"], "a high needs a low"),
            (["--high", "0", "--low", "1"], "lies below the low"),
            (["--tir", "-0.2"], "negative"),
            (["--tir", "900 mm"], "900"),
            (["--tir", "nan"], "--tir"),
            (["--tir", "much"], "'much' is not a reading"),
            (["--readings", "1 2"], "--readings"),
            (["--readings", "1 mm 2 mm 3 in 4 mm 5 mm 6 mm"], "mixes"),
            (["--readings", "1 2 3 4 5 6", "--angles", "0 0 90 180 270 300"], "--readings"),
            (["--readings", "1 2 3 4 5 6", "--angles", "0 90"], "--readings"),
            (["--tir", "0.2", "--units", "miles"], "miles"),
            (["--tir", "0.2", "--tolerance", "-1"], "negative"),
            (["--tir", "0.2", "--uncertainty", "-1"], "negative"),
            (["--tir", "0.2", "--division", "0"], "division"),
        ],
    )
    def test_bad_input_is_one_sentence(self, run: Any, arguments: list[str], says: str):
        ran = run("runout", *arguments)

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err
        assert 1 == ran.err.count("\n")
        assert "" == ran.out


class TestOrders:
    def test_published_tire(self, run: Any):
        """205/55R16 has a diameter of 631.9 mm (two public size pages); new it rolls 0.96 to 0.98
        of its circumference, 0.97 in the middle (ETRTO, from memory).
        """
        ran = run("orders", "--tire", "205/55R16", "--size-from", "tire", "--tread", "8 mm",
                  "--speed", "100 km/h", "--speed-from", "gps", "--json")

        assert 631.9 == pytest.approx(ran.data["tire"]["diameter_mm"], abs=0.05)
        first = ran.data["orders"][0]
        assert ("wheel", 1.0) == (first["part"], first["order"])
        assert 27.78 / (3.14159265 * 0.6319 * 0.97) == pytest.approx(
            ran.data["orders"][0]["hz"], abs=0.01
        )

    def test_measured_shake_is_tied_to_its_part(self, run: Any):
        typed = ["orders", "--tire", "205/55R16", "--speed", "105 km/h", "--axle-ratio", "3.73",
                 "--measured", "14.9 Hz +/- 0.3"]
        fits = [fit["line"] for fit in run(*typed, "--json").data["fits"] if fit["fits"]]

        assert [("wheel", 1.0)] == [(line["part"], line["order"]) for line in fits]
        assert "* wheel, 1st order fits" in run(*typed).out

    def test_nothing_fits_is_said(self, run: Any):
        ran = run("orders", "--tire", "205/55R16", "--speed", "105 km/h", "--speed-from", "gps",
                  "--measured", "22 Hz")

        said = " ".join(ran.out.split())
        assert "* fits none within its uncertainty; nearest is wheel, 2nd order, 28." in said

    def test_electric_cars_have_no_engine(self, run: Any):
        typed = ["orders", "--tire", "205/55R16", "--speed", "90", "--engine-rpm", "2500"]
        assert "engine crank" in run(*typed).out
        assert "engine" not in run(*typed, "--electric", "--motor-reduction", "9").out
        assert "motor, 1st order" in run(*typed, "--electric", "--motor-reduction", "9").out

    def test_another_gear_parts_engine_from_wheel(self, run: Any):
        ran = run("orders", "--tire", "205/55R16", "--speed", "90", "--overall-ratio", "2",
                  "--gear", "third=4.8", "--gear", "fourth=3.9")

        assert "third or fourth gear" in " ".join(ran.out.split())

    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            (["--tire", "round", "--speed", "90"], "'round' is not a tire size"),
            (["--tire", "205/55R16", "--speed", "fast"], "--speed"),
            (["--tire", "205/55R16", "--speed", "0"], "a speed of 0 km/h"),
            (["--tire", "205/55R16", "--speed", "9 mm"], "--speed"),
            (["--tire", "205/55R16", "--speed", "90", "--cylinders", "3.5"], "--cylinders"),
            (["--tire", "205/55R16", "--speed", "90", "--cylinders", "99"], "cylinders"),
            (["--tire", "205/55R16", "--speed", "90", "--axle-ratio", "-1"], "axle ratio"),
            (["--tire", "205/55R16", "--speed", "90", "--measured", "-3"], "a frequency of -3"),
            (["--tire", "205/55R16", "--speed", "90", "--measured", "nan"], "--measured"),
            (["--tire", "205/55R16", "--speed", "90", "--gear", "third"], "--gear"),
            (["--tire", "205/55R16", "--speed", "90", "--gear", "third=0"], "--gear"),
        ],
    )
    def test_bad_input_is_one_sentence(self, run: Any, arguments: list[str], says: str):
        ran = run("orders", *arguments)

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err
        assert 1 == ran.err.count("\n")


def test_a_page_of_a_calculator_goes_out_as_html_with_its_picture(run, tmp_path):
    file = tmp_path / "turn.html"
    done = run("runout", "--readings", "0 .1 .2 .3 .2 .1 0 -.1 -.2 -.3 -.2 -.1 mm", "--format",
               "html", "-o", file)
    page = file.read_text(encoding="utf-8")

    assert 0 == done.code and "" == done.out
    assert "<svg" in page and ">valve</text>" in page and "<script" not in page
