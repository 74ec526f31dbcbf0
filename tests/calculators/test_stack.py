"""Parts told apart: what the forward model puts in comes back, in words and as findings."""

from __future__ import annotations

import numpy as np
import pytest
from calculator_helpers import refusal, round_text, said, texts, values_of

from vibecheck.calculators.stack import (
    CALCULATOR,
    StackResult,
    joined_clocking,
    run,
    split_clocking,
)
from vibecheck.metrology.vectors import Vector, difference
from vibecheck.virtual.dial import mounted

TIRE, WHEEL, HUB = Vector(0.40, 20.0), Vector(0.30, 110.0), Vector(0.10, 250.0)
NO_HUB = Vector(0.0, 0.0)


answers_of = CALCULATOR.answers_of
Mounting = dict[str, str]


def clocking(tire: float, wheel: float = 0.0, hub: Vector = HUB) -> Mounting:
    text = round_text(mounted(TIRE, WHEEL, hub, tire, wheel))
    return {"read": text, "tire": f"{tire:g}", "wheel": f"{wheel:g}"}


def stacked(*mountings: Mounting, **others: str) -> dict[str, str]:
    """Typed texts with the mountings' fields numbered."""
    numbered = {f"{name}{number}": text for number, each in enumerate(mountings, start=1)
                for name, text in each.items()}
    return {**numbered, **others}


class TestRecovery:
    def test_three_clockings_separate_tire_wheel_and_hub(self):
        found = run(stacked(clocking(0), clocking(180), clocking(0, 144), studs="5"))

        for part, true in zip(found.separation.parts, (TIRE, WHEEL, HUB), strict=True):
            assert abs(part.vector.tir - true.tir) < 2.0 * part.uncertainty
            off = abs(difference(part.vector.angle_deg, true.angle_deg))
            assert off < part.angle_uncertainty_deg
        assert "the largest share comes from the tire" in said("stack", found)

    def test_the_best_turn_is_what_the_forward_model_says(self):
        found = run(stacked(clocking(0), clocking(180), clocking(0, 144), studs="5"))
        tire = found.tire_turn
        spread = 2.0 * tire.uncertainty_after
        after = mounted(TIRE, WHEEL, HUB, tire.turn_deg).tir

        assert abs(after - tire.after.tir) < spread
        assert all(after <= mounted(TIRE, WHEEL, HUB, turn).tir + spread
                   for turn in range(0, 360, 5))

    def test_marked_high_spots_do_as_well_as_round_readings(self):
        """Total runout and a chalk mark, as a shop has them; the uncertainty says so."""
        clockings = []
        for turn in (0.0, 120.0, 240.0):
            total = mounted(TIRE, WHEEL, NO_HUB, turn)
            clockings.append(split_clocking(
                f"tire {turn:g}, spindle: {total.tir:.2f} mm at {total.angle_deg:.0f}", ""))
        found = run(stacked(*clockings))

        assert ["tire", "wheel"] == [each.part.value for each in found.separation.parts]
        assert found.separation.repeated
        for part, true in zip(found.separation.parts, (TIRE, WHEEL), strict=True):
            assert abs(part.vector.tir - true.tir) < 2.0 * part.uncertainty

    def test_angles_from_the_valve_stem(self):
        """On the hub people count from the valve stem, which the wheel carries along."""
        clockings = []
        for tire, wheel in ((0.0, 0.0), (180.0, 0.0), (0.0, 144.0)):
            total = mounted(TIRE, WHEEL, HUB, tire, wheel)
            seen = Vector(total.amplitude, total.angle_deg - wheel)
            clockings.append({"read": round_text(seen), "tire": f"{tire:g}",
                              "wheel": f"{wheel:g}", "how": "valve"})
        found = run(stacked(*clockings))

        hub = found.separation.parts[2].vector
        assert abs(difference(hub.angle_deg, HUB.angle_deg)) < 10.0

    def test_a_contradiction_is_said(self):
        odd = {"read": round_text(Vector(0.9, 10.0)), "tire": "90"}
        found = run(stacked(clocking(0), clocking(180), odd))

        assert found.separation.repeated is False
        assert "did not repeat" in said("stack", found)


