"""Croston's rule and its relatives on the series of the README."""

from itertools import pairwise

import numpy as np
import pytest

from wearmodel.forecast.baselines import croston, moving_average, same_month_last_year, sba, tsb

SERIES = np.array([[0, 0, 3, 0, 0, 1, 0, 2, 0, 0, 0, 4, 0, 0, 1, 0, 0, 0, 0, 2]])
SIX_ZEROS = np.hstack([SERIES, np.zeros((1, 6), dtype=int)])


def test_reference_values():
    """Reference series: Croston 0.80947601, Syntetos-Boylan 0.76900221, Teunter-Syntetos-Babai 0.80193231."""
    assert croston(SERIES)[0] == pytest.approx(0.80947601, abs=5e-9)
    assert sba(SERIES)[0] == pytest.approx(0.76900221, abs=5e-9)
    assert tsb(SERIES)[0] == pytest.approx(0.80193231, abs=5e-9)


def test_six_more_months_without_demand():
    """Croston's rule does not move without a demand; the chance of one falls (reference 0.42617971)."""
    assert croston(SIX_ZEROS)[0] == croston(SERIES)[0]
    assert tsb(SIX_ZEROS)[0] == pytest.approx(0.42617971, abs=5e-9)


def by_hand(series, smoothing):
    """Croston's rule demand by demand."""
    places = np.flatnonzero(series)
    size, interval = float(series[places[0]]), places[0] + 1.0
    for before, now in pairwise(places):
        size += smoothing * (series[now] - size)
        interval += smoothing * (now - before - interval)
    return size / interval


@pytest.mark.parametrize("seed", range(5))
def test_many_series_at_once_are_each_as_by_hand(seed):
    rng = np.random.default_rng(seed)
    series = rng.poisson(0.4, (30, 60))
    series[:, 5] += 1
    expected = [by_hand(row, 0.2) for row in series]
    np.testing.assert_allclose(croston(series, smoothing=0.2), expected, rtol=1e-12)
    np.testing.assert_allclose(sba(series, smoothing=0.2), np.multiply(expected, 0.9), rtol=1e-12)


def test_nothing_taken_is_nothing_foreseen():
    none = np.zeros((2, 24), dtype=int)
    for rule in (moving_average, croston, sba, tsb):
        assert rule(none).tolist() == [0.0, 0.0]
    assert moving_average(np.zeros((2, 0))).tolist() == [0.0, 0.0]


def test_last_year_is_repeated_month_by_month():
    past = np.arange(30)[None, :]
    ahead = same_month_last_year(past, 14)[0]
    assert ahead.tolist() == [*range(18, 30), 18, 19]
    assert same_month_last_year(past[:, :6], 2)[0].tolist() == [2.5, 2.5]
