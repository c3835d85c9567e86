"""Duty told from the duty log; judged on invented fleets whose duty is known and on exact binomial chances."""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom
from sklearn.metrics import adjusted_rand_score

from wearmodel.intake.fleet_toml.settings_duty import DutyRule, duty_rule_of
from wearmodel.intake.fleet_toml.toml_section import TomlSection
from wearmodel.intake.learning.duty_groups import assign_duty
from wearmodel.intake.learning.duty_learning import fit_duty_clusters, fit_duty_likeness
from wearmodel.intake.learning.duty_measures import MEASURES, build_duty_months
from wearmodel.simulate.fleet import simulate_fleet

NUMBERS = ["distance", "stops", "idle_hours", "unpaved_share", "tow_hours", "mean_speed"]


@pytest.fixture(scope="module", params=[21, 22])
def invented(request):
    """An invented fleet's vehicles and duty log, as they stand after cleaning."""
    fleet = simulate_fleet(np.random.default_rng(request.param), vehicles=160, years=4, dirt=False)
    log = fleet.tables["duty_log"].copy()
    log[NUMBERS] = log[NUMBERS].astype(float)
    log["month"] = pd.to_datetime(log["month"] + "-01")
    return fleet.tables["vehicles"][["unit", "duty"]].copy(), log


def blanked(vehicles, share, seed=0):
    rows = np.random.default_rng(seed).random(len(vehicles)) < share
    out = vehicles.copy()
    out.loc[rows, "duty"] = "unknown"
    return out, rows


def months_of(unit, count, **values):
    """Rows of a duty log, one a month; a value may be a list."""
    months = pd.date_range("2024-01-01", periods=count, freq="MS")
    row = {"unit": unit, "month": months, "distance": 1000.0, **values}
    return pd.DataFrame(row)


def one_vehicle(log, rule=None, unit="km", **options):
    rule = rule or DutyRule(method="rule")
    vehicles = pd.DataFrame({"unit": ["A"], "duty": ["unknown"]})
    return assign_duty(vehicles, log, rule=rule, distance_unit=unit, **options)


# ---- the recorded words, where some vehicles have them


def test_half_the_words_come_back(invented):
    vehicles, log = invented
    partly, rows = blanked(vehicles, 0.5)
    result = assign_duty(partly, log, rule=DutyRule(), distance_unit="km")
    asked = rows & (result.table["months"] >= 6).to_numpy()
    told, truth = result.duty[asked], vehicles["duty"][asked]
    assert asked.sum() > 50
    assert (told == truth).mean() >= 0.9
    assert (told[told != "unknown"] == truth[told != "unknown"]).mean() >= 0.97
    assert (result.duty[~rows] == vehicles["duty"][~rows]).all()
    assert set(result.table["source"]) <= {"recorded", "likeness", "unknown"}
    assert (result.table.loc[~rows, "source"] == "recorded").all()
    assert result.duty.index.equals(vehicles.index)
    counts = result.groups.set_index("duty")["vehicles"]
    assert counts.sum() == (result.table["source"] == "likeness").sum()


def test_recorded_words_are_kept_whatever_the_log_says(invented):
    vehicles, log = invented
    for method in ("auto", "rule", "groups", "none"):
        partly, rows = blanked(vehicles, 0.3)
        partly.loc[~rows, "duty"] = "Special work"
        result = assign_duty(partly, log, rule=DutyRule(method=method), distance_unit="km")
        assert (result.duty[~rows] == "Special work").all()


def test_no_note_and_no_change_where_every_duty_is_recorded(invented):
    vehicles, log = invented
    result = assign_duty(vehicles, log, rule=DutyRule(), distance_unit="km")
    assert result.notes == ()
    assert result.groups.empty
    assert (result.duty == vehicles["duty"]).all()


def test_work_unlike_any_recorded_stays_unknown(invented):
    vehicles, log = invented
    strange = months_of("NEW", 12, stops=5.0, idle_hours=300.0, unpaved_share=0.95, tow_hours=90.0, mean_speed=95.0)
    more = pd.concat([vehicles, pd.DataFrame({"unit": ["NEW"], "duty": [""]})], ignore_index=True)
    result = assign_duty(more, pd.concat([log, strange]), rule=DutyRule(), distance_unit="km")
    assert result.duty.iloc[-1] == "unknown"
    assert result.table["remark"].iloc[-1] == "not clearly like the work of any recorded duty"


