"""Nothing that is typed into a scene makes the reader fail in any way but its own, and no key goes without its line."""

import contextlib
import tomllib

import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from preview.data import data_folder
from preview.errors import SceneError
from preview.scene import read_scene
from preview.scene.positions import key_lines

GOOD = (data_folder("scenes") / "dining-room.toml").read_text(encoding="utf-8")

names = st.text("abcxyz_-019", min_size=1, max_size=6)
plain = st.integers() | st.booleans() | st.text(max_size=12) | st.floats(allow_nan=False) | st.datetimes()
values = st.recursive(
    plain, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=3), max_leaves=8
)


def paths(value, path=""):
    """Yield every key path of a parsed document."""
    if isinstance(value, dict):
        for key, each in value.items():
            inner = f"{path}.{key}" if path else key
            yield inner
            yield from paths(each, inner)
    elif isinstance(value, list):
        for n, each in enumerate(value, 1):
            yield f"{path}[{n}]"
            yield from paths(each, f"{path}[{n}]")


@given(st.dictionaries(names, values, max_size=5))
def test_every_key_of_any_document_has_a_line(document):
    text = tomlkit.dumps(document).replace("\r\n", "\n")
    assert set(key_lines(text)) == set(paths(tomllib.loads(text)))


@given(st.data())
def test_a_slip_of_the_keyboard_is_read_or_refused_in_plain_words(data):
    at = data.draw(st.integers(0, len(GOOD)))
    gone = data.draw(st.integers(0, 12))
    typed = data.draw(st.text("\"'[]{}=.,#\n \t0123456789-+eabcx×½″", max_size=4))
    with contextlib.suppress(SceneError):
        read_scene(GOOD[:at] + typed + GOOD[at + gone :], "room.toml")


@given(st.sampled_from(sorted(key_lines(GOOD))), values)
def test_a_value_of_the_wrong_kind_is_read_or_refused_in_plain_words(key, value):
    document = tomllib.loads(GOOD)
    inner, steps = document, key.replace("[", ".[").split(".")
    for step in steps[:-1]:
        inner = inner[int(step[1:-1]) - 1 if step.startswith("[") else step]
    last = steps[-1]
    inner[int(last[1:-1]) - 1 if last.startswith("[") else last] = value
    with contextlib.suppress(SceneError):
        read_scene(tomlkit.dumps(document), "room.toml")
