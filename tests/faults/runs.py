"""The program under faults, as a user meets them: each run gives the right bytes, or a clear error and nothing else.

``python -m tests.faults.runs [--runs N] [--seed S] [--python PATH] [NAME ...]``: kills, signals, full and read-only
disks, a cache that is deleted meanwhile, runs at once, closed streams, missing surroundings, users without a home. NAME
picks some of them. Disks are small file systems in memory where that is allowed (root on Linux); else what needs them
is left out, and said to be. So are users without a home where they may not start this Python: PATH is another, with the
program's libraries, for them alone.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.commands.running import ROOT, SMALL

SIZE = ("--size", "240x150")
COMMANDS: dict[str, tuple[str, ...]] = {
    "quote": ("quote", "room.toml", *SIZE, "--out", "out/made.pdf"),
    "card": ("card", "room.toml", "--out", "out/made.pdf"),
    "render": ("render", "room.toml", *SIZE, "--viewpoint", "plan", "--format", "exr", "--out", "out"),
    "lay": ("lay", "room.toml", "--format", "svg", "--out", "out/made.svg"),
}
HOMELESS: dict[str, tuple[int, dict[str, str]]] = {
    "a user whom the system doesn't know": (54321, {}),
    "a user whose home is not there": (65534, {}),
    "a user with another's home": (65534, {"HOME": "/root"}),
}
"""Numbers of users; what else their environment has."""

PLACES = {"out": "out", "cache": "cache", "temporary": "tmp"}


@dataclass
class House:
    """A folder for one fault: a scene and what is written in `work`, a cache, a place for temporary files."""

    path: Path
    environment: dict[str, str] = field(default_factory=dict)
    python: str = sys.executable

    @property
    def work(self) -> Path:
        """Return the working folder."""
        return self.path / "work"

    def start(self, *arguments: str, **options: object) -> subprocess.Popen[bytes]:
        """Start the program."""
        environment = {
            **{name: value for name, value in os.environ.items() if name not in ("PREVIEW_CACHE", "TMPDIR")},
            "PYTHONPATH": str(ROOT),
            "PREVIEW_CACHE": str(self.path / "cache"),
            "TMPDIR": str(self.path / "tmp"),
            **self.environment,
        }
        streams = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        return subprocess.Popen(
            [self.python, "-m", "preview", *arguments],
            cwd=self.work,
            env={name: value for name, value in environment.items() if value != "-"},
            **{**streams, **options},
        )

    def made(self) -> dict[str, str]:
        """Return the digests of the files in the working folder but the scene's, and "" for folders."""
        return {
            str(each.relative_to(self.work)): hashlib.sha256(each.read_bytes()).hexdigest() if each.is_file() else ""
            for each in sorted(self.work.rglob("*"))
            if each.name != "room.toml"
        }

    def left(self) -> list[str]:
        """Return what is left of temporary files, anywhere."""
        scraps = [each for each in self.path.rglob("*") if each.name.endswith(".part")]
        return [str(each.relative_to(self.path)) for each in [*scraps, *(self.path / "tmp").iterdir()]]


@contextmanager
def house(**environment: str) -> Iterator[House]:
    """Yield a house of its own."""
    with tempfile.TemporaryDirectory(prefix="faults-") as place:
        made = House(Path(place), environment)
        for name in ("work", "cache", "tmp"):
            (made.path / name).mkdir()
        (made.work / "room.toml").write_text(SMALL)
        yield made


@contextmanager
def small_disk(place: Path, kilobytes: int, options: str = "") -> Iterator[None]:
    """Put a disk of so many kilobytes at `place`."""
    place.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k{options}", "tmpfs", place], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", "--lazy", place], check=True)  # also where a run that is given up still writes to it


def can_mount() -> bool:
    """Return whether disks can be made here."""
    with tempfile.TemporaryDirectory() as place:
        try:
            with small_disk(Path(place), 64):
                return True
        except (OSError, subprocess.CalledProcessError):
            return False


