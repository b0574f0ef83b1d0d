"""Draw the demo scenes' gallery anew: ``python scenes/gallery.py``, or the parts that are named: ``... hall swatches``.

Pictures go to scenes/gallery/ as JPEGs of at most 300 kB. The dining room's are those at the head of README.md.
"""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path

import pypdfium2
from PIL import Image

from preview.commands.compare import comparison, decision_views
from preview.commands.materials import draw_materials
from preview.commands.papers import card_scene, quote_scene
from preview.files import distinct_slugs, write_whole
from preview.paper.compare.compare_sheet import compare_sheet, lined_picture
from preview.paper.compare.view_marks import sight_opening, view_marks
from preview.scene import load_scene
from preview.session import draw_floors
from preview.steps import lay_jobs

SCENES = Path(__file__).parent
GALLERY = SCENES / "gallery"
NAMES = ("dining-room", "kitchen", "garden-room", "hall")
DOOR, DETAILS = "dining-room", "orchard-house-details.toml"
PATTERNS = "study"
SIZE = (1600, 1000)
SHOWN = (1200, 750)
SHEET = (1200, 6000)  # the most that a sheet or a page is shown at
LARGEST = 300_000  # bytes
QUALITIES = range(82, 30, -4)


def show(name: str, image: Image.Image) -> None:
    """Write an image to the gallery, as good as `LARGEST` allows."""
    for quality in QUALITIES:
        buffer = io.BytesIO()
        image.convert("RGB").save(buffer, "JPEG", quality=quality, optimize=True)
        if buffer.tell() <= LARGEST:
            break
    write_whole(GALLERY / f"{name}.jpg", buffer.getvalue())


def show_sheet(name: str, image: Image.Image) -> None:
    """Write a sheet to the gallery, made smaller."""
    image.thumbnail(SHEET, Image.Resampling.LANCZOS)
    show(name, image)


def draw_scene(scene: str) -> None:
    """Draw every variant of a scene from every viewpoint, and the sheet that compares them."""
    floors = lay_jobs(load_scene(SCENES / f"{scene}.toml"))
    drawn = list(draw_floors(floors, size=SIZE))
    variants = distinct_slugs([each.job.variant for each in floors])
    views = distinct_slugs(list(dict.fromkeys(each.picture.camera.name for each in drawn)))
    for each in drawn:
        name = "--".join([scene, variants[each.floor.job.variant], views[each.picture.camera.name]])
        picture = Image.fromarray(each.picture.rgb)
        picture.thumbnail(SHOWN, Image.Resampling.LANCZOS)
        show(name, picture)
        if scene == DOOR and each.floor in floors[:2] and each.picture.camera.name == next(iter(views)):
            lined = lined_picture(each.picture, view_marks(each.picture, each.floor, sight_opening(floors)))
            show(f"{name}--lines", Image.fromarray(lined).resize(SHOWN, Image.Resampling.LANCZOS))
    if len(floors) > 1:
        chosen = decision_views(floors[0], floors)
        shown = [each for each in drawn if each.picture.camera.name in chosen]
        show_sheet(f"{scene}--compare", Image.open(io.BytesIO(compare_sheet(comparison(floors, chosen, shown)))))


def draw_sheet(scene: str) -> None:
    """Draw only the sheet that compares a scene's variants."""
    floors = lay_jobs(load_scene(SCENES / f"{scene}.toml"))
    views = decision_views(floors[0], floors)
    drawn = list(draw_floors(floors, views, SIZE))
    show_sheet(f"{scene}--compare", Image.open(io.BytesIO(compare_sheet(comparison(floors, views, drawn)))))


def draw_papers(scene: str) -> None:
    """Draw the first pages of a scene's quote and of its card."""
    path = str(SCENES / f"{scene}.toml")
    with tempfile.TemporaryDirectory() as folder:
        quote, card = Path(folder) / "quote.pdf", Path(folder) / "card.pdf"
        papers = {
            "quote": quote_scene(path, None, SCENES / DETAILS, None, "1600x1000", quote, print),
            "card": card_scene(path, None, card),
        }
        for name, paper in papers.items():
            page = pypdfium2.PdfDocument(paper.read_bytes())[0]
            show_sheet(f"{scene}--{name}", page.render(scale=2).to_pil())


def draw_swatch_sheet() -> None:
    """Draw the sheet of swatches, which takes a minute or two."""
    with tempfile.TemporaryDirectory() as folder:
        show_sheet("swatches", Image.open(draw_materials(Path(folder) / "swatches.png", None)))


def main(parts: list[str]) -> None:
    """Draw the parts that are named, or all."""
    GALLERY.mkdir(exist_ok=True)
    for scene in NAMES:
        if not parts or scene in parts:
            draw_scene(scene)
    if not parts or PATTERNS in parts:
        draw_sheet(PATTERNS)
    if not parts or DOOR in parts:
        draw_papers(DOOR)
    if not parts or "swatches" in parts:
        draw_swatch_sheet()


if __name__ == "__main__":
    main(sys.argv[1:])
