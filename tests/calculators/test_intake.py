"""Results into a case: every finding is known to the rules, and the ranking moves."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from calculator_helpers import bent, refusal

from vibecheck.calculators.calculator import Calculator
from vibecheck.calculators.registry import listed
from vibecheck.casebook.case import Entry
from vibecheck.casebook.journal import active_entries
from vibecheck.errors import ReadingError, VehicleError
from vibecheck.knowledge.words import Scope
from vibecheck.session.answers import Assignment, drafts
from vibecheck.session.intake import surfaces
from vibecheck.session.intake import take_in as take_result_in
from vibecheck.session.open_case import OpenCase


def in_force(opened: OpenCase) -> dict[str, str]:
    return {f"{each.finding}@{each.corner}": each.value for each in active_entries(opened.case)}


HEADLINE = "what came of it"
Worked = tuple[Calculator, Any]


def worked(name: str, **texts: str) -> Worked:
    """A calculator and its result."""
    found = listed(name)
    assert found is not None
    calculator = found.load()
    return calculator, calculator.run(texts)


def take_in(
    opened: OpenCase, each: Worked, corner: str | None = None, surface: str = ""
) -> tuple[Entry, ...]:
    return take_result_in(opened, *each, HEADLINE, corner, surface)


def results(sweep: Path) -> list[tuple[Worked, str]]:
    """One result of every calculator that answers findings."""
    return [
        (worked("runout", readings=bent(0.5, 0.4, 36.0)), "bead_radial_inboard"),
        (worked("stack", read1="1.00 mm at 57", read2="1.00 mm at 163", tire2="180",
                read3="1.1 mm at 200", wheel3="144", studs="5"), ""),
        (worked("stack", before="10", after="190"), ""),
        (worked("match", carrier="60 N at 0", part="90 N at 9", force="yes"), ""),
        (worked("balance", inner="35 at 1", outer="3 at 2", again_inner="35 at 9",
                again_outer="4 at 2"), ""),
        (worked("orders", tire="205/55R16", speed="105", measured="15.1"), ""),
        (worked("record", file=str(sweep), tire="205/55R16"), ""),
    ]


def test_every_finding_is_known_and_a_check_with_that_calculator_yields_it(
    opened: OpenCase, sweep: Path
):
    library = opened.library
    for (calculator, result), surface in results(sweep):
        made = calculator.answers_of(result, surface)
        assert made
        for each in made:
            checks = [library.checks[name] for name in library.checks_yielding[each.finding]]
            if calculator.name != "orders":  # a frequency read elsewhere answers the record
                assert calculator.name in {check.calculator for check in checks}
        drafts(library, opened.diagnosis.facts, [
            Assignment(each.finding, each.text, "LF", each.readings, each.angles) for each in made
            if library.findings[each.finding].scope is Scope.CORNER])


def test_every_result_can_be_taken_in(opened: OpenCase, sweep: Path):
    for result, surface in results(sweep):
        before = len(opened.case.entries)
        entries = take_in(opened, result, "LF", surface)

        assert before + len(entries) == len(opened.case.entries)
    assert {"record_order@None", "bead_oval@LF", "radial_force@LF"} <= set(in_force(opened))


def test_the_check_is_named_so_that_the_car_is_known_to_be_open(opened: OpenCase):
    result = worked("runout", tir="0.9 mm")
    (entry,) = take_in(opened, result, "RF", "bead_radial_inboard")

    assert ("measure_bead_seats", "reading", "0.9 mm +/- 0.0833") == (
        entry.check, entry.kind, entry.value)


def test_a_bent_bead_seat_moves_the_ranking(opened: OpenCase):
    before = chance(opened, "bent_wheel", "LF")
    for surface in ("bead_radial_inboard", "bead_lateral_inboard"):
        take_in(opened, worked("runout", readings=bent(1.4, 0.6, 44.0)), "LF", surface)

    assert chance(opened, "bent_wheel", "LF") > 10.0 * before
    assert chance(opened, "bent_wheel", "LF") > 0.5


def chance(opened: OpenCase, cause: str, corner: str | None) -> float:
    return opened.diagnosis.why(cause, corner).cause.probability


def test_a_result_without_findings_becomes_a_note(opened: OpenCase):
    result = worked("match", carrier="0.6 mm at 0", part="0.5 mm at 9")
    (entry,) = take_in(opened, result)

    assert "note" == entry.kind
    assert entry.text == f"match: {HEADLINE}"


class TestSharedFindings:
    """The shape of a bend and the oval share are one finding for four surfaces of a wheel."""

    BENT = bent(1.4, 1.2, 44.0)
    SMOOTH = bent(0.0, 0.0, 44.0)

    def shape(self, opened: OpenCase) -> str:
        return in_force(opened)["local_bend_shape@LF"]

    def test_a_smooth_surface_does_not_cancel_a_bent_one(self, opened: OpenCase):
        take_in(opened, worked("runout", readings=self.BENT), "LF", "bead_radial_inboard")
        oval = in_force(opened)["bead_oval@LF"]
        take_in(opened, worked("runout", readings=self.SMOOTH), "LF", "bead_radial_outboard")

        assert "dip_and_bulge" == self.shape(opened)
        assert oval == in_force(opened)["bead_oval@LF"]
        assert in_force(opened)["bead_radial_outboard@LF"].startswith("0.1 mm")

    def test_a_bent_surface_counts_after_a_smooth_one(self, opened: OpenCase):
        take_in(opened, worked("runout", readings=self.SMOOTH), "LF", "bead_radial_outboard")
        take_in(opened, worked("runout", readings=self.BENT), "LF", "bead_radial_inboard")

        assert "dip_and_bulge" == self.shape(opened)

    def test_the_same_surface_read_again_counts_as_read(self, opened: OpenCase):
        take_in(opened, worked("runout", readings=self.BENT), "LF", "bead_radial_inboard")
        take_in(opened, worked("runout", readings=self.SMOOTH, high="0.05 mm", low="-0.05 mm"),
                "LF", "bead_radial_inboard")

        assert "none" == self.shape(opened)

    def test_another_wheel_is_another_matter(self, opened: OpenCase):
        take_in(opened, worked("runout", readings=self.BENT), "LF", "bead_radial_inboard")
        take_in(opened, worked("runout", readings=self.SMOOTH, high="0.05 mm", low="-0.05 mm"),
                "RF", "bead_radial_inboard")

        assert "none" == in_force(opened)["local_bend_shape@RF"]


class TestRefusals:
    RESULT = worked("runout", tir="0.9 mm")

    def test_surfaces_come_from_the_rules(self, opened: OpenCase):
        known = surfaces(opened.library)

        assert {"bead_radial_inboard", "assembly_lateral", "hub_face_runout", "driveshaft_runout",
                "rotor_runout"} <= set(known)
        assert not {"bead_oval", "local_bend_shape", "balance_residual"} & set(known)

    @pytest.mark.parametrize(
        ("corner", "surface", "error", "field"),
        [
            ("LF", "", ReadingError, "surface"),
            ("LF", "balance_residual", ReadingError, "surface"),
            (None, "bead_radial_inboard", VehicleError, "corner"),
            ("XX", "bead_radial_inboard", VehicleError, "corner"),
        ],
    )
    def test_corner_and_surface(
        self, opened: OpenCase, corner: str | None, surface: str, error: type[Exception], field: str
    ):
        raised = refusal(lambda: take_in(opened, self.RESULT, corner, surface))

        assert isinstance(raised, error)
        assert field == raised.where
        assert [] == opened.case.entries

    def test_a_surface_where_none_belongs(self, opened: OpenCase):
        result = worked("balance", inner="1 at 0", outer="1 at 0")

        assert "surface" == refusal(lambda: take_in(opened, result, "LF", "assembly_radial")).where

    def test_a_part_this_car_does_not_have(self, opened: OpenCase):
        """A front-drive car has no driveshaft (definition)."""
        raised = refusal(lambda: take_in(opened, self.RESULT, None, "driveshaft_runout"))

        assert "cannot have" in raised.what
