"""A Dask cluster of this machine, for tests: two workers; says its address and their process numbers, and waits."""

import os
import sys

from distributed import Client, LocalCluster


def process_number():
    return os.getpid()


if __name__ == "__main__":
    cluster = LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None)
    with Client(cluster) as client:
        numbers = sorted(client.run(process_number).values())
    sys.stdout.write(" ".join(map(str, (cluster.scheduler_address, *numbers))) + "\n")
    sys.stdout.flush()
    sys.stdin.read()
    cluster.close()
