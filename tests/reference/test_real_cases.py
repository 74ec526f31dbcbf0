"""Real cases: their files hold together, and the scorer counts as its docstrings say.

What the rules score is not asserted here: a test with the score as its goal would be a reason to
tune. `python tests/reference/real_cases/score.py` prints it.
"""

from __future__ import annotations

import hashlib
import math
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binomtest

from vibecheck.knowledge.library import Library
from vibecheck.knowledge.loader import load
from vibecheck.knowledge.place import find_rules
from vibecheck.session.answers import drafts, parse_assignment
from vibecheck.session.facts import read_facts

sys.path.insert(0, str(Path(__file__).parent / "real_cases"))

import counts  # noqa: E402
import score  # noqa: E402
import stories  # noqa: E402

LEAST_STORIES = 110
MOST_OF_A_FAMILY = 0.1
MOST_BULLETINS = 0.2


@pytest.fixture(scope="module")
def library() -> Library:
    return load(find_rules())


@pytest.fixture(scope="module")
def told() -> dict[str, stories.Story]:
    return stories.read_stories()


@pytest.fixture(scope="module")
def cases() -> dict[str, stories.Encoding]:
    return stories.read_encodings()


def made(chances: dict[str, float], truth: str, name: str = "x") -> score.Scored:
    ranking = tuple(sorted(chances.items(), key=lambda pair: -pair[1]))
    return score.Scored(name, "learn", "complaint", (truth,), (), ranking)


def test_stories_are_many_and_of_many_kinds(told: dict[str, stories.Story]) -> None:
    fresh = [each for each in told.values() if each.id not in stories.known_ids()]
    families = Counter(each.family for each in fresh)
    standing = Counter(each.confirmation for each in fresh)

    assert len(told) >= LEAST_STORIES
    assert max(families.values()) <= MOST_OF_A_FAMILY * len(fresh), families.most_common(3)
    assert standing["bulletin"] <= MOST_BULLETINS * len(fresh)
    assert all(each.page.startswith("http") for each in fresh)


def test_every_story_says_something_and_names_a_fault(told: dict[str, stories.Story]) -> None:
    for each in told.values():
        assert each.complaint or each.seen, each.id
        assert each.verdict.faults and each.source, each.id
        assert len({*each.complaint}) == len(each.complaint), each.id


def test_every_encoding_can_be_answered(
    library: Library, told: dict[str, stories.Story], cases: dict[str, stories.Encoding]
) -> None:
    for case in cases.values():
        facts = read_facts(library, case.facts, case.id)
        for layer in score.LAYERS:
            drafts(library, facts, [parse_assignment(a) for a in score.answers_of(case, layer)])
        assert case.truth or case.without_cause, case.id
        assert set(case.truth) <= set(library.causes), case.id
        story = told[case.id]
        assert set(case.unsayable) <= {*story.complaint, *story.seen}, case.id


def test_every_typical_complaint_can_be_answered(library: Library) -> None:
    typical = stories.read_typical()
    for each in typical:
        facts = read_facts(library, each.facts, each.cause)
        answers = [f"{finding}={state}" for finding, state in each.answers.items()]
        drafts(library, facts, [parse_assignment(answer) for answer in answers])

    assert len({each.cause for each in typical}) > 100
    assert {each.cause for each in typical} <= set(library.causes)


