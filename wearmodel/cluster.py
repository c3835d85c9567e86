"""Work shared out among the workers of a Dask cluster: the extra `cluster`.

The workers see none of this process's tables. The function of shared work goes to each of them once, with the tables it
closes over; pieces then name what they are about. A piece whose worker dies is given to another by the scheduler; what
the cluster cannot bring back after all is done by this process. Functions, tables and results travel as the library
sends them between processes of one cluster, all of which trust each other; nothing of that kind is read from a file.
"""

import hashlib
import logging
import math
import re
import sys
import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache, partial
from importlib import import_module, metadata
from itertools import cycle
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wearmodel.errors import ClusterError
from wearmodel.one_thread import one_thread
from wearmodel.processes import attempt, working_elsewhere

if TYPE_CHECKING:
    from wearmodel.cluster_parcels import Parcel

__all__ = ["Standing", "check_address", "on_cluster", "own_standing"]

#: Seconds within which a scheduler has to answer.
_PATIENCE = 5
_ADDRESS = re.compile(r"(?:(tcp|tls)://)?([\w.-]+|\[[0-9A-Fa-f:.]+\]):(\d{1,5})")
#: What the last digits of results depend on, beside the code itself.
_LIBRARIES = ("numpy", "scipy", "pandas", "scikit-learn")
#: Times that blocks are laid up anew when the worker that held them is gone.
_TRIES = 3
#: Lots of blocks for each worker: the last ones to finish are then waited for less long.
_LOTS_A_WORKER = 2
#: Seconds after which it is looked whether there are workers left, and for which a cluster may be without any.
_LOOK_EVERY, _PATIENCE_WITHOUT_WORKERS = 10, 60
_LOST = object()

Standing = tuple[tuple[str, str], ...]
"""Names and versions of what a process computes with."""


def check_address(address: str) -> str:
    """Address of a scheduler in full.

    Parameters
    ----------
    address : str
        Such as `host:8786` or `tls://host:8786`.

    Returns
    -------
    str
        With its protocol.

    Raises
    ------
    ClusterError
        If it is none.
    """
    found = _ADDRESS.fullmatch(address)
    if found is None or not 0 < int(found[3]) < 65_536:
        raise ClusterError(
            f"--cluster '{address}' is no address of a scheduler; write host and port, such as tcp://10.0.0.5:8786."
        )
    return f"{found[1] or 'tcp'}://{found[2]}:{found[3]}"


@cache
def own_standing() -> Standing:
    """What this process computes with.

    Returns
    -------
    tuple of tuple of str
        Name and version; of wearmodel a digest of its code, as a version outlives many a change.
    """
    root, digest = Path(__file__).parent, hashlib.sha256()
    for path in sorted(root.rglob("*.py")):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes())
    python = ".".join(map(str, sys.version_info[:2]))
    own = [("Python", python), ("wearmodel", f"{metadata.version('wearmodel')} ({digest.hexdigest()[:12]})")]
    return (*own, *((name, metadata.version(name)) for name in _LIBRARIES))


@contextmanager
def on_cluster(address: str) -> Iterator[None]:
    """Context within which work goes to the workers of a cluster.

    Parameters
    ----------
    address : str
        Of its scheduler.

    Raises
    ------
    ClusterError
        If Dask is not installed, no scheduler answers, it has no workers, or they compute with other versions; and
        within the context, if the scheduler is gone.
    """
    address = check_address(address)
    try:
        distributed = import_module("distributed")
    except ImportError:
        raise ClusterError(
            "--cluster needs Dask, which is not installed; pip install 'wearmodel[cluster]', or leave --cluster out."
        ) from None
    log = logging.getLogger("distributed")
    before = log.level
    # The library would tell of what is told here in a sentence.
    log.setLevel(logging.CRITICAL + 1)
    try:
        client = _connected(distributed, address)
        try:
            _check_workers(client, address)
            with working_elsewhere(_Cluster(distributed, client, address)):
                yield
        finally:
            client.close()
    finally:
        log.setLevel(before)


def _connected(distributed: Any, address: str) -> Any:
    """A client of the scheduler."""
    try:
        kind = _who_answers(distributed, address)
        if kind != "Scheduler":
            raise ClusterError(f"What answers at {address} is no scheduler but a {kind}; mend the address.")
        with warnings.catch_warnings():
            # Versions are compared here, and not those of packages that results do not depend on.
            warnings.simplefilter("ignore", import_module("distributed.versions").VersionMismatchWarning)
            return distributed.Client(address, timeout=_PATIENCE, set_as_default=False)
    except ClusterError:
        raise
    except Exception as error:
        # What answers there may be anything, and the library raises whatever it makes of the answer.
        raise ClusterError(
            f"No scheduler of a Dask cluster answers at {address} within {_PATIENCE} s ({type(error).__name__}); "
            "start one with 'dask scheduler', or mend the address."
        ) from None


