"""The diagnosis as a whole: what answers may and may not do to a ranking."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import InputError
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.words import Corner, Family
from vibecheck.metrology.decision import Zone
from vibecheck.reasoning.belief import believe
from vibecheck.reasoning.search import Effort
from vibecheck.session.limits import LimitOrigin
from vibecheck.session.open_case import OpenCase, library_at

STORY = (
    "vibration=strong", "felt_in_steering_wheel=strong", "worst_speed=65 mph",
    "recent_pothole=yes", "under_braking=slightly", "assembly_radial@LF=1.7 mm +/- 0.2",
    "nuts_loose@LF=tight", "hum=no",
)
FACTS = {"drive": "front", "propulsion": "combustion", "tire_size": "205/55R16"}


def opened(*answers: str, facts: dict[str, str] | None = None) -> OpenCase:
    made = OpenCase.new(None, place="bay", facts=FACTS if facts is None else facts)
    if answers:
        made.answer(answers)
    return made


def chances(made: OpenCase) -> np.ndarray:
    return made.diagnosis.belief.chances


def chance(made: OpenCase, cause: str, corner: Corner | None = None) -> float:
    return float(chances(made)[made.diagnosis.network.index[Spot(cause, corner)]])


def odds(probability: float) -> float:
    return probability / (1.0 - probability)


@given(st.permutations(STORY))
@settings(derandomize=True, max_examples=8, deadline=None)
def test_order_of_the_answers_changes_nothing(story: list[str]) -> None:
    assert chances(opened(*story)) == pytest.approx(chances(opened(*STORY)), abs=1e-12)


@pytest.mark.parametrize("taken", range(len(STORY)))
def test_taking_an_answer_back_restores_the_former_ranking(taken: int) -> None:
    others = [answer for number, answer in enumerate(STORY) if number != taken]
    made = opened(*others)
    before = chances(made).copy()
    entry = made.answer([STORY[taken]])[0]
    changed = chances(made).copy()
    made.retract(entry.id)

    assert np.abs(changed - before).max() > 1e-6
    assert chances(made) == pytest.approx(before, abs=1e-9)


def test_reading_again_is_a_repeat_and_going_back_restores_the_first() -> None:
    made = opened("bead_radial_inboard@LF=0.1 mm")
    before = chances(made).copy()
    entries = [made.answer(["bead_radial_inboard@LF=1.2 mm"])[0] for _ in range(2)]
    assert chance(made, "bent_wheel", Corner.LF) > 0.3
    for entry in entries:
        made.retract(entry.id)

    assert chances(made) == pytest.approx(before, abs=1e-9)


@given(st.lists(st.sampled_from(STORY), unique=True))
@settings(derandomize=True, max_examples=12, deadline=None)
def test_probabilities_are_proper(story: list[str]) -> None:
    view = opened(*story).diagnosis
    sets = [each.probability for each in view.sets]

    assert all(0.0 <= each.probability <= 1.0 for each in (
        *view.ranking, *(one.cause for one in view.less_likely)))
    assert 0.0 <= view.belief.no_fault <= 1.0
    bounded = believe(view.network, view.case_evidence.evidence, Effort(bounded=True)).sets
    assert 0.0 <= bounded.left_out < 1.0
    assert 0.0 <= view.belief.sets.apart < 1.0
    assert sum(sets) <= 1.0 + 1e-9 and sets == sorted(sets, reverse=True)


def test_a_good_reading_at_one_corner_leaves_the_others_alone() -> None:
    """Bent wheels at two corners: the odds between the other corners stay as they are.

    Where it is felt is left out: a front wheel that is cleared no longer explains the steering
    wheel, and the other front wheel then does rather than a rear one.
    """
    told = [each for each in STORY if not each.startswith("felt_in")]
    before = opened(*told)
    after = opened(*told, "bead_radial_inboard@LF=0.05 mm", "bead_radial_outboard@LF=0.05 mm")
    others = [Corner.RF, Corner.LR, Corner.RR]

    assert chance(after, "bent_wheel", Corner.LF) < 0.5 * chance(before, "bent_wheel", Corner.LF)
    for one, other in itertools.combinations(others, 2):
        ratios = [
            odds(chance(made, "bent_wheel", one)) / odds(chance(made, "bent_wheel", other))
            for made in (before, after)
        ]
        assert ratios[1] == pytest.approx(ratios[0], rel=0.02)


def test_a_good_reading_without_complaint_moves_no_other_corner() -> None:
    """Up to what the search leaves out."""
    before, after = opened(), opened("bead_radial_inboard@LF=0.05 mm")
    for spot, index in before.diagnosis.network.index.items():
        if spot.corner is not Corner.LF:
            assert chances(after)[index] == pytest.approx(chances(before)[index], rel=1e-3)


def test_another_tire_size_moves_what_a_speed_says() -> None:
    """Bigger wheels turn more slowly, so the same speed is another frequency."""
    small = opened("vibration=strong", "worst_speed=110 km/h", facts={"tire_size": "155/65R13"})
    large = opened("vibration=strong", "worst_speed=110 km/h", facts={"tire_size": "35x12.5R20"})

    assert np.abs(chances(small) - chances(large)).max() > 0.003


@pytest.mark.parametrize("answers", [(), ("at_standstill=clearly", "vibration=strong")])
def test_an_electric_car_never_has_engine_trouble(answers: tuple[str, ...]) -> None:
    made = opened(*answers, facts={"propulsion": "electric"})
    families = {node.rule.family for node in made.diagnosis.network.causes}

    assert Family.ENGINE not in families
    with pytest.raises(InputError, match="cannot have"):
        made.diagnosis.why("engine_misfire")


def test_a_front_driver_never_has_a_driveshaft() -> None:
    front, rear, unknown = (
        {node.spot.id for node in opened(facts=facts).diagnosis.network.causes}
        for facts in ({"drive": "front"}, {"drive": "rear"}, {})
    )
    shafts = {cause for cause in rear if cause.startswith("driveshaft_")}

    assert shafts
    assert not shafts & front
    assert "inner_joint_worn" in front and "inner_joint_worn" not in rear
    assert shafts | {"inner_joint_worn"} <= unknown  # an unknown layout keeps both


def test_an_unknown_layout_still_asks_about_both() -> None:
    made = opened("vibration=strong", "under_acceleration=clearly", "feel=shudder", facts={})
    causes = {each.cause for each in made.diagnosis.ranking}

    assert {"inner_joint_worn", "universal_joint_worn"} <= causes


def test_the_own_manual_goes_before_the_general_figure_and_says_so() -> None:
    made = opened("bead_radial_inboard@LF=0.6 mm +/- 0.02")
    assert Zone.BEYOND is made.diagnosis.readings[0].zone
    made.set_facts(limits={"wheel_bead_radial": "0.8 mm"})
    own = made.diagnosis.readings[0]

    assert own.judged and own.judged.limit
    assert Zone.WITHIN is own.zone
    assert own.judged.limit.value == pytest.approx(0.8)
    assert own.judged.limit.origin is LimitOrigin.OWN
    made.set_facts(limits={"wheel_bead_radial": ""})
    assert Zone.BEYOND is made.diagnosis.readings[0].zone


def test_a_steel_wheel_has_its_own_general_figure() -> None:
    """0.8 mm for steel: workshop manuals named in the tolerance (read)."""
    answer = "bead_radial_inboard@LF=0.6 mm +/- 0.02"
    alloy, steel = (opened(answer, facts={"wheel_material": each}) for each in ("alloy", "steel"))

    assert Zone.BEYOND is alloy.diagnosis.readings[0].zone
    assert Zone.WITHIN is steel.diagnosis.readings[0].zone
    judged = steel.diagnosis.readings[0].judged
    assert judged and judged.limit and judged.limit.origin is LimitOrigin.VARIANT


def test_ruling_out_names_the_look_and_taking_back_undoes_it() -> None:
    suspect = ("vibration=strong", "recent_wheel_work=yes", "started=after_work", "clunk=yes")
    made = opened(*suspect)
    live = {(each.cause, each.corner) for each in made.diagnosis.ranking}
    assert ("loose_nuts", "LF") in live
    entry = made.answer(["nuts_loose@LF=tight"], check="check_fasteners")[0]
    gone = {each.cause: each for each in made.diagnosis.ruled_out}
    loose = Spot("loose_nuts", Corner.LF)

    assert entry == gone[loose].entry and "check_fasteners" == entry.check
    assert (entry.finding, entry.corner) == gone[loose].finding
    assert gone[loose].odds >= 20.0
    assert loose not in {each.cause.spot for each in made.diagnosis.less_likely}
    made.retract(entry.id)
    assert ("loose_nuts", "LF") in {(each.cause, each.corner) for each in made.diagnosis.ranking}


def test_talk_makes_less_likely_and_names_its_check() -> None:
    made = opened("vibration=strong", "engine_lamp=steady", "at_standstill=clearly")
    assert "engine_misfire" in {each.cause for each in made.diagnosis.ranking}
    made.answer(["at_standstill=no", "engine_lamp=off", "under_acceleration=no"])
    gone = {each.cause.spot: each for each in made.diagnosis.less_likely}
    pushed = gone[Spot("engine_misfire")]

    assert pushed.cause.probability < made.library.settings.prune_below
    assert pushed.check and pushed.weight.finding.id in (
        made.library.checks[pushed.check].yields)
    assert Spot("engine_misfire") not in {each.cause for each in made.diagnosis.ruled_out}


def test_not_sure_moves_nothing_and_is_not_asked_again() -> None:
    made = opened("vibration=strong")
    before = chances(made).copy()
    made.answer(["hum=unsure", "thump=?", "rattle=not sure"])

    assert chances(made) == pytest.approx(before, abs=1e-12)
    assert "ask_noise" not in {each.check for each in made.diagnosis.next_checks}


def test_why_holds_both_sides_and_the_path_to_the_proof() -> None:
    made = opened(*STORY, "bead_radial_inboard@LF=47 thou", "bead_lateral_inboard@LF=0.1 mm")
    why = made.diagnosis.why("bent_wheel")

    assert "LF" == why.cause.corner and 1 == why.rank
    assert max(each.bits for each in why.weights) > 0 > min(each.bits for each in why.weights)
    assert library_at(None).causes["bent_wheel"] == why.cause.rule