def test_words_that_have_nothing_to_do_with_the_work_are_not_learnt(invented):
    vehicles, log = invented
    partly, rows = blanked(vehicles, 0.5)
    words = np.random.default_rng(1).choice(["red", "blue"], size=len(vehicles))
    partly.loc[~rows, "duty"] = words[~rows]
    result = assign_duty(partly, log, rule=DutyRule(), distance_unit="km")
    assert not set(result.duty[rows]) & {"red", "blue"}
    assert any("does not tell the recorded words apart" in note for note in result.notes)
    assert "rule" in set(result.table["source"])


def test_too_few_recorded_vehicles_leave_it_to_the_rule(invented):
    vehicles, log = invented
    few = vehicles.copy()
    keep = few.groupby("duty").head(4).index
    few.loc[~few.index.isin(keep), "duty"] = "unknown"
    result = assign_duty(few, log, rule=DutyRule(), distance_unit="km")
    assert set(result.table["source"]) == {"recorded", "rule", "unknown"}
    assert any("fewer than two recorded words have 5 vehicles" in note for note in result.notes)


def test_reported_share_is_that_of_vehicles_kept_back(invented):
    """The accuracy reported is met by vehicles whose word was never shown."""
    vehicles, log = invented
    months = build_duty_months(log, fewest_months=6)
    word_of = dict(zip(vehicles["unit"], vehicles["duty"], strict=True))
    known = np.array([word_of[unit] for unit in months.units], dtype=object)
    ready = months.months >= 6
    half = ready & (np.arange(len(ready)) % 2 == 0)
    fitted = fit_duty_likeness(months.measures()[half], known[half])
    told = fitted.assign(months.measures()[ready & ~half])
    share = (told == known[ready & ~half]).mean()
    assert share == pytest.approx(fitted.sure * fitted.sure_accuracy, abs=0.1)


# ---- the rule


def test_the_rule_in_its_order():
    rule = DutyRule(method="rule")
    logs = {
        "off_road": {"unpaved_share": 0.4, "tow_hours": 20.0, "stops": 900.0},
        "towing": {"unpaved_share": 0.1, "tow_hours": 6.0, "stops": 900.0},
        "stop_and_go": {"unpaved_share": 0.1, "tow_hours": 0.0, "stops": 600.0, "idle_hours": 90.0},
        "idling": {"unpaved_share": 0.1, "tow_hours": 0.0, "stops": 100.0, "idle_hours": 30.0},
        "long_distance": {"stops": 50.0, "idle_hours": 1.0, "mean_speed": 70.0},
        "mixed": {"stops": 100.0, "idle_hours": 5.0, "mean_speed": 35.0},
    }
    vehicles = pd.DataFrame({"unit": list(logs), "duty": ""})
    log = pd.concat([months_of(word, 8, **values) for word, values in logs.items()])
    result = assign_duty(vehicles, log, rule=rule, distance_unit="km")
    assert list(result.duty) == list(logs)
    assert (result.table["stability"] == 1.0).all()
    meanings = result.groups.set_index("duty")["meaning"]
    assert meanings["stop_and_go"] == "At least 50 stops per 100 km, and not off_road or towing."
    assert all(sentence.endswith(".") for sentence in meanings)


def test_measures_are_sums_over_sums():
    log = pd.DataFrame(
        {
            "unit": "A",
            "month": pd.date_range("2024-01-01", periods=2, freq="MS"),
            "distance": [100.0, 900.0],
            "stops": [90.0, 10.0],
            "unpaved_share": [1.0, 0.0],
            "tow_hours": [1.0, 2.0],
            "idle_hours": [4.0, np.nan],
            "mean_speed": [20.0, 60.0],
        }
    )
    measures = dict(zip(MEASURES, build_duty_months(log, fewest_months=1).measures()[0], strict=True))
    assert measures["stops_per_100"] == pytest.approx(10.0)
    assert measures["unpaved_share"] == pytest.approx(0.1)
    assert measures["tow_hours_per_1000"] == pytest.approx(3.0)
    assert measures["idle_hours_per_100"] == pytest.approx(4.0)  # of the month it is known in
    assert measures["mean_speed"] == pytest.approx(1000.0 / (5.0 + 15.0))


@pytest.mark.parametrize("high", [2, 3, 4, 6])
def test_stability_is_the_binomial_chance(high):
    """Eight months alike but for the ground: drawn anew, the number of unpaved ones is binomial."""
    log = months_of("A", 8, unpaved_share=[1.0] * high + [0.0] * (8 - high))
    result = one_vehicle(log, resamples=4000)
    needed = 3  # of 8 months are 37.5 %, the first share of at least 35 %
    chance = binom.sf(needed - 1, 8, high / 8)
    expected = chance if high >= needed else 1.0 - chance
    assert result.duty.iloc[0] == ("off_road" if high >= needed else "mixed")
    spread = np.sqrt(expected * (1 - expected) / 4000)
    assert result.table["stability"].iloc[0] == pytest.approx(expected, abs=4 * spread)
    unsteady = any("keep it in fewer than 80%" in note for note in result.notes)
    assert unsteady == (expected < 0.8)


