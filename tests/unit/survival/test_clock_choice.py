"""Distance against age on the same footing: against lifelines, scipy, a change of units and vehicles all alike."""

import warnings
from dataclasses import replace

import lifelines
import numpy as np
import pytest
from clock_lives import clock_lives, draw_lives
from scipy import integrate, stats

from wearmodel.survival.clock_choice import ClockLives, compare_clocks, life_terms
from wearmodel.survival.families import WEIBULL
from wearmodel.survival.life_data import build_life_data, build_stretched_life_data
from wearmodel.survival.likelihood import evaluate


def lives_of(share, seed, **more):
    return clock_lives(draw_lives(np.random.default_rng(seed), share=share, **more))


def test_terms_of_lives_sum_to_the_likelihood():
    rng = np.random.default_rng(5)
    n = 60
    entry = np.where(rng.random(n) < 0.4, rng.uniform(0, 1, n), 0.0)
    low = entry + rng.uniform(0.1, 2, n)
    high = np.choose(np.arange(n) % 3, [low, low + 0.5, np.full(n, np.inf)])
    data = build_stretched_life_data(
        life=np.repeat(np.arange(n), 2), segment_from=np.tile([0.0, 0.8], n), segment_to=np.tile([0.8, np.inf], n),
        design=np.column_stack([np.ones(2 * n), rng.standard_normal(2 * n)]), entry=entry, stop_low=low,
        stop_high=high, weight=rng.uniform(0.2, 1, n),
    )  # fmt: skip
    for values in ([0.1, 0.3, 0.5], [-0.4, -0.2, 1.1]):
        terms = life_terms(data, np.array(values))
        assert terms.shape == (n,)
        assert terms.sum() == pytest.approx(evaluate(data, np.array(values), WEIBULL).value, rel=1e-12)


def test_both_clocks_against_lifelines():
    """lifelines on each clock; distance's densities per km become densities per day by the pace."""
    lives = lives_of(0.5, 3)
    found = compare_clocks(lives)
    sums, laws = [], []
    for data in (lives.distance, lives.days):
        unit = data.before_low.mean()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fitter = lifelines.WeibullFitter().fit(data.before_low / unit, data.exact, entry=data.before_entry / unit)
        sums.append(fitter.log_likelihood_ - data.exact.sum() * np.log(unit))
        laws.append(stats.weibull_min(fitter.rho_, scale=fitter.lambda_ * unit))
    assert found.age == pytest.approx(sums[1], abs=1e-4)
    assert found.distance == pytest.approx(sums[0] + np.log(lives.pace[lives.distance.exact]).sum(), abs=1e-4)
    terms = []
    for law, data, per_day in zip(laws, (lives.distance, lives.days), (lives.pace, 1.0), strict=True):
        seen = np.where(data.exact, law.logpdf(data.before_low) + np.log(per_day), law.logsf(data.before_low))
        terms.append(seen - law.logsf(data.before_entry))
    by_vehicle = [(terms[1] - terms[0])[lives.days.cluster == v].sum() for v in np.unique(lives.days.cluster)]
    z = np.sum(by_vehicle) / (np.std(by_vehicle) * np.sqrt(len(by_vehicle)))
    assert found.z == pytest.approx(z, rel=1e-3)


def test_density_per_day_is_a_density():
    """One vehicle of uneven running: what the distance model says of each day sums to 1 over the days."""
    days = np.linspace(0.5, 6000.5, 60001)
    run = 80.0 * days + 20.0 * 58.0 * (1.0 - np.cos(days / 58.0))
    pace = 80.0 + 20.0 * np.sin(days / 58.0)
    data = build_life_data(entry=np.zeros(len(days)), stop_low=run, stop_high=run)
    density = np.exp(life_terms(data, np.array([np.log(120_000.0), np.log(2.2)]))) * pace
    assert integrate.trapezoid(density, days) == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_units_do_not_matter(share):
    lives = lives_of(share, 6, looked=0.3)
    found = compare_clocks(lives)
    far = ClockLives(lives.distance.in_units_of(1e5), lives.days, lives.pace / 1e5)
    other = compare_clocks(far)
    assert [other.distance, other.age, other.mixed, other.z] == pytest.approx(
        [found.distance, found.age, found.mixed, found.z], rel=1e-9
    )
    assert other.rate * 1e5 == pytest.approx(found.rate, rel=1e-6)
    years = compare_clocks(replace(lives, days=lives.days.in_units_of(365.25), pace=lives.pace * 365.25))
    shift = lives.days.weight[lives.days.exact].sum() * np.log(365.25)
    assert [years.distance - shift, years.age - shift] == pytest.approx([found.distance, found.age], rel=1e-9)


