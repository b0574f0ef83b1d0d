"""Framebuffers of the current OpenGL context. Import it as `engine` does, once a platform is chosen."""

from __future__ import annotations

import OpenGL.GL as gl


def half_float_buffers(size: tuple[int, int], samples: int) -> tuple[int, int, int]:
    """Return a framebuffer with half-float colour and 24 bit depth, and its two renderbuffers."""
    colour, depth = (int(each) for each in gl.glGenRenderbuffers(2))
    frame = int(gl.glGenFramebuffers(1))
    gl.glBindFramebuffer(gl.GL_DRAW_FRAMEBUFFER, frame)
    for buffer, kind, place in (
        (colour, gl.GL_RGBA16F, gl.GL_COLOR_ATTACHMENT0),
        (depth, gl.GL_DEPTH_COMPONENT24, gl.GL_DEPTH_ATTACHMENT),
    ):
        gl.glBindRenderbuffer(gl.GL_RENDERBUFFER, buffer)
        gl.glRenderbufferStorageMultisample(gl.GL_RENDERBUFFER, samples, kind, *size)
        gl.glFramebufferRenderbuffer(gl.GL_DRAW_FRAMEBUFFER, place, gl.GL_RENDERBUFFER, buffer)
    return frame, colour, depth


def depth_buffer(size: tuple[int, int], samples: int) -> tuple[int, int]:
    """Return a framebuffer with 24 bit depth alone, and its renderbuffer."""
    depth, frame = int(gl.glGenRenderbuffers(1)), int(gl.glGenFramebuffers(1))
    gl.glBindFramebuffer(gl.GL_FRAMEBUFFER, frame)
    gl.glDrawBuffer(gl.GL_NONE)
    gl.glReadBuffer(gl.GL_NONE)
    gl.glBindRenderbuffer(gl.GL_RENDERBUFFER, depth)
    gl.glRenderbufferStorageMultisample(gl.GL_RENDERBUFFER, samples, gl.GL_DEPTH_COMPONENT24, *size)
    gl.glFramebufferRenderbuffer(gl.GL_FRAMEBUFFER, gl.GL_DEPTH_ATTACHMENT, gl.GL_RENDERBUFFER, depth)
    return frame, depth


def largest_side() -> int:
    """Return the longest side in pixels that this context can draw at once."""
    limits = [gl.glGetIntegerv(gl.GL_MAX_RENDERBUFFER_SIZE), *gl.glGetIntegerv(gl.GL_MAX_VIEWPORT_DIMS)]
    return int(min(limits))
