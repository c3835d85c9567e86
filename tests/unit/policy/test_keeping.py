"""Cost of keeping a part when visits come by: quadrature, closed forms, and a brute-force simulation of two parts."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from wearmodel.policy.age_replacement import cost_rate, optimal_interval
from wearmodel.policy.keeping import keeping_values
from wearmodel.survival.weibull import mean_life

NEVER = np.inf


def survival(age, shape):
    return np.exp(-(age**shape))


@pytest.mark.parametrize(("shape", "limit"), [(1.4, 2.0), (2.5, 0.6), (2.5, NEVER), (0.8, NEVER)])
def test_without_visits_it_is_the_renewal_reward_formula(shape, limit):
    """Second answer: expected cost to the next renewal less g times the run to it, by adaptive quadrature."""
    found = keeping_values(shape=[shape], planned_cost=[100.0], failed_cost=[320.0], limit=[limit], cells=4000)
    rate = float(cost_rate(limit, shape=shape, scale=1.0, planned_cost=100.0, failed_cost=320.0))
    assert found.rate[0] == pytest.approx(rate, rel=2e-4)
    end = min(limit, 30.0 ** (1.0 / shape))
    for age in (0.1, 0.35, 0.55):
        reached = survival(limit, shape) / survival(age, shape) if np.isfinite(limit) else 0.0
        run = quad(survival, age, end, args=(shape,))[0] / survival(age, shape)
        expected = 320.0 * (1.0 - reached) + 100.0 * reached - rate * run
        assert found.at(np.array([0]), np.array([age]))[0] == pytest.approx(expected, abs=0.3)


def test_the_usual_grid_is_fine_enough():
    terms = {"shape": [2.4], "planned_cost": [100.0], "failed_cost": [320.0], "visit_rates": 0.8, "visit_costs": 55.0}
    for limit in (0.7, NEVER):
        usual, fine = (keeping_values(**terms, limit=[limit], cells=cells) for cells in (240, 6000))
        assert usual.rate[0] == pytest.approx(fine.rate[0], rel=2e-4)
        assert usual.control_limit(55.0)[0] == pytest.approx(fine.control_limit(55.0)[0], rel=2e-3)


@pytest.mark.parametrize("visits", [0.0, 2.0])
def test_a_part_that_does_not_age_is_never_worth_renewing(visits):
    found = keeping_values(
        shape=[1.0], planned_cost=[100.0], failed_cost=[320.0], limit=[NEVER], visit_rates=visits, visit_costs=1.0
    )
    np.testing.assert_allclose(found.values, 0.0, atol=1e-9)
    assert found.control_limit(1.0)[0] == NEVER
    younger = keeping_values(shape=[0.7], planned_cost=[100.0], failed_cost=[320.0], limit=[NEVER])
    assert younger.values.max() <= 1e-9


def test_lives_of_one_length_give_proportional_limits():
    """Every part lasts 1: kept to failure it costs c_f, of which age u has used the share u."""
    found = keeping_values(shape=[400.0], planned_cost=[100.0], failed_cost=[320.0], limit=[NEVER], cells=4000)
    assert found.control_limit(80.0)[0] == pytest.approx(80.0 / 320.0, rel=0.01)
    planned = keeping_values(shape=[400.0], planned_cost=[100.0], failed_cost=[320.0], limit=[0.9], cells=4000)
    assert planned.control_limit(40.0)[0] == pytest.approx(0.9 * 40.0 / 100.0, rel=0.01)


def best_control_limit(*, shape, failed, cost, rate, planned=0.0, limit=NEVER):
    """Least cost rate over control limits: from the limit on a part ends by failure or by a visit, by quadrature."""
    end = min(limit, 40.0 ** (1.0 / shape))

    def lasts(age, start):
        return np.exp(-(age**shape) - rate * max(age - start, 0.0))

    def per_clock(start):
        early = quad(lasts, 0.0, start, args=(start,))[0]
        late = quad(lasts, start, end, args=(start,))[0]
        visited = rate * late
        reached = lasts(limit, start) if np.isfinite(limit) else 0.0
        return (cost * visited + planned * reached + failed * (1.0 - visited - reached)) / (early + late)

    best = minimize_scalar(per_clock, bounds=(0.0, end), method="bounded", options={"xatol": 1e-7})
    return best.x, best.fun


@pytest.mark.parametrize(
    ("shape", "rate", "limit"), [(2.5, 0.7, NEVER), (1.6, 2.0, NEVER), (3.0, 0.3, 0.55), (60.0, 1.5, NEVER)]
)
def test_visits_against_the_best_control_limit(shape, rate, limit):
    """Second answer: the cost rate of every control limit by quadrature, and the least of them."""
    found = keeping_values(
        shape=[shape], planned_cost=[100.0], failed_cost=[320.0], limit=[limit], visit_rates=rate, visit_costs=60.0,
        cells=4000,
    )  # fmt: skip
    start, least = best_control_limit(shape=shape, failed=320.0, cost=60.0, rate=rate, planned=100.0, limit=limit)
    assert found.rate[0] == pytest.approx(least, rel=3e-4)
    assert found.control_limit(60.0)[0] == pytest.approx(start, rel=5e-3)


def test_lives_of_one_length_with_visits_in_closed_form():
    """A cycle from the limit t on: length t + (1 - e)/r, cost c (1 - e) + f e, with e = exp(-r (1 - t))."""
    rate, cost, failed = 1.5, 60.0, 320.0
    start = np.linspace(0.0, 1.0, 20_001)
    missed = np.exp(-rate * (1.0 - start))
    per_clock = (cost * (1.0 - missed) + failed * missed) / (start + (1.0 - missed) / rate)
    found = keeping_values(
        shape=[500.0], planned_cost=[100.0], failed_cost=[failed], limit=[NEVER], visit_rates=rate, visit_costs=cost,
        cells=4000,
    )  # fmt: skip
    assert found.rate[0] == pytest.approx(per_clock.min(), rel=3e-3)
    assert found.control_limit(cost)[0] == pytest.approx(start[per_clock.argmin()], rel=2e-2)


def test_two_kinds_of_visits_make_one_of_the_same_cost():
    one = keeping_values(
        shape=[2.0], planned_cost=[9.0], failed_cost=[30.0], limit=[0.8], visit_rates=0.9, visit_costs=5.0
    )
    two = keeping_values(
        shape=[2.0], planned_cost=[9.0], failed_cost=[30.0], limit=[0.8], visit_rates=[[0.4, 0.5]],
        visit_costs=[[5.0, 5.0]],
    )  # fmt: skip
    np.testing.assert_allclose(one.rate, two.rate, rtol=1e-3)


def simulated_pair(start, *, shape, failed, cost, lives, rng):
    """Mean cost per clock of two like parts, each run to failure; the other is renewed with it from an age on."""
    runs = lives.shape[1]
    age, life, drawn = np.zeros((2, runs)), lives[:2].copy(), 2
    spent, clock = np.zeros(runs), np.zeros(runs)
    column = np.arange(runs)
    while drawn + 2 <= len(lives):
        first = np.argmin(life - age, axis=0)
        step = (life - age)[first, column]
        age += step
        clock += step
        other = 1 - first
        along = age[other, column] > start
        spent += failed + cost * along
        age[first, column], life[first, column] = 0.0, lives[drawn]
        age[other, column] = np.where(along, 0.0, age[other, column])
        life[other, column] = np.where(along, lives[drawn + 1], life[other, column])
        drawn += 2
    return spent.sum() / clock.sum(), (spent - spent.sum() / clock.sum() * clock).std() / clock.mean() / np.sqrt(runs)


@pytest.mark.parametrize(("shape", "cost"), [(2.5, 90.0), (1.5, 60.0), (3.5, 150.0)])
def test_rule_on_two_real_parts_is_as_good_as_the_best_found_by_brute_force(shape, cost):
    """The visits of one part are the failures of the other, not random: the rule loses next to nothing by it."""
    failed = 320.0
    found = keeping_values(
        shape=[shape], planned_cost=[200.0], failed_cost=[failed], limit=[NEVER],
        visit_rates=1.0 / float(mean_life(shape=shape, scale=1.0)), visit_costs=cost,
    )  # fmt: skip
    rng = np.random.default_rng(11)
    lives = rng.weibull(shape, size=(400, 3000))
    terms = {"shape": shape, "failed": failed, "cost": cost, "lives": lives, "rng": rng}
    limits = np.linspace(0.0, 2.0, 21)
    rates = [simulated_pair(start, **terms)[0] for start in limits]
    own, error = simulated_pair(float(found.control_limit(cost)[0]), **terms)
    alone = 2.0 * failed / float(mean_life(shape=shape, scale=1.0))
    assert own < min(rates) * 1.005 + 2.0 * error
    assert own < alone - 4.0 * error
    assert simulated_pair(NEVER, **terms)[0] == pytest.approx(alone, rel=0.01)


def test_two_parts_that_do_not_age_are_best_left_alone_by_brute_force():
    lives = np.random.default_rng(12).weibull(1.0, size=(400, 2000))
    terms = {"shape": 1.0, "failed": 320.0, "cost": 60.0, "lives": lives, "rng": None}
    rates = [simulated_pair(start, **terms)[0] for start in (0.0, 0.5, 1.0, 2.0, NEVER)]
    assert int(np.argmin(rates)) == 4


def test_dynamic_programme_of_two_parts_agrees_with_the_rule():
    """Relative value iteration over both ages on a grid: where the other part is renewed with a failed one."""
    shape, failed, cost, step, cells = 2.5, 320.0, 90.0, 0.025, 72
    edges = step * np.arange(cells + 1)
    fails = 1.0 - np.exp(edges[:-1] ** shape - edges[1:] ** shape)
    older = np.minimum(np.arange(cells) + 1, cells - 1)
    value = np.zeros((cells, cells))
    for _ in range(3000):
        beside = np.minimum(value[0, older], cost + value[0, 0])
        f = fails[:, None]
        new = f * (1 - f.T) * (failed + beside)[None, :] + (1 - f) * f.T * (failed + beside)[:, None]
        new = new + f * f.T * (failed + cost + value[0, 0]) + (1 - f) * (1 - f.T) * value[np.ix_(older, older)]
        gain = new[0, 0] - value[0, 0]
        if np.abs(new - value - gain).max() < 1e-6:
            break
        value = new
    start = edges[int(np.argmax(value[0, older] > cost + value[0, 0]))]
    found = keeping_values(
        shape=[shape], planned_cost=[200.0], failed_cost=[failed], limit=[NEVER],
        visit_rates=1.0 / float(mean_life(shape=shape, scale=1.0)), visit_costs=cost,
    )  # fmt: skip
    assert found.control_limit(cost)[0] == pytest.approx(start, abs=0.1)


def test_at_the_planned_age_all_that_is_shared_is_saved():
    best = float(optimal_interval(shape=2.8, scale=1.0, planned_cost=40.0, failed_cost=200.0))
    found = keeping_values(shape=[2.8], planned_cost=[40.0], failed_cost=[200.0], limit=[best])
    at = found.at(np.zeros(3, dtype=int), np.array([best, 2 * best, 0.0]))
    np.testing.assert_allclose(at, [40.0, 40.0, 0.0], atol=1e-6)
    assert (np.diff(found.values[0]) > -1e-9).all()
