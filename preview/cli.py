"""The command line: each command reads its options, calls the steps, and prints what came of it."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from preview.cli_batch import batch
from preview.cli_options import (
    DetailsFile,
    Folder,
    Materials,
    PictureSize,
    PlainGroup,
    Scene,
    VariantName,
    Variants,
    Viewpoints,
)
from preview.errors import PreviewError
from preview.interrupts import raise_when_told
from preview.letters import escaped
from preview.terminal import ask, complain, folder_is_gone, remark, say, tell, tell_at_once, tell_each, warn

app = typer.Typer(
    name="preview",
    cls=PlainGroup,
    help="Lay out a patterned wood floor from a measured room, exactly, and show what it will look like.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # help in plain text: boxes would load rich for it
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _answer(words: str) -> Any:  # noqa: ANN401 (what typer.Option gives)
    """Return an option that answers one question of `new`."""
    return typer.Option(metavar="TEXT", help=words, show_default=False)


@app.command(epilog="Example:  preview check dining-room.toml --light")
def check(
    scene: Scene,
    light: Annotated[bool, typer.Option("--light", help="Also compute the daylight on the floor, in lux.")] = False,
    materials: Materials = None,
) -> None:
    """Check a scene, and print what the program understood. Lengths are in the units of the file."""
    from preview.commands.look import check_scene

    tell(check_scene(scene, light, materials))


@app.command(
    epilog="Examples:  preview lay dining-room.toml   |   preview lay dining-room.toml --format svg > plan.svg"
)
def lay(
    scene: Scene,
    variant: VariantName = None,
    form: Annotated[
        Literal["text", "json", "svg"],
        typer.Option("--format", help="text: what the layer reads; json: every piece; svg: the dimensioned plan."),
    ] = "text",
    light: Annotated[bool, typer.Option("--light", help="Print the daylight on the floor beside the plan.")] = False,
    box: Annotated[
        float | None,
        typer.Option(
            metavar="AREA", help="Area one box of boards covers, in sq ft or m²: prints how many boxes to buy."
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write to this file instead of printing.")
    ] = None,
    materials: Materials = None,
) -> None:
    """Lay the floor out and print it, or its plan to scale. It has stop block, chalk line and every piece."""
    from preview.commands.look import lay_scene
    from preview.files import check_file, write_whole

    if out is not None:
        check_file(out, "layout.txt", [scene])
    document = lay_scene(scene, variant, form, light, box, materials)
    if out is None:
        say(document, line=False)
    else:
        tell(write_whole(out, document))


@app.command(epilog='Example:  preview render dining-room.toml --viewpoint "from the archway" --size 2400x1500')
def render(
    scene: Scene,
    variant: Variants = None,
    viewpoint: Viewpoints = None,
    size: PictureSize = "1600x1000",
    form: Annotated[
        Literal["png", "jpeg", "webp", "avif", "tiff", "exr"],
        typer.Option("--format", help="Of the files; exr has linear light, depth and what is floor."),
    ] = "png",
    out: Folder = Path("previews"),
    materials: Materials = None,
) -> None:
    """Draw pictures and print their paths. Default: every variant from every viewpoint."""
    from preview.commands.show import render_scene

    tell_each(render_scene(scene, variant or [], viewpoint or [], size, out, materials, form))


@app.command(
    epilog="Examples:  preview compare dining-room.toml --out compare.pdf   |   preview compare dining-room.toml "
    '--variant "On the room" --variant "On the archway" --out fade.webp'
)
def compare(
    scene: Scene,
    variant: Variants = None,
    viewpoint: Viewpoints = None,
    size: PictureSize = "1600x1000",
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="A sheet: .png or .pdf. Two variants cross-fading from one viewpoint: .apng, .gif or .webp.",
            show_default="previews/SCENE--compare.png",
        ),
    ] = None,
    materials: Materials = None,
) -> None:
    """Compare variants on a page to choose by. It shows what differs, the view with its lines and clean, the plan."""
    from preview.commands.compare import compare_scene

    tell(compare_scene(scene, variant or [], viewpoint or [], size, out, materials))


@app.command(
    epilog="Example:  preview options dining-room.toml --prefer sightline --choose 2 --save dining-room.toml",
)
def options(
    scene: Scene,
    prefer: Annotated[
        list[str] | None,
        typer.Option(
            "--prefer",
            metavar="CRITERION",
            help="Criterion to rank by first: symmetry, sightline, less-waste or fewer-cuts. Repeat for the next.",
        ),
    ] = None,
    keep: Annotated[
        list[str] | None,
        typer.Option(
            metavar="CHOICE",
            help="Keep the scene's border, width, length, courses, centre or start. Repeat for more.",
        ),
    ] = None,
    form: Annotated[
        Literal["text", "json"], typer.Option("--format", help="text: the best five and why; json: all of them.")
    ] = "text",
    choose: Annotated[
        list[int] | None,
        typer.Option(
            "--choose", metavar="N", help="Number in the ranking, for --save and --pictures. Repeat for more."
        ),
    ] = None,
    save: Annotated[
        Path | None,
        typer.Option(
            "--save",
            metavar="FILE",
            help="Write the scene with the chosen layouts, or the first, as variants; FILE may be the scene.",
        ),
    ] = None,
    pictures: Annotated[
        Path | None,
        typer.Option(
            "--pictures",
            metavar="FILE",
            help="Draw the scene and the best five, or the chosen layouts, on one PNG sheet.",
        ),
    ] = None,
    viewpoint: Viewpoints = None,
    size: PictureSize = "1600x1000",
    materials: Materials = None,
) -> None:
    """Rank the layouts that fit the room. Prints the best five, why, and what each gives up; rejects small pieces."""
    from preview.commands.options import rank_options

    tell_each(
        rank_options(
            scene, prefer or [], keep or [], form, pictures, viewpoint or [], size, save, choose or [], materials
        )
    )


@app.command(epilog="Example:  preview quote dining-room.toml --details details.toml --out quote.pdf")
def quote(
    scene: Scene,
    variant: VariantName = None,
    details: DetailsFile = None,
    paper: Annotated[
        Literal["letter", "a4"] | None,
        typer.Option("--paper", help="Paper size.", show_default="letter in feet or inches, else a4"),
    ] = None,
    size: PictureSize = "1600x1000",
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="A PDF.", show_default="previews/SCENE--VARIANT--quote.pdf"),
    ] = None,
    materials: Materials = None,
) -> None:
    """Write the quote, a PDF to sign. It has pictures, plan to scale, comparison, what is agreed, and the price."""
    from preview.commands.papers import quote_scene

    tell(quote_scene(scene, variant, details, paper, size, out, warn, materials))


@app.command(epilog="Example:  preview page dining-room.toml --details details.toml --out dining-room.html")
def page(
    scene: Scene,
    variant: Variants = None,
    viewpoint: Viewpoints = None,
    details: DetailsFile = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="A page, .html.", show_default="previews/SCENE--page.html"),
    ] = None,
    materials: Materials = None,
) -> None:
    """Write a page for the customer to keep, without prices. One file that opens offline, to compare and look round."""
    from preview.commands.customer_page import page_scene

    tell(page_scene(scene, variant or [], viewpoint or [], details, out, materials))


@app.command(
    epilog="Examples:  preview export dining-room.toml --out floor.glb   |   preview export dining-room.toml --out "
    "floor.obj --unit m"
)
def export(
    scene: Scene,
    variant: VariantName = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="A model, .glb, or .usdz for phones (untried on phones); or solids, .obj, .stl or .ply.",
            show_default="previews/SCENE--VARIANT--floor.glb",
        ),
    ] = None,
    texture: Annotated[
        int,
        typer.Option("--texture", help="GLB, USDZ: most pixels a side; all together have at most one such square."),
    ] = 4096,
    floor_only: Annotated[
        bool, typer.Option("--floor-only", help="GLB, USDZ: leave the room out, as to lay the floor on your own.")
    ] = False,
    lit: Annotated[
        bool,
        typer.Option(
            "--lit",
            help="GLB: with the room's light at that hour in its colours, as the pictures are exposed; what the finish "
            "reflects is left out.",
        ),
    ] = False,
    unit: Annotated[Literal["mm", "m"], typer.Option("--unit", help="Of lengths in .obj, .stl and .ply.")] = "mm",
    materials: Materials = None,
) -> None:
    """Write the floor as a model for other programs. Either with its colours, or every piece as a solid."""
    from preview.commands.model_export import export_scene

    tell(export_scene(scene, variant, out, texture, floor_only, lit, unit, warn, materials))


@app.command(epilog="Examples:  preview card dining-room.toml   |   preview card dining-room.toml --out floor.dxf")
def card(
    scene: Scene,
    variant: VariantName = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="A page, .pdf or .svg, or a drawing for CAD, .dxf.",
            show_default="previews/SCENE--VARIANT--card.pdf",
        ),
    ] = None,
    materials: Materials = None,
) -> None:
    """Write the layer's card, for printing. Lines to strike, blocks to cut, what to saw, right angle, marked plan."""
    from preview.commands.papers import card_scene

    tell(card_scene(scene, variant, out, materials))


