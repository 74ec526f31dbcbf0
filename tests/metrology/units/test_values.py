"""Readings as people type them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from vibecheck.errors import ReadingError
from vibecheck.metrology.units.values import (
    UNITS,
    Quantity,
    parse,
    parse_column,
    parse_high_low,
    parse_list,
    show,
    to_unit,
    unit_named,
)

QUICK = settings(max_examples=60, derandomize=True, deadline=None)


@pytest.mark.parametrize(
    ("typed", "expected_mm"),
    [
        ("0.49", 0.49),
        ("0.49mm", 0.49),
        ("0,49 mm", 0.49),
        (" .018in ", 0.4572),
        ("18 thou", 0.4572),
        ("-2.5 thou", -0.0635),
        ("\u22122.5 thou", -0.0635),
        ('1/8"', 3.175),
        ("2 1/4 in", 57.15),
        ("2-1/4 inch", 57.15),
        ("+7 mils", 0.1778),
        (",5", 0.5),
        ("0,123", 0.123),
        ("12,34", 12.34),
        ("1,2345", 1.2345),
        ("500 \u00b5m", 0.5),
        ("4.9e-1", 0.49),
    ],
)
def test_length_as_typed(typed: str, expected_mm: float) -> None:
    """Each way of writing a length gives millimetres."""
    assert parse(typed, Quantity.LENGTH).value == pytest.approx(expected_mm, rel=1e-12)


@pytest.mark.parametrize(
    ("typed", "quantity", "expected"),
    [
        ("105", Quantity.SPEED, 105.0),
        ("105 km/h", Quantity.SPEED, 105.0),
        ("105 kph", Quantity.SPEED, 105.0),
        ("65 MPH", Quantity.SPEED, 104.60736),
        ("120 Nm", Quantity.TORQUE, 120.0),
        ("120 N\u00b7m", Quantity.TORQUE, 120.0),
        ("0.5 oz", Quantity.MASS, 14.17476),
        ("14.2 Hz", Quantity.FREQUENCY, 14.2),
        ("852 rpm", Quantity.FREQUENCY, 14.2),
        ("90\u00b0", Quantity.ANGLE, 90.0),
        ("3 o'clock", Quantity.ANGLE, 90.0),
        ("2.3 bar", Quantity.PRESSURE, 230.0),
        ("0.5 g", Quantity.ACCELERATION, 4.903325),
        ("3", Quantity.NUMBER, 3.0),
    ],
)
def test_other_quantities(typed: str, quantity: Quantity, expected: float) -> None:
    """Speed, torque, mass, frequency, angle, pressure, acceleration and bare numbers."""
    assert parse(typed, quantity).value == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("typed", "spread_mm"),
    [
        ("0.49 mm +/- 0.02", 0.02),
        ("0.49\u00b10.02 mm", 0.02),
        ("0.49 + / - 0.02", 0.02),
        ("0.49 mm +- 1 thou", 0.0254),
        ("0.50 mm \u00b1 4 %", 0.02),
        ("0.49", None),
    ],
)
def test_typed_uncertainty(typed: str, spread_mm: float | None) -> None:
    """An uncertainty may stand before or after the unit, or carry its own."""
    found = parse(typed, Quantity.LENGTH).uncertainty
    assert found is None if spread_mm is None else found == pytest.approx(spread_mm)


def test_digits_tell_a_step() -> None:
    """A step of the last digit, in the base unit."""
    assert parse("0.49 mm", Quantity.LENGTH).step == pytest.approx(0.01)
    assert parse("18 thou", Quantity.LENGTH).step == pytest.approx(0.0254)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "no reading"),
        ("abc", "not a reading"),
        ("nan", "not a reading"),
        ("inf mm", "not a reading"),
        ("-inf", "not a reading"),
        ("1e400", "too large"),
        ("1.2.3", "two decimal marks"),
        ("1,2,3", "two decimal marks"),
        ("1,234.5", "two decimal marks"),
        ("1,234", "decimals or thousands"),
        ("0.4 0.5", "two numbers"),
        ("5 kg", "not a unit of length"),
        ("0.49 \u00b1 -0.1", "uncertainty"),
        ("0.49 \u00b1 5 kg", "not a unit of length"),
        ("1/0", "divides by zero"),
        ("--2", "not a reading"),
        ("\uff13", "not a reading"),
        ("0" * 10_000, "10000 characters"),
        ("[/bad]", "not a reading"),
        ("0.4\x00mm", "not a reading|not a unit"),
    ],
)
def test_refusals_are_one_sentence(typed: str, said: str) -> None:
    """What cannot be read is refused with place, fault and an example."""
    with pytest.raises(ReadingError, match=said) as caught:
        parse(typed, Quantity.LENGTH, where="left-front, radial")
    message = str(caught.value)
    assert message.startswith("left-front, radial: ")
    assert "\n" not in message and message.isprintable()
    assert "; " in message


def test_default_unit_counts_only_for_bare_numbers() -> None:
    """A field that expects thou still takes millimetres when they are typed."""
    assert parse("18", Quantity.LENGTH, "thou").value == pytest.approx(0.4572)
    assert parse("0.5 mm", Quantity.LENGTH, "thou").value == 0.5
    with pytest.raises(ReadingError, match="not a unit of length"):
        parse("18", Quantity.LENGTH, "parsec")


def test_lists() -> None:
    """New lines, spaces and semicolons part readings; a last unit counts for all."""
    expected = (-0.0635, 0.0, 0.1778)
    for typed in ("-2.5 thou 0 thou 7 thou", "-2.5 0 7 thou", "-2.5;0;7 thou", "-2.5\n0\n7thou"):
        values = [reading.value for reading in parse_list(typed, Quantity.LENGTH)]
        assert values == pytest.approx(expected)
    assert [r.value for r in parse_list("0,1; 0,2, 0,3", Quantity.LENGTH)] == [0.1, 0.2, 0.3]
    spread = parse_list("0.1 +/- 0.02 0.3 \u00b1 0.01", Quantity.LENGTH)
    assert [reading.uncertainty for reading in spread] == [0.02, 0.01]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("0.1 mm 0.2 thou", "mixes mm and thou"),
        ("1 in 2 3", "mixes in and mm"),
        ("", "no reading"),
        (" \n; ", "no reading"),
        ("0.1 0.2 x", "reading 2"),
        ("0.1;x;0.3", "reading 2: 'x'"),
        ("2 1/4 in", "one reading or two"),
        ("1 " * 10_001, "more than 10000"),
        ("0.1,0.2,0.3", "two decimal marks"),
    ],
)
def test_list_refusals(typed: str, said: str) -> None:
    """Mixed units, empty lists and bad entries are named with their place."""
    with pytest.raises(ReadingError, match=said):
        parse_list(typed, Quantity.LENGTH)


@QUICK
@given(
    value=st.decimals(min_value=-1000, max_value=1000, places=4, allow_nan=False),
    quantity=st.sampled_from(sorted(Quantity)),
    data=st.data(),
)
def test_show_reads_back(value: object, quantity: Quantity, data: st.DataObject) -> None:
    """What is typed with four decimals is shown with the same digits in its own unit."""
    unit = data.draw(st.sampled_from([unit.name for unit in UNITS[quantity]]))
    reading = parse(f"{value} {unit}", quantity)
    shown = show(reading.value, quantity, unit)
    assert parse(shown, quantity).value == pytest.approx(reading.value, rel=1e-11, abs=1e-300)
    assert float(shown.split()[0]) == pytest.approx(float(str(value)), rel=1e-11, abs=1e-300)


@QUICK
@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text makes anything but a finite value or a ReadingError."""
    for reader in (parse, parse_list):
        try:
            found = reader(text, Quantity.LENGTH)
        except ReadingError as refused:
            assert str(refused).isprintable()
        else:
            readings = found if isinstance(found, tuple) else (found,)
            assert all(math.isfinite(reading.value) for reading in readings)


