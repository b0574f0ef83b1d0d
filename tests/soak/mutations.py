"""Files of scenes, details and materials spoilt in every way: by their grammar, and byte by byte."""

from __future__ import annotations

import random
import re

NUMBERS = [
    *("0", "-1", "1e-9", "1e-300", "1e308", "-1e308", "nan", "inf", "-inf", "1e-50000000", "1e50000000", "-0.0"),
    *("9" * 30, "0x" + "f" * 40, "0o777", "0b101", "1_000", "9223372036854775807", "0.5", "3", "90", "45.0", "2"),
]
TEXTS = [
    *('""', '" "', '"x"', '"0"', '"-4"', '"1e9 m"', '"1/0 in"', '"12 ft 7 1/2 in"', "'12\\' 7 1/2\"'", '"3,85 m"'),
    *(
        '"½ in"',
        '"１２ mm"',
        '"\\u0000"',
        '"\\u202e"',
        '"室"',
        '"room"',
        '"none"',
        '"fit"',
        '"even"',
        '"odd"',
        '"both"',
    ),
    *('"herringbone"', '"double herringbone"', '"chevron"', '"straight"', '"E 3 m"', '"NE 2 m"', '"361 1 m"'),
    *('"8 × 90 mm"', '"1000000 m"', '"0.0001 mm"', '"' + "y" * 300 + '"', '"#ffffff"', '"white oak"', '"clear"'),
]
OTHERS = [
    *("true", "false", "[]", "{}", "[[]]", "[1]", "[1, 2]", "[[0, 0], [1, 0], [0, 1]]", "{ opening = 1 }"),
    *("2026-10-14", "2026-10-14T16:00:00+01:00", "0001-01-01T00:00:00+14:00", "9999-12-31", "12:00:00"),
    *("{ point = [0, 0] }", "{ a.b.c = 1 }", '["a", 1]', "[[[[[1]]]]]"),
]
LENGTHS = ["0.002", "0.01", "0.02", "0.1", "0.3", "1", "2.5", "5", "40", "299", "0.0254", "12.5", "-0.5", "0.5000001"]

VALUE = re.compile(r"(?m)^(\s*[A-Za-z_.\"-]+\s*=\s*)(.+)$")
FIGURE = re.compile(r"(?<![A-Za-z_#])-?\d+(?:\.\d+)?(?![A-Za-z_])")


def mutated(text: str, rng: random.Random, others: list[str]) -> bytes:
    """Return the bytes of a file like `text` with one to five faults in it; `others` are files to take lines from."""
    for _ in range(rng.choice([1, 1, 1, 2, 3, 5])):
        text = rng.choice(GRAMMAR)(text, rng, others)
    content = text.encode("utf-8", "surrogateescape")
    if rng.random() < 0.15:
        content = spoilt_bytes(content, rng)
    return content


def _value(text: str, rng: random.Random, _: list[str]) -> str:
    """Give a key another value."""
    return _one(VALUE, text, rng, lambda found: found[1] + rng.choice(rng.choice([NUMBERS, TEXTS, OTHERS, LENGTHS])))


def _figure(text: str, rng: random.Random, _: list[str]) -> str:
    """Change one figure: scaled, turned over, or another."""

    def other(found: re.Match[str]) -> str:
        number = float(found[0])
        scaled = number * rng.choice([-1, 0, 0.001, 0.0254, 0.1, 0.5, 0.999999, 1.000001, 2, 10, 1000])
        return rng.choice([f"{scaled:.9g}", f"{scaled:.0f}", rng.choice(NUMBERS), rng.choice(LENGTHS)])

    return _one(FIGURE, text, rng, other)


def _nudged(text: str, rng: random.Random, _: list[str]) -> str:
    """Move every figure of a line a little: skew rooms, near coincidences."""
    lines = text.split("\n")
    at = rng.randrange(len(lines))
    width = 10 ** rng.uniform(-12, 0)
    lines[at] = FIGURE.sub(lambda found: f"{float(found[0]) + rng.gauss(0, width):.12g}", lines[at])
    return "\n".join(lines)


def _line_gone(text: str, rng: random.Random, _: list[str]) -> str:
    lines = text.split("\n")
    del lines[rng.randrange(len(lines))]
    return "\n".join(lines) or "\n"


def _line_twice(text: str, rng: random.Random, _: list[str]) -> str:
    lines = text.split("\n")
    lines.insert(rng.randrange(len(lines)), rng.choice(lines))
    return "\n".join(lines)


def _line_of_another(text: str, rng: random.Random, others: list[str]) -> str:
    lines = text.split("\n")
    lines.insert(rng.randrange(len(lines) + 1), rng.choice(rng.choice(others).split("\n")))
    return "\n".join(lines)


def _table_of_another(text: str, rng: random.Random, others: list[str]) -> str:
    tables = re.split(r"(?m)^(?=\[)", rng.choice(others))
    return f"{text}\n{rng.choice(tables)}"


def _key_renamed(text: str, rng: random.Random, others: list[str]) -> str:
    keys = VALUE.findall(rng.choice(others))
    return _one(VALUE, text, rng, lambda found: (rng.choice(keys)[0] if keys else "x = ") + found[2])


def _corner(text: str, rng: random.Random, _: list[str]) -> str:
    """Take a pair out of an array, repeat one, or put in one nearby."""

    def other(found: re.Match[str]) -> str:
        return rng.choice(["", f"{found[0]}, {found[0]}", f"{found[0]}, [{rng.uniform(-1, 9):.3f}, {rng.gauss(2, 3)}]"])

    return _one(re.compile(r"\[[^\[\]\n]+,[^\[\]\n]+\](?:,\s*)?"), text, rng, other)


def _letter(text: str, rng: random.Random, _: list[str]) -> str:
    at = rng.randrange(len(text))
    letter = rng.choice("\"'[]{}=,.#\n\\ -+0159eE_\x00\x1b\u202e\u00e9\U0001f600")
    return text[:at] + letter + text[at + rng.choice([0, 1]) :]


def _cut(text: str, rng: random.Random, _: list[str]) -> str:
    return text[: rng.randrange(1, len(text) + 1)]


GRAMMAR = (
    *(_value,) * 6,
    *(_figure,) * 6,
    *(_nudged,) * 3,
    *(_corner,) * 2,
    *(_line_gone, _line_twice, _line_of_another, _table_of_another, _key_renamed, _letter, _cut),
)


def _one(pattern: re.Pattern[str], text: str, rng: random.Random, other) -> str:
    found = list(pattern.finditer(text))
    if not found:
        return text
    one = rng.choice(found)
    return text[: one.start()] + other(one) + text[one.end() :]


def spoilt_bytes(content: bytes, rng: random.Random) -> bytes:
    """Return bytes with some of them changed, taken out, repeated or put in."""
    made = bytearray(content)
    for _ in range(rng.choice([1, 2, 8])):
        at = rng.randrange(len(made) or 1)
        match rng.randrange(4):
            case 0 if made:
                made[at % len(made)] ^= 1 << rng.randrange(8)
            case 1:
                del made[at : at + rng.randrange(1, 30)]
            case 2:
                made[at:at] = made[at : at + rng.randrange(1, 60)]
            case _:
                made[at:at] = rng.randbytes(rng.randrange(1, 6))
    return bytes(made)
