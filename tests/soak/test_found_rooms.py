"""Rooms that broke the program once, as the soak found them and made small: none does again."""

from __future__ import annotations

import numpy as np
import pytest

from preview.floor.remedies import MOST_AT_EDGES
from preview.paper.words.layout_text import layout_text
from preview.scene.read import read_scene
from preview.steps import lay_jobs
from tests.reading import Reading
from tests.soak.room_scene import room_scene
from tests.soak.room_trial import room_trial
from tests.strategies import box, make_job, obstacle

FOUND = {
    "a centre line that touches the field in a point": """
        units = "in"
        [room]
        corners = [["0.35 m", "0.3 m"], ["0.0 m", "0.3 m"], ["0.0 m", "1.0 m"], ["1.0 m", "1.0 m"], ["1.0 m", "0.3 m"],
            ["0.85 m", "0.3 m"], ["0.85 m", "0.0 m"], ["0.35 m", "0.0 m"]]
        baseboard = "0.0 m"
        [floor]
        pattern = "herringbone"
        board_width = "0.05715 m"
        board_length = "0.3429 m"
        courses = "even"
        run = 96.00000000000001
        center = { point = ["0.35 m", "0.0 m"] }
        start = "full"
        [border]
        width = "0.0 m"
        overlap = "0.0 m"
        """,
    "a corner of the field of 0.004 mm² that no row covered": """
        units = "cm"
        [room]
        corners = [["-0.04454772721475231 m", "1.734532934250601 m"], ["-0.1612203461105327 m", "1.6178603153548208 m"],
            ["-0.8690342340782667 m", "2.0555594129092936 m"], ["-1.088944443027283 m", "1.8356492039602774 m"],
            ["-0.6512453454728101 m", "1.1278353159925434 m"], ["-0.8895403307326767 m", "0.8895403307326768 m"],
            ["0.0 m", "0.0 m"], ["0.8449926035179244 m", "0.8449926035179243 m"]]
        baseboard = "0.0254 m"
        [floor]
        pattern = "straight"
        board_width = "0.05715 m"
        run = 66.0
        center = { point = ["-0.989 m", "1.363 m"] }
        gap = "0.001 m"
        [border]
        width = "0.1016 m"
        overlap = "0.00635 m"
        strip = { width = "0.02 m", species = "walnut" }
        [[openings]]
        name = "archway"
        kind = "cased opening"
        wall = 5
        offset = 0
        width = "0.337 m"
        [[obstacles]]
        name = "hearth"
        kind = "hearth"
        corners = [["0.2782465183969065 m", "0.27824651839690645 m"], ["0.5667460851210179 m", "0.5667460851210178 m"],
            ["0.2817820523028392 m", "0.8517101179391964 m"], ["-0.006717514421272164 m", "0.5632105512150851 m"]]
        [[obstacles]]
        name = "island"
        kind = "island"
        corners = [
            ["-0.25261389757889385 m", "0.5148444473819253 m"], ["-0.11684939559107674 m", "0.6506089493697423 m"],
            ["-0.18473164658498528 m", "0.7184912003636509 m"], ["-0.3204961485728024 m", "0.5827266983758338 m"]]
        """,
    "a hearth against a skew wall left a spike of no width, by which GEOS divided": """
        units = "in"
        [room]
        corners = [["2.506966297602857 m", "0.20302951185339202 m"], ["2.3631740567317907 m", "0.6072136177572207 m"],
            ["1.692505364394301 m", "0.3771081960081413 m"], ["1.6214471940803945 m", "0.5768448637275159 m"],
            ["0.0 m", "0.0 m"], ["0.2714958394069075 m", "-0.7631448153428934 m"],
            ["1.892943033487302 m", "-0.1862999516153775 m"], ["1.841660486043775 m", "-0.04215037538394206 m"]]
        baseboard = "0.0254 m"
        [floor]
        board_width = "0.09 m"
        [border]
        width = "0.1016 m"
        [[openings]]
        name = "archway"
        kind = "cased opening"
        wall = 1
        offset = 0
        width = "0.429 m"
        [[obstacles]]
        name = "hearth"
        kind = "hearth"
        corners = [["1.67829373033152 m", "0.4170555295520162 m"], ["1.6214471940803947 m", "0.5768448637275159 m"],
            ["1.2926354156178395 m", "0.4598670267484904 m"], ["1.3494819518689647 m", "0.3000776925729907 m"]]
        """,
    "joints of 10 mm: the start point lay a joint outside the field": """
        units = "m"
        [room]
        walk = ["265.347372244388 0.3895", "355.347372244388 1.2445", "85.34737224438801 1.5055",
            "175.34737224438803 1.2475", "265.347372244388 0.8685", "175.34737224438803 0.2635",
            "265.347372244388 0.2455", "355.347372244388 0.2645"]
        baseboard = 0.0254
        [floor]
        pattern = "straight"
        stagger = 0.172
        board_width = 0.1016
        run = 221.0
        start = "both"
        gap = "10 mm"
        [border]
        width = 0.0508
        overlap = 0.00635
        strip = { width = 0.02, species = "walnut" }
        [stock]
        shortest = 0.4
        longest = 1.8
        """,
    "a hearth from wall to wall, nearly: rows in two parts, and a corner of the field that none covered": """
        units = "m"
        [room]
        walk = ["E 1.208", "N 0.344", "0.0 0.548", "90.0 1.135", "180.0 0.546", "270.0 0.2615", "180.0 1.208",
            "270.0 0.53"]
        baseboard = 0.0254
        [floor]
        pattern = "straight"
        board_width = 0.09
        [border]
        width = 0.0508
        overlap = 0.00635
        [[openings]]
        name = "archway"
        kind = "cased opening"
        wall = 2
        offset = 0
        width = 0.343
        [[obstacles]]
        name = "hearth"
        kind = "hearth"
        corners = [[0, 1.0863], [0, 0.1207], [0.301, 0.1207], [0.301, 1.0863]]
        """,
    "a grille that reaches over the wall by half a square millimetre, which is let pass": """
        units = "m"
        [room]
        corners = [[0.522, 1.45], [1.536, 1.45], [1.745, 0.801], [1.745, 0.388], [1.3, 0], [0.435, 0], [0, 0.634],
            [0, 1.011]]
        [floor]
        board_width = 0.1016
        run = 45
        [border]
        width = 0.15
        overlap = 0
        [[vents]]
        center = [0.349, 0.3625]
        size = [0.254, 0.1016]
        angle = 22.918311805232928
        """,
    "two strips of border that share a triangle, which an overlay in floating point did not find": """
        units = "m"
        [room]
        corners = [
            [-0.15839191898578653, 0.8570134187980956], [-0.507702668891941, 0.5077026688919412],
            [-0.999848988597778, 0.9998489885977783], [-0.0021213203435593853, 1.9975766568519968],
            [0.4900249993622776, 1.5054303371461595], [0.3401183617507295, 1.3555236995346116],
            [0.8478210306426706, 0.8478210306426704], [0.3493107499061545, 0.34931074990615446],
        ]
        baseboard = 0.0254
        [floor]
        pattern = "double herringbone"
        board_width = 0.05715
        [border]
        width = 0.1016
        overlap = 0.00635
        longest = 1.2
        [[obstacles]]
        name = "hearth"
        kind = "hearth"
        corners = [
            [0.33898699090083106, 1.6564683456076061], [0.05048742417671981, 1.9449679123317176],
            [-0.23094107473552616, 1.6635394134194719], [0.05755849198858509, 1.3750398466953604],
        ]
        """,
    "two borders that just meet: the strip inside one of them reached over the other": """
        units = "m"
        [room]
        corners = [
            [0, 0], [0.785485041232486, 0.4535], [0.385485041232486, 1.146320323027551],
            [0.12481139469336983, 0.995820323027551], [0.3748113946933698, 0.5628076211353316],
            [0.14791273890184692, 0.43180762113533155], [-0.10208726109815308, 0.864820323027551],
            [-0.4, 0.692820323027551],
        ]
        [floor]
        pattern = "straight"
        board_width = 0.05715
        [border]
        width = 0.15
        overlap = 0
        longest = 1.2
        strip = { width = 0.01905, species = "walnut" }
        """,
}


