"""Many sets of weights fitted at once give what separate fits give."""

from dataclasses import replace

import numpy as np
import pytest

from wearmodel.policy.comparison import drawn_fits
from wearmodel.policy.comparison.drawn_fits import DrawnWeights, drawn_tops
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


def as_drawn(weights):
    """A plain table of weights: every life a cell of its own."""
    sets, lives = weights.shape
    return DrawnWeights(
        own=np.ones(lives), cell=np.arange(lives), of_cell=weights.astype(float),
        vehicle=np.zeros(lives, dtype=int), times=np.ones((sets, 1)), scale=np.ones(sets),
    )  # fmt: skip


@pytest.mark.parametrize("at_once", [2048, 50])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_tops_are_those_of_separate_fits(seed, at_once, monkeypatch):
    monkeypatch.setattr(drawn_fits, "_LIVES_AT_ONCE", at_once)
    rng = np.random.default_rng(seed)
    data = mixed_lives(rng)
    assert data.exact.any() and data.interval.any() and data.entered.any()
    assert len(data.life) > data.lives
    prior = np.array([0.0, 1.0, 0.1])
    start = fit_lives(data, prior_precision=prior).values
    times = rng.multinomial(data.lives, np.full(data.lives, 1.0 / data.lives), size=40)
    weights = times * rng.uniform(0.5, 2.0, (40, 1))
    found = drawn_tops(data, weights=as_drawn(weights), start=start, precision=np.append(prior, 0.0))
    for drawn, values in zip(weights, found, strict=True):
        alone = fit_lives(replace(data, weight=drawn), prior_precision=prior, clustered=False)
        assert values == pytest.approx(alone.values, abs=2e-5)


def test_a_start_far_away_ends_on_the_same_top():
    data = mixed_lives(np.random.default_rng(4))
    prior = np.array([0.0, 1.0, 0.1])
    top = fit_lives(data, prior_precision=prior).values
    start = top + np.array([0.6, -0.8, 0.5, 0.4])
    away = drawn_tops(data, weights=as_drawn(np.ones((1, data.lives))), start=start, precision=np.append(prior, 0.0))
    assert away[0] == pytest.approx(top, abs=1e-5)


def test_weights_told_by_their_parts():
    rng = np.random.default_rng(5)
    own, cell, vehicle = rng.uniform(0.1, 1.0, 30), rng.integers(4, size=30), rng.integers(6, size=30)
    of_cell, times = rng.uniform(0.5, 2.0, (8, 4)), rng.integers(3, size=(8, 6)).astype(float) + 0.5
    weights = DrawnWeights(own, cell, of_cell, vehicle, times, np.ones(8)).scaled(30.0)
    plain = of_cell[:, cell] * times[:, vehicle]
    plain *= (30.0 / (plain @ own))[:, None]
    assert weights.of(np.arange(8), slice(None)) == pytest.approx(own * plain, rel=1e-12)
    assert weights.some(slice(3, None)).of(np.array([1]), slice(10, 20)) == pytest.approx((own * plain)[4:5, 10:20])
