"""Results into a case: every finding is known to the rules, and the ranking moves."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench_helpers import bent, refusal

from vibecheck.casebook.journal import active_entries
from vibecheck.errors import ReadingError, VehicleError
from vibecheck.session.answers import drafts
from vibecheck.session.benches import balance, match, orders, record, runout, stack
from vibecheck.session.benches.clockings import clocking_of
from vibecheck.session.benches.intake import surfaces, take_in
from vibecheck.session.benches.result import BenchView
from vibecheck.session.benches.runout import RunoutTyped, RunoutView
from vibecheck.session.desk import Desk


def in_force(desk: Desk) -> dict[str, str]:
    return {f"{each.finding}@{each.corner}": each.value for each in active_entries(desk.case)}


def results(sweep: Path) -> list[tuple[BenchView, str]]:
    """One result of every bench that yields findings."""
    clockings = tuple(map(clocking_of, (
        "tire 0: 1.00 mm at 57", "tire 180: 1.00 mm at 163", "tire 0, wheel 144: 1.1 mm at 200")))
    return [
        (runout.run(RunoutTyped(readings=bent(0.5, 0.4, 36.0))), "bead_radial_inboard"),
        (stack.run(stack.StackTyped(clockings=clockings, studs="5")), ""),
        (stack.run(stack.StackTyped(before="10", after="190")), ""),
        (match.run(match.MatchTyped(carrier="60 N at 0", part="90 N at 9", force=True)), ""),
        (balance.run(balance.BalanceTyped(inner="35 at 1", outer="3 at 2", again_inner="35 at 9",
                                          again_outer="4 at 2")), ""),
        (orders.run(orders.OrdersTyped(tire="205/55R16", speed="105", measured="15.1")), ""),
        (record.run(record.RecordTyped(file=str(sweep), tire="205/55R16")), ""),
    ]


def test_every_finding_is_known_and_a_check_with_that_calculator_yields_it(
    desk: Desk, sweep: Path
):
    library = desk.library
    for result, surface in results(sweep):
        made = result.assignments("LF", surface)
        assert made
        for each in made:
            checks = [library.checks[name] for name in library.checks_yielding[each.finding]]
            if result.calculator != "orders":  # a frequency read elsewhere answers the record
                assert result.calculator in {check.calculator for check in checks}
        corners = [each for each in made if each.corner]
        drafts(library, desk.workbench.facts, corners)


def test_every_result_can_be_taken_in(desk: Desk, sweep: Path):
    for result, surface in results(sweep):
        before = len(desk.case.entries)
        entries = take_in(desk, result, "LF", surface)

        assert before + len(entries) == len(desk.case.entries)
    assert {"record_order@None", "bead_oval@LF", "radial_force@LF"} <= set(in_force(desk))


def test_the_check_is_named_so_that_the_car_is_known_to_be_open(desk: Desk):
    result = runout.run(RunoutTyped(tir="0.9 mm"))
    (entry,) = take_in(desk, result, "RF", "bead_radial_inboard")

    assert ("measure_bead_seats", "reading", "0.900 mm +/- 0.082") == (
        entry.check, entry.kind, entry.value)


def test_a_bent_bead_seat_moves_the_ranking(desk: Desk):
    before = chance(desk, "bent_wheel", "LF")
    for surface in ("bead_radial_inboard", "bead_lateral_inboard"):
        take_in(desk, runout.run(RunoutTyped(readings=bent(1.4, 0.6, 44.0))), "LF", surface)

    assert chance(desk, "bent_wheel", "LF") > 10.0 * before
    assert chance(desk, "bent_wheel", "LF") > 0.5


def chance(desk: Desk, cause: str, corner: str | None) -> float:
    return desk.why(cause, corner).probability


def test_a_result_without_findings_becomes_a_note(desk: Desk):
    result = match.run(match.MatchTyped(carrier="0.6 mm at 0", part="0.5 mm at 9"))
    (entry,) = take_in(desk, result)

    assert "note" == entry.kind
    assert entry.text == f"match: {result.headline}"


class TestSharedFindings:
    """The shape of a bend and the oval share are one finding for four surfaces of a wheel."""

    BENT = RunoutTyped(readings=bent(1.4, 1.2, 44.0))
    SMOOTH = RunoutTyped(readings=bent(0.0, 0.0, 44.0))

    def shape(self, desk: Desk) -> str:
        return in_force(desk)["local_bend_shape@LF"]

    def test_a_smooth_surface_does_not_cancel_a_bent_one(self, desk: Desk):
        take_in(desk, runout.run(self.BENT), "LF", "bead_radial_inboard")
        oval = in_force(desk)["bead_oval@LF"]
        take_in(desk, runout.run(self.SMOOTH), "LF", "bead_radial_outboard")

        assert "dip_and_bulge" == self.shape(desk)
        assert oval == in_force(desk)["bead_oval@LF"]
        assert in_force(desk)["bead_radial_outboard@LF"].startswith("0.100 mm")

    def test_a_bent_surface_counts_after_a_smooth_one(self, desk: Desk):
        take_in(desk, runout.run(self.SMOOTH), "LF", "bead_radial_outboard")
        take_in(desk, runout.run(self.BENT), "LF", "bead_radial_inboard")

        assert "dip_and_bulge" == self.shape(desk)

    def test_the_same_surface_read_again_counts_as_read(self, desk: Desk):
        take_in(desk, runout.run(self.BENT), "LF", "bead_radial_inboard")
        take_in(desk, runout.run(self.SMOOTH), "LF", "bead_radial_inboard")

        assert "none" == self.shape(desk)

    def test_another_wheel_is_another_matter(self, desk: Desk):
        take_in(desk, runout.run(self.BENT), "LF", "bead_radial_inboard")
        take_in(desk, runout.run(self.SMOOTH), "RF", "bead_radial_inboard")

        assert "none" == in_force(desk)["local_bend_shape@RF"]


class TestRefusals:
    RESULT: RunoutView = runout.run(RunoutTyped(tir="0.9 mm"))

    def test_surfaces_come_from_the_rules(self, desk: Desk):
        known = surfaces(desk.library)

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
        self, desk: Desk, corner: str | None, surface: str, error: type[Exception], field: str
    ):
        raised = refusal(lambda: take_in(desk, self.RESULT, corner, surface))

        assert isinstance(raised, error)
        assert field == raised.where
        assert [] == desk.case.entries

    def test_a_surface_where_none_belongs(self, desk: Desk):
        result = balance.run(balance.BalanceTyped(inner="1 at 0", outer="1 at 0"))

        assert "surface" == refusal(lambda: take_in(desk, result, "LF", "assembly_radial")).where

    def test_a_part_this_car_does_not_have(self, desk: Desk):
        """A front-drive car has no driveshaft (definition)."""
        raised = refusal(lambda: take_in(desk, self.RESULT, None, "driveshaft_runout"))

        assert "cannot have" in raised.what
