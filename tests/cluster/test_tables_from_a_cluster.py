"""The commands with --cluster: tables equal those of one machine, also where a worker is killed meanwhile."""

import socket
import sys
import threading
from importlib import metadata

import numpy as np
import pytest

from wearmodel import cluster
from wearmodel.cli import main
from wearmodel.errors import ClusterError
from wearmodel.fleet_model import build_coded_fleet, fit_coded
from wearmodel.forecast import futures
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import order_by_content, read_fleet
from wearmodel.one_thread import one_thread
from wearmodel.processes import HeldBlocks, each
from wearmodel.survival import component_fits
from wearmodel.survival.unknown_ages import mixed_frailty


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """An invented fleet of 150 vehicles: lines without a position, parts of unknown age, vehicles that wear unlike."""
    place = tmp_path_factory.mktemp("fleet") / "fleet"
    assert main(["simulate", str(place), "--vehicles", "150", "--years", "3", "--seed", "5"]) == 0
    return place


def test_a_plan_is_the_same_to_the_last_byte_with_a_worker_killed_meanwhile(
    workers, folder, tmp_path, monkeypatch, kill_a_worker
):
    """All result tables; the draws of futures in blocks, so that workers share them as well."""
    monkeypatch.setattr(futures, "_MOST_ROWS", 100_000)
    plan = ["plan", str(folder), "--months", "6", "--earlier-forecasts", "0"]
    killed = []
    with one_thread("scipy.linalg"):
        for place, shared in (("1", ["--workers", "1"]), ("2", ["--cluster", workers.scheduler_address])):
            (tmp_path / place).mkdir()
            killed = kill_a_worker(40) if "--cluster" in shared else []
            written = ["--out", str(tmp_path / place / "p.xlsx"), "--tables", str(tmp_path / place / "t")]
            assert main([*plan, *shared, *written]) == 0
    assert killed
    names = sorted(path.name for path in (tmp_path / "1" / "t").iterdir())
    assert len(names) > 30
    for name in names:
        assert (tmp_path / "1" / "t" / name).read_bytes() == (tmp_path / "2" / "t" / name).read_bytes(), name


def test_fits_over_held_vehicles_are_those_of_one_machine(
    folder, on_workers_of_a_cluster, monkeypatch, kill_a_worker
):
    """To the last bit for the same blocks of vehicles, to 1e-8 for others; a worker that held some is killed."""
    fleet = order_by_content(read_fleet(folder))
    coded = build_coded_fleet(fleet, build_histories(fleet)).coded
    chosen = {"u_joint": coded["u_joint"]}
    passes = []
    each_of = HeldBlocks.each
    monkeypatch.setattr(HeldBlocks, "each", lambda self, *given: passes.append(self.are_here) or each_of(self, *given))

    def fitted(vehicles, *, shared):
        monkeypatch.setattr(mixed_frailty, "_VEHICLES_AT_ONCE", vehicles)
        passes.clear()
        with monkeypatch.context() as own:
            own.setattr(component_fits, "_LIVES_OF_A_WORKER", 0)
            if not shared:
                own.setattr("wearmodel.processes._elsewhere", _Nowhere())
            model = fit_coded(fleet, chosen)["u_joint"]
        assert passes and any(passes) is not shared
        return model

    one = fitted(1024, shared=False)
    assert one.frailty_variance > 0
    here = fitted(70, shared=False)
    killed = kill_a_worker(60)
    there = fitted(70, shared=True)
    assert killed and there == here
    for other in (there, fitted(32, shared=True)):
        for name in ("values", "covariance", "frailty_covariance", "log_likelihood"):
            np.testing.assert_allclose(getattr(other, name), getattr(one, name), rtol=1e-8, atol=1e-8)


class _Nowhere:
    """In the place of the variable that says where work goes."""

    def get(self):
        return None


def fails(capsys, *arguments):
    """Exit 2, one sentence on standard error, nothing on standard output."""
    capsys.readouterr()
    assert main([str(a) for a in arguments]) == 2
    output = capsys.readouterr()
    assert output.out == "" and output.err.count("\n") == 1
    return output.err


