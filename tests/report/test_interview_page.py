"""What stands beside a question: what moved, and where a fault sits."""

from __future__ import annotations

from collections.abc import Callable

from vibecheck.report.interview_page import DOWN, MOVED_LEAST, UP, moved_items, taken_items
from vibecheck.report.names import axle_text
from vibecheck.session.open_case import OpenCase

Begin = Callable[..., OpenCase]


def test_what_moved_stands_with_its_way_and_nothing_else(real: Begin) -> None:
    opened = real("complaint_kind=shake")
    before = opened.diagnosis
    opened.answer(["felt_in_steering_wheel=strong"])
    after = opened.diagnosis

    was, now = ({each.cause: each.probability for each in found.faults}
                for found in (before, after))
    items = moved_items(before, after)
    assert items
    for item in items:
        cause = next(each for each in after.library.causes.values()
                     if item.text.startswith(f"{each.name} "))
        change = now.get(cause.id, 0.0) - was.get(cause.id, 0.0)
        assert abs(change) >= MOVED_LEAST
        assert item.mark == (UP if change > 0.0 else DOWN)
    assert () == moved_items(after, after)


def test_a_reading_is_told_as_it_was_read_and_a_repeat_with_what_it_says(real: Begin) -> None:
    opened = real("complaint_kind=shake")
    before = opened.diagnosis
    opened.answer(["bead_radial_inboard@LF=0.30"])
    once = opened.diagnosis
    opened.answer(["bead_radial_inboard@LF=0.31 mm"])

    assert () == taken_items(once, once)
    [first], [second] = taken_items(before, once), taken_items(once, opened.diagnosis)
    assert "0.30" in first.text and "read as 0.3 mm" in first.text
    assert "0.31 mm" in second.text and "a repeat, nothing is replaced" in second.text


def test_an_axle_is_named_where_the_corner_is_open_and_one_axle_leads(real: Begin) -> None:
    """A strong shake in the steering wheel speaks for the front (common practice, no source)."""
    opened = real("complaint_kind=shake", "felt_in_steering_wheel=strong", "felt_in_seat=none")
    balance = next(each for each in opened.diagnosis.faults if each.cause == "imbalance")
    front = sum(chance for corner, chance in balance.corners if corner.value in ("LF", "RF"))

    assert front > 0.7 * sum(chance for _, chance in balance.corners)
    assert "front" == axle_text(balance)

    opened.answer(["bead_radial_inboard@RF=1.2 mm"])
    assert "" == axle_text(opened.diagnosis.faults[0])
