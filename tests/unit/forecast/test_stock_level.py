import numpy as np
import pytest
from scipy import stats

from wearmodel.forecast.stock_level import (
    demand_cdf,
    expected_backorders,
    expected_on_hand,
    fill_rate,
    ready_rate,
    stock_level,
)

COUNTS = np.arange(0, 300)


@pytest.mark.parametrize("mean", [0.01, 1.0, 12.5, 150.0])
def test_poisson_against_scipy(mean: float) -> None:
    assert demand_cdf(COUNTS, mean=mean) == pytest.approx(stats.poisson.cdf(COUNTS, mean), abs=1e-12)
    assert demand_cdf(COUNTS, mean=mean, variance=mean) == pytest.approx(
        stats.poisson.cdf(COUNTS, mean), abs=1e-12
    )


def test_large_means_keep_their_digits() -> None:
    counts = np.arange(99_000, 101_000, 111)
    assert demand_cdf(counts, mean=100_000.0) == pytest.approx(stats.poisson.cdf(counts, 100_000.0), abs=1e-8)


@pytest.mark.parametrize(("mean", "variance"), [(3.0, 6.0), (0.5, 50.0), (40.0, 41.0), (20.0, 2_000.0)])
def test_negative_binomial_against_scipy(mean: float, variance: float) -> None:
    size = mean**2 / (variance - mean)
    expected = stats.nbinom.cdf(COUNTS, size, mean / variance)
    assert demand_cdf(COUNTS, mean=mean, variance=variance) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(("trials", "chance"), [(1, 0.2), (5, 0.3), (12, 0.5), (30, 0.9)])
def test_binomial_against_scipy(trials: int, chance: float) -> None:
    found = demand_cdf(COUNTS, mean=trials * chance, variance=trials * chance * (1.0 - chance))
    assert found == pytest.approx(stats.binom.cdf(COUNTS, trials, chance), abs=1e-12)


@pytest.mark.parametrize(
    ("mean", "variance"), [(3.3, 2.0), (0.5, 0.3), (2.4, 0.24), (7.0, 0.0), (4.06, 2.8802), (3.0, 2.999), (5.0, 9.0)]
)
def test_moments_are_matched(mean: float, variance: float) -> None:
    chances = np.diff(demand_cdf(COUNTS, mean=mean, variance=variance), prepend=0.0)
    assert chances.min() >= 0.0
    assert chances.sum() == pytest.approx(1.0, abs=1e-12)
    assert COUNTS @ chances == pytest.approx(mean, abs=1e-9)
    assert (COUNTS - mean) ** 2 @ chances == pytest.approx(variance, abs=1e-9)


def test_a_variance_too_small_for_whole_numbers_counts_as_the_least() -> None:
    # By hand: mean 2.5 on whole numbers is at best 2 or 3 with even chances.
    found = demand_cdf([1, 2, 3], mean=2.5, variance=0.1)
    assert found == pytest.approx([0.0, 0.5, 1.0], abs=1e-9)


def test_laws_pass_into_each_other() -> None:
    near = [demand_cdf(COUNTS, mean=6.0, variance=6.0 * ratio) for ratio in (1 - 1e-6, 1.0, 1 + 1e-6)]
    assert near[0] == pytest.approx(near[1], abs=2e-6)
    assert near[2] == pytest.approx(near[1], abs=2e-6)


def test_counts_between_and_below_whole_numbers() -> None:
    assert demand_cdf([-1.0, -0.5, 2.7, 1e12], mean=3.0) == pytest.approx(
        [0.0, 0.0, float(stats.poisson.cdf(2, 3.0)), 1.0]
    )


def test_stock_level_against_scipy() -> None:
    mean = np.random.default_rng(5).gamma(1.5, 4.0, 10_000)
    assert np.array_equal(stock_level(mean, service_level=0.95), stats.poisson.ppf(0.95, mean))
    size = mean / 1.5
    assert np.array_equal(
        stock_level(mean, service_level=0.99, variance=2.5 * mean), stats.nbinom.ppf(0.99, size, 1 / 2.5)
    )


def test_stock_level_is_the_least_that_serves() -> None:
    mean = np.array([0.2, 1.0, 4.4, 30.0])[:, None]
    variance = mean * np.array([0.5, 1.0, 3.0])
    level = stock_level(mean, service_level=0.9, variance=variance)
    assert np.all(demand_cdf(level, mean=mean, variance=variance) >= 0.9)
    assert np.all(demand_cdf(level - 1.0, mean=mean, variance=variance) < 0.9)


def test_stock_level_at_its_ends() -> None:
    assert stock_level(0.0, service_level=0.99) == 0.0
    assert stock_level(3.0, service_level=0.0) == 0.0
    assert stock_level([0.5, 1e5], service_level=1.0 - 1e-16).tolist()[0] < 40.0
    assert stock_level(2.0, service_level=0.9, variance=np.nan) == stock_level(2.0, service_level=0.9)


def test_more_service_and_more_spread_never_need_less() -> None:
    levels = stock_level(5.0, service_level=np.linspace(0.5, 0.999, 80))
    assert np.all(np.diff(levels) >= 0.0)
    spread = stock_level(5.0, service_level=0.95, variance=np.linspace(0.0, 40.0, 80))
    assert spread[-1] > spread[0]


def test_parts_waiting_and_on_hand_against_sums() -> None:
    for mean, variance, law in [
        (3.0, 3.0, stats.poisson(3.0)),
        (4.0, 10.0, stats.nbinom(16.0 / 6.0, 0.4)),
        (6.0, 3.0, stats.binom(12, 0.5)),
    ]:
        chances = law.pmf(COUNTS)
        for stock in (0, 2, 5, 11):
            waiting = np.maximum(COUNTS - stock, 0) @ chances
            shelf = np.maximum(stock - COUNTS, 0) @ chances
            assert expected_backorders(stock, mean=mean, variance=variance) == pytest.approx(waiting, abs=1e-10)
            assert expected_on_hand(stock, mean=mean, variance=variance) == pytest.approx(shelf, abs=1e-10)


def test_fill_rate_is_one_part_behind_the_ready_rate() -> None:
    stock = np.arange(1, 12)
    assert fill_rate(stock, mean=4.0) == pytest.approx(ready_rate(stock - 1, mean=4.0))
    assert fill_rate(0, mean=4.0) == 0.0


def test_one_wide_row_among_many_narrow_ones() -> None:
    # The laws of all rows at once would not fit into memory: 40,000 rows of 100,000 counts.
    mean = np.full(40_000, 2.0)
    mean[7] = 90_000.0
    level = stock_level(mean, service_level=0.95)
    assert level[7] == stats.poisson.ppf(0.95, 90_000.0)
    assert np.all(np.delete(level, 7) == 5.0)


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        ({"mean": -1.0}, "mean demand"),
        ({"mean": 1e6}, "mean demand"),
        ({"mean": np.nan}, "mean demand"),
        ({"mean": 1.0, "variance": -2.0}, "variance"),
        ({"mean": 1.0, "variance": 5_000.0}, "variance"),
        ({"mean": 1.0, "service_level": 1.0}, "service level"),
        ({"mean": 1.0, "service_level": -0.1}, "service level"),
    ],
)
def test_refused_inputs(terms: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        stock_level(**({"service_level": 0.95} | terms))


def test_refused_stock() -> None:
    with pytest.raises(ValueError, match="stock"):
        expected_on_hand(-1.0, mean=2.0)
