"""Drawn futures against renewal theory."""

import numpy as np
import pytest
from scipy import integrate

from wearmodel.forecast.other_renewals import constant_rates
from wearmodel.forecast.renewal_paths import KINDS, simulate_paths
from wearmodel.forecast.starts import Looks, draw_starts
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import age_points
from wearmodel.survival.renewal import expected_replacements
from wearmodel.survival.weibull import fail_within

NONE = constant_rates(planned=0.0, beside=0.0, mishap=0.0, along=0.0)
NO_LOOKS = float("nan")
SHAPE, SCALE = 2.5, 100.0
VALUES = np.array([np.log(SCALE), np.log(SHAPE)])


def run(
    parts, *, distance=300.0, months=6, draws=200, rates=NONE, interval=None, factors=None, silent=0.0,
    every=NO_LOOKS, seed=1, starts_first=False,
):  # fmt: skip
    count = len(parts.frame)
    usage = Usage(
        months=tuple(f"m{i}" for i in range(months)),
        days=np.full(months, 30.0),
        distance=np.full((count, months), distance / months),
        spread=0.0,
        in_service=np.ones(count, dtype=bool),
    )
    common = {
        "points": age_points(parts, VALUES, other_rate=0.0),
        "values": np.tile(VALUES, (draws, 1)),
        "factors": np.ones(draws) if factors is None else factors,
        "usage": usage,
        "looks": Looks(silent, np.full(count, every)),
    }
    starts = draw_starts(parts, **common, rng=np.random.default_rng(seed)) if starts_first else None
    return simulate_paths(
        parts, **common, rates=rates, interval=interval, starts=starts, rng=np.random.default_rng(seed)
    )


def test_mean_count_is_the_renewal_function_of_aged_parts(make_parts):
    ages = np.linspace(0.0, 150.0, 40)
    events = run(make_parts(ages), draws=2000)
    mean = np.bincount(events.part, minlength=40) / 2000
    expected = expected_replacements(ages, 300.0, shape=SHAPE, scale=SCALE)
    # A count's variance here is below its mean: 4 standard errors of a Poisson mean are generous.
    np.testing.assert_allclose(mean, expected, atol=4 * np.sqrt(expected.max() / 2000))
    assert mean.sum() == pytest.approx(expected.sum(), rel=0.01)


def test_first_failures_only_would_miss_demand(make_parts):
    ages = np.full(30, 50.0)
    events = run(make_parts(ages), draws=500)
    firsts = len(np.unique(events.part * 500 + events.draw))
    assert len(events.part) > 1.8 * firsts


def test_planned_interval_gives_the_cycles_of_age_replacement(make_parts):
    """Long run: one cycle lasts the integral of S up to T, and the share S(T) of cycles ends planned."""
    limit = 60.0
    events = run(make_parts(np.zeros(20)), distance=20_000.0, months=2, draws=20, interval=np.full(20, limit))
    cycle, _ = integrate.quad(lambda t: np.exp(-((t / SCALE) ** SHAPE)), 0, limit)
    assert len(events.part) == pytest.approx(400 * 20_000.0 / cycle, rel=0.01)
    planned = (events.kind == KINDS.index("interval")).mean()
    assert planned == pytest.approx(np.exp(-((limit / SCALE) ** SHAPE)), abs=0.01)


def test_a_part_past_its_interval_is_renewed_at_once(make_parts):
    events = run(make_parts([90.0]), distance=1.0, months=1, draws=50, interval=np.array([60.0]))
    assert (events.kind == KINDS.index("interval")).sum() == 50
    assert (events.day == 0.0).all()


def test_other_renewals_come_at_their_rates(make_parts):
    rates = constant_rates(planned=0.004, beside=0.003, mishap=0.002, along=0.006)
    events = run(make_parts(np.zeros(50)), distance=1000.0, draws=100, rates=rates)
    per = np.bincount(events.kind, minlength=len(KINDS)) / (50 * 100 * 1000.0)
    assert per[1] == per[2] == 0
    np.testing.assert_allclose(per[3:], [0.004, 0.003, 0.002, 0.006], rtol=0.03)


def test_condemned_parts_are_renewed_at_once_even_when_the_vehicle_stands(make_parts):
    parts = make_parts([10.0, 10.0], condemned=np.array([True, False]))
    events = run(parts, distance=0.0, draws=30)
    assert sorted(set(events.part)) == [0]
    assert len(events.part) == 30
    assert (events.month == 0).all()


def test_usage_factor_moves_demand_one_for_one(make_parts):
    # Mean age at start in equilibrium would be exact; a long horizon comes close.
    parts = make_parts(np.zeros(40))
    base = len(run(parts, distance=3000.0, draws=100).part)
    more = len(run(parts, distance=3000.0, draws=100, factors=np.full(100, 1.2)).part)
    assert more / base == pytest.approx(1.2, rel=0.02)


def test_months_and_days_agree(make_parts):
    events = run(make_parts(np.zeros(40)), draws=50)
    assert ((events.day >= 30.0 * events.month - 1e-9) & (events.day <= 30.0 * (events.month + 1) + 1e-9)).all()


def test_same_seed_same_futures(make_parts):
    one, two = (run(make_parts(np.zeros(10)), seed=7) for _ in range(2))
    np.testing.assert_array_equal(one.day, two.day)


def test_starts_drawn_before_give_the_same_futures(make_parts):
    """Whatever is drawn from them: interval, other renewals, wear found at looks."""
    rates = constant_rates(planned=1e-3, beside=0.0, mishap=2e-3, along=0.0)
    given = {"interval": np.full(3, 80.0), "rates": rates, "silent": 0.4, "every": 20.0}
    together, apart = (
        run(make_parts([10.0, 50.0, 70.0]), starts_first=first, **given) for first in (False, True)
    )
    assert len(together.part) > 100
    for name in ("part", "draw", "month", "day", "kind"):
        np.testing.assert_array_equal(getattr(together, name), getattr(apart, name))


def test_silent_wear_is_found_at_the_next_look(make_parts):
    """All wear is silent, looks every 20: events come at looks only, those from before included."""
    parts = make_parts(np.full(50, 90.0), since_look=np.full(50, 15.0))
    events = run(parts, distance=60.0, months=60, draws=200, silent=1.0, every=20.0)
    assert set(events.kind) == {KINDS.index("found")}
    distance = events.day / 30.0
    np.testing.assert_allclose(np.mod(distance - 5.0, 20.0) % 20.0, 0.0, atol=1e-6)
    first = (distance < 5.0 + 1e-6).mean() * len(events.part) / (50 * 200)
    # Good at 75, looked at again at 95.
    assert first == pytest.approx(float(fail_within(75.0, 20.0, shape=SHAPE, scale=SCALE)), abs=0.01)


def test_loud_and_silent_shares_come_out(make_parts):
    events = run(make_parts(np.zeros(50)), distance=2000.0, draws=50, silent=0.3)
    assert (events.kind == KINDS.index("found")).mean() == pytest.approx(0.3, abs=0.01)
