"""The private parts of pyrender that preview/picture/device/engine.py stands on. A failure here says what has moved."""

import inspect

import numpy as np

from preview.picture.device.gl_platform import choose_platform

choose_platform()
from preview.picture.device import engine  # noqa: E402


def source(thing):
    return inspect.getsource(thing)


def test_infty_is_there_for_pyrenders_meshes():
    assert np.infty == np.inf  # noqa: NPY201


def test_a_program_asks_itself_for_its_texts():
    parameters = inspect.signature(engine.ShaderProgram.__init__).parameters
    assert list(parameters)[1:] == ["vertex_shader", "fragment_shader", "geometry_shader", "defines"]
    assert list(inspect.signature(engine.ShaderProgram._load).parameters)[1:] == ["shader_filename"]
    adding = source(engine.ShaderProgram._add_to_context)
    assert "self._load(self.vertex_shader)" in adding and "self._load(self.fragment_shader)" in adding


def test_the_renderer_asks_its_own_methods_with_these_arguments():
    expected = {
        "_get_primitive_program": ["primitive", "flags", "program_flags"],
        "_bind_lighting": ["scene", "program", "node", "flags"],
        "_sorted_mesh_nodes": ["scene"],
        "_configure_main_framebuffer": [],
        "_delete_main_framebuffer": [],
        "_read_main_framebuffer": ["scene", "flags"],
        "_bind_texture": ["texture", "uniform_name", "program"],
    }
    for name, parameters in expected.items():
        assert list(inspect.signature(getattr(engine.Renderer, name)).parameters)[1:] == parameters, name
    forward = source(engine.Renderer._forward_pass)
    for call in ("_get_primitive_program(", "_bind_lighting(", "_read_main_framebuffer(", "set_uniform('V', V)"):
        assert call in forward, call
    for name in ("material.base_color_texture", "material.normal_texture"):
        assert name in source(engine.Renderer._bind_and_draw_primitive)


def test_the_renderer_keeps_its_buffers_under_these_names():
    kept = source(engine.Renderer.__init__) + source(engine.Renderer._delete_main_framebuffer)
    for name in ("_main_fb", "_main_cb", "_main_db", "_main_fb_ms", "_main_cb_ms", "_main_db_ms", "_main_fb_dims"):
        assert f"self.{name} = None" in kept or f"self.{name} = (None, None)" in kept, name


def test_vertices_are_laid_out_in_the_order_of_the_shaders_locations():
    """Position 0, normal 1, tangent 2, texture coordinates 3, colour 4, instance matrix from 5."""
    layout = source(engine.pyrender.Primitive._add_to_context)
    places = [layout.index(f"self.{name} is not None") for name in ("normals", "tangents", "texcoord_0", "color_0")]
    assert places == sorted(places)
    assert "idx = i + len(attr_sizes)" in layout


def test_a_texture_is_known_by_these_names():
    text = source(engine.pyrender.Texture)
    for name in ("def _add_to_context", "def _in_context", "self._texid", "def delete"):
        assert name in text, name


def test_the_egl_platform_keeps_its_handles_under_these_names():
    from pyrender.platforms.egl import EGLPlatform

    assert {"_egl_display", "_egl_context"} <= set(vars(EGLPlatform(1, 1)))


def test_byref_can_be_passed_whatever_module_it_says_it_is_of():
    """From Python 3.12 on, byref() is of module _ctypes; PyOpenGL 3.1.0 looks its handler up by that name."""
    import ctypes

    from OpenGL.plugins import FormatHandler

    kind = type(ctypes.byref(ctypes.c_int()))
    assert FormatHandler.match(kind) is FormatHandler.by_name("ctypesparameter")
