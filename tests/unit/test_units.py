"""Lengths, angles and walks as people write them."""

import math

import pytest

from preview import units
from preview.units import MeasureError

INCH = 0.0254


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("12' 7 1/2\"", 151.5 * INCH),
        ("12 ft 7.5 in", 151.5 * INCH),
        ("12 feet 7.5 inches", 151.5 * INCH),
        ("12'7\"", 151 * INCH),
        ("12'-7 1/2\"", 151.5 * INCH),
        ("12' 7-1/2\"", 151.5 * INCH),
        ("12′ 7½″", 151.5 * INCH),
        ("12’ 7 ½”", 151.5 * INCH),
        ("12' 7''", 151 * INCH),
        ("12'", 144 * INCH),
        ("6 ft 10", 82 * INCH),
        ("12' 7 1/2", 151.5 * INCH),
        ("12'-7½", 151.5 * INCH),
        ("5 ft 3/4", 60.75 * INCH),
        ("2 × 6 ft 10 + 1 ft 2", 178 * INCH),
        ("-6' 10", -82 * INCH),
        ('4 3/4"', 4.75 * INCH),
        ('3/8"', 0.375 * INCH),
        ("⅜ in.", 0.375 * INCH),
        ("4 1⁄4 in", 4.25 * INCH),
        ('-7 1/2"', -7.5 * INCH),
        ("−12' 6\"", -150 * INCH),
        ('4" + 3/4"', 4.75 * INCH),
        ("3.85 m", 3.85),
        ("3,85 m", 3.85),
        ("3,850 m", 3.85),
        ("3 m 85 cm", 3.85),
        ("3 m 85 cm 5 mm", 3.855),
        ("385\u00a0cm", 3.85),
        ("8 × 90 mm", 0.72),
        ("8\u00d790 mm + 5 mm", 0.725),
        (".5 m", 0.5),
    ],
)
def test_a_text_with_its_unit_means_the_same_in_any_scene(text, metres):
    for unit in units.UNITS:
        assert units.parse_length(text, unit) == pytest.approx(metres, abs=1e-15)


@pytest.mark.parametrize(("unit", "metres"), [("in", INCH), ("ft", 12 * INCH), ("mm", 0.001), ("cm", 0.01), ("m", 1.0)])
def test_a_number_alone_is_in_the_unit_of_the_scene(unit, metres):
    assert units.parse_length(4, unit) == pytest.approx(4 * metres, abs=1e-15)
    assert units.parse_length(0.75, unit) == units.parse_length("3/4", unit) == pytest.approx(0.75 * metres, abs=1e-15)
    assert units.parse_length("4 1/2", unit) == pytest.approx(4.5 * metres, abs=1e-15)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("3 m 85", 'a number without its unit in "3 m 85"; say what it is in, such as 85 cm'),
        ("12' 14", 'a number without its unit in "12\' 14"; say what it is in, such as 14 in'),
        ("6 ft 10.5", 'a number without its unit in "6 ft 10.5"; say what it is in, such as 10.5 in'),
        ("6 ft 10 3", 'a number without its unit in "6 ft 10 3"; say what it is in, such as 10 in'),
        ("6 in 3", 'a number without its unit in "6 in 3"; say what it is in, such as 3 in'),
        ('12 7 1/2"', "a number without its unit in '12 7 1/2\"'; say what it is in, such as 12 ft"),
        ("85 cm 3 m", 'units out of order in "85 cm 3 m"; write the larger unit first, each once: "3 m 85 cm"'),
        ("3' 20 cm", 'feet or inches beside metres in "3\' 20 cm"; keep to one of them'),
        ("1,250 mm", '1,250 in "1,250 mm" can be read in two ways; write 1250 or 1.250'),
        ("12 furlongs", "unknown unit 'furlongs' in \"12 furlongs\"; write in, ft, mm, cm or m"),
        ("1/0 in", 'a fraction over zero in "1/0 in"; write one such as 3/4'),
        ("", '"" instead of a length; write one such as 12 ft 7 1/2 in'),
        ("wide", '"wide" is not a length; write one such as 12 ft 7 1/2 in'),
        ("5' +", '"5\' +" instead of a length; write one such as 12 ft 7 1/2 in'),
        ("12' × 4'", 'instead of one length; write one length, or a count times one: "8 × 12 ft 7 1/2 in"'),
        (True, "true instead of a length; write a number or a text such as 12 ft 7 1/2 in"),
        (math.inf, "inf instead of a length; write a finite number"),
        (1e300, "a length of 1e+300; no floor is a thousand kilometres long"),
        ("9" * 201, "a length of more than 200 letters; write a length alone"),
    ],
)
def test_what_is_no_length_is_refused_with_a_way_out(text, message):
    with pytest.raises(MeasureError) as caught:
        units.parse_length(text, "in")
    assert str(caught.value).endswith(message)


