"""The command `report`."""

from __future__ import annotations

import pytest
from cli_helpers import SMALL_RULES

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.report.sheets import READERS, sheet_lines
from vibecheck.session.open_case import OpenCase


def test_the_readers_of_the_command_are_those_of_the_room():
    from vibecheck.cli import report_command

    assert tuple(READERS) == report_command._READERS


@pytest.mark.parametrize("reader", READERS)
def test_it_prints_the_sheet(run, visit, reader):
    done = run("report", visit, "--for", reader, "--rules", SMALL_RULES)

    assert ExitCode.FINE == done.code
    assert sheet_lines(OpenCase.open(visit, SMALL_RULES), reader) == done.out.split("\n")[:-1]


def test_without_a_reader_it_is_the_sheet_for_the_case_s_place(run, visit):
    here = run("report", visit, "--rules", SMALL_RULES)

    assert "CHECK LIST FOR THE BAY" == here.out.split("\n")[0]


def test_width_and_json(run, visit):
    narrow = run("report", visit, "--width", "44", "--rules", SMALL_RULES)
    data = run("report", visit, "--for", "bay", "--width", "44", "--json", "--rules", SMALL_RULES)

    assert max(map(len, narrow.out.split("\n"))) <= 44
    assert "bay" == data.data["for"]
    assert narrow.out.split("\n")[:-1] == data.data["lines"]


def test_an_impossible_width_is_wrong_input(run, visit):
    done = run("report", visit, "--width", "3", "--rules", SMALL_RULES)

    assert ExitCode.WRONG_INPUT == done.code
    assert "" == done.out and "from 40 to 200" in done.err