@app.command(
    epilog="Examples:  preview materials   |   preview materials --swatches swatches.png   |   "
    "preview materials --materials our-woods"
)
def materials(
    form: Annotated[
        Literal["text", "json"], typer.Option("--format", help="text: in words; json: every value with its source.")
    ] = "text",
    swatches: Annotated[
        Path | None,
        typer.Option(
            "--swatches", metavar="FILE", help="Draw a sheet instead: woods, cuts, stains, sheens; .png or .pdf."
        ),
    ] = None,
    materials: Materials = None,
) -> None:
    """List woods, cuts, grades, stains, finishes and paints. Or draw a sheet of them, with --swatches."""
    from preview.commands.materials import draw_materials, list_materials

    if swatches is None:
        tell(list_materials(form, materials))
    else:
        tell(draw_materials(swatches, materials))


@app.command(epilog="Example:  preview schema --out scene.schema.json")
def schema(
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", help="Write to a file instead.")] = None,
    materials: Materials = None,
) -> None:
    """Print the JSON Schema of scenes, for text editors. By it they complete keys and check values while you type."""
    from preview.commands.scene_schema import print_schema
    from preview.files import check_file, write_whole

    if out is not None:
        check_file(out, "scene.schema.json")
    document = print_schema(materials)
    if out is None:
        say(document, line=False)
    else:
        tell(write_whole(out, document))


