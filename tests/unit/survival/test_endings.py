"""How lives end: Aalen-Johansen curves with limits, against lifelines, matrices, closed forms and Greenwood."""

import warnings

import lifelines
import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from wearmodel.survival.endings import STILL_FITTED, WAYS, build_ending_counts, build_endings, share_limits
from wearmodel.survival.risk_sets import aalen_johansen

REASONS = ["failed", "worn", "planned", "collateral", "damage", "comeback", "in_service", "retired"]


def drawn(n, *, late, seed, ties=False):
    rng = np.random.default_rng(seed)
    entry = rng.uniform(0, 30, n) if late else np.zeros(n)
    stop = entry + rng.uniform(1, 100, n)
    if ties:
        entry, stop = np.floor(entry / 5), np.floor(stop / 5) + 1
    return entry, stop, rng.integers(-1, 3, n)


def frame_of(entry, low, high, ended, weight=1.0, component="u_joint"):
    return pd.DataFrame(
        {"component": component, "entry": entry, "stop_low": low, "stop_high": high, "ended": ended,
         "weight": weight, "chance": 1.0}
    )  # fmt: skip


def test_shares_and_their_variance_against_lifelines():
    entry, stop, way = drawn(200, late=False, seed=4)
    # lifelines moves tied times apart by chance: these have none, so that nothing is moved.
    assert len(np.unique(stop)) == len(stop)
    ends = aalen_johansen(entry=entry, stop=stop, way=way, ways=3)
    for k in range(3):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fitter = lifelines.AalenJohansenFitter(calculate_variance=True).fit(stop, way + 1, event_of_interest=k + 1)
        theirs = fitter.cumulative_density_.iloc[:, 0]
        np.testing.assert_allclose(ends.share[:, k], theirs.loc[ends.age], rtol=1e-10)
        variance = pd.Series(np.ravel(fitter.variance_), index=theirs.index).loc[ends.age].to_numpy()
        known = np.isfinite(variance)
        assert known.sum() > 100
        np.testing.assert_allclose(ends.variance[known, k], variance[known], rtol=1e-8, atol=1e-14)
        bounds = fitter.confidence_interval_.loc[ends.age].to_numpy()
        lower, upper = share_limits(ends.share[:, k], ends.variance[:, k], confidence=0.95)
        at = np.isfinite(lower) & np.isfinite(bounds).all(axis=1)
        np.testing.assert_allclose(np.sort(bounds[at], axis=1), np.column_stack([lower, upper])[at], rtol=1e-6)


def test_late_entry_against_a_product_of_matrices():
    """The definition: state probabilities are a product of one matrix a step, counted life by life."""
    entry, stop, way = drawn(60, late=True, seed=8, ties=True)
    weight = np.random.default_rng(1).uniform(0.2, 1.0, 60)
    ends = aalen_johansen(entry=entry, stop=stop, way=way, ways=3, weight=weight)
    states = np.array([1.0, 0.0, 0.0, 0.0])
    for step, age in enumerate(sorted({s for s, w in zip(stop, way, strict=True) if w >= 0})):
        at_risk = sum(w for w, a, b in zip(weight, entry, stop, strict=True) if a < age <= b)
        matrix = np.eye(4)
        for k in range(3):
            here = sum(w for w, b, kind in zip(weight, stop, way, strict=True) if b == age and kind == k)
            matrix[0, k + 1] = here / at_risk
            matrix[0, 0] -= here / at_risk
        states = states @ matrix
        np.testing.assert_allclose([ends.survival[step], *ends.share[step]], states, atol=1e-12)


def test_variance_of_all_ways_together_is_greenwoods():
    entry, stop, way = drawn(150, late=True, seed=3, ties=True)
    ends = aalen_johansen(entry=entry, stop=stop, way=np.minimum(way, 0), ways=1)
    n = np.array([((entry < age) & (stop >= age)).sum() for age in ends.age])
    d = np.array([((stop == age) & (way >= 0)).sum() for age in ends.age])
    some = n > d
    assert some.all() or not some[-1]
    with np.errstate(divide="ignore", invalid="ignore"):
        greenwood = ends.survival**2 * np.cumsum(d / (n * (n - d)))
    np.testing.assert_allclose(ends.variance[some, 0], greenwood[some], rtol=1e-9, atol=1e-15)


def test_without_withdrawals_the_variance_is_the_binomial_one():
    stop = np.arange(1.0, 41.0)
    way = np.arange(40) % 3
    ends = aalen_johansen(entry=np.zeros(40), stop=stop, way=way, ways=3)
    np.testing.assert_allclose(ends.variance, ends.share * (1 - ends.share) / 40, atol=1e-14)


