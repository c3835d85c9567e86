"""Weights of ride height: balance, other programs' answers, and lives cut where a vehicle was raised."""

import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from confounded_fleets import CODE, DESIGNS, LIFT, coded_lives, drawn_fleet
from lifelines import WeibullAFTFitter
from sklearn.linear_model import LogisticRegression

from wearmodel.policy.comparison.propensity import COVARIATES, LEAST_PROPENSITY, fit_propensities, one_sided_levels
from wearmodel.policy.comparison.weighted_comparison import build_exposed_lives, compare_weighted
from wearmodel.survival.fit import fit_lives


@pytest.fixture(scope="module")
def exposed():
    fleet = drawn_fleet(np.random.default_rng(8), 400, DESIGNS["plain"])
    return build_exposed_lives(fleet.lives, fleet.segments, fleet.traits)


def strata(pieces):
    return pieces.groupby(list(COVARIATES), sort=True).ngroup().to_numpy()


def fitted(pieces, times):
    return fit_propensities(pieces, stratum=strata(pieces), times=times)


def weights_of(chances, pieces):
    """Weight of each piece at the estimate and in each draw."""
    return chances.weights()[:, chances.cells(strata(pieces), pieces["raised"].to_numpy(dtype=bool))]


def test_cut_lives_say_no_more_and_no_less_than_whole_ones():
    fleet = drawn_fleet(np.random.default_rng(5), 150, DESIGNS["late"])
    mine = build_exposed_lives(fleet.lives, fleet.segments, fleet.traits)
    assert mine.data.lives > fleet.lives["usable"].sum()
    coded = coded_lives(fleet).dated
    whole = replace(coded, design=np.column_stack([np.ones(len(coded.life)), coded.design[:, -1] * 100.0 / LIFT]))
    one, other = fit_lives(mine.data), fit_lives(whole)
    assert one.values == pytest.approx(other.values, abs=1e-7)
    assert one.log_likelihood == pytest.approx(other.log_likelihood, abs=1e-6)
    distance = mine.pieces.groupby("raised")["distance"].sum()
    run = coded.before_low - coded.before_entry
    assert distance[True] == pytest.approx(run[coded.design[:, -1] > 0].sum())


def test_propensities_of_a_draw_are_those_scikit_learn_gives_for_it(exposed):
    pieces = exposed.pieces
    vehicles = int(pieces["vehicle"].max()) + 1
    times = np.random.default_rng(1).multinomial(vehicles, np.full(vehicles, 1.0 / vehicles), size=3).astype(float)
    found = fitted(pieces, times)
    coded = pd.get_dummies(pieces[list(COVARIATES)].astype(str), drop_first=True).to_numpy(dtype=float)
    for chance, drawn in zip(found.chance, [np.ones(vehicles), *times], strict=True):
        weight = pieces["distance"].to_numpy() / pieces["distance"].sum() * vehicles * drawn[pieces["vehicle"]]
        own = LogisticRegression(C=100.0, tol=1e-10, max_iter=2000).fit(coded, pieces["raised"], sample_weight=weight)
        assert chance[strata(pieces)] == pytest.approx(own.predict_proba(coded)[:, 1], abs=2e-4)


def test_weights_balance_the_sides(exposed):
    table, balance = compare_weighted({CODE: exposed}, confidence=0.9, seed=1, draws=50)
    assert balance["difference"].abs().max() > 0.5
    assert balance["difference_weighted"].abs().max() < 0.1
    for name, rows in balance.groupby("covariate"):
        for column in ("share_raised", "share_factory", "weighted_raised", "weighted_factory"):
            assert rows[column].sum() == pytest.approx(1.0), name
    row = table.iloc[0]
    assert row["lower"] < row["life_ratio"] < row["upper"]
    assert row["effective_raised"] < row["lives_raised"]


def drawn_again(exposed, times):
    """Lives of a bootstrap draw written out: those of a vehicle as often as it was drawn, each time as another one."""
    pieces = exposed.pieces
    often = times[pieces["vehicle"].to_numpy()].astype(int)
    rows = np.repeat(np.arange(len(pieces)), often)
    copy = np.concatenate([np.arange(count) for count in often])
    number = np.unique(pieces["vehicle"].to_numpy()[rows] * 100 + copy, return_inverse=True)[1]
    return replace(
        exposed, data=exposed.data.subset(rows), pieces=pieces.iloc[rows].assign(vehicle=number).reset_index(drop=True)
    )


def test_bounds_are_those_of_fleets_drawn_vehicle_by_vehicle(exposed):
    """Whole answers of two fleets written out, propensities, weights and law anew, beside the bounds of two draws."""
    row = compare_weighted({CODE: exposed}, confidence=0.9, seed=6, draws=2)[0].iloc[0]
    vehicles = int(exposed.pieces["vehicle"].max()) + 1
    drawn = np.random.default_rng([6, 0]).multinomial(vehicles, np.full(vehicles, 1.0 / vehicles), size=2)
    alone = [
        compare_weighted({CODE: drawn_again(exposed, times)}, confidence=0.9, seed=1, draws=2)[0].iloc[0]["life_ratio"]
        for times in drawn
    ]
    assert abs(math.log(alone[0] / alone[1])) > 0.005
    low, high = np.quantile(alone, (0.05, 0.95))
    assert (row["lower"], row["upper"]) == pytest.approx((low, high), rel=5e-4)