@app.command(epilog="Example:  preview demo --out /tmp/previews")
def demo(size: PictureSize = "1600x1000", out: Folder = Path("previews")) -> None:
    """Run check, lay, render and compare on a built-in scene."""
    from preview.commands.show import run_demo

    tell_each(run_demo(size, out))


@app.command(epilog="Example:  preview new study.toml")
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Scene file to write; it must not exist yet.")],
    title: Annotated[str | None, _answer("Name of the room.")] = None,
    units: Annotated[str | None, _answer("Unit of numbers without one: in, ft, mm, cm or m.")] = None,
    wall: Annotated[list[str] | None, _answer("Direction and length of a wall: E 15 ft 6 in. Repeat for each.")] = None,
    diagonal: Annotated[list[str] | None, _answer("corner; corner; length: 1; 3; 21 ft 4 in. Repeat for each.")] = None,
    height: Annotated[str | None, _answer("Height of the ceiling.")] = None,
    baseboard: Annotated[str | None, _answer("Thickness of the baseboard, 0 for none.")] = None,
    opening: Annotated[
        list[str] | None, _answer("name; kind; wall; offset; width; (sill;) height. Repeat for each.")
    ] = None,
    obstacle: Annotated[
        list[str] | None, _answer("name; kind; wall; offset; width; depth; distance from the wall. Repeat for each.")
    ] = None,
    vent: Annotated[
        list[str] | None, _answer("wall; offset; distance from the wall; along; across. Repeat for each.")
    ] = None,
    board_width: Annotated[str | None, _answer("Face width of a board.")] = None,
    board_length: Annotated[str | None, _answer("Length of a board, or fit.")] = None,
    species: Annotated[str | None, _answer("Wood of the field.")] = None,
    cut: Annotated[str | None, _answer("How it is sawn: plainsawn, riftsawn or quartersawn.")] = None,
    stain: Annotated[str | None, _answer("Stain of the field, or none.")] = None,
    finish: Annotated[str | None, _answer("Finish: matt, satin, ...")] = None,
    run: Annotated[str | None, _answer("Direction of the courses: N, E, 45, ...")] = None,
    center: Annotated[str | None, _answer("What the courses are centred on: room, or an opening.")] = None,
    border: Annotated[str | None, _answer("Width of the border, 0 for none.")] = None,
    border_species: Annotated[str | None, _answer("Wood of the border.")] = None,
    strip: Annotated[str | None, _answer("Width of a feature strip between border and field, 0 for none.")] = None,
    strip_species: Annotated[str | None, _answer("Wood of the feature strip.")] = None,
    paint_walls: Annotated[str | None, _answer("Paint of the walls: a name, or #rrggbb.")] = None,
    paint_ceiling: Annotated[str | None, _answer("Paint of the ceiling.")] = None,
    paint_trim: Annotated[str | None, _answer("Paint of baseboards, casings and doors.")] = None,
    paint_cabinets: Annotated[str | None, _answer("Paint of the cabinets.")] = None,
    variant: Annotated[
        list[str] | None,
        _answer("name; board width; centre; wood; stain; border; walls; strip: to compare. Repeat for each."),
    ] = None,
    materials: Materials = None,
) -> None:
    """Ask for a room's measurements, and write its scene. Options answer questions in advance."""
    from preview.commands.new import new_scene

    single = {
        "title": title,
        "units": units,
        "height": height,
        "baseboard": baseboard,
        "board-width": board_width,
        "board-length": board_length,
        "species": species,
        "cut": cut,
        "stain": stain,
        "finish": finish,
        "run": run,
        "center": center,
        "border": border,
        "border-species": border_species,
        "strip": strip,
        "strip-species": strip_species,
        "paint-walls": paint_walls,
        "paint-ceiling": paint_ceiling,
        "paint-trim": paint_trim,
        "paint-cabinets": paint_cabinets,
    }
    many = {
        "wall": wall,
        "diagonal": diagonal,
        "opening": opening,
        "obstacle": obstacle,
        "vent": vent,
        "variant": variant,
    }
    given = {key: [text] for key, text in single.items() if text is not None}
    given |= {key: texts for key, texts in many.items() if texts}
    typed = sys.stdin is not None and sys.stdin.isatty()
    raise_when_told()
    tell(new_scene(file, ask, remark, given, materials, keep=typed))


