"""What each command does, without the reading of its options."""

from preview.commands.batch import make_batch
from preview.commands.compare import compare_scene
from preview.commands.customer_page import page_scene
from preview.commands.live import serve_scene
from preview.commands.look import check_scene, lay_scene
from preview.commands.materials import draw_materials, list_materials
from preview.commands.model_export import export_scene
from preview.commands.new import new_scene
from preview.commands.options import rank_options
from preview.commands.papers import card_scene, quote_scene
from preview.commands.scene_schema import print_schema
from preview.commands.show import render_scene, run_demo

__all__ = [
    "card_scene",
    "check_scene",
    "compare_scene",
    "draw_materials",
    "export_scene",
    "lay_scene",
    "list_materials",
    "make_batch",
    "new_scene",
    "page_scene",
    "print_schema",
    "quote_scene",
    "rank_options",
    "render_scene",
    "run_demo",
    "serve_scene",
]
