"""Packages that npm brings for a test: tools of others that are no part of the program."""

import shutil
import subprocess

import pytest


def npm_brings(package, folder, otherwise):
    """Install a package into a folder; where npm, or the network, is not there, the test is skipped, and says so."""
    if shutil.which("npm") is None:
        pytest.skip(f"npm is not there: {otherwise}")
    brought = subprocess.run(["npm", "install", "--silent", package], cwd=folder, capture_output=True, timeout=300)
    if brought.returncode:
        pytest.skip(f"npm could not bring {package}: {otherwise}")
    return folder / "node_modules"
