"""One room is looked at by several threads at once, as at a page: none ends the process by a fault of memory."""

import os
import subprocess
import sys
from pathlib import Path

import preview

HERE, ROOT = Path(__file__).parent, Path(__file__).resolve().parents[2]
LOOKING = """
import sys
from threading import Barrier, Thread
sys.path[:0] = sys.argv[1:]
from test_viewpoints import door, make_room
from preview.picture.view.proposals import propose_viewpoints

def look(gate, room):
    gate.wait()
    propose_viewpoints(room)

for wide in (5.0, 5.1):
    doors = [door("left", (1, 0), (1.9, 0)), door("right", (3.5, 0), (4.4, 0))]
    room, gate = make_room([(0, 0), (wide, 0), (wide, 4), (0, 4)], doors), Barrier(4)
    threads = [Thread(target=look, args=(gate, room)) for _ in range(4)]
    [each.start() for each in threads]
    [each.join() for each in threads]
"""


def test_threads_look_at_one_room_at_once():
    command = [sys.executable, "-c", LOOKING, str(HERE), str(ROOT)]
    done = subprocess.run(command, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_no_geometry_that_others_may_hold_is_prepared():
    package = Path(preview.__file__).parent
    asks = [str(each.relative_to(package)) for each in package.rglob("*.py") if "shapely.prepare(" in each.read_text()]
    assert asks == ["prepared.py"]
