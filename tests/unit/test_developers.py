"""Every file and folder that DEVELOPERS.md names is there."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
FOLDERS = ("preview", "tests", "materials", "scenes")
NAMED = re.compile(r"`([\w./-]+?(?:\.(?:py|frag|vert|glsl|typ|toml)|/))`")


def missing(words):
    """The places named in a text that no path of the repository ends with."""
    paths = [f"/{each.relative_to(ROOT).as_posix()}/" for folder in FOLDERS for each in (ROOT / folder).rglob("*")]
    paths += [f"/{each.name}/" for each in ROOT.iterdir()]
    return {name for name in NAMED.findall(words) if not any(path.endswith(f"/{name.rstrip('/')}/") for path in paths)}


def test_every_place_it_names_is_there():
    words = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(NAMED.findall(words)) > 100
    assert missing(words) == set()


def test_a_place_that_is_gone_is_found():
    words = "| a term | `floor/gone.py` and `preview/floor/layout.py`, in `nowhere/` |"
    assert missing(words) == {"floor/gone.py", "nowhere/"}
