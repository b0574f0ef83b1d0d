"""A PDF read back by another library than the one that wrote it."""

from __future__ import annotations

import ctypes
import re

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw

MM = 25.4 / 72


def page_texts(content: bytes) -> list[str]:
    """The text of each page, its white space made single."""
    document = pdfium.PdfDocument(content)
    return [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in document]


def page_sizes(content: bytes) -> list[tuple[float, float]]:
    """Width and height of each page, mm."""
    return [tuple(round(each * MM, 1) for each in page.get_size()) for page in pdfium.PdfDocument(content)]


def paths(content: bytes, page: int) -> list[np.ndarray]:
    """The vertices (n, 2) of each path on a page, mm from its top left, y down."""
    sheet = pdfium.PdfDocument(content)[page]
    height = sheet.get_height()
    objects = [raw.FPDFPage_GetObject(sheet.raw, n) for n in range(raw.FPDFPage_CountObjects(sheet.raw))]
    found = []
    _collect(objects, np.eye(3), found)
    return [np.column_stack([each[:, 0], height - each[:, 1]]) * MM for each in found]


def _collect(objects, outer, found):
    for each in objects:
        matrix = raw.FS_MATRIX()
        raw.FPDFPageObj_GetMatrix(each, ctypes.byref(matrix))
        own = outer @ np.array([[matrix.a, matrix.c, matrix.e], [matrix.b, matrix.d, matrix.f], [0, 0, 1]])
        kind = raw.FPDFPageObj_GetType(each)
        if kind == raw.FPDF_PAGEOBJ_FORM:
            inner = [raw.FPDFFormObj_GetObject(each, n) for n in range(raw.FPDFFormObj_CountObjects(each))]
            _collect(inner, own, found)
        elif kind == raw.FPDF_PAGEOBJ_PATH:
            points = []
            for n in range(raw.FPDFPath_CountSegments(each)):
                segment = raw.FPDFPath_GetPathSegment(each, n)
                x, y = ctypes.c_float(), ctypes.c_float()
                raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
                points.append((own @ [x.value, y.value, 1])[:2])
            found.append(np.array(points).reshape(-1, 2))