def test_a_part_that_is_not_asked_for_is_not_scored(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    scored: list[str] = []

    def noted(_: Library, cases: list[stories.Encoding], *rest: object) -> list[score.Scored]:
        scored.extend(case.id for case in cases)
        return []

    monkeypatch.setattr(score, "score", noted)
    score.page(library, parts=("learn",))

    assert scored
    known = stories.known_ids()
    assert all(stories.part_of(name, known) == "learn" for name in scored)


def test_the_parts_follow_the_hash_and_nothing_else() -> None:
    """SHA-256 of "abc" is the example of FIPS 180-4; its remainder by 3 is worked out here."""
    published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert hashlib.sha256(b"abc").hexdigest() == published
    # A number leaves the same remainder by 3 as the sum of its hex digits: 16 leaves 1.
    remainder = sum(int(digit, 16) for digit in published) % 3

    assert (stories.part_of("abc") == "check") == (remainder == 0)
    checked = [stories.part_of(f"case-{number}") == "check" for number in range(3000)]
    assert 0.30 < np.mean(checked) < 0.37


def test_a_known_case_is_never_in_the_checking_part() -> None:
    name = next(f"case-{n}" for n in range(99) if stories.part_of(f"case-{n}") == "check")

    assert stories.part_of(name, frozenset({name})) == "learn"
    assert stories.known_ids() <= set(stories.read_stories())


@pytest.mark.parametrize(("count", "number"), [(0, 15), (3, 15), (15, 15), (29, 45), (1, 1)])
def test_the_interval_is_that_of_wilson(count: int, number: int) -> None:
    expected = binomtest(count, number).proportion_ci(0.95, method="wilson")

    assert score.Share(count, number).interval == pytest.approx((expected.low, expected.high))


def test_places_and_log_score_by_hand() -> None:
    first = made({"a": 0.5, "b": 0.3, "c": 0.2}, "a")
    third = made({"a": 0.5, "b": 0.3, "c": 0.2}, "c")
    absent = made({"a": 0.5, "b": 0.3, "c": 0.2}, "no_such_cause")

    assert [each.place for each in (first, third, absent)] == [1, 3, None]
    assert [each.hit(3) for each in (first, third, absent)] == [True, True, False]
    mean, _ = score.log_score([first, third, absent])
    assert mean == pytest.approx((math.log(0.5) + math.log(0.2) + math.log(0.001)) / 3)


def test_the_best_placed_of_several_true_faults_counts() -> None:
    ranking = (("a", 0.5), ("b", 0.3), ("c", 0.2))
    both = score.Scored("x", "learn", "complaint", ("c", "b"), (), ranking)

    assert (both.place, both.chance) == (2, 0.3)


def test_bands_hold_at_least_fifteen_and_show_overconfidence() -> None:
    sure = [made({"a": 0.9, "b": 0.1}, "b", f"sure-{n}") for n in range(16)]
    unsure = [made({"a": 0.4, "b": 0.3}, "a", f"unsure-{n}") for n in range(16)]

    low, high = score.bands([*sure, *unsure])
    assert (low.said, low.right.value) == (pytest.approx(0.4), 1.0)
    assert (high.said, high.right.value) == (pytest.approx(0.9), 0.0)
    assert score.bands(sure[:14]) == []
    assert "off by more than 0.1" in "\n".join(score.summary(sure))


def test_a_miss_is_listed_with_what_led() -> None:
    lines = score.misses([made({"a": 0.4, "b": 0.3, "c": 0.2, "d": 0.1}, "d", "lost-case")])

    assert len(lines) == 1
    assert "lost-case" in lines[0] and "place 4" in lines[0] and "a 40%" in lines[0]


def test_a_fault_is_counted_over_its_corners(library: Library) -> None:
    """A bulge at either front tire: the fault's chance is at least that with one bulge."""
    one = score.chances(library, {}, ["vibration=strong", "tire_bulge@LF=yes"])
    none = score.chances(library, {}, ["vibration=strong"])

    assert none["belt_separation"] < one["belt_separation"] <= 1.0
    assert set(one) == set(library.causes)


def test_the_scorer_works_on_the_encoded_cases(
    library: Library, cases: dict[str, stories.Encoding]
) -> None:
    some = [cases[name] for name in sorted(cases)[:3]]
    scored = score.score(library, some, "complaint")

    assert [each.id for each in sorted(scored, key=lambda each: each.id)] == sorted(cases)[:3]
    for each in scored:
        likely = [chance for _, chance in each.ranking]
        assert likely == sorted(likely, reverse=True) and 0.0 <= likely[-1] <= likely[0] <= 1.0


def test_counts_share_out_a_verdict_and_shrink_to_the_word() -> None:
    """Two cases by hand: "a" true and stated with 0.6 and 0.2, "b" with 0.4 and 0.8."""
    cases = [made({"a": 0.6, "b": 0.4}, "a"), made({"a": 0.2, "b": 0.8}, "a", "y")]

    found = counts.counts(cases)
    assert found["a"] == pytest.approx((2.0, 0.8))
    assert found["b"] == pytest.approx((0.0, 1.2))
    weight = counts.WEIGHT
    assert counts.factor(*found["a"]) == pytest.approx((weight + 2.0) / (weight + 0.8))


def test_a_case_weighed_by_factors_follows_bayes() -> None:
    """Odds of 0.6 to 0.4 with twice the rate are 1.2 to 0.4 (Bayes' rule for one fault)."""
    case = counts.weighed(made({"a": 0.4, "b": 0.6}, "a"), {"a": 2.0})

    assert dict(case.ranking) == pytest.approx({"a": 0.8 / 1.4, "b": 0.6 / 1.4})
    assert case.ranking[0][0] == "a"


def test_no_case_is_scored_with_factors_that_it_gave(library: Library) -> None:
    """One case alone changes nothing: the other folds are empty, so the rates stay as written."""
    alone = made({"imbalance": 0.4, "engine_mount": 0.6}, "imbalance")

    folded = counts.folded(library, [alone])
    assert dict(folded[0].ranking) == pytest.approx(dict(alone.ranking))


def test_a_kind_is_heard_where_no_cause_of_it_is(library: Library) -> None:
    """Ten cases of ten causes of one kind move the kind by what the gamma prior says, and the
    causes within it hardly; a kind that nobody counted stays as written."""
    kind = counts.kind_of(library, "driveshaft_bent")
    alike = sorted(cause for cause in library.causes if counts.kind_of(library, cause) == kind)[:10]
    stated = {**dict.fromkeys(alike, 0.05), "imbalance": 1.0 - 0.05 * len(alike)}
    told = counts.factors(library, [made(stated, cause, cause) for cause in alike])

    assert told[alike[0]][0] > 1.4 > 1.15 > told[alike[0]][1] > 1.0
    assert told["imbalance"][0] < 0.8
    assert told["engine_mount"] == (1.0, 1.0)


def test_a_factor_is_the_same_however_much_of_it_the_chances_hold_already() -> None:
    """Twice the rate states twice the cases, so counting again gives the same factor."""
    whole = counts.factor(12.0, 5.0, 4.0)
    assert whole == pytest.approx((4.0 + 12.0) / (4.0 + 5.0))
    for now in (0.5, 1.0, 2.0):
        assert counts.factor(12.0, 5.0 * now, 4.0, now) == pytest.approx(whole)
