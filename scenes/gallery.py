"""Draw the demo scenes' gallery anew: ``python scenes/gallery.py``. Pictures go to scenes/gallery/ as small JPEGs."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image

from preview.commands.compare import comparison
from preview.files import distinct_slugs, write_whole
from preview.paper.compare.compare_sheet import compare_sheet
from preview.scene import load_scene
from preview.steps import draw_floors, lay_jobs

SCENES = Path(__file__).parent
SIZE = (1600, 1000)
SHOWN = (1200, 750)
QUALITY = 82


def jpeg(image: Image.Image) -> bytes:
    """Return an image as a JPEG small enough to commit."""
    buffer = io.BytesIO()
    image.convert("RGB").save(buffer, "JPEG", quality=QUALITY, optimize=True)
    return buffer.getvalue()


def main() -> None:
    """Draw every variant of every scene from every viewpoint, and a sheet that compares the dining room's."""
    (SCENES / "gallery").mkdir(exist_ok=True)
    for scene in ("dining-room", "kitchen", "garden-room", "hall"):
        floors = lay_jobs(load_scene(SCENES / f"{scene}.toml"))
        drawn = list(draw_floors(floors, size=SIZE))
        variants = distinct_slugs([each.job.variant for each in floors])
        views = distinct_slugs(list(dict.fromkeys(each.picture.camera.name for each in drawn)))
        for each in drawn:
            name = "--".join([scene, variants[each.floor.job.variant], views[each.picture.camera.name]])
            small = Image.fromarray(each.picture.rgb).resize(SHOWN, Image.Resampling.LANCZOS)
            write_whole(SCENES / "gallery" / f"{name}.jpg", jpeg(small))
        if len(floors) > 1:
            sheet = compare_sheet(comparison(floors, list(views), drawn))
            image = Image.open(io.BytesIO(sheet))
            image.thumbnail((1600, 6000), Image.Resampling.LANCZOS)
            write_whole(SCENES / "gallery" / f"{scene}--compare.jpg", jpeg(image))


if __name__ == "__main__":
    main()
