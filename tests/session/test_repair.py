"""Before, remedy, after: the finding stays as found, and the change is judged with its spread."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from vibecheck.cli.main import main
from vibecheck.errors import InputError
from vibecheck.report.case_page import case_page
from vibecheck.report.sentences import taken_text
from vibecheck.report.sheets import sheet_text
from vibecheck.report.text import text_lines
from vibecheck.session.open_case import OpenCase
from vibecheck.session.repair import Change

RULES = Path(__file__).parents[2] / "rules"
FOUND = ["felt_in_steering_wheel=strong", "bead_radial_inboard@LF=1.0 mm",
         "bead_radial_outboard@LF=0.30 mm"]  # fmt: skip


@pytest.fixture
def opened() -> OpenCase:
    made = OpenCase.new(None, place="bay", rules=RULES)
    made.answer(FOUND)
    return made


def test_the_ranking_stays_as_it_was_found(opened: OpenCase) -> None:
    before = [(each.spot, each.probability) for each in opened.diagnosis.ranking]
    opened.repair("replace_wheel", "LF", minutes="40")
    opened.answer(["bead_radial_inboard@LF=0.10 mm", "felt_in_steering_wheel=none"])

    assert before == [(each.spot, each.probability) for each in opened.diagnosis.ranking]
    assert "1.0 mm" == next(
        each.value for each in opened.diagnosis.answers
        if each.finding == "bead_radial_inboard"
    )


@pytest.mark.parametrize(
    ("after", "change"),
    [
        (["bead_radial_inboard@LF=0.10 mm", "felt_in_steering_wheel=none"], Change.FIXED),
        (["bead_radial_inboard@LF=0.10 mm"], Change.BETTER),
        (["bead_radial_inboard@LF=0.70 mm", "felt_in_steering_wheel=strong"], Change.BETTER),
        (["bead_radial_inboard@LF=0.98 mm", "felt_in_steering_wheel=strong"], Change.UNCHANGED),
        (["felt_in_steering_wheel=slight"], Change.BETTER),
        (["bead_radial_inboard@LF=1.6 mm"], Change.WORSE),
        (["bead_radial_inboard@LF=0.10 mm", "bead_radial_outboard@LF=0.9 mm"], Change.WORSE),
        ([], None),
    ],
)
def test_what_became_of_it(opened: OpenCase, after: list[str], change: Change | None) -> None:
    opened.repair("replace_wheel", "LF")
    if after:
        opened.answer(after)

    assert opened.diagnosis.repair is not None
    assert change is opened.diagnosis.repair.change


def test_what_was_wrong_is_asked_again(opened: OpenCase) -> None:
    opened.repair("replace_wheel", "LF")
    repair = opened.diagnosis.repair

    assert repair is not None
    assert {"bead_radial_inboard", "felt_in_steering_wheel"} == {
        spot.id for spot in repair.wanted
    }


def test_unchanged_makes_the_next_fault_the_work(opened: OpenCase) -> None:
    leader = opened.diagnosis.ranking[0].cause
    opened.repair("replace_wheel", "LF")
    opened.answer(["felt_in_steering_wheel=strong", "bead_radial_inboard@LF=0.99 mm"])
    left = opened.diagnosis.work_left

    assert leader != left[0].cause
    assert 1.0 >= left[0].probability > next(
        each.probability for each in opened.diagnosis.ranking if each.spot == left[0].spot
    )


def test_a_remedy_taken_back_was_never_done(opened: OpenCase) -> None:
    entry = opened.repair("replace_wheel", "LF")
    opened.retract(entry.id)

    assert opened.diagnosis.repair is None


def test_a_stop_is_lifted_by_repair_and_look_alone() -> None:
    """A bulge: the new tire alone lifts nothing; the look at it does."""
    opened = OpenCase.new(None, place="bay", rules=RULES)
    opened.answer(["tire_bulge@LF=yes"])
    assert opened.diagnosis.stopped
    opened.repair("replace_tire", "LF")
    assert opened.diagnosis.stopped
    opened.answer(["tire_bulge@LF=no"])

    assert not opened.diagnosis.stopped


@pytest.mark.parametrize(
    ("remedy", "corner", "minutes"),
    [("no_such", None, ""), ("replace_wheel", None, ""), ("replace_wheel", "XX", ""),
     ("replace_wheel", "LF", "soon"), ("replace_wheel", "LF", "-4")],
)
def test_what_cannot_be_done_is_refused(
    opened: OpenCase, remedy: str, corner: str | None, minutes: str
) -> None:
    entries = opened.case.entries
    with pytest.raises(InputError):
        opened.repair(remedy, corner, minutes=minutes)

    assert entries == opened.case.entries


def test_every_sheet_tells_it_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Dent found, wheel replaced, read again: the sheet and the JSON hold the same facts."""
    file = str(tmp_path / "v.yaml")
    assert 0 == main(["new", file])
    assert 0 == main(["answer", file, *FOUND])
    assert 0 == main(["repair", file, "replace_wheel@LF", "--minutes", "40"])
    assert "not verified" in capsys.readouterr().out
    assert 0 == main(["answer", file, "bead_radial_inboard@LF=0.10 mm",
                      "felt_in_steering_wheel=none"])
    capsys.readouterr()
    assert 0 == main(["rank", file, "--json"])
    told = json.loads(capsys.readouterr().out)["repair"]
    found = OpenCase.open(Path(file)).diagnosis
    bay = " ".join(sheet_text(found, "bay").split())
    sheet = " ".join(sheet_text(found, "customer").split())

    assert ("fixed", []) == (told["change"], told["wanted"])
    for each in told["compared"]:
        name = each["text"].partition(":")[0].removesuffix(", left front")
        assert re.search(f"{name}.*? (Result: )?fixed", bay)
    assert "Replace the wheel, left front, 40 min" in bay
    assert re.search(r"Replace the wheel, left front \(20..-..-.., 40 min, parts", sheet)
    assert "Before: 1.000 +/- 0.083 mm; After: 0.100 +/- 0.060 mm; Result: fixed" in sheet
    assert "The repair is verified" in sheet


