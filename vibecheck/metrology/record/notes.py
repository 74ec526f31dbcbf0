"""What can be assumed about a record or wrong with it, each with the values it names."""

from __future__ import annotations

from enum import StrEnum


class RecordNote(StrEnum):
    """Ids of notes; behind each stand the names of its values."""

    NO_HEADER = "no_header"
    COLUMNS_TAKEN = "columns_taken"  # columns
    DECIMAL_COMMAS = "decimal_commas"
    ROWS_PASSED_OVER = "rows_passed_over"  # count
    ROWS_NO_NUMBERS = "rows_no_numbers"  # count
    TIME_UNIT_JUDGED = "time_unit_judged"  # named ("" for none), taken
    CLOCK_MILLISECONDS = "clock_milliseconds"
    CLOCK_JITTER = "clock_jitter"  # jitter_s
    CLOCK_BACKWARD = "clock_backward"  # count
    STAMPS_REPEATED = "stamps_repeated"  # count
    SLOW_SAMPLING = "slow_sampling"  # rate_hz
    GAPS = "gaps"  # count, lost_s
    SATURATED = "saturated"  # axis, limit, count
    UNIT_AGAINST_HEADER = "unit_against_header"  # named, gravity, taken
    UNIT_BY_GRAVITY = "unit_by_gravity"  # gravity, taken
    UNIT_UNKNOWN = "unit_unknown"
    GRAVITY_REMOVED = "gravity_removed"
    GRAVITY_UNSTEADY = "gravity_unsteady"  # mean_m_s2
    GRAVITY_INSIDE = "gravity_inside"
    GRAVITY_APART = "gravity_apart"
    SPEED_BLANK = "speed_blank"
    SPEED_UNIT_JUDGED = "speed_unit_judged"  # taken
    SPEED_UNIT_AMBIGUOUS = "speed_unit_ambiguous"  # taken, candidates, highest
    SPEED_HELD = "speed_held"
    CONSTANT_SPEED = "constant_speed"  # speed_kmh
    NO_TIRE = "no_tire"
    NO_SPEED = "no_speed"
    UP_UNKNOWN = "up_unknown"
    BAND_CUT = "band_cut"  # highest_hz
    JOLTS = "jolts"
