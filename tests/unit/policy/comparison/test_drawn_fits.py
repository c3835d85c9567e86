"""Many sets of weights fitted at once give what separate fits give."""

from dataclasses import replace

import numpy as np
import pytest

from wearmodel.policy.comparison.drawn_fits import drawn_tops
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_stretched_life_data


def mixed_lives(rng, count=260):
    """Lives of every kind: late entry, looks, raised half-way, censored."""
    heavy = rng.random(count) < 0.4
    turn = np.where(rng.random(count) < 0.5, rng.uniform(0.1, 0.9, count), np.inf)
    begun_raised = rng.random(count) < 0.2
    worn = np.exp(-0.4 * heavy) * rng.weibull(2.1, count)
    late = np.minimum(turn, worn)
    end = late + (worn - late) * 0.6
    end = np.where(begun_raised, worn * 0.6, end)
    stop = np.minimum(end, rng.uniform(0.3, 1.6, count))
    failed = end <= stop
    entry = np.where(rng.random(count) < 0.3, rng.uniform(0.0, 0.5, count), 0.0)
    found = rng.random(count) < 0.4
    low = np.where(failed & found, stop * 0.9, stop)
    kept = low > entry
    life, begins, ends, rows = [], [], [], []
    for number, which in enumerate(np.flatnonzero(kept)):
        cut = np.isfinite(turn[which]) and not begun_raised[which] and turn[which] < low[which]
        pieces = [(0.0, turn[which], 0.0), (turn[which], np.inf, 1.0)] if cut else [
            (0.0, np.inf, float(begun_raised[which]))
        ]
        for begin, stop_at, raised in pieces:
            life.append(number)
            begins.append(begin)
            ends.append(stop_at)
            rows.append([1.0, raised, float(heavy[which])])
    return build_stretched_life_data(
        life=life, segment_from=begins, segment_to=ends, design=rows, entry=entry[kept], stop_low=low[kept],
        stop_high=np.where(failed, stop, np.inf)[kept],
    )  # fmt: skip


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_tops_are_those_of_separate_fits(seed):
    rng = np.random.default_rng(seed)
    data = mixed_lives(rng)
    assert data.exact.any() and data.interval.any() and data.entered.any()
    assert len(data.life) > data.lives
    prior = np.array([0.0, 1.0, 0.1])
    start = fit_lives(data, prior_precision=prior).values
    times = rng.multinomial(data.lives, np.full(data.lives, 1.0 / data.lives), size=40)
    weights = times * rng.uniform(0.5, 2.0, (40, 1))
    found = drawn_tops(data, weights=weights, start=start, precision=np.append(prior, 0.0))
    for drawn, values in zip(weights, found, strict=True):
        alone = fit_lives(replace(data, weight=drawn), prior_precision=prior, clustered=False)
        assert values == pytest.approx(alone.values, abs=2e-5)


def test_a_start_far_away_ends_on_the_same_top():
    data = mixed_lives(np.random.default_rng(4))
    prior = np.array([0.0, 1.0, 0.1])
    top = fit_lives(data, prior_precision=prior).values
    start = top + np.array([0.6, -0.8, 0.5, 0.4])
    away = drawn_tops(data, weights=np.ones((1, data.lives)), start=start, precision=np.append(prior, 0.0))
    assert away[0] == pytest.approx(top, abs=1e-5)
