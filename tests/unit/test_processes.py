"""Work shared among processes: the same results whatever their number, errors and killed processes."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.csv_text import csv_pieces
from wearmodel.errors import InputError
from wearmodel.processes import available_cores, each, on_workers

ROOT = Path(__file__).parents[2]
forks = pytest.mark.skipif(sys.platform != "linux", reason="work is shared out among forks, on Linux alone")


@pytest.mark.parametrize("workers", [1, 2, 5])
def test_results_in_order_and_the_same_to_the_last_bit(workers):
    def drawn(number):
        return np.random.default_rng(number).standard_normal(1000 * number + 1)

    expected = [drawn(number) for number in range(7)]
    with on_workers(workers):
        found = each(drawn, range(7), sizes=list(range(7)))
    assert all((a == b).all() for a, b in zip(found, expected, strict=True))


@forks
def test_more_than_one_process_works():
    def slow(_):
        total = 0.0
        for i in range(200_000):
            total += i
        return os.getpid()

    with on_workers(2):
        assert len(set(each(slow, range(8)))) == 2


def test_one_process_unless_asked():
    assert set(each(lambda _: os.getpid(), range(4))) == {os.getpid()}
    assert available_cores() >= 1


@forks
def test_shared_work_shares_nothing_out_further():
    def inner(_):
        return set(each(lambda _: os.getpid(), range(3))), os.getpid()

    with on_workers(2):
        assert all(inside == {own} for inside, own in each(inner, range(4)))


@pytest.mark.parametrize("workers", [1, 2])
def test_the_first_error_is_raised_as_it_was(workers):
    def refuse(number):
        if number in (2, 3):
            raise InputError([f"row {number} cannot be used."])
        return number

    with on_workers(workers), pytest.raises(InputError) as caught:
        each(refuse, range(5), sizes=[1, 2, 3, 4, 5])
    assert list(caught.value.problems) == ["row 2 cannot be used."]


@forks
def test_work_of_a_killed_process_is_done_here():
    own = os.getpid()

    def work(number):
        if os.getpid() != own:
            os.kill(os.getpid(), signal.SIGKILL)
        for _ in range(300_000):
            pass
        return number**2

    with on_workers(3):
        assert each(work, range(9)) == [number**2 for number in range(9)]


def test_no_items_and_one():
    with on_workers(4):
        assert each(str, []) == []
        assert each(str, [3]) == ["3"]


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize("count", [0, 1, 120_001])
def test_pieces_are_the_whole_table(count, workers):
    rng = np.random.default_rng(1)
    table = pd.DataFrame(
        {
            "unit": [f"Ä-{i}, \"{i}\"" for i in range(count)],
            "age": rng.random(count) * 1e5,
            "day": pd.to_datetime(rng.integers(0, 9000, count), unit="D"),
        }
    )
    with on_workers(workers):
        text = b"".join(csv_pieces(table, float_format="%.10g"))
    assert text == table.to_csv(index=False, float_format="%.10g", lineterminator="\n").encode("utf-8")


@forks
def test_a_plan_is_the_same_for_any_number_of_processes(tmp_path):
    """Every table byte by byte, a fleet with frailty, open lines and unknown ages."""
    folder = tmp_path / "fleet"
    simulate = ["simulate", str(folder), "--vehicles", "60", "--years", "6", "--seed", "5"]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-m", "wearmodel", *simulate], check=True, env=environment, capture_output=True)
    for workers in ("1", "2"):
        place = tmp_path / workers
        place.mkdir()
        subprocess.run(
            [sys.executable, "-m", "wearmodel", "plan", str(folder), "--workers", workers,
             "--out", str(place / "p.xlsx"), "--tables", str(place / "t")],
            check=True, env=environment, capture_output=True,
        )  # fmt: skip
    names = sorted(path.name for path in (tmp_path / "1" / "t").iterdir())
    assert len(names) > 30
    for name in names:
        assert (tmp_path / "1" / "t" / name).read_bytes() == (tmp_path / "2" / "t" / name).read_bytes(), name
