"""A real cluster of two worker processes on this machine, reached by loopback alone."""

import os
import signal
import threading
import time

import dask
import pytest
from distributed import LocalCluster

from wearmodel.cluster import on_cluster
from wearmodel.one_thread import one_thread


@pytest.fixture(scope="package")
def workers():
    """The cluster; a piece that kills two workers is given to no further one."""
    with (
        dask.config.set({"distributed.scheduler.allowed-failures": 1}),
        LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1",
            silence_logs=60,
        ) as cluster,
    ):  # fmt: skip
        yield cluster


@pytest.fixture
def on_workers_of_a_cluster(workers):
    with one_thread("scipy.linalg"), on_cluster(workers.scheduler_address):
        yield workers


@pytest.fixture
def kill_a_worker(workers):
    """Kills one of the worker processes once that many tasks have been done from now on; True when it did."""
    watches = []

    def kill_after(tasks):
        begun, done = total(workers), []

        def watch():
            end = time.monotonic() + 60
            while total(workers) < begun + tasks and time.monotonic() < end:
                time.sleep(0.005)
            if total(workers) >= begun + tasks:
                os.kill(next(iter(workers.workers.values())).pid, signal.SIGKILL)
                done.append(True)

        watches.append(threading.Thread(target=watch))
        watches[-1].start()
        return done

    yield kill_after
    for watch in watches:
        watch.join()


def total(cluster):
    """Tasks that the scheduler has had done."""
    return cluster.scheduler.transition_counter
