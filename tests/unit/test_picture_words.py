"""What a customer is told of the pictures: stand-ins that are in them, colours that nobody measured."""

from __future__ import annotations

import shutil
from dataclasses import replace

from paper_scenes import ASKEW, PLAIN, laid

from preview.data import data_folder
from preview.paper.quote.agreement import agreed_rows, floor_rows
from preview.paper.words.picture_words import picture_words
from preview.scene.job import Moisture
from preview.scene.read import load_scene, read_scene
from preview.steps import lay_jobs

LAYERS = ("moisture", "expansion", "sliver", "fasten", "blade", "courses")


def said(floor, **wood):
    job = replace(floor.job, wood=replace(floor.job.wood, **wood), border_wood=replace(floor.job.border_wood, **wood))
    return picture_words(floor.room, job)


def test_stand_ins_are_those_that_are_drawn():
    plain, askew = laid(PLAIN)[0], laid(ASKEW)[0]
    assert "The next room, the lamplight and the paint in them are stand-ins." in said(plain)  # without a window
    assert "The garden, the next room and the paint in them are stand-ins." in said(askew)  # a column is what it is
    for name, words in (
        ("dining-room", "The fireplace, the garden, the next room and the paint in them are stand-ins."),
        ("kitchen", "The island, the cabinets, the garden, the next room and the paint in them are stand-ins."),
    ):
        floor = lay_jobs(load_scene(data_folder("scenes") / f"{name}.toml"))[0]
        assert words in said(floor)


def test_estimates_are_named_and_only_they(tmp_path):
    """A folder of a firm's own, in which white oak and the paints were measured."""
    plain = laid(PLAIN)[0]
    assert "The colours of white oak and the paint are estimates and were not measured." in said(plain)
    assert "The colours of white oak, the grey stain and the paint are estimates" in said(plain, stain="grey")
    assert "The colours of white oak and the paint, and how the wood ages, are estimates" in said(plain, age=3.0)
    for name in ("white-oak.toml", "paints.toml"):
        text = (data_folder("materials") / name).read_text(encoding="utf-8")
        (tmp_path / name).write_text(text.replace('source = "estimate', 'source = "measured'), encoding="utf-8")
    shutil.copy(data_folder("materials") / "walnut.toml", tmp_path)
    (measured, _) = lay_jobs(read_scene(PLAIN, "scene.toml", materials=tmp_path))
    assert "estimate" not in said(measured)
    assert "The colours of the grey stain are estimates" in said(measured, stain="grey")
    assert "The colours of walnut are estimates" in said(measured, species="walnut")
    assert "How the wood ages is an estimate and was not measured." in said(measured, age=2.0)


def test_when_the_pictures_show_the_floor():
    plain = laid(PLAIN)[0]
    assert "They show" not in said(plain)
    assert "They show the floor after 1 year of daylight." in said(plain, age=1.0)
    year = Moisture(8, 11, 5)
    winter = said(plain, age=2.5, season="winter", moisture=year)
    assert "They show the floor after 2.5 years of daylight and with its joints as they are in winter." in winter
    aged = replace(plain.job, wood=replace(plain.job.wood, age=5.0))
    assert dict(floor_rows(plain.layout, aged))["Wood"] == "white oak, plainsawn"  # which is what is bought


WITHIN_BORDERS = """
title = "Two rooms and a neck"
units = "mm"
[room]
corners = [[0, 0], [4000, 0], [4000, 1500], [4150, 1500], [4150, 0], [6000, 0], [6000, 3000], [4150, 3000],
           [4150, 1650], [4000, 1650], [4000, 3000], [0, 3000]]
height = 2500
[[vents]]
name = "A"
center = [150, 1000]
size = [300, 100]
[[vents]]
name = "B"
center = [1500, 1000]
size = [300, 100]
[floor]
board_width = "90 mm"
gap = 2
[border]
width = 90
"""


def test_what_is_agreed_names_what_a_customer_will_see():
    (floor,) = laid(WITHIN_BORDERS)
    rows = dict(agreed_rows(floor))
    assert rows["Boards"].endswith("20 mm thick, with joints of about 2 mm, at 45° to the centre line.")
    assert rows["Border"].endswith("the floor is too narrow for the pattern and is all border.")
    assert rows["Grilles"] == "2 flush wooden grilles: A and B, where the plan shows them. A lies partly in the border."
    assert "Doorways" not in rows
    (inches,) = laid(PLAIN.split("[[variants]]")[0].replace("board_width = 4", 'board_width = "90 mm"'))
    rows = dict(agreed_rows(inches))
    assert rows["Boards"].startswith('90 mm (about 3 9/16") wide')
    assert rows["Doorways"] == "A threshold of white oak in the archway."


def test_nothing_on_it_is_the_layers_matter():
    for name in ("dining-room", "kitchen"):
        for floor in lay_jobs(load_scene(data_folder("scenes") / f"{name}.toml")):
            rows = [*agreed_rows(floor), *floor_rows(floor.layout, floor.job)]
            text = " ".join(value for _, value in rows)
            assert not [each for each in LAYERS if each in text]
