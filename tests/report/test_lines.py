"""Text for a terminal: harmless, wrapped, and never certain."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.report.lines import bar, minutes, percent, safe, wrapped

fixed = settings(derandomize=True, max_examples=80, deadline=None)


class TestSafe:
    @pytest.mark.parametrize(
        ("text", "shown"),
        [
            ("\x1b[2Jgone", "\\x1b[2Jgone"),
            ("a\nb\tc\r", "a b c "),
            ("\u202eright to left", "\\u202eright to left"),
            ("no\u00a0break", "no break"),
            ("[/bad] \u00b5m", "[/bad] \u00b5m"),
            ("\x9b31m", "\\x9b31m"),
            ("\udcff", "\\udcff"),
        ],
    )
    def test_control_characters_are_spelled_out(self, text: str, shown: str):
        assert shown == safe(text)

    @fixed
    @given(st.text())
    def test_everything_that_leaves_can_be_printed(self, text: str):
        assert safe(text).isprintable()

    @fixed
    @given(st.text(max_size=300), st.integers(40, 100))
    def test_no_line_is_wider_than_asked(self, text: str, width: int):
        lines = wrapped(text, width, "  * ")

        assert all(len(line) <= width and line.isprintable() for line in lines)


@pytest.mark.parametrize(
    ("probability", "shown"),
    [(1.0, ">99%"), (0.996, ">99%"), (0.99, " 99%"), (0.5, " 50%"), (0.05, "  5%"),
     (0.004, " <1%"), (0.0, " <1%")],
)
def test_percent_never_claims_certainty(probability: float, shown: str):
    assert shown == percent(probability)


@pytest.mark.parametrize(
    ("probability", "full"), [(0.0, 0), (0.5, 5), (1.0, 10), (-1.0, 0), (2.0, 10)]
)
def test_bar_is_as_long_as_the_probability(probability: float, full: int):
    assert full == bar(probability, 10).count("#")
    assert 12 == len(bar(probability, 10))


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0.0, "0 min"), (0.4, "under 1 min"), (12.4, "12 min"), (99.0, "99 min"),
     (100.0, "1 h 40 min"), (119.0, "2 h"), (243.0, "4 h 05 min")],
)
def test_minutes_are_said_as_people_say_them(value: float, shown: str):
    assert shown == minutes(value)
