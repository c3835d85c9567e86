"""Fleets with known truth and positions blanked at random: spreading the open lines gives the truth back."""

import numpy as np
import pytest
from open_lines_study import B10, LARGE, SHAPE, UNLIKE, answer_of, invented_fleet, study

from wearmodel.history.histories import build_histories
from wearmodel.settled_fleet import settle_fleet

FLEETS, VEHICLES = 12, 120


@pytest.fixture(scope="module")
def found():
    return study(fleets=FLEETS, vehicles=VEHICLES, blanked=0.3, seed=7)


def test_shape_and_b10_are_recovered(found):
    # About 340 failures a fleet: mean of 12 fleets has a standard error of some 1.2 % for both.
    assert abs(found["spread"]["shape error"]) < 0.04
    assert abs(found["spread"]["B10 error"]) < 0.04


def test_keeping_only_certain_lives_would_not_do(found):
    assert abs(found["certain lives only"]["B10 error"]) > 0.08


def test_intervals_widen_for_what_was_blanked(found):
    assert found["spread"]["shape width"] > 1.02 * found["all known"]["shape width"]
    assert found["spread"]["shape cover"] >= 9 / 12
    assert found["spread"]["B10 cover"] >= 9 / 12


def test_chances_favour_the_true_position():
    known, masked = invented_fleet(np.random.default_rng(3), vehicles=80, blanked=0.3)
    settled = settle_fleet(masked, build_histories(masked)).histories
    truth = known.tables["repairs"]["position"].to_numpy()
    lives = settled.lives
    frame, spans = settled.events.frame, settled.events.spans
    blank = masked.tables["repairs"].index[masked.tables["repairs"]["position"] == ""]
    scores, chances = [], []
    for line in blank:
        rows = settled.renewals.open[settled.renewals.open["line"] == line]
        vehicle = lives.loc[lives["unit"] == rows["unit"].iloc[0], "vehicle"].iloc[0]
        day = (rows["date"].iloc[0] - np.datetime64("1970-01-01")) / np.timedelta64(1, "D")
        for position in rows["position"]:
            event = np.flatnonzero(
                (frame["vehicle"] == vehicle) & (frame["position"] == position) & (frame["day"] == day)
            )
            chance = lives.loc[np.isin(spans["start"], event), "chance"].sum()
            chances.append(chance)
            scores.append(truth[line] == position)
    chances, scores = np.array(chances), np.array(scores)
    # Calibrated: positions given 60 % and more are true about as often as they are said to be.
    likely = chances > 0.6
    assert likely.sum() > 20
    assert abs(scores[likely].mean() - chances[likely].mean()) < 0.12
    assert chances.sum() == pytest.approx(len(blank), rel=1e-6)


def test_a_fleet_without_open_lines_is_left_as_it_is():
    known, _ = invented_fleet(np.random.default_rng(4), vehicles=20, blanked=0.0)
    histories = build_histories(known)
    settled = settle_fleet(known, histories)
    assert settled.histories is histories
    assert not settled.lost
    assert answer_of(known).shape[0] == pytest.approx(SHAPE, rel=0.5)
    assert answer_of(known).b10[0] == pytest.approx(B10, rel=0.5)


def test_vehicles_that_wear_unlike_are_told_from_positions_that_do():
    # Lines spread as if vehicles were alike make the shape 8 % too low here, and the variance a fifth.
    unlike = study(fleets=8, vehicles=120, blanked=0.3, design=UNLIKE, seed=3)
    known, spread = unlike["all known"], unlike["spread"]
    assert abs(spread["shape error"] - known["shape error"]) < 0.025
    assert abs(spread["B10 error"] - known["B10 error"]) < 0.025
    assert spread["frailty"] == pytest.approx(known["frailty"], rel=0.12)
    assert spread["shape width"] > 1.02 * known["shape width"]


@pytest.fixture(scope="module")
def large():
    """Vehicles with six joints and about 40 lines, half of them without a position: states are drawn."""
    return study(fleets=3, vehicles=30, blanked=0.5, design=LARGE, seed=5)


def test_drawn_states_give_shape_and_b10_back(large):
    # About 1,150 failures a fleet: mean of 3 fleets has a standard error of some 2 % for the shape, 2.5 % for B10.
    assert abs(large["spread"]["shape error"]) < 0.05
    assert abs(large["spread"]["B10 error"]) < 0.06


def test_drawn_states_keep_what_lines_that_only_end_lives_lose(large):
    assert large["only ended"]["B10 error"] > 0.1
    assert large["all known"]["shape width"] < large["spread"]["shape width"] < 0.6 * large["only ended"]["shape width"]


def test_lines_of_large_vehicles_are_all_spread():
    _, masked = invented_fleet(np.random.default_rng(6), vehicles=4, blanked=0.5, design=LARGE)
    histories = build_histories(masked)
    assert histories.events.unspread == 0
    assert len(histories.events.paths.large) == 4
    one, two = (settle_fleet(masked, histories).histories.lives["chance"].to_numpy() for _ in range(2))
    assert one.tobytes() == two.tobytes()
    spans = histories.events.spans.assign(chance=one)
    ended = spans[spans["end"] >= 0].groupby("end")["chance"].sum()
    begun = spans.groupby("start")["chance"].sum()
    np.testing.assert_allclose(begun[ended.index], ended, atol=1e-9)
    assert spans.loc[spans["end"] < 0, "chance"].sum() == pytest.approx(4 * 6)