@pytest.mark.parametrize("address", ["", "here", "10.0.0.5", "host:0", "host:65536", "http://host:80", "host:8786/x"])
def test_what_is_no_address_is_refused(address, folder, capsys):
    assert "is no address of a scheduler" in fails(capsys, "fit", folder, "--cluster", address)


def test_an_address_in_full():
    assert cluster.check_address("host-1.example:8786") == "tcp://host-1.example:8786"
    assert cluster.check_address("tls://[::1]:8786") == "tls://[::1]:8786"


@pytest.mark.parametrize("kind", ["closed", "silent", "other"])
def test_no_scheduler_there(kind, folder, tmp_path, capsys, monkeypatch):
    """A closed port, one that nobody answers, and one that answers something else."""
    monkeypatch.setattr(cluster, "_PATIENCE", 1)
    with socket.create_server(("127.0.0.1", 0)) as server:
        address = f"127.0.0.1:{server.getsockname()[1]}"
        if kind == "closed":
            server.close()
        if kind == "other":
            threading.Thread(target=_answer_otherwise, args=(server,), daemon=True).start()
        told = fails(capsys, "plan", folder, "--cluster", address, "--out", tmp_path / "p.xlsx")
    assert f"No scheduler of a Dask cluster answers at tcp://{address} within 1 s" in told
    assert not (tmp_path / "p.xlsx").exists()


def _answer_otherwise(server):
    peer, _ = server.accept()
    peer.sendall(b"HTTP/1.1 400 Bad Request\r\nContent-Length: 0\r\n\r\n" * 20)
    peer.close()


def test_a_cluster_without_workers(cluster_of, folder, capsys):
    with cluster_of(0) as empty:
        told = fails(capsys, "backtest", folder, "--cluster", empty.scheduler_address)
    assert "has no workers; start some with 'dask worker" in told


def test_workers_with_other_versions(workers, folder, capsys, monkeypatch):
    real = metadata.version
    monkeypatch.setattr(metadata, "version", lambda name: "9.9" if name == "numpy" else real(name))
    monkeypatch.setattr(cluster, "own_standing", cluster.own_standing.__wrapped__)
    assert f"has numpy {real('numpy')}, this run has 9.9" in fails(
        capsys, "fit", folder, "--cluster", workers.scheduler_address
    )


def test_a_worker_without_wearmodel_and_one_that_goes_away():
    """The first is one sentence; in place of the second others may come, which are asked with every piece."""

    class Client:
        def __init__(self, answer):
            self.answer = answer

        def nthreads(self):
            return {"tcp://127.0.0.1:1": 1}

        def run(self, function, on_error):
            return {"tcp://127.0.0.1:1": self.answer}

    with pytest.raises(ClusterError, match="cannot load wearmodel"):
        cluster._check_workers(Client(ModuleNotFoundError("No module named 'wearmodel'")), "tcp://127.0.0.1:2")
    cluster._check_workers(Client(OSError("Stream is closed")), "tcp://127.0.0.1:2")
    cluster._check_workers(Client(cluster.own_standing()), "tcp://127.0.0.1:2")


def test_a_worker_is_no_scheduler(workers, folder, capsys):
    address = next(iter(workers.workers.values())).worker_address
    assert "is no scheduler but a Worker" in fails(capsys, "fit", folder, "--cluster", address)


def test_without_dask(folder, capsys, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert "pip install 'wearmodel[cluster]'" in fails(capsys, "fit", folder, "--cluster", "127.0.0.1:8786")


def test_processes_of_this_machine_and_a_cluster_are_not_both_meant(folder, capsys):
    told = fails(capsys, "fit", folder, "--cluster", "127.0.0.1:8786", "--workers", "2")
    assert "leave --workers out" in told


def test_a_scheduler_that_goes_away_is_one_sentence(cluster_of):
    lost = cluster_of(1)

    def slow(number):
        sum(range(30_000_000))
        return number

    gone = pytest.raises(ClusterError, match=r"The scheduler of the cluster at .* is gone")
    with gone, cluster.on_cluster(lost.scheduler_address):
        threading.Timer(0.5, lost.close).start()
        each(slow, range(20))