def test_the_shape_of_the_old_wheel_is_not_asked_of_the_new_one(opened: OpenCase) -> None:
    """A surface proven within has no bend worth a name, however it was read."""
    opened.answer(["local_bend_shape@LF=wide_and_deep"])
    opened.repair("replace_wheel", "LF")

    assert opened.diagnosis.repair is not None
    assert "local_bend_shape" in {spot.id for spot in opened.diagnosis.repair.wanted}
    opened.answer(["bead_radial_inboard@LF=0.10 mm", "felt_in_steering_wheel=none"])
    assert opened.diagnosis.repair.change is Change.FIXED


def test_a_reading_after_the_repair_is_no_repeat_of_one_before(opened: OpenCase) -> None:
    opened.repair("replace_wheel", "LF")
    again, other = opened.answer(["bead_radial_inboard@LF=0.10", "bead_lateral_inboard@LF=0.2 mm"])
    said = [taken_text(opened.diagnosis, each) for each in (again, other)]

    assert all("after the repair" in each and "repeat" not in each for each in said)
    assert "read as 0.1 mm" in said[0]


def test_what_was_found_before_the_repair_still_counts_in_the_journal(opened: OpenCase) -> None:
    [second] = opened.answer(["bead_radial_inboard@LF=1.02 mm"])
    opened.repair("replace_wheel", "LF")
    opened.answer(["bead_radial_inboard@LF=0.10 mm", "felt_in_steering_wheel=none"])
    lines = text_lines(case_page(opened.case), 200)

    assert [] == [line for line in lines if "anew" in line]
    assert 1 == sum(line.endswith("[read again since]") for line in lines)
    assert any(second.id in line and line.endswith("1.02 mm") for line in lines)
