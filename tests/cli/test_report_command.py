"""The command `report`."""

from __future__ import annotations

import re

import pytest
from cli_helpers import SMALL_RULES

from vibecheck.cli.exitcodes import ExitCode
from vibecheck.report.sheets import READERS, sheet_lines
from vibecheck.session.open_case import OpenCase

SHA = "404976e99158735414e2e5bbc58a9b2ac4b674b7b5b5780afb421f9c96b4893b"


def test_the_readers_of_the_command_are_those_of_the_room():
    from vibecheck.cli import report_command

    assert tuple(READERS) == report_command._READERS
    assert report_command.CLAIM not in READERS


@pytest.mark.parametrize("reader", READERS)
def test_it_prints_the_sheet(run, visit, reader):
    done = run("report", visit, "--for", reader, "--rules", SMALL_RULES)

    assert ExitCode.FINE == done.code
    assert sheet_lines(OpenCase.open(visit, SMALL_RULES).diagnosis, reader) == (
        done.out.split("\n")[:-1])


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


def test_a_page_goes_into_a_file_as_one_document_without_anything_from_outside(
    run, visit, tmp_path
):
    file = tmp_path / "sheet.html"
    done = run("report", visit, "--for", "customer", "--format", "html", "-o", file, "--rules",
               SMALL_RULES)
    page = file.read_text(encoding="utf-8")

    assert ExitCode.FINE == done.code and "" == done.out
    assert page.startswith("<!DOCTYPE html>") and "@page" in page
    for outside in ("<script", "<link", "<img", "url(", "@import", "http-equiv"):
        assert outside not in page
    assert not re.search(r"(src|href)=", page)


def test_a_claim_sheet_names_wheel_photos_reader_and_gauge(run, tmp_path):
    case, photo = tmp_path / "wheel.yaml", tmp_path / "dent.jpg"
    photo.write_bytes(b"no real picture")
    run("new", case, "--title", "invented set", rules=None)
    run("answer", case, "bead_radial_inboard@LF=1.1 mm +/- 0.02", rules=None)
    done = run("report", case, "--for", "claim", "--photo", photo, "--measured-by", "A. Reader",
               "--gauge", "lever indicator, 0.01 mm", rules=None)
    words = " ".join(done.out.split())

    assert ExitCode.FINE == done.code
    assert "Wheel left front" in words and "inboard radial 1.100 +/- 0.020 mm" in words
    assert "A. Reader" in words and "lever indicator, 0.01 mm" in words
    # SHA-256 of the bytes above, from `printf 'no real picture' | sha256sum` (coreutils).
    assert SHA in words.replace(" ", "")


@pytest.mark.parametrize(
    ("words", "complaint"),
    [(("--for", "claim"), "no bead surface of any wheel was read"),
     (("--for", "bay", "--gauge", "x"), "only a claim sheet takes it"),
     (("--for", "claim", "--photo", "nowhere.jpg"), "there is no such photo")],
)
def test_a_claim_that_cannot_be_gets_one_sentence(run, tmp_path, words, complaint):
    case = tmp_path / "empty.yaml"
    run("new", case, rules=None)
    done = run("report", case, *words, rules=None)

    assert ExitCode.WRONG_INPUT == done.code
    assert "" == done.out and complaint in done.err and 1 == done.err.count("\n")


def test_a_visit_that_follows_another_keeps_its_car_and_names_it(run, tmp_path):
    first, again = tmp_path / "first.yaml", tmp_path / "again.yaml"
    run("new", first, "--title", "invented hatchback", "drive=front", rules=None)
    run("repair", first, "replace_wheel@LF", rules=None)
    done = run("new", again, "--follows", first, rules=None)
    words = " ".join(run("report", again, "--for", "counter", rules=None).out.split())

    assert ExitCode.FINE == done.code
    assert "invented hatchback, came back" in words and "driven wheels: front wheels" in words
    assert "Replace the wheel, left front" in words.split("Came back")[1]
