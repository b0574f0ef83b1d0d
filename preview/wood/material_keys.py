"""The keys of material files: what each may be, and what holds where it is left out; read as a scene is read.

Lengths are in millimetres in the files, under keys that end in ``_mm``, and in metres in what is returned. Limits are
where a value stops being a wood's and starts being a slip; each is said in the message.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from preview.scene.fields import choice, number, text
from preview.scene.nodes import Key, Node, Reader, shown, table
from preview.scene.text_fields import texts, words
from preview.wood.gloss import floor_alpha
from preview.wood.material_types import (
    Ageing,
    Figure,
    Finish,
    Grade,
    Lab,
    Measured,
    Paint,
    Pores,
    Rays,
    Rings,
    Shrinkage,
    Species,
    Stain,
)

KINDS = ("water-borne", "oil")  # of finishes
ESTIMATE = "estimate"
"""What the source of a value begins with that was read nowhere."""

Triple = tuple[float, float, float]


def several(**limits: tuple[float, float]) -> Reader:
    """Return the reader of an array of numbers: for each its name, and the least and the most that it may be."""
    what = " and ".join([", ".join(list(limits)[:-1]), list(limits)[-1]])
    ones = [number(name, *each) for name, each in limits.items()]

    def read(node: Node) -> tuple[float, ...]:
        if not isinstance(node.value, list) or len(node.value) != len(ones):
            raise node.error(f"{shown(node.value)} instead of {what}", f"write {len(ones)} numbers in brackets")
        return tuple(one(item) for one, item in zip(ones, node.items(), strict=True))

    return read


def numbers(**keys: tuple[str, float, float, float]) -> dict[str, Key]:
    """Return required keys of numbers: for each what it is with its article, its least, its most and an example."""
    return {
        name: Key(number(what, least, most), example=f"{name} = {example:g}")
        for name, (what, least, most, example) in keys.items()
    }


def group(build: Callable[..., Any], keys: dict[str, Key]) -> Reader:
    """Return the reader of a table with its source; `build` gets its values, lengths in metres."""

    def built(source: str, **values: Any) -> object:  # noqa: ANN401 (what the keys' readers return)
        return build(
            **{
                name.removesuffix("_mm"): value / 1000 if name.endswith("_mm") else value
                for name, value in values.items()
            }
        )

    return table({**keys, "source": SOURCE}, built)


LONG = words(1000)
SOURCE = Key(LONG, ESTIMATE)
ALIASES = Key(texts("aliases", 30), [])
_LAB = several(L=(0, 100), a=(-100, 100), b=(-100, 100))
LAB = {"lab": Key(lambda node: Lab(*_LAB(node)), example="lab = [65, 7, 22]")}
_CHANGE = several(L=(-60, 60), a=(-60, 60), b=(-60, 60))
_SHIFT = several(a=(-5, 5), b=(-5, 5))
RGB = several(red=(0, 20), green=(0, 20), blue=(0, 20))

SPREAD = numbers(lightness=("a deviation", 0, 20, 2), a=("a deviation", 0, 20, 0.25), b=("a deviation", 0, 20, 0.5))
LOOK = {
    "shows": Key(choice("wood of clear boards", "heartwood", "sapwood"), example='shows = "heartwood"'),
    "mixed": Key(number("a share", 0, 1), 0.0),
    "shift": Key(_SHIFT, example="shift = [0.12, 0.1]"),
    **numbers(
        cloud=("a change of tone", 0, 20, 0.7), fibre=("a texture", 0, 20, 0.7), streaks=("a count", 0, 100, 0.3)
    ),
}
RINGS = numbers(
    width_mm=("a width of rings in mm", 0.1, 50, 2),
    spread=("a relative spread", 0, 2, 0.35),
    earlywood_mm=("a width of earlywood in mm", 0.01, 50, 0.6),
    turn_mm=("a turn in mm", 0.01, 50, 0.25),
    early=("a darkening", -40, 40, 2.6),
    late=("a darkening", -40, 40, 1),
    line=("a darkening", -40, 40, 0),
    tone=("a deviation", 0, 20, 0.8),
    drift=("a share", 0, 1, 0.6),
)
PORES = numbers(
    width_mm=("a width of pores in mm", 0.005, 2, 0.24),
    length_mm=("a length of pores in mm", 0.05, 50, 3.2),
    early=("a share", 0, 1, 0.42),
    late=("a share", 0, 1, 0.04),
    depth=("a darkening", 0, 60, 12),
)
RAYS = numbers(
    thickness_mm=("a thickness of rays in mm", 0.005, 5, 0.26),
    height_mm=("a height of rays in mm", 0.05, 200, 22),
    share=("a share", 0, 1, 0.16),
    fleck=("a change of lightness", -40, 40, 5.5),
    end=("a change of lightness", -40, 40, -4),
)
FIGURE = numbers(
    wave=("an angle in degrees", 0, 45, 1.6),
    interlock=("an angle in degrees", 0, 45, 0.6),
    interlock_span_mm=("a span in mm", 1, 500, 25),
    curly=("a share of boards", 0, 1, 0),
    curl=("an angle in degrees", 0, 45, 0),
    curl_span_mm=("a span in mm", 1, 500, 10),
)
SHRINKAGE = numbers(
    radial=("a shrinkage in per cent", 0, 30, 5.6),
    tangential=("a shrinkage in per cent", 0, 30, 10.5),
    volumetric=("a shrinkage in per cent", 0, 50, 16.3),
    change_radial=("a coefficient of change", 0, 0.02, 0.0018),
    change_tangential=("a coefficient of change", 0, 0.02, 0.00365),
)
AGEING = {
    "change": Key(lambda node: Lab(*_CHANGE(node)), example="change = [-4, 1.5, 4]"),
    **numbers(years=("a time in years", 0.01, 500, 2.5)),
}
MEASURED = table({**LAB, "wood": Key(LONG, example='wood = "of which wood"'), "source": SOURCE}, Measured)


def _within(name: str) -> str:
    return f"a table [{name}], as in white-oak.toml"


SPECIES = {
    "name": Key(text, example='name = "bog oak"'),
    "botanical": Key(words(200), example='botanical = "its botanical name"'),
    "aliases": ALIASES,
    "heartwood": Key(group(lambda lab: lab, LAB), example=_within("heartwood")),
    "sapwood": Key(group(lambda lab: lab, LAB), example=_within("sapwood")),
    "spread": Key(group(lambda lightness, a, b: (lightness, a, b), SPREAD), example=_within("spread")),
    "look": Key(group(dict, LOOK), example=_within("look")),
    "rings": Key(group(Rings, RINGS), example=_within("rings")),
    "pores": Key(group(Pores, PORES), example=_within("pores")),
    "rays": Key(group(Rays, RAYS), example=_within("rays")),
    "shrinkage": Key(group(Shrinkage, SHRINKAGE), example=_within("shrinkage")),
    "density": Key(
        group(lambda kg_per_m3: kg_per_m3, numbers(kg_per_m3=("a density in kg/m³", 50, 1500, 760))),
        example=_within("density"),
    ),
    "figure": Key(group(Figure, FIGURE), absent=True),
    "measured": Key(MEASURED, absent=True),
    "described": Key(group(lambda words: words, {"words": Key(LONG, example='words = "..."')}), absent=True),
    "ageing": Key(group(Ageing, AGEING), absent=True),
}


def read_species(node: Node) -> Species:
    """Read the file of a species.

    Raises:
        SceneError: with file, line and key, for what is missing, unknown or no value of a wood.
    """

    def built(look: dict[str, Any], figure: Figure | None, described: str | None, **values: Any) -> Species:  # noqa: ANN401
        return Species(
            **values, **look, figure=figure or Figure(), described=described or "", estimates=_estimates(node.value)
        )

    species: Species = table(SPECIES, built)(node)
    return species


def _estimates(document: dict[str, Any]) -> tuple[str, ...]:
    """Return the tables of a species' file whose values were read nowhere."""
    return tuple(
        name
        for name, each in document.items()
        if isinstance(each, dict) and str(each.get("source", ESTIMATE)).startswith(ESTIMATE)
    )