def can_be_started(python: str, user: int) -> bool:
    """Return whether a user can start the program here with a Python."""
    command, environment = [python, "-c", "import numpy, preview"], {"PYTHONPATH": str(ROOT)}
    try:
        return not subprocess.run(command, user=user, env=environment, cwd="/", capture_output=True).returncode
    except (OSError, ValueError):
        return False


def faults_of(status: int, error: bytes, made: Mapping[str, str], right: Mapping[str, str]) -> list[str]:
    """Return what is wrong with how a run ended: it is to have made what is right, or to have said why not and made
    nothing."""
    wrong = []
    words = error.decode(errors="replace")
    if "Traceback" in words or "program failed" in words or "Exception ignored" in words:
        wrong.append(f"said {words[-400:]!r}")
    if status == 0 and made != right:
        wrong.append(f"exit 0, but made {made}")
    if status not in (0, 1, 2, 130, 143):
        wrong.append(f"exit {status}: {words[-300:]!r}")
    if status != 0:
        if any(made.get(name) != digest for name, digest in right.items() if name in made) or set(made) - set(right):
            wrong.append(f"exit {status}, and left {made}")
        if len([line for line in words.splitlines() if line.startswith("preview: ")]) < 1:
            wrong.append(f"exit {status} without a word: {words[-300:]!r}")
    return wrong


