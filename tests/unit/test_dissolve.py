"""A picture that fades into another: frames, times, kinds of file."""

import io

import numpy as np
import pytest
from PIL import Image

from preview.paper.compare.dissolve import dissolve


@pytest.mark.parametrize("suffix", [".apng", ".gif", ".webp"])
def test_one_melts_into_the_other(suffix):
    first, second = (np.full((100, 160, 3), shade, np.uint8) for shade in (40, 200))
    image = Image.open(io.BytesIO(dissolve((first, second), ("A", "B"), suffix)))
    assert image.n_frames >= 20 and image.info["loop"] == 0
    shades, times = [], []
    for number in range(image.n_frames):
        image.seek(number)
        image.load()
        shades.append(int(np.asarray(image.convert("RGB"))[10, 80].mean()))
        times.append(image.info["duration"])
    assert shades[0] == pytest.approx(40, abs=4) and max(shades) == pytest.approx(200, abs=4)
    top = shades.index(max(shades))
    assert shades[: top + 1] == sorted(shades[: top + 1]) and shades[top:] == sorted(shades[top:], reverse=True)
    assert max(times) >= 1500 and min(times) < 200


def test_wide_pictures_are_brought_down():
    wide = np.zeros((500, 2000, 3), np.uint8)
    assert Image.open(io.BytesIO(dissolve((wide, wide + 9), ("A", "B"), ".webp"))).size == (1200, 300)
