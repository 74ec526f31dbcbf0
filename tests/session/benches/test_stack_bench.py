"""The stack bench: what the forward model puts in comes back, in words and as findings."""

from __future__ import annotations

import pytest
from bench_helpers import refusal, round_text, values_of

from vibecheck.metrology.vectors import Vector, difference
from vibecheck.session.benches.clockings import ClockingTyped, clocking_of
from vibecheck.session.benches.stack import StackTyped, run
from vibecheck.virtual.dial import mounted

TIRE, WHEEL, HUB = Vector(0.40, 20.0), Vector(0.30, 110.0), Vector(0.10, 250.0)
NO_HUB = Vector(0.0, 0.0)


def clocking(tire: float, wheel: float = 0.0, hub: Vector = HUB, **others: object) -> ClockingTyped:
    text = round_text(mounted(TIRE, WHEEL, hub, tire, wheel))
    return ClockingTyped(readings=text, tire_turn=f"{tire:g}", wheel_turn=f"{wheel:g}",
                         **others)  # type: ignore[arg-type]


class TestRecovery:
    def test_three_clockings_separate_tire_wheel_and_hub(self):
        found = run(StackTyped(clockings=(clocking(0), clocking(180), clocking(0, 144)), studs="5"))

        for part, true in zip(found.parts, (TIRE, WHEEL, HUB), strict=True):
            assert abs(part.tir_mm - true.tir) < part.uncertainty_mm
            assert abs(difference(part.angle_deg, true.angle_deg)) < part.angle_uncertainty_deg
        assert "the largest share comes from the tire" in found.headline

    def test_the_best_turn_is_what_the_forward_model_says(self):
        found = run(StackTyped(clockings=(clocking(0), clocking(180), clocking(0, 144)), studs="5"))
        tire = found.turns[0]
        after = mounted(TIRE, WHEEL, HUB, tire.turn_deg).tir

        assert abs(after - tire.after_mm) < tire.uncertainty_mm
        assert all(after <= mounted(TIRE, WHEEL, HUB, turn).tir + tire.uncertainty_mm
                   for turn in range(0, 360, 5))

    def test_marked_high_spots_do_as_well_as_round_readings(self):
        """Total runout and a chalk mark, as a shop has them; the uncertainty says so."""
        clockings = []
        for turn in (0.0, 120.0, 240.0):
            total = mounted(TIRE, WHEEL, NO_HUB, turn)
            clockings.append(clocking_of(
                f"tire {turn:g}, spindle: {total.tir:.2f} mm at {total.angle_deg:.0f}"))
        found = run(StackTyped(clockings=tuple(clockings)))

        assert ["tire", "wheel"] == [each.part for each in found.parts]
        assert found.repeated
        for part, true in zip(found.parts, (TIRE, WHEEL), strict=True):
            assert abs(part.tir_mm - true.tir) < part.uncertainty_mm

    def test_angles_from_the_valve_stem(self):
        """On the hub people count from the valve stem, which the wheel carries along."""
        clockings = []
        for tire, wheel in ((0.0, 0.0), (180.0, 0.0), (0.0, 144.0)):
            total = mounted(TIRE, WHEEL, HUB, tire, wheel)
            seen = Vector(total.amplitude, total.angle_deg - wheel)
            clockings.append(ClockingTyped(
                readings=round_text(seen), tire_turn=f"{tire:g}", wheel_turn=f"{wheel:g}",
                from_valve=True))
        found = run(StackTyped(clockings=tuple(clockings)))

        assert abs(difference(found.parts[2].angle_deg, HUB.angle_deg)) < 10.0

    def test_a_contradiction_is_said(self):
        odd = ClockingTyped(readings=round_text(Vector(0.9, 10.0)), tire_turn="90")
        found = run(StackTyped(clockings=(clocking(0), clocking(180), odd)))

        assert found.repeated is False
        assert any("did not repeat" in note for note in found.notes)


