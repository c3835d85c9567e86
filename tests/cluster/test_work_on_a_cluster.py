"""Work shared out among two worker processes of a real cluster: the same results, errors, killed workers."""

import os
import signal

import numpy as np
import pytest

from wearmodel import cluster, processes
from wearmodel.errors import ClusterError, InputError
from wearmodel.processes import HeldBlocks, each, each_by_threads


def test_results_in_order_and_the_same_to_the_last_bit(on_workers_of_a_cluster):
    table = np.random.default_rng(1).standard_normal(200_000)

    def drawn(number):
        return table[number:].sum() * np.random.default_rng(number).standard_normal(1000 * number + 1), os.getpid()

    found = each(drawn, range(7), sizes=list(range(7)))
    with_threads = each_by_threads(drawn, range(7), threads=2)
    expected = [drawn(number)[0] for number in range(7)]
    for results in (found, with_threads):
        assert all((a == b).all() for (a, _), b in zip(results, expected, strict=True))
        assert os.getpid() not in {pid for _, pid in results}


def test_arrays_lie_as_numpy_lays_its_own(on_workers_of_a_cluster):
    """Tables, items, arguments, blocks and results; numpy adds arrays up in another order where they lie crooked."""
    table, odd = np.random.default_rng(2).standard_normal((300, 1000)), "x" * 13
    items = [np.random.default_rng(i).standard_normal(1000 + i) for i in range(3)]

    def lie(item, *arguments):
        return [bool(a.flags.aligned and a.flags.writeable) for a in (table, item, *arguments)], odd, item + 1.0

    found = each(lie, items) + HeldBlocks(items).each(lie, items[0], items[1])
    for straight, _, result in found:
        assert all(straight) and result.flags.aligned
    for i, result in enumerate(result for *_, result in found[:3]):
        assert (result == items[i] + 1.0).all() and result.sum() == (items[i] + 1.0).sum()


def test_nothing_is_shared_out_further_and_light_work_stays(on_workers_of_a_cluster):
    def inner(_):
        return set(each(lambda _: os.getpid(), range(3))), os.getpid()

    assert all(inside == {own} for inside, own in each(inner, range(4)))
    assert set(each(lambda _: os.getpid(), range(4), near=True)) == {os.getpid()}
    assert each(lambda _: os.getpid(), [1]) == [os.getpid()]
    by_far = each(lambda _: os.getpid(), range(4), wide=lambda number: number == 2)
    assert [pid == os.getpid() for pid in by_far] == [False, False, True, False]


def test_the_first_error_is_raised_as_it_was(on_workers_of_a_cluster):
    def refuse(number):
        if number in (2, 3):
            raise InputError([f"row {number} cannot be used.", "Mend it."])
        return number

    with pytest.raises(InputError) as caught:
        each(refuse, range(5), sizes=[1, 2, 3, 4, 5])
    assert caught.value.problems == ("row 2 cannot be used.", "Mend it.")


def test_the_piece_of_a_killed_worker_is_done_by_another(on_workers_of_a_cluster, tmp_path):
    own = os.getpid()

    def work(number):
        if number == 3:
            try:
                (tmp_path / "once").touch(exist_ok=False)
                os.kill(os.getpid(), signal.SIGKILL)
            except FileExistsError:
                pass
        return number**2, os.getpid()

    found = each(work, range(9))
    assert (tmp_path / "once").exists()
    assert [square for square, _ in found] == [number**2 for number in range(9)]
    assert own not in {pid for _, pid in found}


def test_a_piece_that_kills_every_worker_is_done_here(on_workers_of_a_cluster):
    own = os.getpid()

    def work(number):
        if number == 1 and os.getpid() != own:
            os.kill(os.getpid(), signal.SIGKILL)
        return number**2

    assert each(work, range(4)) == [0, 1, 4, 9]


def test_what_a_worker_has_lost_is_sent_again(on_workers_of_a_cluster, monkeypatch):
    """A function that one worker alone had is gone with it."""
    monkeypatch.setattr(cluster._Cluster, "addresses", lambda self: sorted(self._client.nthreads())[:1])
    by_address = {nanny.worker_address: nanny.pid for nanny in on_workers_of_a_cluster.workers.values()}
    elsewhere = processes._elsewhere.get()

    def slow(number):
        sum(range(3_000_000))
        return number**2

    wait = elsewhere.begin(slow, range(6), range(6))
    os.kill(by_address[min(by_address)], signal.SIGKILL)
    assert wait() == {number: (True, number**2) for number in range(6)}


@pytest.mark.parametrize("gone", [KeyError("tcp://127.0.0.1:1"), OSError("Stream is closed")])
def test_a_worker_that_goes_while_it_is_sent_something(on_workers_of_a_cluster, monkeypatch, gone):
    """What the library raises where a worker died before, and while, a function was on its way to it."""
    client, asked = processes._elsewhere.get()._client, []
    real = client.scatter

    def scatter(things, *, workers, **terms):
        asked.append(workers)
        if len(asked) == 1:
            raise gone
        return real(things, workers=workers, **terms)

    monkeypatch.setattr(client, "scatter", scatter)
    assert each(lambda number: number**2, range(3)) == [0, 1, 4]
    assert len(asked) == 2 and asked[1] is None


def test_held_blocks_outlive_their_worker(on_workers_of_a_cluster):
    blocks = [np.random.default_rng(i).standard_normal(1000) for i in range(5)]
    held = HeldBlocks(blocks)

    def passed_over(block, power):
        return float((np.abs(block) ** power).sum()), os.getpid()

    for power in (1.0, 2.0, 3.0):
        found = held.each(passed_over, power)
        assert [value for value, _ in found] == [passed_over(block, power)[0] for block in blocks]
        assert os.getpid() not in {pid for _, pid in found} and not held.are_here
        if power == 1.0:
            os.kill(found[0][1], signal.SIGKILL)


def test_an_error_over_held_blocks_is_raised_as_it_was(on_workers_of_a_cluster):
    def refuse(block):
        raise InputError(f"block {block} cannot be used.")

    with pytest.raises(InputError, match=r"^block 0 cannot be used\.$"):
        HeldBlocks([0, 1, 2]).each(refuse)


def test_a_worker_that_joins_later_and_is_unlike_does_nothing():
    mine = cluster.own_standing()
    done, error = cluster._by_a_worker(str, (1,), (*mine[:2], ("numpy", "0.1"), *mine[3:])).thing
    assert not done and isinstance(error, ClusterError)
    assert "has numpy" in str(error) and "this run has 0.1" in str(error)
    assert cluster._by_a_worker(str, (1,), mine).thing == (True, "1")