SAID = {"aliases": ALIASES, "what": Key(LONG, ""), "source": SOURCE}
"""What every table of a file that is shared may have, and only lists of them show."""

GRADE = numbers(
    sapwood=("a share of boards", 0, 1, 0.1),
    knots=("a count a square metre", 0, 1000, 2),
    streaks=("a factor", 0, 100, 1),
    spread=("a factor", 0, 20, 1.2),
)
STAIN = {
    "absorption": Key(RGB, example="absorption = [0.1, 0.2, 0.4]"),
    "scatter": Key(lambda node: _same_or_three(node), example="scatter = 0.0"),
    **numbers(pores=("a factor", 0, 100, 1.5)),
}
FINISH = {
    **numbers(gloss=("a gloss", 0, 100, 35), ior=("a refractive index", 1.2, 2.5, 1.5)),
    "kind": Key(choice("kind of finish", *KINDS), example='kind = "oil"'),
    **numbers(deepening=("a share", 0, 0.95, 0.3)),
    "amber": Key(RGB, example="amber = [0, 0.01, 0.05]"),
}
PAINT = {
    "srgb": Key(lambda node: _code(node), absent=True),
    "albedo": Key(several(red=(0, 1), green=(0, 1), blue=(0, 1)), absent=True),
}


def _code(node: Node) -> str:
    """Read a colour as a screen shows it."""
    if not isinstance(node.value, str) or not re.fullmatch(r"#[0-9A-Fa-f]{6}", node.value):
        raise node.error(f"{shown(node.value)} as a colour", 'write # and six hexadecimal digits, such as "#e8e2d6"')
    return node.value