def test_vehicles_that_all_run_alike_do_not_tell_the_clocks_apart():
    lives = lives_of(1.0, 2, spread=0.0, months=0.0)
    found = compare_clocks(lives)
    assert found.age == pytest.approx(found.distance, abs=1e-6) and found.mixed == pytest.approx(found.age, abs=1e-6)
    assert not (found.age_is_better or found.distance_is_better or found.both_count)


def test_the_mixed_clock_holds_the_others():
    for share in (0.0, 0.3, 1.0):
        found = compare_clocks(lives_of(share, 9))
        assert found.mixed >= max(found.age, found.distance)
        assert 0.0 <= found.share <= 1.0


def test_weight_two_is_a_life_twice():
    lives = lives_of(1.0, 4, vehicles=25)
    half = lives.days.lives // 2
    weight = np.where(np.arange(lives.days.lives) < half, 2.0, 1.0)
    rows = np.repeat(np.arange(lives.days.lives), weight.astype(int))

    def repeated(data):
        high = np.where(data.exact, data.before_low, np.inf)[rows]
        return build_life_data(
            entry=data.before_entry[rows], stop_low=data.before_low[rows], stop_high=high, cluster=data.cluster[rows]
        )

    twice = compare_clocks(ClockLives(repeated(lives.distance), repeated(lives.days), lives.pace[rows]))
    heavy = compare_clocks(
        replace(lives, distance=replace(lives.distance, weight=weight), days=replace(lives.days, weight=weight))
    )
    assert [heavy.distance, heavy.age, heavy.z] == pytest.approx([twice.distance, twice.age, twice.z], rel=1e-7)


def with_hours(lives, hours, pace):
    return replace(lives, hours=hours, hour_pace=pace)


def test_engine_hours_that_go_with_the_days_are_age():
    """An engine that runs three hours every day: the same densities per day, whatever hours are counted in."""
    lives = lives_of(1.0, 7)
    found = compare_clocks(with_hours(lives, lives.days.in_units_of(1 / 3), np.full(len(lives.pace), 3.0)))
    assert found.hours == pytest.approx(found.age, abs=1e-6) and found.hours_z == pytest.approx(found.z, rel=1e-4)
    np.testing.assert_allclose(found.hours_values, found.age_values + np.log([3.0, 1.0]), atol=1e-4)
    assert found.hours_are_better and found.age_is_better


def test_engine_hours_that_go_with_the_distance_are_distance():
    """A vehicle that runs 25 km an hour whatever it does."""
    lives = lives_of(0.0, 7)
    found = compare_clocks(with_hours(lives, lives.distance.in_units_of(25.0), lives.pace / 25.0))
    assert found.hours == pytest.approx(found.distance, abs=1e-6)
    assert not found.hours_are_better and found.chosen == "distance"


def test_the_better_of_two_better_clocks_is_chosen():
    lives = lives_of(1.0, 7)
    days = lives.days
    rough = days.in_units_of(1.0)
    noise = np.exp(np.random.default_rng(3).normal(0.0, 0.25, len(days.start)))[days.life]
    rough = replace(rough, before_entry=rough.before_entry * noise, before_low=rough.before_low * noise,
                    before_high=rough.before_high * noise)  # fmt: skip
    worse = compare_clocks(with_hours(lives, rough, np.ones(len(lives.pace)) * noise))
    assert worse.age_is_better and worse.hours_are_better and worse.hours < worse.age and worse.chosen == "age"
    other = replace(lives, days=rough)
    better = compare_clocks(with_hours(other, days, np.ones(len(lives.pace))))
    assert better.chosen == "hours" and better.hours > better.age


def test_without_hours_nothing_is_said_of_them():
    found = compare_clocks(lives_of(1.0, 7))
    assert np.isnan([found.hours, found.hours_z]).all() and len(found.hours_values) == 0 and found.chosen == "age"
