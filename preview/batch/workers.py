"""Who makes what a batch asks for: processes of this machine."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed

from preview.batch.making import Children, MadeResult, make
from preview.batch.room_files import MakeKind, RoomFiles

RoomTask = tuple[RoomFiles, MakeKind]


def made_here(
    wanted: Sequence[RoomTask], version: str, jobs: int
) -> Generator[tuple[RoomTask, MadeResult], None, None]:
    """Yield what was made, as it is finished, by at most `jobs` processes at once; all end where the caller stops."""
    children = Children()
    with ThreadPoolExecutor(jobs) as threads:
        futures = {threads.submit(make, *each, version, children): each for each in wanted}
        try:
            for future in as_completed(futures):
                yield futures[future], future.result()
        finally:
            children.end()
            threads.shutdown(wait=False, cancel_futures=True)
