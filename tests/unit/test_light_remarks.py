"""What is said of a sun that does not shine as one would expect, by check and by what draws."""

from datetime import datetime

import pytest
from paper_scenes import PLAIN, laid

from preview.commands.drawing import tell_of_light
from preview.errors import SceneError
from preview.light.sources import light_remarks as remarks
from preview.light.sources.light_remarks import NO_WINDOW, daylight_factor
from preview.paper.words.check_text import check_text
from preview.scene.job import LightChoice, Sun


def light(time, sky="clear", latitude=51.5, longitude=-0.1):
    return LightChoice(sky, Sun(latitude, longitude, datetime.fromisoformat(time)), "auto")


def light_remarks(choice):
    """What is said of a light in a room with a window."""
    floor = laid(PLAIN.replace("[wood]", WINDOW + "[wood]"))[0]
    return remarks.light_remarks(floor.room, floor.job.openings, choice)


def test_a_sun_that_shines_needs_no_words():
    assert light_remarks(light("2026-06-21T12:00:00+01:00")) == ()
    assert light_remarks(LightChoice("overcast", None, "auto")) == ()


def test_a_sun_below_the_horizon_is_told_with_what_may_be_wrong():
    """On midwinter midnight in London the sun is 90 - 51.5 + 23.4 = 62 degrees down (rounded)."""
    (words,) = light_remarks(light("2026-12-21T00:00:00+00:00"))
    assert words.startswith(
        "on 2026-12-21 00:00+00:00 the sun is 62° below the horizon at 51.5, -0.1: the room is drawn"
    )
    assert "check the time, its offset" in words


def test_a_longitude_of_the_wrong_sign_is_found():
    """Mid-morning in Denver, 105 degrees west, is night 105 degrees east."""
    assert light_remarks(light("2026-03-21T10:00:00-07:00", latitude=39.7, longitude=-105)) == ()
    assert light_remarks(light("2026-03-21T10:00:00-07:00", latitude=39.7, longitude=105))


def test_clouds_hide_a_sun():
    assert "hides the sun" in light_remarks(light("2026-06-21T12:00:00+01:00", sky="overcast"))[0]


WINDOW = '[[openings]]\nname = "window"\nkind = "window"\nwall = 3\noffset = 40\nwidth = 40\nheight = 40\nsill = 30\n'
NIGHT = '[light]\nsky = "clear"\nsun = { latitude = 51.5, longitude = 0, time = 2026-12-21T22:00:00+00:00 }\n'


@pytest.fixture(scope="module")
def floors():
    return laid(PLAIN.replace("[wood]", WINDOW + NIGHT + "[wood]"))


def test_check_tells_it_once(floors):
    assert check_text(floors).count("below the horizon") == 1


def test_drawing_tells_it_once(floors, capsys):
    tell_of_light(floors)
    told = capsys.readouterr()
    assert told.err.startswith("preview: on 2026-12-21 22:00+00:00 the sun is 5") and told.err.count("\n") == 1
    assert told.out == ""


def test_a_room_without_windows_is_told_of_and_not_of_its_sun(capsys):
    floors = laid(PLAIN.replace("[wood]", NIGHT + "[wood]"))
    tell_of_light(floors)
    assert capsys.readouterr().err == f"preview: {NO_WINDOW}\n"
    assert "there is no window" in check_text(floors)


def test_little_daylight_is_told_until_the_scene_says_what_lamps_do():
    """A window of 1 m² in a room with 70 m² of faces: 0.6 x 65 x 1 / (70 x 0.75) is 0.74 %; of a quarter, 0.19 %."""
    plain = PLAIN.replace("[wood]", WINDOW + "[wood]")
    assert daylight_factor(laid(plain)[0].room, laid(plain)[0].job.openings) == pytest.approx(0.73, abs=0.01)
    small = plain.replace("width = 40\nheight = 40", "width = 20\nheight = 20")
    told = [line for line in check_text(laid(small)).splitlines() if "little daylight" in line]
    assert len(told) == 1 and "about 0.2 %" in told[0] and "set the light's lamps to 500" in told[0]
    for lamps in (0, 500):
        said = check_text(laid(small.replace("[wood]", f"[light]\nlamps = {lamps}\n[wood]")))
        assert "little daylight" not in said
        assert ("Lamps  even light from the ceiling, 500 lux on it" in said) == (lamps == 500)


def test_neither_window_nor_lamps_is_refused():
    with pytest.raises(SceneError, match=r"light\.lamps: no lamps and no window"):
        laid(PLAIN.replace("[wood]", "[light]\nlamps = 0\n[wood]"))


def test_variants_that_differ_in_their_light_are_told_apart_by_it():
    evening = '[[variants]]\nname = "Evening"\nlight.lamps = 500\n'
    said = check_text(laid(PLAIN.replace("[wood]", WINDOW + "[wood]").split("[[variants]]")[0] + evening))
    assert "  Evening\n    Light  overcast sky with lamps on, not overcast sky\n" in said
    assert "Light  overcast" not in said.split("Variants")[0]
