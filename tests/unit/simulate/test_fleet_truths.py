"""The events obey the laws the truth states."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from wearmodel.driveline.angles import joint_angle
from wearmodel.simulate.clock import log_scale, places_of
from wearmodel.simulate.fleet import SimulatedFleet, simulate_fleet
from wearmodel.simulate.scenario import HOUR_COUNTS, HOUR_LAWS, LAWS

RENEWED = ["failed", "worn", "planned", "collateral", "damage", "comeback"]


def test_same_seed_same_fleet(clean_fleet: SimulatedFleet) -> None:
    again = simulate_fleet(np.random.default_rng(11), vehicles=220, years=8, dirt=False)
    assert again.truth == clean_fleet.truth
    assert again.settings == clean_fleet.settings
    for name, table in clean_fleet.tables.items():
        pd.testing.assert_frame_equal(again.tables[name], table)


def test_another_seed_another_fleet(clean_fleet: SimulatedFleet) -> None:
    other = simulate_fleet(np.random.default_rng(12), vehicles=220, years=8, dirt=False)
    assert other.truth["recorded"] != clean_fleet.truth["recorded"]


def test_dirt_leaves_the_events_alone(clean_fleet: SimulatedFleet, dirty_fleet: SimulatedFleet) -> None:
    pd.testing.assert_frame_equal(dirty_fleet.lives, clean_fleet.lives)
    assert dirty_fleet.truth["recorded"] == clean_fleet.truth["recorded"]


@pytest.mark.parametrize("component", ["u_joint", "cv_boot_outboard", "cv_joint_inboard", "support_bearing"])
def test_drawn_lives_follow_the_weibull_law_on_the_operational_clock(
    clean_fleet: SimulatedFleet, component: str
) -> None:
    # First parts only: one a position, so that they are a plain sample whatever ended them.
    lives = clean_fleet.lives
    first = lives[(lives["component"] == component) & (lives["start_odometer"] == 0.0)]
    drawn = first["operational_worn"] - first["operational_start"]
    law = LAWS[component]
    assert len(drawn) > 100
    assert stats.kstest(drawn, stats.weibull_min(law.shape, scale=law.base_scale).cdf).pvalue > 0.01
    # The same sample must not pass for another shape.
    assert stats.kstest(drawn, stats.weibull_min(1.0, scale=law.base_scale).cdf).pvalue < 0.01


def lifts_of(fleet: SimulatedFleet, unit: str) -> dict[str, np.ndarray]:
    """Odometer from which each ride height holds, by straight lines between the readings."""
    changes = fleet.tables["ride_height"].query("unit == @unit")
    readings = fleet.tables["readings"].query("unit == @unit")
    day = readings["date"].to_numpy().astype("datetime64[D]").astype(float)
    changed = changes["date"].to_numpy().astype("datetime64[D]").astype(float)
    return {
        "from": np.concatenate([[0.0], np.interp(changed, day, readings["odometer"].astype(float))]),
        "lift": np.concatenate([[0.0], changes["lift"].astype(float)]),
    }


def u_joint_scales(fleet: SimulatedFleet, *, unit: str, position: str, lift: np.ndarray) -> np.ndarray:
    """Weibull scale of a universal joint at each lift, from the truth and the vehicles table alone."""
    truth = fleet.truth["components"]["u_joint"]
    about = fleet.tables["vehicles"].set_index("unit").loc[unit]
    scale = truth["base_scale"] * np.exp(truth["duty_effects"][about["duty"]])
    swing = fleet.truth["geometry"][f"{about['vehicle_class']}: {about['driveline']}"][position]
    if swing is None:
        return np.full(len(lift), scale)
    angle = joint_angle(swing["angle"], length=swing["length"] or np.inf, lift=lift)
    return scale * (np.maximum(angle, 1.0) / truth["reference_angle"]) ** -truth["angle_coefficient"]


def test_operational_ages_follow_from_the_record_and_the_truth(clean_fleet: SimulatedFleet) -> None:
    # Lives that begin and end in the record, recomputed from order lines, ride heights and readings.
    lives = clean_fleet.lives.query("component == 'u_joint' and recorded")
    truth = clean_fleet.truth["components"]["u_joint"]
    raised = 0
    for (unit, position), ends in lives.groupby(["unit", "position"]):
        heights = lifts_of(clean_fleet, unit)
        scales = u_joint_scales(clean_fleet, unit=unit, position=position, lift=heights["lift"])
        begins = heights["from"]
        until = np.append(begins[1:], np.inf)
        for life, start in zip(ends.iloc[1:].itertuples(), ends["shown_odometer"].iloc[:-1], strict=True):
            driven = np.minimum(until, life.shown_odometer) - np.maximum(begins, start)
            age = np.sum(np.clip(driven, 0.0, None) / scales) * truth["base_scale"]
            # Readings and lines are to the day: a few hundred kilometres at most.
            assert age == pytest.approx(life.operational_end - life.operational_start, rel=0.01, abs=600.0)
            raised += driven[heights["lift"] > 0.0].sum() > 0.0
    assert raised > 10


@pytest.mark.parametrize("component", ["u_joint", "cv_joint_outboard", "cv_boot_outboard"])
def test_failures_equal_their_cumulative_hazard(clean_fleet: SimulatedFleet, component: str) -> None:
    lives = clean_fleet.lives[clean_fleet.lives["component"] == component]
    truth = clean_fleet.truth["components"][component]
    stop = lives[["operational_end", "operational_worn"]].min(axis=1) - lives["operational_start"]
    hazard = ((stop / truth["base_scale"]) ** truth["shape"]).sum()
    failures = (lives["operational_worn"] <= lives["operational_end"]).sum()
    assert failures > 100
    assert abs(failures - hazard) < 3.5 * np.sqrt(hazard)


def test_raised_vehicles_wear_their_joints_sooner(clean_fleet: SimulatedFleet) -> None:
    for component, truth in clean_fleet.truth["components"].items():
        ratios = [truth["life_ratio"][lift]["geometric_mean"] for lift in ("40", "50", "75", "100")]
        if component == "steering_joint":
            assert ratios == [1.0] * 4
        else:
            assert all(later < sooner for sooner, later in zip([1.0, *ratios], ratios, strict=False))


def test_fleet_scale_is_the_law_at_the_fleets_angles(clean_fleet: SimulatedFleet) -> None:
    # Outboard joints sit in three classes: 430 mm at 4.5 deg, 420 at 5, 390 at 4; checked by hand formula.
    truth = clean_fleet.truth["components"]["cv_joint_outboard"]
    vehicles = clean_fleet.tables["vehicles"]["vehicle_class"].value_counts()
    logs = []
    for name, length, factory in (("service_van", 430, 4.5), ("field_pickup", 420, 5.0), ("town_car", 390, 4.0)):
        angle = np.degrees(np.arcsin(np.sin(np.radians(factory)) + 75 / length))
        logs.append((vehicles[name], -0.045 * (angle - 6.0)))
    mean = sum(number * log for number, log in logs) / sum(number for number, _ in logs)
    expected = truth["base_scale"] * np.exp(mean + truth["duty_effects"]["rough"])
    assert truth["fleet_scale"]["rough"]["75"] == pytest.approx(expected, rel=1e-5)


def test_silent_failures_lie_between_two_looks(clean_fleet: SimulatedFleet) -> None:
    lives, looks = clean_fleet.lives, clean_fleet.looks
    condemned = lives[(lives["ended"] == "worn")]
    assert (condemned["worn_odometer"] <= condemned["end_odometer"]).all()
    by_place = dict(list(looks.groupby(["unit", "position"])))
    for life in condemned.itertuples():
        seen = by_place[(life.unit, life.position)]
        mine = seen[(seen["odometer"] > life.start_odometer) & (seen["odometer"] <= life.end_odometer)]
        good = mine.loc[mine["finding"] == "ok", "odometer"]
        bad = mine.loc[mine["finding"] != "ok", "odometer"]
        assert good.empty or good.max() < life.worn_odometer
        assert bad.min() >= life.worn_odometer


def test_plainly_failed_parts_end_at_their_limit(clean_fleet: SimulatedFleet) -> None:
    failed = clean_fleet.lives[clean_fleet.lives["ended"] == "failed"]
    assert failed["end_odometer"].to_numpy() == pytest.approx(failed["worn_odometer"].to_numpy())


def test_lives_of_a_position_follow_each_other_without_gap(clean_fleet: SimulatedFleet) -> None:
    for _, lives in clean_fleet.lives.groupby(["unit", "position"]):
        assert lives["start_odometer"].tolist() == [0.0, *lives["end_odometer"][:-1]]
        assert lives["ended"].iloc[:-1].isin(RENEWED).all()
        assert lives["ended"].iloc[-1] in ("in_service", "retired")


def test_kits_renew_what_they_hold(clean_fleet: SimulatedFleet) -> None:
    kits = clean_fleet.lives[clean_fleet.lives["kit"] == "half_shaft"]
    assert kits["recorded"].sum() > 40
    for _, visit in kits.groupby(["unit", "visit"]):
        for _, side in visit.groupby(visit["position"].str.partition(".")[0]):
            assert set(side["component"]) == {
                "cv_joint_outboard",
                "cv_boot_outboard",
                "cv_joint_inboard",
                "cv_boot_inboard",
            }
            assert side["lead"].sum() == 1
            assert (side["line"] == side["lead"]).all()
            assert set(side.loc[~side["lead"], "ended"]) <= {"collateral", "worn"}
    pairs = clean_fleet.lives[clean_fleet.lives["kit"] == "joint_pair"]
    for _, visit in pairs.groupby(["unit", "visit"]):
        assert set(visit["position"]) == {"rear.joint_front", "rear.joint_rear"}


def test_a_joint_alone_brings_the_boot_of_its_end(clean_fleet: SimulatedFleet) -> None:
    lives = clean_fleet.lives
    alone = lives[lives["component"].str.startswith("cv_joint") & lives["lead"] & (lives["kit"] == "")]
    renewed = set(zip(lives["unit"], lives["visit"], lives["position"], strict=True))
    assert len(alone) > 100
    for life in alone.itertuples():
        assert (life.unit, life.visit, life.position.replace("joint", "boot")) in renewed


def test_hard_duty_is_raised_more_often_and_groups_overlap(clean_fleet: SimulatedFleet) -> None:
    vehicles = clean_fleet.tables["vehicles"]
    raised = vehicles["unit"].isin(clean_fleet.tables["ride_height"]["unit"])
    assert raised.sum() == 55
    share = raised.groupby(vehicles["duty"]).mean()
    assert share["rough"] > 3 * share["highway"]
    assert share["site"] > share["town"]
    table = pd.crosstab(vehicles["duty"], raised)
    assert (table >= 2).all().all()


def test_some_vehicles_carry_an_unseen_past(clean_fleet: SimulatedFleet) -> None:
    vehicles = clean_fleet.tables["vehicles"].set_index("unit")
    start = clean_fleet.truth["records_from"]
    older = vehicles.index[vehicles["in_service_date"] < start]
    used = vehicles.index[vehicles["in_service_odometer"].astype(int) > 0]
    assert len(older) > 60
    assert len(used) > 8
    hidden = clean_fleet.lives[
        ~clean_fleet.lives["recorded"] & clean_fleet.lives["ended"].isin(RENEWED)
    ]
    first_day = np.datetime64(start, "D").astype(int)
    assert (hidden["end_day"] < first_day).sum() > 50
    assert clean_fleet.tables["repairs"]["date"].min() >= start


def test_the_year_after_is_counted_for_vehicles_in_service(clean_fleet: SimulatedFleet) -> None:
    future = clean_fleet.truth["future"]
    assert future["months"][0] == "2026-07"
    assert future["months"][-1] == "2027-06"
    vehicles = clean_fleet.tables["vehicles"]
    serving = vehicles.loc[vehicles["out_of_service_date"] == "", "unit"]
    after = clean_fleet.lives[
        (clean_fleet.lives["month"] > "2026-06")
        & clean_fleet.lives["unit"].isin(serving)
        & clean_fleet.lives["ended"].isin(["failed", "worn"])
    ]
    counts = after["component"].value_counts()
    for component, months in future["by_month"].items():
        assert sum(months) == future["wear_renewals"][component] == counts.get(component, 0)
    assert not clean_fleet.lives.loc[clean_fleet.lives["month"] > "2026-06", "recorded"].any()


def test_frailty_mixes_the_hazards_of_vehicles() -> None:
    variance = 0.5
    fleet = simulate_fleet(
        np.random.default_rng(5), vehicles=500, years=2, dirt=False, frailty_variance=variance
    )
    # One position a vehicle, so that the sample is independent; a gamma mixture of exponentials is Pareto.
    first = fleet.lives[fleet.lives["start_odometer"] == 0.0].sort_values("position").drop_duplicates("unit")
    law = first["component"].map(LAWS)
    life = first["operational_worn"] - first["operational_start"]
    hazard = (life / law.map(lambda x: x.base_scale)) ** law.map(lambda x: x.shape)
    assert stats.kstest(hazard, stats.lomax(1.0 / variance, scale=1.0 / variance).cdf).pvalue > 0.01
    assert stats.kstest(hazard, stats.expon.cdf).pvalue < 0.01


def test_own_laws_are_used() -> None:
    never = {
        name: replace(law, base_scale=1e12, comeback_share=0.0, damage_rate=0.0, planned_share=0.0)
        for name, law in LAWS.items()
    }
    fleet = simulate_fleet(np.random.default_rng(2), vehicles=30, years=3, laws=never)
    assert fleet.truth["recorded"] == {}
    assert fleet.tables["repairs"].empty


def test_vehicles_bought_together_join_within_one_year() -> None:
    fleet = simulate_fleet(np.random.default_rng(2), vehicles=80, years=8, dirt=False, bought_together=0.75)
    vehicles = fleet.tables["vehicles"]
    joined = pd.to_datetime(vehicles["in_service_date"])
    together = joined.between("2021-06-29", "2022-07-01")
    # Some of the others join in that year too.
    assert 0.65 < together.mean() < 0.95
    assert (vehicles.loc[together, "in_service_odometer"].astype(int) == 0).mean() > 0.8


def test_a_swing_is_the_whole_fleets_season() -> None:
    """Without it running in July and January is about the same over all duties; with it as 1.3 to 0.7."""

    def july_over_january(swing: float) -> float:
        fleet = simulate_fleet(np.random.default_rng(2), vehicles=80, years=6, dirt=False, swing=swing)
        month = fleet.usage.groupby(fleet.usage["month"].astype(str).str[-2:])["distance"].sum()
        return float(month["07"] / month["01"])

    assert july_over_january(0.3) / july_over_january(0.0) == pytest.approx(1.3 / 0.7, rel=0.02)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"vehicles": 0}, "vehicles must be 1 or more"),
        ({"years": 0}, "years must be 1 to 40"),
        ({"frailty_variance": -0.1}, "frailty_variance must be 0 or more"),
        ({"frailty_variance": float("nan")}, "frailty_variance must be 0 or more"),
        ({"bought_together": 1.1}, "bought_together must be 0 to 1"),
        ({"swing": 1.0}, "swing must be 0 to below 1"),
    ],
)
def test_numbers_outside_their_range_are_refused(wrong: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        simulate_fleet(np.random.default_rng(1), **wrong)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def hourly_fleet() -> SimulatedFleet:
    rng = np.random.default_rng(11)
    return simulate_fleet(rng, vehicles=220, years=8, dirt=False, laws=HOUR_LAWS, engine_hours=True)


def test_parts_that_wear_by_hours_age_by_the_written_hours(hourly_fleet: SimulatedFleet) -> None:
    """On vehicles never raised an hour of the meter counts by duty and joint angle alone, however far they drive."""
    assert hourly_fleet.truth["components"]["u_joint"]["clock"] == "hours"
    assert "clock" not in hourly_fleet.truth["components"]["cv_boot_inboard"]
    readings = hourly_fleet.tables["readings"].query("engine_hours != ''")
    readings = readings.astype({"odometer": float, "engine_hours": float})
    vehicles = hourly_fleet.tables["vehicles"].set_index("unit")
    lives = hourly_fleet.lives.query("component == 'u_joint' and recorded")
    lives = lives[~lives["unit"].isin(hourly_fleet.tables["ride_height"]["unit"])]
    off = []
    for unit, own in readings.groupby("unit"):
        places = {p.position: p for p in places_of(*vehicles.loc[unit, ["vehicle_class", "driveline"]])}
        first, last = own["odometer"].iloc[[0, -1]]
        mine = lives[lives["unit"].eq(unit) & lives["start_odometer"].ge(first) & lives["end_odometer"].le(last)]
        for life in mine.itertuples():
            ends = [life.start_odometer, life.end_odometer]
            start, end = np.interp(ends, own["odometer"], own["engine_hours"])
            effect = log_scale((places[life.position],), duty=vehicles.loc[unit, "duty"], lift=0.0, laws=HOUR_LAWS)
            expected = HOUR_COUNTS * (end - start) * np.exp(-effect[0, 0])
            # Over few months the straight line between readings is too rough.
            if end - start > 1000:
                off.append((life.operational_end - life.operational_start) / expected - 1.0)
    assert len(off) > 30
    np.testing.assert_allclose(off, 0.0, atol=0.03)
    law, first = HOUR_LAWS["u_joint"], hourly_fleet.lives.query("component == 'u_joint' and start_odometer == 0.0")
    drawn = first["operational_worn"] - first["operational_start"]
    assert stats.kstest(drawn, stats.weibull_min(law.shape, scale=law.base_scale).cdf).pvalue > 0.01


def test_hours_are_written_for_most_vehicles_and_never_fall(hourly_fleet: SimulatedFleet) -> None:
    readings = hourly_fleet.tables["readings"]
    assert list(readings.columns) == ["unit", "date", "odometer", "engine_hours"]
    metered = readings.groupby("unit")["engine_hours"].agg(lambda cells: (cells != "").all())
    assert 0.75 < metered.mean() < 0.95
    assert (readings.groupby("unit")["engine_hours"].agg(lambda cells: (cells == "").all()) == ~metered).all()
    hours = readings[readings["engine_hours"] != ""].astype({"engine_hours": float})
    assert (hours.groupby("unit")["engine_hours"].diff().dropna() >= 0).all()


def test_a_law_by_hours_needs_hours() -> None:
    with pytest.raises(ValueError, match="simulate them with engine_hours=True"):
        simulate_fleet(np.random.default_rng(1), vehicles=3, years=2, laws=HOUR_LAWS)