def test_too_little_data_stays_unknown_and_is_counted():
    vehicles = pd.DataFrame({"unit": ["A", "B", "C"], "duty": ["", "Unknown", "unknown"]})
    log = pd.concat([months_of("A", 5, stops=900.0), months_of("B", 6, stops=900.0)])
    result = assign_duty(vehicles, log, rule=DutyRule(), distance_unit="km")
    assert list(result.duty) == ["unknown", "stop_and_go", "unknown"]
    assert list(result.table["months"]) == [5, 6, 0]
    assert "2 stay 'unknown' (2 with fewer than 6 months in the duty log)" in result.notes[0]


def test_no_duty_log_at_all():
    vehicles = pd.DataFrame({"unit": ["A", "B"], "duty": ["unknown", "hard"]})
    empty = pd.DataFrame(columns=["unit", "month", *NUMBERS]).astype(dict.fromkeys(NUMBERS, float))
    for method in ("auto", "rule", "groups"):
        result = assign_duty(vehicles, empty, rule=DutyRule(method=method), distance_unit="km")
        assert list(result.duty) == ["unknown", "hard"]
        assert result.notes[0].startswith("duty is not recorded for 1 of 2 vehicles: 1 stay 'unknown'")


def test_missing_columns_and_limits_are_skipped_and_said():
    log = months_of("A", 8, mean_speed=80.0, stops=np.nan)
    result = one_vehicle(log)
    assert result.duty.iloc[0] == "long_distance"
    assert sum("is not in the duty log" in note for note in result.notes) == 4
    hours = duty_rule_of(TomlSection({}, name="duty", problems=[], defaults=[]), distance_unit="hours")
    result = one_vehicle(log.assign(unpaved_share=0.9), hours, unit="hours")
    assert result.duty.iloc[0] == "off_road"
    assert any("mean_speed has no limit in this unit" in note for note in result.notes)


def test_a_measure_known_in_too_few_months_is_not_judged():
    log = months_of("A", 10, stops=100.0, unpaved_share=[0.9] * 3 + [np.nan] * 7)
    result = one_vehicle(log)
    assert result.duty.iloc[0] == "mixed"
    assert np.isnan(result.table["unpaved_share"].iloc[0])


def test_order_of_rows_and_seed_give_the_same_words(invented):
    vehicles, log = invented
    partly, _ = blanked(vehicles, 0.5)
    for method in ("auto", "rule", "groups"):
        rule = DutyRule(method=method)
        first = assign_duty(partly, log, rule=rule, distance_unit="km", resamples=10)
        again = assign_duty(partly, log.sample(frac=1.0, random_state=4), rule=rule, distance_unit="km", resamples=10)
        pd.testing.assert_series_equal(first.duty, again.duty)
        np.testing.assert_allclose(first.table["stability"], again.table["stability"])


def test_none_assigns_nothing(invented):
    vehicles, log = invented
    partly, rows = blanked(vehicles, 0.5)
    result = assign_duty(partly, log, rule=DutyRule(method="none"), distance_unit="km")
    assert (result.duty[rows] == "unknown").all()
    assert len(result.notes) == 1


# ---- groups of like work


def test_groups_are_the_true_duties(invented):
    vehicles, log = invented
    result = assign_duty(vehicles.assign(duty=""), log, rule=DutyRule(method="groups"), distance_unit="km")
    asked = (result.table["months"] >= 6).to_numpy()
    assert adjusted_rand_score(vehicles["duty"][asked], result.duty[asked]) > 0.9
    assert (result.table.loc[asked, "source"] == "groups").all()
    names = pd.crosstab(vehicles["duty"][asked], result.duty[asked]).idxmax(axis=1)
    assert names["rough"].startswith("off_road")
    assert names["town"].startswith("stop_and_go")
    assert names["highway"].startswith("long_distance")
    assert names["site"].startswith("mixed")  # it tows, but the rough ones tow more
    assert result.table.loc[asked, "stability"].mean() > 0.95


