"""Which outcomes are confirmed: by what was measured and driven again, never by what is written."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

from vibecheck.casebook import store
from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.model import Spot
from vibecheck.knowledge.place import find_rules
from vibecheck.knowledge.words import Corner
from vibecheck.session.outcomes import OutcomeStanding, can_be_put_right, read_visits
from vibecheck.session.shop import shop_of

sys.path.insert(0, str(Path(__file__).parent))
from repaired_visits import FOUND, repaired


@pytest.fixture(scope="module")
def library() -> Library:
    return load(find_rules())


@pytest.mark.parametrize(
    ("visit", "standing", "held"),
    [
        ({}, OutcomeStanding.CONFIRMED, True),
        ({"cause": ""}, OutcomeStanding.NOT_FINISHED, None),
        ({"remedy": ""}, OutcomeStanding.NOT_ITS_REMEDY, None),
        ({"remedy": "rebalance@LF"}, OutcomeStanding.NOT_ITS_REMEDY, True),
        ({"remedy": "replace_wheel@RF"}, OutcomeStanding.NOT_ITS_REMEDY, True),
        ({"after": ()}, OutcomeStanding.NOT_LOOKED_AGAIN, None),
        ({"after": ("felt_in_steering_wheel=none",)}, OutcomeStanding.PARTLY_LOOKED_AGAIN, None),
        ({"after": ("felt_in_steering_wheel=slight",)}, OutcomeStanding.NOT_FIXED, False),
        ({"after": ("bead_radial_inboard@LF=0.98 mm", "felt_in_steering_wheel=strong")},
         OutcomeStanding.NOT_FIXED, False),
        ({"invented": True}, OutcomeStanding.INVENTED, None),
        ({"remedy": "rebalance@LF", "after": ("felt_in_steering_wheel=strong",),
          "again": (("replace_wheel@LF", ("felt_in_steering_wheel=none",
                                          "bead_radial_inboard@LF=0.1 mm")),)},
         OutcomeStanding.CONFIRMED, False),
    ],
)  # fmt: skip
def test_where_an_outcome_stands(
    tmp_path: Path, library: Library, visit: dict[str, Any], standing: OutcomeStanding,
    held: bool | None,
) -> None:
    repaired(tmp_path, "one", **visit)
    visits = read_visits(tmp_path, library)

    assert {standing: 1} == visits.standings
    if visits.closed and standing is not OutcomeStanding.INVENTED:
        assert held is visits.closed[0].held


def test_what_counts_is_the_car_as_it_was_found(tmp_path: Path, library: Library) -> None:
    repaired(tmp_path, "one")
    (visit,) = read_visits(tmp_path, library).confirmed

    assert Spot("bent_wheel", Corner.LF) == visit.cause
    assert "shake" == visit.complaint
    states = list(library.findings["felt_in_steering_wheel"].states)
    felt = visit.evidence[Spot("felt_in_steering_wheel")]
    assert "strong" == states[int(felt.argmax())]
    assert visit.minutes > 0


def test_who_comes_back_with_a_complaint_confirms_nothing(
    tmp_path: Path, library: Library
) -> None:
    first = store.load(repaired(tmp_path, "first")).case.id
    second = store.load(repaired(tmp_path, "second")).case.id
    repaired(tmp_path, "third", follows=first, cause="")
    repaired(tmp_path, "fourth", follows=second, cause="",
             found=("complaint_kind=none",), remedy="")  # fmt: skip
    visits = read_visits(tmp_path, library)
    standings = {visit.id: visit.standing for visit in visits.closed}

    assert OutcomeStanding.CAME_BACK is standings[first]
    # a look without a complaint is no come-back
    assert OutcomeStanding.CONFIRMED is standings[second]


def test_a_copy_and_a_damaged_file_count_for_nothing(tmp_path: Path, library: Library) -> None:
    path = repaired(tmp_path, "one")
    (tmp_path / "two.yaml").write_bytes(path.read_bytes())
    (tmp_path / "three.yaml").write_text("vibecheck_case: [", encoding="utf-8")
    other = path.read_text(encoding="utf-8").replace("shake", "no_such_state")
    (tmp_path / "four.yaml").write_text(other.replace("id: visit-", "id: other-"), encoding="utf-8")
    visits = read_visits(tmp_path, library)

    assert {
        OutcomeStanding.CONFIRMED: 1, OutcomeStanding.TWICE: 1, OutcomeStanding.UNREADABLE: 2,
    } == visits.standings


def test_what_nothing_on_the_car_puts_right_is_never_confirmed(library: Library) -> None:
    """A talk about the road or the model is no repair (common practice, no source)."""
    talk = {each.id for each in library.causes.values() if not can_be_put_right(library, each)}

    assert {"rough_road", "normal_for_car"} == talk


def test_the_shop_page_counts(tmp_path: Path, library: Library) -> None:
    for number in range(5):
        repaired(tmp_path, f"held{number}")
    lost = store.load(repaired(tmp_path, "lost")).case.id
    repaired(tmp_path, "back", follows=lost, after=("felt_in_steering_wheel=slight",))
    repaired(tmp_path, "noise", found=("complaint_kind=noise", *FOUND[1:]))
    shop = shop_of(library, read_visits(tmp_path, library))
    shake, noise = shop.kinds

    assert ("shake", 7, 5) == (shake.complaint, shake.visits, shake.confirmed)
    assert [("bent_wheel", 5)] == [(each.cause, each.visits) for each in shake.behind]
    assert (5, 2, 1) == (shake.held, shake.not_held, shake.came_back)
    assert shake.minutes is not None and shake.minutes.low > 0
    assert noise.minutes is None and noise.share_held is None  # one visit says nothing
    assert (8, 6, 1) == (shop.together.visits, shop.together.held, shop.together.came_back)
    assert 0.0 < shake.behind[0].by_the_rules < 0.2


def test_the_share_that_held_has_the_interval_of_jeffreys(
    tmp_path: Path, library: Library
) -> None:
    """scipy.stats.beta with half a case for and against: 9 of 10."""
    from scipy import stats

    from vibecheck.session.outcomes import Closed, Visits

    closed = tuple(Closed(str(n), OutcomeStanding.CONFIRMED, "shake", held=n > 0)
                   for n in range(10))
    share = shop_of(library, Visits(10, closed)).together.share_held

    assert share is not None
    assert stats.beta(9.5, 1.5).interval(0.95) == (
        pytest.approx(share.low), pytest.approx(share.high))
