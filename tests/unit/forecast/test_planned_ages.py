"""The backlog of a plan: who is past the planned age, and when each is renewed, by hand and by counting."""

from dataclasses import replace

import numpy as np
import pytest

from wearmodel.forecast.planned_ages import planned_ages
from wearmodel.forecast.usage import Usage
from wearmodel.survival.age_distribution import AgePoints
from workbook.example_model import EXAMPLE_MODEL

SCALE = 100_000.0
OWN = replace(EXAMPLE_MODEL.components["u_joint"], values=(np.log(SCALE), np.log(2.5)))
MODEL = replace(EXAMPLE_MODEL, components={"u_joint": OWN})


def plan(make_parts, ages, *, limit, running, spread_months):
    ages, running = np.asarray(ages, dtype=float), np.asarray(running, dtype=float)
    months = running.shape[1]
    usage = Usage(
        tuple(f"m{i}" for i in range(months)), np.full(months, 30.0), running, 0.0, np.ones(len(ages), dtype=bool)
    )
    points = AgePoints(psi=ages[:, None] / SCALE, weight=np.ones((len(ages), 1)))
    return planned_ages(
        {"u_joint": np.broadcast_to(np.asarray(limit, dtype=float), len(ages))}, fitted={"u_joint": make_parts(ages)},
        points={"u_joint": points}, model=MODEL, usage=usage, spread_months=spread_months,
    )["u_joint"]  # fmt: skip


def test_the_farthest_past_their_age_go_first_evenly_spread(make_parts):
    """Three are past it by 30,000, 10,000 and 60,000: their turns are after 3, 5 and 1 of six months."""
    running = np.outer([1000.0, 2000.0, 3000.0, 4000.0], np.ones(12))
    got = plan(make_parts, [130e3, 110e3, 160e3, 50e3], limit=100e3, running=running, spread_months=6.0)
    assert got.late.tolist() == [True, True, True, False]
    assert got.wait == pytest.approx([3 * 1000.0, 5 * 2000.0, 1 * 3000.0, 0.0])


def test_at_once_nobody_waits_and_without_a_limit_nobody_is_late(make_parts):
    running = np.full((2, 12), 1000.0)
    at_once = plan(make_parts, [130e3, 150e3], limit=[100e3, np.inf], running=running, spread_months=0.0)
    assert at_once.late.tolist() == [True, False] and at_once.wait.tolist() == [0.0, 0.0]


def test_as_many_are_renewed_in_each_month_whatever_they_run(make_parts):
    """Every part is followed month by month until it has run what it waits for."""
    rng = np.random.default_rng(5)
    running = rng.uniform(200.0, 5000.0, (60, 12))
    got = plan(make_parts, rng.uniform(101e3, 200e3, 60), limit=100e3, running=running, spread_months=6.0)
    renewed_in = []
    for vehicle in range(60):
        left, month = got.wait[vehicle], 0
        while left > running[vehicle, month]:
            left, month = left - running[vehicle, month], month + 1
        renewed_in.append(month)
    assert np.bincount(renewed_in, minlength=12).tolist() == [10] * 6 + [0] * 6


def test_a_backlog_spread_beyond_the_months_ahead_does_not_pile_up_at_their_end(make_parts):
    """Of four turns, 3, 9, 15 and 21 months from now, two come after the twelve months that are looked at."""
    running = np.outer([1000.0, 2000.0, 3000.0, 4000.0], np.ones(12))
    got = plan(make_parts, [190e3, 180e3, 170e3, 160e3], limit=100e3, running=running, spread_months=24.0)
    assert got.wait == pytest.approx([3 * 1000.0, 9 * 2000.0, 15 * 3000.0, 21 * 4000.0])
