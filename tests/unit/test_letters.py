"""What people wrote is told apart as people tell it apart, and shown so that it can't steer a terminal."""

import pytest

from preview.errors import Place, RenderError, SceneError, UsageError
from preview.letters import control_in, control_path, escaped, escaped_lines, plain, same


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Küche 客厅 كوخ 👩‍👩‍👧", "Küche 客厅 كوخ 👩‍👩‍👧"),
        ("a\x1b[31mb\x07", r"a\x1b[31mb\x07"),
        ("\x9b2J\x7f", r"\x9b2J\x7f"),
        ("a\tb\nc\r", r"a\tb\nc\r"),
        ("\u202egnp\u2066.exe", r"\u202egnp\u2066.exe"),
        ("\u2028\u2029", r"\u2028\u2029"),
        (b"caf\xe9".decode("utf-8", "surrogateescape"), r"caf\udce9"),
    ],
)
def test_control_characters_are_shown_as_escapes(text, shown):
    assert escaped(text) == shown
    assert escaped_lines(f"{text}\nnext").split("\n")[-1] == "next"


def test_names_are_composed_and_spaced_once():
    assert plain(" Ku\u0308che \x07\t\u202e 2 ") == "Küche 2"
    assert same("Ku\u0308che") == same("KÜCHE") != same("Kuche")


def test_the_first_control_character_of_a_document_is_found_with_its_place():
    assert control_in("a\tb\nc\r") == ""
    assert control_path({"a": [{"b": "x\ty\n"}, {"c": ["", "z\x9b"]}]}) == ("a[2].c[2]", r"\x9b")
    assert control_path({"a": {"b\x1b": 1}}) == ("a.b\x1b", r"\x1b")
    assert control_path({"a": 1, "b": [True, 2.0, "x"]}) is None


def test_a_document_may_be_nested_deeper_than_python_calls():
    document = "\x07"
    for _ in range(100_000):
        document = {"a": document}
    assert control_path(document)[1] == r"\x07"
    while isinstance(document, dict):  # or Python would free it by calls as deep
        document = document.pop("a")


def test_messages_are_escaped_whatever_they_quote():
    assert str(UsageError("a\x1b[2Jb\nc")) == r"a\x1b[2Jb\nc"
    assert (
        str(SceneError(Place("a\u202e.toml", "k\x07", 3), "an \x1b", "do"))
        == r"a\u202e.toml, line 3: k\x07: an \x1b; do"
    )
    assert str(RenderError("two\nlines\x07")) == "two\nlines\\x07"
