"""Whatever a page sends, it is answered in words, and the program does not fail."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

LEAVES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=30),
    st.sampled_from(
        ["4 in", "room", "hall archway", "E 13 ft", "\x00", "'; --", "../../etc/passwd", "１２", "½", "9" * 400]
    ),
)
JSON = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
KEYS = st.sampled_from(
    [
        *(
            "floor.board_width",
            "floor.center",
            "floor.board_length",
            "stock.lengths",
            "light.sun.time",
            "wood.moisture",
        ),
        *("border.strip.width", "floor.courses", "paint.walls", "title", "variants[1].name", "units", "", "a.b"),
    ]
)
FIELDS = {
    "/api/change": {"revision": JSON, "client": JSON, "edits": JSON},
    "/api/variant": {"do": st.sampled_from(["keep", "rename", "delete", 1]), "name": JSON, "variant": JSON, "to": JSON},
    "/api/papers": {"what": JSON, "variant": JSON},
    "/api/offer": {"do": JSON},
    "/api/room": {
        "try": st.just(True),
        **dict.fromkeys(("walk", "corners", "diagonals", "openings", "obstacles", "vents", "height", "title"), JSON),
    },
}
THINGS = st.dictionaries(
    st.sampled_from(
        ["name", "kind", "wall", "offset", "width", "height", "corners", "center", "size", "angle", "taped"]
    ),
    JSON | st.dictionaries(st.sampled_from(["wall", "offset", "width", "depth", "clear", "along", "across"]), JSON),
)
FEW, MANY = 15, 150  # of things sent, in the suite and in the slow run


def as_often(examples):
    return settings(max_examples=examples, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


often = pytest.mark.parametrize("examples", [FEW, pytest.param(MANY, marks=pytest.mark.slow)])


def answered(answer):
    assert answer.status_code in (200, 409, 422), answer.text
    assert "Traceback" not in answer.text
    if answer.status_code != 200:
        assert answer.json()["errors"][0]["message"]


@often
@pytest.mark.parametrize("path", FIELDS)
def test_any_json_is_answered(firm, path, examples):
    @as_often(examples)
    @given(JSON | st.fixed_dictionaries({}, optional=FIELDS[path]))
    def send(sent):
        answered(firm.post_json(path, sent))

    send()


@often
def test_any_value_of_a_control_is_answered(firm, examples):
    @as_often(examples)
    @given(st.lists(st.fixed_dictionaries({"variant": st.none(), "key": KEYS, "value": JSON}), min_size=1, max_size=2))
    def send(edits):
        revision = firm.get("/api/state").json()["revision"]
        answered(firm.post_json("/api/change", {"revision": revision, "client": "a", "edits": edits}))

    send()


@often
def test_any_things_in_a_room_are_answered(firm, examples):
    @as_often(examples)
    @given(st.sampled_from(["openings", "obstacles", "vents"]), st.lists(THINGS, max_size=3))
    def send(key, things):
        answered(firm.post_json("/api/room", {"try": True, key: things}))

    send()