@pytest.mark.parametrize(
    ("inches", "text"),
    [(0, '0"'), (0.75, '3/4"'), (4.75, '4 3/4"'), (23.9375, '23 15/16"'), (24, "2'"), (151.5, "12' 7 1/2\"")],
)
def test_inches_are_printed_to_the_sixteenth(inches, text):
    assert units.format_length(inches * INCH, "in") == text
    assert units.format_length(inches * INCH, "ft") == text
    assert inches == 0 or units.format_length(-inches * INCH, "in") == f"-{text}"


@pytest.mark.parametrize(("unit", "text"), [("mm", "3850 mm"), ("cm", "385.0 cm"), ("m", "3.850 m")])
def test_metric_lengths_are_printed_to_the_millimetre(unit, text):
    assert units.format_length(3.8502, unit) == text


def test_nothing_is_printed_as_minus_nothing():
    assert units.format_length(-1e-5, "mm") == "0 mm"
    assert units.format_length(-1e-5, "in") == '0"'


def test_two_lengths_share_the_last_unit():
    assert units.split_pair('10" × 4"') == ('10"', '4"')
    assert units.split_pair("10 x 4 in") == units.split_pair("10×4 in") == ("10 in", "4 in")
    assert units.split_pair("250 × 100") == ("250", "100")
    assert units.split_pair("1' 8\" × 4") == ("1' 8\"", "4")
    with pytest.raises(MeasureError, match='"10" instead of two lengths; write them as "10 × 4 in"'):
        units.split_pair("10")


@pytest.mark.parametrize(
    ("text", "degrees", "length"),
    [
        ("E 3 m", 0, 3),
        ("n 3 m", 90, 3),
        ("North-West 3,5 m", 135, 3.5),
        ("WSW 120 in", 202.5, 120 * INCH),
        ("S 10'", 270, 120 * INCH),
        ("0 3 m", 90, 3),
        ("90 3 m", 0, 3),
        ("45° 3 m", 45, 3),
        ("112.5 3 m", 337.5, 3),
    ],
)
def test_a_leg_runs_by_compass_letters_or_clockwise_from_north(text, degrees, length):
    bearing, metres = units.parse_leg(text, "in")
    assert (math.degrees(bearing), metres) == (pytest.approx(degrees), pytest.approx(length))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("15' 6\"", "15' 6\" does not begin with a direction"),
        ("400 3 m", '"400 3 m" does not begin with a direction'),
        ("E", '"E" has no length'),
        ("E 0", 'a wall of "0"'),
        ("E -3 m", 'a wall of "-3 m"'),
        (12, "12 instead of a wall"),
    ],
)
def test_a_leg_without_direction_or_length_is_refused(text, found):
    with pytest.raises(MeasureError) as caught:
        units.parse_leg(text, "in")
    assert caught.value.found == found


def test_angles_are_degrees():
    assert units.parse_angle(90) == units.parse_angle("90°") == units.parse_angle("90 deg") == math.pi / 2
    assert units.parse_angle("-22,5°") == pytest.approx(-math.pi / 8)
    for wrong in ("north", True, math.nan, math.inf, []):
        with pytest.raises(MeasureError, match="instead of an angle; write degrees, such as 45"):
            units.parse_angle(wrong)


def test_areas():
    assert units.format_area(9.290304, "in") == units.format_area(9.290304, "ft") == "100.0 sq ft"
    assert units.format_area(12.345, "mm") == "12.35 m²"


@pytest.mark.parametrize(
    ("metres", "unit", "text"),
    [
        (4 * INCH, "in", '4"'),
        (19.875 * INCH, "ft", '19 7/8"'),
        (0.09, "in", '90 mm (about 3 9/16")'),
        (0.09, "m", "90 mm"),
        (0.0005, "cm", "0.5 mm"),
        (0.42, "m", "420 mm"),
        (1.42, "m", "1.420 m"),
        (0.0003, "in", "0.3 mm"),
        (INCH / 64, "in", '1/64"'),
        (4 * INCH, "mm", "101.6 mm"),
        (2.25 * INCH, "cm", "5.715 cm"),
        (5.11 * INCH, "in", '5.11"'),
    ],
)
def test_sizes_that_repeat_are_told_without_rounding(metres, unit, text):
    assert units.format_exact(metres, unit) == text
    told = text.split(" (about")[0]
    assert units.parse_length(told, unit) == pytest.approx(metres, abs=1e-6)


@pytest.mark.parametrize(("metres", "unit", "text"), [(3.41237, "m", "3.4125 m"), (3.41237, "in", "11' 2 11/32\""),
    (3.4121, "mm", "3412 mm"), (3.4124, "cm", "341.25 cm"), (0.0, "in", '0"')])  # fmt: skip
def test_lines_are_struck_by_half_of_what_a_tape_is_marked_in(metres, unit, text):
    assert units.format_fine(metres, unit) == text
