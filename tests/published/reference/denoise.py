"""The last of a path tracer's noise taken out of a picture, guided by what is free of noise: Intel's Open Image Denoise
1.4 in the package oidn (the extra `reference`). Of two pictures traced with other seeds and denoised, what is left
between them is told where they are kept."""

from __future__ import annotations

import ctypes
from importlib.util import find_spec
from pathlib import Path

import numpy as np


def denoised(radiance, colour, normal):
    """Return radiance (h, w, 3) denoised, by the surfaces' own colour and their normals, both (h, w, 3)."""
    folder = Path(find_spec("oidn").origin).parent / "lib.linux.x64"
    for tbb in folder.glob("libtbb.so.*"):
        ctypes.CDLL(str(tbb), mode=ctypes.RTLD_GLOBAL)  # the package forgets to say where it is
    import oidn

    library = ctypes.CDLL(str(next(folder.glob("libOpenImageDenoise.so.*"))))
    library.oidnSetFilter1b.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.c_bool]
    height, width = radiance.shape[:2]
    scale = 1 / np.percentile(radiance, 90)
    out = np.zeros((height, width, 3), np.float32)
    images = {"color": radiance * scale, "albedo": np.clip(colour, 0, 1), "normal": normal, "output": out}
    images = {name: np.ascontiguousarray(each, np.float32) for name, each in images.items()}
    device = oidn.NewDevice()
    oidn.CommitDevice(device)
    work = oidn.NewFilter(device, "RT")
    for name, image in images.items():
        oidn.SetSharedFilterImage(work, name, image, oidn.FORMAT_FLOAT3, width, height)
    for option in (b"hdr", b"cleanAux"):
        library.oidnSetFilter1b(work, option, True)
    oidn.CommitFilter(work)
    oidn.ExecuteFilter(work)
    oidn.ReleaseFilter(work)
    oidn.ReleaseDevice(device)
    return images["output"] / np.float32(scale)
