"""The command line: each command reads its options, calls the steps, and prints what came of it."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Literal

import click

from preview.cli_batch import batch
from preview.cli_new import new
from preview.cli_options import (
    FILE,
    PlainGroup,
    details_file,
    folder,
    from_materials,
    many_variants,
    of_scene,
    one_variant,
    output,
    picture_size,
    viewpoints,
)
from preview.errors import PreviewError
from preview.interrupts import raise_when_told
from preview.letters import escaped
from preview.terminal import complain, remark, say, tell, tell_at_once, tell_each, warn


def version(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    """Print the version and stop."""
    if wanted:
        from preview.version import release

        click.echo(f"preview {release()}")
        context.exit()


@click.group(
    cls=PlainGroup,
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"], "show_default": True},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=version,
    help="Print the version and stop.",
)
def app() -> None:
    """Lay out a patterned wood floor from a measured room, exactly, and show what it will look like."""


@app.command(epilog="Example:  preview check dining-room.toml --light")
@of_scene
@click.option("--light", is_flag=True, help="Also compute the daylight on the floor, in lux.")
@from_materials
def check(scene: str, light: bool, materials: Path | None) -> None:
    """Check a scene, and print what the program understood. Lengths are in the units of the file."""
    from preview.commands.look import check_scene

    tell(check_scene(scene, light, materials))


@app.command(
    epilog="Examples:  preview lay dining-room.toml   |   preview lay dining-room.toml --format svg > plan.svg"
)
@of_scene
@one_variant
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "svg"]),
    default="text",
    help="text: what the layer reads; json: every piece; svg: the dimensioned plan.",
)
@click.option("--light", is_flag=True, help="Print the daylight on the floor beside the plan.")
@click.option(
    "--box",
    type=float,
    metavar="AREA",
    help="Area one box of boards covers, in sq ft or m²: prints how many boxes to buy.",
)
@output("Write to this file instead of printing.")
@from_materials
def lay(
    scene: str,
    variant: str | None,
    form: Literal["text", "json", "svg"],
    light: bool,
    box: float | None,
    out: Path | None,
    materials: Path | None,
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
@of_scene
@many_variants
@viewpoints
@picture_size
@click.option(
    "--format",
    "form",
    type=click.Choice(["png", "jpeg", "webp", "avif", "tiff", "exr"]),
    default="png",
    help="Of the files; exr has linear light, depth and what is floor.",
)
@folder("Folder for the pictures; created if missing.")
@from_materials
def render(
    scene: str,
    variant: tuple[str, ...],
    viewpoint: tuple[str, ...],
    size: str,
    form: Literal["png", "jpeg", "webp", "avif", "tiff", "exr"],
    out: Path,
    materials: Path | None,
) -> None:
    """Draw pictures and print their paths. Default: every variant from every viewpoint."""
    from preview.commands.show import render_scene

    tell_each(render_scene(scene, variant, viewpoint, size, out, materials, form))


@app.command(
    epilog="Examples:  preview compare dining-room.toml --out compare.pdf   |   preview compare dining-room.toml "
    '--variant "On the room" --variant "On the archway" --out fade.webp'
)
@of_scene
@many_variants
@viewpoints
@picture_size
@output(
    "A sheet: .png or .pdf. Two variants cross-fading from one viewpoint: .apng, .gif or .webp.",
    "previews/SCENE--compare.png",
)
@from_materials
def compare(
    scene: str,
    variant: tuple[str, ...],
    viewpoint: tuple[str, ...],
    size: str,
    out: Path | None,
    materials: Path | None,
) -> None:
    """Compare variants on a page to choose by. It shows what differs, the view with its lines and clean, the plan."""
    from preview.commands.compare import compare_scene

    tell(compare_scene(scene, variant, viewpoint, size, out, materials))


@app.command(
    epilog="Example:  preview options dining-room.toml --prefer sightline --choose 2 --save dining-room.toml",
)
@of_scene
@click.option(
    "--prefer",
    multiple=True,
    metavar="CRITERION",
    help="Criterion to rank by first: symmetry, sightline, less-waste or fewer-cuts. Repeat for the next.",
)
@click.option(
    "--keep",
    multiple=True,
    metavar="CHOICE",
    help="Keep the scene's border, width, length, courses, centre or start. Repeat for more.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    help="text: the best five and why; json: all of them.",
)
@click.option(
    "--choose",
    multiple=True,
    type=int,
    metavar="N",
    help="Number in the ranking, for --save and --pictures. Repeat for more.",
)
@click.option(
    "--save",
    type=FILE,
    metavar="FILE",
    help="Write the scene with the chosen layouts, or the first, as variants; FILE may be the scene.",
)
@click.option(
    "--pictures",
    type=FILE,
    metavar="FILE",
    help="Draw the scene and the best five, or the chosen layouts, on one PNG sheet.",
)
@viewpoints
@picture_size
@from_materials
def options(
    scene: str,
    prefer: tuple[str, ...],
    keep: tuple[str, ...],
    form: Literal["text", "json"],
    choose: tuple[int, ...],
    save: Path | None,
    pictures: Path | None,
    viewpoint: tuple[str, ...],
    size: str,
    materials: Path | None,
) -> None:
    """Rank the layouts that fit the room. Prints the best five, why, and what each gives up; rejects small pieces."""
    from preview.commands.options import rank_options

    tell_each(rank_options(scene, prefer, keep, form, pictures, viewpoint, size, save, choose, materials))


@app.command(epilog="Example:  preview quote dining-room.toml --details details.toml --out quote.pdf")
@of_scene
@one_variant
@details_file
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4"]),
    help="Paper size.",
    show_default="letter in feet or inches, else a4",
)
@picture_size
@output("A PDF.", "previews/SCENE--VARIANT--quote.pdf")
@from_materials
def quote(
    scene: str,
    variant: str | None,
    details: Path | None,
    paper: Literal["letter", "a4"] | None,
    size: str,
    out: Path | None,
    materials: Path | None,
) -> None:
    """Write the quote, a PDF to sign. It has pictures, plan to scale, comparison, what is agreed, and the price."""
    from preview.commands.papers import quote_scene

    tell(quote_scene(scene, variant, details, paper, size, out, warn, materials))


@app.command(epilog="Example:  preview page dining-room.toml --details details.toml --out dining-room.html")
@of_scene
@many_variants
@viewpoints
@details_file
@output("A page, .html.", "previews/SCENE--page.html")
@from_materials
def page(
    scene: str,
    variant: tuple[str, ...],
    viewpoint: tuple[str, ...],
    details: Path | None,
    out: Path | None,
    materials: Path | None,
) -> None:
    """Write a page for the customer to keep, without prices. One file that opens offline, to compare and look round."""
    from preview.commands.customer_page import page_scene

    tell(page_scene(scene, variant, viewpoint, details, out, materials))


@app.command(
    epilog="Examples:  preview export dining-room.toml --out floor.glb   |   preview export dining-room.toml --out "
    "floor.obj --unit m"
)
@of_scene
@one_variant
@output(
    "A model, .glb, or .usdz for phones (untried on phones); or solids, .obj, .stl or .ply.",
    "previews/SCENE--VARIANT--floor.glb",
)
@click.option(
    "--texture",
    type=int,
    default=4096,
    help="GLB, USDZ: most pixels a side; all together have about one such square, a lit hall more.",
)
@click.option("--floor-only", is_flag=True, help="GLB, USDZ: leave the room out, as to lay the floor on your own.")
@click.option(
    "--lit",
    is_flag=True,
    help="GLB: with the room's light at that hour in its colours, as the pictures are exposed; what the finish "
    "reflects is left out.",
)
@click.option("--unit", type=click.Choice(["mm", "m"]), default="mm", help="Of lengths in .obj, .stl and .ply.")
@from_materials
def export(
    scene: str,
    variant: str | None,
    out: Path | None,
    texture: int,
    floor_only: bool,
    lit: bool,
    unit: Literal["mm", "m"],
    materials: Path | None,
) -> None:
    """Write the floor as a model for other programs. Either with its colours, or every piece as a solid."""
    from preview.commands.model_export import export_scene

    tell(export_scene(scene, variant, out, texture, floor_only, lit, unit, warn, materials))


@app.command(epilog="Examples:  preview card dining-room.toml   |   preview card dining-room.toml --out floor.dxf")
@of_scene
@one_variant
@output("A page, .pdf or .svg, or a drawing for CAD, .dxf.", "previews/SCENE--VARIANT--card.pdf")
@from_materials
def card(scene: str, variant: str | None, out: Path | None, materials: Path | None) -> None:
    """Write the layer's card, for printing. Lines to strike, blocks to cut, what to saw, right angle, marked plan."""
    from preview.commands.papers import card_scene

    tell(card_scene(scene, variant, out, materials))