@given(st.integers(0, 10_000), st.booleans(), st.booleans())
@settings(max_examples=40, deadline=None)
def test_ways_and_what_is_left_sum_to_one(seed, late, ties):
    entry, stop, way = drawn(50, late=late, seed=seed, ties=ties)
    ends = aalen_johansen(entry=entry, stop=stop, way=way, ways=3)
    np.testing.assert_allclose(ends.survival + ends.share.sum(axis=1), 1.0, rtol=0, atol=1e-13)
    assert (ends.variance >= 0).all()


def test_the_table_sums_to_one_and_reads_the_steps():
    rng = np.random.default_rng(2)
    n = 400
    entry = np.where(rng.random(n) < 0.3, rng.uniform(0, 40e3, n), 0.0)
    low = entry + rng.uniform(100, 150e3, n)
    ended = rng.choice(REASONS, n)
    high = np.where(ended == "failed", low, np.where(ended == "worn", low + 8e3, np.inf))
    table = build_endings(frame_of(entry, low, high, ended, weight=rng.uniform(0.3, 1, n)))
    assert list(table["ended"].unique()) == [*WAYS, STILL_FITTED]
    sums = table.groupby("distance")["incidence"].sum()
    assert 20 <= len(sums) <= 41
    np.testing.assert_allclose(sums, 1.0, rtol=0, atol=1e-12)
    known = table.dropna(subset=["lower"])
    assert len(known) > 150
    assert ((known["lower"] <= known["incidence"]) & (known["incidence"] <= known["upper"])).all()
    assert table.loc[table["lower"].isna(), "incidence"].isin([0.0, 1.0]).all()
    grown = (
        table[table["ended"] != STILL_FITTED]
        .groupby("ended")["incidence"]
        .agg(lambda s: (s.diff().dropna() >= 0).all())
    )
    assert grown.all()


def test_wear_between_two_looks_counts_at_the_middle():
    table = build_endings(
        frame_of(np.zeros(10), [40.0] * 10, [60.0] * 5 + [np.inf] * 5, ["worn"] * 5 + ["in_service"] * 5)
    )
    wear = table[table["ended"] == "wear"].set_index("distance")["incidence"]
    # Those still fitted left at 40, so that all at risk at 50 wear out there.
    assert wear[wear.index < 50].eq(0.0).all()
    assert wear.loc[50.0] == 1.0


def test_limits_cover_as_often_as_they_say():
    """Share of damage by 60 among competing ends and withdrawals: known by integration."""
    rng = np.random.default_rng(11)
    # Hazards 0.01 (damage) and 0.015 (planned), withdrawals 0.005: share is 0.4 (1 - exp(-0.025 * 60)).
    truth = 0.4 * (1 - np.exp(-1.5))
    hits = 0
    for _ in range(400):
        damage, planned, out = (rng.exponential(1 / rate, 150) for rate in (0.01, 0.015, 0.005))
        stop = np.minimum(np.minimum(damage, planned), out)
        way = np.where(stop == damage, 0, np.where(stop == planned, 1, -1))
        ends = aalen_johansen(entry=np.zeros(150), stop=stop, way=way, ways=2)
        at = np.searchsorted(ends.age, 60.0, side="right") - 1
        low, high = share_limits(ends.share[at : at + 1, 0], ends.variance[at : at + 1, 0], confidence=0.9)
        hits += bool(low[0] <= truth <= high[0])
    assert 0.86 <= hits / 400 <= 0.94


def test_lives_of_unknown_fitting_date_are_left_out_and_counted():
    lives = frame_of(np.zeros(4), [10.0, 20.0, 30.0, 40.0], [10.0, 20.0, np.inf, np.inf],
                     ["failed", "failed", "planned", "in_service"], weight=[1.0, 0.0, 0.25, 0.0])  # fmt: skip
    counts = build_ending_counts(lives).set_index("ended")
    assert counts.loc["wear", ["lives", "left_out"]].tolist() == [1.0, 1.0]
    assert counts.loc["planned", ["lives", "left_out"]].tolist() == [0.25, 0.75]
    assert counts.loc[STILL_FITTED, ["lives", "left_out"]].tolist() == [0.0, 1.0]
    assert counts.loc["damage", ["lives", "left_out"]].tolist() == [0.0, 0.0]
    doubled = build_endings(pd.concat([lives, lives[lives["weight"] == 0]], ignore_index=True))
    pd.testing.assert_frame_equal(doubled, build_endings(lives))


def test_a_component_without_an_end_has_no_curve():
    lives = frame_of([0.0, 0.0], [10.0, 20.0], [np.inf, np.inf], ["in_service", "retired"])
    assert build_endings(lives).empty
    assert list(build_endings(lives).columns)[:4] == ["component", "ended", "distance", "incidence"]