def test_show_keeps_what_was_typed() -> None:
    """Switching the unit loses no digit."""
    assert show(parse("18 thou", Quantity.LENGTH).value, Quantity.LENGTH, "thou") == "18 thou"
    assert show(parse(".018in", Quantity.LENGTH).value, Quantity.LENGTH, "in") == "0.018 in"
    assert show(0.4572, Quantity.LENGTH, digits=2) == "0.46 mm"
    assert show(-0.0001, Quantity.LENGTH, digits=2) == "0.00 mm"
    assert show(1e-7, Quantity.LENGTH) == "0.0000001 mm"
    assert show(3.0, Quantity.NUMBER) == "3"
    assert to_unit(25.4, Quantity.LENGTH, "in") == 1.0


def test_spellings_are_unambiguous() -> None:
    """Within one quantity no two units share a spelling."""
    for quantity, units in UNITS.items():
        for unit in units:
            for word in (unit.name, *unit.spellings):
                assert unit_named(word, quantity).name == unit.name


@pytest.mark.parametrize(
    ("typed", "unit", "expected_mm"),
    [("1/32", "mm", 0.79375), ("3/64", "mm", 1.190625), ("4/32", None, 3.175),
     ("1/8", "thou", 3.175), ("2 3/16", "mm", 55.5625), ("1/2", "mm", 0.5),
     ("1/32 mm", "in", 0.03125)],
)
def test_fractions_of_an_inch_scale(typed: str, unit: str | None, expected_mm: float) -> None:
    """Eighths to 64ths stand on inch scales alone; halves and quarters count as any number."""
    assert parse(typed, Quantity.LENGTH, unit).value == pytest.approx(expected_mm)


