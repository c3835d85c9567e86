"""Sources of every figure: the README beside this file."""

import numpy as np
import pytest
from scipy import stats

from wearmodel.forecast.order_policy import StockTerms, fill_rate, order_quantity, reorder_point

#: Holding and standing cost a day, order quantity, demand a day, lead time in days; the reorder point of least cost.
CASES = [
    (0.01, 320.0, 5, 0.1, 30.0, 10),
    (1.0, 19.0, 1, 3.0, 1.0, 5),
    (1.0, 19.0, 6, 3.0, 1.0, 4),
    (0.5, 12.0, 10, 2.4, 1.25, 3),
    (2.0, 9.0, 4, 8.0, 1.5, 13),
]


def poisson_counts(mean: float, count: int = 2_000_000) -> np.ndarray:
    """Counts that follow a Poisson law as nearly as so many can: its quantiles."""
    shares = stats.poisson.cdf(np.arange(200), mean)
    return np.searchsorted(shares, (np.arange(count) + 0.5) / count)


@pytest.mark.parametrize(("holding", "standing", "quantity", "rate", "lead", "expected"), CASES)
def test_the_cost_of_a_vehicle_standing(
    holding: float, standing: float, quantity: int, rate: float, lead: float, expected: int
) -> None:
    terms = StockTerms(0.5, measure="standing", holding_rate=365.25 * holding, standing_cost=standing)
    found = reorder_point(poisson_counts(rate * lead), quantity=quantity, price=1.0, terms=terms)
    assert found == expected


def test_orders_of_one_are_the_newsvendor() -> None:
    terms = StockTerms(0.5, measure="standing", holding_rate=365.25, standing_cost=19.0)
    assert reorder_point(poisson_counts(3.0), quantity=1.0, price=1.0, terms=terms) + 1.0 == 6.0


def test_economic_order_quantity() -> None:
    for cost, price, yearly, expected in ((20.0, 12.5, 120.0, 43.817605), (15.0, 80.0, 50.0, 9.682458)):
        found = order_quantity(yearly / 12.0, pack=1.0, price=price, terms=StockTerms(0.95, order_cost=cost))
        assert found == np.round(expected)


@pytest.mark.parametrize("quantity", [1, 4, 9])
def test_fill_rate_is_the_mean_over_the_levels_stock_takes(quantity: int) -> None:
    counts = poisson_counts(3.0)
    for reorder in range(8):
        levels = np.arange(reorder + 1, reorder + quantity + 1)
        expected = stats.poisson.cdf(levels - 1, 3.0).mean()
        assert fill_rate(counts, reorder=reorder, quantity=quantity) == pytest.approx(expected, abs=2e-5)


@pytest.mark.parametrize("quantity", [1, 4, 9])
@pytest.mark.parametrize("level", [0.8, 0.95, 0.99])
def test_the_reorder_point_is_the_first_to_reach_the_fill_rate(quantity: int, level: float) -> None:
    counts = poisson_counts(3.0)
    found = reorder_point(counts, quantity=quantity, price=1.0, terms=StockTerms(level, measure="fill"))
    assert fill_rate(counts, reorder=found, quantity=quantity) >= level
    assert found == 0 or fill_rate(counts, reorder=found - 1, quantity=quantity) < level