@pytest.mark.parametrize("scene", FOUND.values(), ids=FOUND)
def test_a_room_that_was_found_is_laid_and_told(scene):
    outcome = room_trial(scene.encode(), 0)  # of number 0 papers are made too
    assert not outcome.fault, f"{outcome.fault}\n{outcome.trace}"
    assert outcome.pieces or outcome.refused


def test_one_course_is_told_as_one():
    """The chalk line is one course from the line nearest to the centre line, which the first pair doesn't fit on."""
    joints = FOUND["joints of 10 mm: the start point lay a joint outside the field"]
    for gap in ("10 mm", "1 mm", "3 mm"):
        (floor,) = lay_jobs(read_scene(joints.replace("10 mm", gap).encode(), "room.toml"))
        said = Reading.of(layout_text(floor)).one("Setting out", "Chalk line")
        assert "1 courses" not in said


def test_a_room_of_many_columns_is_laid_without_advice_which_would_take_minutes():
    columns = [
        obstacle([(x + dx, y + dy) for dx, dy in ((0.2, 0), (0, 0.2), (-0.2, 0), (0, -0.2))], "column", f"c {x} {y}")
        for x in np.arange(1.0, 18.0, 1.9).tolist()
        for y in np.arange(1.0, 12.0, 1.4).tolist()
    ]
    job = make_job(corners=box(0, 0, 18.0, 12.0), obstacles=columns, board_width=0.127, border=0.0)
    outcome = room_trial(room_scene(job).replace('overlap = "0.00635 m"', "overlap = 0").encode(), 1)
    assert not outcome.fault, outcome.fault
    assert outcome.pieces < 5_000 < MOST_AT_EDGES
