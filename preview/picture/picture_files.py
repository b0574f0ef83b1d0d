"""Pictures as files of the formats that people use; each says what it shows."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from io import BytesIO
from typing import Literal
from xml.sax.saxutils import escape

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageCms

from preview.picture.picture import Picture
from preview.room.room import Room
from preview.unfinished import scratch_folder
from preview.version import release

PictureFormat = Literal["png", "jpeg", "webp", "avif", "tiff", "exr"]
OPTIONS: Mapping[str, dict[str, object]] = {
    "jpeg": {"quality": 92, "subsampling": 0},
    "webp": {"quality": 92, "method": 4},
    "avif": {"quality": 90, "subsampling": "4:4:4", "speed": 8},
    "tiff": {"compression": "tiff_adobe_deflate"},
}
XMP_TAG = 700  # of TIFF (Adobe, XMP specification part 3, 2020)
FLAT = 0.01  # metres within which what is seen is the floor
REC709 = (0.64, 0.33, 0.3, 0.6, 0.15, 0.06, 0.3127, 0.329)
"""Chromaticities of red, green, blue and white (ITU-R BT.709-6, 1.3)."""


def picture_file(picture: Picture, room: Room, form: PictureFormat) -> bytes:
    """Return a picture of a floor in `room` as a file: as it is seen, in sRGB, with its profile; or as OpenEXR in
    linear light, with what is floor and how far all of it is.

    OpenEXR has R, G and B, radiance in Rec. 709, in cd/m² (`whiteLuminance` is 1); Z, metres along the camera's axis, 0
    where nothing is; and `floor`, 1 where the floor is seen.
    """
    if form == "png":
        return picture.png()
    if form == "exr":
        return _exr(picture, floor_mask(picture, room))
    data = BytesIO()
    options = dict(OPTIONS[form], icc_profile=srgb_profile())
    if form == "tiff":
        options["tiffinfo"] = {XMP_TAG: xmp(picture)}
    else:
        options["xmp"] = xmp(picture)
    Image.fromarray(picture.rgb).save(data, form.upper(), **options)
    return data.getvalue()


def floor_mask(picture: Picture, room: Room) -> NDArray[np.bool_]:
    """Return where a picture shows the floor of a room, wood, grilles and thresholds, (h, w)."""
    places = picture.camera.places(picture.depth)
    flat = (picture.depth > 0) & (np.abs(places[..., 2]) < FLAT)
    inside = room.outline.buffer(FLAT)
    flat[flat] = shapely.contains_xy(inside, places[flat][:, 0], places[flat][:, 1])
    for thing in room.obstacles:
        flat[flat] = ~shapely.contains_xy(thing.polygon.buffer(-FLAT), places[flat][:, 0], places[flat][:, 1])
    return flat


def xmp(picture: Picture) -> bytes:
    """Return what a picture shows as an XMP packet (ISO 16684-1): Dublin Core's title and description."""
    words = picture.words()
    title = f"{words['Title']}, {words['Variant']}"
    told = f"Viewpoint: {words['Viewpoint']}. {words['Comment']}"

    def said(text: str) -> str:
        return f'<rdf:Alt><rdf:li xml:lang="x-default">{escape(text)}</rdf:li></rdf:Alt>'

    return (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        f'xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:CreatorTool="herringbone-preview {release()}">'
        f"<dc:title>{said(title)}</dc:title><dc:description>{said(told)}</dc:description>"
        "</rdf:Description></rdf:RDF></x:xmpmeta>"
    ).encode()


@cache
def srgb_profile() -> bytes:
    """Return the ICC profile of sRGB, the same bytes on every day: its head holds when it was made (ICC.1:2022,
    7.2)."""
    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    made[24:36] = b"".join(value.to_bytes(2, "big") for value in (2026, 1, 1, 0, 0, 0))
    return bytes(made)


def _exr(picture: Picture, floor: NDArray[np.bool_]) -> bytes:
    import OpenEXR

    words = {name.casefold(): text for name, text in picture.words().items()}
    header = {
        "compression": OpenEXR.ZIP_COMPRESSION,
        "type": OpenEXR.scanlineimage,
        "chromaticities": REC709,
        "whiteLuminance": 1.0,
        "comments": words.pop("comment"),
        "software": f"herringbone-preview {release()}",
        **words,
    }
    channels = {
        "RGB": np.ascontiguousarray(picture.hdr, np.float32),
        "Z": np.ascontiguousarray(picture.depth, np.float32),
        "floor": floor.astype(np.float16),
    }
    with scratch_folder() as folder:
        path = folder / "picture.exr"
        try:
            with OpenEXR.File(header, channels) as file:
                file.write(str(path))
        except RuntimeError as error:  # as where the disk is full, which is said at its end
            raise OSError(str(error).rpartition('". ')[2].rstrip(".")) from error
        return path.read_bytes()
