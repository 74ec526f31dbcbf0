"""Defect orders against published multiples of two bearings, and an exact count of passings."""

from __future__ import annotations

import pytest

from vibecheck.errors import ReadingError
from vibecheck.metrology.orders.bearing import TurningRing, defect_orders


@pytest.mark.parametrize(
    ("balls", "ball", "pitch", "inner", "outer", "cage", "ball_order"),
    [
        (9, 0.3126, 1.537, 5.4152, 3.5848, 0.39828, 4.7135),
        (8, 0.2656, 1.122, 4.9469, 3.0530, 0.3817, 3.9874),
    ],
    ids=["drive end, 6205 size", "fan end, 6203 size"],
)
def test_multiples_of_a_published_bearing_data_set(
    balls: int, ball: float, pitch: float, inner: float, outer: float, cage: float,
    ball_order: float,
) -> None:
    """Case Western Reserve University bearing data: dimensions [in] and multiples (memory)."""
    found = defect_orders(balls, ball, pitch)

    assert inner == pytest.approx(found.inner_ring, rel=2e-3)
    assert outer == pytest.approx(found.outer_ring, rel=2e-3)
    assert cage == pytest.approx(found.cage, rel=2e-3)
    assert ball_order == pytest.approx(found.ball, rel=2e-3)


def test_passings_add_up_to_the_number_of_balls() -> None:
    """In one turn every ball passes a point of one ring or the other: the two orders make n."""
    found = defect_orders(13, 9.0, 55.0, 35.0)

    assert 13.0 == pytest.approx(found.inner_ring + found.outer_ring)
    assert found.outer_ring == pytest.approx(13 * found.cage)


def test_the_cage_runs_faster_where_the_outer_ring_turns() -> None:
    inner, outer = (defect_orders(13, 9.0, 55.0, turning=ring) for ring in TurningRing)

    assert 1.0 == pytest.approx(inner.cage + outer.cage)
    assert outer.cage > inner.cage


@pytest.mark.parametrize(
    ("geometry", "words"),
    [((2, 8.0, 39.0), "2 balls"), ((9, 40.0, 39.0), "smaller"), ((40, 8.0, 39.0), "do not fit"),
     ((9, 8.0, 39.0, 90.0), "contact")],
)
def test_what_cannot_be_is_refused(geometry: tuple[float, ...], words: str) -> None:
    with pytest.raises(ReadingError, match=words):
        defect_orders(int(geometry[0]), *geometry[1:])