class Faults:
    """Every fault, each a method whose name is its own, and what came of them."""

    def __init__(self, runs: int, seed: int, say: Callable[[str], None], python: str = sys.executable) -> None:
        self.runs, self.draw, self.say, self.python = runs, random.Random(seed), say, python
        self.count, self.wrong = 0, 0
        self._right: dict[str, dict[str, str]] = {}
        self._seconds: dict[str, float] = {}
        self._kept = tempfile.TemporaryDirectory(prefix="faults-")
        self._cached = Path(self._kept.name)

    @contextmanager
    def warm(self, **environment: str) -> Iterator[House]:
        """Yield a house whose cache holds what has been made before."""
        with house(**environment) as place:
            shutil.copytree(self._cached, place.path / "cache", dirs_exist_ok=True)
            yield place

    def right(self, name: str) -> dict[str, str]:
        """Return what a command makes where nothing is wrong."""
        if name not in self._right:
            with house() as place:
                begun = time.monotonic()
                run = place.start(*COMMANDS[name])
                _, error = run.communicate()
                if run.returncode:
                    raise SystemExit(f"{name} fails without a fault: {error.decode()}")
                self._right[name], self._seconds[name] = place.made(), time.monotonic() - begun
                shutil.copytree(place.path / "cache", self._cached, dirs_exist_ok=True)
        return self._right[name]

    def judge(self, what: str, wrong: list[str]) -> None:
        """Count a run."""
        self.count += 1
        if wrong:
            self.wrong += 1
            self.say(f"{what}: {'; '.join(wrong)}")

    def run(self, what: str, place: House, name: str, clean: bool = True, **options: object) -> tuple[int, str]:
        """Run a command in a house and judge it; return its exit status and its words."""
        right = self.right(name)
        run = place.start(*COMMANDS[name], **options)
        _, error = run.communicate()
        wrong = faults_of(run.returncode, error or b"", place.made(), right)
        if clean and (left := place.left()):
            wrong.append(f"left {left}")
        self.judge(f"{what}, {name}", wrong)
        return run.returncode, (error or b"").decode(errors="replace").strip()

    def killed(self) -> None:
        """Kill -9 at random moments; then the same again, which makes what is right and clears up."""
        for number in range(self.runs):
            name = ("quote", "card", "render")[number % 3]
            right = self.right(name)
            with (house if number % 4 == 0 else self.warm)() as place:
                run = place.start(*COMMANDS[name])
                time.sleep(self.draw.uniform(0.2, self._seconds[name]))
                run.kill()
                run.communicate()
                made = {file: digest for file, digest in place.made().items() if digest and ".part" not in file}
                whole = made.items() <= right.items()
                self.judge(f"killed, {name}", [] if whole else [f"left {made}, which is not {right}"])
                self.run("after a kill", place, name)

    def signals(self) -> None:
        """Ctrl-C and the wish to end, at random moments: within a second, exit 130 or 143, nothing left."""
        for number in range(self.runs):
            name, told = ("quote", "render", "card")[number % 3], (signal.SIGINT, signal.SIGTERM)[number % 2]
            right = self.right(name)
            with (house if number % 4 == 0 else self.warm)() as place:
                run = place.start(*COMMANDS[name])
                at = self.draw.uniform(0.2, self._seconds[name])
                time.sleep(at)
                run.send_signal(told)
                begun = time.monotonic()
                _, error = run.communicate()
                took = time.monotonic() - begun
                wrong = faults_of(run.returncode, error, place.made(), right)
                if run.returncode not in (0, 128 + told):
                    wrong.append(f"exit {run.returncode}")
                if took > 1 and run.returncode:
                    wrong.append(f"took {took:.1f} s")
                if left := place.left():
                    wrong.append(f"left {left}")
                self.judge(f"{told.name} at {at:.2f} s, {name}", wrong)

    def full(self) -> None:
        """Disks too small for the result, for the cache, for temporary files; and where no --out is given."""
        for name in COMMANDS:
            for where, folder in PLACES.items():
                right = self.right(name)
                for kilobytes in (4, 64, 400):
                    with self.warm() as place:
                        at = place.work / folder if where == "out" else place.path / folder
                        with small_disk(at, kilobytes):
                            run = place.start(*COMMANDS[name])
                            _, error = run.communicate()
                            made, left = place.made(), place.left()
                            wrong = faults_of(run.returncode, error, {k: v for k, v in made.items() if v}, {
                                k: v for k, v in right.items() if v
                            })  # fmt: skip
                        if left:
                            wrong.append(f"left {left}")
                        words = error.decode(errors="replace")
                        named = {"out": "out", "cache": "no word", "temporary": str(at)}[where]
                        if run.returncode and named not in words:
                            wrong.append(f"does not name {named}: {words!r}")
                        self.judge(f"{where} of {kilobytes} kB, {name}", wrong)
        for name in ("quote", "card"):
            with self.warm() as place, small_disk(place.work, 8):
                (place.work / "room.toml").write_text(SMALL)
                run = place.start(*COMMANDS[name][: 4 if name == "quote" else 2])
                _, error = run.communicate()
                wrong = faults_of(run.returncode, error, place.made(), {})
                if b"previews" not in error:
                    wrong.append(f"does not name where: {error!r}")
                self.judge(f"full without --out, {name}", wrong)

    def read_only(self) -> None:
        """Disks that nobody may write to."""
        for name in COMMANDS:
            right = {file: digest for file, digest in self.right(name).items() if digest}
            for where, folder in PLACES.items():
                with self.warm() as place:
                    at = place.work / folder if where == "out" else place.path / folder
                    with small_disk(at, 64, ",ro"):
                        run = place.start(*COMMANDS[name])
                        _, error = run.communicate()
                        made = {k: v for k, v in place.made().items() if v}
                        wrong = faults_of(run.returncode, error, made, right)
                    if where == "out" and (run.returncode != 2 or b"out" not in error):
                        wrong.append(f"exit {run.returncode}: {error!r}")
                    if where != "out" and run.returncode:
                        wrong.append(f"exit {run.returncode}: {error!r}")
                    self.judge(f"read-only {where}, {name}", wrong)

    def cache_deleted(self) -> None:
        """Another process deletes the cache's files and folders while it is read and written."""
        for name in ("quote", "render"):
            with self.warm() as place:
                for _ in range(max(self.runs // 4, 2)):
                    ended = threading.Event()

                    def delete(ended: threading.Event = ended, place: House = place) -> None:
                        while not ended.wait(self.draw.uniform(0.01, 0.3)):
                            shutil.rmtree(place.path / "cache", ignore_errors=True)

                    thread = threading.Thread(target=delete)
                    thread.start()
                    try:
                        self.run("cache deleted meanwhile", place, name)
                    finally:
                        ended.set()
                        thread.join()

    def four_at_once(self) -> None:
        """Four runs of one command, with one cache and one result."""
        for name in ("quote", "card"):
            right = self.right(name)
            with self.warm() as place:
                runs = [place.start(*COMMANDS[name]) for _ in range(4)]
                for run in runs:
                    _, error = run.communicate()
                    self.judge(f"four at once, {name}", faults_of(run.returncode, error, right, right))
                self.judge(f"four at once, {name}", [] if place.made() == right and not place.left() else [
                    f"made {place.made()}, left {place.left()}"
                ])  # fmt: skip

    def clock_set_back(self) -> None:
        """Everything in the cache is of next year."""
        with self.warm() as place:
            for _ in range(2):
                self.run("clock set back", place, "quote")
                for each in (place.path / "cache").rglob("*"):
                    os.utime(each, (time.time() + 4e7, time.time() + 4e7))

    def surroundings(self) -> None:
        """No home, no locale, no environment at all but the path, other letters, optimised byte code."""
        kinds: dict[str, dict[str, str]] = {
            "no home": {"HOME": "-", "PREVIEW_CACHE": "-", "XDG_CACHE_HOME": "-"},
            "a home that is not there": {"HOME": "/nowhere/at/all", "PREVIEW_CACHE": "-", "XDG_CACHE_HOME": "-"},
            "no locale": {"LC_ALL": "C", "LANG": "-", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
            "an unknown locale": {"LC_ALL": "xx_YY.UTF-8"},
            "latin letters": {"PYTHONIOENCODING": "latin-1"},
            "optimised": {"PYTHONOPTIMIZE": "2"},
            "no cache": {"PREVIEW_CACHE": "off"},
            "a cache that is a file": {"PREVIEW_CACHE": "room.toml"},
        }
        for what, environment in kinds.items():
            for name in COMMANDS:
                self.right(name)
                with self.warm(**environment) as place:
                    status, words = self.run(what, place, name)
                    if status:
                        self.judge(f"{what}, {name}", [f"exit {status}: {words}"])

    def homeless(self) -> None:
        """Users who have no home, or none that they may enter: nothing but `live` needs one."""
        nothing = {name: "-" for name in ("HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME", "PREVIEW_CACHE")}
        for who, (user, more) in HOMELESS.items():
            if not can_be_started(self.python, user):
                self.say(f"{who}: left out, may not start {self.python} here; name another with --python")
                continue
            alone = {"user": user, "group": user, "extra_groups": []}
            for name in COMMANDS:
                with self.open_to_all({**nothing, **more}) as place:
                    status, words = self.run(who, place, name, **alone)
                    if status:
                        self.judge(f"{who}, {name}", [f"exit {status}: {words}"])
            for cache in ("-", "off", "kept"):
                with self.open_to_all({**nothing, **more, "PREVIEW_CACHE": cache}) as place:
                    run = place.start("live", "room.toml", "--no-browser", **alone)
                    self.served(f"{who}, PREVIEW_CACHE={cache}, live", run, place, cache == "kept")

    @contextmanager
    def open_to_all(self, environment: Mapping[str, str]) -> Iterator[House]:
        """Yield a house with a warm cache in which everybody may write, with the Python that everybody may start."""
        with self.warm(**environment) as place:
            place.python = self.python
            for each in (place.path, *place.path.rglob("*")):
                each.chmod(0o777)
            yield place

    def served(self, what: str, run: subprocess.Popen[bytes], place: House, kept: bool) -> None:
        """Judge a `live`: it serves its page where what is not saved can be kept, else says in a line that it can't."""
        assert run.stdout is not None
        page = None
        if address := run.stdout.readline().decode().strip():
            browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
            with browser.open(address, timeout=60) as answer:
                page = answer.status
            run.send_signal(signal.SIGTERM)
        _, error = run.communicate()
        wrong = faults_of(run.returncode, error, {k: v for k, v in place.made().items() if k[:4] != "kept"}, {})
        if (page, run.returncode) != ((200, 0) if kept else (None, 2)):
            wrong.append(f"page {page}, exit {run.returncode}: {error!r}")
        if not kept and (error.count(b"\n") != 1 or b"PREVIEW_CACHE" not in error):
            wrong.append(f"said {error!r}")
        if left := place.left():
            wrong.append(f"left {left}")
        self.judge(what, wrong)

    def streams(self) -> None:
        """Standard input, output or error closed; output into a full disk, or to a reader who has gone."""
        for name in COMMANDS:
            for number in (0, 1, 2):
                right = self.right(name)
                with self.warm() as place:
                    run = place.start(*COMMANDS[name], preexec_fn=lambda number=number: os.close(number))
                    _, error = run.communicate()
                    made = place.made()
                    wrong = faults_of(0, error, made, right)
                    if (run.returncode != 0) != (number == 1):
                        wrong.append(f"exit {run.returncode}: {error!r}")
                    self.judge(f"stream {number} closed, {name}", wrong)
            right = self.right(name)
            for stream, status in (("stdout", 1), ("stderr", 0)):
                with self.warm() as place, Path("/dev/full").open("wb") as full:
                    run = place.start(*COMMANDS[name], **{stream: full})
                    _, error = run.communicate()
                    wrong = faults_of(0, error or b"", place.made(), right)
                    wrong += [f"exit {run.returncode}: {error!r}"] if run.returncode != status else []
                    self.judge(f"{stream} into a full disk, {name}", wrong)
        for arguments in (("check", "room.toml"), ("lay", "room.toml"), ("schema",), ("materials",)):
            with self.warm() as place, Path("/dev/full").open("wb") as full:
                run = place.start(*arguments, stdout=full)
                _, error = run.communicate()
                wrong = faults_of(run.returncode, error, {}, {})
                if run.returncode != 1 or b"standard output" not in error:
                    wrong.append(f"exit {run.returncode}: {error!r}")
                self.judge(f"output full, {arguments[0]}", wrong)
            with self.warm() as place:
                run = place.start(*arguments)
                assert run.stdout is not None and run.stderr is not None
                run.stdout.close()
                error = run.stderr.read()
                run.wait()
                self.judge(f"reader gone, {arguments[0]}", [f"said {error!r}"] if error else [])
        with self.warm() as place:
            for arguments in (("new", "new.toml"), ("check", "-")):
                run = place.start(*arguments, preexec_fn=lambda: os.close(0))
                _, error = run.communicate()
                wrong = faults_of(run.returncode, error, place.made(), {})
                self.judge(f"input closed, {arguments[0]}", wrong if run.returncode == 2 else [*wrong, f"{error!r}"])


NEED_DISKS = ("full", "read_only")


def main() -> int:
    """Run the faults that are asked for; return the exit status."""
    known = [name for name, each in vars(Faults).items() if callable(each) and name not in OWN]
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("names", nargs="*", choices=[[], *known], help="which, by default all")
    asked.add_argument("--runs", type=int, default=12, help="of what is random")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--python", default=sys.executable, help="one that every user may start, with the libraries")
    given = asked.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # or disks and folders would stay
    faults = Faults(given.runs, given.seed, lambda words: print(words, flush=True), given.python)  # noqa: T201
    disks = can_mount()
    for name in given.names or known:
        if name in NEED_DISKS and not disks:
            faults.say(f"{name}: left out, no disks can be made here")
            continue
        before, begun = (faults.count, faults.wrong), time.monotonic()
        getattr(faults, name)()
        count, wrong = faults.count - before[0], faults.wrong - before[1]
        faults.say(f"{name}: {count} runs, {wrong} wrong, {time.monotonic() - begun:.0f} s")
    return min(faults.wrong, 1)


OWN = ("__init__", "warm", "right", "judge", "run", "open_to_all", "served")

if __name__ == "__main__":
    sys.exit(main())