class TestFindings:
    def test_three_parts_give_three_shares(self):
        found = run(StackTyped(clockings=(clocking(0), clocking(180), clocking(0, 144))))
        made = values_of(found.assignments("LF"))

        assert ["runout_vector_tire", "runout_vector_wheel", "runout_vector_hub"] == list(made)
        assert made["runout_vector_tire"].startswith("0.798 mm +/- 0.0")
        assert " +/- " in made["runout_vector_wheel"]

    def test_readings_go_along_with_their_clocking(self):
        found = run(StackTyped(clockings=(clocking(0), clocking(180, hub=NO_HUB)), parts="tire"))
        (share,) = found.assignments("LF")

        assert 36 == len(share.readings) == len(share.angles)
        assert "tire 180 wheel 0: 340" == share.angles[-1]

    def test_a_wheel_read_with_its_hub_is_no_share_of_the_wheel(self):
        found = run(StackTyped(clockings=(clocking(0), clocking(180))))

        assert ["runout_vector_tire"] == list(values_of(found.assignments("LF")))
        assert any("wheel with its hub" in note for note in found.notes)

    def test_turning_the_wheel_alone_gives_the_hub(self):
        found = run(StackTyped(clockings=(clocking(0), clocking(0, 144)), studs="5"))

        assert ["runout_vector_hub"] == list(values_of(found.assignments("LF")))

    @pytest.mark.parametrize(
        ("before", "after", "follows"),
        [("40", "215", "tire"), ("40", "50", "wheel"), ("40", "120", "both")],
    )
    def test_the_shops_shortcut(self, before: str, after: str, follows: str):
        """Half a turn of the tire: the high spot goes with the part that runs out (practice)."""
        found = run(StackTyped(before=before, after=after))

        assert {"high_spot_follows": follows} == values_of(found.assignments("LF"))


class TestBadInput:
    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            (StackTyped(), "clockings", "one kind"),
            (StackTyped(before="10"), "after", "angle is missing"),
            (StackTyped(before="10", after="20", turned="20"), "turned", "too small"),
            (StackTyped(clockings=(clocking(0),)), "clockings", "no part was turned"),
            (StackTyped(clockings=(clocking(0), clocking(360))), "clockings", "no part was turned"),
            (StackTyped(clockings=(clocking(0), clocking(1))), "clockings", "cannot separate"),
            (StackTyped(clockings=(clocking(0), clocking(180)), parts="tire wheel hub"),
             "clockings", "2 clockings cannot separate 3 parts"),
            (StackTyped(clockings=(clocking(0), clocking(180)), parts="rim"), "parts", "rim"),
            (StackTyped(clockings=(clocking(0), clocking(180)), studs="5.5"), "studs", "5.5"),
            (StackTyped(clockings=(clocking(0), clocking(180)), remount="-1"), "remount",
             "negative"),
            (StackTyped(clockings=(clocking(0), ClockingTyped(tire_turn="90"))), "clockings, 2",
             "no reading"),
            (StackTyped(clockings=(ClockingTyped(readings="1 2 3"),)), "clockings, 1", "too few"),
            (StackTyped(clockings=(ClockingTyped(runout="-1 at 0"),)), "clockings, 1", "negative"),
        ],
    )
    def test_one_sentence_that_names_the_field(self, typed: StackTyped, field: str, says: str):
        error = refusal(lambda: run(typed))

        assert field == error.where
        assert says in error.what

    @pytest.mark.parametrize(
        ("text", "says"),
        [("tire 0 1 2 3", "not a clocking"), ("tire 0:", "not a clocking"),
         ("rim 0: 1 at 0", "'rim'"), ("tire: 1 at 0", "'tire'")],
    )
    def test_a_text_that_is_no_clocking(self, text: str, says: str):
        assert says in refusal(lambda: clocking_of(text)).what

    def test_all_words_of_a_clocking(self):
        typed = clocking_of("wheel=72, tire 180 bare spindle valve: 0.42 mm @ 120")

        assert ("180", "72", False, False, True) == (
            typed.tire_turn, typed.wheel_turn, typed.tire_on, typed.on_hub, typed.from_valve)
        assert "0.42 mm @ 120" == typed.runout