def _who_answers(distributed: Any, address: str) -> str:
    """Kind of the process at an address; a client would wait for ever where nobody says a word."""
    utils = import_module("distributed.utils")

    async def kind() -> str:
        async with distributed.rpc(address) as other:
            identity = await utils.wait_for(other.identity(), _PATIENCE)
            return str(identity["type"])

    runner = utils.LoopRunner()
    runner.start()
    try:
        return str(runner.run_sync(kind))
    finally:
        runner.stop()


def _check_workers(client: Any, address: str) -> None:
    """Refuse a cluster without workers, or with workers unlike this run."""
    if not client.nthreads():
        raise ClusterError(f"The cluster at {address} has no workers; start some with 'dask worker {address}'.")
    own = own_standing()
    for worker, found in sorted(client.run(own_standing, on_error="return").items()):
        if isinstance(found, OSError):
            # It went away while it was asked; one that comes in its place is asked with every piece.
            continue
        if isinstance(found, Exception):
            raise ClusterError(
                f"The worker {worker} cannot load wearmodel ({found}); give it the environment of this run."
            )
        _check_standing(worker, found, own)


def _check_standing(worker: str, found: Standing, own: Standing) -> None:
    """Refuse a worker that would compute other last digits, or could not read what it is sent."""
    for (name, theirs), (_, mine) in zip(found, own, strict=True):
        if theirs != mine:
            raise ClusterError(
                f"The worker {worker} has {name} {theirs}, this run has {mine}: its results would not be the same; "
                "give it the environment of this run."
            )


class _Cluster:
    """The workers of one cluster, see `wearmodel.processes.Elsewhere`."""

    def __init__(self, distributed: Any, client: Any, address: str) -> None:
        self._client, self._address, self._killed = client, address, distributed.KilledWorker
        # How a future ends whose data or scheduler is gone.
        self._lost = import_module("distributed.client").CancelledError

    @property
    def workers(self) -> int:
        return max(len(self.addresses()), 1)

    def addresses(self) -> list[str]:
        """Of the workers that are there now."""
        with self._speaking():
            return sorted(self._client.nthreads())

    def begin(
        self, function: Callable[[Any], Any], items: Sequence[Any], order: Sequence[int]
    ) -> Callable[[], dict[int, tuple[bool, Any]]]:
        if not order:
            return dict
        return partial(self._brought_back, self._submitted(function, items, order), function, items)

    def _submitted(self, function: Callable[[Any], Any], items: Sequence[Any], order: Sequence[int]) -> dict[int, Any]:
        """Futures of pieces; the function is laid up with as many workers as there is work for, two at least."""
        sent = self.laid_up(function, self.addresses()[: max(len(order), 2)])
        with self._speaking():
            return {
                i: self._client.submit(_piece, sent, items[i], own_standing(), pure=False, priority=-rank)
                for rank, i in enumerate(order)
            }

    def _brought_back(
        self, futures: dict[int, Any], function: Callable[[Any], Any], items: Sequence[Any]
    ) -> dict[int, tuple[bool, Any]]:
        """Results of pieces; those whose function was lost are sent again, those that kill workers are left out."""
        found: dict[int, tuple[bool, Any]] = {}
        for _ in range(_TRIES):
            results = {i: self.result(future) for i, future in futures.items()}
            found.update({i: result for i, result in results.items() if isinstance(result, tuple)})
            again = [i for i, result in results.items() if result is _LOST]
            if not again:
                break
            futures = self._submitted(function, items, again)
        return found

    def laid_up(self, thing: Any, workers: Sequence[str]) -> Any:
        """A future of something that some workers have; all of them where one of those is gone meanwhile."""
        from wearmodel.cluster_parcels import Parcel

        chosen = list(workers) or None
        for _ in range(_TRIES):
            with self._speaking():
                try:
                    [sent] = self._client.scatter(
                        [Parcel(thing)], workers=chosen, broadcast=True, hash=False, timeout=_PATIENCE_WITHOUT_WORKERS
                    )
                    return sent
                except TimeoutError:
                    break
                except (KeyError, OSError):
                    # A worker was gone before, or while it was being sent something.
                    chosen = None
        raise self._deserted()

    def _deserted(self) -> ClusterError:
        return ClusterError(
            f"All workers of the cluster at {self._address} are gone, and none came back within "
            f"{_PATIENCE_WITHOUT_WORKERS} s; start some with 'dask worker {self._address}', then run this again."
        )

    def over_blocks(self, blocks: Any, worker: str, function: Callable[..., Any], arguments: tuple[Any, ...]) -> Any:
        """A future of the results for blocks that a worker has."""
        with self._speaking():
            return self._client.submit(
                _over, blocks, function, arguments, own_standing(), pure=False, workers=[worker] if worker else None,
                allow_other_workers=bool(worker),
            )  # fmt: skip

    def result(self, future: Any) -> Any:
        """What a future brought; `_LOST` where its data is gone, None where it ended one worker after the other."""
        alone_since = None
        while True:
            with self._speaking():
                try:
                    return future.result(timeout=_LOOK_EVERY).thing
                except self._killed:
                    return None
                except self._lost:
                    return _LOST
                except TimeoutError:
                    pass
            alone_since = (alone_since or time.monotonic()) if not self.addresses() else None
            if alone_since is not None and time.monotonic() - alone_since > _PATIENCE_WITHOUT_WORKERS:
                raise self._deserted()

    @contextmanager
    def _speaking(self) -> Iterator[None]:
        """Say in a sentence that the scheduler is gone, whatever the library makes of it."""
        try:
            yield
        finally:
            if self._client.status != "running":
                raise ClusterError(
                    f"The scheduler of the cluster at {self._address} is gone; start it again, then run this again."
                ) from None

    def hold(self, blocks: Sequence[Any]) -> "_Held":
        size = math.ceil(len(blocks) / (self.workers * _LOTS_A_WORKER))
        return _Held(self, [blocks[at : at + size] for at in range(0, len(blocks), size)])