def _same_or_three(node: Node) -> Triple:
    """Read one number for red, green and blue, or one for each."""
    if isinstance(node.value, list):
        red, green, blue = RGB(node)
        return red, green, blue
    one = number("a scatter", 0, 20)(node)
    return one, one, one


def _named(node: Node, keys: dict[str, Key], build: Callable[..., Any]) -> Any:  # noqa: ANN401
    """Read a table of a file that is shared, whose name is that of its key."""
    return table({**keys, **SAID}, lambda aliases, what, source, **values: build(node.key, **values))(node)


def read_grade(node: Node) -> Grade:
    """Read a grade; SceneError as `read_species`."""
    grade: Grade = _named(node, GRADE, Grade)
    return grade


def read_stain(node: Node) -> Stain:
    """Read a stain; SceneError as `read_species`."""
    stain: Stain = _named(node, STAIN, Stain)
    return stain


def read_finish(node: Node) -> Finish:
    """Read a finish; SceneError as `read_species`, also where no coat of its refractive index has its gloss."""

    def built(name: str, gloss: float, ior: float, **values: Any) -> Finish:  # noqa: ANN401
        try:
            return Finish(name, gloss, floor_alpha(gloss, ior), ior, **values)
        except ValueError as fault:
            found, _, remedy = str(fault).partition("; ")
            raise node.child("gloss", gloss).error(found, remedy) from None

    finish: Finish = _named(node, FINISH, built)
    return finish


def read_paint(node: Node) -> Paint:
    """Read a paint or another surface; SceneError as `read_species`, also where it has no colour, or two."""
    paint: Paint = _named(node, PAINT, Paint)
    if (paint.srgb is None) == (paint.albedo is None):
        found = "no colour" if paint.srgb is None else "both srgb and albedo"
        raise node.error(found, 'give it one, such as srgb = "#e8e2d6" or albedo = [0.74, 0.71, 0.65]')
    return paint