def test_a_fraction_is_as_precise_as_its_denominator_says() -> None:
    """1/16 in was nearer to 2/32 than to an odd 32nd: it lies within a 64th of an inch."""
    reading = parse("1/16 in", Quantity.LENGTH)
    assert reading.step / 2.0 == pytest.approx(25.4 / 64)
    assert parse("1/64 in", Quantity.LENGTH).step < parse("1/32 in", Quantity.LENGTH).step


@pytest.mark.parametrize(
    ("typed", "expected"),
    [("+7/-2.5", (7.0, -2.5)), ("7/-2.5 thou", (0.1778, -0.0635)), ("7 / -2.5 mm", (7.0, -2.5)),
     ("-2.5/+7", (7.0, -2.5)), ("+7 -2.5 thou", (0.1778, -0.0635)), ("0.3; 0.1 mm", (0.3, 0.1)),
     ("0.2 to 0.5 mm", (0.5, 0.2)), ("7 thou/\u22122 thou", (0.1778, -0.0508)),
     ("0.49", None), ("1/32", None), ("12-13 thou", None), ("0.49 +/- 0.02", None), ("abc", None)],
)
def test_high_and_low_typed_as_one(typed: str, expected: tuple[float, float] | None) -> None:
    """The higher value first, whichever was typed first."""
    found = parse_high_low(typed, Quantity.LENGTH)
    if expected is None:
        assert found is None
    else:
        assert found is not None
        assert tuple(each.value for each in found) == pytest.approx(expected)


def test_pairs_that_cannot_be_read() -> None:
    with pytest.raises(ReadingError, match="mixes mm and thou"):
        parse_high_low("7 mm/-2 thou", Quantity.LENGTH)
    with pytest.raises(ReadingError, match="not a reading"):
        parse_high_low("7/-x", Quantity.LENGTH)
    for pair in ("+7/-2.5 thou", "7 / -2.5 mm"):
        with pytest.raises(ReadingError, match="a high and a low"):
            parse(pair, Quantity.LENGTH)


def test_a_range_is_its_middle_and_as_uncertain_as_it_is_wide() -> None:
    """JCGM 100:2008, 4.3.7: anywhere between two bounds is width / sqrt(12)."""
    for typed in ("12-13 thou", "12\u201313 thou", "12 to 13 thou"):
        reading = parse(typed, Quantity.LENGTH)
        assert reading.value == pytest.approx(0.3175)
        assert reading.step == pytest.approx(0.0254)
    assert parse("60-65 mph", Quantity.SPEED).value == pytest.approx(100.584)
    assert parse("90 lb-ft", Quantity.TORQUE).value == pytest.approx(122.0, abs=0.1)
    for typed, said in (("13-12", "runs backward"), ("-2-3", "two readings")):
        with pytest.raises(ReadingError, match=said):
            parse(typed, Quantity.LENGTH)


def test_hundredths_are_of_a_millimeter_or_asked() -> None:
    assert parse("4 hundredths mm", Quantity.LENGTH).value == pytest.approx(0.04)
    assert parse("4 hundredths of a mm", Quantity.LENGTH).value == pytest.approx(0.04)
    with pytest.raises(ReadingError, match=r"0\.04 mm or 0\.04 in"):
        parse("4 hundredths", Quantity.LENGTH)


def test_a_pasted_column_with_a_heading() -> None:
    """The heading is skipped and handed back; its unit counts."""
    column = parse_column("Runout (thou)\n0\n1.5\n-2\n", Quantity.LENGTH, "mm")
    assert column.heading == "Runout (thou)"
    assert [each.value for each in column.readings] == pytest.approx([0.0, 0.0381, -0.0508])
    assert not any(each.bare for each in column.readings)
    plain = parse_column("left front\n0.1\n0.2", Quantity.LENGTH)
    assert plain.heading == "left front" and all(each.bare for each in plain.readings)
    assert parse_column("0.1\n0.2", Quantity.LENGTH).heading == ""
    assert len(parse_list("dial, mm\n0.1\n0.2", Quantity.LENGTH)) == 2
    with pytest.raises(ReadingError, match="reading 2"):
        parse_list("dial\n0.1\nbroken\n0.2", Quantity.LENGTH)
