"""The command that makes many rooms at once."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

from preview.batch.batch_record import NAME, BatchRecord
from preview.batch.cluster import made_there
from preview.batch.making import driver_here
from preview.batch.room_files import MakeKind, gather_rooms
from preview.batch.workers import made_here
from preview.cache import program_version
from preview.commands.progress import progress
from preview.errors import RenderError, UsageError
from preview.files import check_file

KINDS: tuple[MakeKind, ...] = ("pictures", "quote", "card", "page")


def make_batch(
    scenes: Sequence[Path],
    make: str,
    details: Path | None,
    materials: Path | None,
    jobs: int | None,
    scheduler: str | None,
    out: Path,
    remark: Callable[[str], None],
) -> Path:
    """Make pictures, quotes, cards and pages of many scenes, and return the path of the record of what was made.

    make: of `KINDS`, with commas between. jobs: how many are made at once, half as many as there are processor cores
    where None. scheduler: the address of a scheduler whose workers make them instead. What an earlier run finished, of
    the same files and by the same version, is not made again.

    Raises:
        UsageError: wrong use, or results can't be written.
        RenderError: something could not be made; all else was.
    """
    kinds = _kinds(make)
    if jobs is not None and jobs < 1:
        raise UsageError(f"--jobs {jobs}: give 1 or more")
    rooms = gather_rooms(scenes, details, materials)
    check_file(out / NAME, NAME, [each.scene for each in rooms])
    version = program_version()
    record = BatchRecord(out, version)
    asked = [(room, what) for what in kinds for room in rooms]  # a room's light is found once, before its papers
    wanted = [each for each in asked if not record.is_whole(*each)]
    if len(wanted) < len(asked):
        remark(f"{len(asked) - len(wanted)} of {len(asked)} are there already")
    started, failed, drivers = time.monotonic(), [], set[str]()
    source = (
        made_here(wanted, version, jobs or max(1, (os.cpu_count() or 1) // 2))
        if scheduler is None
        else made_there(wanted, version, scheduler)
    )
    with closing(source), progress(len(wanted), "making", "made") as step:
        for (room, what), made in source:
            record.take(room, what, made)
            drivers |= {made.driver} if made.driver else set()
            step(f"{room.folder}, {what}")
            if made.failed:
                failed.append(f"{room.scene}, {what}")
                remark(f"{room.scene}: {what}: not made: {made.words.removeprefix('preview: ')}")
            else:
                remark(f"{room.scene}: {what} made in {made.seconds:.0f} s")
    if others := sorted(drivers - {driver_here()} if drivers else ()):
        remark(
            f"drawn by another driver than this machine's, single pixels may differ from what its own commands draw: "
            f"{'; '.join(others)} ({NAME} says which)"
        )
    if wanted:
        remark(f"{len(wanted) - len(failed)} made, {len(failed)} not, in {time.monotonic() - started:.0f} s")
    if failed:
        raise RenderError(f"not made: {'; '.join(failed)}; see {record.path}")
    return record.path


def _kinds(text: str) -> tuple[MakeKind, ...]:
    names = [each.strip() for each in text.split(",")]
    for each in names:
        if each not in KINDS:
            raise UsageError(f'--make: "{each}" is none of {", ".join(KINDS)}; give some, with commas between')
    return tuple(each for each in KINDS if each in names)
