"""Which release this is."""

from __future__ import annotations


def release() -> str:
    """Return the version of the installed distribution, or "0+checkout" where none is installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("herringbone-preview")
    except PackageNotFoundError:
        return "0+checkout"
