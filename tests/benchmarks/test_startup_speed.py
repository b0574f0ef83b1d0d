"""The command line starts soon: processor time against that of loading numpy and shapely alone, in the same run.

As installed, with its modules compiled: a checkout from which Python may write nothing compiles them at every start.
"""

import os
import resource
import subprocess
import sys

import pytest
from running import ROOT, SCENES

PEER = ("-c", "import numpy, shapely")
TRIES = 7


def seconds(environment, *arguments):
    """The least processor time, user's and system's, that a process of Python takes."""
    least = float("inf")
    for _ in range(TRIES):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *arguments], env=environment, cwd=ROOT, check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        least = min(least, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return least


@pytest.fixture(scope="module")
def compiled(tmp_path_factory):
    """The environment of a process that finds its modules compiled, and of no settings that tests have."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    found = {**kept, "PYTHONPYCACHEPREFIX": str(tmp_path_factory.mktemp("compiled"))}
    seconds(found, "-m", "preview", "check", str(SCENES / "dining-room.toml"))
    return found


def test_help_takes_less_than_loading_arrays(compiled):
    """Measured: 0.5 to 0.65 of it; 1.4 to 1.9 while help was drawn in boxes."""
    assert seconds(compiled, "-m", "preview", "--help") < 0.8 * seconds(compiled, *PEER)


def test_checking_three_variants_takes_a_few_times_what_loading_arrays_does(compiled):
    """Measured: 3.7 to 4.6 times; 6.3 to 7.3 while every command loaded all the others."""
    check = seconds(compiled, "-m", "preview", "check", str(SCENES / "dining-room.toml"))
    assert check < 5.5 * seconds(compiled, *PEER)