class _Held:
    """Lots of blocks, each with one worker."""

    def __init__(self, cluster: _Cluster, lots: Sequence[Sequence[Any]]) -> None:
        self._cluster, self._lots = cluster, lots
        self._places: list[tuple[Any, str] | None] = [None] * len(lots)

    def __call__(self, function: Callable[..., Any], arguments: tuple[Any, ...]) -> list[Any]:
        """Results of a function for each block; lots that cannot be had elsewhere are worked on here."""
        found: dict[int, Any] = {}
        for _ in range(_TRIES):
            self._lay_up()
            asked = {
                i: self._cluster.over_blocks(*place, function, arguments)
                for i, place in enumerate(self._places)
                if place is not None and i not in found
            }
            for i, future in asked.items():
                result = self._cluster.result(future)
                if isinstance(result, tuple):
                    found[i] = result
                else:
                    self._places[i] = None
            if len(found) == len(self._lots):
                break
        out: list[Any] = []
        for i, lot in enumerate(self._lots):
            done, results = found[i] if i in found else (True, [function(block, *arguments) for block in lot])
            if isinstance(results, Exception) and not done:
                raise results
            out += results
        return out

    def _lay_up(self) -> None:
        """Lay up what is not with any worker, by turns."""
        missing = [i for i, place in enumerate(self._places) if place is None]
        workers = self._cluster.addresses() if missing else []
        for i, worker in zip(missing, cycle(workers or [""]), strict=False):
            self._places[i] = (self._cluster.laid_up(self._lots[i], workers and [worker]), worker)


def _piece(sent: "Parcel", item: Any, wanted: Standing) -> "Parcel":
    """One piece of work, by a worker."""
    return _by_a_worker(sent.thing, (item,), wanted)


def _over(sent: "Parcel", function: Callable[..., Any], arguments: tuple[Any, ...], wanted: Standing) -> "Parcel":
    """A function of each of some blocks, by a worker."""

    def over_all(function: Callable[..., Any], arguments: tuple[Any, ...]) -> list[Any]:
        return [function(block, *arguments) for block in sent.thing]

    return _by_a_worker(over_all, (function, arguments), wanted)


def _by_a_worker(work: Callable[..., Any], given: tuple[Any, ...], wanted: Standing) -> "Parcel":
    """Result of work, or what it raised; a worker that joined since the beginning may be unlike the run."""
    from wearmodel.cluster_parcels import Parcel, laid_straight

    def checked(given: tuple[Any, ...]) -> Any:
        _check_standing("that joined the cluster", own_standing(), wanted)
        with one_thread("scipy.linalg"):
            return work(*laid_straight(given))

    return Parcel(attempt(checked, given))
