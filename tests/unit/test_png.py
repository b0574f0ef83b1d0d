"""PNG files say what they are, and are written whole or not at all."""

import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from preview.errors import UsageError
from preview.picture.picture import Picture
from preview.picture.view.camera import Camera
from preview.version import release


def picture():
    camera = Camera("from the café", np.zeros(3), np.array([0.0, 1, 0]), np.array([0.0, 0, 1]), 1.0, 0.0, (7, 5))
    rgb = np.arange(105, dtype=np.uint8).reshape(5, 7, 3)
    return Picture(camera, "Dining room", "On the room", rgb, rgb.astype(np.float32), np.ones((5, 7), np.float32))


def chunks(data):
    at, found = 8, []
    while at < len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + body)
        found.append((kind, body))
        at += 12 + length
    return found


def test_chunks_come_in_the_standards_order_and_say_what_is_shown(tmp_path):
    path = picture().save(tmp_path / "new" / "a.png")
    found = chunks(path.read_bytes())
    kinds = [kind for kind, _ in found]
    assert kinds.count(b"sRGB") == 1
    assert kinds.index(b"sRGB") < kinds.index(b"IDAT")  # PNG specification, third edition, table 5.3
    assert dict(found)[b"sRGB"] == b"\x00"
    opened = Image.open(path)
    assert (np.asarray(opened) == picture().rgb).all()
    assert opened.text["Title"] == "Dining room"
    assert opened.text["Variant"] == "On the room"
    assert opened.text["Viewpoint"] == "from the café"
    assert opened.text["Software"] == f"herringbone-preview {release()}"
    assert "differ" in opened.text["Comment"]


def test_a_folder_that_cannot_be_made_is_a_usage_error_and_leaves_nothing(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(UsageError, match="can't be used as a folder"):
        picture().save(tmp_path / "file" / "a.png")
    (tmp_path / "taken.png").mkdir()
    with pytest.raises(UsageError):
        picture().save(tmp_path / "taken.png")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["file", "taken.png"]
