"""Sources of every figure: the README beside this file."""

import numpy as np
import pytest

from wearmodel.forecast.stock_level import (
    demand_cdf,
    expected_backorders,
    expected_on_hand,
    fill_rate,
    ready_rate,
    stock_level,
)

HALF_LAST_PLACE = 5e-7
STOCK = [3, 4, 5, 6, 7, 8]


def test_ready_and_fill_rate_are_one_step_apart() -> None:
    # Source: Poisson law of the parts on order, Palm's theorem.
    ready = [0.647232, 0.815263, 0.916082, 0.966491, 0.988095, 0.996197]
    fill = [0.423190, 0.647232, 0.815263, 0.916082, 0.966491, 0.988095]
    assert ready_rate(STOCK, mean=3.0) == pytest.approx(ready, abs=HALF_LAST_PLACE)
    assert fill_rate(STOCK, mean=3.0) == pytest.approx(fill, abs=HALF_LAST_PLACE)


def test_expected_backorders_and_parts_on_hand() -> None:
    # Source: as above.
    waiting = [0.672125, 0.319357, 0.134621, 0.050703, 0.017194, 0.005290]
    shelf = [0.672125, 1.319357, 2.134621, 3.050703, 4.017194, 5.005290]
    assert expected_backorders(STOCK, mean=3.0) == pytest.approx(waiting, abs=HALF_LAST_PLACE)
    assert expected_on_hand(STOCK, mean=3.0) == pytest.approx(shelf, abs=HALF_LAST_PLACE)


def test_stock_level_is_the_first_row_that_serves() -> None:
    # Source: the ready rates above; 0.916 at 5 and 0.966 at 6.
    wanted = [0.64, 0.65, 0.9, 0.95, 0.99]
    assert stock_level(3.0, service_level=wanted).tolist() == [3.0, 4.0, 5.0, 6.0, 8.0]


def test_bursts_of_demand() -> None:
    # Source: negative binomial, mean 3, variance 6, by hand; 95 % quantile 8 against 6 for Poisson.
    chances = np.diff(demand_cdf(np.arange(-1, 6), mean=3.0, variance=6.0))
    assert chances == pytest.approx([0.125, 0.1875, 0.1875, 0.15625, 0.1171875, 0.08203125], rel=1e-12)
    assert stock_level(3.0, service_level=0.95, variance=6.0) == 8.0


def test_forty_units_of_different_age() -> None:
    # Source: distribution of the sum by convolution, outside this package; Poisson asks for one more.
    wanted = [0.5, 0.8, 0.9, 0.95]
    assert stock_level(4.06, service_level=wanted, variance=2.8802).tolist() == [4.0, 5.0, 6.0, 7.0]
    assert stock_level(4.06, service_level=wanted).tolist() == [4.0, 6.0, 7.0, 8.0]