class TestFindings:
    def test_three_parts_give_three_shares(self):
        found = run(stacked(clocking(0), clocking(180), clocking(0, 144)))
        made = values_of(answers_of(found))

        assert ["runout_vector_tire", "runout_vector_wheel", "runout_vector_hub"] == list(made)
        assert made["runout_vector_tire"].startswith("0.798")
        assert " +/- " in made["runout_vector_wheel"]

    def test_readings_go_along_with_their_clocking(self):
        found = run(stacked(clocking(0), clocking(180, hub=NO_HUB), parts="tire"))
        (share,) = answers_of(found)

        assert 36 == len(share.readings) == len(share.angles)
        assert "tire 180 wheel 0: 340" == share.angles[-1]

    def test_a_wheel_read_with_its_hub_is_no_share_of_the_wheel(self):
        found = run(stacked(clocking(0), clocking(180)))

        assert ["runout_vector_tire"] == list(values_of(answers_of(found)))
        assert "wheel with its hub was read as one" in said("stack", found)

    def test_turning_the_wheel_alone_gives_the_hub(self):
        found = run(stacked(clocking(0), clocking(0, 144), studs="5"))

        assert ["runout_vector_hub"] == list(values_of(answers_of(found)))

    @pytest.mark.parametrize(
        ("before", "after", "follows"),
        [("40", "215", "tire"), ("40", "50", "wheel"), ("40", "120", "both")],
    )
    def test_the_shops_shortcut(self, before: str, after: str, follows: str):
        """Half a turn of the tire: the high spot goes with the part that runs out (practice)."""
        found = run(texts(before=before, after=after))

        assert {"high_spot_follows": follows} == values_of(answers_of(found))


class TestBadInput:
    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            (texts(), "clocking", "one kind"),
            (texts(before="10"), "after", "angle is missing"),
            (texts(before="10", after="20", turned="20"), "turned", "too small"),
            (stacked(clocking(0)), "clocking", "no part was turned"),
            (stacked(clocking(0), clocking(360)), "clocking", "no part was turned"),
            (stacked(clocking(0), clocking(1)), "clocking", "cannot separate"),
            (stacked(clocking(0), clocking(180), parts="tire wheel hub"),
             "clocking", "2 clockings cannot separate 3 parts"),
            (stacked(clocking(0), clocking(180), parts="rim"), "parts", "rim"),
            (stacked(clocking(0), clocking(180), studs="5.5"), "studs", "5.5"),
            (stacked(clocking(0), clocking(180), remount="-1"), "remount",
             "negative"),
            (stacked(clocking(0), {"read": "x", "tire": "90"}), "read2, reading 1", "'x'"),
            (stacked({"read": "1 2 3"}), "read1", "too few"),
            (stacked({"read": "-1 at 0"}), "read1", "negative"),
            (stacked(clocking(0), {"read": "1 at 0", "how": "lying"}), "how2", "'lying'"),
        ],
    )
    def test_one_sentence_that_names_the_field(self, typed: dict[str, str], field: str, says: str):
        error = refusal(lambda: run(typed))

        assert field == error.where
        assert says in error.what

    @pytest.mark.parametrize(
        ("text", "says"),
        [("tire 0 1 2 3", "not a clocking"), ("tire 0:", "not a clocking"),
         ("rim 0: 1 at 0", "'rim'"), ("tire: 1 at 0", "'tire'")],
    )
    def test_a_text_that_is_no_clocking(self, text: str, says: str):
        assert says in refusal(lambda: split_clocking(text, "clocking")).what

    def test_all_words_of_a_clocking(self):
        typed = split_clocking("wheel=72, tire 180 bare spindle valve: 0.42 mm @ 120", "")

        assert {"tire": "180", "wheel": "72", "how": "bare spindle valve",
                "read": "0.42 mm @ 120"} == typed
        assert typed == split_clocking(joined_clocking(typed), "")


def test_a_brake_rotor_parts_from_its_hub() -> None:
    """Rotor 0.08 mm at 40 deg from its mark, hub 0.12 at 100 deg from the marked stud (invented),
    added as vectors that turn; three mountings, twelve places each.
    """
    turn = np.radians(np.arange(12) * 30.0)
    typed = {"rotor": "yes", "studs": "5", "division": "0.002 mm", "remount": "0.005 mm"}
    for number, at in enumerate((0.0, 144.0, 288.0), start=1):
        heights = 0.04 * np.cos(turn - np.radians(40.0 + at)) + 0.06 * np.cos(
            turn - np.radians(100.0))
        typed[f"read{number}"] = " ".join(f"{each:.5f}" for each in heights) + " mm"
        typed[f"wheel{number}"] = f"{at:g}"
    found = run(typed)

    assert isinstance(found, StackResult)
    rotor, hub = found.separation.parts
    assert (0.08, 40.0) == (pytest.approx(rotor.vector.tir, abs=1e-3),
                            pytest.approx(rotor.vector.angle_deg, abs=0.5))
    assert (0.12, 100.0) == (pytest.approx(hub.vector.tir, abs=1e-3),
                             pytest.approx(hub.vector.angle_deg, abs=0.5))
    assert () == CALCULATOR.answers_of(found)
    text = said("stack", found)
    assert "rotor: 0.080" in text and "rotor on the hub, its mark from the marked stud" in text
    assert "wheel" not in text and "tire" not in text
