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
TRIES = 9


def seconds(environment, *arguments):
    """The processor time, user's and system's, that a process of Python takes."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *arguments], env=environment, cwd=ROOT, check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def over_the_peer(environment, *arguments):
    """The least time of some tries over the least of the peer's, tried by turns: others' work slows both alike."""
    tries = [(seconds(environment, *arguments), seconds(environment, *PEER)) for _ in range(TRIES)]
    own, peer = (min(times) for times in zip(*tries, strict=True))
    return own / peer


@pytest.fixture(scope="module")
def compiled(tmp_path_factory):
    """The environment of a process that finds its modules compiled, and of no settings that tests have."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    found = {**kept, "PYTHONPYCACHEPREFIX": str(tmp_path_factory.mktemp("compiled"))}
    seconds(found, "-m", "preview", "check", str(SCENES / "dining-room.toml"))
    return found


def test_help_takes_less_than_loading_arrays(compiled):
    """Measured: 0.5 to 0.65 of it; 1.4 to 1.9 while help was drawn in boxes."""
    assert over_the_peer(compiled, "-m", "preview", "--help") < 0.8


def test_checking_three_variants_takes_a_few_times_what_loading_arrays_does(compiled):
    """Measured: 3.2 to 3.6 times, on a busy machine; 4.9 to 5.7 there while typer loaded pydantic, and laying what only
    pictures and papers need; 6.3 to 7.3 while every command loaded all the others."""
    assert over_the_peer(compiled, "-m", "preview", "check", str(SCENES / "dining-room.toml")) < 4.4
