"""Renewals that are not wear: rates by age, and parts renewed because another was."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.forecast.companion_times import Renewed, build_places, drawn_companions
from wearmodel.forecast.other_renewals import (
    NAMED_RATES,
    CompanionTimes,
    RatesByAge,
    build_companions,
    build_rates_by_age,
    constant_rates,
)
from wearmodel.forecast.renewal_paths import KINDS, Events, simulate_paths
from wearmodel.forecast.starts import Looks
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import age_points

PLANNED, MISHAP = NAMED_RATES.index("planned"), NAMED_RATES.index("mishap")
BESIDE, ALONG, ROAD = (KINDS.index(name) for name in ("beside", "along", "road"))


def lives_of(ends, *, component="u_joint", vehicle=None, came_along=False, day=None, renewed=True):
    """Lives of known age from new: (age at the end, how it ended), each in a position of its own."""
    count = len(ends)
    age = np.array([end[0] for end in ends], dtype=float)
    frame = pd.DataFrame(
        {
            "component": component, "vehicle": np.arange(count) if vehicle is None else vehicle, "position": component,
            "ended": [end[1] for end in ends], "entry": 0.0, "start_day": 100.0 if renewed else 0.0,
            "end_day": np.arange(count) if day is None else day, "start_odometer": 0.0, "end_odometer": age,
            "age_known": True, "chance": 1.0, "came_along": came_along,
        }
    )  # fmt: skip
    # What stood there before: at an unknown age, not seen for any distance.
    before = frame.assign(start_day=0.0, end_day=-1.0, ended="in_service", end_odometer=0.0, age_known=False)
    return pd.concat([before, frame], ignore_index=True) if renewed else frame


def test_planned_renewals_come_to_parts_as_old_as_those_that_had_them():
    """Rate 0 to 100, then 1 in 50 until 400: drawn, and estimated from what was drawn."""
    rng = np.random.default_rng(1)
    age = 100.0 + rng.exponential(50.0, 2000)
    ends = [(a, "planned") if a < 400.0 else (400.0, "in_service") for a in age]
    found = build_rates_by_age(lives_of(ends))["u_joint"]
    assert found.spent(np.array([99.0]))[0] == pytest.approx(0.0, abs=0.03)
    assert np.diff(found.spent(np.array([150.0, 250.0])))[0] == pytest.approx(2.0, rel=0.1)
    assert (found.rates[MISHAP] == 0.0).all()
    assert not found.without_planned().any


def test_comebacks_come_to_new_parts_alone():
    ends = [(a, "comeback") for a in np.linspace(1.0, 10.0, 20)] + [(500.0, "in_service")] * 180
    found = build_rates_by_age(lives_of(ends))["u_joint"]
    # 20 of 200 fittings came back, by age 10.5 and not after.
    assert found.spent(np.array([10.5]))[0] == pytest.approx(-np.log(0.9), rel=0.02)
    assert found.spent(np.array([1e5]))[0] == pytest.approx(found.spent(np.array([10.5]))[0])


def test_too_few_to_tell_ages_apart_come_at_the_mean_rate():
    ends = [(50.0, "planned")] * 3 + [(100.0, "in_service")] * 7
    found = build_rates_by_age(lives_of(ends))["u_joint"]
    np.testing.assert_allclose(found.rates[PLANNED], 3 / 850.0)


def test_damage_comes_at_any_age():
    ends = [(50.0, "damage")] * 8 + [(100.0, "in_service")] * 6
    np.testing.assert_allclose(build_rates_by_age(lives_of(ends))["u_joint"].rates[MISHAP], 8 / 1000.0)


@pytest.mark.parametrize("age", [0.0, 4.0, 15.0])
def test_drawn_times_follow_the_rates(age):
    """Survival to some distances by hand, and which kind in each band."""
    rates = np.zeros((4, 3))
    rates[PLANNED], rates[MISHAP] = [0.0, 0.05, 0.1], [0.2, 0.0, 0.1]
    law, rng = RatesByAge(np.array([0.0, 5.0, 20.0, 1e9]), rates), np.random.default_rng(1)
    step = law.next(np.full(200_000, age), rng.standard_exponential(200_000))
    kind = law.named(step + age, rng)
    for ahead in (1.0, 8.0, 30.0):
        lasted = np.exp(-np.diff(law.spent(np.array([age, age + ahead])))[0])
        assert (step > ahead).mean() == pytest.approx(lasted, abs=0.004)
    assert set(kind[step + age < 5.0]) <= {MISHAP}
    assert set(kind[(step + age > 5.0) & (step + age < 20.0)]) == {PLANNED}
    assert (kind[step + age > 20.0] == PLANNED).mean() == pytest.approx(0.5, abs=0.02)


def joints_and_boots():
    """100 joints fail, each on a vehicle with a boot; 40 boots are renewed beside them and 20 come along in a kit."""
    joints = lives_of([(80.0, "failed")] * 100, component="joint", day=np.arange(100))
    boots = lives_of([(80.0, "collateral")] * 60 + [(90.0, "in_service")] * 40, component="boot",
                     day=np.arange(100), came_along=np.arange(100) >= 40)  # fmt: skip
    return pd.concat([joints, boots], ignore_index=True)


def test_what_a_renewal_brings_is_counted_by_vehicle_and_day():
    found = build_companions(joints_and_boots())
    assert found.leads() == {"joint"}
    assert found.of("boot", ["joint"])["joint"] == pytest.approx((0.4, 0.2))
    assert found.left("boot", ["joint"]) == (0.0, 0.0)
    run = 60 * 80.0 + 40 * 90.0
    assert found.left("boot", []) == pytest.approx((40 / run, 20 / run))


def test_a_renewal_without_another_on_its_day_is_left():
    lives = joints_and_boots()
    lives.loc[lives["component"] == "joint", "end_day"] += 1000.0
    found = build_companions(lives)
    assert found.leads() == set()
    assert found.left("boot", ["joint"])[0] > 0.0


def usage_of(count):
    return Usage(("m0", "m1"), np.array([30.0, 30.0]), np.full((count, 2), 50.0), 0.0, np.ones(count, dtype=bool))


def placed(make_parts, positions, vehicles):
    parts = make_parts(np.zeros(len(positions)))
    parts.frame["position"], parts.frame["vehicle"] = positions, vehicles
    return parts


def test_companions_come_when_and_where_the_lead_does(make_parts):
    joints = placed(make_parts, ["left.joint", "right.joint"], [0, 0])
    boots = placed(make_parts, ["left.boot", "right.boot", "left.boot"], [0, 0, 1])
    places = build_places({"joint": joints, "boot": boots})
    draws, count = 2000, 2000
    part = np.repeat([0, 1], count // 2)
    events = Events(part, np.arange(count), np.full(count, 1), np.full(count, 36.0), np.full(count, ROAD))
    times = drawn_companions(
        {"joint": (0.4, 0.2)}, {"joint": Renewed(places["joint"], events)}, component="boot", places=places["boot"],
        usage=usage_of(2), factors=np.full(draws, 1.1), rng=np.random.default_rng(1),
    )  # fmt: skip
    boot, draw = np.divmod(times.row, draws)
    np.testing.assert_array_equal(boot, part[draw])
    np.testing.assert_allclose(times.run, 60.0 * 1.1)
    assert (times.kind == BESIDE).sum() / count == pytest.approx(0.4, abs=0.04)
    assert (times.kind == ALONG).sum() / count == pytest.approx(0.2, abs=0.03)


def test_a_part_never_comes_along_with_itself(make_parts):
    joints = placed(make_parts, ["rear.front", "rear.back", "front.front"], [0, 0, 1])
    places = build_places({"joint": joints})
    events = Events(np.array([0, 1, 2]), np.zeros(3, int), np.zeros(3, int), np.ones(3), np.full(3, ROAD))
    times = drawn_companions(
        {"joint": (1.0, 0.0)}, {"joint": Renewed(places["joint"], events)}, component="joint", places=places["joint"],
        usage=usage_of(2), factors=np.ones(1), rng=np.random.default_rng(1),
    )  # fmt: skip
    assert sorted(times.row) == [0, 1]


def test_a_companion_renews_the_part_and_nothing_is_lost(make_parts):
    """Parts of no wear to speak of are renewed at the given times alone, each once."""
    parts, draws = make_parts(np.zeros(3)), 5
    values = np.tile(np.log([1e9, 2.0]), (draws, 1))
    part, draw = np.array([0, 0, 2]), np.array([1, 1, 4])
    times = CompanionTimes.of(part, draw, np.array([80.0, 20.0, 50.0]), np.array([ALONG, BESIDE, BESIDE]), draws=draws)
    events = simulate_paths(
        parts, points=age_points(parts, values[0], other_rate=0.0), values=values, factors=np.ones(draws),
        usage=usage_of(3), rates=constant_rates(planned=0.0, beside=0.0, mishap=0.0, along=0.0),
        looks=Looks(0.0, np.full(3, np.nan)), interval=None, companions=times, rng=np.random.default_rng(1),
    )  # fmt: skip
    order = np.lexsort((events.day, events.part))
    np.testing.assert_array_equal(events.part[order], [0, 0, 2])
    np.testing.assert_array_equal(events.draw[order], [1, 1, 4])
    np.testing.assert_array_equal(events.kind[order], [BESIDE, ALONG, BESIDE])
    np.testing.assert_allclose(events.day[order], [12.0, 48.0, 30.0])