app.command(
    epilog="Examples:  preview batch flats/*.toml --make quote,page --details details.toml   |   preview batch "
    "flats/*.toml --make pictures --scheduler tcp://10.0.0.5:8786"
)(batch)


@app.command(epilog="Examples:  preview live dining-room.toml   |   preview live   (a new room)")
def live(
    scene: Annotated[
        str | None, typer.Argument(metavar="SCENE", help="The scene file; left out, a new room is begun.")
    ] = None,
    details: DetailsFile = None,
    port: Annotated[int, typer.Option(metavar="N", help="Port of the address; a free one by default.")] = 0,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Whether a browser is opened.")] = True,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let tablets and phones in this network in too, with the token.")
    ] = False,
    materials: Materials = None,
) -> None:
    """Open the room in a browser, and see each choice at once. On this machine only: nothing is sent away."""
    from preview.commands.live import serve_scene

    raise_when_told()
    serve_scene(scene, details, materials, port, browser, lan, tell_at_once, remark)


def version(wanted: bool) -> None:
    """Print the version and stop."""
    if wanted:
        from preview.version import release

        typer.echo(f"preview {release()}")
        raise typer.Exit


@app.callback()
def before_any_command(
    _: Annotated[
        bool, typer.Option("--version", callback=version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Take the options that come before any command."""


def main() -> None:
    """Run the command line: exit 0 when done, 2 for a wrong scene or wrong use, 1 for what failed otherwise."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app(prog_name="preview")
    except PreviewError as error:
        complain(str(error), error.exit_code)
    except Exception as error:
        if os.environ.get("PREVIEW_DEBUG"):
            raise
        if isinstance(error, FileNotFoundError) and folder_is_gone():
            complain("the folder that this runs in is gone; go to one that exists", 2)
        what = escaped(f"{type(error).__name__}: {error}".split("\n", 1)[0])
        complain(f"the program failed ({what}); run it again with PREVIEW_DEBUG=1 set to see where", 1)
