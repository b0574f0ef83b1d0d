"""Pages set by Typst from a template and values: tagged PDF, SVG or PNG, the same bytes for the same input.

Templates of papers lie beside this module. What people wrote reaches them as data, never as markup, so that no name
can break a page. Letters that Source Sans Pro lacks come from the typesetter's own faces (Hebrew, Arabic, Greek and
Cyrillic among them); one that none of them has, such as an emoji, prints as an empty box.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from preview.unfinished import scratch_folder

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FileFormat = Literal["pdf", "svg", "png"]
TEMPLATES = Path(__file__).parent
FACES = ("Regular", "Semibold", "It")
LONGEST = 24  # letters of a word that fits every column
WITHIN = re.compile(
    r"(?<=\d') (?=\d)|(?<=\d) (?=\d+/\d|(?:mm|cm|m|m²|ft|sq ft|lux)\b|[%°])"
    r"|(?<=\bwall) (?=\d)|(?<=\bcorner) (?=\d)|(?<=[\d\"'m]) (?=× \d)|(?<=×) (?=\d)"
)
"""A space within a length or a size, or before the number of a wall or a corner."""


class Pictures:
    """The pictures of a document, put among its `assets`: JPEG in a PDF, plain pixels in what is pixels again."""

    def __init__(self, form: FileFormat) -> None:
        self.form = form
        self.assets: dict[str, bytes] = {}

    def put(self, picture: NDArray[np.uint8]) -> dict[str, object]:
        """Return a picture (h, w, 3) as `picture` of ``page.typ`` takes it: its file, how many pixels across, down."""
        from PIL import Image

        from preview.png import encode_jpeg

        file = f"picture-{len(self.assets)}.{'rgb' if self.form == 'png' else 'jpg'}"
        self.assets[file] = picture.tobytes() if self.form == "png" else encode_jpeg(Image.fromarray(picture))
        return {"file": file, "across": picture.shape[1], "down": picture.shape[0]}


def typeset(
    template: str | Path,
    data: Mapping[str, object],
    assets: Mapping[str, bytes],
    form: FileFormat = "pdf",
) -> bytes:
    """Return the document that `template` makes of `data`.

    Args:
        template: a template, such as ``card.typ`` beside this module, or the whole path of another.
        data: its values, as JSON has them.
        assets: pictures by the names that `data` calls them.
        form: what to make; an SVG or a PNG, of a pixel a point, is of the first page.
    """
    return typeset_pages(template, data, assets, form)[0]


def typeset_pages(
    template: str | Path,
    data: Mapping[str, object],
    assets: Mapping[str, bytes],
    form: FileFormat = "pdf",
    ppi: float = 72.0,
) -> list[bytes]:
    """Return the same page by page, a PNG at `ppi` pixels an inch; a PDF is one for all pages."""
    import json
    import shutil
    from importlib.resources import as_file, files

    import typst

    with scratch_folder() as folder:
        faces = folder / "faces"
        faces.mkdir()
        for weight in FACES:
            with as_file(files("font_source_sans_pro") / "files" / f"SourceSansPro-{weight}.ttf") as face:
                shutil.copyfile(face, faces / face.name)
        for path in (TEMPLATES / template, TEMPLATES / "page.typ"):
            shutil.copyfile(path, folder / path.name)
        for name, content in assets.items():
            (folder / name).write_bytes(content)
        (folder / "data.json").write_text(json.dumps(breakable(data), ensure_ascii=False), encoding="utf-8")
        fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(faces)])
        compiler = typst.Compiler(str(folder / Path(template).name), root=str(folder), font_paths=fonts)
        made = compiler.compile(format=form, ppi=ppi, timestamp=0)
    if made is None:
        raise ValueError(f"{template} made no page")
    return made if isinstance(made, list) else [made]


def breakable(value: object) -> object:
    """Return a value of JSON whose texts may be broken anywhere in a word too long for a column, but not in a length.

    A zero-width space (Unicode U+200B) marks where; a no-break space (U+00A0) keeps ``7' 2 9/16"`` on one line.
    """
    if isinstance(value, str):
        kept = WITHIN.sub("\u00a0", value)
        return re.sub(rf"\S{{{LONGEST + 1},}}", lambda word: "\u200b".join(word[0]), kept)
    if isinstance(value, Mapping):
        return {key: breakable(each) for key, each in value.items()}
    return [breakable(each) for each in value] if isinstance(value, list | tuple) else value
