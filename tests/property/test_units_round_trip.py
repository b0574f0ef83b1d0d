"""What is printed is read back, and nothing a person types makes the reader fail in any way but its own."""

import contextlib
import math

from hypothesis import given
from hypothesis import strategies as st

from preview import units

metres = st.floats(-1000, 1000, allow_nan=False)
unit = st.sampled_from(units.UNITS)


@given(metres, unit, unit)
def test_a_printed_length_reads_back_as_its_rounded_self(length, unit, other):
    assert units.parse_length(units.format_length(length, unit), other) == units.round_length(length, unit)


@given(metres, unit)
def test_rounding_moves_a_length_by_half_a_step_at_most(length, unit):
    step = {"imperial": 0.0254 / 16, "metric": 0.001}[units.system(unit)]
    assert abs(units.round_length(length, unit) - length) <= step / 2 * (1 + 1e-9)


@given(st.floats(0, 360, exclude_max=True).map(lambda degrees: round(degrees, 3)), st.integers(1, 20_000))
def test_a_printed_leg_reads_back(degrees, millimetres):
    text = f"{units.format_bearing(math.radians(degrees))} {units.format_length(millimetres / 1000, 'mm')}"
    bearing, length = units.parse_leg(text, "in")
    turn = (bearing - math.radians(degrees) + math.pi) % math.tau - math.pi
    assert abs(turn) < 1e-5  # six significant figures of a bearing are printed
    assert length == millimetres / 1000


@given(st.text(alphabet="0123456789 .,/'\"-+×xmcinft½⅜′″’”°eE\u00a0", max_size=30) | st.text(max_size=20), unit)
def test_any_text_gives_a_length_or_a_plain_refusal(text, unit):
    for read in (units.parse_length, units.parse_leg):
        with contextlib.suppress(units.MeasureError):
            read(text, unit)
    for read in (units.split_pair, units.parse_angle):
        with contextlib.suppress(units.MeasureError):
            read(text)