@app.command(
    epilog="Examples:  preview materials   |   preview materials --swatches swatches.png   |   "
    "preview materials --materials our-woods"
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    help="text: in words; json: every value with its source.",
)
@click.option(
    "--swatches",
    type=FILE,
    metavar="FILE",
    help="Draw a sheet instead: woods, cuts, stains, sheens; .png or .pdf.",
)
@from_materials
def materials(form: Literal["text", "json"], swatches: Path | None, materials: Path | None) -> None:
    """List woods, cuts, grades, stains, finishes and paints. Or draw a sheet of them, with --swatches."""
    from preview.commands.materials import draw_materials, list_materials

    if swatches is None:
        tell(list_materials(form, materials))
    else:
        tell(draw_materials(swatches, materials))


@app.command(epilog="Example:  preview schema --out scene.schema.json")
@output("Write to a file instead.")
@from_materials
def schema(out: Path | None, materials: Path | None) -> None:
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
@picture_size
@folder("Folder for the pictures; created if missing.")
def demo(size: str, out: Path) -> None:
    """Run check, lay, render and compare on a built-in scene."""
    from preview.commands.show import run_demo

    tell_each(run_demo(size, out))


app.add_command(new)
app.add_command(batch)


@app.command(epilog="Examples:  preview live dining-room.toml   |   preview live   (a new room)")
@click.argument("scene", required=False, help="The scene file; left out, a new room is begun.")
@details_file
@click.option("--port", type=int, default=0, metavar="N", help="Port of the address; a free one by default.")
@click.option("--browser/--no-browser", default=True, help="Whether a browser is opened.")
@click.option("--lan", is_flag=True, help="Let tablets and phones in this network in too, with the token.")
@from_materials
def live(scene: str | None, details: Path | None, port: int, browser: bool, lan: bool, materials: Path | None) -> None:
    """Open the room in a browser, and see each choice at once. On this machine only: nothing is sent away."""
    from preview.commands.live import serve_scene

    raise_when_told()
    serve_scene(scene, details, materials, port, browser, lan, tell_at_once, remark)


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
        what = escaped(f"{type(error).__name__}: {error}".split("\n", 1)[0])
        complain(f"the program failed ({what}); run it again with PREVIEW_DEBUG=1 set to see where", 1)
