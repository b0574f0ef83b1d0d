"""The layout as JSON has the published shape and loses nothing."""

import json
from dataclasses import replace

import numpy as np
import pytest
import shapely
from paper_scenes import ASKEW, PLAIN, laid

from preview.floor.derived_measures import derived_measures
from preview.floor.layout import Role
from preview.paper.exports.layout_json import layout_json


def polygon(rings):
    return shapely.Polygon(rings[0], rings[1:])


@pytest.fixture(scope="module", params=[PLAIN, ASKEW])
def pair(request):
    floor = laid(request.param)[0]
    return floor, json.loads(layout_json(floor))


def test_shape(pair):
    floor, read = pair
    layout = floor.layout
    wanted = "unit title variant board courses chalk_line start_point border_line field pieces measures warnings"
    assert set(wanted.split()) <= set(read)
    assert read["unit"] == "m"
    assert {"width", "length", "thickness"} <= set(read["board"])
    assert {"count", "width", "run_degrees", "chalk_offset"} == set(read["courses"])
    assert set(read["pieces"][0]) == {"id", "role", "course", "grain_degrees", "whole", "polygon"}
    assert [piece["id"] for piece in read["pieces"]] == list(range(len(layout.pieces)))
    assert {piece["role"] for piece in read["pieces"]} <= {role.name.lower() for role in Role}
    assert (
        read["title"] == layout.title
        and read["measures"].keys() == (layout.measures | derived_measures(floor.room, layout)).keys()
    )


def test_grain_is_in_round_degrees(pair):
    _, read = pair
    boards = {piece["grain_degrees"] % 180 for piece in read["pieces"] if piece["role"] == "board"}
    assert boards == {45.0, 135.0}


def test_pieces_still_tile_the_floor_when_read_back(pair):
    floor, read = pair
    layout = floor.layout
    shapes = np.array([polygon(piece["polygon"]) for piece in read["pieces"]])
    assert all(shapely.equals_exact(a, shapely.normalize(b), 0) for a, b in zip(
        shapely.normalize(shapes), layout.pieces.polygons, strict=True))  # fmt: skip
    assert shapely.union_all(shapes).area == pytest.approx(shapely.area(shapes).sum(), abs=1e-9)
    assert polygon(read["field"]["polygon"]).area == pytest.approx(read["field"]["area"], abs=1e-12)


def test_numbers_that_json_lacks_are_refused():
    floor = laid(PLAIN)[0]
    with pytest.raises(ValueError, match="JSON"):
        layout_json(replace(floor, layout=replace(floor.layout, border_line=float("nan"))))


def test_measures_that_do_not_exist_are_left_out():
    floor = laid(PLAIN)[0]
    measures = {**floor.layout.measures, "chalk_to_left_wall_far": float("nan")}
    without = replace(floor, layout=replace(floor.layout, measures=measures))
    told, whole = (json.loads(layout_json(each))["measures"] for each in (without, floor))
    assert set(told) == set(whole) - {"chalk_to_left_wall_far"}
