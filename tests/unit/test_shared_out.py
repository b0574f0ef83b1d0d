"""How the suite is shared out over processes: what shares something dear has one worker, or everything dear is made
once for each of them, and nothing else would show it."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.conftest import LONGEST, TOGETHER

TESTS = Path(__file__).parents[1]
ONE = """
import os
from pathlib import Path
import pytest

@pytest.mark.parametrize("number", range(8))
def test_one(number):
    with Path("begun").open("a") as begun:
        begun.write(f"{Path(__file__).stem} {os.environ['PYTEST_XDIST_WORKER']}\\n")
"""


def test_a_worker_has_whole_files_and_groups_and_the_longest_come_first(tmp_path):
    together = TOGETHER["browser"][:3]
    for name in ("test_a_short_one", *together, LONGEST[-1]):
        (tmp_path / f"{name}.py").write_text(ONE)
    shutil.copy(TESTS / "conftest.py", tmp_path)
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-c", TESTS.parent / "pyproject.toml", "--rootdir", ".", "-n", "2", "."],
        cwd=tmp_path,
        env={name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    begun = [line.split() for line in (tmp_path / "begun").read_text().splitlines()]
    workers = {name: {worker for which, worker in begun if which == name} for name, _ in begun}
    assert len(begun) == 8 * 5 and {len(each) for each in workers.values()} == {1}
    assert set.union(*(workers[name] for name in together)) == workers[together[0]]
    assert workers[LONGEST[-1]] != workers[together[0]]
    assert [*workers].index("test_a_short_one") > [*workers].index(LONGEST[-1])


def test_what_is_shared_out_together_or_begun_first_is_there():
    files = {path.stem for path in TESTS.rglob("test_*.py")}
    assert [name for name in (*sum(TOGETHER.values(), ()), *LONGEST) if name not in files | TOGETHER.keys()] == []
