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
def cluster_of():
    """Makes a cluster of so many worker processes, none of whose ports is open beyond this machine."""

    def made(count):
        return LocalCluster(
            n_workers=count, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address="127.0.0.1:0",
            silence_logs=60,
        )  # fmt: skip

    return made


@pytest.fixture(scope="package")
def workers(cluster_of):
    """The cluster; a piece that kills two workers is given to no further one."""
    with dask.config.set({"distributed.scheduler.allowed-failures": 1}), cluster_of(2) as cluster:
        yield cluster


@pytest.fixture
def on_workers_of_a_cluster(workers):
    restore(workers)
    with one_thread("scipy.linalg"), on_cluster(workers.scheduler_address):
        yield workers


def restore(cluster):
    """Two workers again: one that was killed while it started may have been given up for good."""
    try:
        cluster.wait_for_workers(2, timeout=30)
    except TimeoutError:
        cluster.scale(0)
        cluster.scale(2)
        cluster.wait_for_workers(2, timeout=120)


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