def test_lifelines_gives_the_same_ratio_for_the_same_weights():
    rng = np.random.default_rng(11)
    fleet = drawn_fleet(rng, 500, DESIGNS["plain"])
    # Vehicles raised from the first day or never: lifelines knows no covariates that change.
    first = fleet.segments.drop_duplicates("life")
    always = fleet.segments.groupby("life")["lift"].nunique() == 1
    kept = np.flatnonzero(always.to_numpy())
    lives = fleet.lives.iloc[kept].reset_index(drop=True)
    segments = first.iloc[kept].assign(life=np.arange(len(kept)), age_to=np.inf)
    mine = build_exposed_lives(lives, segments, fleet.traits.iloc[kept].reset_index(drop=True))
    table, _ = compare_weighted({CODE: mine}, confidence=0.9, seed=1, draws=2)
    pieces = mine.pieces
    vehicles = int(pieces["vehicle"].max()) + 1
    weights = weights_of(fitted(pieces, np.ones((1, vehicles))), pieces)[0]
    others = pd.get_dummies(pieces[["duty", "vehicle_class", "place"]], drop_first=True).astype(float)
    frame = others.assign(
        stop=mine.data.before_low, failed=mine.data.exact, raised=pieces["raised"].astype(float), w=weights
    )
    with pytest.warns(Warning):
        fit = WeibullAFTFitter().fit(frame, "stop", "failed", weights_col="w")
    assert table.iloc[0]["life_ratio"] == pytest.approx(math.exp(fit.params_["lambda_"]["raised"]), rel=5e-3)


def test_levels_with_one_side_are_left_out_and_said(exposed):
    pieces = exposed.pieces.copy()
    # No site work at factory height, no raised vehicle in the south: the rest of those levels is of no use either.
    site, south = pieces["duty"] == "site", pieces["depot"] == "south"
    kept = ~(site & ~pieces["raised"]) & ~(south & pieces["raised"])
    assert one_sided_levels(pieces[kept]) == {("duty", "site"): "raised", ("depot", "south"): "factory"}
    one = replace(exposed, data=exposed.data.subset(np.flatnonzero(kept)), pieces=pieces[kept].reset_index(drop=True))
    table, balance = compare_weighted({CODE: one}, confidence=0.9, seed=1, draws=20)
    note = table.iloc[0]["note"]
    assert "duty site (raised only)" in note
    assert "depot south (factory height only)" in note
    assert 0.3 < table.iloc[0]["share_left_out"] < 0.9
    assert set(balance["level"]) == {"highway", "town", "van", "truck", "rear.front", "rear.back"}


def test_groups_that_hardly_overlap_are_warned_of():
    rng = np.random.default_rng(3)
    count = 400
    duty = np.where(rng.random(count) < 0.5, "site", "highway")
    raised = rng.random(count) < np.where(duty == "site", 0.98, 0.02)
    pieces = pd.DataFrame(
        {
            "vehicle": np.arange(count), "raised": raised, "distance": 1.0, "duty": duty, "vehicle_class": "van",
            "depot": "north", "place": "rear",
        }
    )  # fmt: skip
    weights = weights_of(fitted(pieces, np.ones((1, count))), pieces)
    assert weights.max() <= max(raised.mean(), 1 - raised.mean()) / LEAST_PROPENSITY
    lives = pd.DataFrame(
        {
            "entry": 0.0, "stop_low": rng.weibull(2.0, count), "weight": 1.0, "usable": True,
            "vehicle": np.arange(count), "depot": "north",
        }
    ).assign(stop_high=lambda frame: frame["stop_low"])  # fmt: skip
    segments = pd.DataFrame(
        {"life": np.arange(count), "age_from": 0.0, "age_to": np.inf, "lift": np.where(raised, 50.0, 0.0)}
    )
    traits = pd.DataFrame({"duty": duty, "vehicle_class": "van", "place": "rear"})
    table, _ = compare_weighted(
        {CODE: build_exposed_lives(lives, segments, traits)}, confidence=0.9, seed=1, draws=20
    )
    assert table.iloc[0]["note"].startswith("Warning: for ")
    assert table.iloc[0]["share_truncated"] > 0.9


def test_answers_repeat_and_nothing_raised_gives_no_row(exposed):
    one, other = (compare_weighted({CODE: exposed}, confidence=0.9, seed=4, draws=30)[0] for _ in range(2))
    pd.testing.assert_frame_equal(one, other)
    factory = ~exposed.pieces["raised"].to_numpy()
    pieces = exposed.pieces[factory].reset_index(drop=True)
    none = replace(exposed, data=exposed.data.subset(np.flatnonzero(factory)), pieces=pieces)
    table, balance = compare_weighted({CODE: none}, confidence=0.9, seed=4, draws=30)
    assert table.empty
    assert balance.empty