def test_two_groups_of_one_word_are_numbered():
    rng = np.random.default_rng(2)
    kinds = [(20, 0.0), (900, 0.0), (900, 0.3), (20, 0.9)]
    logs = [
        months_of(
            f"V{n:02d}",
            10,
            stops=stops * rng.lognormal(0, 0.1, 10),
            unpaved_share=share + rng.uniform(0, 0.03, 10),
        )
        for n, (stops, share) in enumerate(kinds * 8)
    ]
    vehicles = pd.DataFrame({"unit": [f"V{n:02d}" for n in range(32)], "duty": ""})
    result = assign_duty(vehicles, pd.concat(logs), rule=DutyRule(method="groups"), distance_unit="km")
    names = result.duty.to_numpy().reshape(8, 4)
    assert (names == names[0]).all()
    assert names[0, 0] == "mixed"
    assert sorted(names[0, 1:3]) == ["stop_and_go_1", "stop_and_go_2"]
    assert names[0, 3] == "off_road"


@pytest.mark.parametrize(
    ("columns", "between", "within", "clause"),
    [
        (NUMBERS[1:], 0.3, 0.01, "hardly stand apart"),  # one cloud in five measures, each vehicle steady
        (["stops"], 0.0, 0.6, "hang on single months"),  # no difference but that of the months
    ],
)
def test_groups_without_structure_are_refused(columns, between, within, clause):
    rng = np.random.default_rng(8)
    typical = {"stops": 300.0, "idle_hours": 12.0, "unpaved_share": 0.2, "tow_hours": 6.0, "mean_speed": 35.0}
    logs = [
        months_of(f"V{n:02d}", 8, **{
            name: typical[name] * np.exp(rng.normal(0, between)) * rng.lognormal(0, within, 8) for name in columns
        })
        for n in range(60)
    ]  # fmt: skip
    vehicles = pd.DataFrame({"unit": [f"V{n:02d}" for n in range(60)], "duty": ""})
    result = assign_duty(vehicles, pd.concat(logs), rule=DutyRule(method="groups"), distance_unit="km")
    assert set(result.duty) == {"unknown"}
    assert any("no groups of like work were made" in note and clause in note for note in result.notes)


def test_too_few_vehicles_for_groups():
    vehicles = pd.DataFrame({"unit": [f"V{n}" for n in range(10)], "duty": ""})
    log = pd.concat([months_of(f"V{n}", 8, stops=100.0 * n) for n in range(10)])
    result = assign_duty(vehicles, log, rule=DutyRule(method="groups"), distance_unit="km")
    assert set(result.duty) == {"unknown"}
    assert any("only 10 vehicles" in note for note in result.notes)


def test_group_stability_falls_where_vehicles_stand_between_groups():
    rng = np.random.default_rng(6)
    levels = [10.0] * 15 + [400.0] * 15 + [65.0]
    logs = [months_of(f"V{n:02d}", 8, stops=level * rng.lognormal(0, 0.5, 8)) for n, level in enumerate(levels)]
    months = build_duty_months(pd.concat(logs), fewest_months=6)
    found = fit_duty_clusters(months, rows=np.ones(31, dtype=bool), resamples=60)
    assert found.stability[:30].min() > 0.95
    assert found.stability[30] < found.stability[:30].min()


# ---- fleet.toml


def section(**values):
    return TomlSection(values, name="duty", problems=[], defaults=[])


def test_settings_and_their_defaults():
    empty = section()
    assert duty_rule_of(empty) == DutyRule()
    assert empty.problems == []
    assert set(empty.defaults) >= {"duty.method", "duty.fewest_months", "duty.stops_per_100"}
    miles = duty_rule_of(section(), distance_unit="mi")
    assert miles.stops_per_100 == pytest.approx(50 * 1.609344, rel=0.005)  # the same work, counted per mile
    assert miles.mean_speed == pytest.approx(50 / 1.609344, rel=0.005)
    assert miles.unpaved_share == 0.35
    own = duty_rule_of(section(method="rule", fewest_months=3, stops_per_100=80), distance_unit="mi")
    assert (own.method, own.fewest_months, own.stops_per_100) == ("rule", 3, 80.0)


@pytest.mark.parametrize(
    ("values", "clause"),
    [
        ({"metod": "rule"}, "not a known key (nearest: 'method')"),
        ({"method": "guess"}, "is not one of 'auto', 'rule', 'groups', 'none'"),
        ({"fewest_months": 1}, "out of range"),
        ({"fewest_months": 2.5}, "not a whole number"),
        ({"unpaved_share": 35}, "out of range"),
        ({"stops_per_100": -1}, "out of range"),
        ({"mean_speed": "fast"}, "is not a number"),
    ],
)
def test_wrong_settings_are_refused_with_a_sentence(values, clause):
    wrong = section(**values)
    duty_rule_of(wrong)
    assert len(wrong.problems) == 1
    assert clause in wrong.problems[0]
