"""The commands stack, match, balance and record: JSON, text, and bad input in one sentence."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from drives import drive_file

from vibecheck.cli.exitcodes import ExitCode

STACK = ["--clocking", "tire 0, spindle: 1.00 mm at 57",
         "--clocking", "tire 180, spindle: 1.00 mm at 163"]


class TestJson:
    def test_stack(self, run: Any):
        """0.80 mm at 20 deg on 0.60 mm at 110 deg: a right angle, so 1.00 mm (Pythagoras)."""
        found = run("stack", *STACK, "--json").data

        parts = found["separation"]["parts"]
        assert ["tire", "wheel"] == [part["part"] for part in parts]
        totals = [2.0 * part["vector"]["amplitude"] for part in parts]
        assert [0.8, 0.6] == pytest.approx(totals, abs=0.02)
        assert 0.2 == pytest.approx(2.0 * found["tire_turn"]["after"]["amplitude"], abs=0.02)
        assert [] == found["saved"]

    def test_match(self, run: Any):
        found = run("match", "--carrier", "3 at 0", "--part", "4 at 90", "--json").data

        match = found["match"]
        assert (2.5, 0.5, 90.0) == pytest.approx(
            (match["before"]["amplitude"], match["after"]["amplitude"], match["turn_deg"]))

    def test_balance(self, run: Any):
        found = run("balance", "--inner", "30 at 0", "--outer", "40 at 90", "--inner-radius",
                    "200", "--distance", "150", "--json").data

        assert 50.0 == pytest.approx(found["static_couple"]["static_g"]["amplitude"])
        assert (None, None) == (found["force_n"], found["permissible_g"])

    def test_trial_weight(self, run: Any):
        """A weight that doubles the vibration sits on the heavy spot: put it opposite."""
        found = run("trialweight", "--first", "8 at 40", "--run", "16 at 40", "--trial", "30 at 10",
                    "--json").data

        assert 30.0 == pytest.approx(found["found"]["weights"][0]["amplitude"])
        assert 190.0 == pytest.approx(found["found"]["weights"][0]["angle_deg"])

    def test_record(self, run: Any, tmp_path: Path):
        found = run("record", drive_file(tmp_path / "a.csv"), "--tire", "205/55R16", "--json").data

        assert "wheel_first" == found["order_state"]
        assert len(found["curve"]["at"]) == len(found["curve"]["amplitude"])


class TestText:
    def test_the_spectrum_is_drawn_with_its_order_marks(self, run: Any, tmp_path: Path):
        ran = run("record", drive_file(tmp_path / "a.csv"), "--tire", "205/55R16")

        assert "a 1.00: wheel, 1st order" in ran.out
        assert "(m/s2) per root of one order" in ran.out
        assert "" == ran.err

    def test_a_long_file_says_what_is_being_done(
        self, run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ):
        from vibecheck.cli import calculator_commands

        monkeypatch.setattr(calculator_commands, "LONG_FILE_BYTES", 1000)
        ran = run("record", drive_file(tmp_path / "a.csv"), "--tire", "205/55R16", "--json")

        assert ran.err.startswith("reading the file\n")
        assert "wheel_first" == ran.data["order_state"]

    def test_shares_are_drawn_as_bars(self, run: Any):
        rows = [line for line in run("stack", *STACK).out.split("\n") if "##" in line]

        assert ["tire", "wheel"] == [row.split()[0] for row in rows]

    def test_no_line_is_wider_than_the_terminal(self, run: Any, tmp_path: Path):
        drive = str(drive_file(tmp_path / "a.csv"))
        for typed in (["stack", *STACK], ["record", drive, "--tire", "205/55R16"],
                      ["match", "--carrier", "0.3 at 250", "--part", "0.6 at 110", "--studs", "5"]):
            assert all(len(line) <= 80 for line in run(*typed).out.split("\n"))


class TestBadInput:
    @pytest.mark.parametrize(
        ("arguments", "says"),
        [
            (["stack"], "--clocking: give one kind of input"),
            (["stack", "--clocking", "nonsense"], "--clocking, 1: 'nonsense'"),
            (["stack", "--clocking", "tire 0: 1 2 3"], "--clocking, 1: 3 readings are too few"),
            (["stack", *STACK[:2], "--clocking", "tire 2, spindle: 1 mm at 59"],
             "--clocking: these clockings cannot separate"),
            (["stack", "--before", "3", "--after", "x"], "--after"),
            (["match", "--carrier", "1 at 0"], "--part: there is no reading"),
            (["match", "--carrier", "1", "--part", "1 at 0"], "--carrier"),
            (["match", "--carrier", "1 at 0", "--part", "1 at 0", "--studs", "99"], "--studs"),
            (["balance"], "--inner: a plane without a reading"),
            (["balance", "--first", "1 at 0"], "--first"),
            (["trialweight", "--trial", "1 at 0"], "--first: the first run is missing"),
            (["trialweight", *["--trial", "1 g at 0"] * 3], "--trial: 3 are more than 2"),
            (["balance", "--inner", "1 at 0"], "--outer: a plane without a reading"),
            (["balance", "--inner", "1 at 0", "--outer", "1 at 0", "--inner-radius", "x"],
             "--inner-radius"),
            (["trialweight", "--first", "1 at 0", "--trial", "x at 0", "--run", "2 at 0"],
             "--trial, 1"),
            (["record"], "required: FILE"),
            (["record", "none.csv"], "none.csv: the file cannot be read"),
            (["record", ""], "FILE: no file is named"),
            (["record", "\0"], "the file cannot be read"),
        ],
    )
    def test_one_sentence_that_names_the_option(
        self, run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str],
        says: str,
    ):
        monkeypatch.chdir(tmp_path)
        ran = run(*arguments)

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err
        assert ("", 1) == (ran.out, ran.err.count("\n"))

    @pytest.mark.parametrize(
        ("content", "says"),
        [
            ("x,y,z\n" + "1,2,9.8\n" * 500, "clock"),
            ("time,x,y,z\n" + "".join(f"{n / 100},1,2,9.8\n" for n in range(500)), "never changes"),
            ("time,x,y\n" + "".join(f"{n / 100},{n % 3},2\n" for n in range(500)), "axes"),
            ("", "empty"),
            ("hello", ""),
        ],
    )
    def test_bad_records(self, run: Any, tmp_path: Path, content: str, says: str):
        path = tmp_path / "bad.csv"
        path.write_text(content, encoding="utf-8")
        ran = run("record", path, "--tire", "205/55R16")

        assert ExitCode.WRONG_INPUT == ran.code
        assert says in ran.err and "bad.csv" in ran.err
        assert ("", 1) == (ran.out, ran.err.count("\n"))

    def test_two_gigabytes_are_refused_with_their_size(self, run: Any, tmp_path: Path):
        path = tmp_path / "huge.csv"
        with path.open("wb") as file:
            file.truncate(2_000_000_000)
        ran = run("record", path)

        assert ExitCode.WRONG_INPUT == ran.code
        assert "2,000 MB" in ran.err
        assert 1 == ran.err.count("\n")
